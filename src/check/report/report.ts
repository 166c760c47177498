import { aBoolean, aText, listOf, objectOf, oneOf } from "../../cv/argument.js";
import { aFinding, type Finding } from "../finding.js";
import type { RuleInfo } from "../rule.js";

/** The result of a check, for the functions that write it. */
export interface CheckReport {
  /** Every file that was checked, with and without findings. */
  readonly files: readonly string[];
  /** The findings. */
  readonly findings: readonly Finding[];
  /** Warnings make the check fail too; only `formatJunit` looks at this. */
  readonly strict?: boolean;
  /** The rules that findings may name, as `ruleList` gives them; only `formatSarif` lists them. */
  readonly rules?: readonly RuleInfo[];
  /** The version of the program that checked. */
  readonly version?: string;
}

const anAboutRule = /* @__PURE__ */ objectOf({
  name: aText,
  severity: /* @__PURE__ */ oneOf("error", "warning", "note"),
  summary: aText,
  source: aText,
  fix: aText,
});

/** A report, as JSON gives it back too. */
export const aReport = /* @__PURE__ */ objectOf({
  files: /* @__PURE__ */ listOf(aText),
  findings: /* @__PURE__ */ listOf(aFinding),
  "strict?": aBoolean,
  "rules?": /* @__PURE__ */ listOf(anAboutRule),
  "version?": aText,
});
