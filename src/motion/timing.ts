import { CvError } from "../cv/index.js";
import { distanceLimits, Problems, secondsLimits } from "./problems.js";
import { badScale, tryScaleRatio } from "./scale.js";

/**
 * The speed at full size that a model runs at, m/s: its own speed times the ratio of its scale.
 * @param run `distance`: how far the model ran, m, measured on the track; `seconds`: how long it took;
 * `scale`: a scale or a ratio, see {@link scaleRatio}.
 * @throws `CvError` for a distance that is not above 0, a time below 0.001 s, or an unknown scale.
 * @example
 * import { centimetres, scaleSpeed, toMph } from "cvset/motion";
 * const speed = scaleSpeed({ distance: centimetres(200), seconds: 8, scale: "O" });
 * Math.round(toMph(speed) * 10) / 10; // 26.8
 */
/* @__NO_SIDE_EFFECTS__ */
export function scaleSpeed(run: {
  readonly distance: number;
  readonly seconds: number;
  readonly scale: string | number;
}): number {
  const problems = new Problems();
  problems.number("distance", run.distance, distanceLimits);
  problems.number("seconds", run.seconds, secondsLimits);
  const ratio = tryScaleRatio(run.scale);
  if (ratio === undefined) problems.issues.push(badScale("scale", run.scale));
  problems.throwIfAny();
  return (run.distance / run.seconds) * (ratio as number);
}

/** Several timings of the same run, combined. */
export interface Timing {
  /** The median, s: half of the timings are longer, half shorter. */
  readonly seconds: number;
  /** The median distance of the timings from their median, s (median absolute deviation). */
  readonly spread: number;
  /** The shortest timing, s. */
  readonly shortest: number;
  /** The longest timing, s. */
  readonly longest: number;
  /** How many there were. */
  readonly count: number;
  /** Timings that lie far off, s: more than 5 spreads, and more than 2 %, from the median. */
  readonly outliers: readonly number[];
}

/**
 * Repeated timings of the same run, combined by their median, so that one slip of the thumb does not
 * count. Outliers are named, not thrown away: the median does not need it.
 * @param seconds One timing or more, s, each 0.001 or more.
 * @throws `CvError` for no timing, or one below 0.001 s.
 * @example
 * import { combineTimings } from "cvset/motion";
 * const { seconds, outliers } = combineTimings([8.1, 8, 8.2, 11.5, 8.1]);
 * [seconds, ...outliers]; // [8.1, 11.5]
 */
/* @__NO_SIDE_EFFECTS__ */
export function combineTimings(seconds: readonly number[]): Timing {
  if (seconds.length === 0) {
    throw new CvError([
      { code: "content", path: "seconds", expected: "needs one timing or more; there is none" },
    ]);
  }
  const problems = new Problems();
  for (let i = 0; i < seconds.length; i++) problems.number(`seconds.${i}`, seconds[i], secondsLimits);
  problems.throwIfAny();
  const { middle, spread, outliers } = agreement(seconds);
  return {
    seconds: middle,
    spread,
    shortest: seconds.reduce((least, time) => Math.min(least, time)),
    longest: seconds.reduce((most, time) => Math.max(most, time)),
    count: seconds.length,
    outliers,
  };
}

/** The median of some values, their median distance from it, and those that lie far off. */
export function agreement(values: readonly number[]): { middle: number; spread: number; outliers: number[] } {
  const middle = median(values);
  const spread = median(values.map((value) => Math.abs(value - middle)));
  const far = Math.max(5 * spread, 0.02 * middle);
  return { middle, spread, outliers: values.filter((value) => Math.abs(value - middle) > far) };
}

/** The middle value, or the mean of the two middle ones; the list must not be empty. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 ? upper : ((sorted[half - 1] as number) + upper) / 2;
}
