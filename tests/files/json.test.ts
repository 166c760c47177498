import * as momoa from "@humanwhocodes/momoa";
import { fileMessage } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { FileIssues } from "../../src/files/file-issue.js";
import { parseJson, readJson } from "../../src/files/json.js";
import type { JsonNode } from "../../src/files/json-tree.js";
import { SourceText } from "../../src/files/lines.js";

/** A tree of places as the plain data that JSON.parse makes of the same text. */
function asParsed(node: JsonNode): unknown {
  if (node.kind === "list") return node.value.map(asParsed);
  if (node.kind !== "object") return node.value;
  return Object.fromEntries([...node.value].map(([key, member]) => [key, asParsed(member)]));
}

function treeOf(text: string): JsonNode | undefined {
  const source = new SourceText(text);
  return parseJson(source, new FileIssues(source));
}

function parsed(text: string): { value: unknown } | undefined {
  try {
    return { value: JSON.parse(text) };
  } catch {
    return undefined;
  }
}

/** Valid JSON with all kinds of blanks, escapes and numbers. */
const blank = fc.string({ unit: fc.constantFrom(" ", "\t", "\n", "\r"), maxLength: 2 });
const numberText = fc.stringMatching(/^-?(0|[1-9]\d{0,20})(\.\d{1,4})?([eE][+-]?\d{1,3})?$/);
const stringText = fc.oneof(
  fc.string({ unit: "binary" }).map((text) => JSON.stringify(text)),
  fc
    .array(
      fc.constantFrom("a", "\\n", "\\u00e9", "\\ud83d", "\\ude00", "\\/", '\\"', "\\\\", "é", "\u2028", "😀"),
    )
    .map((pieces) => `"${pieces.join("")}"`),
);
const { text: jsonText } = fc.letrec<{ text: string }>((tie) => ({
  text: fc.oneof(
    { maxDepth: 4 },
    numberText,
    stringText,
    fc.constantFrom("true", "false", "null"),
    fc
      .tuple(blank, fc.array(fc.tuple(tie("text"), blank), { maxLength: 4 }))
      .map(([first, items]) => `[${first}${items.map(([item, after]) => item + after).join(`,${first}`)}]`),
    fc
      .tuple(
        blank,
        fc.uniqueArray(fc.tuple(stringText, tie("text")), { maxLength: 4, selector: ([k]) => JSON.parse(k) }),
      )
      .map(
        ([gap, members]) =>
          `{${gap}${members.map(([k, v]) => `${k}${gap}:${gap}${v}`).join(`${gap},${gap}`)}${gap}}`,
      ),
  ),
}));

describe("the same as JSON.parse", () => {
  test("for everything valid", () => {
    fc.assert(
      fc.property(blank, jsonText, blank, (before, text, after) => {
        const whole = before + text + after;
        const result = readJson(whole);
        expect(result.ok).toBe(true);
        expect(asParsed(treeOf(whole)!)).toEqual(JSON.parse(whole));
      }),
      { numRuns: 1000 },
    );
  });

  test("and it refuses exactly what JSON.parse refuses", () => {
    const piece = fc.constantFrom(
      ..."{}[],:\"'\\/-+.eE0123 \n\t\u00a0\u0000ntfu".split(""),
      "true",
      "null",
      "tru",
      "01",
      "1.",
      ".5",
      "0x1",
      "NaN",
      "//",
      "#",
      "\\u12",
      "\ufeff",
    );
    let refused = 0;
    const agree = (text: string): void => {
      const theirs = parsed(text);
      const ours = treeOf(text);
      if (!theirs) refused++;
      expect(ours === undefined).toBe(!theirs);
      if (theirs && ours) expect(asParsed(ours)).toEqual(theirs.value);
    };
    fc.assert(
      fc.property(jsonText, fc.nat(), piece, fc.nat(2), (text, where, added, removed) => {
        const at = where % (text.length + 1);
        const changed = text.slice(0, at) + added + text.slice(at + removed);
        // The byte-order mark that editors put first is passed over here, and refused by JSON.parse.
        if (!changed.startsWith("\ufeff")) agree(changed);
      }),
      { numRuns: 3000 },
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 8 }), (pieces) => {
        if (pieces[0] !== "\ufeff") agree(pieces.join(""));
      }),
      { numRuns: 3000 },
    );
    expect(refused).toBeGreaterThan(1000);
  });

  test("a byte-order mark is passed over, and has no column", () => {
    const result = readJson('\ufeff{"1":3,"1":3}');
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.issues[0]).toMatchObject({ line: 1, column: 8 });
  });
});

