import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { root } from "./support/tree.js";

// The limits that the page about untrusted input tells are those of the code.

const page = readFileSync(`${root}docs/SECURITY.md`, "utf8");
const rows = page
  .split("\n")
  .filter((line) => line.startsWith("| ") && !/^\| (What \||---)/.test(line))
  .map((line) => line.split("|").map((cell) => cell.trim()));

/** The text before a limit, in a file of src. */
type InSource = readonly [file: string, before: string];

/** What a row begins with, and the limits in it. */
const limits: readonly (readonly [row: string, ...limits: readonly InSource[]])[] = [
  ["Issues of one call", ["cv/issue-list.ts", "mostIssues = "]],
  ["Issues in the message of a", ["cv/issue.ts", "mostListed = "]],
  ["Misspelt names of one call", ["cv/nearest.ts", "mostMisspelt = "]],
  ["Names that a misspelt one", ["cv/nearest.ts", "const most = "]],
  ["Letters of a name", ["cv/nearest.ts", "const longest = "]],
  ["Pairs of letters", ["cv/nearest.ts", "mostPairs = "]],
  ["Name of a setting, case", ["codec/fields.ts", "longestName = "]],
  ["Names in the list of a `flags`", ["codec/flags.ts", "longestList = "]],
  ["Nesting of a decoder description", ["decoder/shape.ts", "deepest = "]],
  ["Columns of a table of timed runs", ["motion/measurements.ts", "mostColumns = "]],
  ["Length of a text", ["files/options.ts", "maxLength = "]],
  ["Nesting of JSON", ["files/json.ts", "maxDepth = "]],
  ["Errors of one text", ["files/file-issue.ts", "mostIssues"]],
  ["Notes of one text", ["files/file-issue.ts", "mostIssues"]],
  ["Text of the file", ["files/spelling.ts", "longest = "], ["files/json.ts", "longestKey = "]],
  [
    "A value in a message",
    ["cv/show.ts", "const longest = "],
    ["cv/issue.ts", "visible(path, "],
    ["cv/show.ts", "mostListed = "],
  ],
  ["Columns of a table's header", ["files/table.ts", "mostColumns = "]],
  ["Keys of a bare map", ["files/read.ts", "mostCompared = "]],
  ["A name that is compared with known names", ["cv/nearest.ts", "const longest = "]],
  ["Keys looked up", ["files/json-tree.ts", "mostLookups = "]],
];

test("every limit that is told is in this list, and the other way round", () => {
  const told = rows.map(([, what = ""]) => limits.find(([row]) => what.startsWith(row))?.[0] ?? what);
  expect(told.sort()).toEqual(limits.map(([row]) => row).sort());
});

test.each(limits.map(([row, ...numbers]) => ({ row, numbers })))("$row", ({ row, numbers }) => {
  const cells = rows.find(([, what = ""]) => what.startsWith(row))?.join(" | ") ?? "";
  for (const [file, before] of numbers) {
    const source = readFileSync(`${root}src/${file}`, "utf8");
    const at = source.indexOf(before);
    expect(at, `${before} in ${file}`).toBeGreaterThanOrEqual(0);
    const digits = /^[\d_]+/.exec(source.slice(at + before.length))?.[0];
    // A file that takes the limit of another has its name there.
    const limit = digits === undefined ? 1000 : Number(digits.replaceAll("_", ""));
    expect(cells).toMatch(new RegExp(`(^|[^\\d,])${limit.toLocaleString("en")}($|[^\\d,])`));
  }
});
