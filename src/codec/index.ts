// The codecs
export { choice, type Option, type OptionName } from "./choice.js";
// What a codec is made from, and its types
export type {
  About,
  AnyCodec,
  Codec,
  EncodeOptions,
  InputOf,
  Json,
  ValueOf,
} from "./codec.js";
export { type Conversion, converted, type Pairs, type Scalar } from "./converted.js";
export { type CodecData, partsOf } from "./data.js";
// Codecs of your own
export { type CodecSpec, defineCodec } from "./define-codec.js";
export type { Fields, RecordInput, RecordValue } from "./fields.js";
export { type FlagOptions, flag } from "./flag.js";
export { type BitName, flags } from "./flags.js";
export { type LevelOptions, level } from "./level.js";
export { record } from "./record.js";
export type { ScaleOptions } from "./scale.js";
export type { StandardSchema } from "./standard-schema.js";
export { type SwitchedOptions, switched } from "./switched.js";
export { type TableOptions, table } from "./table.js";
export { type TextOptions, text } from "./text.js";
export { type Cases, type VariantOptions, variant } from "./variant.js";
