import { type AnyCodec, aCodec, type Codec, type Json } from "../codec/codec.js";
import type { StandardSchema } from "../codec/standard-schema.js";
import { need } from "../cv/argument.js";
import { isA } from "../cv/brand.js";
import { CvError, fault } from "../cv/issue.js";
import { type AnyDecoder, type Decoder, rootOf } from "./decoder.js";
import { schemaOf } from "./schema.js";

const badTarget = /* @__PURE__ */ fault(
  "json-schema-target",
  "expected a version of JSON Schema, {allowed}, got {found}",
);
const tooNew = /* @__PURE__ */ fault(
  "json-schema-too-new",
  "a codec from outside has a schema with {found:text}, which {target:text} does not have",
);

/** The versions of JSON Schema that {@link withJsonSchema} gives, and how each is named in `$schema`. */
const targets: Readonly<Record<string, string>> = {
  "draft-2020-12": "https://json-schema.org/draft/2020-12/schema",
  "draft-07": "http://json-schema.org/draft-07/schema#",
};

/** Keywords that came after draft 7. The built-in codecs use none of them. */
const later: readonly string[] = [
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
];

/** A Standard Schema that gives its JSON Schema too: Standard JSON Schema, version 1. */
export interface StandardJsonSchema<Input> {
  /** What the two standards lay down: version, vendor, the check, and the JSON Schema. */
  readonly "~standard": StandardSchema<Input>["~standard"] & {
    /** The JSON Schema of what is checked; what comes out of the check is the same as what goes in. */
    readonly jsonSchema: {
      /** The JSON Schema of what goes in, for a target such as `"draft-07"`. */
      readonly input: (options: { readonly target: string }) => Record<string, unknown>;
      /** The JSON Schema of what comes out; the same. */
      readonly output: (options: { readonly target: string }) => Record<string, unknown>;
    };
  };
}

/**
 * A codec or a decoder for what asks for Standard Schema and Standard JSON Schema at once: it checks settings, and
 * gives their JSON Schema. Codecs and decoders are a Standard Schema as they are; the JSON Schema is apart, so that
 * programs that never ask for it do not carry it.
 * @param source The codec or decoder. The JSON Schema is that of {@link schemaOf}; of `"draft-2020-12"` or `"draft-07"`.
 * @throws `CvError` when the source is neither. Its `jsonSchema` throws for another target, and where a codec from
 *   outside has a schema that draft 7 cannot express.
 * @example
 * import { cv, level, withJsonSchema } from "cvset";
 * const schema = withJsonSchema(level(cv(63), { max: 64 }));
 * schema["~standard"].jsonSchema.input({ target: "draft-07" }).maximum; // 64
 * schema["~standard"].validate(65).issues?.[0]?.message; // "65 is out of range; allowed is 0 to 64"
 */
export function withJsonSchema<Value, Input>(
  source: Codec<Value, Input> | Decoder<Value, Input>,
): StandardJsonSchema<Input> {
  const isDecoder = isA("Decoder", source);
  if (!isDecoder) need(aCodec, source, "source");
  const codec = isDecoder ? rootOf(source as object as AnyDecoder) : (source as object as AnyCodec);
  const schema = ({ target }: { readonly target: string }): Record<string, unknown> => {
    const $schema = Object.hasOwn(targets, target) ? targets[target] : undefined;
    if (!$schema) throw new CvError([badTarget({ found: target, allowed: Object.keys(targets) })]);
    const made = schemaOf(codec);
    if (target === "draft-07") refuseLater(made, target);
    return { $schema, ...made };
  };
  return { "~standard": { ...source["~standard"], jsonSchema: { input: schema, output: schema } } };
}

/** Refuses a schema with a keyword that came later; the names of properties are no keywords. */
function refuseLater(schema: Json, target: string): void {
  if (Array.isArray(schema)) for (const item of schema) refuseLater(item, target);
  else if (typeof schema === "object" && schema !== null) {
    for (const [keyword, value] of Object.entries(schema)) {
      if (later.includes(keyword)) throw new CvError([tooNew({ found: keyword, target })]);
      if (keyword === "properties")
        for (const one of Object.values(value as object)) refuseLater(one, target);
      else if (!["const", "enum", "default", "examples"].includes(keyword)) refuseLater(value, target);
    }
  }
}
