import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { type Ran, run } from "./run.js";

// Whatever a stranger wrote into names, keys and values of files, and into names of files, reaches a terminal
// and a log of a CI service as visible text.

const scratch = newFolder();
let folders = 0;
const folder = (): string => {
  const path = join(scratch, String(++folders));
  mkdirSync(path);
  return path;
};

// Escape sequences, a carriage return, line breaks, DEL, C1, separators, bidirectional marks, CI commands.
const bad =
  "a\u001b[2Jb\u001b]0;t\u0007c\rd\n::set-env name=x::y\n##[error]e\u007ff\u0085g\u009bh\u2028i\u2029j\u202ek\u2066l\ufeffm\u{e0001}n";
const isForbidden = (character: string): boolean => {
  const code = character.codePointAt(0) ?? 0;
  if (code === 0x0a) return false;
  return (
    code < 0x20 ||
    (code >= 0x7f && code <= 0x9f) ||
    (code >= 0x2028 && code <= 0x202e) ||
    (code >= 0x2066 && code <= 0x2069) ||
    code === 0xfeff ||
    code === 0xe0001
  );
};
const forbiddenIn = (text: string): string[] => [
  ...[...text].filter(isForbidden),
  ...(text.match(/^\s*::.*|##\[.*/gm) ?? []),
];

function expectVisible({ stdout, stderr }: Ran): void {
  expect(forbiddenIn(stdout)).toEqual([]);
  expect(forbiddenIn(stderr)).toEqual([]);
}

const write = (dir: string, name: string, content: unknown): string => {
  const path = join(dir, name);
  writeFileSync(path, typeof content === "string" ? content : JSON.stringify(content));
  return path;
};

describe("nothing of a file is obeyed", () => {
  const dir = folder();
  const set = write(dir, "set.json", { name: bad, note: bad, cvs: { 1: 3, 29: 6, 200: 9 } });
  const other = write(dir, "other.json", { name: bad, cvs: { 1: 4, 29: 6 } });
  const settings = write(dir, "settings.json", {
    name: bad,
    note: bad,
    settings: { [bad]: bad, address: bad },
  });
  const good = write(dir, "good.json", {
    decoder: "quillback-s8",
    name: bad,
    note: bad,
    settings: { address: { kind: "primary", number: 3 } },
  });
  const keys = write(dir, "keys.json", { [bad]: 1, cvs: { [bad]: 3 }, decoder: bad });
  const silence = write(dir, "silence.json", {
    cvs: { 1: 120, 29: 6 },
    silence: [{ rule: bad, reason: bad }],
  });
  const list = write(dir, "list.txt", `name: ${JSON.stringify(bad)}\n${bad}\nCV1 = 3 \u001b[31m\n`);
  const csv = write(dir, "table.csv", `CV,Value,"${bad.replaceAll("\n", " ")}"\n1,3,x\n`);
  const runs = write(
    dir,
    "runs.csv",
    `name,level,mph\n"${bad}",20,2\n"${bad}",300,${bad.replaceAll("\n", "")}\n`,
  );
  const description = write(dir, "description.json", {
    id: "x",
    name: bad,
    kind: "multifunction",
    note: bad,
    features: {
      a: { codec: "choice", label: bad, place: 182, options: { [bad]: { value: 0, label: bad }, two: 1 } },
      [bad]: { codec: "flag", label: bad, note: bad, place: { cv: 185, bit: 0 } },
      level: { codec: "level", label: bad, unit: bad, place: 188 },
    },
    factory: { 182: 0, 185: 0, 188: 0 },
  });
  const named = write(dir, "named.json", { name: bad, note: bad, cvs: { 182: 0, 185: 0, 188: 0 } });
  const own = write(dir, "own.json", { name: bad, settings: { a: "two" } });
  const silenced = write(dir, "silenced.json", {
    cvs: { 1: 120, 29: 6 },
    silence: [{ rule: "service-mode-address", reason: bad }],
  });
  const drives = write(
    dir,
    "drives.json",
    [
      [20, 2],
      [90, 15],
      [250, 44],
    ].map(([level, mph]) => ({ locomotive: bad, level, mph })),
  );
  const broken = write(dir, "broken.json", {
    id: bad,
    name: bad,
    features: { [bad]: { codec: bad, place: bad } },
  });
  const plan = write(dir, "plan.json", { steps: [{ cv: bad, value: bad, reason: bad }] });

  let shown = 0;
  test.each<[string[]]>([
    [["encode", settings]],
    [["encode", good]],
    [["encode", good, "--format", "list"]],
    [["encode", good, "--format", "csv"]],
    [["encode", keys]],
    [["decode", set, "--partial"]],
    [["decode", list]],
    [["decode", csv, "--partial"]],
    [["decode", bad]],
    [["decode", set, "-d", bad]],
    [["explain", set]],
    [["explain", set, "-d", description]],
    [["explain", "CV182=0, CV185=1, CV188=2", "-d", description]],
    [["explain", "CV182=7", "-d", description, "--json"]],
    [["explain", bad]],
    [["describe", description]],
    [["describe", description, "--json"]],
    [["describe", description, "--schema"]],
    [["describe", broken]],
    [["describe", bad]],
    [["diff", set, other]],
    [["diff", set, other, "--json"]],
    [["verify", set, other]],
    [["verify", plan, other]],
    [["plan", set, other]],
    [["plan", other, "--resume", plan]],
    [["match", runs, "--as", bad]],
    [["match", runs, "--as", "slowest"]],
    [["check", set, other, settings, good, keys, silence, list, csv]],
    [["check", set, silence, "--json"]],
    [["check", set, silence, "--format", "junit"]],
    [["check", set, silence, "--format", "sarif"]],
    [["set", good, `${bad}=${bad}`]],
    [["set", good, `whistle=${bad}`]],
    [["set", settings, "fuel=oil", "-o", "-"]],
    [["new", description]],
    [["new", "nmra", "--name", bad]],
    [["translate", good, "--to", "dunlin-m6"]],
    [["translate", set, "--to", description, "-d", description]],
    [["sheet", good]],
    [["sheet", good, "--format", "html"]],
    [["sheet", set, "-d", description, "--format", "csv"]],
    [["plan", other, good, "--steps"]],
    [["plan", set, "-d", description, "--undescribed", "leave", "--steps"]],
    [["completion", bad]],
    [["address", bad]],
    [[bad]],
    [["encode", `--${bad}`]],
    [["encode", `--format=${bad}`]],
    [["curve", "--start", "1", "--top", "9", "--points", bad]],
  ])("%j", async (args) => {
    const ran = await run(args);
    expectVisible(ran);
    expect(`${ran.stdout}${ran.stderr}`).not.toMatch(/itself failed/);
    if (`${ran.stdout}${ran.stderr}`.includes("\\u001b[2J")) shown++;
  });

  test("most of them show it, made visible", () => expect(shown).toBeGreaterThanOrEqual(40));

  test("of the reports, only the one for a CI service has its commands, and none of a stranger's", async () => {
    const { stdout, stderr } = await run(["check", set, settings, silence, "--format", "github"]);
    const lines = stdout.trimEnd().split("\n");
    expect(lines.pop()).toMatch(/^3 files checked/);
    expect(lines.length).toBeGreaterThan(2);
    for (const line of lines) expect(line).toMatch(/^::(error|warning|notice) /);
    expect(forbiddenIn(stdout.replaceAll(/^::\w+ /gm, ""))).toEqual([]);
    expect(forbiddenIn(stderr)).toEqual([]);
  });

  test.each<[args: string[], found: (json: never) => unknown]>([
    [["encode", good], ({ name, note }: { name: string; note: string }) => [name, note]],
    [["encode", good, "--format", "lines"], ({ name, note }: { name: string; note: string }) => [name, note]],
    [["decode", named, "-d", description], ({ name, note }: { name: string; note: string }) => [name, note]],
    [["decode", named, "-d", description, "--into", own, "-o", "-"], ({ name }: { name: string }) => name],
    [["set", good, "fuel=oil", "-o", "-"], ({ name, note }: { name: string; note: string }) => [name, note]],
    [["new", "nmra", "--name", bad], ({ name }: { name: string }) => name],
    [["describe", description, "--json"], ({ name, note }: { name: string; note: string }) => [name, note]],
    [
      ["describe", description, "--schema"],
      ({ title }: { title: string }) => title.replace("Settings for ", ""),
    ],
    [["translate", named, "-d", description, "--to", "nmra", "--json"], ({ name }: { name: string }) => name],
    [
      ["match", drives, "--as", "slowest", "--json"],
      (json: { locomotives: { name: string }[] }) => json.locomotives[0]?.name,
    ],
    [["match", drives, "--as", "slowest", "--settings"], ({ name }: { name: string }) => name],
  ])("what is made visible in JSON is read back as it was: %j", async (args, found) => {
    const { stdout } = await run(args);
    expect(new Set([found(JSON.parse(stdout) as never)].flat())).toEqual(new Set([bad]));
  });

  test.each(["json", "sarif"])(
    "nor are findings: their reasons are read back as they were, as %s",
    async (format) => {
      const { stdout } = await run(["check", silenced, "--format", format]);
      expect(forbiddenIn(stdout)).toEqual([]);
      const reasons: unknown[] = [];
      JSON.parse(stdout, (key, value) => {
        if (key === "silenced" || key === "justification") reasons.push(value);
        return value;
      });
      expect(reasons).toContain(bad);
    },
  );

  test("in files of a folder too", async () => {
    const out = folder();
    expect((await run(["new", "nmra", "--name", bad, "-o", `${out}/`])).status).toBe(0);
    const [file = ""] = readdirSync(out).filter((name) => !name.endsWith(".schema.json"));
    expect(JSON.parse(readFileSync(join(out, file), "utf8")).name).toBe(bad);
  });
});

describe("nor of the name of a file", () => {
  const dir = folder();
  const name = `::stop-commands::x${bad.replaceAll("/", "")}.json`;
  writeFileSync(join(dir, name), "{");
  writeFileSync(join(dir, "fine.json"), '{"cvs":{"1":3}}');
  writeFileSync(join(dir, `::description${name}`), '{"features":{}}');
  symlinkSync(dir, join(dir, `::loop${name}`));

  test.each([["text"], ["json"], ["junit"], ["sarif"]])("in a folder, as %s", async (format) => {
    const ran = await run(["check", ".", "--format", format], { cwd: dir });
    expectVisible(ran);
    expect(ran.status).toBe(1);
    // The file is in the report, under its name as far as that can be shown.
    expect(ran.stdout).toContain("stop-commands");
  });

  test.each(["encode", "decode", "explain", "describe", "check"])("given to %s", async (verb) => {
    const ran = await run([verb, name], { cwd: dir });
    expectVisible(ran);
    expect(`${ran.stdout}${ran.stderr}`).toContain("\\u003a:stop-commands::x");
  });
});

describe("a folder is read to its end, each file once", () => {
  test("a link back to its own folder, links and hard links to one file", async () => {
    const dir = folder();
    mkdirSync(join(dir, "b"));
    writeFileSync(join(dir, "a.txt"), "CV1=3\nCV29=2\n");
    symlinkSync(dir, join(dir, "b", "up"));
    symlinkSync(dir, join(dir, "b", "again"));
    symlinkSync(join(dir, "a.txt"), join(dir, "b", "link.txt"));
    spawnSync("ln", [join(dir, "a.txt"), join(dir, "hard.txt")]);
    const { status, stdout, stderr } = await run(["check", dir, join(dir, "hard.txt")]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^1 file checked: /m);
    expect(stderr.trimEnd().split("\n").sort()).toEqual([
      `${dir}/b/again: not looked into, a link to a folder`,
      `${dir}/b/up: not looked into, a link to a folder`,
    ]);
  });

  test("a named pipe among the files", async () => {
    const dir = folder();
    writeFileSync(join(dir, "a.txt"), "CV1=3\nCV29=2\n");
    expect(spawnSync("mkfifo", [join(dir, "pipe.txt")]).status).toBe(0);
    const { status, stdout, stderr } = await run(["check", dir]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^1 file checked: /m);
    expect(stderr).toBe(`${dir}/pipe.txt: not read, it is not a regular file\n`);
  });
});
