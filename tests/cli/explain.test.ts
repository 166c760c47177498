import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { command, examples, run } from "./run.js";

const scratch = newFolder();
const file = (name: string, content: string): string => {
  const path = join(scratch, name);
  writeFileSync(path, content);
  return path;
};

describe("a locomotive is explained", () => {
  test("by groups, with labels of options, and with what each key does in each direction", async () => {
    const { status, stdout } = await run(["explain", "no9.cvs.json"]);
    expect(status).toBe(0);
    const titles = stdout.split("\n").filter((line, i, all) => all[i - 1] === "" && !line.startsWith(" "));
    expect(titles).toEqual([
      "Address",
      "How it runs",
      "What the keys do",
      "What the outputs do",
      "Sounds, effects and levels",
      "Of no feature of Quillback S8:",
    ]);
    expect(stdout).toMatch(/^ {2}FL forwards +Front lamp +functionMap\.FL\(f\)$/m);
    expect(stdout).toMatch(/^ {2}FL in reverse +Rear lamp +functionMap\.FL\(r\)$/m);
    expect(stdout).toMatch(/^ {2}F5 +Whistle +keys\.whistle$/m);
    expect(stdout).toMatch(/^ {2}F10, F12 +nothing /m);
    expect(stdout).toMatch(/^ {2}Whistle +Three chime, for the valley +whistle$/m);
    expect(stdout).toMatch(/^ {2}Front lamp +Shows: forward; Effect: Brightens slowly; /m);
    expect(stdout).not.toMatch(/CV 224/);
  });

  test("with --bits, one setting a line and where it lives", async () => {
    const { stdout } = await run(["explain", "no9.cvs.json", "--bits"]);
    expect(stdout).toMatch(/^ {2}Boiler feed +Pump on the crosshead +CV 224 bits 0-2$/m);
    expect(stdout).toMatch(/^ {2}Extended address +1234 +CV 17, CV 18$/m);
  });

  test("settings and plans as well as CVs", async () => {
    const asCvs = (await run(["explain", "no9.cvs.json"])).stdout;
    const asSettings = (await run(["explain", "no9.settings.json"])).stdout;
    expect(asSettings).toBe(asCvs);
    const { stdout: plan } = await run(["plan", "no9.cvs.json", "--json"]);
    const asPlan = await run(["explain", "-", "-d", "quillback-s8"], { input: plan });
    expect(asPlan).toMatchObject({
      status: 0,
      stderr: "note: standard input is a plan; the values that it writes are taken\n",
    });
    // A plan has no name, and CV 7 and 8 cannot be written.
    const [, ...lines] = asCvs.slice(0, asCvs.indexOf("\nOf no feature of")).split("\n");
    expect(asPlan.stdout).toBe(["Quillback S8", ...lines].join("\n"));
  });

  test("of another decoder in one sentence", async () => {
    const { status, stdout, stderr } = await run(["explain", "no9.cvs.json", "-d", "dunlin-m6"]);
    expect(status).toBe(1);
    expect(stderr).toBe("note: no9.cvs.json is for quillback-s8, and is read as dunlin-m6\n");
    const [, wrong = ""] = /^Not right:\n([\s\S]*?)\n\n/m.exec(stdout) ?? [];
    expect(wrong).toMatch(
      /^ {2}these look like the numbers of another decoder: 39 of 39 CVs of the maker .*--decoder$/,
    );
  });
});

