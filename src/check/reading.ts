import { type Issue, messageOf } from "../cv/issue.js";
import type { Finding, Severity } from "./finding.js";
import type { RuleInfo } from "./rule.js";

/** What is said about input that could not be read. */
export const readingRules = {
  cv: {
    name: "cv-out-of-range",
    severity: "error",
    summary: "A number is given to a CV that does not exist: CVs go from 1 to 1024.",
    source: "S-9.2.2 (July 2012), the CV space",
    mend: 'Correct the CV; one of an index page is written "300@16.0".',
  },
  byte: {
    name: "value-out-of-range",
    severity: "error",
    summary: "A CV is given something other than a whole number from 0 to 255.",
    source: "S-9.2.2 (July 2012), the CV space",
    mend: "Correct the value.",
  },
  setting: {
    name: "setting-unusable",
    severity: "error",
    summary: "A settings file has a setting, or a value of one, that its decoder does not have.",
    source: "description of the decoder",
    mend: "Give the setting a value that the message names.",
  },
  file: {
    name: "file-unreadable",
    severity: "error",
    summary: "The file, or a part of it, is not understood, so it was not checked further.",
    source: "format of this library's files",
    mend: "Correct the line that is named.",
  },
  note: {
    name: "file-note",
    severity: "note",
    summary: "The file was understood, but something in it is worth a look.",
    source: "format of this library's files",
    mend: "Correct the line if it is not meant so.",
  },
} satisfies Record<string, RuleInfo>;

/** What a reader of files has to say: an issue, with its line where that is known. */
export type ReadingIssue = Issue & {
  readonly severity?: Severity;
  readonly kind?: string;
  readonly line?: number;
  readonly column?: number;
};

/**
 * What a reader had to say, as findings: so that input that cannot be read stands in the same report.
 * @param issues The issues of `readCvSet`, `CvSet.tryFrom`, or any other.
 * @param file What the input is called.
 * @example
 * import { CvSet } from "cvset";
 * import { readingFindings } from "cvset/check";
 * const result = CvSet.tryFrom({ 29: 256, 1025: 0 });
 * readingFindings(result.ok ? [] : result.issues, "no9.json").map((finding) => finding.rule);
 * // ["value-out-of-range", "cv-out-of-range"]
 */
export function readingFindings(issues: readonly ReadingIssue[], file: string): Finding[] {
  return issues.map((issue) => {
    const { line, column } = issue;
    const rule = ruleOf(issue);
    return {
      file,
      rule: rule.name,
      severity: rule.severity as Severity,
      message: messageOf(issue),
      cvs: [...new Set((issue.places ?? []).map(({ cv }) => cv))],
      source: rule.source,
      mend: rule.mend,
      ...(line !== undefined && { line }),
      ...(column !== undefined && { column }),
    };
  });
}

function ruleOf({ severity, code, kind, path, places }: ReadingIssue) {
  if (severity === "note") return readingRules.note;
  if (code === "cv") return readingRules.cv;
  // Spellings such as 1e400 and -0 are refused as text, before they are any number.
  if (code === "byte" || (code === "content" && kind === "content" && places?.length))
    return readingRules.byte;
  return path !== "" && code !== "content" && code !== "custom" ? readingRules.setting : readingRules.file;
}
