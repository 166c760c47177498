import { frozenCopy } from "../cv/frozen.js";
import type { AccessMode } from "../packets/access-mode.js";

/** The groups of steps that the rules of order speak of. Where no rule applies, steps stand in this order. */
export const groupNames = [
  "primary",
  "accessory-address",
  "curve",
  "plain",
  "reset",
  "unlock",
  "lock",
  "extended-high",
  "extended-low",
  "consist",
  "select",
  "pages",
  "unpaged",
  "derived",
  "index",
  "configuration",
  "derived-last",
] as const;

/** The name of a group. */
export type Group = (typeof groupNames)[number];

/** A rule of order: the steps of the groups in `first` come before the steps of the groups in `later`. */
export interface OrderRule {
  /** Its name. */
  readonly id: string;
  /**
   * The groups of steps that come first:
   * - `primary` CV 1, `extended-high` CV 17, `extended-low` CV 18, `consist` CV 19, `configuration` CV 29;
   * - `accessory-address` CV 1 and 9 of an accessory decoder;
   * - `curve` CV 2, 5, 6, 25 and 66-95, the speed curves;
   * - `unlock` and `lock` CV 15 and 16, before and after the other steps;
   * - `select` CV 31 and 32, to select an index page; `pages` the CVs of index pages; `index` CV 31 and 32,
   *   their values at the end; `unpaged` CV 257-512 whose page is not known;
   * - `derived` CVs whose values are worked out from others, `derived-last` those that are worked out from CV 1, 9, 15-19,
   *   29, 31 or 32 too;
   * - `reset` the factory reset; `plain` all other CVs.
   *
   * Steps of a group that is in `first` and in `later` keep their sequence.
   */
  readonly first: readonly string[];
  /** The groups of steps that come after them. */
  readonly later: readonly string[];
  /**
   * The steps belong together page by page: those of `first` come before those of `later` of the same page,
   * and these before those of `first` of the next page.
   */
  readonly pageByPage?: true;
  /** In service mode only, or on the main only; in every mode unless given. */
  readonly on?: "service" | "main";
  /** The reason in words. */
  readonly why: string;
  /** Document, edition, section. */
  readonly source: string;
}

const others = (...left: Group[]): Group[] => groupNames.filter((name) => !left.includes(name));

/**
 * The order that writes must keep. Plans are sorted by these rules and nothing else, and each step names the
 * rules that apply to it.
 *
 * Without one of them the decoder does not end as wanted. Two are for plans of which only a part arrives: without
 * `configuration` a plan that is broken off can leave an address in use that is neither the old nor the new one, or a
 * speed curve of which a part is missing; without `address` one write that is not heard on the main, where nothing is
 * acknowledged, loses all writes behind it.
 * @example
 * import { orderRules } from "cvset/plan";
 * orderRules.find((rule) => rule.id === "pair")?.why;
 * // "CV 17 and 18 are one address, which takes effect when CV 18 is written"
 */
export const orderRules: readonly OrderRule[] = /* @__PURE__ */ frozenCopy([
  {
    id: "reset",
    first: ["reset"],
    later: /* @__PURE__ */ others("reset"),
    why: "a factory reset undoes every write before it",
    source: "S-9.2.3 (July 2012), section E",
  },
  {
    id: "unlock",
    first: ["unlock"],
    later: /* @__PURE__ */ others("reset"),
    why: "a decoder obeys writes only while CV 15 equals CV 16",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
  },
  {
    id: "lock",
    first: /* @__PURE__ */ others("reset", "unlock"),
    later: ["lock"],
    why: "a write to CV 15 or 16 can lock the decoder, which then ignores every write but to CV 15",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
  },
  {
    id: "unpaged",
    first: ["unpaged"],
    later: ["select", "pages", "index"],
    why: "a CV 257-512 without a page is written on the page that is selected before the plan",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "select",
    first: ["select"],
    later: ["pages", "derived"],
    pageByPage: true,
    why: "CV 31 and 32 select the page of CV 257-512",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "index",
    first: ["pages", "derived"],
    later: ["index"],
    why: "pages are selected by CV 31 and 32, so these get their final values after the last page",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "primary",
    first: ["primary"],
    later: ["consist", "configuration"],
    why: "writing CV 1 clears CV 19 and bit 5 of CV 29 in service mode, and perhaps on the main",
    source: "S-9.2.3 (July 2012), section E",
  },
  {
    id: "pair",
    first: ["extended-high"],
    later: ["extended-low"],
    why: "CV 17 and 18 are one address, which takes effect when CV 18 is written",
    source: "S-9.2.1 (July 2012), note to Write Byte",
  },
  {
    id: "address",
    first: ["plain", "curve", "unpaged", "select", "pages", "derived", "index"],
    later: ["primary", "extended-high", "extended-low", "accessory-address", "configuration"],
    on: "main",
    why: "an address or CV 29 can change the address in use at once, so other CVs are written before",
    source: "S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29",
  },
  {
    id: "configuration",
    first: ["extended-high", "extended-low", "curve"],
    later: ["configuration"],
    why: "CV 29 chooses the address and the speed curve in use, so both are complete before it",
    source: "S-9.2.2 (July 2012), CV 29",
  },
  {
    id: "derived",
    first: ["plain", "curve", "unpaged", "pages", "derived"],
    later: ["derived"],
    why: "a value that is worked out from other CVs is right only when these are written",
    source: "common practice",
  },
  {
    id: "derived-last",
    first: /* @__PURE__ */ others("reset", "unlock", "lock", "select"),
    later: ["derived-last"],
    why: "a value that is worked out from the address or from CV 29 too is written after all others",
    source: "common practice",
  },
] satisfies readonly (OrderRule & { readonly first: readonly Group[]; readonly later: readonly Group[] })[]);

/** The rules of order and, where no rule applies, the order of groups. Tests try others. */
export interface Arrangement {
  readonly rules: readonly OrderRule[];
  readonly start: readonly Group[];
}

/** The arrangement of every plan. */
export const standardArrangement: Arrangement = { rules: orderRules, start: groupNames };

/** The rules that apply in a mode. */
export function rulesIn(mode: AccessMode, rules: readonly OrderRule[]): OrderRule[] {
  return rules.filter(({ on }) => on === undefined || (on === "main") === (mode === "main"));
}

/**
 * Sorts groups by rules. Where no rule applies, the order of `groups` stays.
 * @param groups The groups that have steps.
 * @param rules The rules of order, of one mode.
 */
export function sortGroups(groups: readonly Group[], rules: readonly OrderRule[]): Group[] {
  // Bit g of before[h]: group g comes before group h.
  const before = new Map<string, number>();
  const bit = (group: string): number => 1 << (groupNames as readonly string[]).indexOf(group);
  for (const { first, later } of rules) {
    let mask = 0;
    for (const group of first) mask |= bit(group);
    for (const group of later) before.set(group, ((before.get(group) ?? 0) | mask) & ~bit(group));
  }
  const rest = [...groups];
  const sorted: Group[] = [];
  let waiting = 0;
  for (const group of rest) waiting |= bit(group);
  while (rest.length) {
    const at = rest.findIndex((group) => !((before.get(group) ?? 0) & waiting));
    if (at < 0) throw new Error(`the rules of order contradict each other: ${rest.join(", ")}`);
    const [group] = rest.splice(at, 1) as [Group];
    waiting &= ~bit(group);
    sorted.push(group);
  }
  return sorted;
}
