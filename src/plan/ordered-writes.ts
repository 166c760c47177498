import { lastCv, pageOf } from "../cv/name.js";
import type { CollectedWrites } from "./collected-writes.js";
import { type Arrangement, type Group, type OrderRule, rulesIn, sortGroups } from "./order-rules.js";
import { type Index, orderPages } from "./page-order.js";
import type { PlanRequest } from "./plan-request.js";
import { byteWrite, needOf, type Write } from "./write.js";

/** Writes in a row that the rules of order bind in the same way. */
export interface Block {
  readonly group: Group;
  readonly writes: readonly Write[];
  /** Of `select` and `pages`: the page, its place in the order of pages, how many of its CVs are written. */
  readonly visit?: { readonly page: number; readonly at: number; readonly count: number };
}

/** The blocks of a plan in the order of writing, and the rules that gave it. */
export interface BlockOrder {
  readonly blocks: readonly Block[];
  readonly rules: readonly OrderRule[];
}

/** Puts writes in order. */
export function orderWrites(
  { groups, pages }: CollectedWrites,
  { mode, known, index }: PlanRequest,
  arrangement: Arrangement,
): BlockOrder {
  const rules = rulesIn(mode, arrangement.rules);
  const isPaged = groups.get("derived")?.some(({ key }) => key > lastCv) === true;
  const present = arrangement.start.filter((group) => {
    if (group === "pages") return pages.size > 0;
    return group === "select" ? pages.size > 0 || isPaged : groups.has(group);
  });
  const sorted = sortGroups(present, rules);
  const selectFirst = sorted.indexOf("select") < sorted.indexOf(pages.size > 0 ? "pages" : "derived");
  const blocks: Block[] = [];
  let at: Index = { high: known.get(31), low: known.get(32) };
  const visits: number[] = [];
  // There are no writes in the group of selections: pages are selected one by one, where their CVs are written.
  for (const group of sorted) {
    if (group === "pages") {
      for (const [select, page] of visitPages(pages, at, index)) {
        blocks.push(...(selectFirst ? [...select, page] : [page, ...select]));
        if (page.visit) visits.push(page.visit.page);
        if (page.visit) at = { high: page.visit.page >> 8, low: page.visit.page & 255 };
      }
      continue;
    }
    const writes = groups.get(group) ?? [];
    if (group === "index") {
      blocks.push({ group, writes: indexLeft(writes, at) });
    } else if (group === "derived") {
      // These too keep their sequence; those on index pages need their page selected.
      for (const [visit, write] of visitDerived(writes, visits)) {
        const block: Block = { group, writes: [write], ...(visit && { visit }) };
        const select = visit ? selecting(visit, at) : [];
        blocks.push(...(selectFirst ? [...select, block] : [block, ...select]));
        if (visit) at = { high: visit.page >> 8, low: visit.page & 255 };
      }
    } else if (group === "unlock" || group === "lock" || group === "derived-last") {
      // These keep their sequence, each bound by the ones before and after it.
      for (const write of writes) blocks.push({ group, writes: [write] });
    } else blocks.push({ group, writes });
  }
  return { blocks: blocks.filter(({ writes }) => writes.length > 0), rules };
}

/** The blocks that select each page, and the block of its writes. */
function visitPages(
  pages: CollectedWrites["pages"],
  from: Index,
  to: Index,
): [select: Block[], page: Block][] {
  let present = from;
  return orderPages(pages.keys(), from, to).map((page, at) => {
    const writes = pages.get(page) as readonly Write[];
    const visit = { page, at, count: writes.length };
    const select = selecting(visit, present);
    present = { high: page >> 8, low: page & 255 };
    return [select, { group: "pages", writes, visit }];
  });
}

type Visit = NonNullable<Block["visit"]>;

/** Writes that keep their sequence, with the visit of those on index pages. */
function visitDerived(
  writes: readonly Write[],
  before: readonly number[],
): [visit: Visit | undefined, write: Write][] {
  // What is on the page that was visited last needs no selection.
  const last = before.at(-1);
  const visits: { page: number; at: number; count: number }[] =
    last === undefined ? [] : [{ page: last, at: before.length - 1, count: 0 }];
  return writes.map((write) => {
    if (write.key <= lastCv) return [undefined, write];
    const page = pageOf(write.key);
    let visit = visits.at(-1);
    if (visit?.page !== page) visits.push((visit = { page, at: (visit?.at ?? -1) + 1, count: 0 }));
    visit.count++;
    return [visit, write];
  });
}

/** The blocks that select a page. */
function selecting(visit: Visit, { high, low }: Index): Block[] {
  const { page } = visit;
  const select: Block[] = [];
  const change = (cv: number, value: number, was: number | undefined): void => {
    if (value === was) return;
    select.push({ group: "select", writes: [byteWrite(cv, value, was, "select")], visit });
  };
  change(31, page >> 8, high);
  change(32, page & 255, low);
  return select;
}

/** The writes that CV 31 and 32 still need behind the pages. */
function indexLeft(writes: readonly Write[], { high, low }: Index): Write[] {
  return writes
    .map((write) => ({ ...write, was: write.key === 31 ? high : low }))
    .filter(({ was, value, need }) => was !== value || need === "asked")
    .map((write) => ({ ...write, need: needOf(write.was, write.value) }));
}
