import { editSettings, fileMessage, readSettings } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { FileIssues } from "../../src/files/file-issue.js";
import { parseJson } from "../../src/files/json.js";
import { follow, plain } from "../../src/files/json-tree.js";
import { SourceText } from "../../src/files/lines.js";

const file = `{
  "decoder": "quillback-s8",
  "note": "new  lamp",
  "settings": {
    "whistle": "one-note",   "bell": 2,
    "front": { "effect": "steady", "led": true },
    "drains": "off",
    "levels": [4, 8,
      12],
    "idle": 0.30,
    "rear": {},
    "a.b": { "c": 1 }
  }
}
`;

/** Plain data without the difference between objects with and without a prototype. */
function plainly(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value));
}

function edited(text: string, changes: Record<string, unknown>): string {
  const result = editSettings(text, changes);
  if (!result.ok) throw new Error(result.issues.map((issue) => fileMessage(issue)).join("\n"));
  return result.value;
}

describe("one value changes, and everything else stays byte for byte", () => {
  test.each<[changes: Record<string, unknown>, before: string, after: string]>([
    [{ whistle: "three-chime" }, '"one-note"', '"three-chime"'],
    [{ "front.effect": "flicker" }, '"steady"', '"flicker"'],
    [{ "levels.1": 9 }, "[4, 8,", "[4, 9,"],
    [{ "levels.3": 20 }, "12]", "12,\n      20]"],
    [{ levels: [1, 2] }, "[4, 8,\n      12]", "[1, 2]"],
    [{ idle: 0.3 }, "", ""],
    [{ idle: 0.4 }, "0.30", "0.4"],
    [{ "drains.seconds": 8 }, '"off"', '{\n      "seconds": 8\n    }'],
    [{ "front.dim": 5 }, "true }", 'true, "dim": 5 }'],
    [{ "rear.effect": "steady" }, "{}", '{\n      "effect": "steady"\n    }'],
    [{ "a.b.c": 2 }, '"c": 1', '"c": 2'],
    [{ "a.d": 1 }, '{ "c": 1 }', '{ "c": 1 },\n    "a": {\n      "d": 1\n    }'],
    [{ horn: null }, '{ "c": 1 }', '{ "c": 1 },\n    "horn": null'],
    [{ whistle: undefined }, '"whistle": "one-note",   ', ""],
    [{ bell: undefined }, '"bell": 2,\n    ', ""],
    [{ "a.b": undefined }, ',\n    "a.b": { "c": 1 }', ""],
    [{ "front.led": undefined }, ', "led": true', ""],
    [{ nothing: undefined, "bell.nothing": undefined }, "", ""],
    [{ __proto__: 1 }, "", ""],
    [{ ["__proto__"]: 1 }, '{ "c": 1 }', '{ "c": 1 },\n    "__proto__": 1'],
    [{ 'q"\u2028': "\u001b" }, '{ "c": 1 }', '{ "c": 1 },\n    "q\\"\\u2028": "\\u001b"'],
  ])("%j", (changes, before, after) => {
    expect(edited(file, changes)).toBe(before ? file.replace(before, after) : file);
  });

  test("several at once, in the order in which they are given", () => {
    const changes = { whistle: undefined, bell: undefined, x: { y: [1] }, "x.z": 2, idle: 1 };
    expect(readSettings(edited(file, changes)).value?.settings).toEqual({
      front: { effect: "steady", led: true },
      drains: "off",
      levels: [4, 8, 12],
      idle: 1,
      rear: {},
      "a.b": { c: 1 },
      x: { y: [1], z: 2 },
    });
  });
});

describe("the layout of the file is kept", () => {
  test.each<[text: string, changes: Record<string, unknown>, result: string]>([
    ['{"settings":{"a":1}}', { b: { c: [1, 2] } }, '{"settings":{"a":1,"b":{"c":[1,2]}}}'],
    ['{"settings":{}}', { b: { c: [1, 2] } }, '{"settings":{"b":{"c":[1,2]}}}'],
    ['{ "settings": { "a": 1 } }', { b: { c: [1, 2] } }, '{ "settings": { "a": 1, "b": { "c": [1, 2] } } }'],
    ['{ "settings": {} }', { b: 1 }, '{ "settings": { "b": 1 } }'],
    [
      '\ufeff{\r\n\t"settings": {\r\n\t\t"a": 1\r\n\t}\r\n}',
      { b: { c: [1, [2]] } },
      '\ufeff{\r\n\t"settings": {\r\n\t\t"a": 1,\r\n\t\t"b": {\r\n\t\t\t"c": [\r\n\t\t\t\t1,\r\n\t\t\t\t[2]\r\n\t\t\t]\r\n\t\t}\r\n\t}\r\n}',
    ],
    ['{\n    "settings": {}\n}', { b: 1 }, '{\n    "settings": {\n        "b": 1\n    }\n}'],
    [
      '    { "settings": {\n      "a": 1 } }',
      { b: { c: [1, [2]] } },
      '    { "settings": {\n      "a": 1,\n      "b": {\n        "c": [\n          1,\n          [2]\n        ]\n      } } }',
    ],
    ['{\r"settings": {\r"a": 1\r}\r}', { b: 1 }, '{\r"settings": {\r"a": 1,\r"b": 1\r}\r}'],
    ['{\n  "settings": {\n    "a": 1\n  }\n}', { a: undefined }, '{\n  "settings": {}\n}'],
  ])("%j with %j", (text, changes, result) => {
    expect(edited(text, changes)).toBe(result);
  });
});

