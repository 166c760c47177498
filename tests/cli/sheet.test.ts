import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Papa from "papaparse";
import { beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

let folder = "";
beforeAll(() => {
  folder = newFolder();
});

const at = (name: string): string => join(folder, name);
const no9 = join(examples, "no9.cvs.json");

describe("cvset sheet", () => {
  test("writes Markdown to the screen", async () => {
    const { stdout, stderr, status } = await run([
      "sheet",
      no9,
      "--date",
      "14 March 2026",
      "--full-speed",
      "25",
      "--scale",
      "O",
    ]);
    expect([status, stderr]).toEqual([0, ""]);
    for (const text of [
      "# No. 9\n\nSet-up sheet\n\n- Address: Extended address 1234\n",
      "- Date: 14 March 2026\n",
      "| F5 | Whistle | the same |\n",
      "| Output 1, white | Front lamp |",
      // 25 mph is 11.176 m/s.
      "- From stop to full speed: 22.4 s, 106 m, 2.22 m of track\n",
      "| 29 | 50 | 32 | 00110010 | 6 |",
    ]) {
      expect(stdout).toContain(text);
    }
  });

  test("has what check found, of each alone and of all together", async () => {
    writeFileSync(
      at("a.json"),
      JSON.stringify({ decoder: "dunlin-m6", name: "No. 1", settings: { analogue: true } }),
    );
    writeFileSync(at("b.json"), JSON.stringify({ decoder: "dunlin-m6", name: "No. 2", settings: {} }));
    const { stdout, status } = await run(["sheet", at("a.json"), at("b.json"), "--roster"]);
    expect(status).toBe(0);
    expect(stdout.split("\n---\n").length).toBe(3);
    expect(stdout).toMatch(/^# Roster\n\n2 locomotives\n/);
    expect(stdout).toContain("| No. 1 | Primary address 3 | Dunlin M6 |");
    expect(stdout).toContain("CV 29 bit 2 allows analogue operation");
    // Both have address 3; files are told by the names of their locomotives.
    expect(stdout).toMatch(/primary address 3.*No\. [12]/i);
    expect(stdout).not.toContain("#0");
  });

  test("tells locomotives with one address by their names, whatever their numbers begin with", async () => {
    const set = (name: string, address: number): string =>
      JSON.stringify({ name, cvs: { 1: address, 29: 2 } });
    writeFileSync(at("one.json"), set("One", 5));
    writeFileSync(at("pair#77.json"), set("Pair", 5));
    writeFileSync(at("others.jsonl"), Array.from({ length: 8 }, (_, i) => set("Other", 20 + i)).join("\n"));
    // In the message they are pair#77.json with the numbers 1 and 10; there is no number 77.
    const files = ["one.json", "pair#77.json", "others.jsonl", "pair#77.json"].map(at);
    const { stdout } = await run(["sheet", ...files, "-f", "csv"]);
    expect(stdout).toContain('One,Check,,,"Error: primary address 5 is also the address of Pair, Pair"\n');
  });

  test("the ending of the file decides the format", async () => {
    for (const [name, begins] of [
      ["one.html", "<!doctype html>"],
      ["one.csv", "locomotive,section,item,column,value\n"],
      ["one.md", "# No. 9"],
    ] as const) {
      const { status, stdout } = await run(["sheet", no9, "--output", at(name)]);
      expect([status, stdout]).toEqual([0, ""]);
      expect(readFileSync(at(name), "utf8").startsWith(begins), name).toBe(true);
    }
    const { data, errors } = Papa.parse<string[]>(readFileSync(at("one.csv"), "utf8"), {
      skipEmptyLines: true,
    });
    expect(errors).toEqual([]);
    expect(data.every((row) => row.length === 5)).toBe(true);
    const asked = await run(["sheet", no9, "--format", "csv"]);
    expect(asked.stdout).toBe(readFileSync(at("one.csv"), "utf8"));
  });

  test("several go into a folder, each into a file of its own", async () => {
    mkdirSync(at("out"));
    writeFileSync(
      at("same.json"),
      JSON.stringify({ decoder: "dunlin-m6", name: "No. 9", cvs: { 1: 3, 29: 2 } }),
    );
    const { status } = await run([
      "sheet",
      no9,
      at("same.json"),
      "--roster",
      "--format",
      "html",
      "--output",
      `${at("out")}/`,
    ]);
    expect(status).toBe(0);
    expect(readdirSync(at("out")).sort()).toEqual(["no-9-2.html", "no-9.html", "roster.html"]);
  });

  test("a set without a name goes by its file, a list of CVs is read with --decoder", async () => {
    writeFileSync(at("tank engine.txt"), "CV1=3\nCV29=2\nCV218=81\n");
    const { stdout } = await run(["sheet", at("tank engine.txt"), "--decoder", "quillback-s8"]);
    expect(stdout).toMatch(/^# tank engine\n/);
    expect(stdout).toContain("| Whistle | Three chime, for the valley |");
  });

  test("a hostile name does not reach a terminal or another cell", async () => {
    const name = "\u001b[31m<script>alert(1)</script>|=1+1\n::error::x";
    writeFileSync(at("hostile.json"), JSON.stringify({ decoder: "dunlin-m6", name, cvs: { 1: 3, 29: 2 } }));
    for (const format of ["markdown", "html", "csv"]) {
      const { stdout, status } = await run(["sheet", at("hostile.json"), "--format", format]);
      expect(status).toBe(0);
      expect(stdout).not.toMatch(/(?!\n)\p{Cc}/u);
      expect(stdout).not.toMatch(/^::/m);
      if (format !== "csv") expect(stdout).not.toContain("<script>");
    }
  });

  test.each([
    [[no9, "--scale", "O"], /--scale: this is about --full-speed/],
    [[no9, "--full-speed", "25", "--scale", "XX"], /--scale: /],
    [[no9, "--full-speed", "0"], /--full-speed/],
    [[no9, "--format", "pdf"], /--format/],
    [[], /CVS/],
    [["nothing.json"], /there is no such file/],
  ])("refuses what it cannot do: %j", async (args, message) => {
    const { status, stdout, stderr } = await run(["sheet", ...args]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(message);
  });
});
