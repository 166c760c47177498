import type { CollectedWrites } from "./collected-writes.js";
import { type Arrangement, type Group, type GroupRule, rulesIn, sortGroups } from "./order-rules.js";
import { type Index, orderPages } from "./page-order.js";
import type { PlanRequest } from "./plan-request.js";
import { byteWrite, needOf, type Write } from "./write.js";

/** Writes in a row that the rules of order bind in the same way. */
export interface Block {
  readonly group: Group;
  readonly writes: readonly Write[];
  /** Of `select` and `pages`: the page, and its place in the order of pages. */
  readonly visit?: { readonly page: number; readonly at: number };
}

/** The blocks of a plan in the order of writing, and the rules that gave it. */
export interface BlockOrder {
  readonly blocks: readonly Block[];
  readonly rules: readonly GroupRule[];
}

/** Puts writes in order. */
export function orderWrites(
  { groups, pages }: CollectedWrites,
  { mode, known, index }: PlanRequest,
  arrangement: Arrangement,
): BlockOrder {
  const rules = rulesIn(mode, arrangement.rules);
  const present = arrangement.start.filter((group) =>
    group === "select" || group === "pages" ? pages.size > 0 : groups.has(group),
  );
  const sorted = sortGroups(present, rules);
  const selectFirst = sorted.indexOf("select") < sorted.indexOf("pages");
  const blocks: Block[] = [];
  let present31And32: Index = { high: known.get(31), low: known.get(32) };
  for (const group of sorted) {
    // Pages are selected one by one, where their CVs are written.
    if (group === "select") continue;
    if (group === "pages") {
      const visits = visitPages(pages, present31And32, index);
      for (const { select, pages } of visits)
        blocks.push(...(selectFirst ? [select, pages] : [pages, select]));
      const last = visits.at(-1)?.page ?? 0;
      present31And32 = { high: last >> 8, low: last & 255 };
      continue;
    }
    const writes = groups.get(group) ?? [];
    if (group === "index") {
      blocks.push({ group, writes: indexLeft(writes, present31And32) });
      for (const { key, value } of writes) {
        present31And32 = key === 31 ? { ...present31And32, high: value } : { ...present31And32, low: value };
      }
    } else if (group === "unlock" || group === "lock") {
      // These keep their sequence, each bound by the ones before and after it.
      for (const write of writes) blocks.push({ group, writes: [write] });
    } else blocks.push({ group, writes });
  }
  return { blocks: blocks.filter(({ writes }) => writes.length > 0), rules };
}

interface Visit {
  readonly page: number;
  readonly select: Block;
  readonly pages: Block;
}

/** The writes of each page, behind the writes that select it. */
function visitPages(pages: CollectedWrites["pages"], from: Index, to: Index): Visit[] {
  let { high, low } = from;
  return orderPages(pages.keys(), from, to).map((page, at) => {
    const select: Write[] = [];
    const visit = { page, at };
    if (page >> 8 !== high) select.push(byteWrite(31, page >> 8, high, "select"));
    if ((page & 255) !== low) select.push(byteWrite(32, page & 255, low, "select"));
    high = page >> 8;
    low = page & 255;
    return {
      page,
      select: { group: "select", writes: select, visit },
      pages: { group: "pages", writes: pages.get(page) as readonly Write[], visit },
    };
  });
}

/** The writes that CV 31 and 32 still need behind the pages. */
function indexLeft(writes: readonly Write[], { high, low }: Index): Write[] {
  return writes
    .map((write) => ({ ...write, was: write.key === 31 ? high : low }))
    .filter(({ was, value, need }) => was !== value || need === "asked")
    .map((write) => ({ ...write, need: needOf(write.was, write.value) }));
}
