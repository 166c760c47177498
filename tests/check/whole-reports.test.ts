import {
  type CheckReport,
  type Finding,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  formatText,
  type RuleInfo,
} from "cvset/check";
import { describe, expect, test } from "vitest";

// One small report, whole in each format.

const lampRule: RuleInfo = {
  name: "club/lamp",
  severity: "error",
  summary: "The lamp is too bright.",
  source: "club rules, page 2",
  fix: "Dim it.",
};
const finding = (more: Partial<Finding>): Finding => ({
  file: "club/no 9.json",
  rule: "club/lamp",
  severity: "error",
  message: "CV 50 is 255",
  cvs: ["50"],
  source: "club rules, page 2",
  fix: "Dim it.",
  ...more,
});
const findings: Finding[] = [
  finding({ line: 4, column: 7 }),
  finding({ severity: "warning", cvs: [], message: "CV 50 & 51 differ", line: 5 }),
  finding({ severity: "note", rule: "club/bell", cvs: ["1", "300@16.0"] }),
  finding({ severity: "warning", silenced: "new lamp <soon>" }),
  finding({ file: "elsewhere.json" }),
];
const report: CheckReport = { files: ["club/no 9.json", "no10.json"], findings };
const more: CheckReport = { ...report, version: "1.2.3", rules: [lampRule], strict: true };

test("text: without a line no place, and without a column none either", () => {
  expect(formatText(more).split("\n")).toEqual([
    "club/no 9.json:4:7: error: CV 50 is 255 [club/lamp]",
    "    Dim it. (club rules, page 2)",
    "club/no 9.json:5: warning: CV 50 & 51 differ [club/lamp]",
    "    Dim it. (club rules, page 2)",
    "club/no 9.json: note: CV 50 is 255 [club/bell]",
    "    Dim it. (club rules, page 2)",
    "club/no 9.json: silenced warning: CV 50 is 255 [club/lamp]",
    "    new lamp <soon>",
    "elsewhere.json: error: CV 50 is 255 [club/lamp]",
    "    Dim it. (club rules, page 2)",
    "2 files checked: 2 errors, 1 warning, 1 note, 1 silenced",
    "",
  ]);
  expect(formatText({ files: ["a"], findings: [] })).toBe("1 file checked: nothing to report\n");
});

test("text: each severity and each silenced one is given its look", () => {
  const paint = (text: string, look: string) => `<${look}>${text}</>`;
  const first = formatText(report, { paint }).split("\n");
  expect([0, 2, 4, 6].map((line) => first[line])).toEqual([
    "club/no 9.json:4:7: <error>error</>: CV 50 is 255 [club/lamp]",
    "club/no 9.json:5: <warning>warning</>: CV 50 & 51 differ [club/lamp]",
    "club/no 9.json: <note>note</>: CV 50 is 255 [club/bell]",
    "club/no 9.json: <silenced>silenced warning</>: CV 50 is 255 [club/lamp]",
  ]);
});

test("JSON: the findings as they are, the number of files and the counts, indented, with a line end", () => {
  const whole = { files: 2, findings, errors: 2, warnings: 1, notes: 1, silenced: 1 };
  expect(formatJson(report)).toBe(`${JSON.stringify(whole, null, 2)}\n`);
});

test("workflow commands: with line and column as far as they are known", () => {
  expect(formatGithub(report).split("\n")).toEqual([
    "::error file=club/no 9.json,line=4,col=7,title=club/lamp::CV 50 is 255. Dim it.",
    "::warning file=club/no 9.json,line=5,title=club/lamp::CV 50 & 51 differ. Dim it.",
    "::notice file=club/no 9.json,title=club/bell::CV 50 is 255. Dim it.",
    "::error file=elsewhere.json,title=club/lamp::CV 50 is 255. Dim it.",
    "2 files checked: 2 errors, 1 warning, 1 note, 1 silenced",
    "",
  ]);
  // A column says nothing without a line.
  expect(formatGithub({ files: [], findings: [finding({ column: 7 })] }).split("\n")[0]).toBe(
    "::error file=club/no 9.json,title=club/lamp::CV 50 is 255. Dim it.",
  );
});

