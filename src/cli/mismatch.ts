import type { Issue } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import type { Explanation } from "../decoder/explain.js";
import { describeCv } from "../standard/catalogue.js";

/** From how many CVs on, and from which part of a maker's CVs, numbers that stand for nothing are no slips. */
const least = 5;
const part = 1 / 3;

/**
 * One sentence for a CV set that belongs to another decoder, instead of one for each of its numbers; undefined
 * where the set fits the decoder.
 * @param told What could be read of the set.
 * @param issues What could not.
 */
export function mismatch(
  decoder: AnyDecoder,
  told: Pick<Explanation, "lines" | "unowned">,
  issues: readonly Issue[],
): string | undefined {
  // The plain standard has no CVs of a maker, so that nothing can be told by them.
  if (decoder.id.startsWith("nmra")) return undefined;
  const isMakers = (cv: string): boolean => {
    const { status } = describeCv(cv, decoder.kind);
    return status === "manufacturer" || status === "indexed";
  };
  const wrong = new Set<string>();
  const fits = new Set<string>();
  for (const { places } of told.lines) for (const { cv } of places) if (isMakers(cv)) fits.add(cv);
  for (const { code, places = [] } of issues)
    if (code.startsWith("stored-")) for (const { cv } of places) wrong.add(cv);
  for (const { cv, mask } of told.unowned) if (mask === 255 && isMakers(cv)) wrong.add(cv);
  const all = new Set([...wrong, ...fits]).size;
  if (wrong.size < least || wrong.size < all * part) return undefined;
  return `these look like the numbers of another decoder: of ${all} CVs of the maker, ${wrong.size} stand for nothing in ${decoder.name}; choose the decoder with --decoder`;
}
