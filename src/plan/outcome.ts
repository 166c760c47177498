import { CvPatch } from "../cv/cvpatch.js";
import { CvError, under } from "../cv/issue.js";
import type { DecoderKind } from "../decoder/decoder.js";
import type { AccessMode } from "../packets/access-mode.js";
import { tryPlanFromJson } from "./plan-from-json.js";

/** The part of a plan that says what its CVs hold at the end. A plan and its JSON have it. */
export interface PlanLike {
  /** The writes, in order. */
  readonly steps: readonly { readonly cv: string; readonly value: number; readonly mask?: number }[];
  /** How the decoder is reached. */
  readonly mode?: AccessMode;
  /** The kind of decoder. */
  readonly kind?: DecoderKind;
}

/**
 * A plan, of any copy of this library or out of JSON.
 * @throws `CvError` when it is none.
 */
export function checkedPlan(plan: PlanLike, path: string): PlanLike {
  const result = tryPlanFromJson(plan);
  if (!result.ok) throw new CvError(under(path, result.issues));
  return result.value;
}

/**
 * What a plan writes in all, as a patch. A factory reset is not part of it.
 * @param plan The plan, or its JSON.
 * @throws `CvError` when the JSON has something that is not a CV or not a byte.
 * @example
 * import { CvSet } from "cvset";
 * import { outcome, plan } from "cvset/plan";
 * outcome(plan(CvSet.empty, CvSet.from({ 3: 8, 4: 6 }))).toJSON().cvs; // { "3": 8, "4": 6 }
 */
export function outcome(plan: PlanLike): CvPatch {
  const bits = checkedPlan(plan, "plan")
    .steps // No plan writes CV 8 but for a factory reset.
    .filter(({ cv }) => cv !== "8")
    .map(({ cv, value, mask }) => ({ cv, mask: mask ?? 255, value }));
  return CvPatch.from({ bits });
}