describe("keys that are there twice", () => {
  const ours = (text: string): [line: number, column: number][] => {
    const result = readJson(text);
    if (result.ok) return [];
    expect(result.issues.every(({ code }) => code === "duplicate-key")).toBe(true);
    return result.issues.map(({ line, column }) => [line, column]);
  };
  /** The same from a JSON parser that keeps all members. */
  const theirs = (text: string): [line: number, column: number][] => {
    const found: [number, number][] = [];
    const walk = (node: momoa.AnyNode): void => {
      if (node.type === "Object") {
        const seen = new Set<string>();
        for (const { name, value } of node.members) {
          const key = name.type === "String" ? name.value : name.name;
          if (seen.has(key)) found.push([name.loc.start.line, name.loc.start.column]);
          seen.add(key);
          walk(value);
        }
      } else if (node.type === "Array") for (const { value } of node.elements) walk(value);
    };
    walk(momoa.parse(text).body);
    return found.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  };

  test("are found where a general-purpose parser finds them", () => {
    const key = fc.constantFrom('"a"', '"b"', '"29"', '"\\u0061"', '"__proto__"', '"constructor"', '""');
    const { value } = fc.letrec<{ value: string }>((tie) => ({
      value: fc.oneof(
        { maxDepth: 3 },
        fc.constantFrom("1", '"x"', "null"),
        fc.array(tie("value"), { maxLength: 3 }).map((items) => `[${items.join(",\n")}]`),
        fc
          .array(fc.tuple(key, tie("value")), { maxLength: 5 })
          .map((members) => `{${members.map(([k, v]) => `${k}: ${v}`).join(",\n  ")}}`),
      ),
    }));
    let some = 0;
    fc.assert(
      fc.property(value, (text) => {
        expect(ours(text)).toEqual(theirs(text));
        some += ours(text).length;
      }),
      { numRuns: 500 },
    );
    expect(some).toBeGreaterThan(50);
  });

  test("the issue names the key, its path and the first line; the last value counts", () => {
    const result = readJson('{\n "a": { "k": 1,\n  "k": 2 }\n}');
    if (result.ok) throw new Error("accepted");
    expect(result.issues.map((issue) => fileMessage(issue))).toEqual([
      'line 3, column 3: a.k: the key "k" is given twice, first on line 2; keep one of the two',
    ]);
    expect(result.value?.value).toEqual({ a: { k: 2 } });
  });

  test("a hundred thousand of them are counted, and the first thousand listed", () => {
    const result = readJson(`{${'"k":1,'.repeat(100_000)}"k":1}`);
    if (result.ok) throw new Error("accepted");
    expect(result.issues).toHaveLength(1001);
    expect(result.issues.at(-1)).toMatchObject({
      code: "more-errors",
      params: { count: 99_000, kept: 1000 },
    });
  });
});

