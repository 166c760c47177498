import {
  type AnyCodec,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  defineDecoder,
  derived,
  jsonOf,
  level,
  messageOf,
  record,
  switched,
  table,
  text,
} from "cvset";
import { describe, expect, test } from "vitest";
import { saidBy } from "../support/said.js";

// Numbers at the ends of what fits, to the word.

describe("a number that is stored with a distance", () => {
  const near = level(cv(1), { offset: 10, min: 12, max: 20 });
  test.each([
    [2, 12],
    [10, 20],
  ])("stored %i is %i", (stored, value) => {
    expect(near.decode(CvSet.from({ 1: stored }))).toBe(value);
    expect(near.encode(value).toJSON().cvs).toEqual({ 1: stored });
  });

  test.each([0, 1, 11, 200, 255])(
    "stored %i is out of range, and the message has the stored number",
    (stored) => {
      const said = [`CV 1: the stored number ${stored} is out of range; allowed is 2 to 10, for 12 to 20`];
      expect(saidBy(() => near.decode(CvSet.from({ 1: stored })))).toEqual(said);
      const result = near.tryDecode(CvSet.from({ 1: stored }));
      expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual(said);
    },
  );

  test.each([11, 21, -1, 1e9])("%d is out of range", (value) => {
    expect(saidBy(() => near.encode(value))).toEqual([`${value} is out of range; allowed is 12 to 20`]);
  });
});

describe("a codec from outside that writes what it must not", () => {
  const writes = (put: readonly [number, number, number], place = cv(50).bits(0, 3)) =>
    saidBy(() =>
      defineCodec<number>({
        kind: "own",
        places: [place],
        read: () => 1,
        write: (cvs) => cvs.put(...put),
      }).encode(1),
    );
  const foreign = 'a codec of kind "own" writes bits that it does not own';
  test.each<[readonly [number, number, number], string[]]>([
    [[50, 15, 15], []],
    [[50, 1, 1], []],
    [[50, 0, 0], []],
    [[50, 16, 16], [`CV 50 bit 4: ${foreign}`]],
    [[50, 255, 1], [`CV 50 bits 4-7: ${foreign}`]],
    [[51, 1, 1], [`CV 51 bit 0: ${foreign}`]],
    [[50, 1, 2], ['CV 50: a codec of kind "own" writes 2, which does not fit its bits']],
    [[50, 3, 1.5], ['CV 50: a codec of kind "own" writes 1.5, which does not fit its bits']],
    [[50, 0, 1], ['CV 50: a codec of kind "own" writes 1, which does not fit its bits']],
  ])("put(%j)", (put, said) => {
    expect(writes(put)).toEqual(said);
  });

  test("and has no form in JSON", () => {
    const own = defineCodec<number>({ kind: "own", places: [cv(50)], read: () => 1, write: () => {} });
    const other = defineCodec<number>({ kind: "own", places: [cv(51)], read: () => 1, write: () => {} });
    const said = 'a codec of kind "own" holds code and cannot be written as JSON';
    expect(saidBy(() => jsonOf(own))).toEqual([said]);
    expect(saidBy(() => jsonOf(record({ a: own, b: record({ c: other }) })))).toEqual([
      `a: ${said}`,
      `b.c: ${said}`,
    ]);
  });
});

