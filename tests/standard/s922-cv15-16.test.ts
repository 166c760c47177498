import { CvSet } from "cvset";
import { lock } from "cvset/standard";
import { expect, test } from "vitest";
import { isLocked } from "../../src/standard/lock.js";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv15-16");

// S-9.2.2 (July 2012), CV 15 and 16: a write is obeyed only where CV 15 = CV 16.
test("every key, with itself and with other numbers: locked when they differ", () => {
  for (let key = 0; key < 256; key++) {
    for (const number of [0, 1, 2, 3, key, 255]) {
      const cvs = CvSet.from({ 15: key, 16: number });
      expect(isLocked(cvs)).toBe(key !== number);
      const settings = lock.decode(cvs);
      expect(settings.key !== settings.number).toBe(isLocked(cvs));
    }
  }
  expect(isLocked(CvSet.from({ 15: 1 }))).toBe(false);
  expect(isLocked(CvSet.from({ 16: 1 }))).toBe(false);
});
