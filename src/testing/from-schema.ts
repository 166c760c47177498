import fc, { type Arbitrary } from "fast-check";
import type { Json } from "../codec/codec.js";
import { isMap, refusal } from "./json-schema.js";

/**
 * An arbitrary of values of a JSON Schema; some of what it gives the schema may refuse.
 * @throws Error with the keyword that it cannot follow.
 */
export function fromSchema(schema: Json): Arbitrary<unknown> {
  if (schema === true) return fc.jsonValue();
  if (!isMap(schema)) throw new Error("its schema refuses everything");
  const unknown = Object.keys(schema).find((keyword) => !followed.has(keyword));
  if (unknown !== undefined)
    throw new Error(`values cannot be made from the keyword ${unknown} of its schema`);
  if ("const" in schema) return fc.constant(schema["const"]);
  const list = schema["enum"];
  if (Array.isArray(list) && list.length) return fc.constantFrom(...(list as readonly unknown[]));
  const ways = schema["oneOf"] ?? schema["anyOf"];
  if (Array.isArray(ways) && ways.length) return fc.oneof(...(ways as readonly Json[]).map(fromSchema));
  const types = [schema["type"] ?? typeless(schema)].flat();
  return fc.oneof(...types.map((type) => ofType(type, schema)));
}

/** Whether a value is one of a schema. */
export function isOf(schema: Json, value: unknown): boolean {
  return refusal(schema, value) === undefined;
}

const followed: ReadonlySet<string> = /* @__PURE__ */ (() =>
  new Set(
    (
      "$schema $id $comment title description default examples deprecated readOnly writeOnly format type const enum not " +
      "oneOf anyOf minimum maximum exclusiveMinimum exclusiveMaximum multipleOf pattern minLength maxLength items " +
      "prefixItems minItems maxItems uniqueItems properties required additionalProperties"
    ).split(" "),
  ))();

/** The type that the keywords of a schema without a type are about. */
function typeless(schema: { readonly [key: string]: Json }): Json {
  if ("properties" in schema || "required" in schema) return "object";
  if ("items" in schema || "prefixItems" in schema) return "array";
  if ("pattern" in schema || "minLength" in schema || "maxLength" in schema) return "string";
  return "minimum" in schema || "maximum" in schema ? "number" : "any";
}

function ofType(type: Json, schema: { readonly [key: string]: Json }): Arbitrary<unknown> {
  const number = (keyword: string): number | undefined =>
    typeof schema[keyword] === "number" ? schema[keyword] : undefined;
  switch (type) {
    case "boolean":
      return fc.boolean();
    case "null":
      return fc.constant(null);
    case "integer":
    case "number":
      return numbers(type, number);
    case "string":
      return texts(schema["pattern"], number("minLength") ?? 0, number("maxLength"));
    case "array":
      return lists(schema, number("minItems") ?? 0, number("maxItems"));
    case "object": {
      const properties = isMap(schema["properties"]) ? schema["properties"] : {};
      const required = (Array.isArray(schema["required"]) ? schema["required"] : []) as readonly string[];
      const all = Object.entries(properties).map(([name, one]) => [name, fromSchema(one)] as const);
      return fc.record(Object.fromEntries(all), {
        requiredKeys: required.filter((name) => Object.hasOwn(properties, name)),
        noNullPrototype: true,
      });
    }
    default:
      return fc.jsonValue();
  }
}

function numbers(
  type: "integer" | "number",
  number: (keyword: string) => number | undefined,
): Arbitrary<number> {
  const low = number("minimum") ?? number("exclusiveMinimum");
  const high = number("maximum") ?? number("exclusiveMaximum");
  const step = number("multipleOf") ?? 1;
  const min = Math.ceil((low ?? Math.min(0, (high ?? 0) - 70_000 * step)) / step);
  const max = Math.floor((high ?? Math.max(70_000 * step, (low ?? 0) + 70_000 * step)) / step);
  const steps = fc.integer({ min: Math.min(min, max), max }).map((n) => Number((n * step).toPrecision(12)));
  if (type === "integer" || number("multipleOf") !== undefined) return steps;
  const between = fc.double({ min: low ?? -70_000, max: high ?? 70_000, noNaN: true });
  return fc.oneof(
    steps,
    between,
    between.map((n) => Number(n.toFixed(1))),
  );
}

/** The longest text that is made where the schema sets no limit. */
const longest = 40;

function texts(pattern: Json | undefined, least: number, most: number | undefined): Arbitrary<string> {
  const length = { minLength: least, maxLength: most ?? Math.max(longest, least) };
  if (pattern === undefined)
    return fc.oneof(fc.string({ unit: "grapheme-ascii", ...length }), fc.string(length));
  let matching: Arbitrary<string>;
  try {
    matching = fc.stringMatching(new RegExp(String(pattern), "u"));
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw new Error(`texts cannot be made from the pattern ${JSON.stringify(pattern)} (${reason})`);
  }
  // Repeated and cut, what one character class makes has any length.
  return fc
    .tuple(matching, fc.nat({ max: length.maxLength - Math.min(least, length.maxLength) }), fc.boolean())
    .map(([text, more, asIs]) => {
      if (asIs || text === "") return text;
      return text.repeat(Math.ceil((least + more) / text.length)).slice(0, least + more);
    });
}

function lists(
  schema: { readonly [key: string]: Json },
  least: number,
  most: number | undefined,
): Arbitrary<unknown[]> {
  const prefix = Array.isArray(schema["prefixItems"]) ? (schema["prefixItems"] as readonly Json[]) : [];
  const items = schema["items"] ?? true;
  const head = fc.tuple(...prefix.map(fromSchema));
  const length = {
    minLength: Math.max(0, least - prefix.length),
    maxLength: Math.max(0, (most ?? least + 5) - prefix.length),
  };
  if (items === false) return head;
  const rest = fromSchema(items);
  const tail = schema["uniqueItems"]
    ? // A set may not be large enough; then there are fewer.
      fc.array(rest, length).map((all) => all.filter((one, i) => all.indexOf(one) === i))
    : fc.array(rest, length);
  return fc.tuple(head, tail).map(([first, others]) => [...first, ...others]);
}
