import { fileMessage, readSettings } from "cvset/files";
import { describe, expect, test } from "vitest";

const text = `{
  "decoder": "quillback-s8",
  "name": "No. 9",
  "note": "new lamp in March",
  "$schema": "quillback.schema.json",
  "silence": [{ "rule": "r", "reason": "why" }],
  "settings": {
    "whistle": "three-chime",
    "front": { "effect": "steady",
      "ledCorrection": true },
    "speed": {
      "levels": [4, 8,
        12, 300]
    },
    "idle": 0.30,
    "__proto__": { "polluted": true }
  }
}
`;

function read(json: string) {
  const result = readSettings(json);
  if (!result.ok) throw new Error(result.issues.map((issue) => fileMessage("f", issue)).join("\n"));
  return result.value;
}

function refused(json: string): string[] {
  const result = readSettings(json);
  return result.ok ? [] : result.issues.map((issue) => fileMessage("f", issue));
}

test("everything in a settings file is there", () => {
  const { settings, locate: _, at: __, ...head } = read(text);
  expect(head).toEqual({
    decoder: "quillback-s8",
    name: "No. 9",
    note: "new lamp in March",
    schema: "quillback.schema.json",
    silence: [{ rule: "r", reason: "why" }],
  });
  expect(Object.keys(settings)).toEqual(["whistle", "front", "speed", "idle", "__proto__"]);
  expect(settings["front"]).toEqual({ effect: "steady", ledCorrection: true });
  expect(settings["speed"]).toEqual({ levels: [4, 8, 12, 300] });
  expect(settings["idle"]).toBe(0.3);
  expect(({} as { polluted?: boolean }).polluted).toBe(undefined);
});

test.each([
  ["", 7, 3],
  ["whistle", 8, 5],
  ["front.effect", 9, 16],
  ["front.ledCorrection", 10, 7],
  ["speed.levels.1", 12, 21],
  ["speed.levels.3", 13, 13],
  ["speed.trim", 11, 5],
  ["horn", 7, 15],
])("%j is on line %i, column %i", (path, line, column) => {
  const where = read(text).locate(path);
  expect(where).toEqual({ line, column });
});

test("what a decoder complains of gets its lines", () => {
  const issues = read(text).at([
    { code: "range", path: "speed.levels.3", expected: "0 to 255", found: 300 },
    { code: "name", path: "front.led", expected: "", nearest: ["ledCorrection"] },
  ]);
  expect(issues.map((issue) => fileMessage("no9.json", issue))).toEqual([
    "no9.json:13: speed.levels.3: 300 is out of range, allowed is 0 to 255",
    'no9.json:9: front.led: there is no such setting; nearest: "ledCorrection"',
  ]);
});

describe("refused", () => {
  const known = '(a file may have "$schema", "decoder", "name", "note", "silence", "settings")';
  test.each<[string, string[]]>([
    ["", ["f:1: there is nothing in it; a settings file was expected"]],
    ["\ufeff\n", ["f:1: there is nothing in it; a settings file was expected"]],
    ["{\0}", ["f:1: this is not a text: it holds a character U+0000, as binary files and UTF-16 do"]],
    ["[]", ['f:1: a settings file is an object, as in { "settings": { "address": 3 } }']],
    [
      "{}",
      ['f:1: "settings" is missing; a settings file is an object, as in { "settings": { "address": 3 } }'],
    ],
    ['{\n"cvs":{}}', ['f:2: this is a CV set; a settings file has "settings" instead of "cvs"']],
    ['{"settings":[1]}', ['f:1: settings: [] is not an object, as in "settings": { "address": 3 }']],
    ['{"settings":null}', ['f:1: settings: null is not an object, as in "settings": { "address": 3 }']],
    [
      '{"settings":{},\n"decodr":"x",\n"cvs":{},"__proto__":1,"toString":2}',
      [
        `f:2: the key "decodr" is not known; is "decoder" meant? ${known}`,
        `f:3: the key "cvs" is not known ${known}`,
        `f:3: the key "__proto__" is not known ${known}`,
        `f:3: the key "toString" is not known ${known}`,
      ],
    ],
    [
      '{"settings":{},"decoder":null,"name":3}',
      [
        "f:1: decoder: null is not a text in double quotes, and not empty",
        "f:1: name: 3 is not a text in double quotes, and not empty",
      ],
    ],
    [
      '{"settings":{"a":1e400,\n"b":{"c":[-1e999]},\n"d":12345678901234567890,"e":9007199254740993}}',
      [
        "f:1: a: 1e400 is too large a number to be kept exactly",
        "f:2: b.c.0: -1e999 is too large a number to be kept exactly",
        "f:3: d: 12345678901234567890 is too large a number to be kept exactly",
        "f:3: e: 9007199254740993 is too large a number to be kept exactly",
      ],
    ],
    [
      '{"settings":{"a":1,\n"a":2}}',
      ['f:2: settings.a: the key "a" stands twice, first on line 1; keep one of the two'],
    ],
    ['{"settings":{"a":1,\n}}', ["f:2: settings: there is a comma before this closing }; take it out"]],
    [
      "CV1=3",
      ["f:1: a value must come here (a number, true, false, null, or a text in double quotes), not CV1"],
    ],
  ])("%j", (json, says) => {
    expect(refused(json)).toEqual(says);
  });

  test("a key misspelt beyond guessing", () => {
    expect(refused('{"settings":{},"qqqqqq":1}')).toEqual([`f:1: the key "qqqqqq" is not known ${known}`]);
  });

  test("10,000 levels, and 50 MB", () => {
    const deep = readSettings(`{"settings":${'{"a":'.repeat(10_000)}`);
    expect(deep.ok || deep.issues.map(({ kind }) => kind)).toEqual(["limit"]);
    const long = readSettings(`{"settings":{"a":"${"x".repeat(50_000_000)}"}}`);
    expect(long.ok || long.issues.map(({ kind }) => kind)).toEqual(["limit"]);
  });
});

test("small odd numbers are kept as they are", () => {
  const { settings } = read('{"settings":{"a":-0,"b":3.0,"c":1e2,"d":9007199254740991}}');
  expect(settings).toEqual({ a: -0, b: 3, c: 100, d: 9007199254740991 });
});