describe("the value of a place", () => {
  test.each<[AnyCodec, unknown, object]>([
    [level(cv(1)), 255, { 1: 255 }],
    [level(cv(1)), 0, { 1: 0 }],
    [level(cv(1).with(cv(2))), 65535, { 1: 255, 2: 255 }],
    [level(cv(1).with(cv(2))), 256, { 1: 1, 2: 0 }],
    [level(cv(1).with(cv(2).with(cv(3)))), 0x010203, { 1: 1, 2: 2, 3: 3 }],
    [table(cv(10).through(12)), [0, 255, 7], { 10: 0, 11: 255, 12: 7 }],
  ])("%# both ways", (codec, value, cvs) => {
    expect(codec.encode(value as never).toJSON().cvs).toEqual(cvs);
    expect(codec.decode(CvSet.from(cvs as Record<string, number>))).toEqual(value);
  });

  test("read and written as a number, from 0 to the highest that fits", () => {
    const own = (place: ReturnType<typeof cv>) =>
      defineCodec<number>({
        kind: "own",
        places: [place],
        read: (cvs) => place.read(cvs),
        write: (cvs, value) => place.write(cvs, value),
      });
    expect(own(cv(1)).encode(255).toJSON().cvs).toEqual({ 1: 255 });
    expect(own(cv(1)).encode(0).toJSON().cvs).toEqual({ 1: 0 });
    for (const value of [0, 255]) expect(own(cv(1)).decode(CvSet.from({ 1: value }))).toBe(value);
    for (const value of [256, -1, 0.5, Number.NaN])
      expect(saidBy(() => own(cv(1)).encode(value))).toEqual([
        `expected a whole number from 0 to 255, got ${value}`,
      ]);
  });
});

describe("pairs around a codec with a range", () => {
  const gear = converted(choice(cv(1), { a: 0, b: 1 }), [
    ["a", "low"],
    ["b", "high"],
  ]);
  test("what is no value, no stored option, or missing: one issue each", () => {
    expect(saidBy(() => gear.encode("middle" as never))).toEqual([
      '"middle" is not an option; the options are "low", "high"',
    ]);
    expect(saidBy(() => gear.decode(CvSet.from({ 1: 2 })))).toEqual([
      "CV 1: no option has the stored number 2; the options are 0 a, 1 b",
    ]);
    expect(saidBy(() => gear.decode(CvSet.empty))).toEqual(["CV 1: not in the CV set"]);
    expect(gear.tryDecode(CvSet.from({ 1: 1 }))).toEqual({ ok: true, value: "high" });
  });

  test("functions that do not undo each other are refused, whichever way the value comes", () => {
    const squared = converted(level(cv(1)), { decode: (n) => n * n, encode: (n: number) => Math.round(n) });
    for (const value of [2, 3, 10]) {
      const said = `${value} would be stored as ${value}, which stands for ${value * value}`;
      expect(saidBy(() => squared.encode(value))).toEqual([said]);
      expect(saidBy(() => record({ a: squared }).encode({ a: value }))).toEqual([`a: ${said}`]);
    }
    expect(squared.encode(1).toJSON().cvs).toEqual({ 1: 1 });
  });
});

