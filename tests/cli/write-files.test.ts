import { spawnSync } from "node:child_process";
import {
  closeSync,
  constants,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { beforeEach, expect, test } from "vitest";
import { FileBatch } from "../../src/cli/write-files.js";
import { newFolder } from "../support/folders.js";

// Files that are written all or none, where one fails after another was in its place.

let folder = "";
beforeEach(() => {
  folder = newFolder();
});
const at = (name: string): string => join(folder, name);
const contents = (): Record<string, string> =>
  Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(at(name), "utf8")]));

/** Opens and writes files, the last of which will fail when it is put in its place. */
async function batchThatFails(...names: readonly string[]): Promise<FileBatch> {
  const batch = new FileBatch(() => []);
  let last = "";
  for (const name of names) {
    const file = await batch.open(at(name));
    await file.write("new");
    last = file.temporary;
  }
  rmSync(last);
  return batch;
}

test("what was there is put back, and what is new is removed", async () => {
  writeFileSync(at("a.txt"), "before");
  const batch = await batchThatFails("a.txt", "b.txt", "c.txt");
  await expect(batch.commit()).rejects.toThrow(
    `${at("c.txt")}: it cannot be written (there is no such folder)`,
  );
  await batch.discard();
  expect(contents()).toEqual({ "a.txt": "before" });
});

test("a lone file that fails leaves nothing", async () => {
  writeFileSync(at("a.txt"), "before");
  const batch = await batchThatFails("a.txt");
  await expect(batch.commit()).rejects.toThrow(/^.*a\.txt: it cannot be written/);
  await batch.discard();
  expect(contents()).toEqual({ "a.txt": "before" });
});

test("an input that is opened after the file was is not written over", async () => {
  writeFileSync(at("a.txt"), "before");
  const inputs: string[] = [];
  const batch = new FileBatch(() => inputs);
  await (await batch.open(at("a.txt"))).write("new");
  inputs.push(at("a.txt"));
  await expect(batch.commit()).rejects.toThrow(
    `${at("a.txt")}: this file is read here, so it is not written; give another name`,
  );
  await batch.discard();
  expect(contents()).toEqual({ "a.txt": "before" });
});

test("two results may go to one pipe, in their order", async () => {
  expect(spawnSync("mkfifo", [at("pipe")]).status).toBe(0);
  const reader = openSync(at("pipe"), constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    const batch = new FileBatch(() => []);
    for (const text of ["one ", "two"]) await (await batch.open(at("pipe"))).write(text);
    await batch.commit();
    const bytes = Buffer.alloc(20);
    expect(bytes.toString("utf8", 0, readSync(reader, bytes))).toBe("one two");
  } finally {
    closeSync(reader);
  }
});

test("much text is written as it comes, and in its order", async () => {
  const batch = new FileBatch(() => []);
  const file = await batch.open(at("a.txt"));
  const piece = "0123456789".repeat(1000);
  for (let i = 0; i < 10; i++) await file.write(piece + i);
  expect(readFileSync(file.temporary, "utf8").length).toBe(7 * (piece.length + 1));
  await batch.commit();
  const all = Array.from({ length: 10 }, (_, i) => piece + i).join("");
  expect(contents()).toEqual({ "a.txt": all });
});

test("a chain of links is followed to a file that is not there yet; a chain of 40 is given up", async () => {
  for (let i = 0; i < 41; i++) symlinkSync(`${i + 1}`, at(`${i}`));
  const short = new FileBatch(() => []);
  await (await short.open(at("10"))).write("new");
  await short.commit();
  expect(readFileSync(at("41"), "utf8")).toBe("new");
  await expect(new FileBatch(() => []).open(at("nowhere/1"))).rejects.toThrow(
    `${at("nowhere/1")}: it cannot be written (there is no such folder)`,
  );
});

test.each([
  ["", '"" is not the name of a file to write'],
  ["-", '"-" is not the name of a file to write'],
])("%j is no file to write", async (name, words) => {
  await expect(new FileBatch(() => []).open(name)).rejects.toThrow(words);
});

test("a folder is no file to write, and a name may not be too long", async () => {
  mkdirSync(at("sub"));
  await expect(new FileBatch(() => []).open(at("sub"))).rejects.toThrow(
    `${at("sub")}: this is a folder, and the name of a file is needed`,
  );
  const long = at("x".repeat(300));
  await expect(new FileBatch(() => []).open(long)).rejects.toThrow(
    `${long}: it cannot be written (the name is too long)`,
  );
});
