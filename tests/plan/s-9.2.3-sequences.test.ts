import { CvSet } from "cvset";
import {
  type AccessMode,
  accessSequence,
  factoryResetSequence,
  openingSequence,
  plan,
  planSequences,
  type Sequence,
} from "cvset/plan";
import { describe, expect, test } from "vitest";
import { estimateOf, packetMicroseconds } from "../../src/plan/timing.js";

const text = ({ parts }: Sequence) => parts.map(({ times, packet }) => `${times} x ${packet}`);
const write = (mode: AccessMode, cv: number) => accessSequence(mode, { operation: "write", cv, value: 5 });
const verify = (mode: AccessMode, cv: number) => accessSequence(mode, { operation: "verify", cv, value: 5 });

describe("S-9.2.3 (July 2012), section E: the least numbers of packets", () => {
  test("direct: 3 resets, 5 writes, 6 recovery", () => {
    expect(text(write("direct", 2))).toEqual(["3 x 00 00 00", "5 x 7C 01 05 78", "6 x 00 00 00"]);
  });
  test("direct verify: 3 resets, 5 verifies, 1 reset when acknowledged", () => {
    const sequence = verify("direct", 2);
    expect(text(sequence)).toEqual(["3 x 00 00 00", "5 x 74 01 05 70", "1 x 00 00 00"]);
    expect(
      sequence.parts.map((part) => [part.untilAcknowledged ?? false, part.onlyAcknowledged ?? false]),
    ).toEqual([
      [false, false],
      [true, false],
      [false, true],
    ]);
  });
  test("address-only and register 1: 10 recovery packets", () => {
    expect(text(write("address-only", 1))).toEqual(["3 x 00 00 00", "5 x 78 05 7D", "10 x 00 00 00"]);
    expect(text(write("register", 1))).toEqual(["3 x 00 00 00", "5 x 78 05 7D", "10 x 00 00 00"]);
    expect(text(write("register", 2))).toEqual(["3 x 00 00 00", "5 x 79 05 7C", "6 x 00 00 00"]);
  });
  test("register verify: 7 verifies", () => {
    expect(text(verify("register", 29))).toEqual(["3 x 00 00 00", "7 x 74 05 71", "1 x 00 00 00"]);
  });
  test("paged: the page first, each with its own repeats", () => {
    expect(text(write("paged", 65))).toEqual([
      "3 x 00 00 00",
      "5 x 7D 11 6C",
      "6 x 00 00 00",
      "3 x 00 00 00",
      "5 x 78 05 7D",
      "10 x 00 00 00",
    ]);
    expect(text(verify("paged", 66)).slice(3)).toEqual(["3 x 00 00 00", "7 x 71 05 74", "1 x 00 00 00"]);
  });
  test("20 packets after power-on; the register modes set page 1", () => {
    expect(text(openingSequence("direct"))).toEqual(["20 x 00 00 00"]);
    expect(text(openingSequence("register"))).toEqual([
      "20 x 00 00 00",
      "3 x 00 00 00",
      "5 x 7D 01 7C",
      "6 x 00 00 00",
    ]);
    expect(openingSequence("main").parts).toEqual([]);
  });
  test("preambles: 20 bits in service mode; 14 on the main (from memory)", () => {
    for (const mode of ["direct", "paged", "register", "address-only"] as const) {
      expect([write(mode, 1).preambleBits, openingSequence(mode).preambleBits]).toEqual([20, 20]);
    }
    const main = accessSequence(
      "main",
      { operation: "write", cv: 2, value: 5 },
      { type: "short", number: 3 },
    );
    expect(main.preambleBits).toBe(14);
  });
  test("factory reset", () => {
    expect(text(factoryResetSequence())).toEqual(["3 x 00 00 00", "5 x 7F 08 77", "6 x 00 00 00"]);
  });
});

test("S-9.2.1 (July 2012), section C: two identical packets on the main", () => {
  const main = accessSequence(
    "main",
    { operation: "write", cv: 29, value: 34 },
    { type: "long", number: 1234 },
  );
  expect(text(main)).toEqual(["2 x C4 D2 EC 1C 22 C4"]);
});

test("a plan's sequences: opening, then each step, and an opening after a power cycle", () => {
  const direct = plan(CvSet.empty, CvSet.from({ 3: 1 }), { factoryReset: true });
  const sequences = planSequences(direct);
  expect(sequences.map(({ step, pause, parts }) => [step, pause?.powerCycle ?? false, parts.length])).toEqual(
    [
      [-1, false, 1],
      [0, true, 3],
      [0, false, 1],
      [1, false, 3],
    ],
  );
  const main = plan(CvSet.from({ 3: 0 }), CvSet.from({ 3: 1 }), { mode: "main", address: 3 });
  expect(planSequences(main).map(({ step }) => step)).toEqual([0]);
  expect(planSequences(plan(CvSet.from({ 3: 1 }), CvSet.from({ 3: 1 })))).toEqual([]);
});

test("time on the track, S-9.1 (from memory): a one takes 116 us, a zero 200 us", () => {
  // Reset: 20 ones of preamble, three start bits and 24 zeros, one end bit.
  expect(packetMicroseconds([0, 0, 0], 20)).toBe(20 * 116 + 27 * 200 + 116);
  expect(packetMicroseconds([255, 0, 255], 14)).toBe((14 + 16 + 1) * 116 + 11 * 200);
  expect(estimateOf([openingSequence("direct")])).toEqual({ packets: 20, seconds: 0.157 });
});

test("estimates are there for the modes that can do every step", () => {
  const from = CvSet.from({ 1: 3, 29: 6, 19: 0 });
  const some = plan(from, CvSet.from({ 1: 5, 29: 2 })).estimates;
  expect(Object.keys(some)).toEqual(["direct", "paged", "register", "main"]);
  // 20 after power-on, then 14 for each of the two steps.
  expect(some.direct?.packets).toBe(48);
  // Page writes 14; register 1 takes 18.
  expect(some.paged?.packets).toBe(20 + 14 + 18 + 14 + 18);
  // Page preset 14; CV 29 is register 5.
  expect(some.register?.packets).toBe(20 + 14 + 18 + 14);
  expect(some.main?.packets).toBe(4);
  expect(Object.keys(plan(from, CvSet.from({ 50: 5 })).estimates)).toEqual(["direct", "paged", "main"]);
  const accessory = plan(CvSet.empty, CvSet.from({ 1: 200 }), { kind: "accessory" }).estimates;
  expect(Object.keys(accessory)).toEqual(["direct", "paged", "register", "main"]);
  expect(Object.keys(plan(CvSet.empty, CvSet.from({ 1: 3 })).estimates)).toContain("address-only");
  const reset = plan(CvSet.empty, CvSet.from({ 1: 3 }), { factoryReset: true }).estimates;
  expect(Object.keys(reset)).toEqual(["direct", "paged", "register", "address-only"]);
});
