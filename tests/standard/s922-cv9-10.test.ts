import { CvSet } from "cvset";
import { motor } from "cvset/standard";
import fc from "fast-check";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv9-10");

const { pwmPeriod } = motor;

/** The byte of the period nearest to a wanted one. */
const nearestByte = (us: number): number | undefined =>
  pwmPeriod.encode(us, { nearest: true }).toJSON().cvs[9];

// S-9.2.2 (July 2012), CV 9: (131 + 4m) * 2^e microseconds, m = bits 0-4, e = bits 5-7.
const periods = Array.from({ length: 256 }, (_, byte) => {
  const [m, e] = [byte % 32, Math.floor(byte / 32)];
  return (131 + 4 * m) * 2 ** e;
});

/** Slow and obvious: looks at every byte. */
function nearestOfAll(microseconds: number): number {
  let best = 0;
  for (let byte = 1; byte < 256; byte++) {
    const closer = Math.abs((periods[byte] as number) - microseconds);
    if (closer < Math.abs((periods[best] as number) - microseconds)) best = byte;
  }
  return best;
}

test("all 256 bytes, both ways", () => {
  expect(new Set(periods).size).toBe(256);
  periods.forEach((period, byte) => {
    expect(pwmPeriod.decode(CvSet.from({ 9: byte }))).toBe(period);
    expect(pwmPeriod.encode(period).toJSON()).toEqual({ cvs: { 9: byte }, bits: [] });
  });
});

test("every whole microsecond from 131 to 32,640 finds its nearest period", () => {
  for (let us = 131; us <= 32640; us++) {
    const value = nearestOfAll(us);
    const found = nearestByte(us);
    if (found !== value) expect(found, `${us} us`).toBe(value);
  }
});

test("every fraction finds its nearest period, and of two the shorter", () => {
  fc.assert(
    fc.property(fc.double({ min: 131, max: 32640, noNaN: true }), (us) => {
      expect(nearestByte(us)).toBe(nearestOfAll(us));
    }),
    { numRuns: 2000 },
  );
  // 133 lies between 131 and 135.
  expect(nearestByte(133)).toBe(0);
  expect(nearestByte(133.001)).toBe(1);
});

test("a period between two is refused with both, or rounded when that is asked for", () => {
  for (const [us, expected] of [
    [132, "131 us and 135 us"],
    [134.9, "131 us and 135 us"],
    [260, "255 us and 262 us"],
    [32600, "32128 us and 32640 us"],
  ] as const) {
    expect(() => pwmPeriod.encode(us)).toThrow(
      `${us} us cannot be stored exactly; the nearest are ${expected}`,
    );
    expect(pwmPeriod.encode(us, { nearest: true }).toJSON().cvs).toEqual({ 9: nearestOfAll(us) });
  }
  expect(() => pwmPeriod.encode(130.9, { nearest: true })).toThrow("131 to 32640 us");
  expect(() => pwmPeriod.encode(40000, { nearest: true })).toThrow("131 to 32640 us");
});
