import { CvError, CvSet, messageOf } from "cvset";
import { expect, test } from "vitest";
import { need } from "../../src/cv/argument.js";
import { someKnownCvs } from "../../src/standard/address.js";
import { toAddress } from "../../src/standard/address-in-use.js";
import { saidBy } from "../support/said.js";

// What may be given where an address is wanted.

const said = (given: unknown): unknown => {
  try {
    return toAddress(given as never, "to");
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    return error.issues.map((issue) => messageOf(issue));
  }
};

test.each<[unknown, object]>([
  [1, { kind: "primary", number: 1 }],
  [127, { kind: "primary", number: 127 }],
  [128, { kind: "extended", number: 128 }],
  [10239, { kind: "extended", number: 10239 }],
  [
    { kind: "primary", number: 3 },
    { kind: "primary", number: 3 },
  ],
  [
    { kind: "extended", number: 3 },
    { kind: "extended", number: 3 },
  ],
  [
    { kind: "accessory", number: 511 },
    { kind: "accessory", number: 511 },
  ],
  [{ kind: "broadcast" }, { kind: "broadcast" }],
  [
    { kind: "broadcast", to: "multifunction" },
    { kind: "broadcast", to: "multifunction" },
  ],
  [
    { kind: "broadcast", to: "accessory" },
    { kind: "broadcast", to: "accessory" },
  ],
])("%j is an address", (given, address) => {
  expect(said(given)).toEqual(address);
});

test.each<[unknown, RegExp]>([
  [0, /^to: 0 is out of range; allowed is 1 to 10239/],
  [10240, /^to: 10240 is out of range; allowed is 1 to 10239/],
  [1.5, /^to: expected a whole number from 1 to 10239/],
  [
    { kind: "broadcast", to: "accessories" },
    /^to\.to: "accessories" is not an option; the options are "multifunction", "accessory"/,
  ],
  [{ kind: "broadcast", to: "" }, /^to\.to: "" is not an option/],
  [{ kind: "long", number: 3 }, /^to\.kind: "long" is not an option/],
  [{ kind: "primary", number: 128 }, /^to\.number: 128 is out of range; allowed is 1 to 127/],
  [{ kind: "primary", number: 0 }, /^to\.number: 0 is out of range/],
  [{ number: 3 }, /^to\.kind: \{"number":3\} is not an option; the options are "primary"/],
])("%j is none", (given, words) => {
  expect(said(given)).toEqual([expect.stringMatching(words)]);
});

test("known CVs are a set, a map of CVs, or anything that gives a CV by its number", () => {
  const of = (given: unknown) => saidBy(() => need(someKnownCvs, given, "drive"));
  expect([of(CvSet.empty), of({ 1: 3 }), of({ get: () => 5 }), of([[1, 3]])]).toEqual([[], [], [], []]);
  expect(of(5)).toEqual(["drive: expected an object with CV numbers as keys, got 5"]);
  expect(of(undefined)).toEqual(["drive: expected an object with CV numbers as keys, got undefined"]);
  expect(of({ get: 5 })).toEqual([expect.stringMatching(/^drive: /)]);
  expect(of({ 1: 256 })).toEqual(["drive: CV 1: expected a whole number from 0 to 255, got 256"]);
});
