import { CvSet } from "cvset";
import { midStep, speedTableOrMidStep } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv25");

// S-9.2.2 (July 2012), CV 25: 128-153 is step 1-26 (value - 127), halved with 14 steps; otherwise step 14
// of 28, 7 of 14; 154 is printed in the range, but would be a 27th of 26 positions.
test("the mid step of every byte", () => {
  for (let byte = 0; byte < 256; byte++) {
    const result = speedTableOrMidStep.tryDecode(CvSet.from({ 25: byte }));
    expect(result.ok, `CV 25 = ${byte}`).toBe(byte <= 153);
    const step = byte >= 2 && byte <= 127 ? undefined : byte >= 128 && byte <= 153 ? byte - 127 : 14;
    const value = result.ok ? result.value : undefined;
    expect(midStep(value, 28), `CV 25 = ${byte}`).toBe(step);
    expect(midStep(value, 14), `CV 25 = ${byte}`).toBe(step && step / 2);
  }
});
