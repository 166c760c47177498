import { aFunction, need, needIn, objectOf } from "../../cv/argument.js";
import { visible } from "../../cv/show.js";
import { countFindings, countsText, type Finding } from "../finding.js";
import { aReport, type CheckReport } from "./report.js";

/** Gives a piece of text the look of a severity, such as a colour. */
type Paint = (text: string, look: Finding["severity"] | "silenced") => string;

/** One finding as two lines: place, severity, message and rule; how to fix it, and the source. */
export function findingText(finding: Finding, paint: Paint = (text) => text): string {
  const { file, line, column, severity, message, rule, fix, source, silenced } = finding;
  const position = line === undefined ? "" : `:${line}${column === undefined ? "" : `:${column}`}`;
  const word = silenced === undefined ? paint(severity, severity) : paint(`silenced ${severity}`, "silenced");
  const lines = [
    `${visible(file + position)}: ${word}: ${visible(message)} [${visible(rule)}]`,
    silenced === undefined ? `    ${visible(fix)} (${visible(source)})` : `    ${visible(silenced)}`,
  ];
  return lines.join("\n");
}

const ofText = /* @__PURE__ */ objectOf({ "paint?": aFunction });

/**
 * A report as text for people: two lines for each finding, and a last line with the counts.
 * @param report The result of the check.
 * @param options `paint`: gives a piece of text the look of a severity, such as a colour; plain text without
 *   it.
 * @example
 * import { formatText } from "cvset/check";
 * formatText({ files: ["a.json", "b.json"], findings: [] }); // "2 files checked: nothing to report\n"
 */
export function formatText(
  report: CheckReport,
  options: { readonly paint?: (text: string, look: Finding["severity"] | "silenced") => string } = {},
): string {
  need(aReport, report, "report");
  needIn(ofText, options, "options");
  const lines = report.findings.map((finding) => findingText(finding, options.paint));
  return [...lines, summaryLine(report), ""].join("\n");
}

/** The line with the counts: `2 files checked: 1 error, 1 silenced`. */
export function summaryLine({ files, findings }: CheckReport): string {
  const { length } = files;
  return `${length} file${length === 1 ? "" : "s"} checked: ${countsText(countFindings(findings))}`;
}
