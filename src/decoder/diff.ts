import { need } from "../cv/argument.js";
import { type CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { toKey } from "../cv/name.js";
import { type AnyDecoder, aDecoder } from "./decoder.js";
import { explain, type Line } from "./explain.js";

/** One CV that differs between two sets. */
export interface Difference {
  /** The CV as text. */
  readonly cv: string;
  /** Its value in the first set; undefined where that does not hold it. */
  readonly from: number | undefined;
  /** Its value in the second set; undefined where that does not hold it. */
  readonly to: number | undefined;
  /** The settings that live in the bits that differ. */
  readonly paths: readonly string[];
  /**
   * These settings in words, before and after. Undefined where a setting cannot be read, and where it has the same
   * words in both sets but was read from other bits in that one (two cases of a variant with a field of one name).
   */
  readonly words: readonly {
    readonly path: string;
    readonly from: string | undefined;
    readonly to: string | undefined;
  }[];
}

/**
 * The differences between two CV sets of one decoder, in CVs and in words.
 * @param decoder The decoder whose CVs they are.
 * @param from The first set.
 * @param to The second set.
 * @example
 * import { choice, cv, CvSet, defineDecoder, diff } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { fuel: choice(cv(246).bits(5, 7), { coal: 3, oil: 1 }) },
 * });
 * const [change] = diff(decoder, CvSet.from({ 246: 100 }), CvSet.from({ 246: 36 }));
 * change?.words; // [{ path: "fuel", from: "coal", to: "oil" }]
 */
export function diff(decoder: AnyDecoder, from: CvsLike, to: CvsLike): Difference[] {
  need(aDecoder, decoder, "decoder");
  return differences(decoder, toCvSet(from, "from"), toCvSet(to, "to"));
}

function differences(decoder: AnyDecoder, from: CvSet, to: CvSet): Difference[] {
  const keys = [...new Set([...from, ...to].map(([cv]) => cv))].sort((a, b) => toKey(a) - toKey(b));
  const changed = keys.filter((cv) => from.get(cv) !== to.get(cv));
  if (changed.length === 0) return [];
  const before = explain(decoder, from).lines;
  const after = explain(decoder, to).lines;
  return changed.map((cv) => {
    const [was, is] = [from.get(cv), to.get(cv)];
    const bits = was === undefined || is === undefined ? 255 : was ^ is;
    const touched = (lines: readonly Line[]) =>
      new Set(
        lines
          .filter(({ places }) => places.some((place) => place.cv === cv && place.mask & bits))
          .map(({ path }) => path),
      );
    const [here, there] = [touched(before), touched(after)];
    const paths = [...new Set([...here, ...there])];
    return {
      cv,
      from: was,
      to: is,
      paths,
      words: paths.map((path) => {
        const [old, now] = [wordsAt(before, path), wordsAt(after, path)];
        // The same words on both sides would be no change: one of them was read from other bits.
        const differs = old !== now;
        return {
          path,
          from: differs || here.has(path) ? old : undefined,
          to: differs || there.has(path) ? now : undefined,
        };
      }),
    };
  });
}

/** The text at a path. What is switched has two lines under one path: that it is on, and its value. */
function wordsAt(lines: readonly Line[], path: string): string | undefined {
  const texts = lines.filter((line) => line.path === path).map(({ text }) => text);
  return texts.length ? texts.join(", ") : undefined;
}
