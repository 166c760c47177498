import type { CvName } from "../cv/index.js";
import { CvError } from "../cv/index.js";
import { nameOf, numberOf, pageOf, toKey } from "../cv/name.js";
import { type AccessMode, type CvAccess, outOfReach, reaches } from "./access.js";
import type { DecoderAddress } from "./address.js";
import { type Index, orderPages } from "./pages.js";
import { accessSequence, type Sequence } from "./sequence.js";

/**
 * How to learn the value of one CV from yes-or-no answers, as data: first ask for each guess, then for
 * each bit whether it is 1, then for every value that is still possible, lowest first. A yes to a whole
 * value ends it.
 */
export interface Reading {
  readonly mode: AccessMode;
  /** The CV, 1-1024. */
  readonly cv: number;
  /** Whole values to try first. */
  readonly guesses: readonly number[];
  /** Bits to ask for, in this order; none where a mode has no bit verify. */
  readonly bits: readonly number[];
  /** The highest value that is possible. */
  readonly highest: number;
  /** Whom to ask; on the main only. */
  readonly address?: DecoderAddress;
}

/** How a reading is made. */
export interface ReadingOptions {
  /** What the CV probably holds, the likeliest first: a right guess needs a single verify. */
  readonly guesses?: readonly number[];
  /** Whom to ask; on the main only. */
  readonly address?: DecoderAddress;
}

/** What to do next in a reading. */
export type ReadingNext =
  /** Send this verify, and see whether it is acknowledged. */
  | { readonly ask: CvAccess }
  /** The value is known. */
  | { readonly value: number }
  /** Every value was denied: no decoder, no such CV, or a bad contact. */
  | { readonly failed: true };

/**
 * The procedure that reads a CV in the fewest verifies. With bit verifies (direct mode, or on the main)
 * it takes 8 or 9: seven bits, then the two values that are left, since only a yes to the whole value proves
 * the rest. Without them it takes up to 256, so a good guess counts.
 * @param mode How the decoder is reached.
 * @param cv The CV, 1-1024; select the page of an indexed CV before.
 * @param options Guesses, and the address on the main.
 * @throws `CvError` when the mode cannot reach the CV.
 * @example
 * import { nextInReading, readingOf } from "cvset/plan";
 * const reading = readingOf("direct", 29, { guesses: [6] });
 * nextInReading(reading, []); // { ask: { operation: "verify", cv: 29, value: 6 } }
 * nextInReading(reading, [true]); // { value: 6 }
 * nextInReading(reading, [false]); // { ask: { operation: "verify", cv: 29, value: 1, bit: 7 } }
 */
export function readingOf(mode: AccessMode, cv: number, options: ReadingOptions = {}): Reading {
  const { guesses = [], address } = options;
  if (!reaches(mode, cv)) throw new CvError([outOfReach(mode, cv)]);
  const highest = mode === "address-only" ? 127 : 255;
  return {
    mode,
    cv,
    guesses: [...new Set(guesses)].filter((value) => value >= 0 && value <= highest),
    bits: mode === "direct" || mode === "main" ? [7, 6, 5, 4, 3, 2, 1] : [],
    highest,
    ...(address ? { address } : {}),
  };
}

/**
 * What to do next, given the answers so far.
 * @param reading The procedure.
 * @param answers For each verify that was sent, whether it was acknowledged.
 * @example
 * import { nextInReading, readingOf } from "cvset/plan";
 * const reading = readingOf("paged", 29, { guesses: [6] });
 * nextInReading(reading, [false]); // { ask: { operation: "verify", cv: 29, value: 0 } }
 */
export function nextInReading(reading: Reading, answers: readonly boolean[]): ReadingNext {
  const { cv, guesses, bits, highest } = reading;
  const verify = (value: number): ReadingNext => ({ ask: { operation: "verify", cv, value } });
  let at = 0;
  for (const value of guesses) {
    if (at === answers.length) return verify(value);
    if (answers[at++]) return { value };
  }
  let mask = 0;
  let known = 0;
  for (const bit of bits) {
    if (at === answers.length) return { ask: { operation: "verify", cv, value: 1, bit } };
    mask |= 1 << bit;
    if (answers[at++]) known |= 1 << bit;
  }
  for (let value = 0; value <= highest; value++) {
    if ((value & mask) !== known || guesses.includes(value)) continue;
    if (at === answers.length) return verify(value);
    if (answers[at++]) return { value };
  }
  return { failed: true };
}

