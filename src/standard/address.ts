import { level } from "../codec/level.js";
import { variant } from "../codec/variant.js";
import { aNumber, objectOf, oneOf, type Wanted } from "../cv/argument.js";
import { type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { cv } from "../cv/place.js";

/**
 * The address of one decoder, or of several. What the codecs {@link address} and `accessoryAddress` decode
 * is an address of this form.
 *
 * S-9.2.1 (July 2012), section A; S-9.2.2 (July 2012), CV 1, 9, 17, 18, 19 and 29.
 */
export type Address =
  /** The primary (short) address of a multi-function decoder, 1-127. */
  | { readonly kind: "primary"; readonly number: number }
  /** The extended (long) address of a multi-function decoder, 0-10239. */
  | { readonly kind: "extended"; readonly number: number }
  /** The address of a consist, 1-127. */
  | { readonly kind: "consist"; readonly number: number }
  /**
   * The decoder address of a basic accessory decoder, 0-511; `output`, 0-7, where one output is meant. All
   * decoders obey 511.
   */
  | { readonly kind: "accessory"; readonly number: number; readonly output?: number }
  /**
   * The output address of a basic accessory decoder, 0-2047: CV 1 + 256 * CV 9. Output address 1 is taken to
   * be the first pair of outputs of decoder address 1: see `accessoryAddress`.
   */
  | { readonly kind: "accessory-output"; readonly number: number }
  /** The address of an extended accessory decoder, 0-2047. */
  | { readonly kind: "extended-accessory"; readonly number: number }
  /** All decoders; with `to`, all decoders of one kind. */
  | { readonly kind: "broadcast"; readonly to?: "multifunction" | "accessory" };

/** The bytes of some CVs, by number; `undefined` for a CV whose byte is not known. A `CvSet` is one. */
export interface KnownCvs {
  /**
   * The byte of a CV.
   * @param cv The number of the CV, 1-1024.
   */
  get(cv: number): number | undefined;
}

/**
 * CVs as callers give them, as known CVs.
 * @throws `CvError` when they are none.
 */
export function knownOf(cvs: KnownCvs | CvsLike, path = "cvs"): KnownCvs {
  // A map may have no key "get", since that names no CV.
  const isKnown = typeof (cvs as Partial<KnownCvs> | undefined)?.get === "function" && !(cvs instanceof Map);
  return isKnown ? (cvs as KnownCvs) : toCvSet(cvs as CvsLike, path);
}

/** Known CVs, or CVs. */
export const someKnownCvs: Wanted = (value, path, report) => {
  if (typeof (value as Partial<KnownCvs> | undefined)?.get !== "function") someCvs(value, path, report);
};

/** An address that has a kind, and the number that goes with it. */
export const anAddress: Wanted = (value, path, report) => {
  if ((value as Address | undefined)?.kind === "broadcast") return;
  aNumberedAddress(value, path, report);
};
const aNumberedAddress = /* @__PURE__ */ objectOf({
  kind: /* @__PURE__ */ oneOf(
    "primary",
    "extended",
    "consist",
    "accessory",
    "accessory-output",
    "extended-accessory",
    "broadcast",
  ),
  number: aNumber,
  "output?": aNumber,
});

/** The numbers that each kind of address can have. `offset` is the value of the stored number 0. */
export const addressRanges = {
  primary: { min: 1, max: 127 },
  // Both top bits of CV 17 are set: 192 * 256.
  extended: { min: 0, max: 10239, offset: -49152 },
  consist: { min: 1, max: 127 },
  accessory: { min: 0, max: 511 },
  // Nine bits of decoder address and two that pick a pair of outputs: S-9.2.1 (July 2012), accessory packets.
  "accessory-output": { min: 0, max: 2047 },
  "extended-accessory": { min: 0, max: 2047 },
} as const;

/**
 * The primary (short) address, CV 1: 1-127. The stored number 0 is `"alternate-power"`: the decoder leaves
 * digital mode and runs from the power source that CV 12 names. 128-255 is an error.
 *
 * S-9.2.2 (July 2012), CV 1.
 * @example
 * import { primaryAddress } from "cvset/standard";
 * primaryAddress.encode(3).toJSON().cvs; // { "1": 3 }
 */
export const primaryAddress = /* @__PURE__ */ primaryAddressCodec();

/**
 * The extended (long) address, CV 17 and 18: 0-10239, with CV 17 = 192 + address / 256. CV 17 outside
 * 192-231 is an error. The decoder answers to it while CV 29 bit 5 is 1: see {@link address}. Write CV 17
 * before CV 18: the pair takes effect when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte).
 *
 * S-9.2.2 (July 2012), CV 17 and 18.
 * @example
 * import { extendedAddress } from "cvset/standard";
 * extendedAddress.encode(1234).toJSON().cvs; // { "17": 196, "18": 210 }
 */
export const extendedAddress = /* @__PURE__ */ extendedAddressCodec();

/**
 * The address that the decoder answers to. CV 29 bit 5 chooses the primary one (CV 1, 1-127) or the
 * extended one (CV 17 and 18, 0-10239). The CVs of the other one are not touched.
 *
 * S-9.2.2 (July 2012), CV 29 bit 5, CV 1, CV 17 and 18.
 * @example
 * import { CvSet } from "cvset";
 * import { address } from "cvset/standard";
 * address.decode(CvSet.from({ 17: 196, 18: 210, 29: 34 })); // { kind: "extended", number: 1234 }
 */
export const address = /* @__PURE__ */ variant(
  /* @__PURE__ */ cv(29).bit(5),
  {
    primary: { value: 0, fields: { number: primaryAddress }, label: "primary (short)" },
    extended: { value: 1, fields: { number: extendedAddress }, label: "extended (long)" },
  },
  { label: "Address", means: "address", source: "S-9.2.2 (July 2012), CV 29 bit 5, CV 1, CV 17 and 18" },
);

// Bundlers drop a call that is marked as pure, but not one with a spread among its arguments.

/* @__NO_SIDE_EFFECTS__ */
function primaryAddressCodec() {
  return level(cv(1), {
    ...addressRanges.primary,
    names: { "alternate-power": 0 },
    label: "Primary address",
    source: "S-9.2.2 (July 2012), CV 1",
  });
}

/* @__NO_SIDE_EFFECTS__ */
function extendedAddressCodec() {
  return level(cv(17).with(cv(18)), {
    ...addressRanges.extended,
    label: "Extended address",
    source: "S-9.2.2 (July 2012), CV 17 and 18",
  });
}
