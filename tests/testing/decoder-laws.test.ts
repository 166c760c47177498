import {
  type AnyCodec,
  type AnyDecoder,
  type CvReader,
  choice,
  converted,
  cv,
  type DecoderSpec,
  defineCodec,
  defineDecoder,
  derived,
  type Fields,
  flag,
  level,
  record,
  switched,
  variant,
} from "cvset";
import { nmra } from "cvset/standard";
import { checkLaws, decoders } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

const good: Fields = {
  whistle: choice(cv(218), { low: 2, high: 5 }) as AnyCodec,
  lamp: record({
    led: flag(cv(243).bit(7), { inverted: true }),
    dim: level(cv(216).bits(1, 5), { max: 20 }),
  }) as AnyCodec,
  drains: switched(
    cv(252).bit(1),
    record({ seconds: level(cv(249), { step: 0.25, min: 1.5, max: 40 }) }),
  ) as AnyCodec,
};

const decoderOf = (features: Fields, more: Partial<DecoderSpec<Fields>> = {}): AnyDecoder =>
  defineDecoder({
    id: "tried",
    name: "Tried",
    kind: "multifunction",
    features: { ...good, ...features },
    ...more,
  });

/** A codec of one CV with something wrong in it. */
function wrong(more: {
  kind?: string;
  read?: (n: number) => unknown;
  write?: (n: never) => number;
  schema?: () => object;
  text?: () => string;
}): AnyCodec {
  const { kind = "wrong", read = (n) => n, write = (n) => n, schema, text } = more;
  const place = cv(200);
  return defineCodec<unknown>({
    kind,
    places: [place],
    read: (cvs: CvReader) => read(place.read(cvs)),
    write: (cvs, n) => place.write(cvs, write(n as never)),
    ...(schema && { schema: schema as () => never }),
    ...(text && { text }),
  });
}

const allLaws = [
  "every feature keeps the laws of codecs",
  "all features together keep the laws of codecs",
  "a setting that is not named keeps its bits",
  "any CV set can be explained",
  "the schema of settings accepts what is decoded",
  "the factory values stand for something",
  "its description in JSON makes the same decoder",
];

