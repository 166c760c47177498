import { aText, need, oneOf, someIssues } from "../cv/argument.js";
import { type Issue, messageOf } from "../cv/issue.js";
import type { Finding } from "./finding.js";
import type { RuleInfo } from "./rule.js";

/** The rules about input that cannot be read. */
export const readingRules = {
  cv: {
    name: "cv-out-of-range",
    severity: "error",
    summary: "A number is given to a CV that does not exist: CVs are 1 to 1024.",
    source: "S-9.2.2 (July 2012), the CV space",
    fix: 'Correct the CV; one of an index page is written "300@16.0".',
  },
  byte: {
    name: "value-out-of-range",
    severity: "error",
    summary: "The value of a CV is not a whole number from 0 to 255.",
    source: "S-9.2.2 (July 2012), the CV space",
    fix: "Correct the value.",
  },
  setting: {
    name: "setting-unusable",
    severity: "error",
    summary: "A settings file has a setting or a value that its decoder does not have.",
    source: "description of the decoder",
    fix: "Use a setting or a value that the message names.",
  },
  file: {
    name: "file-unreadable",
    severity: "error",
    summary: "The file, or a part of it, cannot be read, so it was not checked further.",
    source: "format of this library's files",
    fix: "Correct the line that is named.",
  },
  note: {
    name: "file-note",
    severity: "note",
    summary: "The file can be read, but something in it may not be meant.",
    source: "format of this library's files",
    fix: "Correct the line if it is not meant.",
  },
} satisfies Record<string, RuleInfo>;

const aSubject = /* @__PURE__ */ oneOf("file", "settings");

/**
 * Issues of reading as findings, so that input that cannot be read is in the same report.
 * @param issues The issues of a file reader, of `CvSet.tryFrom` or of `tryEncode`; file readers give them
 *   line, column and severity.
 * @param file The name of the input.
 * @param of What the issues are about: the form of a `"file"` (default), or the `"settings"` in it, as
 *   `tryEncode` judges them.
 * @example
 * import { CvSet } from "cvset";
 * import { readingFindings } from "cvset/check";
 * const result = CvSet.tryFrom({ 29: 256, 1025: 0 });
 * readingFindings(result.ok ? [] : result.issues, "no9.json").map((finding) => finding.rule);
 * // ["value-out-of-range", "cv-out-of-range"]
 */
export function readingFindings(
  issues: readonly (Issue & {
    readonly severity?: "error" | "note";
    readonly line?: number;
    readonly column?: number;
  })[],
  file: string,
  of: "file" | "settings" = "file",
): Finding[] {
  need(someIssues, issues, "issues");
  need(aText, file, "file");
  need(aSubject, of, "of");
  return issues.map((issue) => {
    const { line, column } = issue;
    const { name, severity, source, fix }: RuleInfo = readingRules[kindOf(issue, of)];
    return {
      file,
      rule: name,
      severity,
      message: messageOf(issue),
      cvs: [...new Set((issue.places ?? []).map(({ cv }) => cv))],
      source,
      fix,
      ...(line !== undefined && { line }),
      ...(column !== undefined && { column }),
    };
  });
}

/** Codes of a value that is not a byte, and of its spellings in files. */
const valueCodes: ReadonlySet<string> = /* @__PURE__ */ new Set([
  "byte",
  "list-value",
  "list-bits",
  "list-bits-value",
  "ambiguous-value",
  "value-spelling",
  "value-quoted",
]);

function kindOf(
  { severity, code }: Issue & { readonly severity?: "error" | "note" },
  of: "file" | "settings",
): keyof typeof readingRules {
  if (severity === "note") return "note";
  if (of === "settings") return "setting";
  if (code === "cv") return "cv";
  return valueCodes.has(code) ? "byte" : "file";
}
