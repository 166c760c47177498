import { describe, expect, test } from "vitest";
import { type DocumentKind, documentOf, type Look, lineOf, painted } from "../../src/cli/output.js";

// A line and a document as they are written, whatever a stranger's text in them was.

describe("a line", () => {
  test.each<[title: string, text: string, written: string]>([
    ["words as they are", "Nº 9: größer → 5 °C", "Nº 9: größer → 5 °C"],
    ["a line break and a tab", "a\nb\tc", "a\\u000ab\\u0009c"],
    ["an escape sequence", "a\u001b[2Jb", "a\\u001b[2Jb"],
    ["a mark of writing direction", "a\u202eb", "a\\u202eb"],
    ["a command at its beginning", "::error::x", "\\u003a:error::x"],
    ["a command behind blanks", "  ::error::x", "  \\u003a:error::x"],
    ["two colons elsewhere", "a ::b", "a ::b"],
    ["one colon at its beginning", ":a", ":a"],
    ["a command in brackets", "##[error]x", "#\\u0023[error]x"],
    ["a named command in brackets, twice", "a ##vso[x] ##[y]", "a #\\u0023vso[x] #\\u0023[y]"],
    ["two hashes without a bracket", "## a", "## a"],
  ])("%s", (_, text, written) => {
    expect(lineOf(text, false)).toBe(written);
    expect(lineOf(text, true)).toBe(written);
  });

  test("a command in a piece with a look, at the beginning and behind it", () => {
    expect(lineOf(`${painted("::a", "note")}: ${painted("::b ##[c]", "note")}`, false)).toBe(
      "\\u003a:a: ::b #\\u0023[c]",
    );
    expect(lineOf(`${painted("", "note")}::a`, false)).toBe("\\u003a:a");
  });

  test.each<[Look, string]>([
    ["error", "a \u001b[31mb\u001b[39m c"],
    ["warning", "a \u001b[33mb\u001b[39m c"],
    ["note", "a \u001b[36mb\u001b[39m c"],
    ["quiet", "a \u001b[2mb\u001b[22m c"],
    ["strong", "a \u001b[1mb\u001b[22m c"],
  ])("a piece that looks like %s", (look, written) => {
    const text = `a ${painted("b", look)} c`;
    expect(lineOf(text, true)).toBe(written);
    expect(lineOf(text, false)).toBe("a b c");
    expect(lineOf(`a${painted("", look)}`, true)).toBe("a");
  });
});

describe("a document", () => {
  // A format character above U+FFFF, which is two UTF-16 units.
  const far = "\u{e0001}";

  test.each<[DocumentKind, string, string]>([
    ["json", '"é\u202e\u009b"', '"é\\u202e\\u009b"'],
    ["json", `"${far}"`, '"\\udb40\\udc01"'],
    ["json", '"\ud800"', '"\\ud800"'],
    ["json", '"##[a] ##b[c"', '"#\\u0023[a] #\\u0023b[c"'],
    ["markup", "<b>é\u202e</b>", "<b>é&#x202e;</b>"],
    ["markup", far, "&#xe0001;"],
    ["markup", "a\n ::b\n\t::c\nd ::e", "a\n &#x3a;:b\n\t&#x3a;:c\nd ::e"],
    ["markup", "\n\n::a", "\n\n&#x3a;:a"],
    ["markup", "##[a] ##b[c", "#&#x23;[a] #&#x23;b[c"],
    ["text", "é\u202e", "é\\u202e"],
    ["text", far, "\\u{e0001}"],
    ["text", "a\n ::b ##[c\nd ::e", "a\n \\u003a:b #\\u0023[c\nd ::e"],
    ["commands", "::error::\u202e", "::error::\\u202e"],
    ["commands", far, "\\u{e0001}"],
    ["commands", "::error::##[a]", "::error::#\\u0023[a]"],
  ])("of kind %s: %j", (kind, text, written) => {
    expect(documentOf(text, kind)).toBe(written);
    if (kind === "json") expect(JSON.parse(documentOf(text, kind))).toBe(JSON.parse(text));
  });

  test.each<DocumentKind>(["json", "markup", "text", "commands"])(
    "of kind %s: line breaks and tabs stay, a carriage return does not",
    (kind) => {
      const written = documentOf("a\n\tb\r\n", kind);
      expect(written).toMatch(/^a\n\tb[^\r]+\n$/);
    },
  );
});
