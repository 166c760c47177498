import { spawn } from "node:child_process";
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import { XMLParser } from "fast-xml-parser";
import { describe, expect, test } from "vitest";
import { ruleList, standardRules } from "../../src/check/index.js";
import { descriptionRule } from "../../src/cli/fleet-input.js";
import { newFolder } from "../support/folders.js";
import { command, run } from "./run.js";

const scratch = newFolder();
let folders = 0;
/** A fresh folder with these files. */
const folder = (files: Readonly<Record<string, string | Uint8Array>>): string => {
  const path = join(scratch, String(++folders));
  mkdirSync(path);
  for (const [name, content] of Object.entries(files)) writeFileSync(join(path, name), content);
  return path;
};
interface Reported {
  readonly file: string;
  readonly rule: string;
  readonly severity: string;
  readonly message: string;
  readonly cvs: readonly string[];
  readonly source: string;
  readonly silenced?: string;
}
const checkJson = async (
  args: readonly string[],
  input = "",
): Promise<{ status: number | null; files: number; findings: Reported[] }> => {
  const { status, stdout } = await run(["check", ...args, "--json"], { input });
  return { status, ...JSON.parse(stdout) };
};

describe("findings", () => {
  test("a locomotive that makes sense has no error, as a CV set and as settings", async () => {
    for (const path of ["no9.cvs.json", "no9.settings.json"]) {
      const { status, findings } = await checkJson([path]);
      expect(status).toBe(0);
      expect(findings.filter(({ severity }) => severity !== "note")).toEqual([]);
    }
  });

  test("have the keys that programs rely on", async () => {
    const { status, files, findings } = await checkJson(["-"], "CV1 = 0\n");
    expect(status).toBe(1);
    expect(files).toBe(1);
    const validate = new Ajv2020().compile({
      type: "object",
      properties: {
        file: { type: "string" },
        rule: { type: "string" },
        severity: { enum: ["error", "warning", "note"] },
        message: { type: "string", minLength: 1 },
        cvs: { type: "array", items: { type: "string" } },
        source: { type: "string", minLength: 1 },
        fix: { type: "string", minLength: 1 },
      },
      required: ["file", "rule", "severity", "message", "cvs", "source", "fix"],
    });
    // S-9.2.2 (July 2012), CV 1: 0 is the alternate power source.
    expect(findings.filter(({ severity }) => severity === "error")).toMatchObject([
      { file: "standard input", rule: "primary-address", severity: "error", cvs: ["1"] },
    ]);
    for (const finding of findings) expect(validate(finding), JSON.stringify(validate.errors)).toBe(true);
  });

  test("two locomotives with one address, across a folder; long and short are told apart", async () => {
    const path = folder({
      "a.txt": "CV1=3\nCV29=2\n",
      "b.txt": "CV1=3\nCV29=2\n",
      "c.txt": "CV1=9\nCV17=192\nCV18=3\nCV29=34\n",
      "d.json": '{"cvs":{"1":9,"29":2}}',
    });
    const { findings, files } = await checkJson([path]);
    expect(files).toBe(4);
    const same = findings.filter(({ rule }) => rule === "same-address");
    expect(same.map(({ file }) => file.slice(-5))).toEqual(["a.txt", "b.txt"]);
  });

  test("a finding that the file silences, with a reason, is counted and does not fail", async () => {
    const loud = folder({ "a.json": '{"cvs":{"1":120,"29":2}}' });
    expect((await run(["check", loud, "--strict"])).status).toBe(1);
    const silence = '[{"rule":"primary-address-service-mode","reason":"our command station waits"}]';
    const { findings } = await checkJson([loud]);
    const [rule] = findings.filter(({ severity }) => severity === "warning").map((finding) => finding.rule);
    const quiet = folder({
      "a.json": `{"cvs":{"1":120,"29":2},"silence":${silence.replace("primary-address-service-mode", rule ?? "")}}`,
    });
    const report = await checkJson([quiet, "--strict"]);
    expect(report.status).toBe(0);
    expect(report.findings.find((finding) => finding.rule === rule)?.silenced).toBe(
      "our command station waits",
    );
    expect((await run(["check", quiet])).stdout).toMatch(/1 silenced/);
  });

  test("--strict makes warnings fail", async () => {
    const path = folder({ "a.txt": "CV1=120\nCV29=2\n" });
    expect((await run(["check", path])).status).toBe(0);
    expect((await run(["check", path, "--strict"])).status).toBe(1);
  });

  test("--stop-within judges momentum", async () => {
    const path = folder({ "a.txt": "CV4=255\nCV29=2\n" });
    expect((await checkJson([path])).findings.map(({ rule }) => rule)).not.toContain("long-stop");
    const { findings } = await checkJson([path, "--stop-within", "500", "--top-speed", "300"]);
    // 255 * 0.896 s at half of 300 mm/s: S-9.2.2 (July 2012), CV 4.
    expect(findings).toContainEqual(
      expect.objectContaining({
        rule: "long-stop",
        cvs: ["4"],
        message: "from 300 mm/s the locomotive takes 228.5 s and 34272 mm to stop; 500 mm are allowed",
      }),
    );
    expect((await run(["check", path, "--stop-within", "500"])).status).toBe(2);
  });

  test("settings that cannot be stored are findings with their lines", async () => {
    const { status, stdout } = await run(["check", "misspelt.settings.json"]);
    expect(status).toBe(1);
    expect(stdout).toContain("misspelt.settings.json:5:");
    expect(stdout).toContain("misspelt.settings.json:6:");
  });
});

