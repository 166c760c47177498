import { aNumber, aText, listOf, made, need, objectOf } from "../cv/argument.js";
import { isInstance } from "../cv/brand.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { levelLimits, Problems, speedLimits } from "./problems.js";
import { type LevelRuns, meanOf, type Run, type Slip, withoutSlips } from "./slips.js";
import { Curve, runVariance } from "./smoothing.js";
import { speedText } from "./units.js";

const source = "common practice";
/** What few models run beyond: 150 scale miles an hour, m/s. */
const fastestModel = 67.056;
/** Between two measured levels the speed is badly known when its deviation is more than this part of it. */
const wideGap = 0.1;
/** How many runs of one level are named when they are left out. */
const mostNamed = 10;

const movesAtZero = /* @__PURE__ */ fault(
  "moves-at-zero",
  "expected speed 0 at level 0, where the motor gets nothing, got {found}",
);
const tooFewLevels = /* @__PURE__ */ fault(
  "too-few-levels",
  "expected two levels or more at which the locomotive moves, got {found}",
);
const notRising = /* @__PURE__ */ fault(
  "speeds-not-rising",
  "the speeds do not rise with the level; check that every speed stands beside its own level, and measure again",
);
const slipOut = /* @__PURE__ */ fault(
  "slip",
  "level {level}: {found:text} contradicts the other runs, which make about {likely:text} likely; it is left out",
);
const slipEither = /* @__PURE__ */ fault(
  "slip-either",
  "level {level}: {found:text} and {rival:text} contradict each other, and the other runs do not decide; the first is left out, measure this level again",
);
const levelFalls = /* @__PURE__ */ fault(
  "level-falls",
  "level {level} measured slower than level {lower}, by {percent} %; their mean is used",
);
const beyondModels = /* @__PURE__ */ fault(
  "speed-beyond-models",
  "level {level} gives {speed:text} at full size; few models run faster than {limit:text}: check the length of track, the scale and the seconds",
);
const gapLeft = /* @__PURE__ */ fault(
  "level-gap",
  "between level {lower} and level {level} the speed is known to about {percent} % only; measure a level between them, such as {between}",
);
const fewLevels = /* @__PURE__ */ fault(
  "few-levels",
  "only {count} levels at which it moves were measured; between them the speed is known to about {percent} % only",
);
const standsAbove = /* @__PURE__ */ fault(
  "stands-above-moving",
  "level {level} stands, although lower levels move; it is left out",
);
const movesBelow = /* @__PURE__ */ fault(
  "moves-below-standing",
  "level {level} moved, although level {standing} stands; it is left out",
);
const standsSometimes = /* @__PURE__ */ fault(
  "stands-sometimes",
  "level {level} stood still in {standing} of {count} runs; it counts as {as:text}",
);

/** One measured speed. */
export interface SpeedSample {
  /** The drive level, 0-255; not always whole, as a trim or 128 steps may give a level between two. */
  readonly level: number;
  /** The full-size speed, m/s; 0 when the locomotive stood still. */
  readonly speed: number;
  /** How long the run took, s; absent for a speed that was not timed by hand. */
  readonly seconds?: number;
  /** How exact the speed is, m/s (standard deviation), such as 0.29 times the last digit of a display. Default 0. */
  readonly deviation?: number;
  /** The line of the run in its file, from 1, for warnings. */
  readonly line?: number;
  /** The path of the run in JSON data, such as `"runs.3.seconds.1"`, for warnings. */
  readonly at?: string;
}

/** Something doubtful about measurements, and where in the file it is. */
export interface MeasurementWarning extends Issue {
  /** The line of a CSV file, from 1; absent where the warning is about no single line. */
  readonly line?: number;
  /** The path in JSON data; absent where the warning is about no single run. */
  readonly at?: string;
}

type TimedRun = Run & { readonly sample: SpeedSample };

const notAResponse = /* @__PURE__ */ fault(
  "not-a-speed-response",
  "expected a speed response, as estimateResponse() makes it, got {found}",
);
/** A speed response, of any copy of this library. */
export const aResponse = /* @__PURE__ */ made(["SpeedResponse"], notAResponse);

