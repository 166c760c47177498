import type { DecoderKind } from "../decoder/decoder.js";
import type { Severity } from "./finding.js";

/** Bits of a CV that the standard reserves. */
export interface ReservedBits {
  readonly cv: number;
  readonly mask: number;
  /** How much it matters when one is set, where that is not a warning. */
  readonly severity?: Severity;
  /** What to add about the edition. */
  readonly edition: string;
}

/** The reserved bits of the configuration bytes, S-9.2.2 (July 2012), CV 27, 28 and 29, and Table 3. */
export const reservedBits: Readonly<Record<DecoderKind, readonly ReservedBits[]>> = {
  multifunction: [
    { cv: 27, mask: 0b11001000, edition: "" },
    // Bits 4, 6 and 7 got meanings later (S-9.3.2 of December 2012, RCN-217; from memory), so that a set
    // of a newer decoder has them for good reason.
    { cv: 28, mask: 0b11010000, severity: "note", edition: " in the 2012 edition; later ones use it" },
    { cv: 28, mask: 0b00101000, edition: " in the 2012 edition" },
    { cv: 29, mask: 0b01000000, edition: "" },
  ],
  accessory: [{ cv: 29, mask: 0b00010111, edition: "" }],
};
