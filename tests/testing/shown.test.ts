import { CvSet, cv, level, record } from "cvset";
import { describe, expect, test } from "vitest";
import { refusal } from "../../src/testing/json-schema.js";
import { changes, differences, short, shortCvs } from "../../src/testing/shown.js";
import { everySet, ownedBits, same, setWith } from "../../src/testing/source.js";

const many = (count: number, value: number): CvSet =>
  CvSet.from(Object.fromEntries(Array.from({ length: count }, (_, i) => [i + 1, value])));

describe("what a broken law shows", () => {
  test("a value: up to 300 letters of it", () => {
    expect(short({ a: [1, "x"] })).toBe('{"a":[1,"x"]}');
    expect(short("x".repeat(298))).toBe(`"${"x".repeat(298)}"`);
    expect(short("x".repeat(299))).toBe(`"${"x".repeat(299)}... (1 more letters)`);
  });

  test("the CVs that matter: up to 24", () => {
    const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7 });
    expect(shortCvs(cvs, (name) => name !== "29")).toBe('{ "1": 3, "300@16.0": 7 }');
    expect(shortCvs(cvs, () => false)).toBe("{  }");
    expect(shortCvs(many(24, 0), () => true)).toMatch(/"24": 0 }$/);
    expect(shortCvs(many(26, 0), () => true)).toMatch(/"24": 0, ... \(2 more\) }$/);
  });

  test.each<[was: unknown, is: unknown, shown: string]>([
    [1, 2, "1 came back as 2"],
    [{ a: 1, b: { c: 2 } }, { a: 1, b: { c: 3 } }, "b.c: 2 came back as 3"],
    [
      { a: 1, b: 2 },
      { b: 3, c: 4 },
      "a: 1 came back as undefined\nb: 2 came back as 3\nc: undefined came back as 4",
    ],
    [{ a: [1] }, { a: [2] }, "a: [1] came back as [2]"],
    [{ a: {} }, { a: "x" }, 'a: {} came back as "x"'],
    ["x", {}, '"x" came back as {}'],
    [{ a: 1 }, { a: 1 }, ""],
    [
      { a: 1, b: 1, c: 1, d: 1, e: 1, f: 1, g: 1, h: 1 },
      { a: 1, b: 2, c: 2, d: 2, e: 2, f: 2, g: 2, h: 2 },
      `${["b", "c", "d", "e", "f", "g"].map((name) => `${name}: 1 came back as 2`).join("\n")}\nand 1 more`,
    ],
  ])("what differs between %j and %j, setting by setting: up to 6", (was, is, shown) => {
    expect(differences(was, is)).toBe(shown);
  });

  test("the CVs that changed: up to 24", () => {
    expect(changes(CvSet.from({ 1: 3, 2: 4, 5: 6 }), CvSet.from({ 1: 3, 2: 5, 7: 8 }))).toBe(
      "CV 2 went from 4 to 5, CV 5 went from 6 to absent, CV 7 went from absent to 8",
    );
    expect(changes(many(24, 0), many(24, 1))).toMatch(/, CV 24 went from 0 to 1$/);
    expect(changes(many(27, 0), many(27, 1))).toMatch(/, CV 24 went from 0 to 1 and 3 more$/);
  });
});

describe("whether two values are the same", () => {
  test.each<[a: unknown, b: unknown]>([
    [1, 1],
    [Number.NaN, Number.NaN],
    [0, -0],
    [null, null],
    [[], []],
    [
      [1, { a: [2] }],
      [1, { a: [2] }],
    ],
    [
      { a: 1, b: 2 },
      { b: 2, a: 1 },
    ],
    [Object.assign(Object.create(null), { a: 1 }), { a: 1 }],
  ])("%j is %j", (a, b) => {
    expect([same(a, b), same(b, a)]).toEqual([true, true]);
  });
  test.each<[a: unknown, b: unknown]>([
    [1, 2],
    [1, "1"],
    [null, undefined],
    [null, {}],
    ["a", ["a"]],
    [{}, []],
    [{ 0: 1 }, [1]],
    [[1], [1, 2]],
    [
      [1, { a: [2] }],
      [1, { a: [3] }],
    ],
    [{ a: undefined }, { b: undefined }],
    [{ a: 1 }, { a: 1, b: 2 }],
    [{ toString: Object.prototype.toString }, { a: 1 }],
  ])("%j is not %j", (a, b) => {
    expect([same(a, b), same(b, a)]).toEqual([false, false]);
  });
});

test("every pattern of the bits that a codec owns, lowest CV and bit first", () => {
  const codec = record({ a: level(cv(7).bits(2, 3)), b: level(cv(3).bit(7)) });
  expect(ownedBits(codec)).toBe(3);
  expect([...everySet(codec)].map((cvs) => [cvs.get(3), cvs.get(7)])).toEqual([
    [0, 0],
    [128, 0],
    [0, 4],
    [128, 4],
    [0, 8],
    [128, 8],
    [0, 12],
    [128, 12],
  ]);
  const bits = [1, 0, 1];
  expect(setWith(codec, () => bits.shift() ?? 0).toJSON()).toEqual({ 3: 128, 7: 8 });
});

