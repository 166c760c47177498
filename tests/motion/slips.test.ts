import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type LevelRuns, meanOf, median, type Run, withoutSlips } from "../../src/motion/slips.js";
import { benchOf, samplesOf } from "./bench.js";

const timed = (speed: number, seconds: number): Run => ({ speed, perSecond2: 1 / seconds ** 2, known: 0 });
/** Runs over 100 m at full size. */
const level = (at: number, ...times: number[]): LevelRuns<Run> => ({
  level: at,
  runs: times.map((seconds) => timed(100 / seconds, seconds)),
});
const bench = [
  level(17, 161, 158.2),
  level(40, 31, 30.7),
  level(80, 10.6, 10.7),
  level(130, 5.6, 5.5),
  level(190, 3.5, 3.5),
  level(250, 2.9, 2.8),
];
const replaced = (i: number, ...times: number[]) =>
  bench.map((one, k) => (k === i ? level(one.level, ...times) : one));
const found = (levels: readonly LevelRuns<Run>[]) =>
  withoutSlips(levels).slips.map((slip) => [
    slip.level,
    ...slip.runs.map(({ speed }) => Number((100 / speed).toFixed(2))),
  ]);

describe("slips", () => {
  it("are not seen where there are none", () => {
    expect(withoutSlips(bench)).toEqual({ kept: bench, slips: [] });
  });
  it.each([
    ["one of two", replaced(2, 10.6, 1.07), [[80, 1.07]]],
    ["the other of two", replaced(2, 1.06, 10.7), [[80, 1.06]]],
    ["ten times too long", replaced(3, 56, 5.5), [[130, 56]]],
    ["at the fastest level", replaced(5, 0.29, 2.8), [[250, 0.29]]],
    ["at the slowest level", replaced(0, 16.1, 158.2), [[17, 16.1]]],
    ["one of three", replaced(2, 10.6, 1.07, 10.5), [[80, 1.07]]],
    ["two of five", replaced(2, 10.6, 1.07, 10.5, 100, 10.8), [[80, 1.07, 100]]],
    ["the only run of a level", replaced(2, 1.07), [[80, 1.07]]],
    ["the only run of the slowest level", replaced(0, 16.1), [[17, 16.1]]],
    ["all runs of a level", replaced(2, 1.06, 1.07), [[80, 1.06, 1.07]]],
    [
      "two at once",
      replaced(2, 10.6, 1.07).map((one, i) => (i === 4 ? level(190, 35, 3.5) : one)),
      [
        [80, 1.07],
        [190, 35],
      ],
    ],
  ])("are found: %s", (_, levels, wanted) => {
    expect(found(levels)).toEqual(wanted);
  });
  it("that the others do not decide are told as a pair", () => {
    const [slip] = withoutSlips([level(40, 30, 3), level(80, 10, 10)]).slips;
    expect([slip?.level, slip?.rival !== undefined]).toEqual([40, true]);
  });
  it("are not called such where the hand can be the reason, or half of the runs are odd", () => {
    // A fast run is timed badly: half a second of four.
    expect(found(replaced(4, 3.5, 4))).toEqual([]);
    expect(found(replaced(1, 31, 31, 20, 20))).toEqual([]);
  });
  it("leave a level out only when it has no other run", () => {
    const { kept } = withoutSlips(replaced(2, 10.6, 1.07));
    expect(kept.map((one) => one.runs.length)).toEqual([2, 2, 1, 2, 2, 2]);
    expect(withoutSlips(replaced(2, 1.07)).kept.map((one) => one.level)).toEqual([17, 40, 130, 190, 250]);
  });
  it("are seen on one at most of 300 benches without any", () => {
    let seen = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const byLevel = new Map<number, Run[]>();
      for (const { level: at, speed, seconds } of samplesOf(benchOf(seed))) {
        if (speed > 0) byLevel.set(at, [...(byLevel.get(at) ?? []), timed(speed, seconds ?? 1)]);
      }
      seen += withoutSlips([...byLevel].map(([at, runs]) => ({ level: at, runs }))).slips.length;
    }
    expect(seen).toBeLessThanOrEqual(1);
  });
});

describe("the mean of a level", () => {
  it("is the geometric one, with the squares around it", () => {
    const mean = meanOf(level(40, 10, 12.1));
    expect(mean.speed).toBeCloseTo(100 / 11, 9);
    expect(mean.squares).toBeCloseTo(2 * Math.log(1.1) ** 2, 9);
    expect([mean.count, mean.freedom]).toEqual([2, 1]);
  });
  it("and the middle value do not depend on the order", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 99 }), { minLength: 1 }), (all) => {
        expect(median([...all].reverse())).toBe(median(all));
      }),
    );
    expect(median([10, 11, 9, 30])).toBe(10.5);
  });
});
