// The fit against slow and obvious ones: a penalised curve on a fine grid solved by elimination, multivariate normal
// distributions written out in full, and the two ends of smoothing, where the answer is known in closed form.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  bendCovariance,
  Curve,
  type LevelMean,
  likelySpeed,
  usualBend,
  usualKnee,
  usualRun,
  usualStopwatch,
} from "../../src/motion/smoothing.js";
import { expectNear } from "../support/near.js";
import { real } from "./helpers.js";

/** Solves a system of linear equations by elimination with the largest pivot; also gives ln |determinant|. */
function solved(matrix: readonly (readonly number[])[], right: readonly number[]) {
  const n = right.length;
  const rows = matrix.map((row, i) => [...row, right[i] as number]);
  let logDeterminant = 0;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k; i < n; i++)
      if (Math.abs(rows[i]?.[k] as number) > Math.abs(rows[pivot]?.[k] as number)) pivot = i;
    [rows[k], rows[pivot]] = [rows[pivot] as number[], rows[k] as number[]];
    const row = rows[k] as number[];
    logDeterminant += Math.log(Math.abs(row[k] as number));
    for (let i = k + 1; i < n; i++) {
      const other = rows[i] as number[];
      const part = (other[k] as number) / (row[k] as number);
      if (part !== 0) for (let j = k; j <= n; j++) (other[j] as number) -= part * (row[j] as number);
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    const row = rows[i] as number[];
    let sum = row[n] as number;
    for (let j = i + 1; j < n; j++) sum -= (row[j] as number) * (x[j] as number);
    x[i] = sum / (row[i] as number);
  }
  return { x, logDeterminant };
}

const mean = (level: number, speed: number, seconds = 10, count = 3): LevelMean => ({
  level,
  speed,
  count,
  squares: 0,
  freedom: count - 1,
  perSecond2: 1 / seconds ** 2,
  known: 0,
});
const usual = { run: 0.01, stopwatch: 0.2, bend: 0.3 };
const varianceOf = ({ speed, perSecond2, count }: LevelMean, { run, stopwatch }: typeof usual): number =>
  (speed ** 2 * (run ** 2 + stopwatch ** 2 * perSecond2)) / count;

const five = [mean(20, 0.5, 40), mean(35, 1.6, 20), mean(70, 4.9, 12), mean(120, 9.5, 8), mean(200, 15, 5)];

