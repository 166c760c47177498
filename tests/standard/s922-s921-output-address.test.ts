import { CvSet } from "cvset";
import { type Address, accessoryAddressInUse } from "cvset/standard";
import { describe, expect, test } from "vitest";
import {
  isAccessoryBroadcast,
  isBroadcast,
  legacyAccess,
  outputAddressBits,
  outputsOfAddress,
} from "../../src/standard/accessory-output.js";

const all = Array.from({ length: 2048 }, (_, number) => number);

describe("S-9.2.2 (July 2012), accessory CV 1 and 9: the packets that an output address answers", () => {
  test("at CV 1 = 1, CV 9 = 0 decoders of either method answer the same packet", () => {
    const byDecoder = accessoryAddressInUse(CvSet.from({ 1: 1, 9: 0, 29: 128 }));
    const byOutput = accessoryAddressInUse(CvSet.from({ 1: 1, 9: 0, 29: 192 }));
    expect(byDecoder).toEqual({ kind: "accessory", number: 1 });
    expect(byOutput).toEqual({ kind: "accessory-output", number: 1 });
    expect(outputsOfAddress(Number(byOutput?.number))).toEqual({ decoder: 1, output: 0 });
    // With extended packets too.
    const extended = { kind: "extended-accessory", number: 4 };
    expect(accessoryAddressInUse(CvSet.from({ 1: 1, 9: 0, 29: 160 }))).toEqual(extended);
    expect(accessoryAddressInUse(CvSet.from({ 1: 1, 9: 0, 29: 224 }))).toEqual(extended);
  });

  test("four output addresses a decoder address, each with its pair of outputs, each pair once", () => {
    expect([1, 2, 3, 4, 5].map((number) => outputsOfAddress(number))).toEqual([
      { decoder: 1, output: 0 },
      { decoder: 1, output: 2 },
      { decoder: 1, output: 4 },
      { decoder: 1, output: 6 },
      { decoder: 2, output: 0 },
    ]);
    expect(outputsOfAddress(2040)).toEqual({ decoder: 510, output: 6 });
    expect(outputsOfAddress(2045)).toEqual({ decoder: 0, output: 0 });
    expect(outputsOfAddress(0)).toEqual({ decoder: 0, output: 6 });
    expect(new Set(all.map(outputAddressBits)).size).toBe(2048);
  });
});

describe("S-9.2.1 (July 2012), accessory packets: the address of all decoders", () => {
  test("decoder address 511, and no other", () => {
    for (let number = 0; number < 512; number++) {
      expect(isAccessoryBroadcast({ kind: "accessory", number })).toBe(number === 511);
    }
    expect(isBroadcast({ kind: "accessory", number: 511, output: 3 })).toBe(true);
  });

  test("the output addresses that either reading makes decoder address 511: 2041-2047", () => {
    const found = all.filter((number) => isAccessoryBroadcast({ kind: "accessory-output", number }));
    expect(found).toEqual([2041, 2042, 2043, 2044, 2045, 2046, 2047]);
  });

  test("the extended address with every bit set", () => {
    const found = all.filter((number) => isAccessoryBroadcast({ kind: "extended-accessory", number }));
    expect(found).toEqual([2047]);
  });

  test.each<[Address, boolean, boolean]>([
    [{ kind: "broadcast" }, true, true],
    [{ kind: "broadcast", to: "accessory" }, true, true],
    [{ kind: "broadcast", to: "multifunction" }, false, true],
    [{ kind: "primary", number: 127 }, false, false],
    [{ kind: "extended", number: 2047 }, false, false],
    [{ kind: "consist", number: 3 }, false, false],
  ])("%j", (address, ofAccessories, ofSeveral) => {
    expect(isAccessoryBroadcast(address)).toBe(ofAccessories);
    expect(isBroadcast(address)).toBe(ofSeveral);
  });
});

describe("S-9.2.1 (July 2012), accessory CV access, legacy form", () => {
  test("decoder address 69, CV 513 = 7", () => {
    // 10000101 0110 11 10 00000000 00000111: address 1 000101, high bits complemented; CV - 1 = 512.
    expect(legacyAccess([0x85, 0x6e, 0x00, 0x07, 0xec])).toEqual({ decoder: 69, cv: 513, value: 7 });
  });

  test.each([
    ["a basic packet", [0x81, 0xf8, 0x79]],
    ["an extended packet", [0x81, 0x71, 0x00, 0xf0]],
    ["the newer form", [0x81, 0xf0, 0xec, 0x02, 0x07, 0x98]],
    ["a packet to a locomotive", [0xc4, 0xd2, 0x0c, 0x07, 0x1d]],
  ])("%s is not of this form", (_, packet) => {
    expect(legacyAccess(packet)).toBe(undefined);
  });
});

describe("S-9.2.2 (July 2012), Table 3: the aliases of an address", () => {
  test("CV 513, 521 and 541 where CV 1, 9 and 29 are not there", () => {
    const address = { kind: "accessory", number: 69 };
    expect(accessoryAddressInUse(CvSet.from({ 513: 5, 521: 1, 541: 128 }))).toEqual(address);
    expect(accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 541: 128 }))).toEqual(address);
    expect(accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 29: 128, 513: 6 }))).toEqual(address);
    // A CV without an alias has none 512 above.
    expect(accessoryAddressInUse(CvSet.from({ 1: 5, 9: 1, 542: 128 }))).toBe(undefined);
  });
});
