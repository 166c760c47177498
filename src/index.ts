// Describing a decoder

export {
  type AnyDecoder,
  type Decoder,
  type DecoderKind,
  type DecoderSpec,
  defineDecoder,
  type SettingsOf,
} from "./decoder/decoder.js";
export type { Condition, DecoderRule } from "./decoder/rule.js";

// Places: the bits that a value lives in

export type { CvName } from "./cv/name.js";
export { type BytePlace, cv, type Place, type PlaceJson, page, placesText, type Run } from "./cv/place.js";
export type { BitsOfCv } from "./cv/places-text.js";

// The codecs of settings, one for each kind

export { choice, type Option } from "./codec/choice.js";
export { converted } from "./codec/converted.js";
export { type Derive, type DerivedCodec, type DerivedOptions, derived } from "./codec/derived.js";
export { type FlagOptions, flag } from "./codec/flag.js";
export { flags } from "./codec/flags.js";
export { type LevelOptions, level } from "./codec/level.js";
export { record } from "./codec/record.js";
export type { Scale, ScaleOptions } from "./codec/scale.js";
export { switched } from "./codec/switched.js";
export { table } from "./codec/table.js";
export { text } from "./codec/text.js";
export { type Cases, type VariantOptions, variant } from "./codec/variant.js";

// What a codec is: its face, its values, its data and parts

export type { About, AnyCodec, Codec, EncodeOptions, InputOf, Json, ValueOf } from "./codec/codec.js";
export { type CodecData, partsOf } from "./codec/data.js";
export type { Fields, RecordInput, RecordValue } from "./codec/fields.js";
export type { StandardSchema } from "./codec/standard-schema.js";

// Codecs of your own

export { type CodecSpec, defineCodec, type ItemAccess, type WrapperSpec } from "./codec/define-codec.js";
export type { CvReader, CvWriter } from "./cv/image.js";

// Kinds of codec that descriptions in JSON may name

export {
  type CodecKind,
  type CodecKinds,
  defineCodecKind,
  type Keys,
  type KeyTypes,
  type KeyValues,
} from "./decoder/codec-kind.js";

// CV sets, and changes to them

export { type BitChange, CvPatch, type PatchJson, type PatchLike } from "./cv/cvpatch.js";
export { CvSet, type CvsLike } from "./cv/cvset.js";

// In words

export { type Difference, diff } from "./decoder/diff.js";
export { type Explanation, explain, type Line, linesOf, textOf } from "./decoder/explain.js";

// In JSON: descriptions, codecs, JSON Schemas

export { descriptionSchema } from "./decoder/description-schema.js";
export { type DescriptionOptions, decoderFromJson, tryDecoderFromJson } from "./decoder/from-json.js";
export { type DecoderJson, describe, jsonOf } from "./decoder/json.js";
export { schemaOf, settingsSchema } from "./decoder/schema.js";
export { type StandardJsonSchema, withJsonSchema } from "./decoder/standard-json-schema.js";

// What is wrong, as data and in words

export { CvError, type Issue, messageOf, type Result } from "./cv/issue.js";
