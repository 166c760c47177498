import type { AnyDecoder } from "../decoder/decoder.js";
import { keyOf } from "./lexicon.js";
import type { Pair } from "./pairs.js";
import type { Setting } from "./settings.js";

/** The term of the settings that list the outputs of each function. */
const mapTerm = "function outputs";

/** Whether a setting lists the outputs that a function works. */
export function listsOutputs({ codec, terms, within }: Setting): boolean {
  return (
    codec.data.kind === "flags" &&
    [...terms, ...within].some(({ name }) => keyOf(name) === mapTerm) &&
    codec.data.names.every((name) => name === null || typeof name === "number")
  );
}

/**
 * The number of the target's output that does what an output of the source does: that of the settings that were
 * paired; else the same number, which has the same wire; undefined where the target does not have it.
 */
export function outputMap(
  pairs: readonly Pair[],
  from: readonly Setting[],
  to: AnyDecoder,
  targets: readonly Setting[],
) {
  const paired = new Map<number, number>();
  for (const { from: one, to: other } of pairs) {
    if (one.output !== undefined && other.output !== undefined) paired.set(one.output, other.output);
  }
  const described = new Set(from.flatMap(({ output }) => output ?? []));
  const taken = new Set(paired.values());
  const has = outputsOf(to, targets);
  return (output: number): number | undefined => {
    const other = paired.get(output);
    if (other !== undefined) return other;
    // The target uses the output of this number for something else.
    if (taken.has(output) || (described.has(output) && targets.some((one) => one.output === output)))
      return undefined;
    return !has || has.has(output) ? output : undefined;
  };
}

/** The outputs that a decoder has, where its description says which. */
export function outputsOf(
  decoder: AnyDecoder,
  settings: readonly Setting[],
): ReadonlySet<number> | undefined {
  const rule = decoder.rules.find((one) => one.rule === "outputs");
  if (rule) return new Set(rule.outputs);
  const described = settings.flatMap(({ output }) => output ?? []);
  return described.length ? new Set(described) : undefined;
}
