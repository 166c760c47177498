import { need } from "../../cv/argument.js";
import { countFindings } from "../finding.js";
import { aReport, type CheckReport } from "./report.js";

/**
 * A report as JSON text, for programs: `{ files, findings, errors, warnings, notes, silenced }`, where `files`
 * is the number of files.
 * @param report The result of the check.
 * @example
 * import { formatJson } from "cvset/check";
 * JSON.parse(formatJson({ files: ["a.json"], findings: [] }));
 * // { files: 1, findings: [], errors: 0, warnings: 0, notes: 0, silenced: 0 }
 */
export function formatJson(report: CheckReport): string {
  need(aReport, report, "report");
  const { files, findings } = report;
  return `${JSON.stringify({ files: files.length, findings, ...countFindings(findings) }, null, 2)}\n`;
}
