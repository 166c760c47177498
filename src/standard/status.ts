import { flag } from "../codec/flag.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { several } from "../codec/several.js";
import { cv } from "../cv/place.js";

/**
 * What went wrong in the decoder, CV 30: `"none"` is 0; the maker says what the other numbers are.
 *
 * S-9.2.2 (July 2012), CV 30.
 * @example
 * import { CvSet } from "cvset";
 * import { errorInformation } from "cvset/standard";
 * errorInformation.decode(CvSet.from({ 30: 0 })); // "none"
 */
export const errorInformation = /* @__PURE__ */ level(/* @__PURE__ */ cv(30), {
  min: 1,
  names: { none: 0 },
  label: "Error information",
  clause: "S-9.2.2 (July 2012), CV 30",
});

/**
 * The load on the motor at this moment, CV 892: an amount, 0-127, and its sign. Volatile: it changes by
 * itself. Sign and amount are kept apart, because there are two zeros.
 *
 * S-9.2.2 (July 2012), CV 892.
 * @example
 * import { CvSet } from "cvset";
 * import { decoderLoad } from "cvset/standard";
 * decoderLoad.decode(CvSet.from({ 892: 138 })); // { amount: 10, negative: true }
 */
export const decoderLoad = /* @__PURE__ */ record(
  {
    amount: /* @__PURE__ */ level(/* @__PURE__ */ cv(892).bits(0, 6), {
      label: "Amount of the load",
      clause: "S-9.2.2 (July 2012), CV 892 bits 0-6",
    }),
    negative: /* @__PURE__ */ flag(/* @__PURE__ */ cv(892).bit(7), {
      label: "Load is negative",
      clause: "S-9.2.2 (July 2012), CV 892 bit 7",
    }),
  },
  { label: "Decoder load", clause: "S-9.2.2 (July 2012), CV 892" },
);

/**
 * The dynamic flags, CV 893, as the numbers of the bits that are set, 0-7. Volatile: they change by
 * themselves.
 *
 * S-9.2.2 (July 2012), Table 1, CV 893.
 * @example
 * import { CvSet } from "cvset";
 * import { dynamicFlags } from "cvset/standard";
 * dynamicFlags.decode(CvSet.from({ 893: 129 })); // [0, 7]
 */
export const dynamicFlags = /* @__PURE__ */ several(/* @__PURE__ */ cv(893), [0, 1, 2, 3, 4, 5, 6, 7], {
  label: "Dynamic flags that are set, by bit number",
  clause: "S-9.2.2 (July 2012), CV 893",
});

/**
 * Fuel or coal left, CV 894: 0 empty to 254 full; `"not-supported"` is 255. Volatile: it changes by
 * itself.
 *
 * S-9.2.2 (July 2012), CV 894.
 * @example
 * import { CvSet } from "cvset";
 * import { fuel } from "cvset/standard";
 * fuel.decode(CvSet.from({ 894: 255 })); // "not-supported"
 */
export const fuel = /* @__PURE__ */ level(/* @__PURE__ */ cv(894), {
  max: 254,
  names: { "not-supported": 255 },
  label: "Fuel or coal left",
  note: "0 is empty, 254 is full.",
  clause: "S-9.2.2 (July 2012), CV 894",
});

/**
 * Water left, CV 895: 0 empty to 254 full; `"not-supported"` is 255. Volatile: it changes by itself.
 *
 * S-9.2.2 (July 2012), CV 895.
 * @example
 * import { CvSet } from "cvset";
 * import { water } from "cvset/standard";
 * water.decode(CvSet.from({ 895: 127 })); // 127
 */
export const water = /* @__PURE__ */ level(/* @__PURE__ */ cv(895), {
  max: 254,
  names: { "not-supported": 255 },
  label: "Water left",
  note: "0 is empty, 254 is full.",
  clause: "S-9.2.2 (July 2012), CV 895",
});
