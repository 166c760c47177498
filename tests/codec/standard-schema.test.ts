import type { StandardJSONSchemaV1, StandardSchemaV1 } from "@standard-schema/spec";
import {
  CvError,
  choice,
  cv,
  defineCodec,
  defineDecoder,
  flag,
  record,
  schemaOf,
  withJsonSchema,
} from "cvset";
import { describe, expect, test } from "vitest";
import { rootOf } from "../../src/decoder/decoder.js";
import { kinds } from "./kinds.js";

/** A caller that knows nothing but the standard. */
function validate<S extends StandardSchemaV1>(
  schema: S,
  value: unknown,
): StandardSchemaV1.Result<StandardSchemaV1.InferOutput<S>> {
  const result = schema["~standard"].validate(value);
  if (result instanceof Promise) throw new TypeError("it should be synchronous");
  return result;
}

describe("Standard Schema version 1", () => {
  test.each(Object.entries(kinds))("%s", (_, codec) => {
    const schema = codec["~standard"];
    expect([schema.version, schema.vendor, typeof schema.validate]).toEqual([1, "cvset", "function"]);
    for (const value of [undefined, null, Number.NaN, "nothing", { nothing: { deep: 1 } }, [9999]]) {
      const result = validate(codec, value);
      const own = codec.tryEncode(value);
      if (own.ok) {
        expect(result).toEqual({ value });
        expect(result.issues).toBeUndefined();
        continue;
      }
      expect(result.issues?.length).toBe(own.issues.length);
      result.issues?.forEach((issue, i) => {
        expect(typeof issue.message).toBe("string");
        expect(Array.isArray(issue.path)).toBe(true);
        expect(issue.path?.join(".")).toBe(own.issues[i]?.path);
      });
    }
  });

  test("a decoder: the path is a list, and a good value is given back as it is", () => {
    const { record: front, table, flag: lamp } = kinds as Required<typeof kinds>;
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: { front: front!, speeds: table!, flag: lamp! },
    });
    const levels = Array.from({ length: 28 }, (_, i) => (i === 3 ? 256 : i));
    expect(validate(decoder, { front: { effect: "plain", forLad: true }, speeds: levels, flag: 1 })).toEqual({
      issues: [
        {
          message: 'there is no such name; the names are effect, forLed; nearest: "forLed"',
          path: ["front", "forLad"],
        },
        { message: "256 is out of range; allowed is 0 to 255", path: ["speeds", 3] },
        { message: "expected true or false, got 1", path: ["flag"] },
      ],
    });
    expect(validate(decoder, 7)).toMatchObject({ issues: [{ path: [] }] });
    const good = { flag: true };
    const result = validate(decoder, good);
    expect("value" in result && result.value).toBe(good);
    expect(decoder["~standard"].vendor).toBe("cvset");
  });

  test("a name with dots, an empty one and one of digits are keys as they are; a place in a list is a number", () => {
    const levels = record({ 7: flag(cv(1).bit(0)), list: kinds["table"]! });
    const bad = { 7: 1, "a.b": 1, "": 1, list: [300, ...Array.from({ length: 27 }, () => 0)] };
    const { issues = [] } = validate(levels, bad);
    expect(issues.map(({ path }) => path)).toEqual([["a.b"], [""], ["7"], ["list", 0]]);
    for (const { message } of issues) expect(message).not.toMatch(/^[^ ]*:/);
  });

  test("a value that throws when it is looked at is refused, by whatever asks", () => {
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: {
        lamp: flag(cv(1).bit(0)),
        blow: kinds["variant"]!,
        front: record({ steady: flag(cv(2).bit(0)) }),
      },
      factory: { 1: 0 },
    });
    const boom = (): never => {
      throw new Error("boom");
    };
    const odd: unknown[] = [
      Object.defineProperty({}, "lamp", { get: boom, enumerable: true }),
      { blow: Object.defineProperty({}, "kind", { get: boom, enumerable: true }) },
      { front: new Proxy({}, { ownKeys: boom }) },
    ];
    for (const value of odd) {
      const result = decoder.tryEncode(value);
      expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["custom"]);
      expect(result.ok || result.issues[0]?.params).toMatchObject({ reason: "boom" });
      expect(rootOf(decoder).tryEncode(value)).toEqual(result);
      expect(validate(decoder, value)).toMatchObject({
        issues: [{ message: expect.stringContaining("boom") }],
      });
      expect(() => decoder.encode(value as object)).toThrow(CvError);
    }
  });

  test("a value that changes between two looks is refused too", () => {
    let looks = 0;
    const value = Object.defineProperty({}, "effect", {
      get: () => (looks++ < 1 ? "steady" : "unsteady"),
      enumerable: true,
    });
    const result = record({ effect: choice(cv(1), { steady: 0 }) }).tryEncode(value);
    expect(result.ok || result.issues.map(({ code, path }) => [code, path])).toEqual([["option", "effect"]]);
  });
});

