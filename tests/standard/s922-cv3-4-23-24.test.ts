import { CvSet } from "cvset";
import { acceleration, accelerationAdjustment, deceleration, effectiveRate } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv3-4-23-24");

// S-9.2.2 (July 2012), CV 3: seconds per step = CV * 0.896 / steps in use.
test("CV 3 = 2 is 0.064 s a step at 28 steps", () => {
  expect(acceleration.decode(CvSet.from({ 3: 2 })) / 28).toBeCloseTo(0.064, 12);
});

test("all 256 rates are clean multiples of 0.896 s", () => {
  for (let byte = 0; byte < 256; byte++) {
    const seconds = (byte * 896) / 1000;
    expect(acceleration.decode(CvSet.from({ 3: byte }))).toBe(seconds);
    expect(deceleration.encode(seconds).toJSON().cvs).toEqual({ 4: byte });
  }
});

// S-9.2.2 (July 2012), CV 23: the same unit, added or subtracted; above the most it is the most, below
// none it is none.
test("the effective rate, for each CV 3 with each CV 23", () => {
  for (let rate = 0; rate < 256; rate++) {
    for (let adjustment = 0; adjustment < 256; adjustment++) {
      const cvs = CvSet.from({ 3: rate, 23: adjustment });
      const sum = adjustment < 128 ? rate + adjustment : rate - (adjustment - 128);
      const wanted = {
        seconds: (Math.max(0, Math.min(255, sum)) * 896) / 1000,
        limited: sum < 0 || sum > 255,
      };
      const found = effectiveRate(acceleration.decode(cvs), accelerationAdjustment.decode(cvs));
      if (found.seconds !== wanted.seconds || found.limited !== wanted.limited) {
        expect(found, `CV 3 = ${rate}, CV 23 = ${adjustment}`).toEqual(wanted);
      }
    }
  }
});

test("an effective rate of amounts that no CV holds is refused", () => {
  expect(() => effectiveRate(1, { seconds: 0, direction: "add" })).toThrow("0.896 s and 1.792 s");
  expect(() => effectiveRate(229.376, { seconds: 0, direction: "add" })).toThrow("0 to 228.48 s");
  expect(() => effectiveRate(0, { seconds: 114.688, direction: "add" })).toThrow("0 to 113.792 s");
  expect(() => effectiveRate(Number.NaN, { seconds: 0, direction: "add" })).toThrow("a number");
});