describe("places", () => {
  const text =
    '{\r\n  "speed": {\r    "levels": [4, 20,\n 60]\n  },\n  "a.b": { "c": 1 }, "a": { "b": { "d": 2 } }\n}';
  const document = readJson(text);

  test.each([
    ["", 1, 1],
    ["speed", 2, 3],
    ["speed.levels", 3, 5],
    ["speed.levels.0", 3, 16],
    ["speed.levels.2", 4, 2],
    ["speed.levels.3", 3, 5],
    ["speed.nothing.at.all", 2, 3],
    ["a.b.c", 6, 12],
    ["a.b.d", 6, 36],
    ["a.b.q", 6, 3],
    ["nothing", 1, 1],
  ])("%j is on line %i, column %i", (path, line, column) => {
    expect(document.ok && document.value.locate(path)).toEqual({ line, column });
  });

  test("a key without letters is no part of another path", () => {
    const { value } = readJson('{\n"": { "b": 1, ".b": 2, "": 3 },\n"a": 4 }');
    const at = (path: string) => value?.locate(path);
    expect([at("a.b"), at("x.b"), at(".b"), at("..b"), at("b")]).toEqual([
      { line: 3, column: 1 },
      { line: 1, column: 1 },
      { line: 2, column: 7 },
      { line: 2, column: 15 },
      { line: 1, column: 1 },
    ]);
  });

  test("each value of any JSON is where its path says", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const text = JSON.stringify(value, null, 1);
        const result = readJson(text);
        const lines = text.split("\n");
        const walk = (node: JsonNode, path: string): void => {
          const children: [string, JsonNode][] =
            node.kind === "object"
              ? [...node.value]
              : node.kind === "list"
                ? node.value.map((item, i) => [String(i), item])
                : [];
          expect(JSON.parse(text.slice(node.start, node.end))).toEqual(asParsed(node));
          for (const [key, child] of children) {
            // Keys with dots or without letters can look like another path; the table above has one.
            const at = path ? `${path}.${key}` : key;
            if (/^\w+$/.test(key) && result.ok && /^\w*$/.test(path.replaceAll(".", ""))) {
              const { line, column } = result.value.locate(at);
              expect(lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0) + column - 1).toBe(
                child.at,
              );
            }
            walk(child, /^\w+$/.test(key) ? at : "-");
          }
        };
        expect(result.ok).toBe(true);
        walk(treeOf(text)!, "");
      }),
    );
  });
});

test("numbers are those of JSON.parse, and their spelling is at their place", () => {
  const text = "[1e400, -0, 3.0, 34, 1E2, 123456789012345678, 0, 9007199254740993]";
  const root = treeOf(text);
  const items = root?.kind === "list" ? root.value : [];
  expect(items.map(({ value, start, end }) => [text.slice(start, end), value])).toEqual(
    text
      .slice(1, -1)
      .split(", ")
      .map((number) => [number, JSON.parse(number)]),
  );
});

test("__proto__ is a key like any other, and changes no prototype", () => {
  const result = readJson('{ "__proto__": { "polluted": 1 }, "constructor": 2 }');
  const value = result.value?.value as Record<string, unknown>;
  expect(Object.getPrototypeOf(value)).toBe(null);
  expect(Object.keys(value)).toEqual(["__proto__", "constructor"]);
  expect(Object.keys(Object.entries(value)[0]?.[1] as object)).toEqual(["polluted"]);
  expect(({} as Record<string, unknown>)["polluted"]).toBe(undefined);
});

describe("limits", () => {
  test.each(["[", '{"a":'])("10,000 levels of %j are an issue, not a crash", (open) => {
    const result = readJson(open.repeat(10_000));
    if (result.ok) throw new Error("accepted");
    expect(result.issues.map(({ code, path }) => [code, path])).toEqual([["too-deep", ""]]);
    expect(result.issues[0]?.column).toBe(open.length * 100 + 1);
  });
  test("the last level that is allowed is read", () => {
    expect(readJson("[".repeat(100) + "]".repeat(100)).ok).toBe(true);
    expect(readJson("[".repeat(101) + "]".repeat(101)).ok).toBe(false);
  });
  test("a text that is too long is not read at all", () => {
    expect(readJson('"abc"', { maxLength: 5 }).ok).toBe(true);
    const result = readJson('"abcd"', { maxLength: 5 });
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["too-long"]);
  });
  test("a path of 100,000 dots is followed as far as it leads", () => {
    const result = readJson('{ "a": { "a": { "a": { "a": 1 } } } }');
    expect(result.value?.locate("a.".repeat(100_000))).toEqual({ line: 1, column: 24 });
  });
});

const value = "expected a value (a number, true, false, null, or a text in double quotes), got";
const number = "is not a number of JSON: digits, no zero or + in front, no hexadecimal";
const escapes =
  'expected " \\ / b f n r t or u and four hexadecimal digits after a backslash; the backslash itself is written \\\\';