describe("Standard JSON Schema version 1", () => {
  /** A caller that knows nothing but the standard. */
  const inputOf = (schema: StandardJSONSchemaV1, target: StandardJSONSchemaV1.Target) =>
    schema["~standard"].jsonSchema.input({ target });
  const outside = (schema: object) =>
    defineCodec<string>({
      kind: "outside",
      places: [cv(1)],
      read: () => "",
      write: () => {},
      schema: () => schema as never,
    });

  test.each(Object.entries(kinds))("%s: its schema, in both versions", (_, codec) => {
    const both = withJsonSchema(codec);
    expect(inputOf(both, "draft-2020-12")).toEqual({
      $schema: "https://json-schema.org/draft/2020-12/schema",
      ...schemaOf(codec),
    });
    expect(inputOf(both, "draft-07")).toEqual({
      $schema: "http://json-schema.org/draft-07/schema#",
      ...schemaOf(codec),
    });
    const { output } = both["~standard"].jsonSchema;
    expect(output({ target: "draft-07" })).toEqual(inputOf(both, "draft-07"));
    expect(validate(both, undefined)).toEqual(validate(codec, undefined));
  });

  test("a decoder: the schema of its settings", () => {
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: { lamp: flag(cv(1).bit(0)) },
    });
    expect(inputOf(withJsonSchema(decoder), "draft-2020-12")).toMatchObject({
      type: "object",
      properties: { lamp: { type: "boolean" } },
    });
  });

  test("another version, and a schema that draft 7 cannot express, are refused; a setting may have any name", () => {
    expect(() => inputOf(withJsonSchema(flag(cv(1).bit(0))), "openapi-3.0")).toThrow(
      'expected a version of JSON Schema, "draft-2020-12", "draft-07", got "openapi-3.0"',
    );
    const tuple = withJsonSchema(record({ a: outside({ items: { prefixItems: [{}] } }) }));
    expect(() => inputOf(tuple, "draft-07")).toThrow(
      "has a schema with prefixItems, which draft-07 does not have",
    );
    expect(inputOf(tuple, "draft-2020-12")).toHaveProperty("type", "object");
    const named = withJsonSchema(record({ prefixItems: outside({ const: { $defs: 1 } }) }));
    expect(inputOf(named, "draft-07")).toHaveProperty("properties.prefixItems");
    expect(() => withJsonSchema(3 as never)).toThrow(CvError);
  });

  // JSON Schema draft 2020-12, Core and Validation: the keywords that draft 7 does not have.
  test.each([
    "prefixItems",
    "$defs",
    "$anchor",
    "$dynamicRef",
    "dependentRequired",
    "dependentSchemas",
    "unevaluatedItems",
    "unevaluatedProperties",
    "minContains",
    "maxContains",
  ])("%s is refused for draft 7, wherever it stands as a keyword, and nowhere else", (keyword) => {
    const of = (schema: object) => () => inputOf(withJsonSchema(record({ a: outside(schema) })), "draft-07");
    const refused = `a codec from outside has a schema with ${keyword}, which draft-07 does not have`;
    for (const schema of [
      { [keyword]: 1 },
      { anyOf: [{ type: "string" }, { [keyword]: 1 }] },
      { properties: { a: { [keyword]: 1 } } },
      { additionalProperties: { items: { [keyword]: 1 } } },
    ]) {
      expect(of(schema)).toThrow(refused);
    }
    // Data, and the names of properties.
    const data = { [keyword]: 1 };
    for (const schema of [
      { const: data },
      { enum: [data] },
      { default: data },
      { examples: [data] },
      { properties: { [keyword]: { type: "string" } } },
      { anyOf: [null, keyword, 1] },
    ]) {
      expect(of(schema)()).toMatchObject({ properties: { a: schema } });
    }
  });
});
