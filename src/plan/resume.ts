import { needIn } from "../cv/argument.js";
import { type CvsLike, toCvSet } from "../cv/cvset.js";
import { checkedPlan, outcome, type PlanLike } from "./outcome.js";
import { plan } from "./plan.js";
import { ofPlanning, type PlanOptions } from "./plan-options.js";
import type { Plan } from "./plan-result.js";

/**
 * The rest of a plan that was interrupted: the writes that bring the decoder from what was read back to
 * what the plan was to leave in it. A factory reset is not repeated.
 * @param interrupted The plan, or its JSON.
 * @param readBack What was read after the interruption; what was not read is written again.
 * @param options As for {@link plan}; the mode and the kind are the plan's unless given.
 * @throws `CvError` as {@link plan}.
 * @example
 * import { CvSet } from "cvset";
 * import { plan, resume } from "cvset/plan";
 * const whole = plan(CvSet.from({ 3: 5, 4: 5 }), CvSet.from({ 3: 8, 4: 6 }));
 * resume(whole, CvSet.from({ 3: 8, 4: 5 })).steps.map(({ cv }) => cv); // ["4"]
 */
export function resume(interrupted: PlanLike, readBack: CvsLike, options: PlanOptions = {}): Plan {
  needIn(ofPlanning, options, "options");
  const { mode, kind } = checkedPlan(interrupted, "interrupted");
  return plan(toCvSet(readBack, "readBack"), outcome(interrupted), {
    ...(mode ? { mode } : {}),
    ...(kind ? { kind } : {}),
    ...options,
    factoryReset: false,
  });
}
