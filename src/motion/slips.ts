import { type LevelMean, likelySpeed, runVariance } from "./smoothing.js";

/** One run at a level at which the locomotive moved. */
export interface Run {
  /** Full size, m/s, above 0. */
  readonly speed: number;
  /** 1 / seconds^2; 0 for a speed that was not timed. */
  readonly perSecond2: number;
  /** The variance of ln(speed) that is known beforehand. */
  readonly known: number;
}

/** The runs at one level. */
export interface LevelRuns<Some extends Run> {
  readonly level: number;
  readonly runs: readonly Some[];
}

/** Runs that the others contradict. */
export interface Slip<Some extends Run> {
  readonly level: number;
  readonly runs: readonly Some[];
  /** The speed that the others make likely. */
  readonly likely: number;
  /** A run at the same level that could be the slip as well: the others do not decide. */
  readonly rival?: Some;
}

// What runs differ by on a bench with a shaky hand and a motor with bends: who is outside of that is no chance.
const generous = { run: 0.02, stopwatch: 0.3, bend: 0.5 };
/** How many standard deviations are no chance. */
const far = 5;
/** A difference that is too small to be called a slip, in ln(speed). */
const smallest = 0.1;
/** The same for a whole level against its neighbours. */
const smallestLevel = 0.4;
/** The same for the lowest level when it is slow, ln(5): close to standing, motors lose speed at once. */
const smallestCrawl = 1.6094379124341003;
/** How many levels to each side say what is likely at a level. */
const neighbours = 4;
/** How many slips are looked for: with more, the whole is not worth much. */
const most = 20;

/**
 * The runs that the others contradict, such as a decimal point in the wrong place: first within each level, then
 * level against level.
 * @param levels Rising, each with a run.
 * @returns What is left, without levels that lost all their runs, and the slips.
 */
export function withoutSlips<Some extends Run>(
  levels: readonly LevelRuns<Some>[],
): { readonly kept: readonly LevelRuns<Some>[]; readonly slips: readonly Slip<Some>[] } {
  const slips: Slip<Some>[] = [];
  let kept = [...levels];
  // Within a level first: only then the means of the other levels can be trusted.
  const all = kept.map(meanOf);
  kept = kept.map((one, i) => {
    const found = outsider(one, all, i);
    if (!found) return one;
    slips.push(found);
    const wrong = new Set(found.runs);
    return { ...one, runs: one.runs.filter((run) => !wrong.has(run)) };
  });
  while (slips.length < most && kept.length > 3) {
    const means = kept.map(meanOf);
    const doubts = means.map((_, i) => doubtOf(means, i));
    const suspects = doubts.flatMap((doubt, i) => (doubt.score > far ? [i] : []));
    if (suspects.length === 0) break;
    // A slip makes its neighbours suspect too. The right one to leave out is that which settles the others best.
    const settled = suspects.map((i) => {
      // Only the levels around it can change, and what they are compared with.
      const from = Math.max(0, i - 2 * neighbours);
      const rest = means.slice(from, i + 1 + 2 * neighbours).filter((_, k) => k !== i - from);
      return rest.reduce((most, _, k) => {
        if (Math.abs(k + from - i) > neighbours) return most;
        return Math.max(most, doubtOf(rest, k, k + from === 0).score);
      }, 0);
    });
    const best = suspects.reduce((before, _, k) => {
      const [here, there] = [settled[k] as number, settled[before] as number];
      const own = (of: number): number => doubts[suspects[of] as number]?.score ?? 0;
      return here < there || (here === there && own(k) > own(before)) ? k : before;
    }, 0);
    const i = suspects[best] as number;
    const { level, runs } = kept[i] as LevelRuns<Some>;
    slips.push({ level, runs, likely: (doubts[i] as { likely: number }).likely });
    kept.splice(i, 1);
  }
  return { kept, slips };
}

/** The mean of the runs of a level. */
export function meanOf({ level, runs }: LevelRuns<Run>): LevelMean {
  const count = runs.length;
  const logs = runs.map(({ speed }) => Math.log(speed));
  const mean = total(logs) / count;
  return {
    level,
    speed: Math.exp(mean),
    count,
    squares: total(logs.map((log) => (log - mean) ** 2)),
    freedom: count - 1,
    perSecond2: total(runs.map(({ perSecond2 }) => perSecond2)) / count,
    known: total(runs.map(({ known }) => known)) / count,
  };
}