describe("refused", () => {
  const expected = "expected a number, a text, true, false, null, a list or a plain object, got";
  const itself: Record<string, unknown> = {};
  itself["a"] = itself;
  test.each<[text: string, changes: Record<string, unknown>, says: string[]]>([
    ["CV1=3", { a: 1 }, ["f:1:1: this is a CV set; expected a settings file"]],
    [
      '{"settings":{"a":1,"a":2}}',
      { a: 3 },
      ['f:1:20: settings.a: the key "a" is given twice, first on line 1; keep one of the two'],
    ],
    [file, { "": 1 }, ['f:4:3: expected the path of a setting, got ""']],
    [file, { "levels.5": 1 }, ['f:8:5: levels.5: the list has 3 items, and no item "5"']],
    [file, { "levels.x": 1 }, ['f:8:5: levels.x: the list has 3 items, and no item "x"']],
    [
      file,
      { "levels.0": undefined },
      ["f:8:16: levels.0: an item of a list cannot be removed alone; give the whole list"],
    ],
    [
      file,
      { bell: Number.NaN, x: { y: () => 1 }, z: itself },
      [
        `f:4:3: x.y: ${expected} function`,
        "f:4:3: z.a: the value contains itself",
        `f:5:30: bell: ${expected} NaN`,
      ],
    ],
  ])("%j with %j", (text, changes, says) => {
    const result = editSettings(text, changes, { file: "f" });
    expect(result.ok || result.issues.map((issue) => fileMessage(issue))).toEqual(says);
  });
});

test("any settings, changed anywhere: that value changes, and the text around it does not", () => {
  const key = fc.constantFrom("a", "b", "c", "a.b");
  const { tree } = fc.letrec<{ tree: unknown }>((tie) => ({
    tree: fc.oneof(
      { maxDepth: 3 },
      fc.constantFrom(1, "x", null, true, 0.5),
      fc.dictionary(key, tie("tree"), { maxKeys: 3 }),
      fc.array(tie("tree"), { maxLength: 3 }),
    ),
  }));
  const layout = fc.constantFrom<[string | number | undefined, string]>(
    [undefined, "\n"],
    [1, "\n"],
    ["\t", "\r\n"],
    [4, "\r"],
  );
  let changed = 0;
  fc.assert(
    fc.property(
      fc.dictionary(key, tree, { maxKeys: 4 }),
      fc.array(key, { minLength: 1, maxLength: 3 }),
      fc.option(tree, { nil: undefined }),
      layout,
      (settings, keys, value, [indent, lineEnd]) => {
        const text = JSON.stringify({ name: "N", settings, note: "n" }, null, indent).replaceAll(
          "\n",
          lineEnd,
        );
        const path = keys.join(".");
        const result = editSettings(text, { [path]: value });
        if (!result.ok) {
          expect(["no-such-item", "list-item-stays"]).toContain(result.issues[0]?.code);
          return;
        }
        const before = readSettings(text).value;
        const after = readSettings(result.value);
        expect(after.ok).toBe(true);
        if (!before || !after.ok) return;
        if (result.value !== text) changed++;
        // One piece was replaced; what is before and behind it is the same.
        let from = 0;
        while (from < text.length && text[from] === result.value[from]) from++;
        const place = before.locate(path);
        const lines = text.split(/\r\n|\r|\n/);
        const start = lines
          .slice(0, place.line - 1)
          .reduce((sum, line) => sum + line.length + lineEnd.length, 0);
        expect(from).toBeGreaterThanOrEqual(value === undefined ? 0 : start);
        expect(result.value.startsWith(text.slice(0, text.indexOf('"settings"')))).toBe(true);
        expect(result.value.endsWith(text.slice(text.lastIndexOf('"note"')))).toBe(true);
        // The value is where its path leads.
        const source = new SourceText(result.value);
        const root = parseJson(source, new FileIssues(source));
        const body = root?.kind === "object" ? root.value.get("settings") : undefined;
        const { node, rest } = follow(body!, path);
        if (value !== undefined) {
          expect([plainly(plain(node)), rest]).toEqual([plainly(value), ""]);
        }
        // Doing it again changes nothing. (Of a.b as one key and b in a, the first is removed, and the second left.)
        const isLeft = value === undefined && rest === "";
        if (!isLeft) expect(edited(result.value, { [path]: value })).toBe(result.value);
        else expect(path).toContain("a.b");
      },
    ),
    { numRuns: 1000 },
  );
  expect(changed).toBeGreaterThan(300);
});
