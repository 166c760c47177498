import { CvSet } from "cvset";
import { address, extendedAddress, primaryAddress } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv1-17-18");

// S-9.2.2 (July 2012), CV 17 and 18: CV 17 = 192 + (address >> 8), CV 18 = address & 255.
test("all 10,240 extended addresses, both ways", () => {
  for (let number = 0; number <= 10239; number++) {
    const bytes = { 17: 192 + (number >> 8), 18: number & 255 };
    expect(extendedAddress.encode(number).toJSON()).toEqual({ cvs: bytes, bits: [] });
    expect(extendedAddress.decode(CvSet.from(bytes))).toBe(number);
  }
});

test("of all 65,536 pairs of bytes, those with CV 17 = 192-231 are an address and no others", () => {
  const wrong: unknown[] = [];
  for (let high = 0; high < 256; high++) {
    for (let low = 0; low < 256; low++) {
      const result = extendedAddress.tryDecode(CvSet.from({ 17: high, 18: low }));
      const wanted = high >= 192 && high <= 231 ? (high - 192) * 256 + low : undefined;
      const code = result.ok ? undefined : result.issues[0]?.code;
      if (result.value !== wanted || (code === "stored-steps") === result.ok) wrong.push([high, low, result]);
    }
  }
  expect(wrong).toEqual([]);
});

test("the bit of CV 29 and the address go together", () => {
  for (let number = 1; number <= 127; number++) {
    expect(address.encode({ kind: "primary", number }).toJSON()).toEqual({
      cvs: primaryAddress.encode(number).toJSON().cvs,
      bits: [{ cv: "29", mask: 32, value: 0 }],
    });
    // An extended address may be as low as a primary one: only the bit tells them apart.
    expect(address.encode({ kind: "extended", number }).toJSON()).toEqual({
      cvs: { 17: 192, 18: number },
      bits: [{ cv: "29", mask: 32, value: 32 }],
    });
  }
});

test("the address that is not in use may be nonsense", () => {
  expect(address.decode(CvSet.from({ 1: 5, 17: 0, 18: 0, 29: 0 }))).toEqual({ kind: "primary", number: 5 });
  expect(address.decode(CvSet.from({ 1: 255, 17: 192, 18: 200, 29: 32 }))).toEqual({
    kind: "extended",
    number: 200,
  });
});
