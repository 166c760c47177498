import { isObject } from "../codec/fields.js";
import { isByte } from "../cv/cvpatch.js";
import { notAByte, notACv, notAnObject, notAnOption, unreadable } from "../cv/faults.js";
import { fault, type Result } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { keyOf } from "../cv/name.js";
import { reasonOf } from "../cv/show.js";
import { accessModes } from "../packets/access-mode.js";
import type { PlanLike } from "./outcome.js";

const notAPlan = /* @__PURE__ */ fault(
  "expected-plan",
  'expected a plan, an object with a list "steps", got {found}',
);
const badMask = /* @__PURE__ */ fault(
  "step-mask",
  "expected a whole number from 1 to 255 with every bit of the value {value}, got {found}",
);

/**
 * A plan from its JSON, for untrusted input: it does not throw. The CVs, values and masks of the steps, the
 * mode and the kind are read; everything else is left aside.
 * @param json Anything.
 * @example
 * import { tryPlanFromJson } from "cvset/plan";
 * const result = tryPlanFromJson({ steps: [{ cv: "29", value: 300 }] });
 * result.ok || result.issues.map(({ path, code }) => [path, code]); // [["steps.0.value", "byte"]]
 */
export function tryPlanFromJson(json: unknown): Result<PlanLike> {
  try {
    return planFrom(json);
  } catch (error) {
    // A getter or a proxy of the caller that throws.
    return { ok: false, issues: [unreadable({ reason: reasonOf(error) })] };
  }
}

function planFrom(json: unknown): Result<PlanLike> {
  if (!isObject(json) || !Array.isArray(json["steps"])) {
    return { ok: false, issues: [notAPlan({ found: json })] };
  }
  const issues = new IssueList();
  const steps: { cv: string; value: number; mask?: number }[] = [];
  const given: readonly unknown[] = json["steps"];
  for (let at = 0; at < given.length; at++) {
    const step = given[at];
    const path = `steps.${at}`;
    if (!isObject(step)) {
      issues.add(notAnObject({ found: step }, { path }));
      // A list with holes may be of any length, and JSON has none.
      if (step === undefined) break;
      continue;
    }
    const { cv, value, mask = 255 } = step;
    const isCv = typeof cv === "string" && keyOf(cv) !== 0;
    const isMask = isByte(mask) && mask !== 0 && !(isByte(value) && value & ~mask);
    if (!isCv) issues.add(notACv({ found: cv }, { path: `${path}.cv` }));
    if (!isByte(value)) issues.add(notAByte({ found: value }, { path: `${path}.value` }));
    if (!isMask) issues.add(badMask({ found: mask, value }, { path: `${path}.mask` }));
    if (isCv && isByte(value) && isMask) steps.push({ cv, value, mask });
  }
  const optionOf = <Option extends string>(path: string, options: readonly Option[]): Option | undefined => {
    const found = json[path];
    const option = options.find((each) => each === found);
    if (found !== undefined && option === undefined) {
      issues.add(notAnOption({ found, allowed: options }, { path }));
    }
    return option;
  };
  const mode = optionOf("mode", accessModes);
  const kind = optionOf("kind", ["multifunction", "accessory"]);
  if (issues.some) return { ok: false, issues: issues.done() };
  return { ok: true, value: { steps, ...(mode ? { mode } : {}), ...(kind ? { kind } : {}) } };
}
