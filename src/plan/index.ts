// Making a plan

export type { DecoderModel } from "../packets/decoder-model.js";
export { plan } from "./plan.js";
export type { PlanOptions } from "./plan-options.js";

// What a plan holds, and what it sends

export { type OrderRule, orderRules } from "./order-rules.js";
export { outcome, type PlanLike } from "./outcome.js";
export type { PlanJson } from "./plan-json.js";
export type { PlanNote } from "./plan-note.js";
export type { Plan } from "./plan-result.js";
export { planSequences } from "./plan-sequences.js";
export type { PlanStep } from "./plan-step.js";

// Reading a decoder; after an interruption; proof that all is written

export { tryPlanFromJson } from "./plan-from-json.js";
export { type ReadStep, readSteps } from "./read-steps.js";
export { resume } from "./resume.js";
export { type Verification, verify } from "./verify.js";