const remark = 'there are no remarks in JSON; use the key "note"';
// Wrong JSON, the place of the issue, and its sentence.
const wrong: [text: string, line: number, column: number, says: string][] = [
  ["", 1, 1, "the file is empty"],
  ["{", 1, 2, "the text ends here, but the } that closes line 1 is missing"],
  ['{\n"a"', 2, 4, "a: the text ends here, but the } that closes line 1 is missing"],
  ['{"a":', 1, 6, "a: the text ends here, but the } that closes line 1 is missing"],
  ['{"a":1', 1, 7, "the text ends here, but the } that closes line 1 is missing"],
  ["[1", 1, 3, "the text ends here, but the ] that closes line 1 is missing"],
  ["[1,\n", 2, 1, "1: the text ends here, but the ] that closes line 1 is missing"],
  ['{"a":1,}', 1, 8, "there is a comma before this closing }; take it out"],
  ["[1,]", 1, 4, "1: there is a comma before this closing ]; take it out"],
  ["{'a':1}", 1, 2, 'expected a key in double quotes, as in "29": 34, got "\'"'],
  ["{29:1}", 1, 2, 'expected a key in double quotes, as in "29": 34, got "29"'],
  ['{"a" 1}', 1, 6, 'a: expected a colon between the key "a" and its value, got "1"'],
  ['{"a":}', 1, 6, "a: a value is missing before this }"],
  ["[,1]", 1, 2, "0: a value is missing before this ,"],
  ['{"a":1 "b":2}', 1, 8, 'expected a comma or a closing }, got "\\""'],
  ["[1 2]", 1, 4, 'expected a comma or a closing ], got "2"'],
  ["['x']", 1, 2, '0: texts are written in straight double quotes: "like this"'],
  ["[\u201cx\u201d]", 1, 2, '0: texts are written in straight double quotes: "like this"'],
  ["[True]", 1, 2, "0: write true in small letters"],
  ["[NULL]", 1, 2, "0: write null in small letters"],
  ["[NaN]", 1, 2, `0: ${value} "NaN"`],
  ["[trueish]", 1, 2, `0: ${value} "trueish"`],
  ["[03]", 1, 2, `0: "03" ${number}`],
  ["[0x22]", 1, 2, `0: "0x22" ${number}`],
  ["[-]", 1, 2, `0: "-" ${number}`],
  ["[1.]", 1, 2, `0: "1." ${number}`],
  ['["a', 1, 2, "0: the closing double quote of this text is missing"],
  [
    '["a\n"]',
    1,
    2,
    '0: the closing double quote is missing on this line; a line break in a text is written "\\n"',
  ],
  ['["a\tb"]', 1, 4, '0: the control character U+0009 in a text is written "\\u0009"'],
  ['["a\\x"]', 1, 4, `0: ${escapes}`],
  ['["\\u12g4"]', 1, 3, `0: ${escapes}`],
  ['["\u001f"]', 1, 3, '0: the control character U+001F in a text is written "\\u001f"'],
  ["{}}", 1, 3, 'nothing may follow the end of the object, got "}"'],
  ["{} {}", 1, 4, 'nothing may follow the end of the object, got "{"'],
  ["{}\n{}", 2, 1, "a second document starts here; expected one"],
  ["1 // one", 1, 3, remark],
  ["[# x\n1]", 1, 2, `0: ${remark}`],
  ["[\u00a01]", 1, 2, `0: ${value} "\u00a0"`],
  ["[\u20281]", 1, 2, `0: ${value} "\\u2028"`],
  ["[\u202e1]", 1, 2, `0: ${value} "\\u202e"`],
];

test.each(wrong)("%j is wrong at %i:%i: %s", (text, line, column, says) => {
  expect(parsed(text)).toBe(undefined);
  const result = readJson(text, { file: "f" });
  if (result.ok) throw new Error("accepted");
  expect(result.issues).toHaveLength(1);
  expect(result.issues[0]).toMatchObject({ severity: "error", file: "f", line, column });
  expect(fileMessage(result.issues[0]!)).toBe(`f:${line}:${column}: ${says}`);
});

test("what was wrong before the syntax error is reported as well", () => {
  const result = readJson('{"a":1,\n"a":2,\n}');
  expect(result.ok || result.issues.map(({ code, line }) => [code, line])).toEqual([
    ["duplicate-key", 2],
    ["json-last-comma", 3],
  ]);
});
