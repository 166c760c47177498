import { CvSet } from "cvset";
import { adjustedMomentum, momentum, momentumInUse, motor } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv3-4-23-24");

// S-9.2.2 (July 2012), CV 3: seconds per step = CV * 0.896 / steps in use.
test("CV 3 = 2 is 0.064 s a step at 28 steps", () => {
  expect((momentum.tryDecode(CvSet.from({ 3: 2 })).value?.acceleration ?? 0) / 28).toBeCloseTo(0.064, 12);
});

test("all 256 rates are clean multiples of 0.896 s", () => {
  for (let byte = 0; byte < 256; byte++) {
    const seconds = (byte * 896) / 1000;
    expect(momentum.tryDecode(CvSet.from({ 3: byte })).value).toEqual({ acceleration: seconds });
    expect(momentum.encode({ deceleration: seconds }).toJSON().cvs).toEqual({ 4: byte });
  }
});

// S-9.2.2 (July 2012), CV 23: the same unit, added or subtracted; above the most it is the most, below
// none it is none.
test("the momentum in use, for each CV 3 with each CV 23, from bytes and from settings", () => {
  for (let rate = 0; rate < 256; rate++) {
    for (let adjustment = 0; adjustment < 256; adjustment++) {
      const sum = adjustment < 128 ? rate + adjustment : rate - (adjustment - 128);
      const value = Math.max(0, Math.min(255, sum));
      const limit = sum < 0 ? "none" : sum > 255 ? "maximum" : undefined;
      const found = adjustedMomentum(rate, adjustment);
      if (found.value !== value || found.seconds !== (value * 896) / 1000 || found.limit !== limit) {
        expect(found, `CV 3 = ${rate}, CV 23 = ${adjustment}`).toBe(undefined);
      }
    }
    // The codecs have the same seconds.
    const cvs = CvSet.from({ 3: rate, 4: rate, 23: rate, 24: rate });
    const { acceleration } = momentum.decode(cvs);
    const { seconds, direction } = motor.momentumAdjustment.decode(cvs).acceleration;
    const change = direction === "add" ? seconds : -seconds;
    const sum = Math.max(0, Math.min(228.48, acceleration + change));
    expect(momentumInUse(cvs, "acceleration")?.seconds).toBeCloseTo(sum, 9);
    expect(momentumInUse(cvs, "deceleration")).toEqual(momentumInUse(cvs, "acceleration"));
    expect(momentumInUse(CvSet.from({ 3: rate }), "acceleration")?.seconds).toBe(acceleration);
    expect(momentumInUse(CvSet.from({ 3: rate, 23: rate }), "deceleration")).toBe(undefined);
  }
});

// S-9.2.2 (July 2012), CV 3, 4, 23 and 24: CV 23 adjusts CV 3, CV 24 adjusts CV 4.
test("each rate has its own adjustment", () => {
  const cvs = CvSet.from({ 3: 10, 4: 20, 23: 5, 24: 128 + 7 });
  expect(momentumInUse(cvs, "acceleration")).toEqual({ value: 15, seconds: 13.44 });
  expect(momentumInUse(cvs, "deceleration")).toEqual({ value: 13, seconds: 11.648 });
  expect(momentumInUse(cvs.without(23), "acceleration")?.value).toBe(10);
  expect(momentumInUse(cvs.without(24), "deceleration")?.value).toBe(20);
});

test("what is not a byte is refused, each with its path", () => {
  for (const bad of [-1, 256, 1.5, Number.NaN, "3" as never]) {
    expect(() => adjustedMomentum(bad, 0)).toThrow(/^rate: /);
    expect(() => adjustedMomentum(0, bad)).toThrow(/^adjustment: /);
  }
});
