import type { Json } from "../codec/codec.js";
import { aList, anObject, need, objectOf } from "../cv/argument.js";
import { CvError } from "../cv/issue.js";
import { kindIssues } from "./codec-from-json.js";
import { aboutKeys, type CodecKind, type CodecKinds, type KeyTypes } from "./codec-kind.js";

type Schema = { readonly [key: string]: Json };

// As a literal key it would make an object look like a promise.
const consequence = "then";

const ref = (name: string): Schema => ({ $ref: `#/$defs/${name}` });
const listOf = (items: Schema): Schema => ({ type: "array", items });

const schemas: Readonly<Record<keyof KeyTypes, Schema>> = {
  place: /* @__PURE__ */ ref("place"),
  run: /* @__PURE__ */ ref("run"),
  places: /* @__PURE__ */ listOf({ anyOf: [/* @__PURE__ */ ref("place"), /* @__PURE__ */ ref("run")] }),
  codec: /* @__PURE__ */ ref("codec"),
  codecs: /* @__PURE__ */ ref("fields"),
  number: { type: "number" },
  text: { type: "string" },
  boolean: { type: "boolean" },
  numbers: /* @__PURE__ */ listOf({ type: "number" }),
  texts: /* @__PURE__ */ listOf({ type: "string" }),
  json: {},
};

const aSchema = /* @__PURE__ */ objectOf({
  $defs: /* @__PURE__ */ objectOf({
    codec: /* @__PURE__ */ objectOf({
      properties: /* @__PURE__ */ objectOf({ codec: /* @__PURE__ */ objectOf({ enum: aList }) }),
      allOf: aList,
    }),
  }),
});

/**
 * The JSON Schema of decoder descriptions, with kinds of codec from outside, so that an editor completes and checks
 * these too.
 * @param schema The published schema: what is in `cvset/decoder.schema.json`.
 * @param options `codecs`: the kinds of codec from outside, as for `decoderFromJson`.
 * @throws `CvError` when the schema is not that of descriptions, or a kind has a name that is taken.
 * @example
 * import { cv, defineCodecKind, descriptionSchema, level } from "cvset";
 * const percent = defineCodecKind({
 *   needs: { place: "place" }, schema: { place: { description: "A whole CV." } },
 *   make: ({ place }, about) => level(place, { step: 0.5, max: 100, unit: "%", ...about }),
 * });
 * const published = { $defs: { codec: { properties: { codec: { enum: ["flag"] } }, allOf: [] } } }; // in short
 * const { $defs } = descriptionSchema(published, { codecs: { percent } }) as { $defs: Record<string, { required?: string[] }> };
 * $defs["kind:percent"]?.required; // ["codec", "place"]
 */
export function descriptionSchema(
  schema: { readonly [key: string]: unknown },
  options: { readonly codecs?: CodecKinds } = {},
): { readonly [key: string]: Json } {
  need(aSchema, schema, "schema");
  need(anObject, options, "options");
  const { codecs = {} } = options;
  const issues = kindIssues(codecs);
  if (issues.length) throw new CvError(issues);
  const kinds = Object.entries(codecs);
  const base = schema as Schema;
  const defs = base["$defs"] as { readonly [key: string]: Schema };
  const codec = defs["codec"] as Schema;
  const properties = codec["properties"] as { readonly [key: string]: Schema };
  const names = properties["codec"]?.["enum"] as readonly Json[];
  return {
    ...base,
    $defs: {
      ...defs,
      codec: {
        ...codec,
        properties: {
          ...properties,
          codec: { ...properties["codec"], enum: [...names, ...kinds.map(([name]) => name)] },
        },
        allOf: [
          ...(codec["allOf"] as readonly Json[]),
          ...kinds.map(([name]) => ({
            if: { properties: { codec: { const: name } } },
            [consequence]: ref(`kind:${name}`),
          })),
        ],
      },
      ...Object.fromEntries(kinds.map(([name, kind]) => [`kind:${name}`, schemaOfKind(name, kind, defs)])),
    },
  };
}

function schemaOfKind(
  name: string,
  { needs, may, schema, note }: CodecKind,
  defs: { readonly [key: string]: Schema },
): Schema {
  const own = Object.entries({ ...needs, ...may }).map(([key, type]) => [
    key,
    { ...schemas[type], ...(Object.hasOwn(schema, key) && schema[key]) },
  ]);
  const about = Object.entries((defs["flag"]?.["properties"] ?? {}) as Schema).filter(([key]) =>
    aboutKeys.includes(key),
  );
  return {
    ...(note && { description: note }),
    type: "object",
    properties: {
      codec: { const: name },
      ...Object.fromEntries(own),
      ...Object.fromEntries(aboutKeys.map((key) => [key, { type: "string" }])),
      ...Object.fromEntries(about),
    },
    required: ["codec", ...Object.keys(needs)],
    additionalProperties: false,
  };
}
