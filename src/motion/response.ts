import { CvError } from "../cv/index.js";
import { isotonic } from "./isotonic.js";
import { type MonotoneCurve, monotoneCurve } from "./monotone.js";
import { levelLimits, Problems, speedLimits } from "./problems.js";
import { median } from "./timing.js";

/** One measured speed. */
export interface SpeedSample {
  /** The drive level, 0-255; it need not be whole, as a trim or 128 steps may lie between two. */
  readonly level: number;
  /** The full-size speed there, m/s; 0: it stood still. */
  readonly speed: number;
}

/** Something in the samples that was put right, and how. */
export interface Repair {
  /**
   * - `"repeated"`: one level was measured more than once; the median was taken.
   * - `"fell"`: a higher level measured slower; the levels from `level` to `to` share their mean.
   */
  readonly kind: "repeated" | "fell";
  /** The level, or the lowest of the levels. */
  readonly level: number;
  /** The highest of the levels. */
  readonly to: number;
  /** How far the measured speeds were changed at most, m/s. */
  readonly change: number;
}

/** A response's own data: enough to make it again. */
export interface ResponseData {
  /** The highest level at which it is known to stand still; 0 when none was measured. */
  readonly standsTo: number;
  /** The lowest measured level at which it moves: what CV 67 or CV 2 needs. */
  readonly movesFrom: number;
  /** The speed at {@link movesFrom}, m/s: the slowest that is known to be reached. */
  readonly slowest: number;
  /** The fastest speed, m/s. */
  readonly fastest: number;
  /** The highest level that was measured. */
  readonly measuredTo: number;
  /**
   * The measured level from which more level gives less than 1 % of the fastest speed more; left out when
   * that is only the last one.
   */
  readonly saturatesFrom?: number;
  /** What was put right in the samples. */
  readonly repairs: readonly Repair[];
}

/**
 * How fast a locomotive runs at each drive level. Immutable; {@link estimateResponse} makes one.
 * @example
 * import { estimateResponse, SpeedResponse } from "cvset/motion";
 * const response = estimateResponse([{ level: 30, speed: 1 }, { level: 230, speed: 21 }]);
 * response instanceof SpeedResponse; // true
 * [response.knows(20), response.knows(100)]; // [false, true]
 */
export class SpeedResponse implements ResponseData {
  readonly standsTo: number;
  readonly movesFrom: number;
  readonly slowest: number;
  readonly fastest: number;
  readonly measuredTo: number;
  declare readonly saturatesFrom?: number;
  readonly repairs: readonly Repair[];
  readonly #curve: MonotoneCurve;

  /** @internal Use {@link estimateResponse}. */
  constructor(data: ResponseData, curve: MonotoneCurve) {
    this.standsTo = data.standsTo;
    this.movesFrom = data.movesFrom;
    this.slowest = data.slowest;
    this.fastest = data.fastest;
    this.measuredTo = data.measuredTo;
    if (data.saturatesFrom !== undefined) this.saturatesFrom = data.saturatesFrom;
    this.repairs = data.repairs;
    this.#curve = curve;
  }

  /** Whether the speed at a level follows from measurements, and is not a guess. */
  knows(level: number): boolean {
    return (level >= this.movesFrom && level <= this.measuredTo) || (level >= 0 && level <= this.standsTo);
  }

  /**
   * The full-size speed at a drive level, m/s. Where nothing was measured it is a guess: between the
   * last level that stands and the first that moves a straight line, above the highest measured
   * level the fastest speed; {@link knows} tells.
   * @param level 0-255; it need not be whole.
   * @throws `CvError` for a level outside that.
   */
  speedAt(level: number): number {
    if (!(level >= 0 && level <= 255)) {
      const problems = new Problems();
      problems.number("level", level, { min: 0, max: 255 });
      problems.throwIfAny();
    }
    if (level <= this.standsTo) return 0;
    if (level < this.movesFrom) {
      return (this.slowest * (level - this.standsTo)) / (this.movesFrom - this.standsTo);
    }
    return this.#curve.at(level);
  }

  /**
   * The drive level for a speed, not rounded; undefined for a speed that no known level gives: slower
   * than {@link slowest} (and not 0), or above {@link fastest}. Where several levels give the speed, the
   * middle of them.
   * @param speed Full-size speed, m/s.
   * @throws `CvError` for a speed that is not a number from 0 up.
   */
  levelFor(speed: number): number | undefined {
    const problems = new Problems();
    problems.number("speed", speed, speedLimits);
    problems.throwIfAny();
    if (speed === 0) return 0;
    if (speed < this.slowest || speed > this.fastest) return undefined;
    const lowest = this.#search((at) => at >= speed);
    const highest = this.#search((at) => at > speed);
    return (lowest + highest) / 2;
  }