/** The run of a level that lies far from the other runs there. */
function outsider<Some extends Run>(
  { level, runs }: LevelRuns<Some>,
  all: readonly LevelMean[],
  i: number,
): Slip<Some> | undefined {
  if (runs.length < 2) return undefined;
  if (runs.length > 2) {
    const middle = median(runs.map(({ speed }) => speed));
    const wrong = runs.filter((run) => distance(run, middle) > 1);
    // When half of them are far off, the middle means nothing, and the spread says so.
    if (wrong.length === 0 || wrong.length * 2 > runs.length) return undefined;
    return { level, runs: wrong, likely: middle };
  }
  const [a, b] = runs as readonly [Some, Some];
  if (distance(a, b.speed) <= Math.SQRT2 && distance(b, a.speed) <= Math.SQRT2) return undefined;
  // Two that contradict each other: the one that is further from what the other levels make likely.
  const others = around(all, i);
  const likely = others && likelySpeed(others, level, generous);
  const before = all[i - 1];
  const after = all[i + 1];
  if (!likely) return { level, runs: [a], likely: b.speed, rival: b };
  const middle = Math.min(
    Math.max(likely.speed, likely.deviation / 4, before ? 0.8 * before.speed : 0),
    after ? 1.2 * after.speed : Number.POSITIVE_INFINITY,
  );
  const off = (run: Run): number => Math.abs(Math.log(run.speed / middle));
  const [right, wrong] = off(a) < off(b) ? [a, b] : [b, a];
  const clear = off(wrong) - off(right) > Math.min(0.5, likely.deviation / middle);
  return { level, runs: [wrong], likely: right.speed, ...(clear ? {} : { rival: right }) };
}

/** How far the runs of a level are from what its neighbours make likely, in standard deviations. */
function doubtOf(all: readonly LevelMean[], i: number, lowest = i === 0): { score: number; likely: number } {
  const mean = all[i] as LevelMean;
  const others = around(all, i);
  const likely = others && likelySpeed(others, mean.level, generous);
  if (!likely) return { score: 0, likely: mean.speed };
  const at = Math.max(likely.speed, likely.deviation / 4);
  const off = Math.log(mean.speed / at);
  if (Math.abs(off) < (lowest && off < 0 ? smallestCrawl : smallestLevel)) return { score: 0, likely: at };
  const noise = Math.sqrt(runVariance(mean, generous.run, generous.stopwatch) / mean.count);
  const inside = Math.abs(mean.speed - likely.speed) / Math.hypot(likely.deviation, noise * at);
  // A level that is far faster than the next one cannot be right, or else the next one is wrong.
  const lower = all[i - 1];
  const upper = all[i + 1];
  const fall = Math.max(
    upper ? Math.log(mean.speed / upper.speed) : 0,
    lower ? Math.log(lower.speed / mean.speed) : 0,
  );
  return { score: Math.max(inside, fall / Math.max(smallest, noise)), likely: at };
}

/** The means of the levels next to one, without it; undefined when there are fewer than two. */
function around(all: readonly LevelMean[], i: number): LevelMean[] | undefined {
  const others = [...all.slice(Math.max(0, i - neighbours), i), ...all.slice(i + 1, i + 1 + neighbours)];
  if (others.length < 2) return undefined;
  return others.map((mean) => {
    // Runs that contradict each other say little about their level.
    const spread = mean.count > 1 ? mean.squares / (mean.count - 1) : 0;
    return { ...mean, known: mean.known + spread };
  });
}

/** How far a run is from a speed, 1 being too far for chance. */
function distance(run: Run, speed: number): number {
  const time = (run.speed / speed) ** 2;
  // The slower of the two says how exact the stopwatch can have been.
  const noise = Math.sqrt(
    runVariance(
      { perSecond2: run.perSecond2 / Math.max(1, time), known: run.known },
      generous.run,
      generous.stopwatch,
    ),
  );
  return Math.abs(Math.log(run.speed / speed)) / Math.max(smallest, far * noise);
}

/** The middle value, or the mean of the two middle ones; the list must not be empty. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 ? upper : ((sorted[half - 1] as number) + upper) / 2;
}

function total(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}
