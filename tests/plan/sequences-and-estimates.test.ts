import { CvSet } from "cvset";
import { openingSequence } from "cvset/packets";
import { plan, planSequences } from "cvset/plan";
import { expect, test } from "vitest";
import { estimateOf, packetMicroseconds } from "../../src/plan/estimate.js";

test("a plan's sequences: opening, then each step, and an opening after a power cycle", () => {
  const direct = plan(CvSet.empty, CvSet.from({ 3: 1 }), { factoryReset: true });
  const sequences = planSequences(direct);
  expect(sequences.map(({ step, pause, parts }) => [step, pause?.powerCycle ?? false, parts.length])).toEqual(
    [
      [undefined, false, 1],
      [0, true, 6],
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

test("the estimate counts what is sent: after a reset the opening comes a second time", () => {
  const made = plan(CvSet.empty, CvSet.from({ 3: 1, 4: 1 }), { factoryReset: true });
  const sent = planSequences(made).flatMap(({ parts }) => parts.map(({ times }) => times));
  // Opening 20, page preset 14, reset 14, opening 20, two writes of 14.
  expect(sent.reduce((sum, times) => sum + times, 0)).toBe(20 + 14 + 14 + 20 + 28);
  expect(made.estimates.direct?.packets).toBe(96);
});

test("S-9.2.3 (July 2012), section E: after paged mode the page register is 1 again", () => {
  const made = plan(CvSet.empty, CvSet.from({ 50: 1 }), { mode: "paged" });
  const last = planSequences(made).at(-1);
  expect([last?.step, last?.parts[1]?.packet]).toEqual([undefined, "7D 01 7C"]);
});

test("estimates are there for the modes that can do every step", () => {
  const from = CvSet.from({ 1: 3, 29: 6, 19: 0 });
  const some = plan(from, CvSet.from({ 1: 5, 29: 2 })).estimates;
  expect(Object.keys(some)).toEqual(["direct", "paged", "register", "main"]);
  // 20 after power-on, then 14 for each of the two steps.
  expect(some.direct?.packets).toBe(48);
  // Page writes 14; register 1 takes 18; the page preset at the end 14.
  expect(some.paged?.packets).toBe(20 + 14 + 18 + 14 + 18 + 14);
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
