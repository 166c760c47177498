import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isotonic } from "../../src/motion/isotonic.js";
import { expectNear } from "../support/near.js";
import { real } from "./helpers.js";

const sequence = (maxLength: number) =>
  fc.array(
    fc.record({
      value: real(-100, 100),
      weight: real(0.1, 10),
    }),
    { minLength: 1, maxLength },
  );

/** Whole numbers, small and alike or of very different size, with weights of the same number. */
const wholeNumbers = fc
  .tuple(fc.integer({ min: 1, max: 9 }), fc.constantFrom(3, 1000, 1e9), fc.constantFrom(1, 4, 1e6))
  .chain(([length, most, heaviest]) => {
    const size = { minLength: length, maxLength: length };
    return fc.record({
      values: fc.array(fc.integer({ min: -most, max: most }), size),
      weights: fc.array(fc.integer({ min: 1, max: heaviest }), size),
    });
  });

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
 * of all cuts whose means rise, the one with the least squares. Whole numbers are reckoned exactly, as fractions:
 * two cuts may differ by less than doubles can tell beside their large sums.
 */
function bruteForce(values: readonly number[], weights: readonly number[]): number[] {
  const n = values.length;
  const big = weights.map(BigInt);
  const products = values.map((value, i) => BigInt(value) * (big[i] as bigint));
  let best: number[] = [];
  let [most, over] = [-1n, 1n];
  for (let cuts = 0; cuts < 2 ** (n - 1); cuts++) {
    const fit: number[] = [];
    // The sum of w * v * v is that of every cut, so the squares are least where the sum of (sum w * v) ^ 2 / sum w is most.
    let [gain, under] = [0n, 1n];
    let [lastSum, lastWeight] = [0n, 0n];
    let rises = true;
    for (let start = 0; start < n && rises; ) {
      let end = start;
      while (end < n - 1 && !(cuts & (1 << end))) end++;
      let [sum, weight] = [0n, 0n];
      const from = start;
      for (; start <= end; start++) {
        sum += products[start] as bigint;
        weight += big[start] as bigint;
      }
      rises = from === 0 || lastSum * weight <= sum * lastWeight;
      [lastSum, lastWeight] = [sum, weight];
      gain = gain * weight + sum * sum * under;
      under *= weight;
      for (let i = from; i <= end; i++) fit.push(Number(sum) / Number(weight));
    }
    if (rises && gain * over > most * under) [most, over, best] = [gain, under, fit];
  }
  return best;
}

const close = (found: ArrayLike<number>, wanted: readonly number[], given = wanted): void => {
  expect(found.length).toBe(wanted.length);
  // Means of numbers of either sign are as exact as the largest of these.
  const scale = Math.max(...given.map(Math.abs));
  wanted.forEach((value, i) => {
    expectNear(found[i], value, { scale });
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
        close(isotonic(values, weights), minMax(values, weights), values);
        const alike = values.map(() => 1);
        close(isotonic(Float64Array.from(values)), minMax(values, alike), values);
      }),
    );
  });

  it("equals the quadratic programme solved by brute force", () => {
    fc.assert(
      fc.property(wholeNumbers, ({ values, weights }) => {
        close(isotonic(values, weights), bruteForce(values, weights), values);
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
        expectNear(sum(fit), sum(values), { scale: sum(values.map(Math.abs)) });
      }),
    );
  });

  it("does not touch its input", () => {
    const values = [3, 1, 2];
    isotonic(values, [1, 2, 3]);
    expect(values).toEqual([3, 1, 2]);
  });
});
