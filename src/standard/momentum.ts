import { choice } from "../codec/choice.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { CvError, type Issue } from "../cv/issue.js";
import { cv } from "../cv/place.js";
import type { KnownCvs } from "./address.js";

/** Seconds between stop and full speed that one step of the CV is (S-9.2.2 (July 2012), CV 3 and 4). */
const step = 0.896;

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

/** Seconds between stop and full speed that CV 3 and 4 give for each unit (S-9.2.2 (July 2012), CV 3 and 4). */
export const secondsPerUnit = step;

/** The seconds between stop and full speed that a momentum value gives, without the noise of binary fractions. */
export function momentumSeconds(value: number): number {
  return (value * 896) / 1000;
}

const adjustmentSource = "S-9.2.2 (July 2012), CV 3, 4, 23 and 24";

/** The momentum that a decoder applies. */
export interface Momentum {
  /** The value of the CV with its adjustment, 0-255. */
  readonly value: number;
  /** Seconds between stop and full speed, 0-228.48. */
  readonly seconds: number;
  /** The limit that the sum went over, and where it stays: `"maximum"` is 255, `"none"` is 0. */
  readonly limit?: "maximum" | "none";
}

/**
 * The momentum that a rate and its adjustment give: CV 3 with CV 23, or CV 4 with CV 24. Bits 0-6 of the
 * adjustment are added, or with bit 7 set subtracted. A sum above 255 is 255; one below 0 is 0.
 *
 * S-9.2.2 (July 2012), CV 3, 4, 23 and 24.
 * @param rate CV 3 or CV 4, 0-255.
 * @param adjustment CV 23 or CV 24, 0-255.
 * @throws `CvError` for a value that is not a byte.
 * @example
 * import { adjustedMomentum } from "cvset/standard";
 * adjustedMomentum(20, 128 + 5); // { value: 15, seconds: 13.44 }
 * adjustedMomentum(200, 100).limit; // "maximum"
 */
export function adjustedMomentum(rate: number, adjustment: number): Momentum {
  const issues = Object.entries({ rate, adjustment }).flatMap(([path, found]): Issue[] =>
    Number.isInteger(found) && found >= 0 && found <= 255
      ? []
      : [{ code: "byte", path, expected: "a whole number from 0 to 255", found, clause: adjustmentSource }],
  );
  if (issues.length) throw new CvError(issues);
  const amount = adjustment & 127;
  const sum = adjustment & 128 ? rate - amount : rate + amount;
  const value = Math.min(255, Math.max(0, sum));
  const seconds = momentumSeconds(value);
  return sum === value ? { value, seconds } : { value, seconds, limit: sum > 255 ? "maximum" : "none" };
}

/**
 * The momentum that a decoder applies when it changes speed: CV 3 with CV 23 when speeding up, CV 4 with
 * CV 24 when slowing down.
 *
 * S-9.2.2 (July 2012), CV 3, 4, 23 and 24.
 * @param cvs The CVs, as far as they are known. An adjustment that is not known counts as 0.
 * @param change Which of the two.
 * @returns The momentum; undefined when CV 3 or CV 4 is not known.
 * @example
 * import { CvSet } from "cvset";
 * import { momentumInUse } from "cvset/standard";
 * momentumInUse(CvSet.from({ 4: 10, 24: 130 }), "deceleration"); // { value: 8, seconds: 7.168 }
 */
export function momentumInUse(cvs: KnownCvs, change: "acceleration" | "deceleration"): Momentum | undefined {
  const rate = cvs.get(change === "acceleration" ? 3 : 4);
  if (rate === undefined) return undefined;
  return adjustedMomentum(rate, cvs.get(change === "acceleration" ? 23 : 24) ?? 0);
}
