import { CvSet } from "cvset";
import { curveInUse, motor, speed } from "cvset/standard";
import fc from "fast-check";
import { expect, test } from "vitest";
import { curveCvs, speedTableOf } from "../../src/standard/curve-in-use.js";
import { expectNear } from "../support/near.js";

const byte = fc.integer({ min: 0, max: 255 });
const tableOf = (levels: readonly number[]) => Object.fromEntries(levels.map((level, i) => [67 + i, level]));

/** The level at a step, slow and obvious: the line between the two points on either side. */
function pointLevel(points: readonly (readonly [step: number, level: number])[], step: number): number {
  const after = points.findIndex(([at]) => at >= step);
  const [x1, y1] = points[after] as readonly [number, number];
  if (x1 === step) return y1;
  const [x0, y0] = points[after - 1] as readonly [number, number];
  return y0 + ((step - x0) / (x1 - x0)) * (y1 - y0);
}

// S-9.2.2 (July 2012), CV 2, 5, 6, 25: levels at step 1, the middle step and step 28; 0 and 1 are not used.
test("three points, for any bytes", () => {
  fc.assert(
    fc.property(byte, byte, byte, byte, (start, high, mid, cv25) => {
      const cvs = CvSet.from({ 2: start, 5: high, 6: mid, 25: cv25, 29: 2 });
      const levels = curveInUse(cvs);
      const choice = motor.speedTableOrMidStep.tryDecode(cvs);
      const table = choice.value?.kind === "factory-table" ? choice.value.number : undefined;
      if (typeof table === "number") {
        expect(levels).toBe(undefined);
        return;
      }
      const step = choice.value?.kind === "mid-step" ? choice.value.step : 14;
      const points: [number, number][] = [[28, high < 2 ? 255 : high]];
      if (mid >= 2 && table !== "linear" && step > 1) points.unshift([step, mid]);
      // A middle at step 1 gives way to Vstart; the line to the top begins at the middle all the same.
      const ends = step === 1 && mid >= 2 && table !== "linear" ? mid : start;
      points.unshift([1, ends]);
      expect(levels).toHaveLength(28);
      levels?.forEach((level, i) => {
        expectNear(level, i === 0 ? start : pointLevel(points, i + 1), { scale: 255 });
      });
    }),
    { numRuns: 1000 },
  );
});

// S-9.2.2 (July 2012), CV 66-95: the table, each level times n/128; 0 is no trim; 255 is all there is.
test("the table with its trims, for any bytes", () => {
  const list = fc.array(byte, { minLength: 28, maxLength: 28 });
  fc.assert(
    fc.property(list, byte, byte, (levels, forward, reverse) => {
      const cvs = CvSet.from({ ...tableOf(levels), 29: 18, 66: forward, 95: reverse });
      const settings = speed.decode(cvs);
      if (settings.kind !== "table") throw new Error("bit 4 chooses the table");
      for (const [direction, trim] of [
        ["forward", settings.forwardTrim],
        ["reverse", settings.reverseTrim],
      ] as const) {
        const factor = trim === "none" ? 1 : trim;
        expect(curveInUse(cvs, direction)).toEqual(
          settings.levels.map((level) => Math.min(255, level * factor)),
        );
      }
      expect(curveInUse(cvs)).toEqual(curveInUse(cvs, "forward"));
      expect(speedTableOf(cvs.with(29, 2))).toEqual(levels);
    }),
  );
});

test("the bit chooses, for all 256 values of CV 29", () => {
  const levels = Array.from({ length: 28 }, (_, i) => 9 * i);
  const cvs = CvSet.from({ 2: 10, 5: 200, 6: 80, ...tableOf(levels) });
  for (let configuration = 0; configuration < 256; configuration++) {
    const found = curveInUse(cvs.with(29, configuration));
    const kind = speed.tryDecode(cvs.with(29, configuration).with(66, 0).with(95, 0)).value?.kind;
    expect(kind).toBe(configuration & 16 ? "table" : "three-point");
    expect([found?.[0], found?.[27]]).toEqual(kind === "table" ? [0, 243] : [10, 200]);
  }
});

test("the CVs of a curve are those that change it", () => {
  const all = Object.fromEntries(Array.from({ length: 256 }, (_, i) => [i + 1, 100]));
  const changes = (cv: number): boolean =>
    [2, 18].some((configuration) =>
      (["forward", "reverse"] as const).some((direction) => {
        const cvs = CvSet.from({ ...all, 2: 10, 5: 200, 6: 50, 25: 140, 29: configuration });
        const [before, after] = [cvs, cvs.with(cv, 130)].map((one) => curveInUse(one, direction));
        return JSON.stringify(before) !== JSON.stringify(after);
      }),
    );
  const changing = Array.from({ length: 256 }, (_, i) => i + 1).filter((cv) => cv !== 29 && changes(cv));
  expect(changing).toEqual(curveCvs);
});

test("what is not known: no curve without the bit, Vstart or a level; other CVs count as not used", () => {
  const levels = tableOf(Array.from({ length: 28 }, () => 100));
  expect(curveInUse(CvSet.from({ 2: 10, ...levels }))).toBe(undefined);
  expect(curveInUse(CvSet.from({ 29: 2, 5: 100, 6: 50 }))).toBe(undefined);
  expect(curveInUse(CvSet.from({ 29: 18, ...levels }).without(80))).toBe(undefined);
  expect(curveInUse(CvSet.from({ 29: 18, ...levels }))?.[5]).toBe(100);
  const straight = curveInUse(CvSet.from({ 29: 2, 2: 12 }));
  expect([straight?.[0], straight?.[9], straight?.[27]]).toEqual([12, 93, 255]);
});