describe("a CV without a value is told with all that it may hold", () => {
  test("by the standard, bit by bit, and as the decoder uses it", async () => {
    const { status, stdout } = await run(["explain", "CV29"]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^CV 29: Configuration Data #1$/m);
    expect(stdout).toMatch(/^ {4}bit 5 {2}0: primary address in CV 1, 1: extended address in CV 17 and 18$/m);
    expect(stdout).toMatch(/^ {2}speedSteps +Speed steps: 14 \(adds 0.*28\/128 \(adds 2/m);
  });

  test("with the numbers that add up, and the factory value", async () => {
    const { stdout } = await run(["explain", "CV224, CV237", "-d", "quillback-s8"]);
    expect(stdout).toMatch(
      /feed +Boiler feed: crosshead-pump \(adds 6: Pump on the crosshead\), +CV 224 bits 0-2\n +lifting \(adds 4: Lifting injector\)/,
    );
    expect(stdout).toMatch(/stack +Exhaust: straight \(38: Straight stack, crisp\)/);
    expect(stdout).toMatch(/^The factory value is 148\.$/m);
    expect((await run(["explain", "CV", "29"])).stdout).toMatch(/^CV 29: /m);
    const json = await run(["explain", "350@73.22", "-d", "quillback-s8", "--json"]);
    expect(JSON.parse(json.stdout)).toMatchObject([
      { cv: "350@73.22", settings: [{ path: "flanges.above" }] },
    ]);
  });
});

describe("what is wrong", () => {
  test("a value that cannot be is told, whether CV 29 is there or not", async () => {
    for (const cvs of ["CV1=200", "CV1=200, CV29=2"]) {
      const { status, stdout } = await run(["explain", cvs]);
      expect(status).toBe(1);
      expect(stdout).toMatch(/^Not right:\n {2}.*200/m);
    }
    // What a question about one CV leaves out is no fault.
    expect(await run(["explain", "CV29=34"])).toMatchObject({ status: 0, stderr: "" });
  });

  test("one bad line does not hide the rest", async () => {
    const path = file("bad.txt", "CV1 = 3\nCV2 = many\nCV29 = 2\n");
    const { status, stdout, stderr } = await run(["explain", path]);
    expect(status).toBe(1);
    expect(stderr).toMatch(/bad\.txt:2:\d+: CV 2: expected a whole number from 0 to 255/);
    expect(stdout).toMatch(/^ {2}Primary address +3 /m);
    expect((await run(["explain", "CV1=3, CV2=many"])).stdout).toMatch(/^CV 1 = 3 /m);
    // Nothing but bad lines is no locomotive.
    expect(await run(["explain", file("worse.txt", "CV2 = many\n")])).toMatchObject({
      status: 2,
      stdout: "",
    });
  });

  test("eight digits of 0 and 1 could be two numbers", async () => {
    const ran = await run(["explain", "CV29 = 00000110"]);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/binary \(6\) or as decimal \(110\)/);
  });
});

describe("describe", () => {
  test("--numbers shows what each option adds, and the factory values", async () => {
    const { stdout } = await run(["describe", "quillback-s8", "--numbers"]);
    expect(stdout).toMatch(/^ {2}feed +Boiler feed: crosshead-pump \(adds 6: Pump .*CV 224 bits 0-2$/m);
    expect(stdout.replaceAll(/\s+/g, " ")).toMatch(
      /non-lifting \(adds 1: Non-lifting injector\); factory: Lifting injector/,
    );
    // A primary address as it comes; the extended one is not in use.
    expect(stdout.match(/\(kind \w+\); factory: 3/g)).toHaveLength(1);
    const plain = (await run(["describe", "quillback-s8"])).stdout;
    expect(plain).toMatch(/^ {2}feed +Boiler feed: /m);
    expect(plain).not.toMatch(/adds|factory:/);
  });

  test("one setting, an option a line; also of the decoder that a file names", async () => {
    const { stdout } = await run(["describe", "no9.cvs.json", "whistle"]);
    expect(stdout).toBe(`whistle: Whistle (CV 218 bits 4-6)
  80  three-chime  Three chime, for the valley
  48  five-chime   Five chime
  96  one-note     One note
  0   two-note     Two notes
  32  mill-hooter  Hooter of the old mill
  The factory value is: Three chime, for the valley
`);
    const ran = await run(["describe", "quillback-s8", "whistel"]);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/no setting "whistel"; did you mean "whistle"\?/);
  });
});

test("a file that the shell has emptied before it could be read is said to be so", () => {
  const path = file("keep.json", readFileSync(`${examples}no9.settings.json`, "utf8"));
  const { status, stderr } = spawnSync("sh", [
    "-c",
    '"$0" "$1" encode "$2" > "$2"',
    process.execPath,
    command,
    path,
  ]);
  expect(status).toBe(2);
  expect(String(stderr)).toMatch(/">" has emptied this file before it could be read; write "--output FILE"/);
});

test("equal complaints are one finding", async () => {
  const undescribed = Array.from({ length: 8 }, (_, i) => `CV${190 + i} = 1\n`).join("");
  const list = (await run(["encode", "no9.settings.json", "-f", "list"])).stdout;
  const { stdout } = await run(["check", "-"], { input: list + undescribed });
  expect(stdout).toMatch(/warning: CV 190-197 are not in the description of Quillback S8 \[unknown-cv\]$/m);
  expect(stdout).toMatch(/^1 file checked: 1 warning/m);
});

test("a decoder that cannot be had is unusable, not a finding", async () => {
  const { status, stdout } = await run(["check", "no9.cvs.json", "-d", "nofile"]);
  expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
});
