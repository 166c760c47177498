import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * What the decoder reports, as features to spread into a description or to take one by one. CV 892-895 are
 * volatile: the decoder changes them by itself.
 *
 * S-9.2.2 (July 2012), CV 30 and 892-895.
 * @example
 * import { CvSet } from "cvset";
 * import { status } from "cvset/standard";
 * status.errorInformation.decode(CvSet.from({ 30: 0 })); // "none"
 * status.decoderLoad.decode(CvSet.from({ 892: 138 })); // { amount: 10, negative: true }
 * status.dynamicFlags.decode(CvSet.from({ 893: 129 })); // [0, 7]
 * status.fuel.decode(CvSet.from({ 894: 255 })); // "not-supported"
 * status.water.decode(CvSet.from({ 895: 127 })); // 127
 */
export const status = /* @__PURE__ */ Object.freeze({
  /**
   * The error of the decoder, CV 30: `"none"` is 0; the maker defines the other numbers.
   *
   * S-9.2.2 (July 2012), CV 30.
   */
  errorInformation: /* @__PURE__ */ level(/* @__PURE__ */ cv(30), {
    min: 1,
    names: { none: 0 },
    label: "Error information",
    source: "S-9.2.2 (July 2012), CV 30",
  }),
  /**
   * The load on the motor, CV 892: an amount, 0-127, and its sign. They are two values, because there are
   * two zeros. The standard names the bit of the sign; that 1 is negative is inferred. Volatile.
   *
   * S-9.2.2 (July 2012), CV 892.
   */
  decoderLoad: /* @__PURE__ */ record(
    {
      amount: /* @__PURE__ */ level(/* @__PURE__ */ cv(892).bits(0, 6), {
        label: "Amount of the load",
        source: "S-9.2.2 (July 2012), CV 892 bits 0-6",
      }),
      negative: /* @__PURE__ */ flag(/* @__PURE__ */ cv(892).bit(7), {
        label: "Load is negative",
        source: "S-9.2.2 (July 2012), CV 892 bit 7",
      }),
    },
    { label: "Decoder load", source: "S-9.2.2 (July 2012), CV 892" },
  ),
  /**
   * The dynamic flags, CV 893: the numbers of the bits that are set, 0-7. The 2012 edition reserves all of
   * them: it gives none a meaning. Volatile.
   *
   * S-9.2.2 (July 2012), Table 1, CV 893.
   */
  dynamicFlags: /* @__PURE__ */ flags(/* @__PURE__ */ cv(893), [0, 1, 2, 3, 4, 5, 6, 7], {
    label: "Dynamic flags that are set, by bit number",
    source: "S-9.2.2 (July 2012), Table 1, CV 893",
  }),
  /**
   * Fuel or coal left, CV 894: 0 empty to 254 full; 255 is `"not-supported"`. Volatile.
   *
   * S-9.2.2 (July 2012), CV 894.
   */
  fuel: /* @__PURE__ */ level(/* @__PURE__ */ cv(894), {
    max: 254,
    names: { "not-supported": 255 },
    label: "Fuel or coal left",
    note: "0 is empty, 254 is full.",
    source: "S-9.2.2 (July 2012), CV 894",
  }),
  /**
   * Water left, CV 895: 0 empty to 254 full; 255 is `"not-supported"`. Volatile.
   *
   * S-9.2.2 (July 2012), CV 895.
   */
  water: /* @__PURE__ */ level(/* @__PURE__ */ cv(895), {
    max: 254,
    names: { "not-supported": 255 },
    label: "Water left",
    note: "0 is empty, 254 is full.",
    source: "S-9.2.2 (July 2012), CV 895",
  }),
});
