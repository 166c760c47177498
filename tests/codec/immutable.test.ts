import {
  type AnyCodec,
  type CvError,
  CvPatch,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  flag,
  flags,
  level,
  page,
  partsOf,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { everySet, ownedBits } from "../../src/testing/source.js";
import { ruin } from "../support/ruin.js";
import { kinds } from "./kinds.js";

/** What a codec does with some sets: results of decoding, and of encoding what was decoded, as text. */
function behaviour(codec: AnyCodec, sets: readonly CvSet[]): string {
  const results = sets.map((cvs) => {
    const read = codec.tryDecode(cvs);
    return [read, read.ok ? codec.tryEncode(read.value) : undefined];
  });
  return JSON.stringify([results, refusals(codec), codec.bits, codec.places, codec.kind, codec.about]);
}

/** What a codec answers to values that it does not take. */
const refusals = (codec: AnyCodec) => [
  codec.tryEncode("no such thing"),
  codec.tryEncode({ no: "such thing" }),
  codec.tryEncode(-7.25),
];

function ruinIssues(fails: () => unknown): void {
  try {
    fails();
  } catch (error) {
    // Its stack is not looked at: to make it takes longer than all the rest.
    ruin((error as CvError).issues);
  }
}

function setsOf(codec: AnyCodec): CvSet[] {
  if (ownedBits(codec) <= 5) return [...everySet(codec), CvSet.empty];
  const names = codec.bits.map((bits) => bits.cv);
  const byte = fc.oneof(fc.integer({ min: 0, max: 9 }), fc.integer({ min: 0, max: 255 }));
  const bytes = fc.array(byte, { minLength: names.length, maxLength: names.length });
  return [
    ...fc.sample(bytes, { numRuns: 30, seed: 5 }),
    ...[0, 1, 2, 65].map((one) => names.map(() => one)),
  ].map((some) => CvSet.from(names.map((name, i): [string, number] => [name, some[i] ?? 0])));
}

describe.each(Object.entries(kinds))(
  "nothing that a caller gets changes what is encoded and decoded: %s",
  (_, codec) => {
    const sets = setsOf(codec);
    const before = behaviour(codec, sets);

    test("the codec and everything in it", () => {
      ruin(codec);
      ruin(partsOf(codec));
      expect(behaviour(codec, sets)).toBe(before);
    });

    test("its data, places and what people read of it are frozen through and through", () => {
      const open: string[] = [];
      const seen = new Set<unknown>();
      const look = (value: unknown, path: string): void => {
        if (typeof value !== "object" || value === null || seen.has(value)) return;
        seen.add(value);
        if (!Object.isFrozen(value)) open.push(path);
        for (const [key, inner] of Object.entries(value)) look(inner, `${path}.${key}`);
      };
      for (const part of ["data", "places", "about", "bits"] as const) look(codec[part], part);
      expect(open).toEqual([]);
      expect(Object.isFrozen(codec)).toBe(true);
    });

    test("values, patches and issues", () => {
      for (const cvs of sets) {
        const read = codec.tryDecode(cvs);
        const written = read.ok ? codec.tryEncode(read.value) : undefined;
        if (written?.ok) ruin([...written.value]);
        ruin([read, written]);
        ruinIssues(() => codec.decode(cvs));
        ruin([...cvs]);
        ruin(cvs.toJSON());
      }
      ruin([...refusals(codec), codec["~standard"], codec.encode]);
      ruinIssues(() => codec.encode(-7.25));
      expect(behaviour(codec, sets)).toBe(before);
    });
  },
);

test("the attack changes what is open", () => {
  const list = [1, 2];
  const map = new Map([[1, list]]);
  const bytes = new Uint8Array(2);
  const open = { list, map, bytes, inner: { a: 1 } };
  const frozen = Object.freeze([open.inner]);
  ruin([open, frozen]);
  expect([list.length, Object.keys(open).includes("list"), Object.keys(frozen[0] ?? {})]).toEqual([
    0,
    false,
    [],
  ]);
  expect([[...Map.prototype.keys.call(map)], Uint8Array.prototype.at.call(bytes, 0)]).toEqual([[], 7]);
  expect([frozen.length, Object.getPrototypeOf(frozen)]).toEqual([1, Array.prototype]);
});

// --- What a codec was made from ----------------------------------------------------------------------

const makers: Record<string, () => [codec: AnyCodec, inputs: unknown[]]> = {
  flag() {
    const options = { inverted: true, label: "Lamp" };
    return [flag(cv(1).bit(0), options), [options]];
  },
  choice() {
    const options = { a: 0, b: { value: 1, label: "B" } };
    const about = { label: "Which" };
    return [choice(cv(1).bits(0, 1), options, about), [options, about]];
  },
  "choice of a pair"() {
    const options = { a: 0, b: { value: 1 } };
    return [choice(cv(1).bit(0).with(cv(2).bit(0)), options), [options]];
  },
  level() {
    const options = {
      step: 0.5,
      offset: 1,
      min: 1,
      max: 3,
      unit: "s",
      names: { off: 6, on: 7 },
      label: "Pause",
    };
    return [level(cv(1).bits(0, 2), options), [options]];
  },
  flags() {
    const names = ["a", null, 3];
    const about = { label: "Outputs" };
    return [flags(cv(1).bits(0, 2), names, about), [names, about]];
  },
  text() {
    const options = { pad: 32 };
    return [text(cv(1).through(2), options), [options]];
  },
  table() {
    const options = { max: 4, step: 0.5 };
    return [table(cv(1).through(2), options), [options]];
  },
  record() {
    const fields = { a: flag(cv(1).bit(0)), b: flag(cv(1).bit(1)) };
    const about = { label: "Front" };
    return [record(fields, about), [fields, about]];
  },
  variant() {
    const cases = {
      a: { value: 0, label: "A", fields: { x: flag(cv(1).bit(1)) } },
      b: { value: 1, fields: { y: flag(cv(1).bit(2)) } },
    };
    const options = { tag: "is", label: "Which" };
    return [variant(cv(1).bit(0), cases, options) as AnyCodec, [cases, options]];
  },
  switched() {
    const options = { inverted: true, label: "Drains" };
    return [switched(cv(1).bit(0), flag(cv(1).bit(1)), options), [options]];
  },
  "converted by pairs"() {
    const pairs: [number, string][] = [
      [0, "none"],
      [1, "one"],
    ];
    const about = { label: "How many" };
    return [converted(level(cv(1).bits(0, 1)), pairs, about), [pairs, about]];
  },
  "converted by code"() {
    const conversion = { decode: (n: number) => n * 2, encode: (n: number) => n / 2 };
    return [converted(level(cv(1).bits(0, 1)), conversion), [conversion]];
  },
  "from outside"() {
    const place = cv(1).bits(0, 1);
    const spec = {
      kind: "gear",
      places: [place],
      about: { label: "Gear" },
      parts: { of: level(place) },
      read: (cvs: Parameters<typeof place.read>[0]) => place.read(cvs),
      write: (cvs: Parameters<typeof place.write>[0], n: number) => place.write(cvs, n),
    };
    return [defineCodec<number>(spec), [spec]];
  },
};

test.each(Object.entries(makers))(
  "what is changed in a definition afterwards changes nothing: %s",
  (_, make) => {
    const [codec, inputs] = make();
    const [untouched] = make();
    const sets = setsOf(codec);
    const look = (one: AnyCodec): string =>
      JSON.stringify([one.data, Object.entries(partsOf(one)).map(([name, parts]) => [name, parts.length])]);
    // Before anything is read, so that what is made when first needed is made of the changed definition.
    ruin(inputs);
    expect(behaviour(codec, sets)).toBe(behaviour(untouched, sets));
    expect(look(codec)).toBe(look(untouched));
  },
);

// --- CV sets, patches, places ------------------------------------------------------------------------

describe("sets, patches and places", () => {
  test("a set and a patch stay as they are", () => {
    const set = CvSet.from({ 1: 3, "300@16.0": 7 });
    const patch = CvPatch.from({ cvs: { 5: 1 }, bits: [{ cv: 6, mask: 3, value: 2 }] });
    for (const one of [set, patch, CvSet.empty]) {
      const before = JSON.stringify(one);
      ruin(one);
      ruin([...one]);
      ruin(one.toJSON());
      expect(JSON.stringify(one)).toBe(before);
    }
    expect([CvSet.empty.size, [...CvSet.empty], set.size, patch.size]).toEqual([0, [], 2, 2]);
    expect(CvSet.from({ 6: 0 }).apply(patch).toJSON()).toEqual({ 5: 1, 6: 2 });
  });

  test("places stay as they are", () => {
    const sixteen = page(16, 0);
    const places = [cv(29), cv(29).bit(5), cv(17).with(cv(18)), cv(67).through(94), sixteen.cv(300), sixteen];
    const before = JSON.stringify([places, places.map(String)]);
    for (const place of places) ruin(place);
    ruin(cv(29).bit(5).bitsOfCvs);
    expect(JSON.stringify([places, places.map(String)])).toBe(before);
    expect(String(sixteen.cv(301))).toBe("CV 301@16.0");
    expect(String(cv(29).bit(5))).toBe("CV 29 bit 5");
  });
});
