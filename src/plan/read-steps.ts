import { aFunction, anything, fitting, need, needIn, objectOf, severalOf } from "../cv/argument.js";
import { isByte } from "../cv/cvpatch.js";
import { notAByte } from "../cv/faults.js";
import { CvError } from "../cv/issue.js";
import { type CvName, nameOf, numberOf, pageOf, toKey } from "../cv/name.js";
import { type AccessMode, aMode, reaches, unreachable } from "../packets/access-mode.js";
import type { CvAccess } from "../packets/cv-access.js";
import { checkReading, type Reading } from "../packets/reading.js";
import { type Index, orderPages } from "./page-order.js";

/** One step of reading several CVs. */
export type ReadStep =
  /** Write CV 31 or 32: to select the page of the CVs that follow, or to put the index back at the end. */
  | { readonly write: CvAccess; readonly why: "select-page" | "restore-index" }
  /** Read this CV. */
  | { readonly read: string; readonly reading: Reading };

const aByte = /* @__PURE__ */ fitting(isByte, notAByte);
const ofReading = /* @__PURE__ */ objectOf({
  "index?": /* @__PURE__ */ objectOf({ high: aByte, low: aByte }),
  "guesses?": aFunction,
});

/**
 * The steps that read several CVs: CVs outside the index pages first, then page by page, with the writes to
 * CV 31 and 32 that pages need. A locked decoder (CV 15 and 16 differ) ignores these writes: unlock it before.
 *
 * S-9.2.2 (July 2012), CV 31 and 32.
 * @param mode How the decoder is reached.
 * @param cvs The CVs.
 * @param options `index`: what CV 31 (high) and CV 32 (low) hold, so that they can be put back; `guesses`:
 *   the values that a CV probably holds.
 * @throws `CvError` when the mode does not reach a CV, something is not a CV, or the index is not of two bytes.
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
    readonly index?: { readonly high: number; readonly low: number };
    readonly guesses?: (cv: string) => readonly number[];
  } = {},
): ReadStep[] {
  need(aMode, mode, "mode");
  need(severalOf(anything), cvs, "cvs");
  needIn(ofReading, options, "options");
  const steps: ReadStep[] = [];
  const pages = new Map<number, number[]>();
  const read = (key: number): void => {
    const name = nameOf(key);
    const cv = numberOf(key);
    checkReading(mode, cv);
    const guesses = options.guesses?.(name) ?? [];
    steps.push({ read: name, reading: { mode, cv, guesses } });
  };
  for (const key of [...cvs].map(toKey).sort((a, b) => a - b)) {
    const page = pageOf(key);
    if (page < 0) read(key);
    else pages.set(page, [...(pages.get(page) ?? []), key]);
  }
  const home: Index = options.index ?? { high: undefined, low: undefined };
  let at = home;
  const goTo = (next: { high: number; low: number }, why: "select-page" | "restore-index"): void => {
    for (const [cv, old, value] of [
      [31, at.high, next.high],
      [32, at.low, next.low],
    ] as const) {
      if (old === value) continue;
      if (!reaches(mode, cv)) throw new CvError([unreachable(mode, cv)]);
      steps.push({ write: { operation: "write", cv, value }, why });
    }
    at = next;
  };
  for (const page of orderPages(pages.keys(), home, home)) {
    goTo({ high: page >> 8, low: page & 255 }, "select-page");
    for (const key of pages.get(page) as number[]) read(key);
  }
  if (pages.size && options.index) goTo(options.index, "restore-index");
  return steps;
}
