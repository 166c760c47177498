import type { AnyCodec } from "../codec/codec.js";
import { CvSet } from "../cv/cvset.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { describeCv } from "../standard/catalogue.js";

/** The settings of a decoder as it comes: factory values, else the usual ones. */
export function startingSettings(decoder: AnyDecoder): {
  readonly settings: Readonly<Record<string, unknown>>;
  /** The settings without a usual value. */
  readonly missing: readonly string[];
} {
  const factory = decoder.defaults();
  const filled = withUsual(decoder, factory);
  const settings: Record<string, unknown> = {};
  const missing: string[] = [];
  for (const [name, codec] of Object.entries<AnyCodec>(decoder.features)) {
    if (isOnlyRead(codec, decoder) || codec.data.kind === "derived") continue;
    const result = codec.tryDecode(filled);
    const value = result.ok ? result.value : usualOf(codec);
    const fits = value !== undefined && codec.tryEncode(value, { base: filled }).ok;
    if (fits) settings[name] = value;
    else missing.push(name);
  }
  return { settings, missing };
}

/** The CVs of a decoder as it comes: its factory values, else what the usual settings are stored as, else 0. */
export function startingCvs(decoder: AnyDecoder): CvSet {
  const filled = withUsual(decoder, decoder.defaults());
  return decoder.tryEncode(startingSettings(decoder).settings, filled).value ?? filled;
}

/** The factory values; for other CVs those of the standard, else 0. */
function withUsual(decoder: AnyDecoder, factory: CvSet): CvSet {
  const values: Record<string, number> = {};
  for (const { cv } of decoder.bits) {
    const usual = cv.includes("@") ? undefined : describeCv(cv, decoder.kind).factory;
    values[cv] = factory.get(cv) ?? usual ?? 0;
  }
  return CvSet.from({ ...values, ...factory.toJSON() });
}

/** Whether nothing of a feature can be written. */
function isOnlyRead(codec: AnyCodec, { kind }: AnyDecoder): boolean {
  return codec.bits.every(({ cv }) => {
    if (cv.includes("@")) return false;
    const { readOnly, volatile } = describeCv(cv, kind);
    return readOnly || volatile;
  });
}

/** A value that a codec takes, where 0 stands for nothing. */
function usualOf(codec: AnyCodec): unknown {
  const { data } = codec;
  switch (data.kind) {
    case "flag":
      return false;
    case "choice":
      return Object.keys(data.options)[0];
    case "level":
      return data.scale.min;
    case "flags":
      return [];
    case "text":
      return "";
    case "table":
      return data.run.places.map(() => data.scale.min);
    case "record":
      return all(data.fields);
    case "variant": {
      const [first] = Object.entries(data.cases);
      return first && { [data.tag]: first[0], ...all(first[1].fields) };
    }
    case "switched":
      return "off";
    case "converted":
      return data.pairs?.[0]?.[1];
    default:
      return undefined;
  }
}

function all(fields: Readonly<Record<string, AnyCodec>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, usualOf(field)]));
}
