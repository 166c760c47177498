import { Session } from "node:inspector/promises";

// V8 counts how often each block of the sources runs. Only what is compiled after this module is counted block by
// block: a test imports what it measures with `await import` after it.

const session = new Session();
session.connect();
await session.post("Profiler.enable");
await session.post("Profiler.startPreciseCoverage", { callCount: true, detailed: true });

/** Ends the counting. */
export const endCounting = (): void => session.disconnect();

/** How many blocks run in some work, of the sources whose address fits. */
export async function blocksIn(sources: RegExp, work: () => unknown): Promise<number> {
  // Taking the counts sets them back to 0.
  await session.post("Profiler.takePreciseCoverage");
  await work();
  const { result } = await session.post("Profiler.takePreciseCoverage");
  return result
    .filter(({ url }) => sources.test(url))
    .flatMap(({ functions }) => functions.flatMap(({ ranges }) => ranges))
    .reduce((sum, { count }) => sum + count, 0);
}
