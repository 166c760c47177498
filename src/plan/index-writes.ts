import { fault } from "../cv/issue.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { byteWrite, type Write } from "./write.js";

const indexLeft = /* @__PURE__ */ fault(
  "index-left",
  "the value before is not known and none is wanted, so that the last selected page stays",
);

/** Whether the target changes CV 31 or 32. */
export function indexChanges({ known, index }: PlanRequest): boolean {
  return [index.high, index.low].some((value, i) => value !== undefined && value !== known.get(31 + i));
}

/**
 * The writes that leave CV 31 and 32 as wanted. Selecting pages changes both, so with pages they are here
 * whatever they hold; what turns out to change nothing is left out when the pages have their order.
 * @param request What is asked for.
 * @param hasPages Whether CVs of index pages are written.
 */
export function indexWrites(
  { index, known, target, all }: PlanRequest,
  hasPages: boolean,
): Findings & { readonly writes: readonly Write[] } {
  const writes: Write[] = [];
  const left: number[] = [];
  for (const [key, value] of [
    [31, index.high],
    [32, index.low],
  ] as const) {
    const was = known.get(key);
    const asked = all && target.byte(key) !== undefined;
    if (value === undefined) left.push(key);
    else if (hasPages || value !== was || asked)
      writes.push(byteWrite(key, value, was, asked ? "asked" : "differs"));
  }
  const notes = noteOn(hasPages ? left : [], "note", indexLeft, {}, "S-9.2.2 (July 2012), CV 31 and 32");
  return { writes, issues: [], notes };
}
