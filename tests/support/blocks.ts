import { Session } from "node:inspector/promises";
import { expect, vi } from "vitest";

// V8 counts how often each block of the sources runs. Only what is compiled after `startCounting` is counted block by
// block: a test imports what it measures with `await import` after it.

const session = new Session();

/** Starts the counting. What was loaded before is loaded anew by the next import. */
export async function startCounting(): Promise<void> {
  session.connect();
  await session.post("Profiler.enable");
  await session.post("Profiler.startPreciseCoverage", { callCount: true, detailed: true });
  vi.resetModules();
}

/** Ends the counting. */
export const endCounting = (): void => session.disconnect();

/** How many blocks ran since the last time, of the sources whose address fits. */
async function blocksRun(sources: RegExp): Promise<number> {
  // Taking the counts sets them back to 0.
  const { result } = await session.post("Profiler.takePreciseCoverage");
  return result
    .filter(({ url }) => sources.test(url))
    .flatMap(({ functions }) => functions.flatMap(({ ranges }) => ranges))
    .reduce((sum, { count }) => sum + count, 0);
}

/**
 * Expects that the work, which `prepare` makes for 1, 2, 4 and 8 times the input, grows no faster than the input: from 4 to
 * 8 times it adds no more than twice what 2 to 4 times added, and a little for what sorts.
 */
export async function expectInProportion(
  sources: RegExp,
  prepare: (times: number) => () => unknown,
): Promise<void> {
  const tried: string[] = [];
  // V8 drops counts when it compiles a function anew, so a count that is too small for what follows is taken again.
  for (let round = 0; round < 4; round++) {
    const works = [1, 2, 4, 8].map(prepare);
    await blocksRun(sources);
    const counts: number[] = [];
    for (const work of works) {
      await work();
      counts.push(await blocksRun(sources));
    }
    const [one, two, four, eight] = counts as [number, number, number, number];
    if (eight - four - 2 * (four - two) < eight / 16) return;
    tried.push([one, two, four, eight].join(", "));
  }
  expect.fail(`the work grows faster than the input: ${tried.join("; ")}`);
}
