import { countFindings, countsText, type Finding } from "../finding.js";
import { type Report, visible } from "./report.js";

/** What text is decorated with; {@link formatText} writes plain text without it. */
export interface TextOptions {
  /** Gives a piece of text the look of a severity, such as a colour. */
  readonly paint?: (text: string, look: Finding["severity"] | "silenced") => string;
}

/**
 * One finding as lines for people: where, how bad, what, and how to mend it.
 * @param finding The finding.
 * @param options What to decorate it with.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, findingText } from "cvset/check";
 * const [finding] = checkSet(CvSet.from({ 19: 5 }), { file: "no9.json" });
 * finding && findingText(finding).split("\n")[0];
 * // "no9.json: warning: CV 19 holds consist address 5: at its own address the locomotive does not run [consist-address]"
 */
export function findingText(finding: Finding, { paint = (text) => text }: TextOptions = {}): string {
  const { file, line, column, severity, message, rule, mend, source, silenced } = finding;
  const place = `${file}${line === undefined ? "" : `:${line}`}${line === undefined || column === undefined ? "" : `:${column}`}`;
  const word = silenced === undefined ? paint(severity, severity) : paint(`silenced ${severity}`, "silenced");
  const lines = [
    `${visible(place)}: ${word}: ${visible(message)} [${visible(rule)}]`,
    silenced === undefined ? `    ${visible(mend)} (${visible(source)})` : `    ${visible(silenced)}`,
  ];
  return lines.join("\n");
}

/**
 * A report as text for people: each finding, and a last line that counts.
 * @param report What the check has come to.
 * @param options What to decorate it with.
 * @example
 * import { formatText } from "cvset/check";
 * formatText({ files: ["a.json", "b.json"], findings: [] }); // "2 files checked: nothing to report\n"
 */
export function formatText(report: Report, options: TextOptions = {}): string {
  const lines = report.findings.map((finding) => findingText(finding, options));
  return [...lines, summaryLine(report), ""].join("\n");
}

/** The line that counts: `2 files checked: 1 error, 1 silenced`. */
export function summaryLine({ files, findings }: Report): string {
  const { length } = files;
  return `${length} file${length === 1 ? "" : "s"} checked: ${countsText(countFindings(findings))}`;
}
