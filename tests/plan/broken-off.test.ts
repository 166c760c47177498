import { CvSet } from "cvset";
import type { AccessMode } from "cvset/packets";
import { type DecoderModel, type Plan, planSequences } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { type Address, addressInUse, curveInUse } from "cvset/standard";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Arrangement, type Group, groupNames, orderRules } from "../../src/plan/order-rules.js";
import { planWith } from "../../src/plan/plan.js";

// Two rules of order change nothing in a plan that arrives as a whole. They are for plans that do not: one that is
// broken off, by a loss of power or because somebody stops it, and one of which a write is not heard, which nobody
// notices on the main.

interface Locomotive {
  readonly decoder: DecoderModel & { readonly factory: CvSet };
  readonly from: CvSet;
  readonly to: CvSet;
}

const byte = fc.nat(255);
const table = Array.from({ length: 30 }, (_, i) => 66 + i);

/** A multi-function decoder with both addresses and both speed curves; anything of it may be changed. */
const locomotives: fc.Arbitrary<Locomotive> = fc
  .tuple(contents(), contents(), fc.subarray([1, 2, 3, 5, 6, 17, 18, 29, 50, ...table]))
  .map(([from, all, wanted]) => {
    const to = CvSet.from(
      [...all].filter(([cv]) => wanted.includes(Number(cv)) || cv === "17" || cv === "18"),
    );
    return { decoder: { kind: "multifunction", factory: from }, from, to };
  });

function contents(): fc.Arbitrary<CvSet> {
  return fc
    .record({
      short: fc.integer({ min: 1, max: 99 }),
      long: fc.integer({ min: 128, max: 9999 }),
      bits: fc.nat(63),
    })
    .chain(({ short, long, bits }) =>
      fc.array(byte, { minLength: 40, maxLength: 40 }).map((bytes) => {
        const rest = [2, 3, 5, 6, 50, ...table].map((cv, i): [number, number] => [cv, bytes[i] ?? 0]);
        const address = { 1: short, 17: 192 + (long >> 8), 18: long & 255, 29: bits };
        return CvSet.from([...rest, ...Object.entries(address)]);
      }),
    );
}

/** An accessory decoder by the decoder address method. */
const accessories: fc.Arbitrary<Locomotive> = fc
  .record({
    one: fc.integer({ min: 1, max: 60 }),
    other: fc.integer({ min: 1, max: 60 }),
    time: byte,
    next: byte,
  })
  .map(({ one, other, time, next }) => {
    const from = CvSet.from({ 1: one, 3: time, 4: 0, 9: 0, 29: 128 });
    return {
      decoder: { kind: "accessory", factory: from },
      from,
      to: CvSet.from({ 1: other, 3: next, 4: next }),
    };
  });

const start = fc.shuffledSubarray([...groupNames], { minLength: groupNames.length });

function planOf({ decoder, from, to }: Locomotive, mode: AccessMode, arrangement: Arrangement): Plan {
  const { address } = new SimulatedDecoder(decoder, from);
  const onMain = mode === "main" && address ? { address, changeAddress: true } : {};
  return planWith(arrangement, from, to, { mode, decoder, ...onMain });
}

/** Plays the steps of a plan that `heard` lets through. */
function playSome(plan: Plan, decoder: SimulatedDecoder, heard: (step: number) => boolean): void {
  for (const sequence of planSequences(plan)) {
    if (sequence.step === undefined || heard(sequence.step)) decoder.play(sequence);
  }
}

const text = (address: Address | undefined): string => JSON.stringify(address ?? "none");

/** What is wrong with a decoder whose plan was broken off after some step; undefined where nothing is. */
function wrongWhenBrokenOff(one: Locomotive, mode: AccessMode, arrangement: Arrangement): string | undefined {
  const { decoder, from, to } = one;
  const plan = planOf(one, mode, arrangement);
  const wanted = CvSet.from([...from, ...to]);
  // Between the old address and the new one a decoder may have any that is wanted in it, and no other.
  const allowed = new Set(
    [from, wanted, wanted.with(29, 0), wanted.with(29, 32)].map((cvs) => text(addressInUse(cvs))),
  );
  const kindOf = (cvs: CvSet): number => (cvs.get(29) ?? 0) & 16;
  for (let done = 1; done < plan.steps.length; done++) {
    const left = new SimulatedDecoder(decoder, from);
    playSome(plan, left, (step) => step < done);
    left.powerCycle();
    const { cvs, address } = left;
    if (!allowed.has(text(address))) return `after ${done} steps it answers at ${text(address)}`;
    if (kindOf(cvs) === kindOf(from)) continue;
    const [curve, whole] = [curveInUse(cvs), curveInUse(wanted)].map((levels) => JSON.stringify(levels));
    if (curve !== whole) return `after ${done} steps it runs by a curve of which a part is missing`;
  }
  return undefined;
}

