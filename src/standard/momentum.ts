import { choice } from "../codec/choice.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { Scale } from "../codec/scale.js";
import { cv } from "../cv/place.js";

/** Seconds between stop and full speed that one step of the CV is (S-9.2.2 (July 2012), CV 3 and 4). */
const step = 0.896;
const steps = /* @__PURE__ */ new Scale({ unit: "s", step, decimals: 3 }, 255, []);
const adjustmentSteps = /* @__PURE__ */ new Scale({ unit: "s", step, decimals: 3 }, 127, []);

/**
 * Momentum when speeding up, CV 3, in seconds from stop to full speed: CV * 0.896 s (0 to 228.48 s),
 * whatever the number of speed steps. The standard gives it per step: CV * 0.896 s / steps in use.
 *
 * S-9.2.2 (July 2012), CV 3.
 * @example
 * import { CvSet } from "cvset";
 * import { acceleration } from "cvset/standard";
 * acceleration.decode(CvSet.from({ 3: 2 })); // 1.792
 */
export const acceleration = /* @__PURE__ */ level(/* @__PURE__ */ cv(3), {
  unit: "s",
  step,
  decimals: 3,
  label: "Acceleration, stop to full speed",
  clause: "S-9.2.2 (July 2012), CV 3",
});

/**
 * Momentum when slowing down, CV 4, in seconds from full speed to stop: CV * 0.896 s (0 to 228.48 s),
 * whatever the number of speed steps.
 *
 * S-9.2.2 (July 2012), CV 4.
 * @example
 * import { deceleration } from "cvset/standard";
 * deceleration.encode(10, { nearest: true }).toJSON().cvs; // { "4": 11 }
 */
export const deceleration = /* @__PURE__ */ level(/* @__PURE__ */ cv(4), {
  unit: "s",
  step,
  decimals: 3,
  label: "Deceleration, full speed to stop",
  clause: "S-9.2.2 (July 2012), CV 4",
});

/**
 * Momentum both ways, CV 3 and 4, in seconds between stop and full speed; 0 is none.
 *
 * S-9.2.2 (July 2012), CV 3 and 4.
 * @example
 * import { momentum } from "cvset/standard";
 * momentum.encode({ acceleration: 8.96, deceleration: 0 }).toJSON().cvs; // { "3": 10, "4": 0 }
 */
export const momentum = /* @__PURE__ */ record(
  { acceleration, deceleration },
  { label: "Momentum", means: "momentum", clause: "S-9.2.2 (July 2012), CV 3 and 4" },
);

/**
 * What CV 23 adds to or subtracts from the acceleration of CV 3: seconds from stop to full speed, 0 to
 * 113.792, and which of the two. Sign and amount are kept apart, because there are two zeros.
 *
 * S-9.2.2 (July 2012), CV 23.
 * @example
 * import { CvSet } from "cvset";
 * import { accelerationAdjustment } from "cvset/standard";
 * accelerationAdjustment.decode(CvSet.from({ 23: 138 })); // { seconds: 8.96, direction: "subtract" }
 */
export const accelerationAdjustment = /* @__PURE__ */ adjustment(23, 3);

/**
 * What CV 24 adds to or subtracts from the deceleration of CV 4: seconds from full speed to stop, 0 to
 * 113.792, and which of the two. Sign and amount are kept apart, because there are two zeros.
 *
 * S-9.2.2 (July 2012), CV 24.
 * @example
 * import { decelerationAdjustment } from "cvset/standard";
 * decelerationAdjustment.encode({ seconds: 0.896, direction: "add" }).toJSON().cvs; // { "24": 1 }
 */
export const decelerationAdjustment = /* @__PURE__ */ adjustment(24, 4);

/* @__NO_SIDE_EFFECTS__ */
function adjustment(number: number, base: number) {
  const clause = `S-9.2.2 (July 2012), CV ${number}`;
  return record(
    {
      seconds: level(cv(number).bits(0, 6), {
        unit: "s",
        step,
        decimals: 3,
        label: `Adjustment of CV ${base}`,
        clause: `${clause} bits 0-6`,
      }),
      direction: choice(
        cv(number).bit(7),
        { add: 0, subtract: 1 },
        { label: "Added or subtracted", clause: `${clause} bit 7` },
      ),
    },
    { label: `Adjustment of CV ${base}`, clause },
  );
}

/**
 * The momentum that a decoder applies: CV 3 with CV 23, or CV 4 with CV 24. A sum above the most that a
 * CV can hold is that most, and one below none is none; `limited` says so.
 *
 * S-9.2.2 (July 2012), CV 23 and 24.
 * @param seconds What {@link acceleration} or {@link deceleration} decodes, 0-228.48 s in steps of 0.896 s.
 * @param adjustment What {@link accelerationAdjustment} or {@link decelerationAdjustment} decodes.
 * @returns Seconds between stop and full speed, and whether the sum went over a limit.
 * @throws `CvError` when either amount is none of those that the CVs can hold.
 * @example
 * import { effectiveRate } from "cvset/standard";
 * effectiveRate(8.96, { seconds: 1.792, direction: "subtract" }); // { seconds: 7.168, limited: false }
 * effectiveRate(8.96, { seconds: 17.92, direction: "subtract" }); // { seconds: 0, limited: true }
 */
export function effectiveRate(
  seconds: number,
  { seconds: amount, direction }: { readonly seconds: number; readonly direction: "add" | "subtract" },
): { seconds: number; limited: boolean } {
  const base = steps.stored(seconds, false);
  const change = adjustmentSteps.stored(amount, false);
  const sum = direction === "add" ? base + change : base - change;
  const limited = sum < 0 || sum > 255;
  return { seconds: steps.valueOf(Math.min(Math.max(sum, 0), 255)), limited };
}
