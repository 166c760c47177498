import type { Json } from "../codec/codec.js";
import { joinPath } from "../cv/issue.js";
import { same } from "./source.js";

// As much of JSON Schema (draft 2020-12) as the schemas of settings use, so that tests need no other package.

type Schema = { readonly [key: string]: Json };

/** Why a schema refuses a value, or undefined; what a keyword that is not known here asks for is taken as true. */
export function refusal(schema: Json, value: unknown, path = ""): string | undefined {
  if (schema === true) return undefined;
  if (!isMap(schema)) return `${path || "the value"}: the schema refuses everything`;
  for (const [keyword, asked] of Object.entries(schema)) {
    const check = Object.hasOwn(checks, keyword) ? checks[keyword] : undefined;
    const wrong = check?.(asked, value, path, schema);
    if (wrong !== undefined) return wrong.includes(": ") ? wrong : `${path || "the value"}: ${wrong}`;
  }
  return undefined;
}

type Check = (asked: Json, value: unknown, path: string, schema: Schema) => string | undefined;

const unless = (good: boolean, keyword: string, asked: Json): string | undefined =>
  good ? undefined : `${keyword} ${JSON.stringify(asked)} does not hold`;

const compared =
  (keyword: string, holds: (value: number, limit: number) => boolean): Check =>
  (asked, value) =>
    unless(typeof value !== "number" || holds(value, Number(asked)), keyword, asked);

const sized =
  (keyword: string, sizeOf: (value: unknown) => number | undefined, isMost: boolean): Check =>
  (asked, value) => {
    const size = sizeOf(value);
    return unless(
      size === undefined || (isMost ? size <= Number(asked) : size >= Number(asked)),
      keyword,
      asked,
    );
  };

const lengthOf = (value: unknown) => (typeof value === "string" ? [...value].length : undefined);
const countOf = (value: unknown) => (Array.isArray(value) ? value.length : undefined);
const fits = (schema: Json, value: unknown): boolean => refusal(schema, value) === undefined;

const checks: Readonly<Record<string, Check>> = {
  type: (asked, value) =>
    unless(
      [asked].flat().some((type) => isOfType(value, type)),
      "type",
      asked,
    ),
  const: (asked, value) => unless(same(asked, value), "const", asked),
  enum: (asked, value) =>
    unless(
      (asked as readonly Json[]).some((one) => same(one, value)),
      "enum",
      asked,
    ),
  minimum: /* @__PURE__ */ compared("minimum", (value, limit) => value >= limit),
  maximum: /* @__PURE__ */ compared("maximum", (value, limit) => value <= limit),
  exclusiveMinimum: /* @__PURE__ */ compared("exclusiveMinimum", (value, limit) => value > limit),
  exclusiveMaximum: /* @__PURE__ */ compared("exclusiveMaximum", (value, limit) => value < limit),
  multipleOf: /* @__PURE__ */ compared(
    "multipleOf",
    (value, step) => Math.abs(value / step - Math.round(value / step)) < 1e-9,
  ),
  minLength: /* @__PURE__ */ sized("minLength", lengthOf, false),
  maxLength: /* @__PURE__ */ sized("maxLength", lengthOf, true),
  pattern: (asked, value) =>
    unless(typeof value !== "string" || new RegExp(String(asked), "u").test(value), "pattern", asked),
  minItems: /* @__PURE__ */ sized("minItems", countOf, false),
  maxItems: /* @__PURE__ */ sized("maxItems", countOf, true),
  uniqueItems: (asked, value) =>
    unless(
      asked !== true ||
        !Array.isArray(value) ||
        value.every((one, i) => value.findIndex((other) => same(one, other)) === i),
      "uniqueItems",
      asked,
    ),
  prefixItems: (asked, value, path) => first(asked, (schema, i) => inList(schema, value, i, path)),
  items: (asked, value, path, { prefixItems }) => {
    const from = Array.isArray(prefixItems) ? prefixItems.length : 0;
    return Array.isArray(value)
      ? first(value.slice(from), (_, i) => inList(asked, value, i + from, path))
      : undefined;
  },
  properties: (asked, value, path) =>
    isMap(value) && isMap(asked)
      ? first(Object.entries(asked), ([name, schema]) =>
          Object.hasOwn(value, name) && value[name] !== undefined
            ? refusal(schema, value[name], joinPath(path, name))
            : undefined,
        )
      : undefined,
  required: (asked, value) =>
    isMap(value)
      ? first(asked as readonly string[], (name) =>
          value[name] === undefined ? `${JSON.stringify(name)} is required` : undefined,
        )
      : undefined,
  additionalProperties: (asked, value, path, { properties }) =>
    isMap(value)
      ? first(Object.keys(value), (name) =>
          (isMap(properties) && Object.hasOwn(properties, name)) || value[name] === undefined
            ? undefined
            : asked === false
              ? `${JSON.stringify(name)} is not allowed`
              : refusal(asked, value[name], joinPath(path, name)),
        )
      : undefined,
  allOf: (asked, value, path) => first(asked, (schema) => refusal(schema, value, path)),
  anyOf: (asked, value) =>
    unless(
      (asked as readonly Json[]).some((one) => fits(one, value)),
      "anyOf",
      asked,
    ),
  oneOf: (asked, value) =>
    unless((asked as readonly Json[]).filter((one) => fits(one, value)).length === 1, "oneOf", asked),
  not: (asked, value) => unless(!fits(asked, value), "not", asked),
};

function first<Item>(
  items: readonly Item[] | Json,
  check: (item: Item, i: number) => string | undefined,
): string | undefined {
  for (const [i, item] of (Array.isArray(items) ? (items as readonly Item[]) : []).entries()) {
    const wrong = check(item, i);
    if (wrong !== undefined) return wrong;
  }
  return undefined;
}

function inList(schema: Json, value: unknown, i: number, path: string): string | undefined {
  return Array.isArray(value) && i < value.length
    ? refusal(schema, value[i], joinPath(path, `${i}`))
    : undefined;
}

function isOfType(value: unknown, type: Json): boolean {
  switch (type) {
    case "integer":
      return Number.isInteger(value);
    case "null":
      return value === null;
    case "array":
      return Array.isArray(value);
    case "object":
      return isMap(value);
    default:
      return typeof value === type;
  }
}

/** Whether something is an object and no list. */
export function isMap(value: unknown): value is { readonly [key: string]: Json } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
