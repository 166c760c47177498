import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { command, examples, run, runProcess } from "./run.js";

// What only a process shows. Everything else the tests of this folder ask of `main` in their own process.

test.each<[string[], number, string]>([
  [["address", "1234"], 0, ""],
  [["check", "read-back.txt"], 1, ""],
  [["encode", "misspelt.settings.json"], 2, ""],
  [["decode", "-"], 0, "no9.cvs.json"],
  [["encode", "-", "--format", "list"], 0, "no9.settings.json"],
  [["nothing"], 2, ""],
])("%j gives the same as a process and in this one: status %i", async (args, status, file) => {
  const input = file ? readFileSync(examples + file) : "";
  const ran = await runProcess(args, { input });
  expect(ran).toEqual(await run(args, { input }));
  expect(ran.status).toBe(status);
});

test("lines are as wide as COLUMNS says, where standard output is no terminal", async () => {
  const env = { COLUMNS: "60" };
  const ran = await runProcess(["explain", "CV29"], { env });
  expect(ran).toEqual(await run(["explain", "CV29"], { width: 60 }));
});

test("output that cannot be written is told, with status 2", () => {
  if (!existsSync("/dev/full")) return;
  const shell = '"$0" "$1" address 3 > /dev/full';
  const ran = spawnSync("bash", ["-c", shell, process.execPath, command], { encoding: "utf8" });
  expect(ran.stderr).toBe("standard output: it cannot be written (ENOSPC)\n");
  expect(ran.status).toBe(2);
});