describe("the curve for known noise and bend", () => {
  it("is the one of a fine grid that has the least sum of squares, of misses and of bends", () => {
    // Bends: the change of the slope from piece to piece, each by its variance, tau^2 * piece / place.
    const piece = 0.5;
    const [first, last] = [10, 190];
    const n = (last - first) / piece + 1;
    const slope = 15 / 180;
    const matrix = Array.from({ length: n }, () => new Array<number>(n).fill(0));
    const right = new Array<number>(n).fill(0);
    const add = (i: number, j: number, value: number): void => {
      (matrix[i] as number[])[j] = (matrix[i]?.[j] as number) + value;
    };
    for (let k = 1; k < n - 1; k++) {
      const weight = (first + k * piece) / ((usual.bend * slope) ** 2 * piece);
      const bend = [1 / piece, -2 / piece, 1 / piece];
      bend.forEach((a, i) => {
        bend.forEach((b, j) => {
          add(k - 1 + i, k - 1 + j, weight * a * b);
        });
      });
    }
    // Places are counted from ten levels below the lowest one.
    const at = (level: number): number => (level - 20) / piece;
    for (const one of five) {
      const weight = 1 / varianceOf(one, usual);
      add(at(one.level), at(one.level), weight);
      right[at(one.level)] = weight * one.speed;
    }
    const { x } = solved(matrix, right);
    for (const level of [20, 25, 50, 70, 95, 160, 200]) {
      const found = likelySpeed(five, level, usual);
      expect(found?.speed).toBeCloseTo(x[at(level)] as number, 2);
      const unit = right.map((_, i) => (i === at(level) ? 1 : 0));
      // The inverse of the matrix of the normal equations is the covariance.
      const variance = solved(matrix, unit).x[at(level)] as number;
      expect((found?.deviation ?? 0) / Math.sqrt(variance)).toBeCloseTo(1, 1);
    }
  });

  it("without any bend is the weighted straight line", () => {
    fc.assert(
      fc.property(fc.array(real(1, 20), { minLength: 3, maxLength: 9 }), real(0, 255), (speeds, level) => {
        const means = speeds.map((speed, i) => mean(20 + 25 * i, speed, 3 + i));
        const weights = means.map((one) => 1 / varianceOf(one, usual));
        const sum = (of: (one: LevelMean, weight: number) => number): number =>
          means.reduce((total, one, i) => total + of(one, weights[i] as number), 0);
        const [w, wx, wxx] = [sum((_, v) => v), sum((m, v) => v * m.level), sum((m, v) => v * m.level ** 2)];
        const [wy, wxy] = [sum((m, v) => v * m.speed), sum((m, v) => v * m.speed * m.level)];
        const slope = (w * wxy - wx * wy) / (w * wxx - wx * wx);
        const start = (wy - slope * wx) / w;
        const found = likelySpeed(means, level, { ...usual, bend: 1e-7 });
        expectNear(found?.speed, start + slope * level, { within: 2e-5, scale: Math.max(...speeds) });
        const variance = (wxx - 2 * level * wx + level * level * w) / (w * wxx - wx * wx);
        expect((found?.deviation ?? 0) / Math.sqrt(variance)).toBeCloseTo(1, 3);
      }),
    );
  });

  it("without any noise goes through every point, and is certain there alone", () => {
    fc.assert(
      fc.property(fc.array(real(1, 20), { minLength: 2, maxLength: 9 }), (speeds) => {
        const means = speeds.map((speed, i) => mean(20 + 25 * i, speed));
        const exact = { run: 1e-5, stopwatch: 1e-5, bend: 1 };
        for (const { level, speed } of means) {
          const found = likelySpeed(means, level, exact);
          expect(found?.speed).toBeCloseTo(speed, 2);
          expect(found?.deviation).toBeLessThan(2e-3);
          expect(likelySpeed(means, level + 12, exact)?.deviation).toBeGreaterThan(0.01);
        }
      }),
    );
  });

  it("does not depend on places that are only asked for", () => {
    // Bends over two pieces are those over the whole: the integral of (s - r)(t - r) / r.
    fc.assert(
      fc.property(real(10, 250), real(10, 250), real(10, 250), (s, t, cut) => {
        const whole = bendCovariance(s, t);
        const parts = bendCovariance(s, t, 10, cut) + bendCovariance(s, t, cut);
        expectNear(parts, whole, { scale: s * t });
        let sum = 0;
        const pieces = 4000;
        const end = Math.min(s, t);
        for (let k = 0; k < pieces; k++) {
          const r = 10 + ((end - 10) * (k + 0.5)) / pieces;
          sum += (((s - r) * (t - r)) / r) * ((end - 10) / pieces);
        }
        // The closed form is exact to some 13 digits of s * t, of which it is a difference.
        expectNear(sum, whole, { within: 1e-5, scale: 1e-8 * s * t });
      }),
      { numRuns: 50 },
    );
  });
});

/** Every combination of noise, bend and knee, each a multivariate normal distribution written out. */
function slowCurve(means: readonly LevelMean[], level: number): { speed: number; deviation: number } {
  const n = means.length;
  const place = (at: number): number => at - (means[0] as LevelMean).level + 10;
  const x = means.map((one) => place(one.level));
  const y = means.map((one) => one.speed);
  const slope = Math.max(...y) / ((x[n - 1] as number) - (x[0] as number));
  const values = ({ middle, deviation }: typeof usualRun, count: number) =>
    Array.from({ length: count }, (_, i) => {
      const z = -1.8 + (3.6 * i) / (count - 1);
      return { value: middle * Math.exp(deviation * z), log: (-z * z) / 2 };
    });
  const found: { weight: number; speed: number; variance: number }[] = [];
  for (const run of values(usualRun, 4))
    for (const watch of values(usualStopwatch, 4))
      for (const bend of values(usualBend, 7))
        for (let knee = -1; knee < n - 1; knee++) {
          let log = run.log + watch.log + bend.log;
          log += Math.log(knee < 0 ? 1 - usualKnee.chance : usualKnee.chance / (n - 1));
          const covariance = (s: number, t: number): number => {
            const smooth = (bend.value * slope) ** 2 * bendCovariance(s, t);
            // The straight line: any start and any slope.
            const line = 1e6 * (1 + s * t * 1e-4);
            if (knee < 0) return line + smooth;
            const kneed = bendCovariance(s, t, x[knee], x[knee + 1]);
            return line + smooth + (usualKnee.bend * slope) ** 2 * kneed;
          };
          const noise = means.map((one) => {
            const variance = run.value ** 2 + watch.value ** 2 * one.perSecond2 + one.known;
            log -= (one.freedom * Math.log(variance) + one.squares / variance) / 2;
            return (one.speed ** 2 * variance) / one.count;
          });
          const matrix = x.map((s, i) =>
            x.map((t, j) => covariance(s, t) + (i === j ? (noise[i] as number) : 0)),
          );
          const inverted = solved(matrix, y);
          const at = place(level);
          const near = x.map((s) => covariance(s, at));
          const part = solved(matrix, near).x;
          const dot = (a: readonly number[], b: readonly number[]): number =>
            a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
          log -= (inverted.logDeterminant + dot(y, inverted.x)) / 2;
          found.push({
            weight: log,
            speed: dot(near, inverted.x),
            variance: covariance(at, at) - dot(near, part),
          });
        }
  const most = Math.max(...found.map(({ weight }) => weight));
  const weights = found.map(({ weight }) => Math.exp(weight - most));
  const all = weights.reduce((a, b) => a + b, 0);
  const average = (of: (one: (typeof found)[0]) => number): number =>
    found.reduce((sum, one, i) => sum + (of(one) * (weights[i] as number)) / all, 0);
  const speed = average((one) => one.speed);
  return { speed, deviation: Math.sqrt(average((one) => one.variance + one.speed ** 2) - speed ** 2) };
}

