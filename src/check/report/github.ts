import type { Finding } from "../finding.js";
import { type Report, visible } from "./report.js";
import { summaryLine } from "./text.js";

const commands = { error: "error", warning: "warning", note: "notice" } satisfies Record<
  Finding["severity"],
  string
>;

/**
 * One finding as a workflow command, which GitHub shows beside the line of the file.
 * @param finding The finding.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, githubCommand } from "cvset/check";
 * const [finding] = checkSet(CvSet.from({ 19: 5 }), { file: "no9.json" });
 * finding && githubCommand(finding).slice(0, 60); // "::warning file=no9.json,title=consist-address::CV 19 holds c"
 */
export function githubCommand({ file, line, column, severity, rule, message, mend }: Finding): string {
  const properties = [
    ["file", file],
    ["line", line],
    ["col", line === undefined ? undefined : column],
    ["title", rule],
  ].flatMap(([name, value]) => (value === undefined ? [] : [`${name}=${property(String(value))}`]));
  return `::${commands[severity]} ${properties.join(",")}::${data(`${message}. ${mend}`)}`;
}

/**
 * A report as workflow commands, and a last line that counts. Silenced findings are only counted.
 * @param report What the check has come to.
 * @example
 * import { formatGithub } from "cvset/check";
 * formatGithub({ files: ["a.json"], findings: [] }); // "1 file checked: nothing to report\n"
 */
export function formatGithub(report: Report): string {
  const lines = report.findings
    .filter(({ silenced }) => silenced === undefined)
    .map((finding) => githubCommand(finding));
  return [...lines, visible(summaryLine(report)), ""].join("\n");
}

// How workflow commands escape (common practice of GitHub Actions; from memory): % first, line ends in
// both, and in properties also what separates them.

function data(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

function property(text: string): string {
  return data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
