import type { ValueOf } from "../codec/codec.js";
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

/**
 * The speed step at which Vmid applies: what CV 25 says, halved with 14 steps; without a say there, step
 * 14 of 28 and 7 of 14. The standard does not say which step half of an odd one is, so it stays a half.
 *
 * S-9.2.2 (July 2012), CV 25.
 * @param value What {@link speedTableOrMidStep} decodes, or nothing for a value that is out of range.
 * @param steps How many steps are in use.
 * @returns The step; undefined while a table of the decoder's own is picked, which has no such step.
 * @example
 * import { midStep } from "cvset/standard";
 * midStep({ kind: "mid-step", step: 10 }, 14); // 5
 * midStep(undefined, 28); // 14
 */
export function midStep(
  value: ValueOf<typeof speedTableOrMidStep> | undefined,
  steps: 14 | 28,
): number | undefined {
  const half = steps === 14 ? 2 : 1;
  if (value?.kind === "mid-step") return value.step / half;
  if (value && value.number !== "unused" && value.number !== "unused-1") return undefined;
  return 14 / half;
}
