import type { Json } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fromSchema, isOf } from "../../src/testing/from-schema.js";

type Schema = { readonly [key: string]: Json };

const sample = (schema: Json, numRuns = 300): unknown[] =>
  fc.sample(fromSchema(schema), { numRuns, seed: 1 });
const once = (values: readonly unknown[]): unknown[] =>
  [...new Set(values.map((value) => JSON.stringify(value)))]
    .sort()
    .map((text) => (text === undefined ? text : JSON.parse(text)));
const kinds = (values: readonly unknown[]): unknown[] =>
  once(values.map((value) => (value === null ? "null" : Array.isArray(value) ? "list" : typeof value)));

describe("values are made from a schema", () => {
  test.each<[schema: Schema, values: unknown[]]>([
    [{ const: 3 }, [3]],
    [{ const: null, type: "integer" }, [null]],
    [{ enum: [1, "a", [2]] }, ["a", 1, [2]]],
    [{ oneOf: [{ const: 1 }, { const: 2 }] }, [1, 2]],
    [{ anyOf: [{ const: 1 }, { enum: [2, 3] }] }, [1, 2, 3]],
    [{ type: "boolean" }, [false, true]],
    [{ type: "null" }, [null]],
    [{ type: ["null", "boolean"] }, [false, null, true]],
    [{ type: "integer", minimum: 3, maximum: 6 }, [3, 4, 5, 6]],
    [{ type: "integer", exclusiveMinimum: 3, exclusiveMaximum: 6 }, [3, 4, 5, 6]],
    [{ type: "integer", minimum: 3, maximum: 12, multipleOf: 4 }, [12, 4, 8]],
    [{ type: "number", minimum: 0, maximum: 1, multipleOf: 0.25 }, [0, 0.25, 0.5, 0.75, 1]],
    [{ type: "integer", minimum: 7, maximum: 3 }, [3]],
    [{ minimum: 1, maximum: 1, multipleOf: 1 }, [1]],
    [{ type: "string", maxLength: 0 }, [""]],
    [{ pattern: "^a$", maxLength: 3 }, ["", "a", "aa", "aaa"]],
    [{ pattern: "^a$", minLength: 2, maxLength: 3 }, ["a", "aa", "aaa"]],
    [{ type: "array", items: { const: 1 }, maxItems: 2 }, [[], [1], [1, 1]]],
    [{ items: { const: 1 }, minItems: 1, maxItems: 2 }, [[1], [1, 1]]],
    [
      { items: { const: 1 }, minItems: 2 },
      [2, 3, 4, 5, 6, 7].map((length) => Array.from({ length }, () => 1)),
    ],
    [{ items: { enum: [1, 2] }, maxItems: 3, uniqueItems: true }, [[], [1], [1, 2], [2], [2, 1]]],
    [{ prefixItems: [{ const: 1 }, { const: 2 }], items: false }, [[1, 2]]],
    [{ prefixItems: [{ const: 1 }], items: { const: 2 }, maxItems: 2 }, [[1], [1, 2]]],
    [{ prefixItems: [{ const: 1 }], items: { const: 2 }, minItems: 2, maxItems: 2 }, [[1, 2]]],
    [{ properties: { a: { const: 1 } }, required: ["a"] }, [{ a: 1 }]],
    [{ properties: { a: { const: 1 }, b: { const: 2 } }, required: ["b", "c"] }, [{ a: 1, b: 2 }, { b: 2 }]],
    [{ type: "object" }, [{}]],
    [{ required: ["a"] }, [{}]],
    [{ $schema: "s", title: "t", description: "d", default: 1, examples: [], format: "x", const: 5 }, [5]],
  ])("%j", (schema, values) => {
    const inOrder = (all: unknown[]) => all.map((value) => JSON.stringify(value)).sort();
    expect(inOrder(once(sample(schema)))).toEqual(inOrder(values));
  });

  test("without limits they are of many sizes", () => {
    const numbers = sample({ type: "number" }) as number[];
    expect(numbers.every((n) => n >= -70_000 && n <= 70_000)).toBe(true);
    expect(numbers.some((n) => n < -1000) && numbers.some((n) => n > 1000)).toBe(true);
    expect(numbers.some((n) => !Number.isInteger(n))).toBe(true);
    expect(numbers.some((n) => !Number.isInteger(n) && n * 10 === Math.round(n * 10))).toBe(true);
    const whole = sample({ type: "integer", multipleOf: 5 }) as number[];
    expect(whole.every((n) => n % 5 === 0 && Math.abs(n) <= 350_000)).toBe(true);
    expect(whole.some((n) => n < -100_000) && whole.some((n) => n > 100_000)).toBe(true);
    const above = sample({ type: "integer", minimum: 100_000 }) as number[];
    expect(above.every((n) => n >= 100_000 && n <= 170_000)).toBe(true);
    const below = sample({ type: "integer", maximum: -100_000 }) as number[];
    expect(below.every((n) => n <= -100_000 && n >= -170_000)).toBe(true);
    const fractions = sample({ type: "number", minimum: 2, maximum: 3 }) as number[];
    expect(fractions.every((n) => n >= 2 && n <= 3)).toBe(true);
    expect(once(fractions).length).toBeGreaterThan(50);
    const texts = sample({ type: "string" }) as string[];
    expect(texts.every((text) => text.length <= 40)).toBe(true);
    const letters = sample({ type: "string", minLength: 45 }) as string[];
    expect(once(letters.map((text) => text.length))).toEqual([45]);
    const lists = sample({ items: { const: 1 } }) as unknown[][];
    expect(once(lists.map((list) => list.length))).toEqual([0, 1, 2, 3, 4, 5]);
  });

  test("where the schema says nothing of it, they are of every kind", () => {
    const every = ["boolean", "list", "null", "number", "object", "string"];
    expect(kinds(sample(true))).toEqual(every);
    expect(kinds(sample({}))).toEqual(every);
    expect(kinds(sample({ type: "anything" }))).toEqual(every);
    expect(kinds(sample({ minimum: 3 }))).toEqual(["number"]);
    expect(kinds(sample({ maximum: 3 }))).toEqual(["number"]);
    expect(kinds(sample({ minLength: 3 }))).toEqual(["string"]);
    expect(kinds(sample({ maxLength: 3 }))).toEqual(["string"]);
    expect(kinds(sample({ items: true }))).toEqual(["list"]);
    expect(kinds(sample({ prefixItems: [] }))).toEqual(["list"]);
    expect(kinds(sample({ type: "object", properties: 3 }))).toEqual(["object"]);
    expect(kinds(sample({ enum: [], oneOf: [], type: "null" }))).toEqual(["null"]);
  });

  test.each<[schema: Json, says: string]>([
    [false, "its schema refuses everything"],
    [null, "its schema refuses everything"],
    [{ $ref: "#" }, "values cannot be made from the keyword $ref of its schema"],
    [
      { type: "object", patternProperties: {} },
      "values cannot be made from the keyword patternProperties of its schema",
    ],
    [{ oneOf: [{ if: true }] }, "values cannot be made from the keyword if of its schema"],
    [{ items: { contains: {} } }, "values cannot be made from the keyword contains of its schema"],
    [
      { pattern: "(" },
      'texts cannot be made from the pattern "(" (Invalid regular expression: /(/u: Unterminated group)',
    ],
  ])("%j is refused", (schema, says) => {
    expect(() => fromSchema(schema)).toThrow(new Error(says));
  });

  test("a value is one of a schema or not", () => {
    expect([isOf({ const: 1 }, 1), isOf({ const: 1 }, 2)]).toEqual([true, false]);
  });
});
