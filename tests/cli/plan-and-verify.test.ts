import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

const scratch = newFolder();
const file = (name: string, content: unknown): string => {
  const path = join(scratch, name);
  writeFileSync(path, typeof content === "string" ? content : JSON.stringify(content));
  return path;
};
const no9 = readFileSync(`${examples}no9.cvs.json`, "utf8");
const wanted = file("wanted.json", no9.replace('"246": 116', '"246": 52').replace('"17": 196', '"17": 197'));
/** No. 9 with other values in some CVs; undefined takes a CV out. */
const changed = (name: string, cvs: Readonly<Record<string, number | undefined>>): string => {
  const set = JSON.parse(no9);
  return file(name, { ...set, cvs: { ...set.cvs, ...cvs } });
};

const refused = { status: 2, stdout: "" };

describe("plan and verify", () => {
  test("only what differs, in an order that a decoder obeys, with packets", async () => {
    const { status, stdout } = await run(["plan", "no9.cvs.json", wanted, "--json"]);
    expect(status).toBe(0);
    const { steps } = JSON.parse(stdout);
    // CV 18 goes again behind CV 17: the two are one address (S-9.2.1 (July 2012), note to Write Byte).
    const order = steps.map(({ cv }: { cv: string }) => cv);
    expect(order).toEqual(["246", "17", "18"]);
    expect(steps.find(({ cv }: { cv: string }) => cv === "17")).toMatchObject({
      value: 197,
      // 0111CCAA AAAAAAAA DDDDDDDD EEEEEEEE with CC = 11, the CV less 1 (S-9.2.3 (July 2012), direct mode).
      packets: ["7C 10 C5 A9"],
    });
    expect(steps.every(({ reason }: { reason: string }) => reason.length > 10)).toBe(true);
  });

  test("the plain standard refuses no maker's CV; a description refuses a CV that its decoder lacks", async () => {
    const odd = file("odd.json", '{"decoder":"nmra","cvs":{"1":4,"150":7}}');
    const { status, stdout } = await run(["plan", odd, "--json"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).steps.map(({ cv }: { cv: string }) => cv)).toContain("150");
    const ran = await run(["plan", odd, "--decoder", "quillback-s8"]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(/CV 150/);
  });

  test("verify tells what differs in CVs and in words, and what was not read", async () => {
    const { stdout: plan } = await run(["plan", "no9.cvs.json", wanted, "--json"]);
    const path = file("plan.json", plan);
    expect(await run(["verify", path, wanted])).toMatchObject({ status: 0, stderr: "" });
    const before = await run(["verify", path, "no9.cvs.json", "--json"]);
    expect(before.status).toBe(1);
    expect(JSON.parse(before.stdout)).toMatchObject({
      ok: false,
      mismatches: [
        { cv: "17", expected: 197, found: 196 },
        { cv: "246", expected: 52, found: 116 },
      ],
    });
    const part = await run(["verify", wanted, "-", "--json"], { input: "CV246=52\n" });
    expect(part.status).toBe(1);
    expect(JSON.parse(part.stdout).unread).toContain("17");
  });

  test("an interrupted plan goes on from what was read back", async () => {
    const { stdout: plan } = await run(["plan", "no9.cvs.json", wanted, "--json"]);
    const path = file("plan.json", plan);
    const half = file("half.json", no9.replace('"246": 116', '"246": 52'));
    const { stdout } = await run(["plan", half, "--resume", path, "--json"]);
    expect(JSON.parse(stdout).steps.map(({ cv }: { cv: string }) => cv)).not.toContain("246");
    expect((await run(["plan", wanted, "--resume", path])).stdout).toBe("Nothing to write.\n");
  });

  test("without FROM everything is written", async () => {
    const { stdout } = await run(["plan", "-", "--json"], { input: "CV3=5\nCV4=6\n" });
    expect(
      JSON.parse(stdout).steps.map(({ cv, value }: { cv: string; value: number }) => [cv, value]),
    ).toEqual([
      ["3", 5],
      ["4", 6],
    ]);
  });

  test.each([
    [["plan", "no9.cvs.json", wanted, "--mode", "main"], /CV 17: .*--change-address/],
    [
      ["plan", "no9.cvs.json", wanted, "--mode", "telepathy"],
      /--mode telepathy: allowed is direct, paged, register/,
    ],
    [
      ["plan", "no9.cvs.json", wanted, "--mode", "register"],
      /^CV 246: register mode does not reach this CV/m,
    ],
    [
      ["plan", "no9.cvs.json", wanted, "--mode", "main", "--address", "0", "--change-address"],
      /^--address: 0 is out of range/,
    ],
    [["plan", "no9.cvs.json", wanted, "--resume", wanted], /takes one file/],
    [
      ["verify", file("bad-plan.json", '{"steps":[{"cv":"29","value":300}]}'), "no9.cvs.json"],
      /bad-plan\.json:1:22: .*300/,
    ],
  ])("%j is refused", async (args, reason) => {
    const ran = await run(args);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(reason);
  });
});

describe("plans on index pages", () => {
  // Two settings of Quillback S8 live on pages 73.22 and 112.5.
  const pages = changed("pages.json", { "350@73.22": 35, "426@112.5": 65, "246": 52 });

  test("one that was interrupted goes on with its own decoder, and is proved without CV 31 and 32", async () => {
    const path = join(scratch, "pages-plan.json");
    expect((await run(["plan", "no9.cvs.json", pages, "--json", "-o", path])).status).toBe(0);
    const half = changed("half-pages.json", { "426@112.5": 65, "246": 52 });
    const rest = await run(["plan", half, "--resume", path, "--json"]);
    expect(rest.status).toBe(0);
    expect(JSON.parse(rest.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual([
      "31",
      "32",
      "350@73.22",
    ]);
    expect(await run(["verify", path, pages])).toMatchObject({ status: 0, stderr: "" });
    expect((await run(["verify", path, half])).stdout).toMatch(/^CV 350@73\.22 should hold 35 and holds 30/);
  });

  test("a plan that must change CV 31 and 32 is made", async () => {
    const index = changed("index.json", { "31": 73, "32": 22 });
    const { status, stdout } = await run(["plan", "no9.cvs.json", index, "--json"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).steps).toMatchObject([
      { cv: "31", value: 73 },
      { cv: "32", value: 22 },
    ]);
  });

  test("--steps is a list to type in and tick, a line a write", async () => {
    const { stdout } = await run(["plan", "no9.cvs.json", pages, "--steps"]);
    const lines = stdout.trimEnd().split("\n");
    expect(lines.filter((line) => line.startsWith("  [ ]  CV "))).toHaveLength(7);
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 246 = 52 +Fuel: Oil/m);
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 31 = 73 +selects the page of the next ones$/m);
    // At the throttle, a CV of a page has its bare number.
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 350 = 35 +Above speed step: 35$/m);
  });

  test("--steps tells where to wait", async () => {
    const { stdout } = await run(["plan", "no9.cvs.json", "--factory-reset", "--steps"]);
    expect(stdout).toMatch(
      /^ {2}\[ \] {2}CV 8 = 8 +asks for a factory reset\n +wait +2 s, then power off and on\n +! +every CV goes back/m,
    );
  });
});

