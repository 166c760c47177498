import { CvError, CvPatch, CvSet, cv, messageOf } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { keyOf } from "../../src/cv/name.js";
import { boom, hostile, oddThrows } from "../support/hostile.js";
import { imageOf } from "../support/image.js";

const byte = fc.integer({ min: 0, max: 255 });
const name = fc.oneof(
  fc.integer({ min: 1, max: 1024 }).map(String),
  fc
    .tuple(fc.integer({ min: 257, max: 512 }), fc.integer({ min: 14, max: 18 }), byte)
    .map(([number, high, low]) => `${number}@${high}.${low}`),
);
const maps = fc.dictionary(name, byte, { maxKeys: 30 });

/** The order of CVs: CV numbers, then pages. */
function order(a: string, b: string): number {
  const parts = (text: string) => text.split(/[@.]/).map(Number);
  const [an = 0, ah = -1, al = -1] = parts(a);
  const [bn = 0, bh = -1, bl = -1] = parts(b);
  return ah - bh || al - bl || an - bn;
}

describe("CvSet", () => {
  test("holds what its map held, in CV order", () => {
    fc.assert(
      fc.property(maps, (map) => {
        const cvs = CvSet.from(map);
        expect([...cvs]).toEqual(Object.entries(map).sort(([a], [b]) => order(a, b)));
        expect(cvs.size).toBe(Object.keys(map).length);
        expect(cvs.toJSON()).toEqual({ ...map });
        expect(Object.keys(cvs.toJSON())).toEqual([...cvs].map(([cv]) => cv));
        expect(CvSet.from(cvs.toJSON()).equals(cvs)).toBe(true);
        expect(CvSet.from(cvs).equals(cvs)).toBe(true);
        expect(CvSet.from(new Map(Object.entries(map))).equals(cvs)).toBe(true);
        for (const [one, value] of Object.entries(map)) {
          expect(cvs.get(one)).toBe(value);
          expect(cvs.has(one)).toBe(true);
        }
      }),
    );
  });

  test("get and has of what it does not hold", () => {
    const cvs = CvSet.from({ 29: 0, "300@16.0": 0 });
    expect([
      cvs.get(29),
      cvs.get("29"),
      cvs.get(30),
      cvs.get("300@16.0"),
      cvs.get("300@16.1"),
      cvs.get(300),
    ]).toEqual([0, 0, undefined, 0, undefined, undefined]);
    expect([cvs.has(29), cvs.has(30), cvs.has("300@16.0"), cvs.has("301@16.0")]).toEqual([
      true,
      false,
      true,
      false,
    ]);
    expect(() => cvs.get(0)).toThrow(CvError);
    expect(() => cvs.has("x")).toThrow(CvError);
  });

  test("with and without change one CV, and leave the set itself alone", () => {
    fc.assert(
      fc.property(maps, name, byte, (map, one, value) => {
        const cvs = CvSet.from(map);
        const changed = cvs.with(one, value);
        expect(changed.toJSON()).toEqual({ ...map, [one]: value });
        expect(cvs.toJSON()).toEqual({ ...map });
        const { [one]: _, ...others } = map;
        expect(cvs.without(one).toJSON()).toEqual(others);
        expect(changed.without(one).equals(CvSet.from(others))).toBe(true);
        expect(changed.without(one).size).toBe(Object.keys(others).length);
        expect(cvs.without(one, one).equals(cvs.without(one))).toBe(true);
        expect(cvs.toJSON()).toEqual({ ...map });
      }),
    );
  });

  test.each([-1, 256, 1.5, Number.NaN, Infinity, -0, "3", null, true, undefined, [3], 3n])(
    "%s is not a CV value",
    (value) => {
      const map = { 29: value } as Record<string, number>;
      expect(() => CvSet.from(map)).toThrow(/^CV 29: expected a whole number from 0 to 255, got .+$/);
      expect(() => CvSet.from([[29, value as number]])).toThrow(CvError);
      expect(() => CvSet.empty.with(29, value as number)).toThrow(CvError);
    },
  );

  test("tryFrom reports everything that is wrong, in order", () => {
    const json = JSON.parse(
      '{"1":3,"0":1,"29":1e400,"__proto__":5,"constructor":1,"30":"7","31":null,"512@9.9":-1}',
    );
    const result = CvSet.tryFrom(json);
    const issues = result.ok ? [] : result.issues;
    // Whole numbers come first in every object.
    expect(issues.map(({ code, places, params }) => [code, places?.[0]?.cv, params["found"]])).toEqual([
      ["cv", undefined, "0"],
      ["byte", "29", Infinity],
      ["byte", "30", "7"],
      ["byte", "31", null],
      ["cv", undefined, "__proto__"],
      ["cv", undefined, "constructor"],
      ["byte", "512@9.9", -1],
    ]);
    expect(() => CvSet.from(json)).toThrow(/0.*\n.*Infinity/);
  });

  const nested = JSON.parse(`${"[".repeat(5000)}${"]".repeat(5000)}`);
  test.each<[string, unknown]>([
    ["null", null],
    ["undefined", undefined],
    ["a number", 29],
    ["a text", "29"],
    ["true", true],
    ["a function", () => 1],
    ["a list of numbers", [29, 34]],
    ["a list of lists that are too short", [[29]]],
    ["a list of lists that are too long", [[29, 1, 2]]],
    ["a CV in a list", [[["29"], 1]]],
    ["a CV that is true", [[true, 1]]],
    ["an object without a prototype as the CV", [[Object.create(null), 1]]],
    ["null in a list", [null]],
    ["lists within lists", nested],
    ["a list as the value", { 29: nested }],
  ])("tryFrom never throws: %s", (_, input) => {
    const result = CvSet.tryFrom(input);
    expect(result.ok).toBe(false);
    expect(result.ok ? 0 : result.issues.length).toBeGreaterThan(0);
    expect(() => CvSet.from(input as Record<string, number>)).toThrow(CvError);
  });

  test.each(hostile)("tryFrom never throws: %s", (_, make) => {
    const result = CvSet.tryFrom(make());
    const said = result.ok ? [] : result.issues.map((issue) => messageOf(issue));
    expect(said).not.toEqual([]);
    expect(said).not.toContain("");
    expect(() => CvSet.from(make() as never)).toThrow(CvError);
  });

  test.each(oddThrows)("tryFrom never throws, whatever a getter throws: %s", (_, thrown) => {
    const map = Object.defineProperty({}, "1", {
      enumerable: true,
      get() {
        throw thrown;
      },
    });
    const result = CvSet.tryFrom(map);
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["unreadable"]);
    expect(result.ok || messageOf(result.issues[0]!)).toMatch(/^the input cannot be read: ./);
  });

  test("what was wrong before the input failed is told too", () => {
    const map = Object.defineProperty({ 1: 300 }, "x", { get: boom, enumerable: true });
    const result = CvSet.tryFrom(map);
    expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual([
      "CV 1: expected a whole number from 0 to 255, got 300",
      "the input cannot be read: boom",
    ]);
  });

  test("of very many faults the first thousand are told, and the rest is counted", () => {
    const many = Object.fromEntries(Array.from({ length: 100_000 }, (_, i) => [`x${i}`, 1]));
    const result = CvSet.tryFrom(many);
    const issues = result.ok ? [] : result.issues;
    expect([issues.length, issues.at(-1)?.params]).toEqual([1001, { count: 99_000 }]);
    expect(() => CvSet.from(many)).toThrow(/\nand 901 more$/);
    const bits = Array.from({ length: 5000 }, (_, i) => ({
      cv: `${257 + (i % 256)}@1.${i >> 8}`,
      mask: 1,
      value: 1,
    }));
    try {
      CvSet.empty.apply(CvPatch.from({ bits }));
      expect.unreachable();
    } catch (error) {
      expect((error as CvError).issues.length).toBe(1001);
    }
  });

  test("tryFrom takes or refuses anything, and what it takes is bytes of CVs", () => {
    const seen = { taken: 0, refused: 0 };
    fc.assert(
      fc.property(
        fc.oneof(
          fc.anything(),
          fc.dictionary(fc.oneof(name, fc.string()), fc.oneof(byte, fc.double())),
          fc.dictionary(name, byte, { minKeys: 1 }),
        ),
        (input) => {
          const result = CvSet.tryFrom(input);
          if (!result.ok) {
            seen.refused++;
            expect(result.issues).not.toEqual([]);
            return;
          }
          if (result.value.size > 0) seen.taken++;
          for (const [cv, value] of result.value) {
            expect(keyOf(cv)).toBeGreaterThan(0);
            expect(Number.isInteger(value) && value >= 0 && value < 256, `${value}`).toBe(true);
          }
        },
      ),
    );
    expect(Math.min(seen.taken, seen.refused)).toBeGreaterThan(0);
  });

  test("equals: the same CVs with the same values, however they were made", () => {
    const set = CvSet.from({ 1: 3, "300@16.0": 7 });
    expect(
      set.equals(
        CvSet.from([
          ["300@16.0", 7],
          [1, 3],
        ]),
      ),
    ).toBe(true);
    expect(set.equals(CvSet.from({ 1: 3, "300@16.0": 8 }))).toBe(false);
    expect(set.equals(CvSet.from({ 1: 4, "300@16.0": 7 }))).toBe(false);
    expect(set.equals(CvSet.from({ 1: 3 }))).toBe(false);
    expect(CvSet.from({ 1: 3 }).equals(set)).toBe(false);
    expect(CvSet.from({ 1: 3, 300: 7 }).equals(set)).toBe(false);
    expect(CvSet.from({ 1: 0 }).equals(CvSet.empty)).toBe(false);
    expect(CvSet.empty.equals(CvSet.from({}))).toBe(true);
    expect(set.with("301@16.0", 1).without("301@16.0").equals(set)).toBe(true);
  });

  test("changing an image never changes the set that it came from, nor another image", () => {
    fc.assert(
      fc.property(maps, fc.array(fc.tuple(name, byte), { minLength: 1, maxLength: 10 }), (map, changes) => {
        const set = CvSet.from(map);
        const image = imageOf(set);
        const other = imageOf(set);
        for (const [one, value] of changes) image.set(cv(one).key, value);
        expect(set.toJSON()).toEqual({ ...map });
        expect([...other.keys()].length).toBe(set.size);
        for (const [one, value] of Object.entries(map)) expect(other.get(cv(one).key)).toBe(value);
        for (const [one, value] of new Map(changes)) expect(image.get(cv(one).key)).toBe(value);
      }),
    );
  });

  test("the empty set cannot be filled", () => {
    imageOf(CvSet.empty).set(1, 1);
    expect(CvSet.empty.size).toBe(0);
    expect([...CvSet.empty]).toEqual([]);
  });
});

