import { type AnyCodec, aCodec, type Json } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import type { Scale } from "../codec/scale.js";
import { printable } from "../codec/text.js";
import { aBoolean, need } from "../cv/argument.js";
import { type AnyDecoder, aDecoder, rootOf } from "./decoder.js";

type Schema = { readonly [key: string]: Json };

type Schemas = {
  readonly [Kind in Exclude<CodecData["kind"], "custom" | "derived">]: (
    data: Extract<CodecData, { readonly kind: Kind }>,
    whole: boolean,
  ) => Schema;
};

const amount = ({ whole, min, max }: Scale): Schema => ({
  type: whole ? "integer" : "number",
  minimum: min,
  maximum: max,
});

/** The JSON Schema of a value, by the kind of codec. */
const schemas: Schemas = {
  flag: () => ({ type: "boolean" }),
  choice({ options }) {
    const all = Object.entries(options);
    if (!all.some(([, { label, note }]) => label || note)) return { enum: Object.keys(options) };
    // Editors show the title beside the name.
    return {
      oneOf: all.map(([name, { label, note }]) => ({
        const: name,
        ...(label && { title: label }),
        ...(note && { description: note }),
      })),
    };
  },
  level({ scale, names }) {
    const named = Object.keys(names);
    if (named.length === 0) return amount(scale);
    // A number that has a name is written by its name.
    const taken = Object.values(names)
      .map((stored) => scale.valueOf(stored))
      .filter((value) => scale.has(value));
    return { anyOf: [{ ...amount(scale), ...(taken.length && { not: { enum: taken } }) }, { enum: named }] };
  },
  flags: ({ names }) => ({
    type: "array",
    items: { enum: names.filter((name) => name !== null) },
    uniqueItems: true,
  }),
  text: ({ run }) => ({ type: "string", maxLength: run.places.length, pattern: printable.source }),
  table: ({ run: { places }, scale }) => ({
    type: "array",
    items: amount(scale),
    minItems: places.length,
    maxItems: places.length,
  }),
  record: ({ fields }, whole) => objectSchema(fields, whole),
  variant: ({ tag, cases }) => ({
    oneOf: Object.entries(cases).map(([name, { fields }]) =>
      objectSchema(fields, true, { [tag]: { const: name } }),
    ),
  }),
  switched: ({ item }) => ({ anyOf: [{ const: "off" }, schemaOf(item, true)] }),
  // Pairs hold texts, numbers, true and false.
  converted: ({ pairs }) => (pairs ? { enum: pairs.map(([, value]) => value as Json) } : {}),
};

function objectSchema(fields: Fields, whole: boolean, constants: Schema = {}): Schema {
  // What is worked out from other settings is none.
  const given = Object.entries(fields).filter(([, { data }]) => data.kind !== "derived");
  const properties = given.map(([name, codec]) => [name, schemaOf(codec, whole)]);
  return {
    type: "object",
    properties: { ...constants, ...Object.fromEntries(properties) },
    ...(whole && { required: [...Object.keys(constants), ...given.map(([name]) => name)] }),
    additionalProperties: false,
  };
}

/**
 * The JSON Schema (draft 2020-12) of a codec's value; `{}`, any value, for a codec from outside without one.
 * @param codec The codec.
 * @param whole Every field must be there; otherwise a field may be left out, to stay as it is.
 * @example
 * import { choice, cv, schemaOf } from "cvset";
 * schemaOf(choice(cv(246).bits(5, 7), { coal: 3, oil: 1 }, { label: "Fuel" })); // { enum: ["coal", "oil"], title: "Fuel" }
 */
export function schemaOf(codec: AnyCodec, whole = false): { readonly [key: string]: Json } {
  need(aCodec, codec, "codec");
  need(aBoolean, whole, "whole");
  const { data, spec, about } = codec;
  const { label, note } = about;
  const item = data.kind === "custom" && data.item ? schemaOf(data.item, whole) : undefined;
  const schema =
    data.kind === "custom"
      ? spec.schema
        ? spec.schema(whole, item)
        : item
      : data.kind === "derived"
        ? // No value at all.
          { not: {} }
        : // The table has the data of each kind under that kind.
          (schemas[data.kind] as (data: CodecData, whole: boolean) => Schema)(data, whole);
  const description = [note, unitText(codec)].filter(Boolean).join(" ");
  return { ...(schema as Schema), ...(label && { title: label }), ...(description && { description }) };
}

/** The unit and the step of numbers, in a sentence; empty for plain numbers. */
function unitText({ data }: AnyCodec): string {
  if (data.kind !== "level" && data.kind !== "table") return "";
  const { unit, step = 1 } = data.scale.options;
  const parts = [
    ...(unit ? [`in ${unit}`] : []),
    ...(Math.abs(step) === 1 ? [] : [`in steps of ${Math.abs(step)}`]),
  ];
  const text = parts.join(", ");
  return text && `${text[0]?.toUpperCase()}${text.slice(1)}.`;
}

/**
 * The JSON Schema (draft 2020-12) of a decoder's settings files, for editors and forms.
 * @param decoder The decoder.
 * @example
 * import { cv, defineDecoder, level, settingsSchema } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction", features: { volume: level(cv(63), { max: 64 }) },
 * });
 * const schema = settingsSchema(decoder) as { properties: { settings: { properties: object } } };
 * schema.properties.settings.properties; // { volume: { type: "integer", minimum: 0, maximum: 64 } }
 */
export function settingsSchema(decoder: AnyDecoder): { readonly [key: string]: Json } {
  need(aDecoder, decoder, "decoder");
  return {
    $schema: "https://json-schema.org/draft/2020-12/schema",
    title: `Settings for ${decoder.name}`,
    type: "object",
    properties: {
      $schema: { type: "string" },
      decoder: { const: decoder.id },
      name: { type: "string", description: "The name of the locomotive." },
      note: { type: "string" },
      silence: {
        type: "array",
        description: "Findings of a check that are left out for this file, and why.",
        items: {
          type: "object",
          properties: {
            rule: { type: "string" },
            cvs: { type: "array", items: { type: ["string", "integer"] }, minItems: 1 },
            reason: { type: "string" },
          },
          required: ["rule", "reason"],
          additionalProperties: false,
        },
      },
      settings: schemaOf(rootOf(decoder)),
    },
    required: ["settings"],
    additionalProperties: false,
  };
}
