export {
  type AnyDecoder,
  type Decoder,
  type DecoderKind,
  type DecoderSpec,
  defineDecoder,
  type SettingsOf,
} from "./decoder.js";
export { type DecoderJson, describe, settingsSchema } from "./describe.js";
export { type Difference, diff } from "./diff.js";
export { type Explanation, explain } from "./explain.js";
export { decoderFromJson, type FromJsonOptions, tryDecoderFromJson } from "./from-json.js";
export type {
  AtMostOneRule,
  Condition,
  ConditionValue,
  DecoderRule,
  DecoderRuleHead,
  NeedsRule,
  OutputsRule,
} from "./rule.js";
