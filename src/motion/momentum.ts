import { CvError, CvPatch } from "../cv/index.js";
import { type Limits, levelLimits, Problems } from "./problems.js";

/** S-9.2.2 (July 2012), CV 3 and 4: from stop to full speed takes this many seconds for each unit. */
export const secondsPerUnit = 0.896;

const clause = "S-9.2.2 (July 2012), CV 3, 4, 23 and 24";
/** 255 * 0.896 s is the longest that can be stored. */
const momentumLimits: Limits = { min: 0, max: 1e5, unit: "s" };

/** A momentum value with what it gives and how near that is to the wish. */
export interface MomentumRate {
  /** 0-255, the value for CV 3 or CV 4 (or the sum with CV 23 or CV 24); 0 is no momentum. */
  readonly value: number;
  /** What it gives, s from stop to full speed or back. */
  readonly seconds: number;
  /** That minus the wish, s. */
  readonly error: number;
  /** Whether more was wished than 255 gives, 228.48 s. */
  readonly limited: boolean;
}

/**
 * How long the decoder stays at each speed step while it changes speed, s: value * 0.896 / number of steps
 * (S-9.2.2, CV 3 and 4).
 * @param value CV 3 or CV 4 (with CV 23 or 24 added), 0-255.
 * @param steps How many steps there are above stop: 14, 28, or 126 in 128-step mode. From stop to full
 * speed it is value * 0.896 s in every mode.
 * @throws `CvError` for a value that is not a byte, or a number of steps that is not one of these.
 * @example
 * import { secondsPerStep } from "cvset/motion";
 * secondsPerStep(2, 28); // 0.064
 */
/* @__NO_SIDE_EFFECTS__ */
export function secondsPerStep(value: number, steps: number): number {
  const problems = new Problems();
  problems.number("value", value, levelLimits, clause);
  if (steps !== 14 && steps !== 28 && steps !== 126) {
    problems.issues.push({ code: "option", path: "steps", expected: "14, 28 or 126", found: steps });
  }
  problems.throwIfAny();
  return (value * secondsPerUnit) / steps;
}

/**
 * The momentum value that comes nearest to a wished time.
 * @param seconds From stop to full speed or back, s, 0 or more.
 * @throws `CvError` for a time that is not a number from 0 up.
 * @example
 * import { momentumFor } from "cvset/motion";
 * const { value, limited } = momentumFor(20);
 * [value, limited]; // [22, false]
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumFor(seconds: number): MomentumRate {
  const problems = new Problems();
  problems.number("seconds", seconds, momentumLimits);
  problems.throwIfAny();
  return rateNear(seconds / secondsPerUnit, (value) => value * secondsPerUnit, seconds);
}

/** The whole value from 0 to 255 nearest to `exact`, with what it gives. */
export function rateNear(exact: number, gives: (value: number) => number, wished: number): MomentumRate {
  const value = Math.min(255, Math.round(exact));
  const seconds = gives(value);
  return { value, seconds, error: seconds - wished, limited: exact > 255.5 };
}

/** A momentum value after its adjustment. */
export interface AdjustedMomentum {
  /** The sum, 0-255. */
  readonly value: number;
  /** From stop to full speed or back, s. */
  readonly seconds: number;
  /** `"maximum"` or `"none"` when the sum passed 255 or 0 and stays there (S-9.2.2, CV 23). */
  readonly limit?: "maximum" | "none";
}

/**
 * What CV 3 with CV 23 gives, or CV 4 with CV 24: the adjustment's bits 0-6 are added, or with bit 7 set
 * subtracted (S-9.2.2, CV 23 and 24).
 * @param base CV 3 or CV 4, 0-255.
 * @param adjustment CV 23 or CV 24, 0-255.
 * @throws `CvError` for a value that is not a byte.
 * @example
 * import { adjustedMomentum } from "cvset/motion";
 * adjustedMomentum(20, 128 + 5).value; // 15
 * adjustedMomentum(200, 100).limit; // "maximum"
 */
/* @__NO_SIDE_EFFECTS__ */
export function adjustedMomentum(base: number, adjustment: number): AdjustedMomentum {
  const problems = new Problems();
  problems.number("base", base, levelLimits, clause);
  problems.number("adjustment", adjustment, levelLimits, clause);
  problems.throwIfAny();
  const sum = base + (adjustment & 128 ? -(adjustment & 127) : adjustment & 127);
  const value = Math.min(255, Math.max(0, sum));
  const seconds = value * secondsPerUnit;
  return sum === value ? { value, seconds } : { value, seconds, limit: sum > 255 ? "maximum" : "none" };
}

/**
 * The adjustment of CV 23 or CV 24 that takes CV 3 or CV 4 to another value, such as for a locomotive in
 * a consist.
 * @param base CV 3 or CV 4, 0-255.
 * @param wanted The wanted sum, 0-255; not more than 127 from `base`.
 * @throws `CvError` for values that are not bytes, or too far apart.
 * @example
 * import { adjustmentFor } from "cvset/motion";
 * adjustmentFor(20, 15); // 133
 */
/* @__NO_SIDE_EFFECTS__ */
export function adjustmentFor(base: number, wanted: number): number {
  const problems = new Problems();
  const good = [
    problems.number("base", base, levelLimits, clause),
    problems.number("wanted", wanted, levelLimits, clause),
  ];
  const difference = wanted - base;
  if (!good.includes(false) && Math.abs(difference) > 127) {
    problems.content(
      "wanted",
      `must not be more than 127 from ${base}: an adjustment has 7 bits`,
      wanted,
      clause,
    );
  }
  problems.throwIfAny();
  return difference < 0 ? 128 - difference : difference;
}

/** A momentum setting: the values, and the CVs. */
export interface MomentumSetting {
  readonly acceleration?: MomentumRate;
  readonly deceleration?: MomentumRate;
  /** CV 3 and CV 4, as far as they were asked for. */
  readonly patch: CvPatch;
}

/**
 * CV 3 and CV 4 for wished times.
 * @param wish `acceleration`: s from stop to full speed; `deceleration`: s from full speed to stop; either
 * may be left out.
 * @throws `CvError` with everything that is wrong; also for a time beyond 228.48 s, which no value gives.
 * @example
 * import { momentumSetting } from "cvset/motion";
 * momentumSetting({ acceleration: 20, deceleration: 10 }).patch.toJSON().cvs; // { "3": 22, "4": 11 }
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumSetting(wish: {
  readonly acceleration?: number;
  readonly deceleration?: number;
}): MomentumSetting {
  const problems = new Problems();
  const limits: Limits = { min: 0, max: 255 * secondsPerUnit, unit: "s" };
  for (const name of ["acceleration", "deceleration"] as const) {
    if (wish[name] !== undefined) problems.number(name, wish[name], limits, clause);
  }
  if (problems.issues.length) throw new CvError(problems.issues);
  const acceleration = wish.acceleration === undefined ? undefined : momentumFor(wish.acceleration);
  const deceleration = wish.deceleration === undefined ? undefined : momentumFor(wish.deceleration);
  return {
    ...(acceleration && { acceleration }),
    ...(deceleration && { deceleration }),
    patch: CvPatch.from({
      cvs: {
        ...(acceleration && { 3: acceleration.value }),
        ...(deceleration && { 4: deceleration.value }),
      },
    }),
  };
}
