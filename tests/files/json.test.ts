import * as momoa from "@humanwhocodes/momoa";
import { fileMessage, type JsonNode, readJson } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

/** A tree of places as the plain data that JSON.parse makes of the same text. */
function asParsed(node: JsonNode): unknown {
  if (node.kind === "array") return node.items.map(asParsed);
  if (node.kind !== "object") return node.value;
  return Object.fromEntries([...node.members].map(([key, { value }]) => [key, asParsed(value)]));
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
        expect(asParsed(result.value!.root)).toEqual(JSON.parse(whole));
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
      const ours = readJson(text, { maxDepth: 1000 });
      if (!theirs) refused++;
      // A key that stands twice is the one thing in which the two differ.
      const syntax = !ours.ok && ours.issues.some((issue) => issue.kind === "syntax");
      expect(syntax).toBe(!theirs);
      if (theirs && ours.value) expect(asParsed(ours.value.root)).toEqual(theirs.value);
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

describe("keys that stand twice", () => {
  const ours = (text: string): [line: number, column: number][] => {
    const result = readJson(text);
    if (result.ok) return [];
    expect(result.issues.every(({ kind }) => kind === "duplicate")).toBe(true);
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

  test("the complaint names the key, its path and the first line; the last value counts", () => {
    const result = readJson('{\n "a": { "k": 1,\n  "k": 2 }\n}');
    if (result.ok) throw new Error("accepted");
    expect(result.issues.map((issue) => fileMessage("f.json", issue))).toEqual([
      'f.json:3: a.k: the key "k" stands twice, first on line 2; keep one of the two',
    ]);
    expect(result.value?.value).toEqual({ a: { k: 2 } });
  });

  test("a hundred thousand of them are counted, and the first thousand listed", () => {
    const result = readJson(`{${'"k":1,'.repeat(100_000)}"k":1}`);
    if (result.ok) throw new Error("accepted");
    expect(result.issues).toHaveLength(1001);
    expect(result.issues.at(-1)?.expected).toBe(
      "99000 more things are wrong after this line; only 1000 are listed",
    );
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

  test("each value of any JSON is where its path says", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const text = JSON.stringify(value, null, 1);
        const result = readJson(text);
        const lines = text.split("\n");
        const walk = (node: JsonNode, path: string): void => {
          const children: [string, JsonNode, number][] =
            node.kind === "object"
              ? [...node.members].map(([key, member]) => [key, member.value, member.start])
              : node.kind === "array"
                ? node.items.map((item, i) => [String(i), item, item.start])
                : [];
          expect(JSON.parse(text.slice(node.start, node.end))).toEqual(asParsed(node));
          for (const [key, child, start] of children) {
            // Keys with dots or without letters can look like another path; the table above has one.
            const at = path ? `${path}.${key}` : key;
            if (/^\w+$/.test(key) && result.ok && /^\w*$/.test(path.replaceAll(".", ""))) {
              const { line, column } = result.value.locate(at);
              expect(lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0) + column - 1).toBe(
                start,
              );
            }
            walk(child, /^\w+$/.test(key) ? at : "-");
          }
        };
        expect(result.ok).toBe(true);
        if (result.ok) walk(result.value.root, "");
      }),
    );
  });
});

test("numbers keep their spelling", () => {
  const result = readJson("[1e400, -0, 3.0, 34, 1E2]");
  const root = result.value?.root;
  expect(
    root?.kind === "array" && root.items.map((item) => item.kind === "number" && [item.source, item.value]),
  ).toEqual([
    ["1e400", Number.POSITIVE_INFINITY],
    ["-0", -0],
    ["3.0", 3],
    ["34", 34],
    ["1E2", 100],
  ]);
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
    expect(result.issues.map(({ kind, path }) => [kind, path])).toEqual([["limit", ""]]);
    expect(result.issues[0]?.column).toBe(open.length * 100 + 1);
  });
  test("the last level that is allowed is read", () => {
    expect(readJson("[".repeat(100) + "]".repeat(100)).ok).toBe(true);
    expect(readJson("[".repeat(101) + "]".repeat(101)).ok).toBe(false);
    expect(readJson("[[]]", { maxDepth: 1 }).ok).toBe(false);
    expect(readJson("[".repeat(1001) + "]".repeat(1001), { maxDepth: 1e9 }).ok).toBe(false);
  });
  test("a text that is too long is not read at all", () => {
    expect(readJson('"abc"', { maxLength: 5 }).ok).toBe(true);
    const result = readJson('"abcd"', { maxLength: 5 });
    expect(result.ok || result.issues.map(({ kind }) => kind)).toEqual(["limit"]);
  });
});

