import { Ajv2020 } from "ajv/dist/2020.js";
import {
  type AnyCodec,
  type CvReader,
  type CvWriter,
  cv,
  defineCodec,
  defineDecoder,
  type Json,
  record,
} from "cvset";
import { checkCodecLaws, checkLaws, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fromSchema, isOf } from "../../src/testing/from-schema.js";
import { refusal } from "../../src/testing/json-schema.js";

const run = cv(300).through(311);

/** Texts of twelve bytes, of which hardly any pattern of bits is one: the length, then letters, then zeros. */
function plate(schema: { readonly [key: string]: Json }, only = /^/): AnyCodec {
  const pattern = new RegExp(typeof schema["pattern"] === "string" ? schema["pattern"] : "^[A-Z0-9]*$", "u");
  const fits = (text: unknown): text is string =>
    typeof text === "string" &&
    /^[A-Z0-9]*$/.test(text) &&
    pattern.test(text) &&
    only.test(text) &&
    text.length >= Number(schema["minLength"] ?? 0) &&
    text.length <= Math.min(12, Number(schema["maxLength"] ?? 12));
  return defineCodec<string>({
    kind: "plate",
    places: run.places,
    read(cvs: CvReader) {
      const bytes = run.places.map((place) => place.read(cvs));
      const text = String.fromCharCode(...bytes).replace(/\0*$/, "");
      if (!fits(text)) throw new Error("no plate");
      return text;
    },
    write(cvs: CvWriter, text) {
      if (!fits(text)) throw new Error("no plate");
      for (const [i, place] of run.places.entries()) place.write(cvs, text.charCodeAt(i) || 0);
    },
    schema: () => schema,
  }) as AnyCodec;
}

describe("values of a codec that holds code, by its schema", () => {
  test.each<[string, { readonly [key: string]: Json }]>([
    ["pattern", { type: "string", pattern: "^[A-Z]{2}[0-9]{1,4}$" }],
    ["pattern and minLength", { type: "string", pattern: "^[A-Z]+$", minLength: 9, maxLength: 12 }],
    ["pattern and one length", { type: "string", pattern: "^[A-Z0-9]*$", minLength: 7, maxLength: 7 }],
    ["pattern alone", { pattern: "^[A-Z]{3}$" }],
    ["enum", { enum: ["A", "B12", "C"] }],
    ["anyOf", { anyOf: [{ const: "OFF" }, { type: "string", pattern: "^N[0-9]{3}$" }] }],
  ])("%s is followed, and the laws come to an end", (_, schema) => {
    const codec = plate(schema);
    const seen = new Set(fc.sample(valuesOf(codec), 100));
    for (const value of seen) expect(codec.tryEncode(value).ok).toBe(true);
    expect(seen.size).toBeGreaterThan(schema["enum"] ? 2 : 10);
    checkCodecLaws(codec, { runs: 40 });
    checkLaws(
      defineDecoder({ id: "p", name: "P", kind: "multifunction", features: { front: record({ codec }) } }),
      { runs: 10 },
    );
  });

  test.each<[string, { readonly [key: string]: Json }, RegExp]>([
    [
      "a pattern that no text can be made from",
      { type: "string", pattern: "^(?=[A-Z])(?<!x)[A-Z0-9]{3}$" },
      /texts cannot be made from the pattern "\^\(\?=/,
    ],
    [
      "a keyword that is not followed",
      { $ref: "#/$defs/plate" },
      /values cannot be made from the keyword \$ref of its schema/,
    ],
    [
      "one that the codec hardly ever agrees with",
      { type: "string" },
      /hardly any value that its schema allows can be encoded/,
    ],
  ])("%s is told at once, with what to give", (_, schema, words) => {
    const around = record({
      front: record({ plate: plate(schema, "pattern" in schema ? /^/ : /^[A-Z]{3}$/) }),
    });
    const start = /^hardly any bits of a codec of kind "plate" stand for a value; /;
    const end =
      /; give an arbitrary in "at" for "front.plate", such as \{ at: \{ "front.plate": fc.constantFrom\(\.\.\.\) \} \}$/;
    for (const call of [() => valuesOf(around), () => checkCodecLaws(around)]) {
      expect(call).toThrow(start);
      expect(call).toThrow(words);
      expect(call).toThrow(end);
    }
    checkCodecLaws(around, { at: { "front.plate": fc.constantFrom("ABC", "XYZ") }, runs: 10 });
  });

  test("bits that are values now and then are enough, and a biased run comes to an end", () => {
    const place = cv(1).with(cv(2)).with(cv(3));
    // One pattern in thirteen, and none near 0, where biased runs look.
    const rare = defineCodec<number>({
      kind: "rare",
      places: [place],
      read(cvs) {
        const n = place.read(cvs);
        if (n < 10_000 || n % 13) throw new Error("none");
        return n;
      },
      write(cvs, n) {
        if (n < 10_000 || n % 13) throw new Error("none");
        place.write(cvs, n);
      },
      schema: () => ({ type: "integer", minimum: 10_000 }),
    });
    for (const seed of [1, 2, 3]) {
      for (const value of fc.sample(valuesOf(rare), { numRuns: 200, seed })) expect(value % 13).toBe(0);
      checkCodecLaws(rare, { seed, runs: 50 });
    }
  });
});

