import { anObject, need } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import { momentumSeconds } from "../standard/momentum.js";
import {
  distanceLimits,
  type Limits,
  levelLimits,
  Problems,
  secondsLimits,
  speedLimits,
} from "./problems.js";

const oneOfTwo = /* @__PURE__ */ fault("distance-or-seconds", "expected either a distance or seconds");
const standsThere = /* @__PURE__ */ fault(
  "stands-at-step",
  "expected a step at which the locomotive moves, got {found}",
);

/** A change of speed under momentum. */
export interface Profile {
  /** How long it takes, s. */
  readonly seconds: number;
  /** How far the train runs in that time, m at full size; divided by the ratio of the scale, m of track. */
  readonly distance: number;
  /**
   * The beginning, every step, and the end: the speed step, the seconds and the metres at full size since the
   * beginning, and the speed there, m/s at full size.
   */
  readonly points: readonly {
    readonly step: number;
    readonly seconds: number;
    readonly distance: number;
    readonly speed: number;
  }[];
}

export type ProfilePoint = Profile["points"][number];

/**
 * How a locomotive changes speed under momentum: the time and the distance of every step on the way, and in all.
 *
 * The decoder passes one step in momentum * 0.896 / steps seconds (S-9.2.2 (July 2012), CV 3 and 4). What happens
 * within a step the standard leaves open: here the speed changes evenly from one step to the next. A decoder that
 * holds each speed until the next step is due runs further, by at most the first speed times the time of one step.
 * The inertia of the train and slipping wheels are left out.
 * @param change `speeds`: the full-size speed at step 1 and up, m/s, as {@link predictSpeeds} gives them; 14, 28, or
 * (128-step mode) 126 of them. `from`: the step at the beginning, 0 (stop) to the number of steps. `to`: the step at
 * the end, default 0, stop. `momentum`: the value in use, 0-255: CV 4 with CV 24 when it gets slower, CV 3 with CV 23
 * when it gets faster.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { momentumProfile } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const { seconds, distance } = momentumProfile({ speeds, from: 28, momentum: 10 });
 * [seconds, Math.round(distance * 100) / 100]; // [8.96, 125.44]
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumProfile(change: {
  readonly speeds: readonly number[];
  readonly from: number;
  readonly to?: number;
  readonly momentum: number;
}): Profile {
  need(anObject, change, "change");
  checkChange(change);
  const { speeds, from, to = 0, momentum } = change;
  const fullSeconds = momentumSeconds(momentum);
  const stepSeconds = fullSeconds / speeds.length;
  const speedOf = (step: number): number => (step === 0 ? 0 : (speeds[step - 1] as number));
  const way = to < from ? -1 : 1;
  const points: ProfilePoint[] = [{ step: from, seconds: 0, distance: 0, speed: speedOf(from) }];
  let distance = 0;
  for (let step = from; step !== to; step += way) {
    distance += ((speedOf(step) + speedOf(step + way)) / 2) * stepSeconds;
    const next = step + way;
    // The time is worked out anew each time, so that it ends on the formula's own value.
    const seconds = fullSeconds * (Math.abs(next - from) / speeds.length);
    points.push({ step: next, seconds, distance, speed: speedOf(next) });
  }
  const last = points[points.length - 1] as ProfilePoint;
  return { seconds: last.seconds, distance: last.distance, points };
}

/**
 * The momentum (CV 4 with CV 24) that comes nearest to a stop over a distance, or in a time. Time and distance both
 * grow in proportion to it.
 * @param stop `speeds` and `from` as for {@link momentumProfile}, and either `distance`, m at full size (the
 * distance on the track times the ratio of the scale), or `seconds`.
 * @returns `value`: the momentum, 0-255; `seconds` and `distance`: what it gives, s and m at full size; `error`: what it
 * gives minus what was asked for, m for a distance, else s; `limited`: whether more was asked for than 255 gives.
 * @throws `CvError` with everything that is wrong, such as a `from` at which the locomotive stands.
 * @example
 * import { momentumForStop, scaleRatio } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const distance = 1 * scaleRatio("HO");
 * const { value, limited } = momentumForStop({ speeds, from: 28, distance });
 * [value, limited]; // [7, false]
 */
