import { aText, need, needIn, objectOf } from "../../cv/argument.js";
import { escapeXml } from "../../cv/text/escape-xml.js";
import type { Finding } from "../finding.js";
import { aReport, type CheckReport } from "./report.js";

const ofJunit = /* @__PURE__ */ objectOf({ "timestamp?": aText, "hostname?": aText });

/**
 * A report in JUnit XML: a test suite for each file, with a test case for each finding; a file without a
 * finding has one case that passes. Errors are failures, and if strict warnings too. All others pass, and are
 * in the output of the suite, as silenced findings are. It is valid by both published schemas: that of the
 * Ant task and that of Jenkins.
 * @param report The result of the check.
 * @param options `timestamp`: when the check ran, without a time zone, such as `"2026-05-01T12:00:00"`;
 *   `hostname`: the machine, `"localhost"` without it.
 * @example
 * import { formatJunit } from "cvset/check";
 * formatJunit({ files: ["a.json"], findings: [] }).includes('tests="1" failures="0"'); // true
 */
export function formatJunit(
  report: CheckReport,
  options: { readonly timestamp?: string; readonly hostname?: string } = {},
): string {
  need(aReport, report, "report");
  needIn(ofJunit, options, "options");
  const { timestamp = "1970-01-01T00:00:00", hostname = "localhost" } = options;
  const byFile = new Map<string, Finding[]>(report.files.map((file) => [file, []]));
  for (const finding of report.findings) {
    const findings = byFile.get(finding.file);
    if (findings) findings.push(finding);
    else byFile.set(finding.file, [finding]);
  }
  let text = junitHead;
  let id = 0;
  for (const [file, findings] of byFile) {
    text += junitSuite(file, findings, { ...report, id: id++, timestamp, hostname });
  }
  return `${text}${junitFoot}`;
}

/** What a report begins with. */
export const junitHead = '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites>\n';
/** What a report ends with. */
export const junitFoot = "</testsuites>\n";

/** What the suites of a report share, and the number of one. */
interface SuiteOptions extends Pick<CheckReport, "strict" | "version"> {
  readonly id: number;
  readonly timestamp: string;
  readonly hostname: string;
}

/** The suite of one file, or of a part of its findings. */
export function junitSuite(file: string, findings: readonly Finding[], options: SuiteOptions): string {
  const { id, timestamp, hostname, version } = options;
  const failures = findings.filter((finding) => fails(finding, options)).length;
  const name = xml(file) || "-";
  const lines = [
    `  <testsuite name="${name}" package="cvset" id="${id}" timestamp="${xml(timestamp)}" hostname="${xml(hostname)}"` +
      ` tests="${Math.max(1, findings.length)}" failures="${failures}" errors="0" time="0">`,
    // By the Ant schema there must be properties, by the Jenkins schema at least one.
    `    <properties><property name="tool" value="cvset${version === undefined ? "" : ` ${xml(version)}`}"/></properties>`,
  ];
  if (findings.length === 0) lines.push(`    ${caseOf(name, "no finding")}/>`);
  for (const finding of findings) {
    const start = `    ${caseOf(name, xml(titleOf(finding)))}`;
    if (!fails(finding, options)) lines.push(`${start}/>`);
    else {
      const { rule, message } = finding;
      const failure = `<failure type="${xml(rule)}" message="${xml(message)}">${xml(detail(finding))}</failure>`;
      lines.push(`${start}>${failure}</testcase>`);
    }
  }
  const passed = findings.filter((finding) => !fails(finding, options)).map(detail);
  lines.push(
    `    <system-out>${xml(passed.join("\n"))}</system-out>`,
    "    <system-err/>",
    "  </testsuite>",
    "",
  );
  return lines.join("\n");
}

function caseOf(suite: string, name: string): string {
  return `<testcase classname="${suite}" name="${name}" time="0"`;
}

function titleOf({ rule, cvs, line }: Finding): string {
  const about = cvs.length > 4 ? `${cvs.slice(0, 4).join(", ")}, ...` : cvs.join(", ");
  return `${rule}${about && `: CV ${about}`}${line === undefined ? "" : `, line ${line}`}`;
}

function detail({ severity, message, fix, source, silenced }: Finding): string {
  return silenced === undefined
    ? `${severity}: ${message}. ${fix} (${source})`
    : `silenced ${severity}: ${message} (${silenced})`;
}

/** Text for an element or an attribute; line breaks and tabs in an attribute are kept too. */
function xml(text: string): string {
  return escapeXml(text).replace(/[\t\n\r]/g, (character) => `&#${character.charCodeAt(0)};`);
}

/** Whether a finding alone makes the check fail. */
function fails({ severity, silenced }: Finding, { strict }: Pick<CheckReport, "strict">): boolean {
  return silenced === undefined && (severity === "error" || (strict === true && severity === "warning"));
}
