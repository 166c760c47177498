import { fault, type Issue } from "../cv/issue.js";
import { nameOf, pagedKey } from "../cv/name.js";
import type { Index } from "./page-order.js";
import { listTarget, type Target, type Wanted } from "./target.js";
import { isUnpaged } from "./write.js";

const givenTwice = /* @__PURE__ */ fault(
  "given-twice",
  "given with and without its page, with two values: {one} and {other}",
);

/** A target whose CVs 257-512 have their pages, as far as these are known. */
export interface PagedTarget {
  readonly target: Target;
  /** The CVs that were put on the selected page. */
  readonly moved: readonly number[];
  /** CVs that are given twice, with two values. */
  readonly issues: readonly Issue[];
}

/**
 * Puts CVs 257-512 without a page on the page that CV 31 and 32 select, when these are known: that is where
 * they were read, or are to be written (S-9.2.2, July 2012, CV 31 and 32).
 * @param target What is wanted.
 * @param index CV 31 and 32.
 * @param stays Whether a CV is left without a page, because the decoder has it so.
 */
export function onPages(target: Target, { high, low }: Index, stays?: (key: number) => boolean): PagedTarget {
  if (high === undefined || low === undefined || !target.hasUnpaged) return { target, moved: [], issues: [] };
  const changes = new Map<number, Wanted>();
  const moved: number[] = [];
  const issues: Issue[] = [];
  target.each((given, mask, value) => {
    const moves = isUnpaged(given) && !stays?.(given);
    const key = moves ? pagedKey(given, high, low) : given;
    if (moves) moved.push(given);
    const old = changes.get(key);
    if (old && (old.value ^ value) & old.mask & mask) {
      issues.push(givenTwice({ one: old.value, other: value }, { places: [{ cv: nameOf(key), mask: 255 }] }));
    }
    changes.set(
      key,
      old ? { key, mask: old.mask | mask, value: (old.value & ~mask) | value } : { key, mask, value },
    );
  });
  return { target: listTarget([...changes.values()].sort((a, b) => a.key - b.key)), moved, issues };
}