/* @__NO_SIDE_EFFECTS__ */
export function momentumForStop(stop: {
  readonly speeds: readonly number[];
  readonly from: number;
  readonly distance?: number;
  readonly seconds?: number;
}): {
  readonly value: number;
  readonly seconds: number;
  readonly distance: number;
  readonly error: number;
  readonly limited: boolean;
} {
  need(anObject, stop, "stop");
  const { speeds, from, distance, seconds } = stop;
  const problems = new Problems();
  if ((distance === undefined) === (seconds === undefined)) problems.add(oneOfTwo({}, { path: "distance" }));
  if (distance !== undefined) problems.number("distance", distance, distanceLimits);
  if (seconds !== undefined) problems.number("seconds", seconds, secondsLimits);
  problems.throwIfAny();
  const unit = momentumProfile({ speeds, from, momentum: 1 });
  const per = distance === undefined ? unit.seconds : unit.distance;
  if (per === 0) {
    problems.add(standsThere({ found: from }, { path: "from" }));
    problems.throwIfAny();
  }
  const exact = ((distance ?? seconds) as number) / per;
  const value = Math.min(255, Math.round(exact));
  const found = { seconds: value * unit.seconds, distance: value * unit.distance };
  const error = distance === undefined ? found.seconds - (seconds as number) : found.distance - distance;
  return { value, ...found, error, limited: exact > 255.5 };
}

/**
 * When to close the throttle so that a locomotive stops at a mark; and if the mark is too near, how far past it the
 * stop will be.
 * @param stop `speeds`, `from` and `momentum` as for {@link momentumProfile}, and `distance`: how far the mark is, m at
 * full size.
 * @returns `runOn` and `runOnSeconds`: how far and how long to run on before the throttle is closed, m at full size and
 * s, 0 for at once; `seconds`: from the beginning to the stop; `overshoot`: how far past the mark it stops, m at full
 * size, 0 at the mark; `speedAtMark`: m/s, 0 when it stops there; `braking`: from closing the throttle to the stop.
 * @throws `CvError` with everything that is wrong, such as a `from` at which the locomotive stands.
 * @example
 * import { brakeToMark } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
 * const plan = brakeToMark({ speeds, from: 28, momentum: 10, distance: 200 });
 * [Math.round(plan.runOn * 100) / 100, plan.overshoot]; // [74.56, 0]
 */
/* @__NO_SIDE_EFFECTS__ */
export function brakeToMark(stop: {
  readonly speeds: readonly number[];
  readonly from: number;
  readonly momentum: number;
  readonly distance: number;
}): {
  readonly runOn: number;
  readonly runOnSeconds: number;
  readonly seconds: number;
  readonly overshoot: number;
  readonly speedAtMark: number;
  readonly braking: Profile;
} {
  need(anObject, stop, "stop");
  const { speeds, from, momentum, distance } = stop;
  const problems = new Problems();
  problems.number("distance", distance, distanceLimits);
  problems.throwIfAny();
  const braking = momentumProfile({ speeds, from, momentum });
  const start = braking.points[0] as ProfilePoint;
  if (start.speed === 0) {
    problems.add(standsThere({ found: from }, { path: "from" }));
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

function checkChange({ speeds, from, to = 0, momentum }: Parameters<typeof momentumProfile>[0]): void {
  const problems = new Problems();
  const listed = problems.numbers("speeds", speeds, speedLimits, [14, 28, 126]);
  const steps: Limits = { min: 0, max: listed ? speeds.length : 126, whole: true };
  problems.number("from", from, steps);
  problems.number("to", to, steps);
  problems.number("momentum", momentum, levelLimits);
  problems.throwIfAny();
}
