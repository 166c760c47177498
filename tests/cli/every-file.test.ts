import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

// Every verb takes every kind of file, and says of a file that it can do nothing with what that file is.

const folder = newFolder();
const at = (name: string): string => join(folder, name);
const write = (name: string, text: string): void => writeFileSync(at(name), text);
const example = (name: string): string => readFileSync(examples + name, "utf8");
const no9 = JSON.parse(example("no9.cvs.json"));

/** Files that have the CVs of No. 9, or some of them. */
const withCvs = [
  "settings.json",
  "few-settings.json",
  "set.json",
  "bare.json",
  "line.jsonl",
  "list.txt",
  "table.csv",
  "tabs.txt",
  "table.md",
  "plan.json",
];
/** Files of something else. */
const others: [name: string, what: RegExp][] = [
  ["runs.csv", /a file of timed runs/],
  ["description.json", /a decoder description/],
  ["report.json", /a report/],
];

beforeAll(async () => {
  const list = (await run(["encode", "no9.settings.json", "--format", "list"])).stdout;
  const pairs = Object.entries(no9.cvs);
  write("settings.json", example("no9.settings.json"));
  write("few-settings.json", '{"decoder":"quillback-s8","settings":{"fuel":"oil"}}');
  write("set.json", example("no9.cvs.json"));
  write("bare.json", JSON.stringify(no9.cvs));
  write("line.jsonl", `${JSON.stringify(no9)}\n`);
  write("list.txt", list);
  write("table.csv", `CV;Value\r\n${pairs.map((pair) => pair.join(";")).join("\r\n")}\r\n`);
  write("tabs.txt", pairs.map((pair) => pair.join("\t")).join("\n"));
  write(
    "table.md",
    `| CV | Value |\n|---|---|\n${pairs.map(([cv, value]) => `| ${cv} | ${value} |\n`).join("")}`,
  );
  write("plan.json", (await run(["plan", "no9.cvs.json", "--json"])).stdout);
  write("runs.csv", example("runs.csv"));
  write("description.json", example("quillback-s8.json"));
  write("report.json", (await run(["check", "no9.cvs.json", "--json"])).stdout);
  write("club.jsonl", [9, 11, 12].map((n) => JSON.stringify({ ...no9, name: `No. ${n}` })).join("\n"));
});

const decoder = ["-d", "quillback-s8"];
const verbs: [verb: string, args: (path: string) => string[], statuses: number[]][] = [
  ["encode", (path) => ["encode", path], [0]],
  ["encode to a list", (path) => ["encode", path, "-f", "list"], [0]],
  ["decode", (path) => ["decode", path, "--partial", ...decoder], [0, 1]],
  ["explain", (path) => ["explain", path, ...decoder], [0]],
  ["check", (path) => ["check", path, ...decoder], [0]],
  ["diff from", (path) => ["diff", path, "no9.cvs.json"], [0, 1]],
  ["diff to", (path) => ["diff", "no9.cvs.json", path], [0, 1]],
  ["plan", (path) => ["plan", path, ...decoder], [0]],
  ["plan from", (path) => ["plan", path, "no9.cvs.json"], [0]],
  ["plan to", (path) => ["plan", "no9.cvs.json", path], [0]],
  ["verify", (path) => ["verify", path, "no9.cvs.json"], [0, 1]],
  ["verify with", (path) => ["verify", "no9.cvs.json", path], [0, 1]],
];

describe.each(verbs)("%s", (verb, args, statuses) => {
  test.each(withCvs)("%s", async (name) => {
    const byName = await run(args(at(name)));
    expect(statuses, byName.stderr).toContain(byName.status);
    expect(`${byName.stdout}${byName.stderr}`).not.toMatch(/itself failed|undefined|NaN/);
    if (verb !== "encode" && verb !== "plan to") return;
    const piped = await run(args("-"), { input: readFileSync(at(name)) });
    expect(piped.status).toBe(byName.status);
    expect(piped.stdout).toBe(byName.stdout);
  });
});

test.each(withCvs.filter((name) => name !== "few-settings.json"))("%s has the CVs of No. 9", async (name) => {
  const { stdout } = await run(["diff", at(name), "no9.cvs.json"]);
  expect(stdout).toBe("No difference.\n");
});

describe.each(others)("%s", (name, what) => {
  test.each(verbs.filter(([verb]) => verb !== "check"))(
    "is refused by %s, which says what it is",
    async (_, args) => {
      const { status, stdout, stderr } = await run(args(at(name)));
      expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
      expect(stderr).toMatch(what);
    },
  );
});