describe("the small reader of schemas", () => {
  const schemas: readonly { readonly [key: string]: Json }[] = [
    { type: "integer", minimum: -3, maximum: 9 },
    { type: "number", exclusiveMinimum: 0, multipleOf: 0.5, maximum: 4 },
    { type: ["string", "null"], minLength: 1, maxLength: 3 },
    { type: "string", pattern: "^a|b$" },
    { enum: ["a", 1, null, [1], { a: 1 }] },
    { const: { a: [1, 2] } },
    {
      type: "array",
      items: { type: "integer", minimum: 0, maximum: 3 },
      minItems: 1,
      maxItems: 3,
      uniqueItems: true,
    },
    { type: "array", prefixItems: [{ type: "boolean" }, { type: "string" }], items: { type: "integer" } },
    {
      type: "object",
      properties: {
        a: { type: "integer" },
        b: { type: "object", properties: { c: { const: 1 } }, required: ["c"] },
      },
      required: ["a"],
      additionalProperties: false,
    },
    { type: "object", properties: { a: true }, additionalProperties: { type: "boolean" } },
    { anyOf: [{ const: "off" }, { type: "object", required: ["x"] }] },
    { oneOf: [{ type: "integer" }, { minimum: 5, type: "number" }] },
    { allOf: [{ minimum: 2 }, { maximum: 5 }] },
    { type: "integer", not: { enum: [1, 2] } },
    { not: {} },
    {},
  ];
  // The full one trips over these names.
  const likelyJson = fc.jsonValue().filter((value) => !/"(valueOf|toString)"/.test(JSON.stringify(value)));
  const ajv = new Ajv2020({ strict: false, multipleOfPrecision: 9 });

  test.each(schemas.map((schema) => [JSON.stringify(schema), schema] as const))(
    "finds the same as a full one: %s",
    (_, schema) => {
      const full = ajv.compile(schema);
      const likely = "allOf" in schema || "not" in schema ? fc.nat({ max: 9 }) : fromSchema(schema);
      const values = fc.oneof(
        likely,
        likelyJson,
        fc.constantFrom(...odd),
        fc.array(fc.integer({ min: 0, max: 5 })),
      );
      fc.assert(
        fc.property(values, (value) => {
          expect(refusal(schema, value) === undefined).toBe(full(value));
        }),
        { numRuns: 400 },
      );
    },
  );

  const odd: readonly unknown[] = [
    0,
    1.5,
    2,
    5,
    -1,
    "",
    "a",
    "ab",
    "abcd",
    null,
    true,
    [],
    [1, 1],
    [true, "a", 3],
    [true, 3],
    {},
    { a: 1 },
    { a: 1, b: {} },
    { b: { c: 1 } },
    { a: 1, d: 1 },
    { x: 1 },
    "off",
    { a: [1, 2] },
  ];

  test.each(
    schemas
      .filter((schema) => !("allOf" in schema) && schema["not"] === undefined)
      .map((schema) => [JSON.stringify(schema), schema] as const),
  )("makes values of it: %s", (_, schema) => {
    const made = fc.sample(fromSchema(schema), 200);
    expect(made.filter((value) => isOf(schema, value)).length).toBeGreaterThan(60);
  });

  test("names where it refuses", () => {
    const schema = {
      type: "object",
      properties: { a: { type: "array", items: { type: "integer", maximum: 3 } } },
    };
    expect(refusal(schema, { a: [1, 4] })).toBe("a.1: maximum 3 does not hold");
    expect(refusal(schema, 4)).toBe('the value: type "object" does not hold');
  });
});