describe("the curve with noise and bend from the timings", () => {
  it.each([
    ["five levels", five],
    ["two levels", five.slice(1, 3)],
    ["three levels", five.slice(0, 3)],
    ["a knee", [mean(10, 1), mean(40, 4), mean(90, 9), mean(150, 15), mean(200, 15.2), mean(250, 15.1)]],
    ["levels with spread", five.map((one) => ({ ...one, squares: 0.002 }))],
  ])("of %s is the average over all of them", (_, means) => {
    const curve = new Curve(means);
    for (const level of [21, 30, 50, 66, 100, 150, 190]) {
      if (level < (means[0] as LevelMean).level || level > (means.at(-1) as LevelMean).level) continue;
      const slow = slowCurve(means, level);
      const fast = curve.at(level);
      // The fast one takes some combinations for all of them.
      expect(Math.abs(fast.speed - slow.speed)).toBeLessThan(0.15 * slow.deviation);
      expect(fast.deviation / slow.deviation).toBeGreaterThan(0.88);
      expect(fast.deviation / slow.deviation).toBeLessThan(1.12);
    }
  });

  it("draws curves whose mean and spread are those of the curve, and that do not fall", () => {
    const curve = new Curve(five);
    const levels = [20, 35, 50, 90, 120, 121, 160, 200];
    const draws = curve.draws(levels, 4000, 7);
    expect(draws).toHaveLength(4000);
    levels.forEach((level, i) => {
      const speeds = draws.map((draw) => draw[i] as number);
      const average = speeds.reduce((a, b) => a + b) / speeds.length;
      const spread = Math.sqrt(
        speeds.reduce((sum, speed) => sum + (speed - average) ** 2, 0) / speeds.length,
      );
      const { speed, deviation } = curve.at(level);
      expect(Math.abs(average - speed)).toBeLessThan(0.1 * deviation);
      expect(spread / deviation).toBeCloseTo(1, 0);
    });
    for (const draw of draws)
      for (let i = 1; i < draw.length; i++) expect(draw[i]).toBeGreaterThanOrEqual(draw[i - 1] as number);
    // The same each time, and others for another seed.
    expect(curve.draws(levels, 10, 7)).toEqual(curve.draws(levels, 10, 7));
    expect(curve.draws(levels, 10, 8)).not.toEqual(curve.draws(levels, 10, 7));
  });

  it("learns from repeated runs how far they differ", () => {
    const spread = (part: number) =>
      new Curve(five.map((one) => ({ ...one, count: 9, freedom: 8, squares: 8 * part ** 2 })));
    expect(spread(0.04).stopwatch).toBeGreaterThan(spread(0.01).stopwatch);
    expect(spread(0.04).at(60).deviation).toBeGreaterThan(spread(0.01).at(60).deviation);
  });

  it("of 2,000 levels is that of at most 40 groups of neighbours", () => {
    const level = (i: number): number => 20 + (230 * i) / 1999;
    const many = Array.from({ length: 2000 }, (_, i) => mean(level(i), 0.07 * (level(i) - 12), 10, 1));
    const curve = new Curve(many);
    expect(curve.means.length).toBeLessThanOrEqual(40);
    for (const at of [25, 60, 130, 240]) expect(curve.at(at).speed).toBeCloseTo(0.07 * (at - 12), 1);
  });
});
