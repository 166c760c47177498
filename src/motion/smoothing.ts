import { isotonic } from "./isotonic.js";

// The curve of speed over level is taken from timings as a smoothing spline: the mean of a Gaussian process
// whose slope wanders at random (G. Wahba, "Improper priors, spline smoothing and the problem of guarding
// against model errors in regression", 1978 [from memory]). How far the slope wanders is counted per doubling
// of the level above the point where the locomotive starts, since motors bend most where they are slow. Three
// numbers are not known beforehand: how much the curve bends, how much runs differ, and how exact the
// stopwatch is. Each has a range that is usual on a bench; within it the timings decide (marginal
// likelihood), and what they leave open goes into the uncertainty of the result.

/** What was measured at one level. */
export interface LevelMean {
  /** 0-255. */
  readonly level: number;
  /** The geometric mean of the speeds, m/s at full size, above 0. */
  readonly speed: number;
  /** How many runs. */
  readonly count: number;
  /** The sum of the squares of ln(speed) minus its mean. */
  readonly squares: number;
  /** How many squares of differences are independent: runs less levels, 0 or more. */
  readonly freedom: number;
  /** The mean of 1 / seconds^2 of the runs; 0 for speeds that were not timed. */
  readonly perSecond2: number;
  /** The variance of ln(speed) of one run that is known beforehand, such as the rounding of a display. */
  readonly known: number;
}

/** The middle and the standard deviation, in natural logarithms, of what is usual on a bench. */
interface Usual {
  readonly middle: number;
  readonly deviation: number;
}

/** By what part the slope changes while the level above the start grows e-fold. */
export const usualBend: Usual = { middle: 0.25, deviation: 0.8 };
/** By what part the speed of one run differs from the mean of all (standard deviation). */
export const usualRun: Usual = { middle: 0.01, deviation: 0.6 };
/** How far a stopwatch in the hand is off, s (standard deviation). */
export const usualStopwatch: Usual = { middle: 0.18, deviation: 0.5 };

/**
 * A knee between two neighbouring levels, as where a regulated motor gets all that the supply can give: how likely it
 * is beforehand that there is one, and by what part the slope then changes, counted as {@link usualBend}.
 */
export const usualKnee = { chance: 0.3, bend: 1.5 } as const;

/** Levels above the lowest one are counted from this many below it; nearer to it, bends are not distinguished. */
const offset = 10;
/** The three unknown numbers are tried at so many values each. */
const tried = { bend: 7, run: 4, stopwatch: 4 };
/** The values reach this many standard deviations to each side. */
const reach = 1.8;
/** How many combinations of the three stand for all of them. */
const mostKept = 32;
/** A knee is looked for behind so many levels at most. */
const mostKnees = 12;
/** What is less likely than the best by this much, in natural logarithms, is not followed up. */
const hopeless = 5;
/** More levels than this are put together with their neighbours. */
const mostLevels = 40;
/** In how many steps the curve is worked out while the level above the start grows e-fold. */
const stepsPerFold = 16;

/** How much a curve bends: the square of the part by which its slope changes, times that of the mean slope. */
interface Bends {
  readonly tau2: number;
  /** The same for a knee behind the measured level of this index. */
  readonly knee?: number;
  readonly kneeTau2?: number;
}

/** The curve for known noise and bend. */
interface Fitted {
  readonly bends: Bends;
  /** The Cholesky factor of the covariance of the measured speeds, row by row. */
  readonly factor: Float64Array;
  /** The columns 1 and x, divided by the factor. */
  readonly ones: Float64Array;
  readonly xs: Float64Array;
  /** The speeds without the straight line, divided by the factor. */
  readonly rest: Float64Array;
  /** The straight line, and the matrix of its normal equations. */
  readonly line: readonly [number, number];
  readonly normal: readonly [number, number, number];
  readonly determinant: number;
  readonly likelihood: number;
}

/** One combination of the three unknown numbers, with the curve that follows from it. */
interface Candidate extends Fitted {
  readonly weight: number;
  readonly bend: number;
  readonly run: number;
  readonly stopwatch: number;
}

