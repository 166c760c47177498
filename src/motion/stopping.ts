import { type MomentumRate, rateNear, secondsPerUnit } from "./momentum.js";
import {
  distanceLimits,
  type Limits,
  levelLimits,
  Problems,
  secondsLimits,
  speedLimits,
} from "./problems.js";

/** A speed change under momentum. */
export interface SpeedChange {
  /**
   * The full-size speed at step 1 and up, m/s: 14, 28 or (128-step mode) 126 of them, as
   * {@link predictSpeeds} gives them. Stop is step 0, with speed 0.
   */
  readonly speeds: readonly number[];
  /** The step at the beginning, 0 to the number of steps. */
  readonly from: number;
  /** The step at the end. Default 0, stop. */
  readonly to?: number;
  /**
   * The momentum in use, 0-255: CV 4 with CV 24 when it gets slower, CV 3 with CV 23 when it gets faster;
   * see {@link adjustedMomentum}.
   */
  readonly momentum: number;
}

/** Where a speed change has come to. */
export interface ProfilePoint {
  /** The speed step. */
  readonly step: number;
  /** Since the beginning, s. */
  readonly seconds: number;
  /** Since the beginning, m at full size. */
  readonly distance: number;
  /** m/s at full size. */
  readonly speed: number;
}

/** How a speed change goes. */
export interface Profile {
  /** How long it takes, s. */
  readonly seconds: number;
  /** How far the train runs in that time, m at full size; divide by the scale's ratio for the track. */
  readonly distance: number;
  /** The beginning, every step, and the end. */
  readonly points: readonly ProfilePoint[];
}

/**
 * How a locomotive changes speed under momentum: the time and distance of every step on the way, and in
 * all. With `to` left out, the way to a stop.
 *
 * The decoder passes one step in momentum * 0.896 / steps seconds (S-9.2.2, CV 3 and 4). What happens
 * within a step the standard leaves open: here the speed changes evenly from one step's to the next one's.
 * A decoder that holds each speed until the next step is due runs further, by at most the first speed
 * times the time of one step. The train's own inertia and slipping wheels are left out.
 * @param change Speeds, steps and momentum.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { momentumProfile } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const { seconds, distance } = momentumProfile({ speeds, from: 28, momentum: 10 });
 * [seconds, Math.round(distance * 100) / 100]; // [8.96, 125.44]
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumProfile(change: SpeedChange): Profile {
  checkChange(change);
  const { speeds, from, to = 0, momentum } = change;
  const stepSeconds = (momentum * secondsPerUnit) / speeds.length;
  const speedOf = (step: number): number => (step === 0 ? 0 : (speeds[step - 1] as number));
  const way = to < from ? -1 : 1;
  const points: ProfilePoint[] = [{ step: from, seconds: 0, distance: 0, speed: speedOf(from) }];
  let distance = 0;
  for (let step = from; step !== to; step += way) {
    distance += ((speedOf(step) + speedOf(step + way)) / 2) * stepSeconds;
    const next = step + way;
    // The time is worked out anew each time, so that it ends on the formula's own value.
    const seconds = momentum * secondsPerUnit * (Math.abs(next - from) / speeds.length);
    points.push({ step: next, seconds, distance, speed: speedOf(next) });
  }
  const last = points[points.length - 1] as ProfilePoint;
  return { seconds: last.seconds, distance: last.distance, points };
}

/** A momentum value for a wished stop. */
export interface StopRate extends MomentumRate {
  /** The distance to the stop, m at full size. */
  readonly distance: number;
}

