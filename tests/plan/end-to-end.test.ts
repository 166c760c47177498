import { accessModes } from "cvset/packets";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Group, groupNames, orderRules } from "../../src/plan/order-rules.js";
import { type Case, cases } from "./arbitrary.js";
import { outcomeOf } from "./harness.js";

// Random contents, known in part; random targets; plan, packets, a simulated decoder, read back by
// verifies: the same set. Where no rule speaks, any order must do.
describe.each(accessModes)("%s mode", (mode) => {
  test("what was planned is what is read back", () => {
    fc.assert(
      fc.property(cases(mode), (each) => {
        expect(outcomeOf(each)).toBeUndefined();
      }),
      { numRuns: 500 },
    );
  });

  test("the rules of order are enough: where they are silent, any order works", () => {
    const start = fc.shuffledSubarray([...groupNames], { minLength: groupNames.length });
    fc.assert(
      fc.property(cases(mode), start, (each, order) => {
        expect(outcomeOf(each, { rules: orderRules, start: order })).toBeUndefined();
      }),
      { numRuns: 300 },
    );
  });
});

type Tried = [Case, Group[]];

/** Without these a plan that arrives as a whole ends as wanted all the same; what they are for is in broken-off.test.ts. */
const otherwise = ["address", "configuration"];

describe("each rule of order is needed: without it the decoder does not end as wanted", () => {
  test.each(orderRules.map(({ id }) => id).filter((id) => !otherwise.includes(id)))("%s", (id) => {
    const rules = orderRules.filter((rule) => rule.id !== id);
    expect(rules.length).toBe(orderRules.length - 1);
    const start = fc.shuffledSubarray([...groupNames], { minLength: groupNames.length });
    const modes = fc.constantFrom("direct" as const, "main" as const).chain(cases);
    const seed = fc.readConfigureGlobal().seed ?? 0;
    let failure: Tried | undefined;
    for (let round = 0; round < 30 && !failure; round++) {
      const tried = fc.sample(fc.tuple(modes, start), { numRuns: 100, seed: seed + round });
      // A plan that cannot be made would say nothing about the order of its steps.
      failure = tried.find(([each, order]) =>
        /^(?!not planned)/.test(outcomeOf(each, { rules, start: order }) ?? "not planned"),
      );
    }
    expect(failure).toBeDefined();
    // The same case passes with the rule: it was the rule that was missing.
    if (failure) expect(outcomeOf(failure[0], { rules: orderRules, start: failure[1] })).toBeUndefined();
  });
});
