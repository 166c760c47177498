import { spawnSync } from "node:child_process";
import {
  closeSync,
  constants,
  linkSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { basename, join } from "node:path";
import { beforeEach, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { command, examples, run } from "./run.js";

// What was there stays, unless everything went well.

let folder = "";
beforeEach(() => {
  folder = newFolder();
});
const file = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};
const read = (name: string): string => readFileSync(join(folder, name), "utf8");
const no9 = readFileSync(`${examples}no9.cvs.json`, "utf8");
const curve = ["curve", "--start", "4", "--top", "255"];

describe("a file that is read is not written over", () => {
  test.each<[string, (input: string) => string]>([
    ["by its name", (input) => input],
    ["by another spelling of its name", () => `${folder}/../${basename(folder)}/./in.json`],
    [
      "by a link",
      (input) => {
        symlinkSync(input, join(folder, "link.json"));
        return join(folder, "link.json");
      },
    ],
    [
      "by a hard link",
      (input) => {
        linkSync(input, join(folder, "hard.json"));
        return join(folder, "hard.json");
      },
    ],
  ])("%s", async (_, name) => {
    const input = file("in.json", no9);
    const output = name(input);
    for (const args of [
      ["curve", "--from", input, "--top", "99", "--svg", output],
      ["decode", input, "-o", output],
      ["check", folder, "-o", output],
    ]) {
      const { status, stdout, stderr } = await run(args);
      expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
      expect(stderr).toMatch(/: this file is read here, so it is not written/);
      expect(read("in.json")).toBe(no9);
    }
  });

  test("nor is standard input", async () => {
    const input = file("in.json", no9);
    const { status, stderr } = spawnSync("sh", [
      "-c",
      `"$0" "$1" decode - -o "$2" < "$2"`,
      process.execPath,
      command,
      input,
    ]);
    expect(status).toBe(2);
    expect(String(stderr)).toMatch(/this file is read here/);
    expect(read("in.json")).toBe(no9);
  });
});

describe("several files are written all or none", () => {
  test("two results for one file are refused", async () => {
    const svg = join(folder, "a.svg");
    symlinkSync(svg, join(folder, "b.svg"));
    for (const output of [svg, `${folder}/./a.svg`, join(folder, "b.svg")]) {
      const { status, stdout, stderr } = await run([...curve, "--svg", svg, "-o", output]);
      expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
      expect(stderr).toMatch(/two results would go to this file/);
      expect(readdirSync(folder)).toEqual(["b.svg"]);
    }
  });

  test("when one cannot be written, none is", async () => {
    file("a.svg", "before");
    const args = [...curve, "--svg", join(folder, "a.svg"), "-o", join(folder, "nowhere/b.txt")];
    const { status, stdout, stderr } = await run(args);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(/nowhere\/b\.txt: it cannot be written \(there is no such folder\)/);
    expect(readdirSync(folder)).toEqual(["a.svg"]);
    expect(read("a.svg")).toBe("before");
  });

  test("both are there when all went well, and nothing beside them", async () => {
    file("a.svg", "before");
    const args = [...curve, "--svg", join(folder, "a.svg"), "-o", join(folder, "b.txt")];
    expect(await run(args)).toEqual({ status: 0, stdout: "", stderr: "" });
    expect(readdirSync(folder).sort()).toEqual(["a.svg", "b.txt"]);
    expect(read("a.svg")).toMatch(/^<svg/);
    expect(read("b.txt")).toMatch(/^CV67 = 4\b/m);
  });
});

describe("--output", () => {
  test("leaves the file when the input cannot be used, and replaces it when all went well", async () => {
    const keep = file("keep.json", "before");
    const bad = await run(["encode", "misspelt.settings.json", "--output", keep]);
    expect(bad).toMatchObject({ status: 2, stdout: "" });
    expect(read("keep.json")).toBe("before");
    const good = await run(["encode", "no9.settings.json", "-o", keep]);
    expect(good).toEqual({ status: 0, stdout: "", stderr: "" });
    expect(read("keep.json")).toBe(no9);
    expect(readdirSync(folder)).toEqual(["keep.json"]);
  });

  test("follows links, keeps permissions, and writes to standard output by its names", async () => {
    const keep = file("keep.json", "before");
    mkdirSync(join(folder, "links"));
    symlinkSync(keep, join(folder, "links", "one.json"));
    symlinkSync("one.json", join(folder, "links", "two.json"));
    symlinkSync(join(folder, "new.json"), join(folder, "links", "new.json"));
    spawnSync("chmod", ["640", keep]);
    for (const name of ["two.json", "new.json"]) {
      expect(await run(["encode", "no9.settings.json", "-o", join(folder, "links", name)])).toMatchObject({
        status: 0,
      });
      expect(lstatSync(join(folder, "links", name)).isSymbolicLink()).toBe(true);
    }
    expect(statSync(keep).mode & 0o777).toBe(0o640);
    expect([read("keep.json"), read("new.json")]).toEqual([no9, no9]);
    const piped = spawnSync(
      "sh",
      ["-c", '"$0" "$1" encode no9.settings.json -o /dev/stdout | cat', process.execPath, command],
      { cwd: examples },
    );
    expect(String(piped.stdout)).toBe(no9);
    expect((await run(["encode", "no9.settings.json", "-o", "-"])).stdout).toBe(no9);
  });

  test("a named pipe is written to as it is, and stays one", async () => {
    const pipe = join(folder, "pipe");
    expect(spawnSync("mkfifo", [pipe]).status).toBe(0);
    // With a reader, opening it for writing does not wait.
    const reader = openSync(pipe, constants.O_RDONLY | constants.O_NONBLOCK);
    try {
      const ran = await run(["encode", "no9.settings.json", "-o", pipe]);
      expect(ran).toEqual({ status: 0, stdout: "", stderr: "" });
      const bytes = Buffer.alloc(2 * no9.length);
      expect(bytes.toString("utf8", 0, readSync(reader, bytes))).toBe(no9);
    } finally {
      closeSync(reader);
    }
    expect(statSync(pipe).isFIFO()).toBe(true);
    expect(readdirSync(folder)).toEqual(["pipe"]);
  });

  test("a report of a check is written whole, also with findings", async () => {
    file("bad.txt", "CV1 = 0\n");
    const report = join(folder, "report");
    const { status, stdout } = await run(["check", join(folder, "bad.txt"), "-o", report]);
    expect({ status, stdout }).toEqual({ status: 1, stdout: "" });
    expect(read("report")).toMatch(/1 file checked: 1 error/);
  });
});