describe("CvSet.apply", () => {
  const bits = fc.tuple(name, fc.integer({ min: 1, max: 255 }), byte);
  const patches = fc
    .array(bits, { maxLength: 12 })
    .map((changes) =>
      CvPatch.from({ bits: changes.map(([cv, mask, value]) => ({ cv, mask, value: value & mask })) }),
    );
  const everything = fc.tuple(patches, patches, fc.infiniteStream(byte)).map(([a, b, bytes]) => {
    const names = new Set([...a, ...b].map(({ cv }) => cv));
    return {
      a,
      b,
      cvs: CvSet.from([...names].map((one): [string, number] => [one, bytes.next().value as number])),
    };
  });

  test("changes the bits of the patch and no other, against a bit-by-bit reference", () => {
    fc.assert(
      fc.property(everything, ({ a, cvs }) => {
        const expected = new Map(cvs);
        for (const { cv, mask, value } of a) {
          let byte = 0;
          for (let bit = 7; bit >= 0; bit--) {
            const from = (mask >> bit) & 1 ? value : (cvs.get(cv) ?? 0);
            byte = byte * 2 + ((from >> bit) & 1);
          }
          expected.set(cv, byte);
        }
        expect(new Map(cvs.apply(a))).toEqual(expected);
      }),
    );
  });

  test("twice is once; one after the other is followedBy", () => {
    fc.assert(
      fc.property(everything, ({ a, b, cvs }) => {
        expect(cvs.apply(a).apply(a).equals(cvs.apply(a))).toBe(true);
        expect(
          cvs
            .apply(a)
            .apply(b)
            .equals(cvs.apply(a.followedBy(b))),
        ).toBe(true);
        expect(cvs.apply(CvPatch.from({})).equals(cvs)).toBe(true);
      }),
    );
  });

  test("a whole byte needs no base; some bits do, and every CV that lacks one is named", () => {
    const patch = CvPatch.from({
      cvs: { 5: 200 },
      bits: [
        { cv: 29, mask: 0b0010_0001, value: 1 },
        { cv: "300@16.0", mask: 1, value: 1 },
        { cv: 30, mask: 255, value: 9 },
      ],
    });
    expect(CvSet.from({ 29: 4, "300@16.0": 0 }).apply(patch).toJSON()).toEqual({
      5: 200,
      29: 5,
      30: 9,
      "300@16.0": 1,
    });
    let issues: unknown;
    try {
      CvSet.empty.apply(patch);
    } catch (error) {
      issues =
        error instanceof CvError
          ? [error.issues.map(({ code, places }) => [code, places]), error.message]
          : error;
    }
    expect(issues).toEqual([
      [
        ["unknown-bits", [{ cv: "29", mask: 0b1101_1110 }]],
        ["unknown-bits", [{ cv: "300@16.0", mask: 254 }]],
      ],
      "CV 29 bits 1-4, 6-7: not known, and the other bits of the CV are to be written: give the present CVs as the base\n" +
        "CV 300@16.0 bits 1-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
    ]);
  });
});
