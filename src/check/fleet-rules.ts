import type { RuleInfo } from "./rule.js";

/** The rules that look across files. */
export const fleetRules = [
  {
    name: "same-address",
    severity: "error",
    summary: "Two files have the same address; long and short addresses are told apart.",
    source: "S-9.2.2 (July 2012), CV 1, 17, 18 and 29; that each should have its own is common practice",
    mend: "Give one of them another address.",
  },
  {
    name: "consist-speed",
    severity: "warning",
    summary: "Members of one consist have different speed curves.",
    source: "common practice",
    mend: "Match their speeds, or silence this with how they were matched: unlike mechanisms need unlike curves.",
    kind: "multifunction",
  },
] satisfies readonly RuleInfo[];

/** The names of the rules that look across files. */
export const fleetRuleNames: ReadonlySet<string> = /* @__PURE__ */ new Set(["same-address", "consist-speed"]);

/** Whether a rule looks across files. */
export const acrossFiles = (rule: string): boolean => fleetRuleNames.has(rule);