describe("settings as what is wanted", () => {
  test("only what they name is written on top of what was read", async () => {
    const oil = file("oil.json", {
      decoder: "quillback-s8",
      settings: { fuel: "oil", drains: { seconds: 20 } },
    });
    const { status, stdout } = await run(["plan", "no9.cvs.json", oil, "--json"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).steps).toMatchObject([
      { cv: "246", value: 52 },
      { cv: "31", value: 73 },
      { cv: "32", value: 9 },
      { cv: "389@73.9", value: 80 },
    ]);
    // What was not read stays unknown, and is never guessed: whole bytes can be written, parts of one cannot.
    const few = file("few.txt", "CV252 = 82\nCV389@73.9 = 48\n");
    const ran = await run(["plan", few, oil, "--json", "--mode", "register"]);
    expect(ran).toMatchObject(refused);
    const drains = file("drains.json", { decoder: "quillback-s8", settings: { drains: { seconds: 20 } } });
    const part = await run(["plan", few, drains, "--json"]);
    expect(JSON.parse(part.stdout).steps).toMatchObject([
      { cv: "31", value: 73 },
      { cv: "32", value: 9 },
      { cv: "389@73.9", value: 80 },
    ]);
  });

  test("and only what they name is compared", async () => {
    const oil = file("oil2.json", { decoder: "quillback-s8", settings: { fuel: "oil" } });
    expect((await run(["verify", oil, "no9.cvs.json"])).stdout).toMatch(
      /^CV 246 should hold 52 and holds 116 .*\n {2}fuel: Oil was meant, Coal is there\n$/,
    );
    expect(await run(["verify", oil, wanted])).toMatchObject({ status: 0 });
  });
});

describe("CVs that the description does not have", () => {
  const more = changed("more.json", { "60": 5, "246": 52 });

  test("are refused with a way out", async () => {
    const ran = await run(["plan", "no9.cvs.json", more]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(
      /^CV 60: this decoder does not have this CV\nwith --undescribed write or leave, /,
    );
  });

  test("are left, or written", async () => {
    const left = await run(["plan", "no9.cvs.json", more, "--undescribed", "leave", "--json"]);
    expect(left.stderr).toBe("note: left as they are: CV 60\n");
    expect(JSON.parse(left.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual(["246"]);
    const written = await run(["plan", "no9.cvs.json", more, "--undescribed", "write", "--json"]);
    expect(JSON.parse(written.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual(["60", "246"]);
  });
});
