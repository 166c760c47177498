import { level } from "../codec/level.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";

/**
 * CV 25 in its two meanings, told apart by its bit 7. 2-127 pick one of the decoder's own speed tables
 * (2, `"linear"`, is a straight line; 0 and 1 are unused). 128-153 give the step, 1-26 of 28, at which
 * Vmid applies: the value less 127.
 *
 * The standard prints the second range as 128-154, yet names 26 positions, and 154 would be a 27th. So
 * 154 is read as out of range, like 155-255: an error, and never written.
 *
 * S-9.2.2 (July 2012), CV 25.
 * @example
 * import { CvSet } from "cvset";
 * import { speedTableOrMidStep } from "cvset/standard";
 * speedTableOrMidStep.decode(CvSet.from({ 25: 2 })); // { kind: "factory-table", number: "linear" }
 * speedTableOrMidStep.decode(CvSet.from({ 25: 137 })); // { kind: "mid-step", step: 10 }
 */
export const speedTableOrMidStep = /* @__PURE__ */ variant(
  /* @__PURE__ */ cv(25).bit(7),
  {
    "factory-table": {
      value: 0,
      label: "speed table of the decoder's own",
      fields: {
        number: /* @__PURE__ */ level(/* @__PURE__ */ cv(25).bits(0, 6), {
          min: 3,
          max: 127,
          names: { unused: 0, "unused-1": 1, linear: 2 },
          label: "Number of the table",
          clause: "S-9.2.2 (July 2012), CV 25",
        }),
      },
    },
    "mid-step": {
      value: 1,
      label: "step at which Vmid applies",
      fields: {
        step: /* @__PURE__ */ level(/* @__PURE__ */ cv(25).bits(0, 6), {
          min: 1,
          max: 26,
          // 128 is step 1: bit 7 alone, so 0 in these bits.
          offset: 1,
          label: "Step of 28",
          clause: "S-9.2.2 (July 2012), CV 25",
        }),
      },
    },
  },
  { label: "Speed table or mid step", clause: "S-9.2.2 (July 2012), CV 25" },
);
