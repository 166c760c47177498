import { CvSet } from "cvset";
import { motor } from "cvset/standard";
import { expect, test } from "vitest";
import { midStepOf } from "../../src/standard/curve-in-use.js";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv25");

// S-9.2.2 (July 2012), CV 25: 128-153 is step 1-26 (value - 127); otherwise step 14
// of 28; 154 is printed in the range, but would be a 27th of 26 positions.
test("the mid step of every byte", () => {
  for (let byte = 0; byte < 256; byte++) {
    const result = motor.speedTableOrMidStep.tryDecode(CvSet.from({ 25: byte }));
    expect(result.ok, `CV 25 = ${byte}`).toBe(byte <= 153);
    const step = byte >= 2 && byte <= 127 ? undefined : byte >= 128 && byte <= 153 ? byte - 127 : 14;
    expect(midStepOf(byte), `CV 25 = ${byte}`).toBe(step);
    if (result.value?.kind === "mid-step") expect(midStepOf(byte)).toBe(result.value.step);
  }
});
