export { choice, type Option, type OptionName, type OptionSpec } from "./choice.js";
export {
  type About,
  type AnyCodec,
  type CheckOptions,
  type Codec,
  type CodecSpec,
  defineCodec,
  type EncodeOptions,
  type InputOf,
  type Json,
  type Line,
  type Report,
  type ValueOf,
} from "./codec.js";
export { type Conversion, converted, type Pairs, type Scalar } from "./converted.js";
export { type FlagOptions, flag } from "./flag.js";
export { type LevelOptions, level } from "./level.js";
export { type Fields, type RecordInput, type RecordValue, record } from "./record.js";
export { Scale, type ScaleOptions } from "./scale.js";
export { type BitName, several } from "./several.js";
export type { StandardResult, StandardSchema } from "./standard-schema.js";
export { type SwitchedOptions, switched } from "./switched.js";
export { type TableOptions, table } from "./table.js";
export { type TextOptions, text } from "./text.js";
export {
  type Case,
  type Cases,
  type VariantInput,
  type VariantOptions,
  type VariantValue,
  variant,
} from "./variant.js";
