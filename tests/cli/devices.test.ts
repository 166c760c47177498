import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { run } from "./run.js";

// Output to devices of the machine. Never run this with changed sources: a mistake in how files are written puts a
// file in the place of the device, where the tests may do so.

test("a device is written to as it is, and stays one", async () => {
  expect(await run(["encode", "no9.settings.json", "-o", "/dev/null"])).toEqual({
    status: 0,
    stdout: "",
    stderr: "",
  });
  expect(statSync("/dev/null").isCharacterDevice()).toBe(true);
});

test("a disk without space leaves nothing half", async () => {
  // Every write to this device fails as on a full disk.
  if (!existsSync("/dev/full")) return;
  const folder = newFolder();
  const svg = join(folder, "a.svg");
  writeFileSync(svg, "before");
  const args = ["curve", "--start", "4", "--top", "255", "--svg", svg, "-o", "/dev/full"];
  expect(await run(args)).toEqual({
    status: 2,
    stdout: "",
    stderr: "/dev/full: it cannot be written (no space is left)\n",
  });
  expect(readFileSync(svg, "utf8")).toBe("before");
  expect(readdirSync(folder)).toEqual(["a.svg"]);
});
