import type { Issue } from "../cv/issue.js";
import { toKey } from "../cv/name.js";
import type { BitsOfCv } from "../cv/places-text.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { isMakers } from "./known.js";

/** From how many settings on, and from which part of all, numbers without a meaning are no single slips. */
const least = 4;
const part = 1 / 4;

/** How many of a decoder's own settings hold a number that has no meaning. */
export interface OtherDecoder {
  readonly wrong: number;
  readonly all: number;
  /** The bits of those that are wrong. */
  readonly places: readonly BitsOfCv[];
}

/**
 * Whether a CV set looks like that of another decoder: in the CVs that the standard leaves to makers, many of
 * the settings hold a number without a meaning. The CVs of the standard are the same for every decoder and do
 * not count; so a decoder of the standard alone is never mistaken.
 * @param decoder The decoder that the set is read by.
 * @param lines The settings that could be read, as `explain` gives them.
 * @param issues What could not be read.
 * @returns Undefined where the set fits the decoder.
 */
export function otherDecoder(
  decoder: AnyDecoder,
  lines: readonly { readonly places: readonly BitsOfCv[] }[],
  issues: readonly Issue[],
): OtherDecoder | undefined {
  const isOwn = ({ places }: { readonly places?: readonly BitsOfCv[] }): boolean =>
    places?.some(({ cv }) => isMakers(toKey(cv), decoder)) ?? false;
  const wrong = issues.filter((issue) => issue.code.startsWith("stored-") && isOwn(issue));
  if (wrong.length < least) return undefined;
  const all = wrong.length + lines.filter(isOwn).length;
  if (wrong.length < all * part) return undefined;
  return { wrong: wrong.length, all, places: wrong.flatMap(({ places }) => places ?? []) };
}