describe("checkLaws", () => {
  test("tells which laws hold, and which could not be checked", () => {
    expect(checkLaws(decoderOf({}), { runs: 20 })).toEqual({ laws: allLaws, left: [] });
    const code = converted(level(cv(201)), { decode: (n) => n + 1, encode: (n) => n - 1 }) as AnyCodec;
    expect(checkLaws(decoderOf({ code }), { runs: 20 })).toEqual({
      laws: allLaws.slice(0, 6),
      left: [
        {
          law: allLaws[6],
          reason: 'features.code: a codec of kind "converted" holds code and cannot be written as JSON',
        },
      ],
    });
  });

  test("the decoder of the plain standard, and random ones", () => {
    expect(checkLaws(nmra as AnyDecoder, { runs: 5 }).laws.length).toBeGreaterThan(5);
    const random = fc.sample(decoders({ maxFeatures: 4, derived: true }), 8);
    expect(random.some(({ features }) => "sum" in features)).toBe(true);
    for (const decoder of random) {
      // Their factory values are random.
      const { id, name, kind, features } = decoder;
      checkLaws(defineDecoder({ id, name, kind, features }), { runs: 10 });
    }
  });

  test("a value worked out from a field of one case only: where another case is chosen, it stays as it was, wrong too", () => {
    const bell = variant(cv(201).bit(0), {
      none: { value: 0, fields: {} },
      rung: { value: 1, fields: { strokes: level(cv(202)) } },
    }) as AnyCodec;
    const check = derived(cv(203), { from: [cv(202)], by: "sum", start: 1 }) as AnyCodec;
    expect(checkLaws(decoderOf({ bell, check }), { runs: 50, seed: 1 }).laws).toEqual(allLaws);
  });

  test("values by path reach the features", () => {
    const rare = wrong({
      kind: "rare",
      read: (n) => {
        if (n !== 77) throw new Error("not 77");
        return n;
      },
    });
    const asked: number[] = [];
    const watched = fc.constant(77).map((n) => {
      asked.push(n);
      return n;
    });
    checkLaws(decoderOf({ deep: record({ rare }) as AnyCodec }), { at: { "deep.rare": watched }, runs: 10 });
    expect(asked.length).toBeGreaterThan(30);
  });

  test.each<[string, AnyDecoder, RegExp[]]>([
    [
      "a value that does not come back",
      decoderOf({ bad: wrong({ read: (n) => n & 127 }) }),
      [
        /^decoder "tried", feature "bad", breaks a law: encoding what was decoded changes nothing\n/,
        /\ndecoded \d+; CV 200 went from \d+ to \d+\n/,
        /\nCVs: \{ "200": \d+ \}\n/,
        /\nto see it again: checkLaws\(decoder, \{ seed: 5 \}\)$/,
      ],
    ],
    [
      "a value that comes back as another one",
      decoderOf({ bad: record({ odd: wrong({ write: (n) => n & 254 }) }) as AnyCodec }),
      [/feature "bad", breaks a law: decode\(encode\(v\)\) is v\n/, /odd: \d+ came back as \d+\n/],
    ],
    [
      "a schema that refuses what is decoded",
      decoderOf({ bad: wrong({ schema: () => ({ type: "integer", maximum: 100 }) }) }),
      [
        /^decoder "tried" breaks a law: the schema of settings accepts what is decoded\n/,
        /settings\.bad: maximum 100 does not hold/,
      ],
    ],
    [
      "words that throw",
      decoderOf({
        bad: wrong({
          text: () => {
            throw new Error("no words");
          },
        }),
      }),
      [/breaks a law: any CV set can be explained\nError: no words\n/],
    ],
    [
      "words that are none",
      decoderOf({ bad: wrong({ text: () => 3 as never }) }),
      [/breaks a law: any CV set can be explained\na line without path or text/],
    ],
    [
      "factory values that stand for nothing",
      decoderOf({}, { factory: { 218: 3 } }),
      [
        /breaks a law: the factory values stand for something\nwhistle: CV 218: no option has the stored number 3/,
      ],
    ],
    [
      "a JSON form that no kind reads",
      decoderOf({
        bad: defineCodec<number>({
          kind: "unread",
          places: [cv(200)],
          read: (cvs) => cv(200).read(cvs),
          write: (cvs, n) => cv(200).write(cvs, n),
          json: () => ({ place: 200 }),
        }) as AnyCodec,
      }),
      [
        /description in JSON makes the same decoder\nfeatures\.bad\.codec: there is no kind of codec "unread"/,
        /checkLaws\(decoder, \{ codecs \}\)$/,
      ],
    ],
  ])("finds %s, and shows it short", (_, decoder, words) => {
    let message = "";
    try {
      checkLaws(decoder, { seed: 5, runs: 40 });
    } catch (error) {
      message = (error as Error).message;
    }
    for (const one of words) expect(message).toMatch(one);
    expect(message.length).toBeLessThan(900);
  });

  test("a counterexample of a large decoder stays short", () => {
    const many = Object.fromEntries(
      Array.from({ length: 60 }, (_, i) => [`feature${i}`, level(cv(300 + i)) as AnyCodec]),
    );
    // Right alone, where CV 300 is not there: only all features together show it.
    const own = cv(200);
    const nosy = defineCodec<number>({
      kind: "nosy",
      places: [own],
      read(cvs) {
        try {
          return own.read(cvs) ^ (cv(300).read(cvs) & 1);
        } catch {
          return own.read(cvs);
        }
      },
      write: (cvs, n) => own.write(cvs, n),
    }) as AnyCodec;
    let message = "";
    try {
      checkLaws(decoderOf({ ...many, nosy }), { seed: 5, runs: 15 });
    } catch (error) {
      message = (error as Error).message;
    }
    expect(message).toMatch(/^decoder "tried" breaks a law: decode\(encode\(v\)\) is v\n/);
    expect(message).toMatch(/\nnosy: \d+ came back as \d+\n|: nosy: \d+ came back as \d+\n/);
    expect(message).toContain("more letters)");
    expect(message.length).toBeLessThan(1500);
  });
});
