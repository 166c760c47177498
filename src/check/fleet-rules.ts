import type { RuleInfo } from "./rule.js";

/** The rules that compare files. */
export const fleetRules = {
  address: {
    name: "same-address",
    severity: "error",
    summary: "Two files have the same address. A primary and an extended address are never the same.",
    source: "S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29; that each needs its own is common practice",
    fix: "Give one of them another address.",
  },
  consist: {
    name: "consist-speed",
    severity: "warning",
    summary: "Members of one consist have different speed curves.",
    source: "common practice",
    fix: "Match their speeds. If they are matched, silence this: unlike mechanisms need unlike curves.",
    kind: "multifunction",
  },
} satisfies Record<string, RuleInfo>;

/** The names of the rules that compare files. */
export const fleetRuleNames: ReadonlySet<string> = /* @__PURE__ */ new Set(["same-address", "consist-speed"]);

/** Whether a rule compares files. */
export const isFleetRule = (rule: string): boolean => fleetRuleNames.has(rule);
