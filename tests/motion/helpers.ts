import { CvError, type Issue } from "cvset";
import fc from "fast-check";
import { expect } from "vitest";

/** A seeded stream of numbers from 0 to 1 (mulberry32), for simulations that must repeat. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Normally distributed numbers, mean 0, deviation 1 (Box and Muller). */
export function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

/** The issues that a call throws. */
export function issuesOf(call: () => unknown): readonly Issue[] {
  try {
    call();
  } catch (error) {
    expect(error).toBeInstanceOf(CvError);
    if (error instanceof CvError) {
      expect(error.issues.length).toBeGreaterThan(0);
      return error.issues;
    }
  }
  throw new Error("nothing was thrown");
}

/** The paths of what a call complains about. */
export function pathsOf(call: () => unknown): string[] {
  return issuesOf(call).map(({ path }) => path);
}

/** The steps 1 to 28. */
export const steps: readonly number[] = Array.from({ length: 28 }, (_, i) => i + 1);

/**
 * Numbers from a range, mostly spread evenly. `fc.double` alone gives every power of two the same share, so that
 * two of its numbers are hardly ever of like size, and whatever happens among neighbours is never tried.
 */
export function real(min: number, max: number): fc.Arbitrary<number> {
  const even = fc.integer({ min: 0, max: 1_000_000 }).map((n) => min + ((max - min) * n) / 1_000_000);
  return fc.oneof(
    { arbitrary: even, weight: 5 },
    { arbitrary: fc.double({ min, max, noNaN: true }), weight: 1 },
  );
}
