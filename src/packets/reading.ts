import { aBoolean, aNumber, listOf, need, objectOf } from "../cv/argument.js";
import { CvError } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { type AccessMode, aMode, hasBits, highestValue, reaches, unreachable } from "./access-mode.js";
import type { CvAccess } from "./cv-access.js";
import { checked } from "./faults.js";

/** A CV whose value is to be learned by verifies. */
export interface Reading {
  /** How the decoder is reached. */
  readonly mode: AccessMode;
  /** The CV, 1-1024; a CV of an index page by its number, once CV 31 and 32 select the page. */
  readonly cv: number;
  /** The values that it probably holds, the likeliest first: a right guess needs a single verify. */
  readonly guesses?: readonly number[];
}

const aReading = /* @__PURE__ */ objectOf({
  mode: aMode,
  cv: aNumber,
  "guesses?": /* @__PURE__ */ listOf(aNumber),
});

/**
 * The next verify of a reading, given the answers so far. A decoder answers a verify by an acknowledgement
 * (of the part with `answers` in its sequence) or not at all, so that its value is found out by questions: first the guesses, then bit by bit, then every
 * value that is still possible, the lowest first.
 *
 * With bit verifies (direct mode, or on the main) it takes 8 or 9 verifies: seven bits, then the two values
 * that are left, since only a yes to the whole value proves the rest. In the other modes it takes up to 256.
 * @param reading The CV.
 * @param answers For each verify that was sent, whether it was acknowledged.
 * @returns `ask`: send this verify. `value`: the value is known. `failed`: no value was acknowledged, so
 *   there is no decoder, no such CV, or a bad contact.
 * @throws `CvError` when the mode does not reach the CV.
 * @example
 * import { nextInReading } from "cvset/packets";
 * const reading = { mode: "direct", cv: 29, guesses: [6] } as const;
 * nextInReading(reading, []); // { ask: { operation: "verify", cv: 29, value: 6 } }
 * nextInReading(reading, [true]); // { value: 6 }
 * nextInReading(reading, [false]); // { ask: { operation: "verify", cv: 29, value: 1, bit: 7 } }
 */
export function nextInReading(
  reading: Reading,
  answers: readonly boolean[],
): { readonly ask: CvAccess } | { readonly value: number } | { readonly failed: true } {
  need(aReading, reading, "reading");
  need(listOf(aBoolean), answers, "answers");
  const { mode, cv } = reading;
  checkReading(mode, cv);
  const highest = highestValue(mode);
  const guesses = [...new Set(reading.guesses)].filter(
    (value) => Number.isInteger(value) && value >= 0 && value <= highest,
  );
  const verify = (value: number) => ({ ask: { operation: "verify", cv, value } }) as const;
  let at = 0;
  for (const value of guesses) {
    if (at === answers.length) return verify(value);
    if (answers[at++]) return { value };
  }
  let mask = 0;
  let known = 0;
  if (hasBits(mode)) {
    for (let bit = 7; bit >= 1; bit--) {
      if (at === answers.length) return { ask: { operation: "verify", cv, value: 1, bit } };
      mask |= 1 << bit;
      if (answers[at++]) known |= 1 << bit;
    }
  }
  for (let value = 0; value <= highest; value++) {
    if ((value & mask) !== known || guesses.includes(value)) continue;
    if (at === answers.length) return verify(value);
    if (answers[at++]) return { value };
  }
  return { failed: true };
}

/**
 * The test whether a decoder has direct mode: two verifies of bit 7 of CV 8, one for each value. A decoder with
 * direct mode acknowledges exactly one of them; one without acknowledges neither.
 *
 * S-9.2.3 (July 2012), section E; that it is bit 7 is from memory.
 * @example
 * import { accessSequence, directModeTest } from "cvset/packets";
 * directModeTest.map((access) => accessSequence("direct", access).parts[1]?.packet);
 * // ["78 07 E7 98", "78 07 EF 90"]
 */
export const directModeTest: readonly CvAccess[] = /* @__PURE__ */ Object.freeze([
  /* @__PURE__ */ Object.freeze({ operation: "verify", cv: 8, value: 0, bit: 7 } as const),
  /* @__PURE__ */ Object.freeze({ operation: "verify", cv: 8, value: 1, bit: 7 } as const),
]);

/** Throws when a mode does not reach a CV (1-1024), or there is no such CV. */
export function checkReading(mode: AccessMode, cv: number): void {
  checked("cv", cv, 1, lastCv, "S-9.2.3 (July 2012), section E");
  if (!reaches(mode, cv)) throw new CvError([unreachable(mode, cv)]);
}