/**
 * How fast a locomotive runs at each drive level, with the uncertainty of it. Immutable; {@link estimateResponse}
 * makes one.
 * @example
 * import { estimateResponse, SpeedResponse } from "cvset/motion";
 * const response = estimateResponse([{ level: 30, speed: 1 }, { level: 130, speed: 11 }, { level: 230, speed: 21 }]);
 * response instanceof SpeedResponse; // true
 * [response.knows(20), response.knows(100)]; // [false, true]
 */
export class SpeedResponse {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "SpeedResponse" {
    return "SpeedResponse";
  }

  /** @internal */
  static [Symbol.hasInstance](value: unknown): value is SpeedResponse {
    // biome-ignore lint/complexity/noThisInStatic: a class that extends this one inherits it.
    return isInstance(this, SpeedResponse, "SpeedResponse", value);
  }
  /** The highest level at which the locomotive stands still; 0 when none was measured. */
  readonly standsTo: number;
  /** The lowest measured level at which it moves: what CV 67 or CV 2 needs. */
  readonly movesFrom: number;
  /** The speed at {@link movesFrom}, m/s: the slowest that was measured. */
  readonly slowest: number;
  /** The speed at {@link measuredTo}, m/s: the fastest that was measured. */
  readonly fastest: number;
  /** The highest measured level. */
  readonly measuredTo: number;
  /**
   * The measured level from which more level gives less than 1 % more speed, as far as the measurements tell;
   * undefined when that is only the last.
   */
  readonly saturatesFrom: number | undefined;
  /**
   * What was measured at each level: its mean speed and the standard deviation of that mean, m/s, the speeds of
   * the single runs, and those of runs that were left out.
   */
  readonly points: readonly {
    readonly level: number;
    readonly speed: number;
    readonly deviation: number;
    readonly runs: readonly number[];
    readonly leftOut: readonly number[];
  }[];
  /** What the runs differ by: by what part from run to run, and by how many seconds of the stopwatch. */
  readonly noise: { readonly run: number; readonly stopwatch: number };
  /** What is doubtful about the measurements, with the lines of the runs. */
  readonly warnings: readonly MeasurementWarning[];
  readonly #curve: Curve;
  /** Speed and standard deviation at whole levels from `#from`. */
  readonly #speeds: Float64Array;
  readonly #deviations: Float64Array;
  readonly #from: number;

  /** @internal Use {@link estimateResponse}. */
  constructor(curve: Curve, standsTo: number, levels: readonly Kept[], warnings: MeasurementWarning[]) {
    this.#curve = curve;
    this.standsTo = standsTo;
    const first = levels[0] as Kept;
    const last = levels.at(-1) as Kept;
    this.movesFrom = first.level;
    this.measuredTo = last.level;
    const { speeds, deviations } = curve.table();
    this.#from = Math.ceil(first.level);
    this.#speeds = speeds.map((speed) => Math.max(speed, first.slowest / 2));
    this.#deviations = deviations;
    this.slowest = this.speedAt(first.level);
    this.fastest = this.speedAt(last.level);
    this.noise = { run: curve.run, stopwatch: curve.stopwatch };
    this.points = levels.map(({ level, kept, leftOut }) => {
      const runs = kept.map(({ speed }) => speed);
      if (kept.length === 0) return { level, speed: 0, deviation: 0, runs, leftOut };
      const mean = meanOf({ level, runs: kept });
      const variance = runVariance(mean, curve.run, curve.stopwatch) / mean.count;
      return { level, speed: mean.speed, deviation: mean.speed * Math.sqrt(variance), runs, leftOut };
    });
    const near = levels.find(
      ({ level }) => this.speedAt(level) + this.deviationAt(level) >= 0.99 * this.fastest,
    );
    this.saturatesFrom = near && near.level < last.level ? near.level : undefined;
    this.warnings = warnings;
  }

