import { readFileSync } from "node:fs";
import ts from "typescript";
import { describe, expect, test } from "vitest";
import { visible } from "../../src/cv/show.js";
import { filesBelow, root } from "../support/tree.js";

interface Made {
  readonly file: string;
  readonly code: string;
  readonly text: string;
}

/** Every call of `fault()` in the sources. */
const made: Made[] = filesBelow("src", ".ts").flatMap((file) => {
  const calls: Made[] = [];
  const source = ts.createSourceFile(
    file,
    readFileSync(`${root}src/${file}`, "utf8"),
    ts.ScriptTarget.Latest,
  );
  const visit = (node: ts.Node): void => {
    // Not where a parameter has the name.
    if (ts.isFunctionLike(node) && node.parameters.some(({ name }) => name.getText(source) === "fault"))
      return;
    if (ts.isCallExpression(node) && node.expression.getText(source) === "fault") {
      const [code, text] = node.arguments.map((one) => (ts.isStringLiteralLike(one) ? one.text : ""));
      calls.push({ file, code: code ?? "", text: text ?? "" });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return calls;
});

describe("the kinds of fault in the sources", () => {
  test("each is found, with its code and sentence as they stand", () => {
    expect(made.length).toBeGreaterThan(60);
    expect(made.filter(({ code, text }) => !code || !text)).toEqual([]);
  });

  test("each code is there once", () => {
    const places = new Map<string, string[]>();
    for (const { code, file } of made) places.set(code, [...(places.get(code) ?? []), file]);
    expect([...places].filter(([, files]) => files.length > 1)).toEqual([]);
  });

  test("codes are small letters, digits and hyphens", () => {
    expect(made.filter(({ code }) => !/^[a-z]+(-[a-z0-9]+)*$/.test(code))).toEqual([]);
  });

  test.each(made)("$file: $code", ({ text }) => {
    // Every brace belongs to a parameter, and path, place and source are put around the sentence.
    const bare = text.replace(/\{\w+(:(text|list|value))?\}/g, "");
    expect(bare).not.toMatch(/[{}]/);
    expect(text).toBe(visible(text).trim());
    expect(text).not.toMatch(/\.$| {2}|[\n\t]/);
    expect(text).not.toMatch(/^[A-Z](?!V )/);
  });
});
