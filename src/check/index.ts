// Checking one CV set, or many

export { type CheckSetOptions, checkSet } from "./check-set.js";
export { type Counts, countFindings, type Finding, hasFailed } from "./finding.js";
export { checkFleet, type FleetMember } from "./fleet.js";
export { readingFindings } from "./reading.js";

// Rules: the built-in ones, and your own

export { defineRule, type Found, type Rule, type RuleInfo, type SetView } from "./rule.js";
export { ruleList } from "./rule-list.js";
export { standardRules } from "./standard-rules.js";

// Reports as text in five formats

export { formatGithub } from "./report/github.js";
export { formatJson } from "./report/json.js";
export { formatJunit } from "./report/junit.js";
export type { CheckReport } from "./report/report.js";
export { formatSarif } from "./report/sarif.js";
export { formatText } from "./report/text.js";
