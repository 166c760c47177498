import type { Issue } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";

/** From how many settings on, and from which part of all, numbers that stand for nothing are no single slips. */
const least = 4;
const part = 1 / 4;

/**
 * One sentence for a CV set that belongs to another decoder, instead of one for each of its numbers; undefined
 * where the set fits the decoder.
 * @param told What could be read of the set.
 * @param issues What could not.
 */
export function mismatch(
  decoder: AnyDecoder,
  told: { readonly lines: readonly unknown[] },
  issues: readonly Issue[],
): string | undefined {
  const wrong = issues.filter(({ code }) => code.startsWith("stored-")).length;
  const all = told.lines.length + wrong;
  if (wrong < least || wrong < all * part) return undefined;
  return `these look like the numbers of another decoder: ${wrong} of ${all} settings of ${decoder.name} hold a number that stands for nothing; choose the decoder with --decoder`;
}
