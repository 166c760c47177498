import type { Direction } from "./drive.js";
import type { SpeedResponse } from "./response.js";

/** A direction and how the locomotive runs in it. */
export interface Target {
  readonly direction: Direction;
  readonly response: SpeedResponse;
}

/** A table with its trims. */
export interface Fit {
  readonly table: readonly number[];
  /** CV 66, 1-255. */
  readonly forward: number;
  /** CV 95, 1-255. */
  readonly reverse: number;
}

/** The speeds that the entries 0-255 of a table give under one trim, and which of them may be used. */
interface Speeds {
  readonly of: Float64Array;
  /** The variance of each speed. */
  readonly variance: Float64Array;
  /** The lowest entry that moves. */
  readonly low: number;
  /** The highest entry whose level was measured; below `low` when there is none. */
  readonly high: number;
}

/** The best table for one direction, untrimmed; undefined when no whole level was measured. */
export function directionFit({ response }: Target, speeds: readonly number[]): Fit | undefined {
  const under = speedsUnder(response, 128);
  if (under.low > under.high) return undefined;
  const table = speeds.map((speed) => (speed === 0 ? 0 : nearestEntry(under, speed, under.low, under.high)));
  return { table, forward: 128, reverse: 128 };
}

/**
 * The best table and trims for both directions, for the least expected squares of the errors: those of the expected
 * speeds, and the variance of these; undefined when the measured ranges cannot be brought together. Every trim is
 * tried, with the other one at 128: only their ratio matters, apart from rounding.
 */
export function jointFit(first: Target, second: Target, speeds: readonly number[]): Fit | undefined {
  const plain = { [first.direction]: speedsUnder(first.response, 128) } as Record<Direction, Speeds>;
  plain[second.direction] = speedsUnder(second.response, 128);
  let best: (Fit & { readonly cost: number }) | undefined;
  const table: number[] = speeds.map(() => 0);
  // From no trim outwards, so that of equal fits the one with the smaller correction stays.
  for (let away = 0; away <= 127; away++) {
    for (const trim of away === 0 ? [128] : [128 - away, 128 + away]) {
      for (const [trimmed, other] of [
        [first, second],
        [second, first],
      ] as const) {
        const a = speedsUnder(trimmed.response, trim);
        const b = plain[other.direction];
        const cost = fillJoint(table, a, b, speeds, best?.cost ?? Number.POSITIVE_INFINITY);
        if (!(cost < (best?.cost ?? Number.POSITIVE_INFINITY))) continue;
        const trims = { forward: 128, reverse: 128, [trimmed.direction]: trim };
        best = { table: [...table], ...trims, cost };
      }
    }
  }
  return best && { table: best.table, forward: best.forward, reverse: best.reverse };
}

/** Fills in the best table for two directions and returns its sum of squares; stops early above `limit`. */
function fillJoint(table: number[], a: Speeds, b: Speeds, speeds: readonly number[], limit: number): number {
  const low = Math.max(a.low, b.low);
  const high = Math.min(a.high, b.high);
  if (low > high) return Number.POSITIVE_INFINITY;
  let sum = 0;
  for (let i = 0; i < speeds.length; i++) {
    const speed = speeds[i] as number;
    if (speed === 0) {
      table[i] = 0;
      continue;
    }
    // Outside the two single best entries both errors grow, so the best of both lies between them.
    const bestA = nearestEntry(a, speed, low, high);
    const bestB = nearestEntry(b, speed, low, high);
    let least = Number.POSITIVE_INFINITY;
    for (let entry = Math.min(bestA, bestB); entry <= Math.max(bestA, bestB); entry++) {
      const cost = squares(a, entry, speed) + squares(b, entry, speed);
      if (cost < least) {
        least = cost;
        table[i] = entry;
      }
    }
    sum += least;
    if (sum >= limit) return Number.POSITIVE_INFINITY;
  }
  return sum;
}

/** The expected square of the error of an entry. */
function squares({ of, variance }: Speeds, entry: number, speed: number): number {
  return ((of[entry] as number) - speed) ** 2 + (variance[entry] as number);
}

function speedsUnder(response: SpeedResponse, trim: number): Speeds {
  const of = new Float64Array(256);
  const variance = new Float64Array(256);
  let low = 256;
  let high = -1;
  for (let entry = 0; entry < 256; entry++) {
    const level = Math.min(255, (entry * trim) / 128);
    of[entry] = response.speedAt(level);
    variance[entry] = response.deviationAt(level) ** 2;
    if (level < response.movesFrom || level > response.measuredTo) continue;
    low = Math.min(low, entry);
    high = entry;
  }
  return { of, variance, low, high };
}

/** The entry from `low` to `high` whose speed is nearest; of equals, the lowest. */
function nearestEntry({ of }: Speeds, speed: number, low: number, high: number): number {
  let under = low;
  let over = high;
  if ((of[under] as number) >= speed) return under;
  while (over - under > 1) {
    const middle = (under + over) >> 1;
    if ((of[middle] as number) < speed) under = middle;
    else over = middle;
  }
  const overError = Math.abs((of[over] as number) - speed);
  if (overError < Math.abs((of[under] as number) - speed)) return over;
  // Of several entries with the same speed, the lowest.
  while (under > low && of[under - 1] === of[under]) under--;
  return under;
}