/** What is lost besides the address when one write that holds the address is not heard; undefined where nothing is. */
function lostWhenUnheard(one: Locomotive, arrangement: Arrangement): string | undefined {
  const { decoder, from, to } = one;
  const plan = planOf(one, "main", arrangement);
  const holdsAddress = ["1", "9", "17", "18", "29"];
  for (const [unheard, { cv: missing }] of plan.steps.entries()) {
    if (!holdsAddress.includes(missing)) continue;
    const left = new SimulatedDecoder(decoder, from);
    playSome(plan, left, (step) => step !== unheard);
    for (const [cv, value] of to) {
      const found = left.cvs.get(cv);
      if (!holdsAddress.includes(cv) && found !== value)
        return `without CV ${missing}, CV ${cv} should be ${value} and is ${found}`;
    }
  }
  return undefined;
}

/** The rules without one of them, and a case that goes wrong then. */
function withoutRule<Case>(
  id: string,
  cases: fc.Arbitrary<Case>,
  wrong: (one: Case, arrangement: Arrangement) => string | undefined,
): { readonly one: Case; readonly order: readonly Group[]; readonly wrong: string } | undefined {
  const rules = orderRules.filter((rule) => rule.id !== id);
  expect(rules.length).toBe(orderRules.length - 1);
  const seed = fc.readConfigureGlobal().seed ?? 0;
  for (const [one, order] of fc.sample(fc.tuple(cases, start), { numRuns: 500, seed })) {
    const found = wrong(one, { rules, start: order });
    if (found) return { one, order, wrong: found };
  }
  return undefined;
}

describe("a plan that is broken off after any of its steps", () => {
  const modes = fc.constantFrom("direct" as const, "paged" as const, "main" as const);
  const cases = fc.tuple(locomotives, modes);

  test("leaves the old address or one that is wanted, and no curve in use that is not complete", () => {
    fc.assert(
      fc.property(cases, start, ([one, mode], order) => {
        expect(wrongWhenBrokenOff(one, mode, { rules: orderRules, start: order })).toBeUndefined();
      }),
      { numRuns: 60 },
    );
  });

  test.each(["address", "curve"])("without the rule 'configuration' it leaves another %s", (what) => {
    const about = what === "address" ? /answers at/ : /a curve/;
    const found = withoutRule("configuration", cases, ([one, mode], arrangement) => {
      const wrong = wrongWhenBrokenOff(one, mode, arrangement);
      return wrong && about.test(wrong) ? wrong : undefined;
    });
    expect(found?.wrong).toMatch(about);
    // With the rule, the same case in the same order is fine.
    const [one, mode] = found?.one ?? expect.unreachable("no case goes wrong");
    expect(wrongWhenBrokenOff(one, mode, { rules: orderRules, start: found?.order ?? [] })).toBeUndefined();
  });
});

describe.each([
  ["multi-function", locomotives],
  ["accessory", accessories],
])("on the main, a write of the address that a %s decoder does not hear", (_, cases) => {
  test("leaves every other CV as wanted", () => {
    fc.assert(
      fc.property(cases, start, (one, order) => {
        expect(lostWhenUnheard(one, { rules: orderRules, start: order })).toBeUndefined();
      }),
      { numRuns: 60 },
    );
  });

  test("without the rule 'address' loses the writes behind it, which go to the new address", () => {
    const found = withoutRule("address", cases, lostWhenUnheard);
    expect(found?.wrong).toMatch(/^without CV (1|9|17|18|29), CV \d+ should be/);
    const one = found?.one ?? expect.unreachable("no case goes wrong");
    expect(lostWhenUnheard(one, { rules: orderRules, start: found?.order ?? [] })).toBeUndefined();
  });
});
