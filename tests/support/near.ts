import { expect } from "vitest";

/**
 * Expects a number that was reckoned in another way, whatever its size: `toBeCloseTo` counts decimals, so that it
 * asks too little of small numbers and, of large ones, more than doubles have.
 * @param found The number.
 * @param wanted What it should be.
 * @param options `within`: the largest error as a part of the number, 1e-9 without it. `scale`: the size of what the
 *   number is the difference of, where that is larger than the number itself.
 */
export function expectNear(
  found: unknown,
  wanted: number,
  { within = 1e-9, scale = 0 }: { readonly within?: number; readonly scale?: number } = {},
): void {
  const isNumber = typeof found === "number" && !Number.isNaN(found);
  // Infinity is near itself only.
  if (!isNumber || !Number.isFinite(found) || !Number.isFinite(wanted)) {
    expect(found).toBe(wanted);
    return;
  }
  // Numbers near the least that there are have few digits.
  const size = Math.max(Math.abs(found), Math.abs(wanted), scale, 1e-300);
  if (Math.abs(found - wanted) > within * size) {
    expect(found, `within ${within} of ${size}`).toBe(wanted);
  }
}
