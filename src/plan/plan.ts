import { CvError, type CvPatch, type CvSet } from "../cv/index.js";
import { gather } from "./gather.js";
import { type Arrangement, groupNames, orderRules } from "./hazards.js";
import type { PlanOptions } from "./options.js";
import { Plan } from "./step.js";
import { putInOrder } from "./steps.js";

const standardArrangement: Arrangement = { rules: orderRules, start: groupNames };

/**
 * The shortest safe list of writes that brings a decoder from what it holds to what is wanted, in an
 * order that it will obey.
 *
 * Only what differs is written, and what nobody knows of the decoder. CV 7 and 8 are never written, and
 * volatile CVs (880-895) are left out; both are said in the notes. CVs that `to` does not hold stay as they
 * are. What the rules of order are is told by {@link orderRules}.
 * @param from What the decoder holds, as far as it is known; `CvSet.empty` when nothing is.
 * @param to What is wanted: a set, or a patch for some bits.
 * @param options The mode, and what else to mind.
 * @throws `CvError` with everything that stands in the way, before any packet is made: a CV out of
 *   the mode's reach, one that the decoder does not have, bits that nobody knows in a mode without
 *   single-bit writes, a change of address on the main that was not asked for, an address out of range.
 * @example
 * import { CvSet } from "cvset";
 * import { plan } from "cvset/plan";
 * const { steps } = plan(CvSet.from({ 17: 192, 18: 3, 29: 2 }), CvSet.from({ 17: 196, 18: 210, 29: 34 }));
 * steps.map(({ cv, value, packets }) => ({ cv, value, packets }));
 * // [{ cv: "17", value: 196, packets: ["7C 10 C4 A8"] }, { cv: "18", value: 210, packets: ["7C 11 D2 BF"] },
 * //  { cv: "29", value: 34, packets: ["7C 1C 22 42"] }]
 */
export function plan(from: CvSet, to: CvSet | CvPatch, options: PlanOptions = {}): Plan {
  return planWith(standardArrangement, from, to, options);
}

/** {@link plan} with rules of order of one's own. */
export function planWith(
  arrangement: Arrangement,
  from: CvSet,
  to: CvSet | CvPatch,
  options: PlanOptions,
): Plan {
  const work = gather(from, to, options);
  if (work.issues.length) throw new CvError(work.issues);
  const steps = putInOrder(work, arrangement);
  if (work.issues.length) throw new CvError(work.issues);
  return new Plan(work.mode, work.kind, steps, work.notes);
}
