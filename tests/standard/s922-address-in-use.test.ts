import { CvSet } from "cvset";
import {
  type Address,
  accessory,
  accessoryAddress,
  accessoryAddressInUse,
  address,
  addressInUse,
  addressText,
  consist,
  consistInUse,
} from "cvset/standard";
import { describe, expect, test } from "vitest";
import { sameAddress, toAddress } from "../../src/standard/address-in-use.js";

// The facts and the settings codecs give one answer, whatever the bytes are.

const bytes = Array.from({ length: 256 }, (_, byte) => byte);
// Both ends of every range of CV 1 and CV 17, and what lies beside them.
const edges = [0, 1, 3, 63, 64, 100, 111, 112, 127, 128, 191, 192, 193, 196, 231, 232, 254, 255];

/** The bytes as a half-known state: only `get` is there. */
const known = (cvs: Readonly<Record<number, number | undefined>>) => ({ get: (cv: number) => cvs[cv] });

describe("multi-function: CV 1, 17, 18, 29", () => {
  test("all 256 values of CV 29, with the edges of all others", () => {
    const wrong: unknown[] = [];
    for (const configuration of bytes) {
      for (const primary of edges) {
        for (const high of [0, 191, 192, 196, 231, 232, 255]) {
          for (const low of [0, 127, 210]) {
            const cvs = { 1: primary, 17: high, 18: low, 29: configuration };
            const { value, ok } = address.tryDecode(CvSet.from(cvs));
            const settings = ok && value?.number !== "alternate-power" ? value : undefined;
            const found = addressInUse(known(cvs));
            if (found?.kind !== settings?.kind || found?.number !== settings?.number) wrong.push(cvs);
          }
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  test("all 256 values of CV 1, and all 65,536 of CV 17 and 18", () => {
    for (const primary of bytes) {
      const expected = primary >= 1 && primary <= 127 ? { kind: "primary", number: primary } : undefined;
      expect(addressInUse(CvSet.from({ 1: primary, 29: 6 }))).toEqual(expected);
    }
    const wrong: unknown[] = [];
    for (const high of bytes) {
      for (const low of bytes) {
        const number = (high - 192) * 256 + low;
        const found = addressInUse(known({ 17: high, 18: low, 29: 34 }));
        if (found?.number !== (high >= 192 && high <= 231 ? number : undefined)) wrong.push([high, low]);
      }
    }
    expect(wrong).toEqual([]);
  });

  test("the other address does not matter; a CV that is not known leaves none", () => {
    expect(addressInUse(CvSet.from({ 1: 3, 29: 6 }))).toEqual({ kind: "primary", number: 3 });
    expect(addressInUse(CvSet.from({ 17: 192, 18: 0, 29: 32 }))).toEqual({ kind: "extended", number: 0 });
    for (const cvs of [{ 1: 3 }, { 29: 6 }, { 1: 3, 17: 196, 29: 34 }, { 1: 3, 18: 210, 29: 34 }, {}]) {
      expect(addressInUse(known(cvs))).toBe(undefined);
      expect(address.tryDecode(CvSet.from(cvs)).ok).toBe(false);
    }
  });
});

describe("accessory: CV 1, 9, 29", () => {
  const bothAgree = (low: number, high: number, configuration: number): boolean => {
    const cvs = { 1: low, 9: high, 29: configuration };
    const set = CvSet.from(cvs);
    const { value, ok } = accessoryAddress.tryDecode(set);
    const found = accessoryAddressInUse(known(cvs));
    if (!ok || !value) return found === undefined;
    if (accessory.packets.decode(set) === "basic") {
      return found?.kind === value.kind && found.number === value.number;
    }
    // The eleven bits of the packet: output address 1 is the first pair of decoder address 1, 4.
    const number = value.kind === "accessory" ? 4 * value.number : (value.number + 3) % 2048;
    return found?.kind === "extended-accessory" && found.number === number;
  };

  test("CV 1 and 9 in all four methods: every value up to CV 9 = 16, and every 16th pair beyond", () => {
    const wrong: unknown[] = [];
    for (const configuration of [128, 160, 192, 224]) {
      for (const low of bytes) {
        for (const high of bytes) {
          // Beyond the ranges, every 16th is enough.
          if (high > 16 && (high + low) % 16 !== 0) continue;
          if (!bothAgree(low, high, configuration)) wrong.push([low, high, configuration]);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  test("all 256 values of CV 29, with the edges of CV 1 and 9", () => {
    const wrong: unknown[] = [];
    for (const configuration of bytes) {
      for (const low of edges) {
        for (const high of [0, 1, 7, 8, 9, 255]) {
          if (!bothAgree(low, high, configuration)) wrong.push([low, high, configuration]);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  // S-9.2.2 (July 2012), accessory CV 1 and 9: modulo 256 in CV 1, divided by 256 in CV 9.
  test("255 and 255 is no output address", () => {
    expect(accessoryAddressInUse(CvSet.from({ 1: 255, 9: 255, 29: 192 }))).toBe(undefined);
    expect(accessoryAddressInUse(CvSet.from({ 1: 1, 9: 0, 29: 192 }))).toEqual({
      kind: "accessory-output",
      number: 1,
    });
    for (const cvs of [
      { 1: 5, 9: 0 },
      { 1: 5, 29: 128 },
      { 9: 0, 29: 128 },
    ]) {
      expect(accessoryAddressInUse(known(cvs))).toBe(undefined);
    }
  });
});

// S-9.2.2 (July 2012), CV 19.
test("the consist, for all 256 values of CV 19", () => {
  for (const byte of bytes) {
    const cvs = CvSet.from({ 19: byte });
    const { address: number } = consist.decode(cvs);
    expect(consistInUse(cvs)).toEqual(number === "none" ? undefined : { kind: "consist", number });
  }
  expect(consistInUse(CvSet.from({}))).toBe(undefined);
});

const addresses: readonly [Address, string][] = [
  [{ kind: "primary", number: 3 }, "primary address 3"],
  [{ kind: "extended", number: 3 }, "extended address 3"],
  [{ kind: "consist", number: 3 }, "consist address 3"],
  [{ kind: "accessory", number: 3 }, "accessory decoder address 3"],
  [{ kind: "accessory", number: 3, output: 0 }, "accessory decoder address 3, output 0"],
  [{ kind: "accessory-output", number: 3 }, "accessory output address 3"],
  [{ kind: "extended-accessory", number: 3 }, "extended accessory address 3"],
  [{ kind: "broadcast" }, "all decoders"],
  [{ kind: "broadcast", to: "multifunction" }, "all multi-function decoders"],
  [{ kind: "broadcast", to: "accessory" }, "all accessory decoders"],
];

test("addresses in words, and which are the same", () => {
  for (const [one, text] of addresses) {
    expect(addressText(one)).toBe(text);
    expect(toAddress(one)).toEqual(one);
    for (const [other] of addresses) expect(sameAddress(one, { ...other })).toBe(one === other);
  }
});

test("a bare number is a primary or an extended address; a decoded setting is an address as it is", () => {
  expect([1, 127, 128, 10239].map((number) => toAddress(number).kind)).toEqual([
    "primary",
    "primary",
    "extended",
    "extended",
  ]);
  const cvs = CvSet.from({ 17: 196, 18: 210, 29: 34 });
  expect(toAddress(address.decode(cvs))).toEqual(addressInUse(cvs));
  const turnout = CvSet.from({ 1: 5, 9: 1, 29: 192 });
  expect(toAddress(accessoryAddress.decode(turnout))).toEqual(accessoryAddressInUse(turnout));
});

test.each([
  [0, "address"],
  [10240, "address"],
  [1.5, "address"],
  ["3", "address.kind"],
  [null, "address.kind"],
  [undefined, "address.kind"],
  [{}, "address.kind"],
  [{ kind: "toString", number: 1 }, "address.kind"],
  [{ kind: "primary", number: "alternate-power" }, "address.number"],
  [{ kind: "primary", number: 128 }, "address.number"],
  [{ kind: "primary", number: 0 }, "address.number"],
  [{ kind: "extended", number: 10240 }, "address.number"],
  [{ kind: "consist", number: 0 }, "address.number"],
  [{ kind: "accessory", number: 512 }, "address.number"],
  [{ kind: "accessory", number: 5, output: 8 }, "address.output"],
  [{ kind: "accessory-output", number: -1 }, "address.number"],
  [{ kind: "extended-accessory", number: 2048 }, "address.number"],
  [{ kind: "extended" }, "address.number"],
  [{ kind: "broadcast", to: "all" }, "address.to"],
])("%j is refused at its path", (wrong, path) => {
  expect(() => toAddress(wrong as never)).toThrow(`${path}: `);
});
