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
const wanted = file("wanted.json", no9.replace('"152": 20', '"152": 22').replace('"17": 196', '"17": 197'));
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
    expect(order.filter((cv: string) => cv === "17" || cv === "18")).toEqual(["17", "18"]);
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
        { cv: "152", expected: 22, found: 20 },
      ],
    });
    const part = await run(["verify", wanted, "-", "--json"], { input: "CV152=22\n" });
    expect(part.status).toBe(1);
    expect(JSON.parse(part.stdout).unread).toContain("17");
  });

  test("an interrupted plan goes on from what was read back", async () => {
    const { stdout: plan } = await run(["plan", "no9.cvs.json", wanted, "--json"]);
    const path = file("plan.json", plan);
    const half = file("half.json", no9.replace('"152": 20', '"152": 22'));
    const { stdout } = await run(["plan", half, "--resume", path, "--json"]);
    expect(JSON.parse(stdout).steps.map(({ cv }: { cv: string }) => cv)).not.toContain("152");
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
    [["plan", "no9.cvs.json", wanted, "--mode", "telepathy"], /direct, paged, register/],
    [["plan", "no9.cvs.json", wanted, "--mode", "register"], /CV 152/],
    [["plan", "no9.cvs.json", wanted, "--mode", "main", "--address", "0", "--change-address"], /address/],
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
  // Two settings of Quillback S8 live on pages 16.0 and 16.1.
  const pages = changed("pages.json", { "300@16.0": 35, "257@16.1": 65, "152": 22 });

  test("one that was interrupted goes on with its own decoder, and is proved without CV 31 and 32", async () => {
    const path = join(scratch, "pages-plan.json");
    expect((await run(["plan", "no9.cvs.json", pages, "--json", "-o", path])).status).toBe(0);
    const half = changed("half-pages.json", { "257@16.1": 65, "152": 22 });
    const rest = await run(["plan", half, "--resume", path, "--json"]);
    expect(rest.status).toBe(0);
    expect(JSON.parse(rest.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual([
      "31",
      "32",
      "300@16.0",
    ]);
    expect(await run(["verify", path, pages])).toMatchObject({ status: 0, stderr: "" });
    expect((await run(["verify", path, half])).stdout).toMatch(/^CV 300@16\.0 should hold 35 and holds 30/);
  });

  test("a plan that must change CV 31 and 32 is made", async () => {
    const index = changed("index.json", { "31": 16, "32": 1 });
    const { status, stdout } = await run(["plan", "no9.cvs.json", index, "--json"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).steps).toMatchObject([
      { cv: "31", value: 16 },
      { cv: "32", value: 1 },
    ]);
  });

  test("--steps is a list to type in and tick, a line a write", async () => {
    const { stdout } = await run(["plan", "no9.cvs.json", pages, "--steps"]);
    const lines = stdout.trimEnd().split("\n");
    expect(lines.filter((line) => line.startsWith("  [ ]  CV "))).toHaveLength(6);
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 152 = 22 +Firing: Oil/m);
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 31 = 16 +selects the page of the next ones$/m);
    // At the throttle, a CV of a page has its bare number.
    expect(stdout).toMatch(/^ {2}\[ \] {2}CV 300 = 35 +Below speed step: 35$/m);
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
      settings: { firing: "oil", drains: { seconds: 20 } },
    });
    const { status, stdout } = await run(["plan", "no9.cvs.json", oil, "--json"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).steps).toMatchObject([
      { cv: "152", value: 22 },
      { cv: "161", value: 20 },
    ]);
    // What was not read stays unknown, and is never guessed: whole bytes can be written, parts of one cannot.
    const few = file("few.txt", "CV160 = 72\nCV161 = 12\n");
    const ran = await run(["plan", few, oil, "--json", "--mode", "register"]);
    expect(ran).toMatchObject(refused);
    const drains = file("drains.json", { decoder: "quillback-s8", settings: { drains: { seconds: 20 } } });
    const part = await run(["plan", few, drains, "--json"]);
    expect(JSON.parse(part.stdout).steps).toMatchObject([{ cv: "161", value: 20 }]);
  });

  test("and only what they name is compared", async () => {
    const oil = file("oil2.json", { decoder: "quillback-s8", settings: { firing: "oil" } });
    expect((await run(["verify", oil, "no9.cvs.json"])).stdout).toMatch(
      /^CV 152 should hold 22 and holds 20 .*\n {2}firing: Oil was meant, Coal is there\n$/,
    );
    expect(await run(["verify", oil, wanted])).toMatchObject({ status: 0 });
  });
});

describe("CVs that the description does not have", () => {
  const more = changed("more.json", { "60": 5, "152": 22 });

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
    expect(JSON.parse(left.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual(["152"]);
    const written = await run(["plan", "no9.cvs.json", more, "--undescribed", "write", "--json"]);
    expect(JSON.parse(written.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual(["60", "152"]);
  });
});
