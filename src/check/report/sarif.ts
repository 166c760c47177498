import type { Finding, Severity } from "../finding.js";
import type { RuleInfo } from "../rule.js";
import type { Report } from "./report.js";

/** A report in SARIF 2.1.0 (OASIS, 2020): as much of its object model as is used here. */
export interface SarifLog {
  readonly $schema: string;
  readonly version: "2.1.0";
  readonly runs: readonly SarifRun[];
}

/** One run of the check. */
export interface SarifRun {
  readonly tool: {
    readonly driver: {
      readonly name: string;
      readonly version?: string;
      readonly rules: readonly SarifRule[];
    };
  };
  readonly artifacts: readonly { readonly location: { readonly uri: string } }[];
  readonly results: readonly SarifResult[];
  readonly columnKind: "utf16CodeUnits";
}

/** A rule, as SARIF describes it. */
export interface SarifRule {
  readonly id: string;
  readonly shortDescription?: { readonly text: string };
  readonly help?: { readonly text: string };
  readonly defaultConfiguration?: { readonly level: Severity };
  readonly properties?: { readonly source: string };
}

/** A finding, as SARIF describes it. */
export interface SarifResult {
  readonly ruleId: string;
  readonly ruleIndex: number;
  readonly level: Severity;
  readonly message: { readonly text: string };
  readonly locations: readonly {
    readonly physicalLocation: {
      readonly artifactLocation: { readonly uri: string; readonly index?: number };
      readonly region?: { readonly startLine: number; readonly startColumn?: number };
    };
  }[];
  readonly suppressions?: readonly { readonly kind: "inSource"; readonly justification: string }[];
  readonly properties: { readonly cvs: readonly string[]; readonly source: string; readonly mend: string };
}

/**
 * A report in SARIF 2.1.0, which code hosts and editors show beside the lines of files. Silenced findings
 * are there as suppressed results, with the reason.
 * @param report What the check has come to.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, formatSarif } from "cvset/check";
 * const findings = checkSet(CvSet.from({ 19: 5 }), { file: "no9.json" });
 * formatSarif({ files: ["no9.json"], findings }).runs[0]?.results[0]?.level; // "warning"
 */
export function formatSarif({ files, findings, rules = [], version }: Report): SarifLog {
  const described = new Map<string, SarifRule>(rules.map((rule) => [rule.name, ruleOf(rule)]));
  for (const { rule } of findings) if (!described.has(rule)) described.set(rule, { id: rule });
  const ruleIndex = new Map([...described.keys()].map((name, i) => [name, i]));
  const fileIndex = new Map(files.map((file, i) => [file, i]));
  const run: SarifRun = {
    tool: {
      driver: { name: "cvset", ...(version !== undefined && { version }), rules: [...described.values()] },
    },
    artifacts: files.map((file) => ({ location: { uri: uriOf(file) } })),
    results: findings.map((finding) => resultOf(finding, ruleIndex, fileIndex)),
    columnKind: "utf16CodeUnits",
  };
  return { $schema: "https://json.schemastore.org/sarif-2.1.0.json", version: "2.1.0", runs: [run] };
}

function ruleOf({ name, severity, summary, source, mend }: RuleInfo): SarifRule {
  return {
    id: name,
    shortDescription: { text: summary },
    help: { text: mend },
    defaultConfiguration: { level: severity },
    properties: { source },
  };
}

function resultOf(
  { file, rule, severity, message, cvs, source, mend, line, column, silenced }: Finding,
  ruleIndex: ReadonlyMap<string, number>,
  fileIndex: ReadonlyMap<string, number>,
): SarifResult {
  const index = fileIndex.get(file);
  return {
    ruleId: rule,
    ruleIndex: ruleIndex.get(rule) ?? -1,
    level: severity,
    message: { text: `${message}. ${mend}` },
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
    properties: { cvs, source, mend },
  };
}

/** A path as a URI reference (RFC 3986): relative paths stay relative. */
export function uriOf(path: string): string {
  // A drive letter or a UNC name says that backslashes separate here; elsewhere they may be part of a name.
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
