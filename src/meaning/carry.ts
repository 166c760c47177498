import { CvPatch } from "../cv/cvpatch.js";
import { type CvSet, imageOf } from "../cv/cvset.js";
import { fault, type Issue } from "../cv/issue.js";
import { toKey } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { convert } from "./convert.js";
import { type Decision, decisionFor } from "./decisions.js";
import type { Lexicon } from "./lexicon.js";
import { listsOutputs } from "./output-map.js";
import type { Pair } from "./pairs.js";
import type { Setting } from "./settings.js";
import { remarkOn, staysBehind } from "./standard-cvs.js";

const notInSet = /* @__PURE__ */ fault("not-in-set", "the CV set does not hold it");
const outputsGone = /* @__PURE__ */ fault(
  "outputs-gone",
  "{outputs:list} of {from} cannot be worked from there",
);
const outputsMoved = /* @__PURE__ */ fault(
  "outputs-moved",
  "what it works is on another output: {moves:list}",
);
const otherOutput = /* @__PURE__ */ fault(
  "other-output",
  "it was on output {from} and is on output {to}: connect its wire there",
);
const decided = /* @__PURE__ */ fault("decided", "decided: {value}");
const leftAsItIs = /* @__PURE__ */ fault("decided-to-leave", "decided: it keeps its value");

/** What became of one setting, or of two that belong together. */
export interface TranslationRow {
  /** The setting of the source; absent for one that only the target has. */
  readonly path?: string;
  /** The setting of the target; absent for one that only the source has. */
  readonly to?: string;
  /**
   * `carried`: it means the same. `approximated`: nearly. `lost`: nothing of it is carried. `default`: the target's
   * setting keeps its value, because the source has none for it. `undecided`: it keeps its value until a decision
   * is given.
   */
  readonly result: "carried" | "approximated" | "lost" | "default" | "undecided";
  /** Why, or a remark; `messageOf` makes the sentence. Absent where nothing is to be said. */
  readonly reason?: Issue;
  /** What is stored minus what was wanted, in `unit`. */
  readonly error?: number;
  /** The unit of the error; absent for a count. */
  readonly unit?: string;
  /** What a decision can choose from: values for `to`; without `to`, settings of the target. */
  readonly options?: readonly unknown[];
}

/** A row, and the bits that it sets. */
export interface Carried {
  readonly row: TranslationRow;
  readonly patch?: CvPatch;
}

/** What is the same for every setting of one translation. */
export interface Context {
  readonly cvs: CvSet;
  readonly from: AnyDecoder;
  readonly to: AnyDecoder;
  readonly lexicon: Lexicon;
  readonly decisions: readonly Decision[];
  /** Both are the same decoder, so that everything stays as it is. */
  readonly sameDecoder: boolean;
  /** The target's output that does what an output of the source does. */
  outputOf(output: number): number | undefined;
}

/** Carries a setting to the one that belongs to it. */
export function carry(pair: Pair, context: Context): Carried {
  const { from, to, sameForm } = pair;
  const { cvs, sameDecoder, lexicon } = context;
  const row = { path: from.path, to: to.path };
  const read = from.codec.tryDecode(cvs);
  const decision = decisionFor(context.decisions, to.path, from.path, read.ok ? read.value : undefined);
  if (decision) return decide(decision, from, to);
  const stays = sameDecoder ? undefined : staysBehind(from, cvs, context.from.kind);
  if (stays) return { row: { ...row, result: "default", reason: stays } };
  if (!read.ok) {
    const bad = read.issues.find(({ code }) => code !== "missing-cv");
    if (!bad) return { row: { ...row, result: "default", reason: notInSet({}) } };
    return { row: { ...row, result: "undecided", reason: { ...bad, path: "" } } };
  }
  const { value } = read;
  if (!sameDecoder && listsOutputs(from) && listsOutputs(to)) {
    return carryOutputs(from, to, value as readonly number[], context);
  }
  const remark = sameDecoder ? undefined : (remarkOn(from, cvs) ?? wireRemark(from, to));
  if (sameForm && from.codec.bits.every(({ cv }) => cvs.has(cv))) {
    return {
      row: { ...row, result: "carried", ...(remark && { reason: remark }) },
      patch: bitsOf(from, cvs),
    };
  }
  const converted = convert({ setting: from, value }, to, lexicon);
  if (!converted.ok) {
    const { why, options } = converted;
    return { row: { ...row, result: "undecided", reason: why, ...(options?.length && { options }) } };
  }
  const patch = to.codec.tryEncode(converted.value, { nearest: true });
  if (!patch.ok) {
    const [bad] = patch.issues;
    return { row: { ...row, result: "undecided", ...(bad && { reason: { ...bad, path: "" } }) } };
  }
  if (converted.exact) {
    return { row: { ...row, result: "carried", ...(remark && { reason: remark }) }, patch: patch.value };
  }
  const { why, error, unit } = converted;
  const off = { ...(error !== undefined && { error }), ...(unit && { unit }) };
  return { row: { ...row, result: "approximated", reason: why, ...off }, patch: patch.value };
}

/** Applies a decision; `from` is absent for a setting that only the target has. */
export function decide({ use }: Decision, from: Setting | undefined, to: Setting): Carried {
  const row = { ...(from && { path: from.path }), to: to.path };
  if (use === undefined)
    return { row: { ...row, result: from ? "lost" : "default", reason: leftAsItIs({}) } };
  const reason = decided({ value: use });
  return { row: { ...row, result: from ? "approximated" : "carried", reason }, patch: to.codec.encode(use) };
}

/** The outputs of a function: each goes where the thing that it works went. */
function carryOutputs(
  from: Setting,
  to: Setting,
  outputs: readonly number[],
  { from: { name }, outputOf }: Context,
): Carried {
  const names = to.codec.data.kind === "flags" ? to.codec.data.names : [];
  const moves: string[] = [];
  const gone: number[] = [];
  const there = new Set<unknown>();
  for (const output of outputs) {
    const other = outputOf(output);
    if (other === undefined || !names.includes(other)) gone.push(output);
    else {
      there.add(other);
      if (other !== output) moves.push(`${output} to ${other}`);
    }
  }
  const patch = to.codec.encode(names.filter((one) => there.has(one)));
  const row = { path: from.path, to: to.path };
  if (gone.length === 0) {
    return {
      row: { ...row, result: "carried", ...(moves.length && { reason: outputsMoved({ moves }) }) },
      patch,
    };
  }
  const reason = outputsGone({ outputs: gone.map((output) => `output ${output}`), from: name });
  return { row: { ...row, result: there.size ? "approximated" : "lost", reason }, patch };
}

function wireRemark({ output: from }: Setting, { output: to }: Setting): Issue | undefined {
  return from === undefined || to === undefined || from === to ? undefined : otherOutput({ from, to });
}

/** The bits of a setting, as they are. */
function bitsOf({ codec }: Setting, cvs: CvSet): CvPatch {
  const reader = imageOf(cvs);
  return CvPatch.from({
    bits: codec.bits.map(({ cv, mask }) => ({ cv, mask, value: reader.get(toKey(cv)) & mask })),
  });
}