/**
 * The momentum (CV 4 with CV 24) that comes nearest to a wished stop: over a distance, or in a time. Time
 * and distance both grow in proportion to it.
 * @param wish The speeds and the step `from`, as for {@link momentumProfile}, and one of `distance`, m at
 * full size (the distance on the track times the scale's ratio), or `seconds`.
 * @returns The value and what it gives; `error` in s or, for a distance, in m.
 * @throws `CvError` with everything that is wrong, such as a `from` at which it stands.
 * @example
 * import { centimetres, momentumForStop, scaleRatio } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const distance = centimetres(100) * scaleRatio("HO");
 * const { value, limited } = momentumForStop({ speeds, from: 28, distance });
 * [value, limited]; // [7, false]
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumForStop(wish: {
  readonly speeds: readonly number[];
  readonly from: number;
  readonly distance?: number;
  readonly seconds?: number;
}): StopRate {
  const { speeds, from, distance, seconds } = wish;
  const problems = new Problems();
  if ((distance === undefined) === (seconds === undefined)) {
    problems.content("distance", "or seconds: give one of the two");
  }
  if (distance !== undefined) problems.number("distance", distance, distanceLimits);
  if (seconds !== undefined) problems.number("seconds", seconds, secondsLimits);
  problems.throwIfAny();
  const unit = momentumProfile({ speeds, from, momentum: 1 });
  const per = distance === undefined ? unit.seconds : unit.distance;
  if (per === 0) {
    problems.content("from", "must be a step at which the locomotive moves", from);
    problems.throwIfAny();
  }
  const wished = (distance ?? seconds) as number;
  const rate = rateNear(wished / per, (value) => value * unit.seconds, wished);
  const found = rate.value * unit.distance;
  return { ...rate, error: distance === undefined ? rate.error : found - wished, distance: found };
}

/** How to come to a stand at a mark. */
export interface BrakingPlan {
  /** How far to run on before the throttle is closed, m at full size; 0: at once. */
  readonly runOn: number;
  /** How long that takes, s. */
  readonly runOnSeconds: number;
  /** From the beginning to the stop, s. */
  readonly seconds: number;
  /** How far past the mark it stops, m at full size; 0 when it stops at the mark. */
  readonly overshoot: number;
  /** The speed at the mark, m/s; 0 when it stops there. */
  readonly speedAtMark: number;
  /** The way from closing the throttle to the stop. */
  readonly braking: Profile;
}

/**
 * When to close the throttle so that a locomotive stops at a mark; and if the mark is too near, how far
 * past it the stop will be.
 * @param wish The speeds, the step `from` and the momentum as for {@link momentumProfile}, and the
 * `distance` to the mark, m at full size.
 * @throws `CvError` with everything that is wrong, such as a `from` at which it stands.
 * @example
 * import { brakeToMark } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const plan = brakeToMark({ speeds, from: 28, momentum: 10, distance: 200 });
 * [Math.round(plan.runOn * 100) / 100, plan.overshoot]; // [74.56, 0]
 */
/* @__NO_SIDE_EFFECTS__ */
export function brakeToMark(wish: {
  readonly speeds: readonly number[];
  readonly from: number;
  readonly momentum: number;
  readonly distance: number;
}): BrakingPlan {
  const { speeds, from, momentum, distance } = wish;
  const problems = new Problems();
  problems.number("distance", distance, distanceLimits);
  problems.throwIfAny();
  const braking = momentumProfile({ speeds, from, momentum });
  const start = braking.points[0] as ProfilePoint;
  if (start.speed === 0) {
    problems.content("from", "must be a step at which the locomotive moves", from);
    problems.throwIfAny();
  }
  const runOn = Math.max(0, distance - braking.distance);
  const runOnSeconds = runOn / start.speed;
  const overshoot = Math.max(0, braking.distance - distance);
  const speedAtMark = overshoot > 0 ? speedAfter(braking.points, distance) : 0;
  return { runOn, runOnSeconds, seconds: runOnSeconds + braking.seconds, overshoot, speedAtMark, braking };
}

/** The speed after some distance of a profile, within its length. */
function speedAfter(points: readonly ProfilePoint[], distance: number): number {
  const next = points.findIndex((point) => point.distance >= distance);
  const a = points[Math.max(0, next - 1)] as ProfilePoint;
  const b = points[Math.max(0, next)] as ProfilePoint;
  const length = b.distance - a.distance;
  // Under even braking the square of the speed falls evenly over the distance.
  const part = length > 0 ? (distance - a.distance) / length : 1;
  return Math.sqrt(Math.max(0, a.speed ** 2 + (b.speed ** 2 - a.speed ** 2) * part));
}

function checkChange({ speeds, from, to = 0, momentum }: SpeedChange): void {
  const problems = new Problems();
  const listed = problems.numbers("speeds", speeds, speedLimits, [14, 28, 126]);
  const steps: Limits = { min: 0, max: listed ? speeds.length : 126, whole: true };
  problems.number("from", from, steps);
  problems.number("to", to, steps);
  problems.number("momentum", momentum, levelLimits);
  problems.throwIfAny();
}
