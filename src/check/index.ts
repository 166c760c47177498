export { type CheckSetOptions, checkSet } from "./check-set.js";
export {
  type Counts,
  countFindings,
  countsText,
  type FailOptions,
  type Finding,
  hasFailed,
  type Severity,
} from "./finding.js";
export { checkFleet, Fleet, type FleetMember, type FleetOptions } from "./fleet.js";
export { type ReadingIssue, readingFindings } from "./reading.js";
export { formatGithub, githubCommand } from "./report/github.js";
export { formatJson, type ReportJson } from "./report/json.js";
export { formatJunit, type JunitOptions } from "./report/junit.js";
export type { Report } from "./report/report.js";
export {
  formatSarif,
  type SarifLog,
  type SarifResult,
  type SarifRule,
  type SarifRun,
} from "./report/sarif.js";
export { findingText, formatText, type TextOptions } from "./report/text.js";
export {
  type CheckTerms,
  defineRule,
  type Found,
  type Rule,
  type RuleInfo,
  type SetView,
  type StoppingLimit,
} from "./rule.js";
export { ruleList } from "./rule-list.js";
export type { Silence } from "./silence.js";
export { standardRules } from "./standard-rules.js";
