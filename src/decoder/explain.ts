import { type AnyCodec, at, collect, type Line, tellLines, tryRead } from "../codec/codec.js";
import type { Fields, RecordInput } from "../codec/record.js";
import type { BitChange } from "../cv/cvpatch.js";
import type { CvSet } from "../cv/cvset.js";
import type { Issue } from "../cv/issue.js";
import { toKey } from "../cv/name.js";
import type { Decoder } from "./decoder.js";

/** A CV set in words. */
export interface Explanation<F extends Fields = Fields> {
  /** The settings that can be read. */
  readonly settings: RecordInput<F>;
  /** What each bit says, feature by feature. */
  readonly lines: readonly Line[];
  /** What is wrong with features that the set has something of. */
  readonly issues: readonly Issue[];
  /** Features that the set has no CV of. */
  readonly absent: readonly string[];
  /** Bits that are in the set and belong to no feature; of shared bytes only those that are set. */
  readonly unowned: readonly BitChange[];
}

/**
 * A CV set, whole or in part, in words.
 * @param decoder The decoder whose CVs they are.
 * @param cvs The CVs.
 * @example
 * import { choice, cv, CvSet, defineDecoder, explain, flag } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { bell: choice(cv(142), { brass: 1 }), lamp: flag(cv(171).bit(7)) },
 * });
 * const told = explain(decoder, CvSet.from({ 171: 129, 60: 5 }));
 * told.lines.map((line) => `${line.path}: ${line.text}`); // ["lamp: yes"]
 * told.absent; // ["bell"]
 * told.unowned; // [{ cv: "60", mask: 255, value: 5 }, { cv: "171", mask: 1, value: 1 }]
 */
export function explain<F extends Fields>(decoder: Decoder<F>, cvs: CvSet): Explanation<F> {
  const settings: Record<string, unknown> = {};
  const lines: Line[] = [];
  const issues: Issue[] = [];
  const absent: string[] = [];
  const report = collect(issues);
  for (const [name, codec] of Object.entries<AnyCodec>(decoder.features)) {
    if (!codec.bits.some(({ cv }) => cvs.has(cv))) {
      absent.push(name);
      continue;
    }
    const value = tryRead(codec, cvs.reader, at(name, report));
    if (value !== undefined) settings[name] = value;
    lines.push(...tellLines(codec, cvs.reader, name));
  }
  return {
    // Each value came from the codec of its name.
    settings: settings as RecordInput<F>,
    lines,
    issues,
    absent,
    unowned: unownedBits(decoder, cvs),
  };
}

/** The bits that are in a set and belong to no feature; of shared bytes only those that are set. */
export function unownedBits<F extends Fields>(decoder: Decoder<F>, cvs: CvSet): BitChange[] {
  const { owned } = decoder.root;
  const changes: BitChange[] = [];
  for (const [cv, value] of cvs) {
    const mine = owned.get(toKey(cv)) ?? 0;
    const rest = value & ~mine;
    if (mine === 0) changes.push({ cv, mask: 255, value });
    else if (rest) changes.push({ cv, mask: rest, value: rest });
  }
  return changes;
}
