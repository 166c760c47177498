import { isByte } from "../cv/cvpatch.js";
import { CvPatch, type Issue, type Result } from "../cv/index.js";
import { keyOf, notACv } from "../cv/name.js";
import { type AccessMode, accessModes } from "./access.js";
import type { DecoderModel } from "./model.js";
import { isFactoryReset } from "./step.js";

/** The part of a plan, or of its JSON, that says what its CVs hold at the end. */
export interface PlanLike {
  readonly steps: readonly { readonly cv: string; readonly value: number; readonly mask?: number }[];
  readonly mode?: AccessMode;
  readonly kind?: DecoderModel["kind"];
}

/**
 * What a plan leaves behind in the decoder, as a patch; a factory reset is not part of it.
 * @param plan The plan, or its JSON.
 * @throws `CvError` when the JSON holds what is no CV or no byte.
 * @example
 * import { CvSet } from "cvset";
 * import { outcome, plan } from "cvset/plan";
 * outcome(plan(CvSet.empty, CvSet.from({ 3: 8, 4: 6 }))).toJSON().cvs; // { "3": 8, "4": 6 }
 */
export function outcome(plan: PlanLike): CvPatch {
  const bits = plan.steps
    .filter((step) => !isFactoryReset(step))
    .map(({ cv, value, mask }) => ({ cv, mask: mask ?? 255, value }));
  return CvPatch.from({ bits });
}

/**
 * A plan from its JSON, which nobody vouches for: its steps are checked, and what else they say is left
 * aside.
 * @param json Anything.
 * @example
 * import { tryPlanFromJson } from "cvset/plan";
 * const result = tryPlanFromJson({ steps: [{ cv: "29", value: 300 }] });
 * result.ok || result.issues.map(({ path, code }) => [path, code]); // [["steps.0.value", "byte"]]
 */
export function tryPlanFromJson(json: unknown): Result<PlanLike> {
  const issues: Issue[] = [];
  if (!isObject(json) || !Array.isArray(json["steps"])) {
    return {
      ok: false,
      issues: [{ code: "type", path: "", expected: 'a plan: an object with a list of "steps"', found: json }],
    };
  }
  const steps: { cv: string; value: number; mask?: number }[] = [];
  json["steps"].forEach((step: unknown, at: number) => {
    const path = `steps.${at}`;
    if (!isObject(step)) {
      issues.push({ code: "type", path, expected: "a step", found: step });
      return;
    }
    const { cv, value, mask = 255 } = step;
    const before = issues.length;
    if (typeof cv !== "string" || keyOf(cv) === 0) issues.push({ ...notACv(cv), path: `${path}.cv` });
    if (!isByte(value)) {
      issues.push({
        code: "byte",
        path: `${path}.value`,
        expected: "a whole number from 0 to 255",
        found: value,
      });
    }
    if (!isByte(mask) || mask === 0 || (isByte(value) && value & ~mask)) {
      issues.push({
        code: "byte",
        path: `${path}.mask`,
        expected: "1 to 255, with every bit that the value has",
        found: mask,
      });
    }
    if (issues.length === before) {
      // All three were just checked.
      steps.push({ cv: cv as string, value: value as number, mask: mask as number });
    }
  });
  const { mode, kind } = json;
  const knownMode = accessModes.find((each) => each === mode);
  if (mode !== undefined && !knownMode) {
    issues.push({ code: "option", path: "mode", expected: accessModes.join(", "), found: mode });
  }
  const knownKind = (["multifunction", "accessory"] as const).find((each) => each === kind);
  if (kind !== undefined && !knownKind) {
    issues.push({ code: "option", path: "kind", expected: "multifunction, accessory", found: kind });
  }
  if (issues.length) return { ok: false, issues };
  return {
    ok: true,
    value: { steps, ...(knownMode ? { mode: knownMode } : {}), ...(knownKind ? { kind: knownKind } : {}) },
  };
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
