// Describing a decoder
export {
  type AnyDecoder,
  type Decoder,
  type DecoderKind,
  type DecoderSpec,
  defineDecoder,
  type SettingsOf,
} from "./decoder.js";
// CV sets in words
export { type Difference, diff } from "./diff.js";
export { type Explanation, explain, type Line, linesOf, textOf } from "./explain.js";
export { decoderFromJson, tryDecoderFromJson } from "./from-json.js";
// Descriptions and codecs in JSON
export { type DecoderJson, describe, jsonOf } from "./json.js";
export type { Condition, DecoderRule } from "./rule.js";
// JSON Schemas
export { schemaOf, settingsSchema } from "./schema.js";