  /**
   * Whether the speed at a level follows from measurements; false where it is a guess.
   * @param level 0-255.
   */
  knows(level: number): boolean {
    need(aNumber, level, "level");
    return (level >= this.movesFrom && level <= this.measuredTo) || (level >= 0 && level <= this.standsTo);
  }

  /**
   * The expected full-size speed at a drive level, m/s. Where nothing was measured it is a guess: between the
   * last level that stands and the first that moves a straight line, above the highest measured level the
   * fastest speed.
   * @param level 0-255; it need not be whole.
   * @throws `CvError` for a level outside that.
   */
  speedAt(level: number): number {
    checkLevel(level);
    if (level <= this.standsTo) return 0;
    if (level < this.movesFrom)
      return (this.slowest * (level - this.standsTo)) / (this.movesFrom - this.standsTo);
    return this.#between(this.#speeds, Math.min(level, this.measuredTo));
  }

  /**
   * The standard deviation of the speed at a drive level, m/s: the true speed lies within twice this of
   * {@link speedAt}, 19 times in 20. 0 where the locomotive stands, and where {@link knows} is false.
   * @param level 0-255; it need not be whole.
   * @throws `CvError` for a level outside that.
   */
  deviationAt(level: number): number {
    checkLevel(level);
    if (level < this.movesFrom || level > this.measuredTo) return 0;
    return this.#between(this.#deviations, level);
  }

  /**
   * The drive level for a speed, not rounded; undefined for a speed that no measured level gives: slower
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

  /**
   * @internal Speeds at some levels along curves that all agree with the measurements, drawn at random but the same
   * each time; 0 where the locomotive stands. Only for levels that it {@link knows}.
   */
  draws(levels: readonly number[], count: number, seed: number): readonly Float64Array[] {
    const moving = [...new Set(levels.filter((level) => level >= this.movesFrom))].sort((a, b) => a - b);
    const place = new Map(moving.map((level, i) => [level, i]));
    return this.#curve.draws(moving, count, seed).map((speeds) =>
      Float64Array.from(levels, (level) => {
        const i = place.get(level);
        return i === undefined ? 0 : (speeds[i] as number);
      }),
    );
  }

  /** The value at a level within the measured range, along a straight line between whole levels. */
  #between(values: Float64Array, level: number): number {
    const at = Math.min(Math.max(level - this.#from, 0), values.length - 1);
    const low = Math.floor(at);
    const a = values[low] as number;
    return at === low ? a : a + ((values[low + 1] as number) - a) * (at - low);
  }

  /** The lowest level at which a test holds that fails below and holds above. */
  #search(reached: (speed: number) => boolean): number {
    let low = this.movesFrom;
    let high = this.measuredTo;
    if (reached(this.speedAt(low))) return low;
    for (let i = 0; i < 60 && low < high; i++) {
      const middle = (low + high) / 2;
      if (reached(this.speedAt(middle))) high = middle;
      else low = middle;
    }
    return high;
  }
}

interface Kept {
  readonly level: number;
  readonly kept: readonly TimedRun[];
  readonly leftOut: readonly number[];
  /** The slowest of the kept runs. */
  readonly slowest: number;
}

const someSamples = /* @__PURE__ */ listOf(/* @__PURE__ */ objectOf({ "line?": aNumber, "at?": aText }));

