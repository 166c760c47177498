import { type Fault, type Issue, messageOf, type ParamsOf } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import type { PlanJson } from "./plan-json.js";

/**
 * Something to know about a plan that is not a step: what was left out, what to look out for. It is data, and
 * `messageOf` makes its sentence.
 */
export interface PlanNote extends Issue {
  /** `"warning"`: it can go wrong. `"note"`: for information. */
  readonly severity: "warning" | "note";
}

/** A note about some CVs, by key; nothing when there are no CVs. */
export function noteOn<Text extends string>(
  keys: readonly number[],
  severity: PlanNote["severity"],
  fault: Fault<Text>,
  params: ParamsOf<Text>,
  source?: string,
): PlanNote[] {
  if (keys.length === 0) return [];
  const places = keys.map((key) => ({ cv: nameOf(key), mask: 255 }));
  return [{ ...fault(params, { places, ...(source === undefined ? {} : { source }) }), severity }];
}

/** A note as JSON. */
export function noteJson(note: PlanNote): PlanJson["notes"][number] {
  const { code, severity, places = [], source } = note;
  return {
    rule: code,
    severity,
    message: messageOf(note),
    cvs: places.map(({ cv }) => cv),
    ...(source === undefined ? {} : { source }),
  };
}
