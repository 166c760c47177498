import type { CvName, CvSet } from "../cv/index.js";
import { toKey } from "../cv/name.js";
import type { AccessMode } from "./access.js";

/** What plans and simulated decoders need to know of a decoder. */
export interface DecoderModel {
  readonly kind: "multifunction" | "accessory";
  /** Its CVs with their values after a factory reset. */
  readonly factory: CvSet;
  /** CVs that it has besides, whose factory value nobody knows. */
  readonly cvs?: Iterable<CvName>;
  /** CVs that it does not let anybody write; CV 7 and 8 always belong to them. */
  readonly readOnly?: Iterable<CvName>;
  /** The ways of access that it understands; all of them unless given. */
  readonly modes?: readonly AccessMode[];
}

/** A decoder description, as far as it matters here: what `defineDecoder` makes. */
export interface DescribedDecoder {
  readonly kind: DecoderModel["kind"];
  /** The factory values that are known. */
  defaults(): CvSet;
  /** The CVs that features live in. */
  readonly bits: readonly { readonly cv: string }[];
}

/** Either of the two. */
export type DecoderLike = DecoderModel | DescribedDecoder;

/** A model with its questions answered once. */
export interface KnownDecoder {
  readonly kind: DecoderModel["kind"];
  readonly factory: CvSet;
  readonly modes: readonly AccessMode[] | undefined;
  /** Every CV, by key, in no order. */
  readonly keys: ReadonlySet<number>;
  readonly readOnly: ReadonlySet<number>;
}

/** Looks a decoder over. @throws `CvError` when it names something that is no CV. */
export function look(decoder: DecoderLike): KnownDecoder {
  const model: DecoderModel =
    "factory" in decoder
      ? decoder
      : { kind: decoder.kind, factory: decoder.defaults(), cvs: decoder.bits.map(({ cv }) => cv) };
  const keys = new Set(model.factory.reader.keys());
  for (const cv of model.cvs ?? []) keys.add(toKey(cv));
  const readOnly = new Set([7, 8]);
  for (const cv of model.readOnly ?? []) readOnly.add(toKey(cv));
  return { kind: model.kind, factory: model.factory, modes: model.modes, keys, readOnly };
}

/** CV 880-895 change while the decoder runs (S-9.2.2, July 2012, Table 1). */
export function isVolatile(key: number, kind: DecoderModel["kind"]): boolean {
  return kind === "multifunction" && key >= 880 && key <= 895;
}

/** The kind of decoder that a set belongs to, by CV 29 bit 7 (S-9.2.2, July 2012). */
export function kindOf(...configurations: readonly number[]): DecoderModel["kind"] {
  const known = configurations.find((value) => value >= 0) ?? 0;
  return known & 128 ? "accessory" : "multifunction";
}