/**
 * How fast a locomotive runs at each drive level, from measured speeds in any order. Every run counts by its
 * variance, which follows from its time, and from how far repeated runs differ. A smooth curve that does not fall is
 * put through what is left when runs that contradict the others are taken out; how smooth, the measurements decide.
 * @param samples Levels and full-size speeds; two levels or more at which the locomotive moves, with different
 * speeds. A sample with speed 0 is a level at which it stands still.
 * @throws `CvError` with everything that is wrong: too few levels, numbers out of range, speeds that
 * do not rise with the level at all.
 * @example
 * import { estimateResponse } from "cvset/motion";
 * const response = estimateResponse([
 *   { level: 20, speed: 0 }, { level: 30, speed: 1 }, { level: 130, speed: 11 }, { level: 230, speed: 21 },
 * ]);
 * [response.standsTo, response.movesFrom]; // [20, 30]
 * Math.round(response.speedAt(180)); // 16
 * Math.round(response.levelFor(6) ?? -1); // 80
 * response.deviationAt(180) > response.deviationAt(130); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function estimateResponse(samples: readonly SpeedSample[]): SpeedResponse {
  need(someSamples, samples, "samples");
  const problems = new Problems();
  for (let i = 0; i < samples.length; i++) checkSample(samples[i] as SpeedSample, i, problems);
  problems.throwIfAny();
  const warnings: MeasurementWarning[] = [];
  const { levels, standsTo } = separated(samples, warnings);
  const { kept, slips } = withoutSlips(levels);
  for (const slip of slips) for (const warning of slipWarnings(slip)) warnings.push(warning);
  if (kept.length < 2) throw new CvError([tooFewLevels({ found: kept.length }, { path: "samples" })]);
  const means = kept.map(meanOf);
  const curve = new Curve(means);
  const leftOut = new Map(slips.map(({ level, runs }) => [level, runs.map(({ speed }) => speed)]));
  const all = kept.map(
    ({ level, runs }): Kept => ({
      level,
      kept: runs,
      leftOut: leftOut.get(level) ?? [],
      slowest: runs.reduce((least, { speed }) => Math.min(least, speed), Number.POSITIVE_INFINITY),
    }),
  );
  const response = new SpeedResponse(curve, standsTo, all, warnings);
  const rises = (means.at(-1)?.speed ?? 0) > (means[0]?.speed ?? 0) && response.fastest > response.slowest;
  if (!rises) throw new CvError([notRising({}, { path: "samples" })]);
  warnings.push(...doubts(response));
  return response;
}

function checkLevel(level: number): void {
  if (typeof level === "number" && level >= 0 && level <= 255) return;
  const problems = new Problems();
  problems.number("level", level, { min: 0, max: 255 });
  problems.throwIfAny();
}

function checkSample(sample: SpeedSample, i: number, problems: Problems): void {
  const { level, speed, seconds, deviation } = sample;
  const path = `samples.${i}`;
  problems.number(`${path}.level`, level, { ...levelLimits, whole: false });
  problems.number(`${path}.speed`, speed, speedLimits);
  if (seconds !== undefined) problems.number(`${path}.seconds`, seconds, { min: 0, max: 1e6, unit: "s" });
  if (deviation !== undefined) problems.number(`${path}.deviation`, deviation, speedLimits);
  if (level === 0 && speed > 0) problems.add(movesAtZero({ found: speed }, { path: `${path}.speed` }));
}

/** The levels at which it moves, rising, and the highest at which it stands. */
function separated(
  samples: readonly SpeedSample[],
  warnings: MeasurementWarning[],
): { levels: LevelRuns<TimedRun>[]; standsTo: number } {
  // Digits that were not written down: the last digit of any time is how exact all of them are.
  const times = samples.flatMap(({ seconds }) => (seconds === undefined ? [] : [seconds]));
  const digit = 10 ** -times.reduce((most, seconds) => Math.max(most, decimalsOf(seconds)), 0);
  const byLevel = new Map<number, { standing: SpeedSample[]; runs: TimedRun[] }>();
  for (const sample of samples) {
    const { level, speed, seconds, deviation = 0 } = sample;
    const at = byLevel.get(level) ?? { standing: [], runs: [] };
    byLevel.set(level, at);
    if (speed === 0) at.standing.push(sample);
    else {
      const perSecond2 = seconds === undefined ? 0 : 1 / (seconds * seconds);
      const known = (deviation / speed) ** 2 + ((digit * digit) / 12) * perSecond2;
      at.runs.push({ speed, perSecond2, known, sample });
    }
  }
  const sorted = [...byLevel].sort((a, b) => a[0] - b[0]);
  const standing: [number, SpeedSample][] = [];
  const levels: LevelRuns<TimedRun>[] = [];
  for (const [level, { standing: stood, runs }] of sorted) {
    const stands = stood.length >= runs.length;
    if (stood.length && runs.length) {
      const params = { level, standing: stood.length, count: stood.length + runs.length };
      warnings.push(about(stood[0], standsSometimes({ ...params, as: stands ? "standing" : "moving" })));
    }
    if (stands) standing.push([level, stood[0] as SpeedSample]);
    else levels.push({ level, runs });
  }
  // A level that stands above ones that move: with two or more of these it is the slip, else they are.
  while (standing.length) {
    const [level, sample] = standing.at(-1) as [number, SpeedSample];
    const below = levels.filter((one) => one.level < level);
    if (below.length === 0) break;
    if (below.length > 1) {
      warnings.push(about(sample, standsAbove({ level })));
      standing.pop();
      continue;
    }
    const [lone] = levels.splice(0, 1) as [LevelRuns<TimedRun>];
    warnings.push(about(lone.runs[0]?.sample, movesBelow({ level: lone.level, standing: level })));
  }
  return { levels, standsTo: standing.at(-1)?.[0] ?? 0 };
}