/**
 * Reads a CV by a function that sends packets.
 * @param reading The procedure.
 * @param ask Sends a sequence, and says whether it was acknowledged.
 * @returns The value; undefined when every value was denied.
 * @example
 * import { CvSet } from "cvset";
 * import { readByte, readingOf, SimulatedDecoder } from "cvset/plan";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 29: 34 }) });
 * readByte(readingOf("direct", 29), (sequence) => decoder.play(sequence)); // 34
 */
export function readByte(reading: Reading, ask: (sequence: Sequence) => boolean): number | undefined {
  const answers: boolean[] = [];
  for (;;) {
    const next = nextInReading(reading, answers);
    if ("value" in next) return next.value;
    if ("failed" in next) return undefined;
    answers.push(ask(accessSequence(reading.mode, next.ask, reading.address)));
  }
}

/** One step of reading several CVs. */
export type ReadStep =
  /** Write CV 31 or 32, to select a page or to leave it. */
  | { readonly write: CvAccess; readonly reason: string }
  /** Read this CV. */
  | { readonly read: string; readonly reading: Reading };

/**
 * What to do to read several CVs: plain ones first, then page by page, with the writes to CV 31 and 32 that
 * pages need. A locked decoder (CV 15 and 16 not equal) ignores those, so unlock it before.
 * @param mode How the decoder is reached.
 * @param cvs Which CVs.
 * @param options `index`: what CV 31 and 32 hold, so that they can be put back; guesses by CV; the
 *   address on the main.
 * @throws `CvError` when the mode cannot reach a CV.
 * @example
 * import { readSteps } from "cvset/plan";
 * const steps = readSteps("direct", [29, "300@16.0"], { index: { high: 0, low: 0 } });
 * steps.map((step) => ("read" in step ? `read ${step.read}` : `write ${step.write.cv}=${step.write.value}`));
 * // ["read 29", "write 31=16", "read 300@16.0", "write 31=0"]
 */
export function readSteps(
  mode: AccessMode,
  cvs: Iterable<CvName>,
  options: {
    readonly index?: Index;
    readonly guesses?: (cv: string) => readonly number[];
    readonly address?: DecoderAddress;
  } = {},
): ReadStep[] {
  const { index, address } = options;
  const steps: ReadStep[] = [];
  const pages = new Map<number, number[]>();
  const read = (key: number): void => {
    const name = nameOf(key);
    const guesses = options.guesses?.(name) ?? [];
    const reading = readingOf(mode, numberOf(key), { guesses, ...(address ? { address } : {}) });
    steps.push({ read: name, reading });
  };
  for (const key of [...cvs].map(toKey).sort((a, b) => a - b)) {
    const page = pageOf(key);
    if (page < 0) read(key);
    else pages.set(page, [...(pages.get(page) ?? []), key]);
  }
  let { high, low } = index ?? { high: -1, low: -1 };
  const select = (newHigh: number, newLow: number, reason: string): void => {
    for (const [cv, old, value] of [
      [31, high, newHigh],
      [32, low, newLow],
    ] as const) {
      if (old === value) continue;
      if (!reaches(mode, cv)) throw new CvError([outOfReach(mode, cv)]);
      steps.push({ write: { operation: "write", cv, value }, reason });
    }
    high = newHigh;
    low = newLow;
  };
  const home = { high, low };
  for (const page of orderPages(pages.keys(), home, home)) {
    select(page >> 8, page & 255, `selects index page ${page >> 8}.${page & 255}`);
    for (const key of pages.get(page) as number[]) read(key);
  }
  if (pages.size && home.high >= 0 && home.low >= 0) select(home.high, home.low, "puts the index back");
  return steps;
}