describe("why a schema refuses a value", () => {
  const deep = {
    type: "object",
    properties: {
      a: { type: "array", items: { type: "integer", maximum: 3 }, prefixItems: [{ const: "x" }] },
      b: { type: "object", required: ["c"], properties: { c: {} }, additionalProperties: { minimum: 2 } },
      d: false,
    },
    additionalProperties: false,
  };
  test.each<[schema: object | boolean, value: unknown, why: string | undefined]>([
    [true, 1, undefined],
    [false, 1, "the value: the schema refuses everything"],
    [{ type: "integer" }, 1.5, 'the value: type "integer" does not hold'],
    [{ type: "null" }, 0, 'the value: type "null" does not hold'],
    [{ type: "null" }, null, undefined],
    [{ type: "array" }, {}, 'the value: type "array" does not hold'],
    [{ type: "object" }, [], 'the value: type "object" does not hold'],
    [{ type: "object" }, null, 'the value: type "object" does not hold'],
    [{ type: ["string", "boolean"] }, true, undefined],
    [{ type: ["string", "boolean"] }, 1, 'the value: type ["string","boolean"] does not hold'],
    [{ const: { a: 1 } }, { a: 1 }, undefined],
    [{ const: { a: 1 } }, { a: 2 }, 'the value: const {"a":1} does not hold'],
    [{ enum: [1, [2]] }, [2], undefined],
    [{ enum: [1, [2]] }, 2, "the value: enum [1,[2]] does not hold"],
    [{ minimum: 2 }, 2, undefined],
    [{ minimum: 2 }, 1, "the value: minimum 2 does not hold"],
    [{ minimum: 2 }, "1", undefined],
    [{ maximum: 2 }, 2, undefined],
    [{ maximum: 2 }, 3, "the value: maximum 2 does not hold"],
    [{ exclusiveMinimum: 2 }, 2, "the value: exclusiveMinimum 2 does not hold"],
    [{ exclusiveMinimum: 2 }, 2.1, undefined],
    [{ exclusiveMaximum: 2 }, 2, "the value: exclusiveMaximum 2 does not hold"],
    [{ exclusiveMaximum: 2 }, 1.9, undefined],
    [{ multipleOf: 0.1 }, 0.3, undefined],
    [{ multipleOf: 0.1 }, 0.35, "the value: multipleOf 0.1 does not hold"],
    [{ multipleOf: 2 }, "x", undefined],
    [{ minLength: 2 }, "é", "the value: minLength 2 does not hold"],
    [{ minLength: 2 }, "\u{1f682}x", undefined],
    [{ minLength: 2 }, ["x"], undefined],
    [{ maxLength: 1 }, "\u{1f682}", undefined],
    [{ maxLength: 1 }, "ab", "the value: maxLength 1 does not hold"],
    [{ pattern: "^a" }, "ba", 'the value: pattern "^a" does not hold'],
    [{ pattern: "^.$" }, "\u{1f682}", undefined],
    [{ pattern: "^a" }, 3, undefined],
    [{ minItems: 1 }, [], "the value: minItems 1 does not hold"],
    [{ minItems: 1 }, "", undefined],
    [{ maxItems: 1 }, [1], undefined],
    [{ maxItems: 1 }, [1, 2], "the value: maxItems 1 does not hold"],
    [{ uniqueItems: true }, [1, [2], [2]], "the value: uniqueItems true does not hold"],
    [{ uniqueItems: true }, [1, [2], 2], undefined],
    [{ uniqueItems: true }, "aa", undefined],
    [{ uniqueItems: false }, [1, 1], undefined],
    [{ anyOf: [{ const: 1 }, { const: 2 }] }, 2, undefined],
    [{ anyOf: [{ const: 1 }] }, 2, 'the value: anyOf [{"const":1}] does not hold'],
    [{ oneOf: [{ minimum: 1 }, { minimum: 2 }] }, 1, undefined],
    [
      { oneOf: [{ minimum: 1 }, { minimum: 2 }] },
      2,
      'the value: oneOf [{"minimum":1},{"minimum":2}] does not hold',
    ],
    [{ allOf: [{ minimum: 1 }, { maximum: 2 }] }, 3, "the value: maximum 2 does not hold"],
    [{ not: { const: 1 } }, 1, 'the value: not {"const":1} does not hold'],
    [{ not: { const: 1 } }, 2, undefined],
    [{ title: "x", $comment: "y", constructor: 1, toString: 2 }, 2, undefined],
    [{ required: ["a"] }, { b: 1 }, 'the value: "a" is required'],
    [{ required: ["a"] }, { a: undefined }, 'the value: "a" is required'],
    [{ required: ["a"] }, "x", undefined],
    [{ additionalProperties: false }, { a: 1 }, 'the value: "a" is not allowed'],
    [{ additionalProperties: false }, { a: undefined }, undefined],
    [{ additionalProperties: false }, [1], undefined],
    [{ properties: { a: { const: 1 } } }, [], undefined],
    [{ items: { const: 1 } }, { 0: 2 }, undefined],
    [{ prefixItems: [{ const: 1 }] }, [], undefined],
    [{ prefixItems: [{ const: 1 }] }, { 0: 2 }, undefined],
    [deep, { a: ["x", 3], b: { c: 0, e: 2 } }, undefined],
    [deep, { a: ["y"] }, 'a.0: const "x" does not hold'],
    [deep, { a: ["x", 3, 4] }, "a.2: maximum 3 does not hold"],
    [deep, { b: {} }, 'b: "c" is required'],
    [deep, { b: { c: 1, e: 1 } }, "b.e: minimum 2 does not hold"],
    [deep, { d: 1 }, "d: the schema refuses everything"],
    [deep, { d: undefined }, undefined],
    [deep, { toString: 1 }, 'the value: "toString" is not allowed'],
  ])("%j of %j", (schema, value, why) => {
    expect(refusal(schema as never, value)).toBe(why);
  });
});
