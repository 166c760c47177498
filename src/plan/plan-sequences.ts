import { accessSequence, factoryResetSequence, openingSequence, type Sequence } from "../packets/sequence.js";
import type { Plan } from "./plan-result.js";
import { accessesOf, type PlanStep } from "./plan-step.js";

/**
 * Everything that a plan sends, in order: the opening packets, then each step with its repeats and
 * recovery time. `step` is the step's place in the plan, from 0, and undefined for the packets before the
 * first step; `pause` is what has to happen after a sequence.
 *
 * S-9.2.3 (July 2012), section E; S-9.2.1 (July 2012), section C.
 * @param plan The plan.
 * @example
 * import { CvSet } from "cvset";
 * import { plan, planSequences } from "cvset/plan";
 * const sequences = planSequences(plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 })));
 * sequences.map(({ step, parts }) => [step, parts.length]); // [[undefined, 1], [0, 3]]
 */
export function planSequences({ mode, steps }: Plan): (Sequence & {
  readonly step: number | undefined;
  readonly pause?: NonNullable<PlanStep["pause"]>;
})[] {
  const result: ReturnType<typeof planSequences> = [];
  const opening = openingSequence(mode);
  if (steps.length && opening.parts.length) result.push({ step: undefined, ...opening });
  steps.forEach((step, at) => {
    const { pause } = step;
    const sequences =
      step.need === "reset"
        ? [factoryResetSequence()]
        : accessesOf(step).map((access) => accessSequence(mode, access, step.address));
    for (const sequence of sequences) result.push({ step: at, ...sequence, ...(pause ? { pause } : {}) });
    // Power was off: the decoder needs its opening packets again.
    if (pause?.powerCycle && at < steps.length - 1) result.push({ step: at, ...opening });
  });
  return result;
}