/** The curve of speed over level, as far as the timings tell it. */
export class Curve {
  readonly #x: Float64Array;
  readonly #first: number;
  readonly #candidates: readonly Candidate[];
  /** The measured levels, those that are very near to each other put together. */
  readonly means: readonly LevelMean[];
  /** The standard deviation of a run, as a part of its speed, without the stopwatch. */
  readonly run: number;
  /** The standard deviation of the stopwatch, s. */
  readonly stopwatch: number;
  /** By what part the slope changes while the level above the start grows e-fold. */
  readonly bend: number;

  /**
   * @param means Two levels or more, rising.
   */
  constructor(means: readonly LevelMean[]) {
    const used = thinned(means);
    this.means = used;
    this.#first = (used[0] as LevelMean).level;
    this.#x = Float64Array.from(used, ({ level }) => level - this.#first + offset);
    this.#candidates = candidatesFor(used, this.#x);
    const mean = (name: "run" | "stopwatch" | "bend"): number =>
      this.#candidates.reduce((sum, candidate) => sum + candidate.weight * candidate[name], 0);
    this.run = mean("run");
    this.stopwatch = mean("stopwatch");
    this.bend = mean("bend");
  }

  /** The expected speed at a level, and its standard deviation; the speed may fall or lie below 0. */
  at(level: number): { speed: number; deviation: number } {
    const place = new Place(this.#x, level - this.#first + offset);
    let speed = 0;
    let square = 0;
    for (const candidate of this.#candidates) {
      const { mean, variance } = predicted(candidate, place);
      speed += candidate.weight * mean;
      square += candidate.weight * (variance + mean * mean);
    }
    return { speed, deviation: Math.sqrt(Math.max(0, square - speed * speed)) };
  }

  /**
   * Speed and standard deviation at each whole level from the lowest measured one to the highest, the speeds
   * not falling.
   */
  table(): { readonly speeds: Float64Array; readonly deviations: Float64Array } {
    const from = Math.ceil(this.#first);
    const to = Math.floor((this.means.at(-1) as LevelMean).level);
    const count = Math.max(0, to - from + 1);
    // Worked out where neighbours differ enough, and along straight lines between.
    const at: number[] = [];
    for (let i = 0; i < count; ) {
      at.push(i);
      const step = Math.max(1, Math.floor((from + i - this.#first + offset) / stepsPerFold));
      i = i < count - 1 ? Math.min(count - 1, i + step) : count;
    }
    const found = at.map((i) => this.at(from + i));
    // Where the mean falls, neighbours share their mean, each counting by its certainty.
    const rising = isotonic(
      found.map(({ speed }) => speed),
      found.map(({ deviation }) => 1 / Math.max(deviation * deviation, 1e-12)),
    );
    const speeds = new Float64Array(count);
    const deviations = new Float64Array(count);
    for (let k = 0, i = 0; i < count; i++) {
      while (k < at.length - 2 && i > (at[k + 1] as number)) k++;
      const a = at[k] as number;
      const part = at.length > 1 ? (i - a) / ((at[k + 1] as number) - a) : 0;
      const next = Math.min(k + 1, at.length - 1);
      speeds[i] = mix(rising[k] as number, rising[next] as number, part);
      deviations[i] = mix(
        (found[k] as (typeof found)[0]).deviation,
        (found[next] as (typeof found)[0]).deviation,
        part,
      );
    }
    return { speeds, deviations };
  }

  /**
   * Curves that agree with the timings, drawn at random, at some levels: the spread of them is the uncertainty
   * of the curve as a whole. The same call gives the same curves.
   * @param levels Rising.
   * @param count How many curves.
   * @param seed Different numbers give curves that have nothing to do with each other.
   * @returns One list for each curve, not falling and not below 0.
   */
  draws(levels: readonly number[], count: number, seed: number): Float64Array[] {
    const random = normals(seed);
    const places = levels.map((level) => new Place(this.#x, level - this.#first + offset));
    const out: Float64Array[] = [];
    let before = 0;
    for (const candidate of this.#candidates) {
      const until = before + candidate.weight;
      const share = Math.round(until * count) - Math.round(before * count);
      before = until;
      if (share === 0) continue;
      const { means, factor } = joint(candidate, places);
      const n = levels.length;
      for (let draw = 0; draw < share; draw++) {
        const noise = Float64Array.from({ length: n }, random);
        const speeds = Float64Array.from(means);
        for (let i = 0; i < n; i++)
          for (let k = 0; k <= i; k++)
            (speeds[i] as number) += (factor[i * n + k] as number) * (noise[k] as number);
        out.push(isotonic(speeds).map((speed) => Math.max(0, speed)));
      }
    }
    return out;
  }
}

/**
 * The speed at a level as other levels make it likely, and its standard deviation, for noise and bend that are not
 * taken from the timings: `run`, `stopwatch` and `bend` as in {@link Curve}.
 * @param means Two levels or more, rising.
 */
export function likelySpeed(
  means: readonly LevelMean[],
  level: number,
  given: { readonly run: number; readonly stopwatch: number; readonly bend: number },
): { readonly speed: number; readonly deviation: number } | undefined {
  const n = means.length;
  const first = Math.min(level, (means[0] as LevelMean).level) - offset;
  const x = Float64Array.from(means, (mean) => mean.level - first);
  const y = Float64Array.from(means, ({ speed }) => speed);
  const noise = Float64Array.from(
    means,
    (mean) => (mean.speed ** 2 * runVariance(mean, given.run, given.stopwatch)) / mean.count,
  );
  const fastest = y.reduce((most, speed) => Math.max(most, speed));
  const tau2 = ((given.bend * fastest) / ((x[n - 1] as number) - (x[0] as number))) ** 2;
  const solver = new Solver(x, y);
  if (!solver.solve(noise, solver.covariance({ tau2 }))) return undefined;
  const { mean, variance } = predicted(solver.fitted({ tau2 }), new Place(x, level - first));
  return { speed: mean, deviation: Math.sqrt(variance) };
}

/** The variance of ln(speed) of one run at a level. */
export function runVariance(
  { perSecond2, known }: Pick<LevelMean, "perSecond2" | "known">,
  run: number,
  stopwatch: number,
): number {
  return run * run + stopwatch * stopwatch * perSecond2 + known;
}

/**
 * The covariance at two places of the bends between `from` and `to`: the integral of (s - r)(t - r) / r.
 * Places and bends are counted from {@link offset} levels below the lowest level.
 */
export function bendCovariance(
  s: number,
  t: number,
  from: number = offset,
  to: number = Number.POSITIVE_INFINITY,
): number {
  const m = Math.min(s, t, to);
  if (m <= from) return 0;
  return s * t * Math.log(m / from) - (s + t) * (m - from) + (m * m - from * from) / 2;
}

/** Candidates that stand for all of them; their weights add up to 1. */
function candidatesFor(means: readonly LevelMean[], x: Float64Array): Candidate[] {
  const n = means.length;
  const y = Float64Array.from(means, ({ speed }) => speed);
  const fastest = y.reduce((most, speed) => Math.max(most, speed));
  const slope = fastest / ((x[n - 1] as number) - (x[0] as number));
  const solver = new Solver(x, y);
  const smooth = values(usualBend, tried.bend).map(({ value, likelihood }) => {
    const bends: Bends = { tau2: (value * slope) ** 2 };
    return { bend: value, bends, covariance: solver.covariance(bends), likelihood };
  });
  const places = kneePlaces(x);
  const kneed = smooth.flatMap(({ bend, bends, likelihood }) =>
    places.map((knee) => {
      const both: Bends = { ...bends, knee, kneeTau2: (usualKnee.bend * slope) ** 2 };
      return { bend, bends: both, covariance: solver.covariance(both), likelihood };
    }),
  );
  const withoutKnee = Math.log(1 - usualKnee.chance);
  const withKnee = Math.log(usualKnee.chance / places.length);
  const noises = noisesOf(means);
  const found: (Omit<Candidate, keyof Fitted> & { shape: (typeof smooth)[0]; noise: Float64Array })[] = [];
  const add = (shape: (typeof smooth)[0], noise: (typeof noises)[0], chance: number): number => {
    const likelihood = solver.solve(noise.variances, shape.covariance) ? solver.likelihood : -Infinity;
    const weight = noise.likelihood + shape.likelihood + chance + likelihood;
    const { run, stopwatch } = noise;
    if (weight > -Infinity) {
      found.push({ weight, bend: shape.bend, run, stopwatch, shape, noise: noise.variances });
    }
    return weight;
  };
  // Without a knee first: noise that is hopeless then is not tried with one.
  const best = noises.map((noise) =>
    smooth.reduce((most, shape) => Math.max(most, add(shape, noise, withoutKnee)), -Infinity),
  );
  const top = best.reduce((a, b) => Math.max(a, b));
  noises.forEach((noise, i) => {
    if ((best[i] as number) > top - hopeless) for (const shape of kneed) add(shape, noise, withKnee);
  });
  const most = found.reduce((best, { weight }) => Math.max(best, weight), Number.NEGATIVE_INFINITY);
  const sum = found.reduce((all, { weight }) => all + Math.exp(weight - most), 0);
  // Of all candidates, in order of their bends, some that stand for the others: each as often as its weight says.
  found.sort((a, b) => a.bend - b.bend || (a.shape.bends.knee ?? -1) - (b.shape.bends.knee ?? -1));
  const kept: Candidate[] = [];
  let before = 0;
  for (const { weight, bend, run, stopwatch, shape, noise } of found) {
    const until = before + Math.exp(weight - most) / sum;
    const share = Math.round(until * mostKept) - Math.round(before * mostKept);
    before = until;
    if (share === 0) continue;
    solver.solve(noise, shape.covariance);
    kept.push({ ...solver.fitted(shape.bends), weight: share / mostKept, bend, run, stopwatch });
  }
  return kept;
}

/** The variances of the mean speeds for each combination of noise, and how likely the spread of the runs makes it. */
function noisesOf(means: readonly LevelMean[]) {
  return values(usualRun, tried.run).flatMap((run) =>
    values(usualStopwatch, tried.stopwatch).map((stopwatch) => {
      let likelihood = run.likelihood + stopwatch.likelihood;
      const variances = Float64Array.from(means, (mean) => {
        const variance = runVariance(mean, run.value, stopwatch.value);
        likelihood -= (mean.freedom * Math.log(variance) + mean.squares / variance) / 2;
        return (mean.speed ** 2 * variance) / mean.count;
      });
      return { run: run.value, stopwatch: stopwatch.value, variances, likelihood };
    }),
  );
}

/** The levels behind which a knee may lie: where there are many, those with the widest gap behind them. */
function kneePlaces(x: Float64Array): number[] {
  const gaps = Array.from({ length: x.length - 1 }, (_, i) => ({
    i,
    wide: (x[i + 1] as number) / (x[i] as number),
  }));
  return gaps
    .sort((a, b) => b.wide - a.wide || a.i - b.i)
    .slice(0, mostKnees)
    .map(({ i }) => i);
}

/** Values of an unknown number with the logarithm of how usual each is. */
function values({ middle, deviation }: Usual, count: number): { value: number; likelihood: number }[] {
  return Array.from({ length: count }, (_, i) => {
    const z = -reach + (2 * reach * i) / (count - 1);
    return { value: middle * Math.exp(deviation * z), likelihood: (-z * z) / 2 };
  });
}

/** Solves for the curve by generalised least squares: a straight line with bends around it. */
class Solver {
  /** The logarithm of how likely the speeds are, less what is the same for every noise and bend. */
  likelihood = 0;
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #factor: Float64Array;
  /** The columns 1 and x, and the speeds, each divided by the factor. */
  readonly #ones: Float64Array;
  readonly #xs: Float64Array;
  readonly #ys: Float64Array;
  #line: readonly [number, number] = [0, 0];
  #normal: readonly [number, number, number] = [0, 0, 0];
  #determinant = 0;

  constructor(x: Float64Array, y: Float64Array) {
    this.#x = x;
    this.#y = y;
    const n = x.length;
    this.#factor = new Float64Array(n * n);
    this.#ones = new Float64Array(n);
    this.#xs = new Float64Array(n);
    this.#ys = new Float64Array(n);
  }

  /** The covariance of the measured speeds without their noise; its lower half. */
  covariance(bends: Bends): Float64Array {
    const n = this.#x.length;
    const out = new Float64Array(n * n);
    for (let i = 0; i < n; i++)
      for (let j = 0; j <= i; j++)
        out[i * n + j] = covarianceOf(bends, this.#x, this.#x[i] as number, this.#x[j] as number);
    return out;
  }

  /** Solves for known noise; false when the numbers are too extreme to be worked with. */
  solve(noise: Float64Array, covariance: Float64Array): boolean {
    const factor = this.#factor;
    const n = noise.length;
    let logDeterminant = 0;
    for (let i = 0; i < n; i++) {
      const row = i * n;
      let [one, x, y] = [1, this.#x[i] as number, this.#y[i] as number];
      for (let j = 0; j <= i; j++) {
        const other = j * n;
        let sum = covariance[row + j] as number;
        for (let k = 0; k < j; k++) sum -= (factor[row + k] as number) * (factor[other + k] as number);
        if (j < i) {
          const value = sum / (factor[other + j] as number);
          factor[row + j] = value;
          one -= value * (this.#ones[j] as number);
          x -= value * (this.#xs[j] as number);
          y -= value * (this.#ys[j] as number);
          continue;
        }
        sum += noise[i] as number;
        if (!(sum > 0)) return false;
        const pivot = Math.sqrt(sum);
        factor[row + i] = pivot;
        logDeterminant += Math.log(sum);
        this.#ones[i] = one / pivot;
        this.#xs[i] = x / pivot;
        this.#ys[i] = y / pivot;
      }
    }
    const [a, b, d] = [dot(this.#ones, this.#ones), dot(this.#ones, this.#xs), dot(this.#xs, this.#xs)];
    const determinant = a * d - b * b;
    if (!(determinant > 0)) return false;
    const [p, q] = [dot(this.#ones, this.#ys), dot(this.#xs, this.#ys)];
    this.#normal = [a, b, d];
    this.#determinant = determinant;
    this.#line = [(d * p - b * q) / determinant, (a * q - b * p) / determinant];
    const squares = dot(this.#ys, this.#ys) - this.#line[0] * p - this.#line[1] * q;
    this.likelihood = -(logDeterminant + Math.log(determinant) + squares) / 2;
    return true;
  }

  /** The curve that was solved for last. */
  fitted(bends: Bends): Fitted {
    const [start, slope] = this.#line;
    return {
      bends,
      factor: this.#factor.slice(),
      ones: this.#ones.slice(),
      xs: this.#xs.slice(),
      rest: this.#ys.map((y, i) => y - start * (this.#ones[i] as number) - slope * (this.#xs[i] as number)),
      line: this.#line,
      normal: this.#normal,
      determinant: this.#determinant,
      likelihood: this.likelihood,
    };
  }
}

/** A place at which curves are evaluated, with its covariances to the measured levels. */
class Place {
  readonly at: number;
  readonly #x: Float64Array;
  readonly #smooth: Float64Array;
  readonly #knees: Float64Array[] = [];

  constructor(x: Float64Array, at: number) {
    this.at = at;
    this.#x = x;
    this.#smooth = x.map((place) => bendCovariance(place, at));
  }

  /** The covariances, divided by the factor of a curve. */
  nearness({ bends: { tau2, knee, kneeTau2 = 0 }, factor }: Fitted): Float64Array {
    const n = this.#x.length;
    const kneed = knee === undefined ? this.#smooth : this.#knee(knee);
    const out = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let sum = tau2 * (this.#smooth[i] as number) + kneeTau2 * (kneed[i] as number);
      for (let k = 0; k < i; k++) sum -= (factor[i * n + k] as number) * (out[k] as number);
      out[i] = sum / (factor[i * n + i] as number);
    }
    return out;
  }

  /** The covariance with another place, without what the measured levels tell. */
  covariance({ bends }: Fitted, other: Place): number {
    return covarianceOf(bends, this.#x, this.at, other.at);
  }

  #knee(knee: number): Float64Array {
    let known = this.#knees[knee];
    if (!known) {
      const [from, to] = [this.#x[knee] as number, this.#x[knee + 1] as number];
      known = this.#x.map((place) => bendCovariance(place, this.at, from, to));
      this.#knees[knee] = known;
    }
    return known;
  }
}

function covarianceOf({ tau2, knee, kneeTau2 = 0 }: Bends, x: Float64Array, s: number, t: number): number {
  const smooth = tau2 * bendCovariance(s, t);
  if (knee === undefined) return smooth;
  return smooth + kneeTau2 * bendCovariance(s, t, x[knee] as number, x[knee + 1] as number);
}

function predicted(candidate: Fitted, place: Place): { mean: number; variance: number } {
  const { line, rest } = candidate;
  const near = place.nearness(candidate);
  const mean = line[0] + line[1] * place.at + dot(near, rest);
  const free = [1 - dot(candidate.ones, near), place.at - dot(candidate.xs, near)] as const;
  const variance = place.covariance(candidate, place) - dot(near, near) + lineVariance(candidate, free, free);
  return { mean, variance: Math.max(0, variance) };
}

/** The means at several places, and the Cholesky factor of their covariance. */
function joint(candidate: Fitted, places: readonly Place[]) {
  const { line, rest, ones, xs } = candidate;
  const n = places.length;
  const near = places.map((place) => place.nearness(candidate));
  const free = near.map((one, i) => [1 - dot(ones, one), (places[i] as Place).at - dot(xs, one)] as const);
  const means = near.map((one, i) => line[0] + line[1] * (places[i] as Place).at + dot(one, rest));
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      const covariance =
        (places[i] as Place).covariance(candidate, places[j] as Place) -
        dot(near[i] as Float64Array, near[j] as Float64Array) +
        lineVariance(candidate, free[i] as readonly [number, number], free[j] as readonly [number, number]);
      let sum = covariance;
      for (let k = 0; k < j; k++) sum -= (factor[i * n + k] as number) * (factor[j * n + k] as number);
      const pivot = factor[j * n + j] as number;
      // A level that is asked for twice has nothing left to vary but what rounding made up.
      if (i !== j) factor[i * n + j] = pivot > 0 ? sum / pivot : 0;
      else factor[i * n + i] = sum > 1e-9 * covariance ? Math.sqrt(sum) : 0;
    }
  }
  return { means, factor };
}

function lineVariance(
  { normal: [a, b, d], determinant }: Fitted,
  u: readonly [number, number],
  v: readonly [number, number],
): number {
  return (d * u[0] * v[0] - b * (u[0] * v[1] + u[1] * v[0]) + a * u[1] * v[1]) / determinant;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (a[i] as number) * (b[i] as number);
  return sum;
}

function mix(a: number, b: number, part: number): number {
  return a + (b - a) * part;
}

/** The levels, or where there are many, groups of neighbours that stand for them. */
function thinned(means: readonly LevelMean[]): readonly LevelMean[] {
  if (means.length <= mostLevels) return means;
  const first = (means[0] as LevelMean).level - offset;
  const fold = Math.log(((means.at(-1) as LevelMean).level - first) / offset);
  const groups = new Map<number, LevelMean[]>();
  for (const mean of means) {
    const group = Math.floor((Math.log((mean.level - first) / offset) / fold) * (mostLevels - 1));
    const same = groups.get(group);
    if (same) same.push(mean);
    else groups.set(group, [mean]);
  }
  return [...groups.values()].map((group) => {
    const count = group.reduce((sum, mean) => sum + mean.count, 0);
    const total = (value: (mean: LevelMean) => number): number =>
      group.reduce((sum, mean) => sum + value(mean), 0);
    return {
      level: total((mean) => mean.count * mean.level) / count,
      speed: Math.exp(total((mean) => mean.count * Math.log(mean.speed)) / count),
      count,
      squares: total(({ squares }) => squares),
      freedom: total(({ freedom }) => freedom),
      perSecond2: total((mean) => mean.count * mean.perSecond2) / count,
      known: total((mean) => mean.count * mean.known) / count,
    };
  });
}

/** Normally distributed numbers (Box and Muller), the same for the same seed. */
function normals(seed: number): () => number {
  let state = Math.imul(seed, 0x9e3779b1) >>> 0;
  // Mulberry32, in the public domain.
  const even = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(1 - even())) * Math.cos(2 * Math.PI * even());
}