describe("functions that convert: what is to be stored must be what is read back", () => {
  class Point {
    constructor(
      readonly x: number,
      readonly y: number,
    ) {}
  }
  class Inherits {
    get x() {
      return 1;
    }
    get y() {
      return 2;
    }
  }
  /** Whether a value can be written, when the stored number reads back as another. */
  const accepts = (input: unknown, readBack: unknown, nearest = false): boolean =>
    saidBy(() =>
      converted(level(cv(1)), { decode: () => readBack, encode: () => 0 }).encode(input, { nearest }),
    ).length === 0;

  // [what is written, what is read back, whether they are the same]
  test.each<[unknown, unknown, boolean]>([
    [1, 1, true],
    [1, 2, false],
    [0.1 + 0.2, 0.3, true],
    [Number.NaN, Number.NaN, true],
    ["1", 1, false],
    [1, "1", false],
    ["a", "a", true],
    [true, 1, false],
    [null, 0, false],
    [null, {}, false],
    [{}, null, false],
    [[], 0, false],
    [[], [], true],
    [[1, 2], [1, 2], true],
    [[1, 2], [1, 3], false],
    [[1, 2], [3, 2], false],
    [[1], [1, 2], false],
    [[1, 2], [1], false],
    [[], {}, false],
    [{}, [], false],
    [{ 0: 1 }, [1], false],
    [[1], { 0: 1 }, false],
    [{ x: 1 }, { x: 1 }, true],
    // A key that is left out stays as it is; one that is there must be the same.
    [{ x: 1 }, { x: 1, y: 2 }, true],
    [{ x: 1, y: undefined }, { x: 1, y: 2 }, true],
    [{ x: 1, y: 3 }, { x: 1, y: 2 }, false],
    [{ x: 1, z: 1 }, { x: 1 }, false],
    [{ x: [1, { y: 2 }] }, { x: [1, { y: 2 }] }, true],
    [{ x: [1, { y: 2 }] }, { x: [1, { y: 3 }] }, false],
    // Objects of a class.
    [new Point(1, 2), { x: 1, y: 2 }, true],
    [new Point(1, 3), { x: 1, y: 2 }, false],
    [new Inherits(), { x: 1, y: 2 }, true],
    [new Inherits(), { x: 1, y: 3 }, false],
    [new Date(0), { x: 1 }, false],
    [new Point(1, 2), new Point(1, 2), true],
    [new Point(1, 2), new Point(1, 3), false],
    [{ x: 1, y: 2 }, new Point(1, 2), true],
    [{ x: 1 }, new Point(1, 2), true],
    [{ x: 2 }, new Point(1, 2), false],
    [{}, new Point(1, 2), false],
    [new Date(5), new Date(5), true],
    [new Date(5), new Date(6), false],
    [new Date(5), new Point(1, 2), false],
    [new Set([1, 2]), new Set([1, 2]), true],
    [new Set([1, 2]), new Set([1, 3]), false],
    [new Map([["a", 1]]), new Map([["a", 1]]), true],
    [new Map([["a", 1]]), new Map([["a", 2]]), false],
  ])("%o, read back as %o: %s", (input, readBack, is) => {
    expect(accepts(input, readBack)).toBe(is);
  });

  test("with nearest, numbers may differ, and nothing else", () => {
    expect(accepts(1, 2)).toBe(false);
    expect(accepts(1, 2, true)).toBe(true);
    expect(accepts([1, "a"], [2, "a"], true)).toBe(true);
    expect(accepts([1, "a"], [2, "b"], true)).toBe(false);
    expect(accepts({ x: 1, y: "a" }, { x: 2, y: "a" }, true)).toBe(true);
    expect(accepts({ x: 1, y: "a" }, { x: 2, y: "b" }, true)).toBe(false);
    expect(accepts("1", 1, true)).toBe(false);
    expect(accepts([1], [1, 2], true)).toBe(false);
    expect(accepts(new Point(1, 2), new Point(1, 3), true)).toBe(true);
    expect(accepts(new Set([1]), new Set([2]), true)).toBe(true);
    expect(accepts({ x: 1 }, new Point(2, 3), true)).toBe(true);
  });
});

test("a codec around another one has the parts of that one, however deep", () => {
  const inner = record({ a: level(cv(1)), b: level(cv(2)) });
  const around = (item: AnyCodec) => defineCodec({ kind: "around", item });
  const names = (codec: AnyCodec) => Object.keys(codec.data.kind === "custom" ? codec.data.parts : {});
  expect(names(around(inner))).toEqual(["a", "b"]);
  expect(names(around(switched(cv(3).bit(0), inner)))).toEqual(["a", "b"]);
  expect(names(around(around(inner)))).toEqual(["a", "b"]);
  expect(names(around(level(cv(1))))).toEqual([]);
  expect(names(around(choice(cv(1), { a: 0 })))).toEqual([]);
});

