import { CvSet } from "cvset";
import { driveLevels, speedCurve, threePointsOf } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { expectNear } from "../support/near.js";
import { pathsOf, steps } from "./helpers.js";

const byte = fc.integer({ min: 0, max: 255 });
const risingTable = fc
  .array(byte, { minLength: 28, maxLength: 28 })
  .map((levels) => [...levels].sort((a, b) => a - b));

/** The levels of CV 2, 6, 5 and 25. */
const curveOf = (start: number, mid: number, top: number, midRange = 0): readonly number[] =>
  driveLevels(CvSet.from({ 2: start, 6: mid, 5: top, 25: midRange, 29: 2 })).levels;

const squares = (
  levels: readonly number[],
  start: number,
  mid: number,
  top: number,
  midRange = 0,
): number => {
  const curve = curveOf(start, mid, top, midRange);
  return levels.reduce((sum, level, i) => sum + (level - (curve[i] as number)) ** 2, 0);
};

describe("three points for a table", () => {
  it("are found again when the table is a three-point curve", () => {
    fc.assert(
      fc.property(
        byte,
        fc.integer({ min: 2, max: 255 }),
        fc.integer({ min: 2, max: 255 }),
        (start, mid, top) => {
          const found = threePointsOf(curveOf(start, mid, top).map(Math.round));
          expect(found.worst).toBeLessThanOrEqual(1);
          const exact = curveOf(start, mid, top);
          const again = curveOf(found.start, found.mid, found.top, found.midRange);
          exact.forEach((level, i) => {
            expect(Math.abs(level - (again[i] as number))).toBeLessThanOrEqual(1);
          });
        },
      ),
      { numRuns: 100 },
    );
  });

  it("are the best of all their neighbours, and of far ones too", () => {
    fc.assert(
      fc.property(
        risingTable,
        fc.tuple(byte, byte, byte),
        fc.integer({ min: -2, max: 2 }),
        (levels, far, d) => {
          const { start, mid, top, midRange, rms, worst, error } = threePointsOf(levels);
          const least = squares(levels, start, mid, top, midRange);
          expectNear(rms, Math.sqrt(least / 28));
          expect(worst).toBe(Math.max(...error.map(Math.abs)));
          const near = [-2, -1, 0, 1, 2].flatMap((a) =>
            [-2, -1, 0, 1, 2].map((b) => [start + a, mid === 0 ? 0 : mid + b, top + d] as const),
          );
          for (const [a, b, c] of [...near, far]) {
            if (a < 0 || a > 255 || b < 0 || b > 255 || c < 2 || c > 255) continue;
            expect(squares(levels, a, b, c)).toBeGreaterThanOrEqual(least * (1 - 1e-9));
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it("equal a search through every triple around them", () => {
    const { levels } = speedCurve({ start: 7, top: 241, shape: "power", gamma: 2.3 });
    let least = Number.POSITIVE_INFINITY;
    for (let start = 0; start <= 20; start++) {
      for (let mid = 2; mid <= 120; mid++) {
        for (let top = 200; top <= 255; top += 1) {
          const cost = gridCost(levels, start, mid, top);
          if (cost < least) least = cost;
        }
      }
    }
    const { rms } = threePointsOf(levels);
    expectNear(rms, Math.sqrt(least / 28));
  });

  it("need no middle for a straight table", () => {
    const found = threePointsOf(speedCurve({ start: 5, top: 140 }).levels);
    expect([found.start, found.mid, found.top]).toEqual([5, 0, 140]);
    expect(found.worst).toBe(0);
    const whole = threePointsOf(steps.map((step) => 9 * (step - 1)));
    expect([whole.start, whole.mid, whole.top, whole.worst]).toEqual([0, 0, 243, 0]);
  });

  it("may move the middle, which never makes it worse", () => {
    const kinked = steps.map((step) => (step <= 22 ? 2 * step : 44 + 30 * (step - 22)));
    const fixed = threePointsOf(kinked);
    const moved = threePointsOf(kinked, { moveMid: true });
    expect([moved.start, moved.mid, moved.top, moved.midRange, moved.worst]).toEqual([2, 44, 224, 149, 0]);
    expect(fixed.worst).toBeGreaterThan(20);
    expect(fixed.midRange).toBe(0);
    fc.assert(
      fc.property(risingTable, (levels) => {
        const { rms } = threePointsOf(levels, { moveMid: true });
        expect(rms).toBeLessThanOrEqual(threePointsOf(levels).rms * (1 + 1e-9));
      }),
      { numRuns: 30 },
    );
  });

  it("come as CVs, with the table switched off", () => {
    const { patch } = threePointsOf(speedCurve({ start: 10, mid: 80, top: 200 }).levels);
    expect(patch.toJSON()).toEqual({
      cvs: { 2: 10, 5: 200, 6: 80, 25: 0 },
      bits: [{ cv: "29", mask: 16, value: 0 }],
    });
  });

  it("reject a table that is none", () => {
    expect(pathsOf(() => threePointsOf([1, 2, 3]))).toEqual(["levels"]);
    expect(pathsOf(() => threePointsOf(steps.map(() => -1)))).toHaveLength(28);
  });
});

/** The sum of squares from the definition, without the library. */
function gridCost(levels: readonly number[], start: number, mid: number, top: number): number {
  let sum = 0;
  for (let step = 1; step <= 28; step++) {
    const level =
      step <= 14 ? start + ((mid - start) * (step - 1)) / 13 : mid + ((top - mid) * (step - 14)) / 14;
    sum += (level - (levels[step - 1] as number)) ** 2;
  }
  return sum;
}
