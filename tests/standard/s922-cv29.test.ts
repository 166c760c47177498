import { CvSet, explain } from "cvset";
import { nmra } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv29");

// S-9.2.2 (July 2012), CV 29, bit by bit; bit 6 is reserved.
test("all 256 bytes: each bit is one feature, and only the reserved one is left alone", () => {
  const others = { ...nmra.defaults().toJSON(), 2: 5, 5: 255, 6: 128, 17: 192, 18: 200, 66: 0, 95: 0 };
  const table = Object.fromEntries(Array.from({ length: 28 }, (_, i) => [67 + i, 9 * i]));
  for (let byte = 0; byte < 256; byte++) {
    const bit = (n: number): boolean => Math.floor(byte / 2 ** n) % 2 === 1;
    const cvs = CvSet.from({ ...others, ...table, 29: byte });
    const { value } = nmra.tryDecode(cvs);
    expect(
      [
        value?.directionReversed,
        value?.speedSteps,
        value?.analogue,
        value?.biDirectional,
        value?.speed?.kind,
        value?.address?.kind,
        value?.decoderType,
      ],
      `CV 29 = ${byte}`,
    ).toEqual([
      bit(0),
      bit(1) ? "28/128" : "14",
      bit(2),
      bit(3),
      bit(4) ? "table" : "three-point",
      bit(5) ? "extended" : "primary",
      bit(7) ? undefined : "multifunction",
    ]);
    const elsewhere = CvSet.from({ ...others, ...table, 29: bit(7) ? 255 : 0 });
    const written = nmra.encode(value ?? {}, elsewhere).get(29);
    expect(written).toBe(bit(7) ? byte | 64 : byte & ~64);
  }
});

// The worked example: CV 29 = 34 is a long address and 28 or 128 steps, nothing else.
test("what CV 29 = 34 means, from that one byte", () => {
  const { lines } = explain(nmra, CvSet.from({ 29: 34 }));
  expect(Object.fromEntries(lines.map(({ path, text }) => [path, text]))).toEqual({
    "address.kind": "extended (long)",
    directionReversed: "no",
    speedSteps: "28 or 128 speed steps",
    analogue: "no",
    biDirectional: "no",
    "speed.kind": "three points",
    decoderType: "multifunction",
  });
});
