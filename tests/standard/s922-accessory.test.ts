import { CvSet } from "cvset";
import { accessoryAddress } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-accessory");

// S-9.2.2 (July 2012), accessory CV 1 and 9: low six bits in CV 1, high three in CV 9.
test("all 512 decoder addresses, both ways; no other CV 1 is one, with CV 9 up to 16 and every 16th beyond", () => {
  for (let number = 0; number < 512; number++) {
    const bytes = { 1: number % 64, 9: Math.floor(number / 64), 29: 128 };
    // Whatever an output address left in the bytes is cleared.
    const base = CvSet.from({ 1: 255, 9: 255, 29: 255 & ~0b10_0111 });
    expect(base.apply(accessoryAddress.encode({ kind: "accessory", number })).toJSON()).toEqual({
      ...bytes,
      29: 0b1001_1000,
    });
    expect(accessoryAddress.decode(CvSet.from(bytes))).toEqual({ kind: "accessory", number });
  }
  let read = 0;
  for (let low = 0; low < 256; low++) {
    for (let high = 0; high < 256; high += high < 16 ? 1 : 16) {
      if (accessoryAddress.tryDecode(CvSet.from({ 1: low, 9: high, 29: 128 })).ok) read++;
    }
  }
  expect(read).toBe(512);
});

// S-9.2.2 (July 2012), accessory CV 1 and 9: the output address modulo 256 in CV 1, divided by 256 in CV 9.
test("all 2,048 output addresses, both ways", () => {
  for (let number = 0; number < 2048; number++) {
    const bytes = { 1: number % 256, 9: Math.floor(number / 256) };
    expect(accessoryAddress.encode({ kind: "accessory-output", number }).toJSON()).toEqual({
      cvs: bytes,
      bits: [{ cv: "29", mask: 64, value: 64 }],
    });
    expect(accessoryAddress.decode(CvSet.from({ ...bytes, 29: 192 }))).toEqual({
      kind: "accessory-output",
      number,
    });
  }
});
