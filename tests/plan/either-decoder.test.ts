import { accessModes } from "cvset/packets";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardArrangement } from "../../src/plan/order-rules.js";
import { cases } from "./arbitrary.js";
import { outcomeOf } from "./harness.js";

// S-9.2.3 (July 2012), section E says that a CV 1 written "using any method" clears CV 19 and bit 5 of CV 29, in
// a document about service mode. A plan must leave what is wanted in a decoder that does so on the main too,
// and in one that does not. CVSET_RUNS=20000 makes 20,000 plans of each kind.
describe.each([
  ["clears CV 19 and CV 29 bit 5 after CV 1 on the main", true],
  ["clears nothing on the main", false],
] as const)("a decoder that %s", (_, clearsOnMain) => {
  test.each(accessModes)("%s mode: the decoder ends as wanted", { timeout: 600_000 }, (mode) => {
    fc.assert(
      fc.property(cases(mode), (each) => {
        expect(outcomeOf(each, standardArrangement, clearsOnMain)).toBeUndefined();
      }),
    );
  });
});
