import { CvSet } from "cvset";
import { motor } from "cvset/standard";
import { expect, test } from "vitest";
import { midStepOf } from "../../src/standard/curve-in-use.js";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv25");

// S-9.2.2 (July 2012), CV 25: 128-154 is step 1-27 (value - 127, where the text names 26 positions);
// otherwise step 14 of 28.
test("the mid step of every byte", () => {
  for (let byte = 0; byte < 256; byte++) {
    const result = motor.speedTableOrMidStep.tryDecode(CvSet.from({ 25: byte }));
    expect(result.ok, `CV 25 = ${byte}`).toBe(byte <= 154);
    const step = byte >= 2 && byte <= 127 ? undefined : byte >= 128 && byte <= 154 ? byte - 127 : 14;
    expect(midStepOf(byte), `CV 25 = ${byte}`).toBe(step);
    if (result.value?.kind === "mid-step") expect(midStepOf(byte)).toBe(result.value.step);
  }
});