describe("the ends of ranges", () => {
  const decoder = defineDecoder({
    id: "x1",
    name: "X1",
    kind: "multifunction",
    features: {
      notches: table(cv(10).through(12), { min: 1, max: 9 }),
      share: level(cv(13), { step: 0.1, min: 0.8, max: 1.2 }),
      name: text(cv(14).through(17)),
      half: converted(level(cv(18), { step: 0.5 }), { decode: (n) => n, encode: (n: number) => n }),
      lamp: record({ a: level(cv(19)), b: level(cv(20)) }),
    },
  });
  const base = CvSet.from(Object.fromEntries(Array.from({ length: 20 }, (_, i) => [i + 1, 50])));

  test.each([
    [[1, 9, 5], []],
    [[1, 10, 5], ["notches.1: 10 is out of range; allowed is 1 to 9"]],
    [[0, 9, 5], ["notches.0: 0 is out of range; allowed is 1 to 9"]],
    [[1, 9, 5.5], ["notches.2: 5.5 cannot be stored exactly; the nearest are 5 and 6"]],
  ])("of a table in a whole set: %j", (notches, said) => {
    expect(saidBy(() => decoder.encode({ notches }, base))).toEqual(said);
    expect(saidBy(() => decoder.patch({ notches }))).toEqual(said);
  });

  test("the noise of binary fractions is no way out of the range, at either end", () => {
    expect(decoder.patch({ share: 0.7 + 0.1 }).toJSON().cvs).toEqual({ 13: 8 });
    expect(decoder.patch({ share: 1.1 + 0.1 }).toJSON().cvs).toEqual({ 13: 12 });
    expect(saidBy(() => decoder.patch({ share: 0.79 }))).toEqual([
      "share: 0.79 is out of range; allowed is 0.8 to 1.2",
    ]);
    expect(saidBy(() => decoder.patch({ share: 1.21 }))).toEqual([
      "share: 1.21 is out of range; allowed is 0.8 to 1.2",
    ]);
  });

  test("a text is of the characters 32 to 126; each byte that is none is named, and no other", () => {
    const bad = (...bytes: number[]) =>
      saidBy(() =>
        decoder.features.name.decode(CvSet.from(bytes.map((byte, i) => [14 + i, byte] as const))),
      ).map((line) => line.slice(0, 5));
    expect(bad(32, 126, 65, 0)).toEqual([]);
    expect(bad(31, 65, 200, 0)).toEqual(["CV 14", "CV 16"]);
    expect(bad(32, 65, 200, 0)).toEqual(["CV 16"]);
    expect(bad(126, 127, 65, 0)).toEqual(["CV 15"]);
    expect(bad(65, 0, 66, 0)).toEqual(["CV 16"]);
  });

  test("to the nearest, through functions that convert", () => {
    expect(decoder.tryEncode({ half: 0.4 }, base)).toMatchObject({ ok: false });
    expect(decoder.tryEncode({ half: 0.4 }, base, { nearest: true }).value?.get(18)).toBe(1);
    expect(decoder.patch({ half: 0.4 }, { nearest: true }).toJSON().cvs).toEqual({ 18: 1 });
  });

  test("an object of a class that has some of the settings", () => {
    class Some {
      get a() {
        return 7;
      }
    }
    class None {}
    expect(decoder.patch({ lamp: new Some() }).toJSON().cvs).toEqual({ 19: 7 });
    const said = "lamp: expected an object with settings (a, b), got";
    expect(saidBy(() => decoder.patch({ lamp: new None() }))).toEqual([`${said} {}`]);
    expect(saidBy(() => decoder.patch({ lamp: new Date() as object }))).toEqual([`${said} Date {...}`]);
  });
});

test("what is worked out from several places names each of them", () => {
  const sum = derived(cv(1), { from: [cv(2), cv(3).bits(0, 3), cv(4).through(6)], by: "sum" });
  const cvs = CvSet.from({ 1: 7, 2: 1, 3: 1, 4: 1, 5: 1, 6: 1 });
  expect(saidBy(() => sum.decode(cvs))).toEqual([
    "CV 1: expected 5, as worked out from CV 2, CV 3 bits 0-3, CV 4-6; found 7",
  ]);
});