describe("a file with several locomotives", () => {
  const club = (): string => at("club.jsonl");

  test.each(verbs.filter(([verb]) => !/^(encode|decode|check)/.test(verb)))(
    "%s wants to know which",
    async (_, args) => {
      const ran = await run(args(club()));
      expect(ran).toMatchObject({ status: 2, stdout: "" });
      expect(ran.stderr).toMatch(
        /there are 3 locomotives in it; choose one with --pick NAME: No\. 9, No\. 11, No\. 12/,
      );
      for (const pick of ["No. 11", "2"]) {
        const picked = await run([...args(club()), "--pick", pick]);
        expect(picked.status, picked.stderr).toBeLessThan(2);
      }
      const none = await run([...args(club()), "--pick", "No. 7"]);
      expect(none).toMatchObject({ status: 2, stdout: "" });
      expect(none.stderr).toMatch(/none of them has the name or line of --pick No\. 7/);
    },
  );

  test("is chosen from by name or by line", async () => {
    expect((await run(["diff", club(), "no9.cvs.json", "--pick", "2"])).status).toBe(0);
    const none = await run(["diff", club(), "no9.cvs.json", "--pick", "No. 7"]);
    expect(none).toMatchObject({ status: 2, stdout: "" });
    expect(none.stderr).toMatch(/none of them has the name or line of --pick No\. 7/);
  });

  test("is taken apart into a folder, and put together again", async () => {
    const parts = at("parts");
    expect(await run(["encode", club(), "-o", `${parts}/`])).toEqual({ status: 0, stdout: "", stderr: "" });
    expect(readdirSync(parts).sort()).toEqual(["no-11.cvs.json", "no-12.cvs.json", "no-9.cvs.json"]);
    expect(readFileSync(join(parts, "no-9.cvs.json"), "utf8")).toBe(example("no9.cvs.json"));
    const again = await run([
      "encode",
      ...["no-9", "no-11", "no-12"].map((name) => join(parts, `${name}.cvs.json`)),
      "-f",
      "lines",
    ]);
    expect(
      again.stdout
        .trimEnd()
        .split("\n")
        .map((line) => JSON.parse(line).name),
    ).toEqual(["No. 9", "No. 11", "No. 12"]);
    const words = at("words");
    expect((await run(["decode", club(), "-o", `${words}/`])).status).toBe(0);
    expect(readFileSync(join(words, "no-9.settings.json"), "utf8")).toBe(example("no9.settings.json"));
  });

  test("does not fit into one document", async () => {
    for (const more of [[], ["-o", at("one.json")]]) {
      const ran = await run(["encode", club(), ...more]);
      expect(ran).toMatchObject({ status: 2, stdout: "" });
      expect(ran.stderr).toMatch(/3 results .*--output .*\//);
    }
    expect(readdirSync(folder)).not.toContain("one.json");
  });
});

describe("formats", () => {
  test.each([
    ["list.txt", "csv", /^CV,Value\n1,3\n/],
    ["table.csv", "list", /^CV1 = 3\n/],
    ["table.md", "json", /^\{\n {2}"cvs": \{\n {4}"1": 3,/],
    ["list.txt", "lines", /^\{"decoder":"quillback-s8","name":"No. 9","cvs":\{"1":3,/],
  ])("%s to %s", async (name, format, text) => {
    const { status, stdout } = await run(["encode", at(name), "--format", format]);
    expect(status).toBe(0);
    expect(stdout).toMatch(text);
    expect(await run(["diff", "-", "no9.cvs.json"], { input: stdout })).toMatchObject({ status: 0 });
  });

  test("the output of address and curve goes on into encode, diff and plan", async () => {
    for (const args of [
      ["address", "1235"],
      ["address", "1235", "--json"],
      ["curve", "--start", "4", "--top", "200"],
      ["curve", "--start", "4", "--top", "200", "--json"],
    ]) {
      const { stdout: input } = await run(args);
      const encoded = await run(["encode", "-", "--base", "no9.cvs.json"], { input });
      expect(encoded.status, encoded.stderr).toBe(0);
      expect(JSON.parse(encoded.stdout)).toMatchObject({ decoder: "quillback-s8", name: "No. 9" });
      const under = await run(["encode", "no9.settings.json", "--base", "-"], { input });
      expect(under.status, under.stderr).toBe(0);
      const differs = await run(["diff", "no9.cvs.json", "-"], { input });
      expect(differs.status, differs.stderr).toBe(1);
      const plan = await run(["plan", "no9.cvs.json", "-", "--json"], { input });
      expect(plan.status, plan.stderr).toBe(0);
      const after = JSON.parse(encoded.stdout).cvs;
      for (const { cv, value } of JSON.parse(plan.stdout).steps) expect(after[cv]).toBe(value);
    }
  });
});
