import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isotonic } from "../../src/motion/isotonic.js";
import { real } from "./helpers.js";

const sequence = (maxLength: number) =>
  fc.array(
    fc.record({
      value: real(-100, 100),
      weight: real(0.1, 10),
    }),
    { minLength: 1, maxLength },
  );

const mean = (values: readonly number[], weights: readonly number[], from: number, to: number): number => {
  let [sum, weight] = [0, 0];
  for (let i = from; i <= to; i++) {
    sum += (values[i] as number) * (weights[i] as number);
    weight += weights[i] as number;
  }
  return sum / weight;
};

/** The min-max formula: at i, the largest over the starts up to i of the least mean over the ends from i. */
function minMax(values: readonly number[], weights: readonly number[]): number[] {
  return values.map((_, i) => {
    let most = Number.NEGATIVE_INFINITY;
    for (let from = 0; from <= i; from++) {
      let least = Number.POSITIVE_INFINITY;
      for (let to = i; to < values.length; to++) least = Math.min(least, mean(values, weights, from, to));
      most = Math.max(most, least);
    }
    return most;
  });
}

/**
 * The quadratic programme by brute force: the optimum is constant on some cut into runs, with the mean of each;
 * of all cuts whose means rise, the one with the least squares.
 */
function bruteForce(values: readonly number[], weights: readonly number[]): number[] {
  const n = values.length;
  let best: number[] = [];
  let least = Number.POSITIVE_INFINITY;
  for (let cuts = 0; cuts < 2 ** (n - 1); cuts++) {
    const fit: number[] = [];
    for (let start = 0; start < n; ) {
      let end = start;
      while (end < n - 1 && !(cuts & (1 << end))) end++;
      const level = mean(values, weights, start, end);
      for (; start <= end; start++) fit.push(level);
    }
    if (fit.some((value, i) => i > 0 && value < (fit[i - 1] as number))) continue;
    const cost = fit.reduce(
      (sum, v, i) => sum + (weights[i] as number) * (v - (values[i] as number)) ** 2,
      0,
    );
    if (cost < least) [least, best] = [cost, fit];
  }
  return best;
}

const close = (found: ArrayLike<number>, wanted: readonly number[]): void => {
  expect(found.length).toBe(wanted.length);
  wanted.forEach((value, i) => {
    expect(found[i]).toBeCloseTo(value, 9);
  });
};

describe("the isotonic fit", () => {
  it.each([
    [[], []],
    [[7], [7]],
    [
      [1, 2, 3],
      [1, 2, 3],
    ],
    [
      [3, 2, 1],
      [2, 2, 2],
    ],
    [
      [1, 3, 2, 4],
      [1, 2.5, 2.5, 4],
    ],
    [
      [4, 5, 1, 6, 8, 7],
      [10 / 3, 10 / 3, 10 / 3, 6, 7.5, 7.5],
    ],
  ])("of %j is %j", (values, wanted) => {
    close(isotonic(values), wanted);
  });

  it("equals the min-max formula, weighted and not", () => {
    fc.assert(
      fc.property(sequence(20), (list) => {
        const values = list.map(({ value }) => value);
        const weights = list.map(({ weight }) => weight);
        close(isotonic(values, weights), minMax(values, weights));
        close(
          isotonic(Float64Array.from(values)),
          minMax(
            values,
            values.map(() => 1),
          ),
        );
      }),
    );
  });

  it("equals the quadratic programme solved by brute force", () => {
    fc.assert(
      fc.property(sequence(9), (list) => {
        const values = list.map(({ value }) => value);
        const weights = list.map(({ weight }) => weight);
        close(isotonic(values, weights), bruteForce(values, weights));
      }),
    );
  });

  it("leaves a rising sequence alone, never falls, and keeps the sum", () => {
    fc.assert(
      fc.property(sequence(60), (list) => {
        const values = list.map(({ value }) => value);
        const sorted = [...values].sort((a, b) => a - b);
        close(isotonic(sorted), sorted);
        const fit = isotonic(values);
        for (let i = 1; i < fit.length; i++) expect(fit[i]).toBeGreaterThanOrEqual(fit[i - 1] as number);
        const sum = (all: Iterable<number>): number => [...all].reduce((a, b) => a + b, 0);
        expect(sum(fit)).toBeCloseTo(sum(values), 8);
      }),
    );
  });

  it("does not touch its input", () => {
    const values = [3, 1, 2];
    isotonic(values, [1, 2, 3]);
    expect(values).toEqual([3, 1, 2]);
  });
});
