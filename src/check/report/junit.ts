import { type Finding, fails } from "../finding.js";
import type { Report } from "./report.js";

/** What a report in JUnit XML may be told. */
export interface JunitOptions {
  /** When the check ran, without a time zone: `"2026-05-01T12:00:00"`. */
  readonly timestamp?: string;
  /** On which machine; `"localhost"` without it. */
  readonly hostname?: string;
}

/**
 * A report in JUnit XML: a test suite for each file, with a test case for each finding; a file without one
 * has a case that passes. Errors are failures, and if strict warnings too; all else passes, and is told in
 * the output of the suite, as silenced findings are. It fits both published schemas: that of the Ant task
 * and that of Jenkins.
 * @param report What the check has come to.
 * @param options When and where.
 * @example
 * import { formatJunit } from "cvset/check";
 * formatJunit({ files: ["a.json"], findings: [] }).includes('tests="1" failures="0"'); // true
 */
export function formatJunit(report: Report, options: JunitOptions = {}): string {
  const { timestamp = "1970-01-01T00:00:00", hostname = "localhost" } = options;
  const byFile = new Map<string, Finding[]>(report.files.map((file) => [file, []]));
  for (const finding of report.findings) {
    const findings = byFile.get(finding.file);
    if (findings) findings.push(finding);
    else byFile.set(finding.file, [finding]);
  }
  const lines = ['<?xml version="1.0" encoding="UTF-8"?>', "<testsuites>"];
  let id = 0;
  for (const [file, findings] of byFile) {
    const failures = findings.filter((finding) => fails(finding, report)).length;
    const name = xml(file) || "-";
    lines.push(
      `  <testsuite name="${name}" package="cvset" id="${id++}" timestamp="${xml(timestamp)}" hostname="${xml(hostname)}"` +
        ` tests="${Math.max(1, findings.length)}" failures="${failures}" errors="0" time="0">`,
      // Jenkins wants a property where there are properties, and Ant wants properties.
      `    <properties><property name="tool" value="cvset${report.version === undefined ? "" : ` ${xml(report.version)}`}"/></properties>`,
    );
    if (findings.length === 0) lines.push(`    ${caseOf(name, "no finding")}/>`);
    for (const finding of findings) {
      const start = `    ${caseOf(name, xml(titleOf(finding)))}`;
      if (!fails(finding, report)) lines.push(`${start}/>`);
      else {
        const { rule, message } = finding;
        const failure = `<failure type="${xml(rule)}" message="${xml(message)}">${xml(detail(finding))}</failure>`;
        lines.push(`${start}>${failure}</testcase>`);
      }
    }
    const told = findings.filter((finding) => !fails(finding, report)).map(detail);
    lines.push(`    <system-out>${xml(told.join("\n"))}</system-out>`, "    <system-err/>", "  </testsuite>");
  }
  return [...lines, "</testsuites>", ""].join("\n");
}

function caseOf(suite: string, name: string): string {
  return `<testcase classname="${suite}" name="${name}" time="0"`;
}

function titleOf({ rule, cvs, line }: Finding): string {
  const about = cvs.length > 4 ? `${cvs.slice(0, 4).join(", ")}, ...` : cvs.join(", ");
  return `${rule}${about && `: CV ${about}`}${line === undefined ? "" : `, line ${line}`}`;
}

function detail({ severity, message, mend, source, silenced }: Finding): string {
  return silenced === undefined
    ? `${severity}: ${message}. ${mend} (${source})`
    : `silenced ${severity}: ${message} (${silenced})`;
}

/** Text for XML 1.0: marks escaped, and characters that XML cannot hold replaced by U+FFFD. */
function xml(text: string): string {
  return (
    text
      // biome-ignore lint/suspicious/noControlCharactersInRegex: XML 1.0 has no way to write these.
      .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udfff]/gu, "\ufffd")
      .replaceAll("&", "&amp;")
      .replaceAll("<", "&lt;")
      .replaceAll(">", "&gt;")
      .replaceAll('"', "&quot;")
      .replaceAll("\t", "&#9;")
      .replaceAll("\r", "&#13;")
      .replaceAll("\n", "&#10;")
  );
}
