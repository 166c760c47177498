import { made, need } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import type { AccessMode } from "../packets/access-mode.js";
import {
  accessSequence,
  closingSequence,
  factoryResetSequence,
  openingSequence,
  type Sequence,
} from "../packets/sequence.js";
import type { AddressLike } from "../standard/address-in-use.js";
import type { Plan } from "./plan-result.js";
import { accessesOf, type PlanStep } from "./plan-step.js";

/** A sequence of a plan, and what has to happen after it. */
type PlanSequence = Sequence & {
  readonly step: number | undefined;
  readonly pause?: NonNullable<PlanStep["pause"]>;
};

const notMade = /* @__PURE__ */ fault(
  "not-a-plan",
  "expected a plan as plan() or resume() makes it, and not its JSON form, which has no packets to send; got {found}",
);
/** A plan, of any copy of this library. */
export const aPlan = /* @__PURE__ */ made(["Plan"], notMade);

/**
 * Everything that a plan sends, in order: the opening packets, then each step with its repeats and
 * recovery time, then what sets the page register back after paged mode. `step` is the step's place in the
 * plan, from 0, and undefined for the packets before the first and after the last step; `pause` is what has to
 * happen after a sequence.
 *
 * S-9.2.3 (July 2012), section E; S-9.2.1 (July 2012), section C.
 * @param plan The plan.
 * @example
 * import { CvSet } from "cvset";
 * import { plan, planSequences } from "cvset/plan";
 * const sequences = planSequences(plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 })));
 * sequences.map(({ step, parts }) => [step, parts.length]); // [[undefined, 1], [0, 3]]
 */
export function planSequences(plan: Plan): (Sequence & {
  readonly step: number | undefined;
  readonly pause?: NonNullable<PlanStep["pause"]>;
})[] {
  need(aPlan, plan, "plan");
  return [...sequencesIn(plan.mode, plan.steps)];
}

/** The sequences of steps in a mode; `anyAddress` is that of steps without one. */
export function* sequencesIn(
  mode: AccessMode,
  steps: readonly PlanStep[],
  anyAddress?: AddressLike,
): Generator<PlanSequence, void> {
  if (steps.length === 0) return;
  const opening = openingSequence(mode);
  if (opening.parts.length) yield { step: undefined, ...opening };
  for (const [at, step] of steps.entries()) {
    const { pause } = step;
    if (step.need === "reset") yield { step: at, ...factoryResetSequence(), ...(pause ? { pause } : {}) };
    else {
      for (const access of accessesOf(step)) {
        yield { step: at, ...accessSequence(mode, access, step.address ?? anyAddress) };
      }
    }
    // Power was off: the decoder needs its opening packets again.
    if (pause?.powerCycle && at < steps.length - 1) yield { step: at, ...opening };
  }
  const closing = closingSequence(mode);
  if (closing.parts.length) yield { step: undefined, ...closing };
}
