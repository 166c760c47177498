import type { Fields } from "../codec/record.js";
import type { CvSet } from "../cv/cvset.js";
import { toKey } from "../cv/name.js";
import type { Decoder } from "./decoder.js";
import { explain } from "./explain.js";

/** One CV that differs between two sets. */
export interface Difference {
  /** The CV as text. */
  readonly cv: string;
  /** Its value in the first set; null where that does not hold it. */
  readonly from: number | null;
  /** Its value in the second set; null where that does not hold it. */
  readonly to: number | null;
  /** The settings that live in the bits that differ. */
  readonly paths: readonly string[];
  /** What those settings were and are, in words; null where the words cannot be read. */
  readonly words: readonly {
    readonly path: string;
    readonly from: string | null;
    readonly to: string | null;
  }[];
}

/**
 * What differs between two CV sets of one decoder, in CVs and in words.
 * @param decoder The decoder whose CVs they are.
 * @param from The first set.
 * @param to The second set.
 * @example
 * import { choice, cv, CvSet, defineDecoder, diff } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { firing: choice(cv(152).bits(0, 1), { coal: 0, oil: 2 }) },
 * });
 * const [change] = diff(decoder, CvSet.from({ 152: 4 }), CvSet.from({ 152: 6 }));
 * change?.words; // [{ path: "firing", from: "coal", to: "oil" }]
 */
export function diff<F extends Fields>(decoder: Decoder<F>, from: CvSet, to: CvSet): Difference[] {
  const keys = [...new Set([...from, ...to].map(([cv]) => cv))].sort((a, b) => toKey(a) - toKey(b));
  const changed = keys.filter((cv) => from.get(cv) !== to.get(cv));
  if (changed.length === 0) return [];
  const before = explain(decoder, from).lines;
  const after = explain(decoder, to).lines;
  return changed.map((cv) => {
    const a = from.get(cv) ?? null;
    const b = to.get(cv) ?? null;
    const bits = a === null || b === null ? 255 : a ^ b;
    const touched = (lines: typeof before) =>
      lines.filter(({ places }) => places.some((place) => place.cv === cv && place.mask & bits));
    const paths = [...new Set([...touched(before), ...touched(after)].map(({ path }) => path))];
    // What is switched has two lines under one path: that it is on, and its value.
    const text = (lines: typeof before, path: string) => {
      const texts = lines.filter((line) => line.path === path).map((line) => line.text);
      return texts.length ? texts.join(", ") : null;
    };
    return {
      cv,
      from: a,
      to: b,
      paths,
      words: paths.map((path) => ({ path, from: text(before, path), to: text(after, path) })),
    };
  });
}
