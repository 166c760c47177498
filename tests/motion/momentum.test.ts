import {
  adjustedMomentum,
  adjustmentFor,
  momentumFor,
  momentumSetting,
  secondsPerStep,
  stepCount,
} from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { issuesOf, pathsOf, real } from "./helpers.js";

const byte = fc.integer({ min: 0, max: 255 });

describe("momentum (S-9.2.2, CV 3 and 4)", () => {
  it("CV 3 = 2 at 28 steps is 0.064 s a step", () => {
    expect(secondsPerStep(2, 28)).toBe(0.064);
  });
  it.each([14, 28, 128] as const)("from stop to full speed in CV * 0.896 s, in %i steps too", (mode) => {
    for (const value of [0, 1, 2, 17, 100, 255]) {
      const count = stepCount(mode);
      expect(secondsPerStep(value, count) * count).toBeCloseTo(value * 0.896, 9);
    }
  });
  it("wants a byte and a known number of steps", () => {
    expect(pathsOf(() => secondsPerStep(256, 128))).toEqual(["value", "steps"]);
  });

  it("is the nearest of all values for wished seconds", () => {
    fc.assert(
      fc.property(real(0, 300), (seconds) => {
        const { value, seconds: found, error, limited } = momentumFor(seconds);
        const all = Array.from({ length: 256 }, (_, i) => Math.abs(i * 0.896 - seconds));
        expect(Math.abs(error)).toBeCloseTo(Math.min(...all), 9);
        expect(found).toBe(value * 0.896);
        expect(error).toBe(found - seconds);
        expect(limited).toBe(seconds > 255.5 * 0.896);
      }),
    );
    expect(pathsOf(() => momentumFor(-1))).toEqual(["seconds"]);
    expect(pathsOf(() => momentumFor(Number.NaN))).toEqual(["seconds"]);
  });

  it("comes as CV 3 and CV 4, as far as asked for", () => {
    expect(momentumSetting({ acceleration: 0.896 * 12, deceleration: 0 }).patch.toJSON().cvs).toEqual({
      3: 12,
      4: 0,
    });
    expect(momentumSetting({ deceleration: 9 }).patch.toJSON().cvs).toEqual({ 4: 10 });
    expect(momentumSetting({ deceleration: 9 }).acceleration).toBeUndefined();
    expect(momentumSetting({ acceleration: 228.48 }).acceleration?.value).toBe(255);
    expect(pathsOf(() => momentumSetting({ acceleration: 228.5, deceleration: -1 }))).toEqual([
      "acceleration",
      "deceleration",
    ]);
  });
});

describe("the adjustment (S-9.2.2, CV 23 and 24)", () => {
  it.each([
    [20, 5, 25, undefined],
    [20, 128 + 5, 15, undefined],
    [20, 0, 20, undefined],
    [20, 128, 20, undefined],
    [200, 55, 255, undefined],
    [200, 56, 255, "maximum"],
    [5, 128 + 5, 0, undefined],
    [5, 128 + 6, 0, "none"],
  ])("%i with %i is %i", (base, adjustment, value, limit) => {
    const found = adjustedMomentum(base, adjustment);
    expect(found.value).toBe(value);
    expect(found.seconds).toBe(value * 0.896);
    expect(found.limit).toBe(limit);
  });
  it("is undone by adjustmentFor, wherever 7 bits suffice", () => {
    fc.assert(
      fc.property(byte, byte, (base, wanted) => {
        if (Math.abs(base - wanted) > 127) {
          expect(issuesOf(() => adjustmentFor(base, wanted))[0]?.path).toBe("wanted");
        } else
          expect(adjustedMomentum(base, adjustmentFor(base, wanted))).toEqual({
            value: wanted,
            seconds: wanted * 0.896,
          });
      }),
    );
    expect(adjustmentFor(9, 9)).toBe(0);
  });
  it("wants bytes", () => {
    expect(pathsOf(() => adjustedMomentum(-1, 256))).toEqual(["base", "adjustment"]);
    expect(pathsOf(() => adjustmentFor(0.5, 300))).toEqual(["base", "wanted"]);
  });
});
