import { CvSet } from "cvset";
import { isUnlocked, lock } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv15-16");

// S-9.2.2 (July 2012), CV 15 and 16: a write is obeyed only where CV 15 = CV 16.
test("every pair of bytes: unlocked when both are the same", () => {
  for (let key = 0; key < 256; key++) {
    for (const number of [0, 1, 2, 3, key, 255]) {
      expect(isUnlocked(lock.decode(CvSet.from({ 15: key, 16: number })))).toBe(key === number);
    }
  }
});
