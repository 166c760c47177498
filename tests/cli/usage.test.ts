import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { main } from "../../src/cli/main.js";
import { newFolder } from "../support/folders.js";
import { run } from "./run.js";

const folder = newFolder();

function file(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const dunlin = file("dunlin.json", '{"decoder":"dunlin-m6","cvs":{"1":3}}');

test("what fails in the command itself is told as such, with the name of the error", async () => {
  const said: string[] = [];
  const status = await main(["address", "3"], {
    out: () => Promise.reject(new TypeError("no output\u202e")),
    err: (text) => void said.push(text),
    stdin: () => {
      throw new Error("not read");
    },
    isClosed: () => false,
    colour: false,
    progress: false,
    width: 80,
  });
  expect({ status, said }).toEqual({
    status: 2,
    said: [
      "cvset itself failed: TypeError: no output\\u202e\n",
      "please report this, with the command line and the files\n",
    ],
  });
});

test("standard input that fails in another way than a file does is a failure of the command", async () => {
  const failing = (error: Error) => () => ({
    [Symbol.asyncIterator]: () => ({ next: () => Promise.reject(error) }),
  });
  const ran = async (error: Error): Promise<string> => {
    const said: string[] = [];
    await main(["decode", "-"], {
      out: async () => {},
      err: (text) => void said.push(text),
      stdin: failing(error),
      isClosed: () => false,
      colour: false,
      progress: false,
      width: 80,
    });
    return said[0] ?? "";
  };
  expect(await ran(new RangeError("odd"))).toBe("cvset itself failed: RangeError: odd\n");
  const unreadable = (code: string): Error => Object.assign(new Error("odd"), { code });
  for (const [code, words] of [
    ["ENOENT", "there is no such file"],
    ["EISDIR", "this is a folder, and a file is needed"],
    ["EACCES", "it may not be read (permission)"],
    ["EPERM", "it may not be read (permission)"],
    ["ELOOP", "links lead in a circle"],
    ["EIO", "it cannot be read (EIO)"],
  ])
    expect(await ran(unreadable(code ?? ""))).toBe(`standard input: ${words}\n`);
});

describe("a command line that cannot be meant is refused, and says why", () => {
  test.each([
    ["a value with a dash", ["curve", "--start", "-5", "--top", "9"], /--start needs a value; .*--start=-/],
    ["a misspelt option", ["encode", "x.json", "--nearst"], /did you mean --nearest\?/],
    ["too few files", ["diff", "a.json"], /got 1 argument \(cvset diff A B\)/],
    ["two formats", ["encode", "no9.settings.json", "--json", "-f", "csv"], /contradict/],
    ["two formats of a check", ["check", "no9.cvs.json", "--json", "-f", "sarif"], /contradict/],
    ["two decoders to describe", ["describe", "nmra", "-d", "dunlin-m6"], /Dunlin M6 has no setting "nmra"/],
    ["--json and --schema", ["describe", "nmra", "--json", "--schema"], /one of them/],
    ["standard input twice", ["encode", "-", "--decoder", "-"], /standard input can be read only once/],
    ["no file name", ["encode", ""], /"" is not the name of a file/],
    [
      "a picture on standard output",
      ["curve", "--start", "4", "--top", "9", "--svg", "-"],
      /"-" is not the name of a file/,
    ],
    [
      "a folder that is not there",
      ["curve", "--start", "4", "--top", "9", "--svg", "no/x.svg"],
      /no such folder/,
    ],
    ["half a level", ["curve", "--start", "4.5", "--top", "9"], /--start 4.5: expected a whole number/],
    [
      "a falling curve",
      ["curve", "--start", "9", "--top", "4"],
      /^--top: expected a value that is not below the start, 9, got 4/,
    ],
    ["--mid-step alone", ["curve", "--start", "4", "--top", "9", "--mid-step", "3"], /only with --mid/],
    [
      "a shape for --from",
      ["curve", "--from", "no9.cvs.json", "--top", "9", "--shape", "power"],
      /not with --from/,
    ],
    ["no table to move", ["curve", "--from", dunlin, "--top", "9"], /dunlin\.json: /],
    [
      "slower at the top",
      ["match", "runs.csv", "--scale", "O", "--length", "2", "--start", "35", "--top", "1"],
      /--top 1: expected not less than --start, 35 mph/,
    ],
    [
      "as nobody",
      ["match", "runs.csv", "--scale", "O", "--length", "2", "--as", "nobody"],
      /--as nobody: expected slowest, or one of No\. 9, No\. 11/,
    ],
    [
      "no scale",
      ["match", "runs.csv", "--scale", "Q", "--start", "1", "--top", "9"],
      /^--scale: expected a scale: .*; got "Q"/,
    ],
    [
      "no length",
      ["match", "runs.csv", "--start", "1", "--top", "9"],
      /^runs\.csv:4: seconds: .*--length METRES.*\n.*--scale SCALE/,
    ],
    [
      "momentum above a byte",
      ["match", "runs.csv", "--as", "slowest", "--deceleration", "300"],
      /--deceleration 300: /,
    ],
    [
      "a stop within less than nothing",
      ["check", "no9.cvs.json", "--stop-within=-5", "--top-speed", "9"],
      /--stop-within -5/,
    ],
    [
      "a base of another decoder",
      ["encode", "no9.settings.json", "--base", dunlin],
      /for quillback-s8 and .* for dunlin-m6/,
    ],
    [
      "a plan from one decoder to another",
      ["plan", "no9.cvs.json", dunlin],
      /for quillback-s8 and .* for dunlin-m6/,
    ],
    [
      "a proof with another decoder",
      ["verify", "no9.cvs.json", dunlin],
      /for quillback-s8 and .* for dunlin-m6/,
    ],
    [
      "a description as a CV set",
      ["decode", "quillback-s8.json"],
      /this is a decoder description; expected CVs/,
    ],
    [
      "a list as a description",
      ["describe", "-"],
      /standard input: this is a settings file; expected a decoder description/,
    ],
    ["a CV that is none", ["explain", "CV1025"], /expected a CV number from 1 to 1024, .* got "CV1025"/],
    ["only timed runs to check", ["check", "runs.csv"], /there is nothing to check among these/],
  ])("%s", async (_, args, reason) => {
    const { status, stdout, stderr } = await run(args, { input: '{"settings":{}}' });
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(reason);
    expect(stderr).not.toMatch(/itself failed|undefined|NaN/);
  });
});

test("CVs that the shell took apart are explained together, a pair as the address that it is", async () => {
  const { status, stdout } = await run(["explain", "CV17=196", "CV18=210"]);
  expect(status).toBe(0);
  expect(stdout).toContain("CV 17 and 18 together: extended address 1234, in use while CV 29 bit 5 is 1");
});

test("encode and decode keep a remark and what is silenced", async () => {
  const head = { decoder: "quillback-s8", note: "new lamp", silence: [{ rule: "x", reason: "y" }] };
  const path = file("remark.json", JSON.stringify({ ...head, settings: { fuel: "oil" } }));
  const encoded = await run(["encode", path]);
  expect(JSON.parse(encoded.stdout)).toMatchObject(head);
  const decoded = await run(["decode", "-"], { input: encoded.stdout });
  expect(JSON.parse(decoded.stdout)).toMatchObject({ ...head, settings: { fuel: "oil" } });
  const list = await run(["encode", path, "--format", "list"]);
  expect(list.status).toBe(0);
  expect(list.stderr).toBe(`note: ${path}: note, silence: a list has no place for this; JSON has\n`);
});

test("what cannot be decoded in full points to --partial", async () => {
  const { status, stderr } = await run(["decode", "-"], { input: "CV3 = 3\n" });
  expect(status).toBe(2);
  expect(stderr).toMatch(/with --partial, the settings that can be read are written/);
});

test("a file that is named twice is checked once", async () => {
  const { stdout } = await run(["check", "no9.cvs.json", "./no9.cvs.json"]);
  expect(stdout).toMatch(/^1 file checked: /m);
});

test("descriptions among the files to check are checked as such", async () => {
  const { status, stdout, stderr } = await run(["check", "no9.cvs.json", "quillback-s8.json"]);
  expect(status).toBe(0);
  expect(stdout).toMatch(/^2 files checked: /m);
  expect(stderr).toBe("");
});

test("describe tells the step of a number, and a feature without a label has no empty one", async () => {
  const path = file(
    "plover-r3.json",
    JSON.stringify({
      id: "plover-r3",
      name: "Plover R3",
      kind: "multifunction",
      features: {
        volume: { codec: "level", place: 114, unit: "%", max: 100, step: 0.5 },
        drains: { codec: "switched", place: { cv: 115, bit: 0 }, item: { codec: "level", place: 116 } },
      },
    }),
  );
  const { stdout } = await run(["describe", path]);
  expect(stdout).toMatch(/^ {2}volume +0 to 100 %, by 0\.5 +CV 114$/m);
  expect(stdout).toMatch(/^ {2}drains +off, or +CV 115 bit 0$/m);
});
