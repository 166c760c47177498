// Two functions timed against each other in one process.
import assert from "node:assert/strict";

let sink = 0;

/** The mean time of a call, of so many. */
export function nanoseconds(run, count) {
  const start = process.hrtime.bigint();
  for (let i = 0; i < count; i++) sink += Number(run(i));
  return Number(process.hrtime.bigint() - start) / count;
}

/** The best time of each, both run in turns and in short spells, so that a busy machine matters little. */
export function measure([hand, ours], spells = 60) {
  const count = (run) => {
    // Long enough for the compiler, which works beside it.
    const end = performance.now() + 300;
    let n = 1;
    while (performance.now() < end) if (nanoseconds(run, n) * n < 1e6) n *= 2;
    return n;
  };
  const [handCount, ourCount] = [count(hand), count(ours)];
  let [bestHand, bestOurs] = [Infinity, Infinity];
  for (let i = 0; i < spells; i++) {
    bestHand = Math.min(bestHand, nanoseconds(hand, handCount));
    bestOurs = Math.min(bestOurs, nanoseconds(ours, ourCount));
  }
  assert.ok(Number.isFinite(sink), "a reader gives no number");
  return { hand: bestHand, ours: bestOurs, ratio: bestOurs / bestHand };
}

export const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
