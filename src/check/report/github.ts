import { need } from "../../cv/argument.js";
import type { Finding } from "../finding.js";
import { aReport, type CheckReport } from "./report.js";
import { summaryLine } from "./text.js";

const commands = { error: "error", warning: "warning", note: "notice" } as const;

/** One finding as a workflow command. */
export function githubCommand({ file, line, column, severity, rule, message, fix }: Finding): string {
  const properties = [
    ["file", file],
    ["line", line],
    ["col", line === undefined ? undefined : column],
    ["title", rule],
  ].flatMap(([name, value]) => (value === undefined ? [] : [`${name}=${property(String(value))}`]));
  return `::${commands[severity]} ${properties.join(",")}::${data(`${message}. ${fix}`)}`;
}

/**
 * A report as workflow commands, which GitHub shows beside the lines of the files, and a last line with the
 * counts. Silenced findings are only counted.
 * @param report The result of the check.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, formatGithub } from "cvset/check";
 * const findings = checkSet(CvSet.from({ 19: 5 }), { file: "no9.json" });
 * formatGithub({ files: ["no9.json"], findings }).slice(0, 60); // "::warning file=no9.json,title=consist-address::CV 19 holds c"
 */
export function formatGithub(report: CheckReport): string {
  need(aReport, report, "report");
  const lines = report.findings
    .filter(({ silenced }) => silenced === undefined)
    .map((finding) => githubCommand(finding));
  return [...lines, summaryLine(report), ""].join("\n");
}

// The escapes of workflow commands (common practice of GitHub Actions; from memory): % first, line ends in
// both, and in properties the separators too.

function data(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

function property(text: string): string {
  return data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
