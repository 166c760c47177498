import { need } from "../../cv/argument.js";
import type { Finding } from "../finding.js";
import type { RuleInfo } from "../rule.js";
import { aReport, type CheckReport } from "./report.js";

// SARIF 2.1.0 (OASIS, 2020): as much of its object model as is used here.

/** A rule, as SARIF describes it. */
interface SarifRule {
  readonly id: string;
  readonly shortDescription?: { readonly text: string };
  readonly help?: { readonly text: string };
  readonly defaultConfiguration?: { readonly level: Finding["severity"] };
  readonly properties?: { readonly source: string };
}

/**
 * A report in SARIF 2.1.0, as JSON text; code hosts and editors show it beside the lines of files. Silenced
 * findings are suppressed results, with the reason.
 * @param report The result of the check.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, formatSarif } from "cvset/check";
 * const findings = checkSet(CvSet.from({ 19: 5 }), { file: "no9.json" });
 * JSON.parse(formatSarif({ files: ["no9.json"], findings })).runs[0].results[0].level; // "warning"
 */
export function formatSarif(report: CheckReport): string {
  need(aReport, report, "report");
  const { files, findings, rules = [], version } = report;
  const run = new SarifRun(files);
  run.describe(rules);
  const results = findings.map((finding) => run.resultOf(finding));
  return `${JSON.stringify({ ...sarifHead, runs: [{ ...run.about(rules, version), results }] }, null, 2)}\n`;
}

/** What a log begins with. */
export const sarifHead = {
  $schema: "https://json.schemastore.org/sarif-2.1.0.json",
  version: "2.1.0",
} as const;

/** A run of which the results are made one by one; what is about all of them comes at the end. */
export class SarifRun {
  readonly #files: readonly string[];
  readonly #fileIndex: ReadonlyMap<string, number>;
  /** The number of each rule that a result names. */
  readonly #ruleIndex = new Map<string, number>();

  /** @param files Every file that is checked. */
  constructor(files: readonly string[]) {
    this.#files = files;
    this.#fileIndex = new Map(files.map((file, i) => [file, i]));
  }

  /** Gives rules their numbers, in order, where they have none yet. */
  describe(rules: readonly RuleInfo[]): void {
    for (const { name } of rules) this.#numberOf(name);
  }

  /** A finding as a result. */
  resultOf(finding: Finding) {
    return resultOf(finding, this.#numberOf(finding.rule), this.#fileIndex.get(finding.file));
  }

  /** Everything but the results. */
  about(rules: readonly RuleInfo[], version: string | undefined) {
    this.describe(rules);
    const described = new Map<string, SarifRule>(rules.map((rule) => [rule.name, ruleOf(rule)]));
    const all = [...this.#ruleIndex.keys()].map((name) => described.get(name) ?? { id: name });
    return {
      tool: { driver: { name: "cvset", ...(version !== undefined && { version }), rules: all } },
      artifacts: this.#files.map((file) => ({ location: { uri: uriOf(file) } })),
      columnKind: "utf16CodeUnits",
    };
  }

  #numberOf(rule: string): number {
    let number = this.#ruleIndex.get(rule);
    if (number === undefined) this.#ruleIndex.set(rule, (number = this.#ruleIndex.size));
    return number;
  }
}

function ruleOf({ name, severity, summary, source, fix }: RuleInfo): SarifRule {
  return {
    id: name,
    shortDescription: { text: summary },
    help: { text: fix },
    defaultConfiguration: { level: severity },
    properties: { source },
  };
}

function resultOf(
  { file, rule, severity, message, cvs, source, fix, line, column, silenced }: Finding,
  ruleIndex: number,
  index: number | undefined,
) {
  return {
    ruleId: rule,
    ruleIndex,
    level: severity,
    message: { text: `${message}. ${fix}` },
    locations: [
      {
        physicalLocation: {
          artifactLocation: { uri: uriOf(file), ...(index !== undefined && { index }) },
          ...(line !== undefined && {
            region: { startLine: line, ...(column !== undefined && { startColumn: column }) },
          }),
        },
      },
    ],
    ...(silenced !== undefined && { suppressions: [{ kind: "inSource", justification: silenced }] }),
    properties: { cvs, source, fix },
  };
}

/** A path as a URI reference (RFC 3986): relative paths stay relative. */
export function uriOf(path: string): string {
  // After a drive letter or in a UNC name backslashes are separators; elsewhere they may be part of a name.
  const windows = /^[A-Za-z]:[\\/]|^\\\\/.test(path);
  const slashed = windows || !path.includes("/") ? path.replaceAll("\\", "/") : path;
  const escaped = slashed.split("/").map(encodeSegment).join("/");
  if (/^[A-Za-z]%3A\//.test(escaped)) return `file:///${escaped.replace("%3A", ":")}`;
  if (slashed.startsWith("//")) return `file:${escaped}`;
  return slashed.startsWith("/") ? `file://${escaped}` : escaped;
}

function encodeSegment(segment: string): string {
  // encodeURIComponent() throws on half a surrogate pair.
  return encodeURIComponent(segment.replace(/[\ud800-\udfff]/gu, "\ufffd"));
}
