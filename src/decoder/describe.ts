import type { Json } from "../codec/codec.js";
import { describeFields } from "../codec/record.js";
import { CvError, under } from "../cv/issue.js";
import type { AnyDecoder, DecoderKind } from "./decoder.js";
import type { DecoderRule } from "./rule.js";

/** A decoder description in JSON. */
export interface DecoderJson {
  /** Its short name in files. */
  readonly id: string;
  /** Its name for people. */
  readonly name: string;
  /** What kind of decoder it is. */
  readonly kind: DecoderKind;
  /** A remark for people. */
  readonly note?: string;
  /** Its factory values, 0-255, by CV. */
  readonly factory?: { readonly [cv: string]: number };
  /** The codec of each feature. */
  readonly features: { readonly [name: string]: Json };
  /** What must hold between its settings. */
  readonly rules?: readonly DecoderRule[];
}

/**
 * The description of a decoder in JSON: {@link decoderFromJson} makes the same decoder of it again.
 * @param decoder The decoder.
 * @throws `CvError` with every feature that holds code, which JSON cannot.
 * @example
 * import { cv, defineDecoder, describe, flag } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction", features: { reversed: flag(cv(29).bit(0)) },
 * });
 * describe(decoder).features; // { reversed: { codec: "flag", place: { cv: 29, bit: 0 } } }
 */
export function describe(decoder: AnyDecoder): DecoderJson {
  const { id, name, kind, note, rules } = decoder;
  const factory = decoder.defaults();
  try {
    return {
      id,
      name,
      kind,
      ...(note && { note }),
      ...(factory.size && { factory: factory.toJSON() }),
      features: describeFields(decoder.features),
      ...(rules.length && { rules }),
    };
  } catch (error) {
    throw error instanceof CvError ? new CvError(under("features", error.issues)) : error;
  }
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
  return {
    $schema: "https://json-schema.org/draft/2020-12/schema",
    title: `Settings for ${decoder.name}`,
    type: "object",
    properties: {
      $schema: { type: "string" },
      decoder: { const: decoder.id },
      name: { type: "string", description: "What the locomotive is called." },
      note: { type: "string" },
      silence: {
        type: "array",
        description: "Findings of a check that the file does not want to hear about, and why.",
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
      settings: decoder.root.schema(),
    },
    required: ["settings"],
    additionalProperties: false,
  };
}
