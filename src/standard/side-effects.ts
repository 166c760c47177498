import type { BitsOfCv } from "../cv/places-text.js";
import type { DecoderKind } from "../decoder/decoder.js";
import type { KnownCvs } from "./address.js";
import { addressInUse, consistInUse } from "./address-in-use.js";

/** Bits that a decoder clears by itself, and where that is laid down. */
export interface SideEffect {
  /** The bits that become 0. */
  readonly clears: readonly BitsOfCv[];
  /** Document, edition, section. */
  readonly source: string;
}

const writingCv1: SideEffect = {
  clears: [
    { cv: "19", mask: 255 },
    { cv: "29", mask: 32 },
  ],
  source: "S-9.2.3 (July 2012), E, Address-Only Mode",
};

/**
 * What a decoder clears by itself when one of its CVs is written: a new CV 1 clears CV 19 and CV 29 bit 5.
 *
 * S-9.2.3 (July 2012), E, Address-Only Mode, says it of a write to CV 1 "using any method". The document is
 * about service mode; whether a write on the main does it too is open, and decoders differ. So who writes CV
 * 1 writes CV 19 and CV 29 after it, in every mode: that is right for a decoder that clears them, and for
 * one that does not. Accessory decoders have neither, and clear nothing.
 * @param cv The number of the CV that is written.
 * @param kind The kind of decoder.
 */
export function sideEffectOf(cv: number, kind: DecoderKind): SideEffect | undefined {
  return cv === 1 && kind === "multifunction" ? writingCv1 : undefined;
}

/**
 * The factory reset: a write of `request` to `cv` in service mode. The decoder puts its CVs back, normally
 * over the power-on cycles that follow; until it has done so, `cv` reads `pending`. So power must be cut and
 * given again, and reading `cv` shows when it is done.
 *
 * S-9.2.2 (July 2012), CV 8; S-9.2.3 (July 2012), Decoder Factory Reset.
 */
export const factoryReset = {
  cv: 8,
  request: 8,
  pending: 255,
  source: "S-9.2.3 (July 2012), Decoder Factory Reset",
} as const;

/**
 * The hard reset, an instruction on the main: the CVs that go back to their factory values, and the one that
 * becomes 0 (S-9.2.1 (July 2012), Decoder and Consist Control, hard reset).
 */
export const hardReset = {
  toFactory: [29, 31, 32],
  clears: [19],
  source: "S-9.2.1 (July 2012), Decoder and Consist Control, hard reset",
} as const;

/**
 * Whether a multi-function decoder ignores speed and direction sent to its own address: it has a consist
 * address, and that is not its own. A consist is called by a primary address, so only a primary address can
 * be the same.
 *
 * S-9.2.1 (July 2012), Consist Control.
 * @param cvs The CVs, as far as they are known. An own address that is not known counts as another one.
 */
export function ignoresOwnSpeed(cvs: KnownCvs): boolean {
  const consist = consistInUse(cvs);
  if (!consist) return false;
  const own = addressInUse(cvs);
  return own?.kind !== "primary" || own.number !== consist.number;
}

/**
 * The primary addresses whose packets are held back for a while after a reset packet (S-9.2 (July 2004),
 * reset packet).
 */
export const heldBackAfterReset = { min: 100, max: 127 } as const;

/**
 * The first bytes of service-mode packets, 0111XXXX, which are those of packets to these primary addresses
 * too (S-9.2.3 (July 2012), C).
 */
export const serviceModeFirstBytes = { min: 112, max: 127 } as const;
