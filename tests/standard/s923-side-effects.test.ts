import { CvSet } from "cvset";
import { describe, expect, test } from "vitest";
import { factoryReset, hardReset, ignoresOwnSpeed, sideEffectOf } from "../../src/standard/side-effects.js";

describe("S-9.2.3 (July 2012), E, Address-Only Mode", () => {
  test("a write to CV 1 clears CV 19 and CV 29 bit 5, and no other write clears anything", () => {
    for (let cv = 1; cv <= 1024; cv++) {
      const expected =
        cv === 1
          ? [
              { cv: "19", mask: 255 },
              { cv: "29", mask: 32 },
            ]
          : undefined;
      expect(sideEffectOf(cv, "multifunction")?.clears).toEqual(expected);
      expect(sideEffectOf(cv, "accessory")).toBe(undefined);
    }
  });
});

test("S-9.2.3 (July 2012), Decoder Factory Reset: 8 into CV 8, which reads 255 until it is done", () => {
  expect(factoryReset).toMatchObject({ cv: 8, request: 8, pending: 255 });
});

test("S-9.2.1 (July 2012), hard reset: CV 29, 31 and 32 to their factory values, CV 19 to 0", () => {
  expect(hardReset).toMatchObject({ toFactory: [29, 31, 32], clears: [19] });
});

describe("S-9.2.1 (July 2012), Consist Control: speed sent to the own address", () => {
  test.each([
    ["no consist", { 1: 3, 19: 0, 29: 6 }, false],
    ["a consist", { 1: 3, 19: 32, 29: 6 }, true],
    ["a consist with the own address", { 1: 3, 19: 3, 29: 6 }, false],
    ["the same, reversed in it", { 1: 3, 19: 131, 29: 6 }, false],
    ["the same number as an extended address", { 1: 3, 17: 192, 18: 5, 19: 5, 29: 38 }, true],
    ["the primary address that is not in use", { 1: 5, 17: 196, 18: 210, 19: 5, 29: 38 }, true],
    ["an own address that is not known", { 19: 5 }, true],
    ["a consist that is not known", { 1: 3, 29: 6 }, false],
  ])("%s", (_, cvs, ignored) => {
    expect(ignoresOwnSpeed(CvSet.from(cvs))).toBe(ignored);
  });
});
