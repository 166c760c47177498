import { readFileSync } from "node:fs";
import { messageOf } from "cvset";
import { type FileIssue, fileMessage, readAny, readSettings } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import * as faults from "../../src/files/faults.js";

describe("the faults of files", () => {
  const kinds = Object.values(faults).map((fault) => (fault as (params: object) => FileIssue)({}));
  const guide = readFileSync(new URL("../../docs/files.md", import.meta.url), "utf8");

  test("have a code each", () => {
    expect(new Set(kinds.map(({ code }) => code)).size).toBe(kinds.length);
    for (const { code } of kinds) expect(code).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
  });

  test("are in the guide, in the order of the source", () => {
    const rows = kinds.map(({ code, text }) => `| \`${code}\` | ${text.replaceAll("|", "\\|")} |`);
    const table = guide.slice(guide.indexOf("| Code | Sentence |")).trimEnd().split("\n").slice(2);
    expect(table).toEqual(rows);
  });
});

describe("messages are safe to print", () => {
  const unsafe = /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/u;
  const piece = fc.constantFrom(
    ..."{}[]:,\"'=#;|29aC\\".split(""),
    "\u001b[31m",
    "\r",
    "\n",
    "::error::",
    "\u007f",
    "\u009b",
    "\u2028",
    "\u202e",
    "\u2066",
    "\ud800",
    "\u{e0041}",
    "\ufeff",
    '"cvs":',
    '"settings":',
    "name: ",
    "CV29",
    "\t",
    "CV,Value\n",
    "|CV|Value|\n",
  );
  const text = fc.array(piece, { maxLength: 14 }).map((pieces) => pieces.join(""));

  test("whatever a file or its name has", () => {
    let told = 0;
    fc.assert(
      fc.property(text, text, fc.boolean(), (text, file, isJson) => {
        const result = readAny(isJson ? `{"cvs":{${text}` : text, { file });
        const issues = [...(result.ok ? [] : result.issues), ...result.notes];
        for (const issue of issues) {
          told++;
          expect(fileMessage(issue)).not.toMatch(unsafe);
          expect(messageOf(issue)).not.toMatch(unsafe);
        }
      }),
      { numRuns: 3000 },
    );
    expect(told).toBeGreaterThan(2000);
  });

  test("and however long a key, a value or a line is", () => {
    const long = "\u202e".repeat(450_000);
    for (const text of [
      `{"${long}":1}`,
      `{"cvs":{"${long}":1,"29":"${long}"}}`,
      `{"settings":{"${long}":1e999,"${long}":2}}`,
      `{"settings":{"${long}":{"a":1,"a":2}}}`,
      `{"settings":{},"${long}":1}`,
      `{"settings":{},"name":["${long}"]}`,
      `CV29 = ${long}`,
      `${long} = 3`,
      `name: ${long}\nname: b`,
      `CV,Value,${long}\n${long},${long}`,
    ]) {
      for (const result of [readAny(text), readSettings(text)]) {
        for (const issue of [...(result.ok ? [] : result.issues), ...result.notes]) {
          expect(fileMessage(issue).length).toBeLessThan(1000);
          expect(JSON.stringify(issue.path).length).toBeLessThan(1000);
        }
      }
    }
  });
});
