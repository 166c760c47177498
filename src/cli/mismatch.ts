import { otherDecoder } from "../check/other-decoder.js";
import type { CvSet } from "../cv/cvset.js";
import type { Issue } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";

/**
 * One sentence for a CV set that belongs to another decoder, instead of one for each of its numbers; undefined
 * where the set fits the decoder.
 * @param issues What could not be read of the set.
 */
export function mismatch(decoder: AnyDecoder, cvs: CvSet, issues: readonly Issue[]): string | undefined {
  const other = otherDecoder(
    decoder,
    [...cvs].map(([cv]) => cv),
    issues,
  );
  return other && `${other.message}; choose the decoder with --decoder`;
}
