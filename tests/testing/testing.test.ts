import {
  type AnyCodec,
  type CodecSpec,
  CvError,
  CvSet,
  choice,
  cv,
  defineCodec,
  defineDecoder,
  flag,
  flags,
  level,
  record,
  switched,
  table,
  text,
} from "cvset";
import { checkCodecLaws, cvSetsOf, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Codec, checkIssues } from "../../src/codec/codec.js";
import { fault } from "../../src/cv/issue.js";

const fuel = choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 });
const place = cv(50);
const opaque = defineCodec<number>({
  kind: "opaque",
  places: [place],
  read: (cvs) => place.read(cvs),
  write: (cvs, n) => place.write(cvs, n),
});
const pair = cv(51).with(cv(52)).with(cv(53));
const wide = defineCodec<number>({
  kind: "wide",
  places: [pair],
  read: (cvs) => pair.read(cvs),
  write: (cvs, n) => pair.write(cvs, n),
});

describe("valuesOf", () => {
  test.each<[AnyCodec, number]>([
    [flag(cv(1).bit(0)), 2],
    [fuel, 3],
    [level(cv(1).bits(0, 2)), 8],
    [level(cv(1).bits(0, 2), { step: 0.1, names: { off: 0 } }), 8],
    [flags(cv(1).bits(0, 2), ["a", null, "b"]), 4],
    [record({ a: flag(cv(1).bit(0)), b: fuel }), 6],
    [switched(cv(1).bit(0), fuel), 4],
    [opaque, 256],
  ])("%# finds every value", (codec, count) => {
    const seen = new Set(fc.sample(valuesOf(codec), 3000).map((value) => JSON.stringify(value)));
    expect(seen.size).toBe(count);
  });

  test("texts and tables fit", () => {
    for (const codec of [
      text(cv(1).through(5), { pad: 32 }),
      table(cv(1).through(5), { step: 0.5, max: 9 }),
    ]) {
      for (const value of fc.sample(valuesOf(codec as AnyCodec), 300))
        expect(checkIssues(codec as AnyCodec, value, {})).toEqual([]);
    }
  });

  test("of a large codec that holds code, patterns of its bits are decoded", () => {
    const seen = new Set(fc.sample(valuesOf(wide), 300));
    expect(seen.size).toBeGreaterThan(250);
    checkCodecLaws(wide, { seed: 3 });
    const nested = record({ a: record({ wide }) });
    checkCodecLaws(nested, { seed: 3 });
    expect(fc.sample(valuesOf(nested), 1)).toMatchObject([{ a: { wide: expect.any(Number) } }]);
  });

  test("where hardly any pattern can be decoded, values are needed, and are given by path", () => {
    const rare = defineCodec<number>({
      kind: "rare",
      places: [pair],
      read(cvs) {
        const n = pair.read(cvs);
        if (n > 1000) throw new Error("too much");
        return n;
      },
      write: (cvs, n) => pair.write(cvs, n > 1000 ? -1 : n),
    });
    expect(() => valuesOf(rare)).toThrow(
      'hardly any bits of a codec of kind "rare" stand for a value; give an arbitrary in "at" for ""',
    );
    expect(() => valuesOf(record({ a: record({ rare }) }))).toThrow('"a.rare"');
    expect(fc.sample(valuesOf(rare, { at: { "": fc.constant(7) } }), 5)).toEqual([7, 7, 7, 7, 7]);
    const nested = record({ a: record({ rare }) });
    expect(fc.sample(valuesOf(nested, { at: { "a.rare": fc.constant(7) } }), 1)).toEqual([
      { a: { rare: 7 } },
    ]);
    checkCodecLaws(nested, { at: { "a.rare": fc.nat({ max: 1000 }) }, seed: 3 });
    checkCodecLaws(rare, { values: fc.nat({ max: 1000 }), seed: 3 });
  });

  test("a codec that stands for nothing is refused", () => {
    const nothing = defineCodec<number>({
      kind: "nothing",
      places: [place],
      read() {
        throw new Error("never");
      },
      write: () => {},
    });
    expect(() => valuesOf(nothing)).toThrow('no bits of a codec of kind "nothing" stand for a value');
  });
});

