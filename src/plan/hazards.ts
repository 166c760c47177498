import type { AccessMode } from "./access.js";

/**
 * The kinds of steps that a rule of order can speak of. Where no rule speaks, steps stand in this order.
 * @example
 * import { groupNames } from "cvset/plan";
 * groupNames[0]; // "primary"
 */
export const groupNames = [
  "primary",
  "plain",
  "reset",
  "unlock",
  "lock",
  "extended-high",
  "extended-low",
  "consist",
  "configuration",
  "index",
  "select",
  "pages",
  "bare",
] as const;

/** One of {@link groupNames}. */
export type Group = (typeof groupNames)[number];

/** A rule of order: the steps of `first` come before those of `later`. */
export interface OrderRule {
  /** Its name. */
  readonly id: string;
  /** The kinds of steps that come first, */
  readonly first: readonly Group[];
  /** and those that come after them. */
  readonly later: readonly Group[];
  /** Where it holds; in every mode unless given. */
  readonly on?: "service" | "main";
  /** Why, in words. */
  readonly why: string;
  /** Where that stands. */
  readonly source: string;
}

const others = (...left: Group[]): Group[] => groupNames.filter((name) => !left.includes(name));

/**
 * The order that writes must keep, and why. A plan is sorted by these rules and nothing else.
 * @example
 * import { orderRules } from "cvset/plan";
 * orderRules.find((rule) => rule.id === "pair")?.why;
 * // "CV 17 and 18 are one address, which changes when CV 18 is written"
 */
export const orderRules: readonly OrderRule[] = /* @__PURE__ */ [
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
    later: /* @__PURE__ */ others("reset", "unlock"),
    why: "a decoder obeys writes only while CV 15 equals CV 16",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
  },
  {
    id: "lock",
    first: /* @__PURE__ */ others("lock"),
    later: ["lock"],
    why: "the target leaves the decoder locked, and a locked decoder ignores what follows",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
  },
  {
    id: "bare",
    first: ["bare"],
    later: ["select", "pages", "index"],
    why: "a CV 257-512 without a page is written on the page that the decoder has now",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "select",
    first: ["select"],
    later: ["pages"],
    why: "CV 31 and 32 choose the page that CV 257-512 belong to",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "index",
    first: ["pages"],
    later: ["index"],
    why: "writing pages moves CV 31 and 32, so they get their wanted values after it",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
  },
  {
    id: "primary-configuration",
    first: ["primary"],
    later: ["configuration"],
    why: "in service mode writing CV 1 makes the decoder clear bit 5 of CV 29; on the main CV 29 may put the new CV 1 to use",
    source: "S-9.2.3 (July 2012), section E; S-9.2.2 (July 2012), CV 29",
  },
  {
    id: "primary-consist",
    first: ["primary"],
    later: ["consist"],
    on: "service",
    why: "writing CV 1 makes the decoder clear CV 19",
    source: "S-9.2.3 (July 2012), section E",
  },
  {
    id: "pair",
    first: ["extended-high"],
    later: ["extended-low"],
    why: "CV 17 and 18 are one address, which changes when CV 18 is written",
    source: "S-9.2.1 (July 2012), note to Write Byte",
  },
  {
    id: "address",
    first: ["plain", "bare", "pages", "index", "select"],
    later: ["primary", "extended-high", "extended-low"],
    on: "main",
    why: "an address that is in use changes at once, so the rest is written under the present one before",
    source: "S-9.2.1 (July 2012), section A",
  },
  {
    id: "configuration",
    first: /* @__PURE__ */ others("configuration", "lock", "primary"),
    later: ["configuration"],
    why: "CV 29 puts addresses and speed curves to use, so these are complete before it",
    source: "S-9.2.2 (July 2012), CV 29",
  },
];

/** How the steps are arranged; tests put other rules and another start here. */
export interface Arrangement {
  readonly rules: readonly OrderRule[];
  /** The order of groups where no rule speaks. */
  readonly start: readonly Group[];
}

/**
 * Sorts groups by the rules. Where no rule speaks, the order of `groups` stays.
 * @param groups The groups that have steps.
 * @param rules The rules of order.
 * @param mode The mode that the plan is for.
 */
export function sortGroups(groups: readonly Group[], rules: readonly OrderRule[], mode: AccessMode): Group[] {
  // Bit g of before[h]: group g comes before group h.
  const before = new Map<Group, number>();
  const bit = (group: Group): number => 1 << groupNames.indexOf(group);
  for (const { first, later, on } of rules) {
    if (on && (on === "main") !== (mode === "main")) continue;
    let mask = 0;
    for (const group of first) mask |= bit(group);
    for (const group of later) before.set(group, (before.get(group) ?? 0) | mask);
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