/** How many decimals a number was written with. */
export function decimalsOf(value: number): number {
  const text = String(value);
  const point = text.indexOf(".");
  return point < 0 ? 0 : text.length - point - 1;
}

function slipWarnings({ level, runs, likely, rival }: Slip<TimedRun>): MeasurementWarning[] {
  return runs.slice(0, mostNamed).map((run) => {
    const found = written(run, run.speed);
    const issue = rival
      ? slipEither({ level, found, rival: written(rival, rival.speed) })
      : slipOut({ level, found, likely: written(run, likely) });
    return about(run.sample, issue);
  });
}

/** A speed as the runs were written: in seconds where they were timed. */
function written({ sample: { seconds, speed } }: TimedRun, of: number): string {
  return seconds === undefined ? speedText(of) : `${Number(((seconds * speed) / of).toPrecision(3))} s`;
}

function about(sample: SpeedSample | undefined, issue: Issue): MeasurementWarning {
  const { line, at } = sample ?? {};
  return { ...issue, ...(line !== undefined && { line }), ...(at !== undefined && { at }) };
}

/** What is doubtful about measurements that do not contradict each other. */
function doubts(response: SpeedResponse): MeasurementWarning[] {
  const { points } = response;
  const found: MeasurementWarning[] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (!before) return;
    const fall = before.speed - point.speed;
    const deviation = Math.hypot(before.deviation, point.deviation);
    if (fall > 3 * deviation && fall > 0.02 * point.speed) {
      const percent = Math.round((100 * fall) / before.speed);
      found.push(levelFalls({ level: point.level, lower: before.level, percent }));
    }
  });
  const [fast] = points.filter(({ speed }) => speed > fastestModel);
  if (fast) {
    const params = { level: fast.level, speed: speedText(fast.speed), limit: speedText(fastestModel) };
    found.push(beyondModels(params, { source }));
  }
  const gaps = points.slice(1).flatMap((point, i) => {
    const lower = (points[i] as (typeof points)[0]).level;
    const { level } = point;
    // Where the speed is known worst, among the quarters of the way.
    const worst = [0.25, 0.5, 0.75]
      .map((part) => Math.round(lower + part * (level - lower)))
      .filter((between) => between > lower && between < level)
      .map((between) => ({ between, part: response.deviationAt(between) / response.speedAt(between) }))
      .reduce((a, b) => (b.part > a.part ? b : a), { between: 0, part: 0 });
    return [
      { lower, level, between: worst.between, percent: Math.round(200 * worst.part), part: worst.part },
    ];
  });
  if (points.length <= 3) {
    const percent = gaps.reduce((most, gap) => Math.max(most, gap.percent), 0);
    found.push(fewLevels({ count: points.length, percent }));
  } else {
    for (const { part, lower, level, between, percent } of gaps)
      if (part > wideGap) found.push(gapLeft({ lower, level, between, percent }));
  }
  return found;
}
