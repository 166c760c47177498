import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { need, oneOf } from "../cv/argument.js";
import { isByte } from "../cv/cvpatch.js";
import type { CvsLike } from "../cv/cvset.js";
import { notAByte } from "../cv/faults.js";
import { CvError, type Issue } from "../cv/issue.js";
import { cv } from "../cv/place.js";
import { type KnownCvs, knownOf } from "./address.js";

/** Seconds between stop and full speed for each unit of CV 3 and 4 (S-9.2.2 (July 2012), CV 3 and 4). */
export const secondsPerUnit = 0.896;

/** How the seconds of CV 3, 4, 23 and 24 are stored. */
export const momentumScale = { unit: "s", step: secondsPerUnit, decimals: 3 } as const;

/**
 * The momentum in seconds between stop and full speed, 0 to 228.48 s in steps of 0.896 s: `acceleration` in
 * CV 3, `deceleration` in CV 4. The time is the same for every number of speed steps; one step takes
 * CV * 0.896 s / steps in use. 0 is no momentum.
 *
 * S-9.2.2 (July 2012), CV 3 and 4.
 * @example
 * import { momentum } from "cvset/standard";
 * momentum.encode({ acceleration: 8.96, deceleration: 0 }).toJSON().cvs; // { "3": 10, "4": 0 }
 * momentum.encode({ deceleration: 10 }, { nearest: true }).toJSON().cvs; // { "4": 11 }
 */
export const momentum = /* @__PURE__ */ momentumCodec();

/** The momentum that a decoder applies. */
export interface Momentum {
  /** The value of CV 3 or CV 4 with its adjustment, 0-255. */
  readonly value: number;
  /** Seconds between stop and full speed, 0-228.48. */
  readonly seconds: number;
  /** The limit that the sum went over: `"maximum"`, 255, or `"none"`, 0. Absent where it went over none. */
  readonly limit?: "maximum" | "none";
}

/** The seconds between stop and full speed of a value of CV 3 or 4, 0-255; exact to the last decimal. */
export function momentumSeconds(value: number): number {
  return (value * (1000 * secondsPerUnit)) / 1000;
}

/**
 * The momentum of a rate and its adjustment: CV 3 with CV 23, or CV 4 with CV 24. Bits 0-6 of the
 * adjustment are added, or with bit 7 set subtracted. A sum above 255 becomes 255; one below 0 becomes 0.
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
  const source = "S-9.2.2 (July 2012), CV 3, 4, 23 and 24";
  const issues = Object.entries({ rate, adjustment }).flatMap(([path, found]): Issue[] =>
    isByte(found) ? [] : [notAByte({ found }, { path, source })],
  );
  if (issues.length) throw new CvError(issues);
  const amount = adjustment & 127;
  const sum = adjustment & 128 ? rate - amount : rate + amount;
  const value = Math.min(255, Math.max(0, sum));
  const seconds = momentumSeconds(value);
  return sum === value ? { value, seconds } : { value, seconds, limit: sum > 255 ? "maximum" : "none" };
}

const aChange = /* @__PURE__ */ oneOf("acceleration", "deceleration");

/**
 * The momentum that a decoder applies when its speed changes: CV 3 with CV 23 for acceleration, CV 4 with
 * CV 24 for deceleration.
 *
 * S-9.2.2 (July 2012), CV 3, 4, 23 and 24.
 * @param cvs The CVs, as far as they are known. An adjustment that is not known counts as 0.
 * @param change Whether the speed rises or falls.
 * @returns The momentum; undefined when CV 3 or CV 4 is not known.
 * @example
 * import { CvSet } from "cvset";
 * import { momentumInUse } from "cvset/standard";
 * momentumInUse(CvSet.from({ 4: 10, 24: 130 }), "deceleration"); // { value: 8, seconds: 7.168 }
 */
export function momentumInUse(
  cvs: KnownCvs | CvsLike,
  change: "acceleration" | "deceleration",
): Momentum | undefined {
  const known = knownOf(cvs);
  need(aChange, change, "change");
  const rate = known.get(change === "acceleration" ? 3 : 4);
  if (rate === undefined) return undefined;
  return adjustedMomentum(rate, known.get(change === "acceleration" ? 23 : 24) ?? 0);
}

// Bundlers drop a call that is marked as pure, but not one with a spread among its arguments.
/* @__NO_SIDE_EFFECTS__ */
function momentumCodec() {
  return record(
    {
      acceleration: level(cv(3), {
        ...momentumScale,
        label: "Acceleration, stop to full speed",
        source: "S-9.2.2 (July 2012), CV 3",
      }),
      deceleration: level(cv(4), {
        ...momentumScale,
        label: "Deceleration, full speed to stop",
        source: "S-9.2.2 (July 2012), CV 4",
      }),
    },
    { label: "Momentum", means: "momentum", source: "S-9.2.2 (July 2012), CV 3 and 4" },
  );
}