// Wrong JSON, where the complaint must point, and what it must say.
const wrong: [text: string, line: number, column: number, says: string][] = [
  ["", 1, 1, "a value must come here, but the text ends"],
  ["{", 1, 2, "the text ends here, but the } that closes line 1 is missing"],
  ['{\n"a"', 2, 4, "a: the text ends here, but the } that closes line 1 is missing"],
  ['{"a":', 1, 6, "a: the text ends here, but the } that closes line 1 is missing"],
  ['{"a":1', 1, 7, "the text ends here, but the } that closes line 1 is missing"],
  ["[1", 1, 3, "the text ends here, but the ] that closes line 1 is missing"],
  ["[1,\n", 2, 1, "1: the text ends here, but the ] that closes line 1 is missing"],
  ['{"a":1,}', 1, 8, "there is a comma before this closing }; take it out"],
  ["[1,]", 1, 4, "1: there is a comma before this closing ]; take it out"],
  ["{'a':1}", 1, 2, 'a key in double quotes must come here, as in "29": 34, not \''],
  ["{29:1}", 1, 2, 'a key in double quotes must come here, as in "29": 34, not 29'],
  ['{"a" 1}', 1, 6, 'a: a colon must come between the key "a" and its value, not 1'],
  ['{"a":}', 1, 6, "a: a value is missing before this }"],
  ["[,1]", 1, 2, "0: a value is missing before this ,"],
  ['{"a":1 "b":2}', 1, 8, 'a comma or a closing } must come here, not "'],
  ["[1 2]", 1, 4, "a comma or a closing ] must come here, not 2"],
  ["['x']", 1, 2, '0: texts go in straight double quotes: "like this"'],
  ["[\u201cx\u201d]", 1, 2, '0: texts go in straight double quotes: "like this"'],
  ["[True]", 1, 2, "0: write true in small letters"],
  ["[NULL]", 1, 2, "0: write null in small letters"],
  [
    "[NaN]",
    1,
    2,
    "0: a value must come here (a number, true, false, null, or a text in double quotes), not NaN",
  ],
  [
    "[trueish]",
    1,
    2,
    "0: a value must come here (a number, true, false, null, or a text in double quotes), not trueish",
  ],
  ["[03]", 1, 2, "0: 03 is not a number as JSON writes it: digits, no zero or + in front, no hex"],
  ["[0x22]", 1, 2, "0: 0x22 is not a number as JSON writes it: digits, no zero or + in front, no hex"],
  ["[-]", 1, 2, "0: - is not a number as JSON writes it: digits, no zero or + in front, no hex"],
  ["[1.]", 1, 2, "0: 1. is not a number as JSON writes it: digits, no zero or + in front, no hex"],
  ['["a', 1, 2, "0: the closing double quote of this text is missing"],
  ['["a\n"]', 1, 2, '0: the closing double quote is missing on this line (a line break in a text is "\\n")'],
  ['["a\tb"]', 1, 4, '0: a control character (U+0009) in a text must be written "\\u0009"'],
  [
    '["a\\x"]',
    1,
    4,
    '0: a backslash starts a special character (\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u0041); for the backslash itself write \\\\',
  ],
  [
    '["\\u12g4"]',
    1,
    3,
    '0: a backslash starts a special character (\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u0041); for the backslash itself write \\\\',
  ],
  ['["\u001f"]', 1, 3, '0: a control character (U+001F) in a text must be written "\\u001f"'],
  ["{}}", 1, 3, "nothing may follow the end of the object, but here is }"],
  ["{}\n{}", 2, 1, "nothing may follow the end of the object, but here is {"],
  [
    "1 // one",
    1,
    3,
    'nothing may follow the end of the number, but here is a remark (JSON has none; use the key "note")',
  ],
  [
    "[# x\n1]",
    1,
    2,
    '0: a value must come here (a number, true, false, null, or a text in double quotes), not a remark (JSON has none; use the key "note")',
  ],
  [
    "[\u00a01]",
    1,
    2,
    "0: a value must come here (a number, true, false, null, or a text in double quotes), not a line break or space",
  ],
];

test.each(wrong)("%j is wrong at %i:%i: %s", (text, line, column, says) => {
  expect(parsed(text)).toBe(undefined);
  const result = readJson(text);
  if (result.ok) throw new Error("accepted");
  expect(result.issues).toHaveLength(1);
  expect(result.issues[0]).toMatchObject({ kind: "syntax", severity: "error", line, column });
  expect(fileMessage("f", result.issues[0]!)).toBe(`f:${line}: ${says}`);
});

test("what was wrong before the syntax error is reported as well", () => {
  const result = readJson('{"a":1,\n"a":2,\n}');
  expect(result.ok || result.issues.map(({ kind, line }) => [kind, line])).toEqual([
    ["duplicate", 2],
    ["syntax", 3],
  ]);
});
