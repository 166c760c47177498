import { type AnyCodec, type AnyDecoder, defineDecoder } from "cvset";

/** A decoder with some features, called after its id. */
export const decoderOf = (
  id: string,
  features: Readonly<Record<string, AnyCodec>>,
  factory: Readonly<Record<string, number>> = {},
): AnyDecoder => defineDecoder({ id, name: id, kind: "multifunction", features, factory });
