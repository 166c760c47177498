import type { Issue } from "../cv/issue.js";
import { keyOf } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { isMakers, knownOf } from "./known.js";

/** What shows that a set belongs to another decoder. */
export interface OtherDecoder {
  /** The CVs that stand for nothing. */
  readonly cvs: readonly string[];
  /** Whether some of them hold a number that the description has no meaning for. */
  readonly isSenseless: boolean;
  /** The sentence. */
  readonly message: string;
}

/**
 * Whether a set belongs to another decoder than the one it is read for: many of the maker's CVs hold a number
 * that stands for nothing, or hardly any of those that the description has is there, and many others are.
 * Undefined where it fits. A description need not have all CVs of its decoder.
 * @param names The CVs of the set.
 * @param issues What could not be read.
 */
export function otherDecoder(
  decoder: AnyDecoder,
  names: Iterable<string>,
  issues: readonly Issue[],
): OtherDecoder | undefined {
  const { owned, describesMaker } = knownOf(decoder);
  // A description of the standard alone cannot tell one maker's decoder from another's.
  if (!describesMaker) return undefined;
  const without = new Set<string>();
  for (const { code, places = [] } of issues)
    if (code.startsWith("stored-")) for (const { cv } of places) without.add(cv);
  const unknown: string[] = [];
  const senseless: string[] = [];
  let fitting = 0;
  for (const cv of names) {
    const key = keyOf(cv);
    if (!isMakers(key, decoder)) continue;
    if (!owned.has(key)) unknown.push(cv);
    else if (without.has(cv)) senseless.push(cv);
    else fitting++;
  }
  const described = [...owned.keys()].filter((key) => isMakers(key, decoder)).length;
  const isSenseless = senseless.length >= 4 && senseless.length >= fitting / 2;
  const isElsewhere = unknown.length >= 5 && unknown.length > fitting && fitting < described / 4;
  if (!isSenseless && !isElsewhere) return undefined;
  const cvs = [...senseless, ...unknown];
  const all = cvs.length + fitting;
  const message = `these look like the numbers of another decoder: ${cvs.length} of ${all} CVs of the maker stand for nothing in ${decoder.name}`;
  return { cvs, isSenseless: senseless.length > 0, message };
}