  /** The lowest level at which a test holds that fails below and holds above. */
  #search(reached: (speed: number) => boolean): number {
    let low = this.movesFrom;
    let high = this.measuredTo;
    if (reached(this.#curve.at(low))) return low;
    for (let i = 0; i < 60 && low < high; i++) {
      const middle = (low + high) / 2;
      if (reached(this.#curve.at(middle))) high = middle;
      else low = middle;
    }
    return high;
  }

  /** The response's data, without its curve. */
  toJSON(): ResponseData {
    const { standsTo, movesFrom, slowest, fastest, measuredTo, saturatesFrom, repairs } = this;
    const saturation = saturatesFrom === undefined ? {} : { saturatesFrom };
    return { standsTo, movesFrom, slowest, fastest, measuredTo, ...saturation, repairs };
  }
}

/**
 * How fast a locomotive runs at each drive level, from measured samples in any order, noisy as they
 * are. Repeated levels are combined by their median; where a higher level measured slower, neighbours
 * share their mean (isotonic regression); between the levels a smooth curve that never overshoots runs.
 * All that was put right is listed in `repairs`.
 * @param samples Levels 0-255 and full-size speeds in m/s; two levels or more at which it moves, with
 * different speeds. A sample with speed 0 marks where it still stands.
 * @throws `CvError` with everything that is wrong: too few levels, numbers out of range, speeds that
 * do not rise with the level at all.
 * @example
 * import { estimateResponse } from "cvset/motion";
 * const response = estimateResponse([
 *   { level: 20, speed: 0 }, { level: 30, speed: 1 }, { level: 130, speed: 11 }, { level: 230, speed: 21 },
 * ]);
 * [response.standsTo, response.movesFrom, response.fastest]; // [20, 30, 21]
 * Math.round(response.speedAt(180)); // 16
 * Math.round(response.levelFor(6) ?? -1); // 80
 */
/* @__NO_SIDE_EFFECTS__ */
export function estimateResponse(samples: readonly SpeedSample[]): SpeedResponse {
  const problems = new Problems();
  samples.forEach(({ level, speed }, i) => {
    problems.number(`samples.${i}.level`, level, { ...levelLimits, whole: false });
    problems.number(`samples.${i}.speed`, speed, speedLimits);
    if (level === 0 && speed > 0) {
      problems.content(`samples.${i}.speed`, "must be 0 at level 0, where the motor gets nothing", speed);
    }
  });
  problems.throwIfAny();
  const repairs: Repair[] = [];
  const { levels, speeds, counts } = combine(samples, repairs);
  const moving = levels.filter((_, i) => (speeds[i] as number) > 0).length;
  if (moving < 2) {
    const text = "needs two levels or more at which the locomotive moves; the number of these is";
    throw new CvError([{ code: "content", path: "samples", expected: `${text} ${moving}` }]);
  }
  const fitted = isotonic(speeds, counts);
  const fastest = fitted[fitted.length - 1] as number;
  const first = fitted.findIndex((speed) => speed > 0);
  if (fitted[first] === fastest) {
    const expected =
      "the speeds do not rise with the level; check that every speed stands beside its own level, and time again";
    throw new CvError([{ code: "content", path: "samples", expected }]);
  }
  const { xs, ys } = knots(levels, speeds, counts, fitted, first, repairs);
  const near = levels.findIndex((_, i) => (fitted[i] as number) >= 0.99 * fastest);
  const data: ResponseData = {
    standsTo: first > 0 ? (levels[first - 1] as number) : 0,
    movesFrom: levels[first] as number,
    slowest: fitted[first] as number,
    fastest,
    measuredTo: levels[levels.length - 1] as number,
    ...(near < levels.length - 1 ? { saturatesFrom: levels[near] as number } : {}),
    repairs,
  };
  return new SpeedResponse(data, monotoneCurve(xs, ys));
}

/** The samples in order of levels, one each. */
function combine(samples: readonly SpeedSample[], repairs: Repair[]) {
  const byLevel = new Map<number, number[]>();
  for (const { level, speed } of samples) {
    const same = byLevel.get(level);
    if (same) same.push(speed);
    else byLevel.set(level, [speed]);
  }
  const sorted = [...byLevel].sort((a, b) => a[0] - b[0]);
  const speeds = sorted.map(([, same]) => median(same));
  sorted.forEach(([level, same], i) => {
    if (same.length < 2) return;
    const change = Math.max(...same.map((speed) => Math.abs(speed - (speeds[i] as number))));
    repairs.push({ kind: "repeated", level, to: level, change });
  });
  return { levels: sorted.map(([level]) => level), speeds, counts: sorted.map(([, same]) => same.length) };
}

// The points that the smooth curve goes through. A block of pooled levels gives one point, at their centre of
// gravity, so that noise does not turn into a staircase; the first and last level keep a point of their
// own, so that the curve covers what was measured.
function knots(
  levels: readonly number[],
  speeds: readonly number[],
  counts: readonly number[],
  fitted: Float64Array,
  first: number,
  repairs: Repair[],
): { xs: number[]; ys: number[] } {
  const xs: number[] = [];
  const ys: number[] = [];
  const last = levels.length - 1;
  const fastest = fitted[last] as number;
  const add = (level: number, speed: number): void => {
    if (xs.length && level <= (xs[xs.length - 1] as number)) return;
    xs.push(level);
    ys.push(speed);
  };
  for (let start = first; start <= last; ) {
    const speed = fitted[start] as number;
    let end = start;
    let weight = 0;
    let moment = 0;
    let change = 0;
    for (; end <= last && fitted[end] === speed; end++) {
      weight += counts[end] as number;
      moment += (counts[end] as number) * (levels[end] as number);
      change = Math.max(change, Math.abs((speeds[end] as number) - speed));
    }
    const [low, high] = [levels[start] as number, levels[end - 1] as number];
    if (change > 0) repairs.push({ kind: "fell", level: low, to: high, change });
    // Levels that measured exactly alike, and those at the top of the motor's range, are flat indeed.
    const flat = change === 0 || speed >= 0.99 * fastest;
    if (start === first || flat) add(low, speed);
    if (!flat) add(moment / weight, speed);
    // Behind its last point the curve stays level, so a flat end needs no second point; and with one, the
    // curve would ease into the flat, where a motor runs into its limit at an angle.
    if (end > last ? !flat : flat) add(high, speed);
    start = end;
  }
  return { xs, ys };
}