describe("cvSetsOf and partial valuesOf", () => {
  const decoder = defineDecoder({
    id: "a",
    name: "A",
    kind: "multifunction",
    features: { fuel, drains: switched(cv(1).bit(0), record({ wide })) },
  });
  const at = { "drains.wide": fc.nat({ max: 99 }) };

  test("sets hold every owned CV, others too, and in half of them what is stored is valid", () => {
    const sets = fc.sample(cvSetsOf(decoder, { at }), 300);
    expect(sets.every((cvs) => ["1", "51", "52", "53", "246"].every((name) => cvs.has(name)))).toBe(true);
    expect(sets.some((cvs) => cvs.size > 5)).toBe(true);
    expect(sets.some((cvs) => [...cvs].some(([name]) => name.includes("@")))).toBe(true);
    expect(new Set(sets.map((cvs) => (cvs.get(246) ?? 0) & 31)).size).toBeGreaterThan(30);
    const invalid = sets.filter((cvs) => !decoder.tryDecode(cvs).ok).length;
    expect(invalid).toBeGreaterThan(10);
    expect(invalid).toBeLessThan(150);
    expect(fc.sample(cvSetsOf(wide, { raw: true }), 10).every((cvs) => cvs.has(51))).toBe(true);
  });

  test("settings have any of the features, each valid", () => {
    const all = fc.sample(valuesOf(decoder, { at, partial: true }), 300);
    for (const settings of all)
      expect(decoder.tryEncode(settings, CvSet.from({ 1: 0, 246: 0 })).ok).toBe(true);
    expect(new Set(all.map((settings) => Object.keys(settings).sort().join())).size).toBe(4);
    expect(
      fc
        .sample(valuesOf(decoder, { at: { drains: fc.constant("off") }, partial: true }), 9)
        .every(({ drains = "off" }) => drains === "off"),
    ).toBe(true);
  });
});

describe("checkCodecLaws finds what is wrong, and shows it", () => {
  const low = place.bits(0, 3);
  const build = (more: Partial<CodecSpec<number>>) =>
    defineCodec<number>({
      kind: "bad",
      places: [low],
      read: (cvs) => low.read(cvs),
      write: (cvs, n) => low.write(cvs, n),
      ...more,
    });
  // A codec of this library, which can have more ways than one from outside.
  const inside = (more: Partial<Codec<number>["spec"]>) =>
    new Codec<number>({
      kind: "bad",
      data: { kind: "custom", parts: {} },
      places: [low],
      read: (cvs) => low.read(cvs),
      write: (cvs, n) => low.write(cvs, n),
      ...more,
    });
  const onlyOne = fault("custom", "expected 1");
  let calls = 0;

  test.each<[string, AnyCodec, string]>([
    [
      "a value that does not come back",
      build({ write: (cvs, n) => low.write(cvs, n & 7) }),
      "decode(encode(v)) is v",
    ],
    [
      "a bit that is lost",
      build({ read: (cvs) => low.read(cvs) & 7 }),
      "encoding what was decoded changes nothing",
    ],
    [
      "writing that depends on how often",
      build({ write: (cvs, n) => low.write(cvs, calls++ % 2 ? n : n ^ 1), read: () => 0 }),
      "breaks a law",
    ],
    [
      "a decode that throws something else",
      inside({ tryRead: (cvs) => (low.read(cvs) > 3 ? undefined : low.read(cvs)) }),
      "tryDecode",
    ],
    [
      "a check that is milder than write",
      inside({ check: () => {} }),
      "what is accepted can be decoded, and what is not is a CvError",
    ],
    [
      "a check that is stricter than write",
      inside({
        check: (value, report) => {
          if (value !== 1) report([onlyOne({})]);
        },
      }),
      "tryEncode",
    ],
    [
      "an accepted value that cannot be decoded",
      build({
        read: (cvs) => {
          const n = low.read(cvs);
          if (n > 8) throw new Error("nine");
          return n;
        },
      }),
      "what is accepted can be decoded",
    ],
    [
      "bits of others",
      build({ places: [low], write: (cvs, n) => place.write(cvs, n), read: (cvs) => place.read(cvs) & 15 }),
      "writes bits that it does not own",
    ],
    [
      "another CV that goes with a value",
      inside({
        read: (cvs) => {
          const n = low.read(cvs);
          // What is read is written back unchanged, so that only the law of own bits can find it.
          if (n === 9 && cvs.get(cv(99).key) !== 1) throw new CvError([onlyOne({})]);
          return n;
        },
        write: (cvs, n) => {
          low.write(cvs, n as number);
          if (n === 9) cvs.put(cv(99).key, 255, 1);
        },
      }),
      "it touches only its own bits",
    ],
  ])("%s", (name, codec, part) => {
    let message = "";
    try {
      checkCodecLaws(codec, {
        seed: 1,
        values: /lost|accepted/.test(name) ? fc.constant(1) : fc.integer({ min: 0, max: 15 }),
      });
    } catch (error) {
      message = String(error);
    }
    expect(message).toContain(part);
    expect(message).toContain('codec "bad" breaks a law');
    expect(message).toMatch(/\nCVs: \{.*\}/);
    expect(message).toMatch(/seed: 1$/);
  });

  test("an equality of one's own", () => {
    const sorted = defineCodec<readonly number[]>({
      kind: "sorted",
      places: [low],
      read: (cvs) => [0, 1, 2, 3].filter((bit) => low.read(cvs) & (1 << bit)),
      write: (cvs, bits) =>
        low.write(
          cvs,
          bits.reduce((sum, bit) => sum | (1 << bit), 0),
        ),
    });
    const values = fc.shuffledSubarray([0, 1, 2, 3]);
    expect(() => checkCodecLaws(sorted, { values, seed: 1 })).toThrow("it came back as");
    checkCodecLaws(sorted, {
      values,
      seed: 1,
      equal: (a, b) => [...a].sort().join() === [...b].sort().join(),
    });
  });
});
