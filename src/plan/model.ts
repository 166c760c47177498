import type { CvName, CvSet } from "../cv/index.js";
import type { AccessMode } from "./access.js";

/**
 * What plans and simulated decoders need to know of a decoder. A decoder description has all of it; so
 * does an object of your own.
 */
export interface DecoderModel {
  readonly kind: "multifunction" | "accessory";
  /** Every CV that the decoder has, with its value after a factory reset. */
  readonly factory: CvSet;
  /** CVs that it does not let anybody write; CV 7 and 8 always belong to them. */
  readonly readOnly?: readonly CvName[];
  /** The ways of access that it understands; all of them unless given. */
  readonly modes?: readonly AccessMode[];
}

/** CV 880-895 change while the decoder runs (S-9.2.2, July 2012, Table 1). */
export function isVolatile(key: number, kind: DecoderModel["kind"]): boolean {
  return kind === "multifunction" && key >= 880 && key <= 895;
}

/** CV 7 and 8 are read-only (S-9.2.2, July 2012). */
export function isReadOnly(key: number): boolean {
  return key === 7 || key === 8;
}

/** The kind of decoder that a set belongs to, by CV 29 bit 7 (S-9.2.2, July 2012). */
export function kindOf(...configurations: readonly number[]): DecoderModel["kind"] {
  const known = configurations.find((value) => value >= 0) ?? 0;
  return known & 128 ? "accessory" : "multifunction";
}
