import { type Counts, countFindings, type Finding } from "../finding.js";
import type { Report } from "./report.js";

/** A report as JSON. */
export interface ReportJson extends Counts {
  /** How many files were checked. */
  readonly files: number;
  /** What there is to say. */
  readonly findings: readonly Finding[];
}

/**
 * A report as a JSON object, for programs.
 * @param report What the check has come to.
 * @example
 * import { formatJson } from "cvset/check";
 * formatJson({ files: ["a.json"], findings: [] });
 * // { files: 1, findings: [], errors: 0, warnings: 0, notes: 0, silenced: 0 }
 */
export function formatJson({ files, findings }: Report): ReportJson {
  return { files: files.length, findings, ...countFindings(findings) };
}