describe("SARIF", () => {
  const result = (severity: string, ruleIndex: number, place: object, others: object = {}) => ({
    ruleId: ruleIndex === 0 ? "club/lamp" : "club/bell",
    ruleIndex,
    level: severity,
    message: { text: "CV 50 is 255. Dim it." },
    locations: [{ physicalLocation: place }],
    properties: { cvs: ["50"], source: "club rules, page 2", fix: "Dim it." },
    ...others,
  });
  const artifactLocation = { uri: "club/no%209.json", index: 0 };
  const results = [
    result("error", 0, { artifactLocation, region: { startLine: 4, startColumn: 7 } }),
    result(
      "warning",
      0,
      { artifactLocation, region: { startLine: 5 } },
      {
        message: { text: "CV 50 & 51 differ. Dim it." },
        properties: { cvs: [], source: "club rules, page 2", fix: "Dim it." },
      },
    ),
    result(
      "note",
      1,
      { artifactLocation },
      { properties: { cvs: ["1", "300@16.0"], source: "club rules, page 2", fix: "Dim it." } },
    ),
    result(
      "warning",
      0,
      { artifactLocation },
      { suppressions: [{ kind: "inSource", justification: "new lamp <soon>" }] },
    ),
    result("error", 0, { artifactLocation: { uri: "elsewhere.json" } }),
  ];
  const log = (driver: object) => ({
    $schema: "https://json.schemastore.org/sarif-2.1.0.json",
    version: "2.1.0",
    runs: [
      {
        tool: { driver: { name: "cvset", ...driver } },
        artifacts: [{ location: { uri: "club/no%209.json" } }, { location: { uri: "no10.json" } }],
        columnKind: "utf16CodeUnits",
        results,
      },
    ],
  });

  test("has files, findings, and of rules that are given all that is known", () => {
    const described = {
      id: "club/lamp",
      shortDescription: { text: "The lamp is too bright." },
      help: { text: "Dim it." },
      defaultConfiguration: { level: "error" },
      properties: { source: "club rules, page 2" },
    };
    const text = formatSarif(more);
    expect(JSON.parse(text)).toEqual(log({ version: "1.2.3", rules: [described, { id: "club/bell" }] }));
    expect(text.endsWith("}\n")).toBe(true);
    expect(text).toContain('\n  "version": "2.1.0",\n');
  });

  test("has the names of rules alone without the list, and no version that is not given", () => {
    expect(JSON.parse(formatSarif(report))).toEqual(
      log({ rules: [{ id: "club/lamp" }, { id: "club/bell" }] }),
    );
  });

  test("numbers the rules of the list first", () => {
    const run = JSON.parse(formatSarif({ ...more, rules: [{ ...lampRule, name: "club/axle" }, lampRule] }))
      .runs[0];
    expect(run.tool.driver.rules.map(({ id }: { id: string }) => id)).toEqual([
      "club/axle",
      "club/lamp",
      "club/bell",
    ]);
    expect(run.results.map(({ ruleIndex }: { ruleIndex: number }) => ruleIndex)).toEqual([1, 1, 2, 1, 1]);
  });
});

describe("JUnit XML", () => {
  const head = '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites>\n';
  const suite = (attributes: string, properties: string, ...lines: string[]) =>
    [
      `  <testsuite ${attributes} errors="0" time="0">`,
      `    <properties><property name="tool" value="${properties}"/></properties>`,
      ...lines.map((line) => `    ${line}`),
      "    <system-err/>",
      "  </testsuite>",
      "",
    ].join("\n");
  const at = (name: string, id: number, host = "localhost", time = "1970-01-01T00:00:00") =>
    `name="${name}" package="cvset" id="${id}" timestamp="${time}" hostname="${host}"`;
  const failed = (title: string, text: string, message = "CV 50 is 255", file = "club/no 9.json") =>
    `<testcase classname="${file}" name="${title}" time="0"><failure type="club/lamp" message="${message}">${text}</failure></testcase>`;
  const error = "error: CV 50 is 255. Dim it. (club rules, page 2)";
  const warning = "warning: CV 50 &amp; 51 differ. Dim it. (club rules, page 2)";
  const note = "note: CV 50 is 255. Dim it. (club rules, page 2)";
  const silenced = "silenced warning: CV 50 is 255 (new lamp &lt;soon&gt;)";

  test("has a suite for each file; what does not fail is in the output of its suite", () => {
    expect(formatJunit(report)).toBe(
      [
        head,
        suite(
          `${at("club/no 9.json", 0)} tests="4" failures="1"`,
          "cvset",
          failed("club/lamp: CV 50, line 4", error),
          '<testcase classname="club/no 9.json" name="club/lamp, line 5" time="0"/>',
          '<testcase classname="club/no 9.json" name="club/bell: CV 1, 300@16.0" time="0"/>',
          '<testcase classname="club/no 9.json" name="club/lamp: CV 50" time="0"/>',
          `<system-out>${[warning, note, silenced].join("&#10;")}</system-out>`,
        ),
        suite(
          `${at("no10.json", 1)} tests="1" failures="0"`,
          "cvset",
          '<testcase classname="no10.json" name="no finding" time="0"/>',
          "<system-out></system-out>",
        ),
        suite(
          `${at("elsewhere.json", 2)} tests="1" failures="1"`,
          "cvset",
          failed("club/lamp: CV 50", error, "CV 50 is 255", "elsewhere.json"),
          "<system-out></system-out>",
        ),
        "</testsuites>\n",
      ].join(""),
    );
  });

  test("if strict, warnings fail too; version, time and machine are told where they are known", () => {
    const text = formatJunit(
      { ...more, files: [], findings: findings.slice(0, 4) },
      { timestamp: "2026-05-01T12:00:00", hostname: "club & co" },
    );
    expect(text).toBe(
      [
        head,
        suite(
          `${at("club/no 9.json", 0, "club &amp; co", "2026-05-01T12:00:00")} tests="4" failures="2"`,
          "cvset 1.2.3",
          failed("club/lamp: CV 50, line 4", error),
          failed("club/lamp, line 5", warning, "CV 50 &amp; 51 differ"),
          '<testcase classname="club/no 9.json" name="club/bell: CV 1, 300@16.0" time="0"/>',
          '<testcase classname="club/no 9.json" name="club/lamp: CV 50" time="0"/>',
          `<system-out>${[note, silenced].join("&#10;")}</system-out>`,
        ),
        "</testsuites>\n",
      ].join(""),
    );
  });

  test("calls a file without a name -", () => {
    expect(formatJunit({ files: [""], findings: [] })).toContain(
      '<testsuite name="-" package="cvset" id="0"',
    );
  });
});
