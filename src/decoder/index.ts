export {
  type AnyDecoder,
  type Decoder,
  type DecoderKind,
  type DecoderSpec,
  defineDecoder,
  type SettingsOf,
} from "./decoder.js";
