import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { filesBelow, root } from "./support/tree.js";

// A published fact is cited with document, edition and section, so that anybody can look it up.

const files = ["docs", "src", "tests"]
  .flatMap((folder) =>
    [".ts", ".mjs", ".md"].flatMap((ending) => filesBelow(folder, ending).map((path) => `${folder}/${path}`)),
  )
  .concat("README.md", "DEVELOPERS.md")
  // The reference is made of the sources; this file has wrong citations to try the patterns.
  .filter((path) => !path.startsWith("docs/reference/") && path !== "tests/citations.test.ts");

const month = "(?:January|February|March|April|May|June|July|August|September|October|November|December)";
// A line of a comment may end anywhere.
const blank = "\\s+(?:(?:\\*|//)\\s+)?";
const edition = new RegExp(`^(?:${blank}\\(|,${blank}| in its edition of${blank})${month}${blank}\\d{4}`);
/** A standard by its number; not the name of a file, such as s-9.2.1-packets. */
const document = /(?<![\w-])(?:S|RP|RCN)-\d+(?:\.\d+)*(?![\w\\-])/g;
/** Known from memory: their editions were not looked at. */
const remembered = ["S-1.2", "S-9.1", "S-9.1.1", "RCN-217"];

interface Citation {
  readonly document: string;
  readonly behind: string;
  readonly before: string;
  readonly at: string;
}

function citationsIn(path: string, text = readFileSync(root + path, "utf8")): Citation[] {
  return [...text.matchAll(document)].map(({ 0: found, index }) => ({
    document: found,
    behind: text.slice(index + found.length, index + found.length + 120),
    before: text.slice(Math.max(0, index - 100), index),
    at: `${path}:${text.slice(0, index).split("\n").length}: ${found}`,
  }));
}

/** Whether a document is cited with its edition, or said to be from memory. */
function hasEdition({ document: name, behind, before }: Citation): boolean {
  if (remembered.includes(name)) return /from\s+memory/i.test(before + behind);
  return edition.test(behind);
}

/** Whether a citation that is a text of the program, such as the source of a check, names a section. */
function hasSection({ behind, before }: Citation): boolean {
  if (!/["`]$/.test(before)) return true;
  return /^ \([A-Z][a-z]+ \d{4}\)(?:, | and RCN-217, CV )/.test(behind);
}

test("the patterns tell good citations from others", () => {
  const good = [
    "(S-9.2.2 (July 2012), CV 29)",
    "(S-9.2.3, July 2012, section E)",
    "(S-9.2.1,\n * July 2012, note to Write Byte)",
    '"S-9.2.2 (July 2012), CV 3"',
    "the colours (NMRA S-9.1.1, from memory)",
    "tests/packets/s-9.2.1-packets.test.ts",
  ];
  const bad = [
    "(S-9.2.2, CV 29)",
    "S-9.2.1 says",
    "(S-9.2)",
    '"S-9.2.2 (July 2012)"',
    "by S-9.1, a one takes 116 us",
  ];
  const isGood = (text: string): boolean =>
    citationsIn("x", text).every((one) => hasEdition(one) && hasSection(one));
  expect(good.filter((text) => !isGood(text))).toEqual([]);
  expect(bad.filter(isGood)).toEqual([]);
});

test("every standard is cited with its edition, or from memory", () => {
  const all = files.flatMap((path) => citationsIn(path));
  expect(all.length).toBeGreaterThan(500);
  expect(all.filter((one) => !hasEdition(one)).map(({ at }) => at)).toEqual([]);
});

test("every citation that the program gives names the section", () => {
  const all = files.filter((path) => path.startsWith("src/")).flatMap((path) => citationsIn(path));
  expect(all.filter(({ before }) => /["`]$/.test(before)).length).toBeGreaterThan(100);
  expect(all.filter((one) => !hasSection(one)).map(({ at }) => at)).toEqual([]);
});