describe("formats", () => {
  const path = folder({ "a.txt": "CV1=0\n", "b.txt": "CV29=2\n" });

  test("sarif", async () => {
    const { status, stdout } = await run(["check", path, "--format", "sarif"]);
    expect(status).toBe(1);
    const log = JSON.parse(stdout);
    expect(log.version).toBe("2.1.0");
    expect(log.runs[0].results[0]).toMatchObject({ ruleId: "primary-address", level: "error" });
  });

  test("junit", async () => {
    const { status, stdout } = await run(["check", path, "--format", "junit"]);
    expect(status).toBe(1);
    const { testsuites } = new XMLParser({ ignoreAttributes: false }).parse(stdout);
    expect(testsuites.testsuite).toHaveLength(2);
  });

  test("github", async () => {
    const { status, stdout } = await run(["check", path, "--format", "github"]);
    expect(status).toBe(1);
    expect(stdout).toMatch(/^::error file=.*a\.txt,line=1/m);
  });
});

describe("untrusted input", () => {
  test.each<[string, string | Uint8Array, RegExp]>([
    ["empty", "", /a\.json:1:1: error: the file is empty/],
    ["binary", new Uint8Array([0, 200, 3, 255]), /a\.json:1:2: error: the byte C8 is not UTF-8 here/],
    [
      "UTF-16",
      new Uint8Array([0xff, 0xfe, 0x43, 0]),
      /a\.json:1:1: error: this is UTF-16, by its byte-order/,
    ],
    ["1e400", '{"1":1e400}', /a\.json:1:6: error: CV 1: expected .* got 1e400 \[value-out-of-range\]/],
    ["-0", '{"1":-0}', /a\.json:1:6: error: CV 1: expected .* got -0 \[value-out-of-range\]/],
    ["3.0", '{"1":3.0}', /a\.json:1:6: error: CV 1: expected .* got 3\.0 \[value-out-of-range\]/],
    ["a text", '{"1":"3"}', /a\.json:1:6: error: CV 1: expected .* without quotes, got "3"/],
    ["true", '{"1":true}', /a\.json:1:6: error: CV 1: expected .* got true \[value-out-of-range\]/],
    ["a key twice", '{"29":6,"29":34}', /a\.json:1:9: error: CV 29: the key "29" is given twice/],
    ["__proto__", '{"__proto__":3,"1":3}', /a\.json:1:2: error: .* got "__proto__" \[cv-out-of-range\]/],
    ["nested deeply", `{"cvs":${"[".repeat(10_000)}`, /a\.json:1:107: error: .* more than 100 levels deep/],
    ["an unknown decoder", '{"decoder":"nobodys","cvs":{"1":3}}', /there is no built-in decoder "nobodys"/],
  ])("%s is a finding, not a crash", async (_, content, reason) => {
    const { status, stdout, stderr } = await run(["check", folder({ "a.json": content })]);
    expect(`${stdout}${stderr}`).toMatch(reason);
    expect(`${stdout}${stderr}`).not.toMatch(/\n\s+at |itself failed/);
    expect(stdout).toMatch(/1 file checked/);
    expect(status).toBe(1);
  });

  test("a line of 50 MB is a finding", async () => {
    const path = folder({
      "a.jsonl": `{"cvs":{"1":3,"29":2}}\n${"x".repeat(50 * 2 ** 20)}\n{"cvs":{"1":3,"29":2}}\n`,
    });
    const { status, stdout } = await run(["check", path]);
    expect(status).toBe(1);
    expect(stdout).toMatch(/a\.jsonl:2.*error/);
    expect(stdout).toMatch(/primary address 3 is also the address of/);
  });

  test("a name of nothing is unusable: status 2, and nothing is checked", async () => {
    const { status, stdout, stderr } = await run(["check", "no9.cvs.json", "nowhere.json"]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toContain("nowhere.json: there is no such file");
  });

  test("a file that vanishes between finding and reading it is a finding", async () => {
    const path = folder({ "a.txt": "CV1=3\nCV29=2\n" });
    symlinkSync(join(path, "gone.txt"), join(path, "b.txt"));
    const { status, findings, files } = await checkJson([path]);
    expect({ status, files }).toEqual({ status: 1, files: 2 });
    expect(findings.find(({ file }) => file.endsWith("b.txt"))).toMatchObject({
      severity: "error",
      message: "there is no such file",
    });
  });

  test("a folder with nothing to check is unusable", async () => {
    const { status, stdout, stderr } = await run(["check", folder({ "a.png": "" })]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(/^there is no file to check \(\.json, \.jsonl, \.csv, \.txt\) in /);
  });

  test.each([
    ["its error is the first", '{"cvs":{"1":0,"29":2}}\n', ""],
    ["its error is the last", "", '{"cvs":{"1":0,"29":2}}\n'],
  ])(
    "a reader that closes the pipe ends it quietly, and the status tells of the whole file: %s",
    async (_, first, last) => {
      // Address 120 is a warning in each of these lines.
      const lines = Array.from({ length: 3000 }, () => '{"cvs":{"1":120,"29":2}}\n').join("");
      const path = join(folder({ "a.jsonl": `${first}${lines}${last}` }), "a.jsonl");
      const child = spawn(process.execPath, [command, "check", path]);
      let stderr = "";
      child.stderr.on("data", (chunk) => {
        stderr += chunk;
      });
      child.stdout.once("data", () => child.stdout.destroy());
      const status = await new Promise((resolve) => child.on("close", resolve));
      expect(stderr).toBe("");
      expect(status).toBe(1);
    },
  );

  test("a report in a file is whole, though nobody reads standard output", async () => {
    const path = folder({ "a.jsonl": '{"cvs":{"1":0,"29":2}}\n'.repeat(3) });
    const report = join(path, "report");
    const ran = await run(["check", path, "-o", report], { closedAfter: 0 });
    expect(ran).toEqual({ status: 1, stdout: "", stderr: "" });
    expect(readFileSync(report, "utf8")).toMatch(/^3 sets in 1 file checked: /m);
  });

  test("how far it has come is shown every 500 sets, where standard error is a terminal", async () => {
    const lines = Array.from({ length: 1001 }, (_, i) => `{"cvs":{"1":${(i % 99) + 1},"29":2}}\n`).join("");
    const path = folder({ "a.jsonl": lines });
    const { stderr } = await run(["check", path, "-f", "junit"], { progress: true });
    expect(stderr).toBe("\r\u001b[K500 checked\r\u001b[K1000 checked\r\u001b[K");
    expect((await run(["check", path, "-f", "junit"])).stderr).toBe("");
  });

  test("--rules lists every rule with its source", async () => {
    const { status, stdout } = await run(["check", "--rules"]);
    const entries = stdout.split(/^(?=\S)/m).map((entry) => entry.replaceAll(/\s+/g, " ").trim());
    const rules = [...ruleList(standardRules), descriptionRule];
    for (const { name, source } of rules) expect(source, name).not.toBe("");
    expect(entries).toEqual(
      rules.map(({ name, severity, summary, source }) => `${name} (${severity}) ${summary} ${source}`),
    );
    expect(status).toBe(0);
  });
});
