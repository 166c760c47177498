import { cv, level, record } from "cvset";
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
    "front": { "effect": "plain",
      "forLed": true },
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
  if (!result.ok) throw new Error(result.issues.map((issue) => fileMessage(issue)).join("\n"));
  return result.value;
}

function refused(json: string): string[] {
  const result = readSettings(json, { file: "f" });
  return result.ok ? [] : result.issues.map((issue) => fileMessage(issue));
}

test("everything in a settings file is there", () => {
  const { settings, locate: _, at: __, ...head } = read(text);
  expect(head).toEqual({
    kind: "settings",
    decoder: "quillback-s8",
    name: "No. 9",
    note: "new lamp in March",
    schema: "quillback.schema.json",
    silence: [{ rule: "r", reason: "why" }],
  });
  expect(Object.keys(settings)).toEqual(["whistle", "front", "speed", "idle", "__proto__"]);
  expect(settings["front"]).toEqual({ effect: "plain", forLed: true });
  expect(settings["speed"]).toEqual({ levels: [4, 8, 12, 300] });
  expect(settings["idle"]).toBe(0.3);
  expect(({} as { polluted?: boolean }).polluted).toBe(undefined);
});

test.each([
  ["", 7, 3],
  ["whistle", 8, 5],
  ["front.effect", 9, 16],
  ["front.forLed", 10, 7],
  ["speed.levels.1", 12, 21],
  ["speed.levels.3", 13, 13],
  ["speed.trim", 11, 5],
  ["horn", 7, 3],
])("%j is on line %i, column %i", (path, line, column) => {
  const where = read(text).locate(path);
  expect(where).toEqual({ line, column });
});

test("the issues of a codec get their places", () => {
  const speed = record({ levels: record({ 3: level(cv(67), { max: 255 }) }) });
  const front = record({ forLed: level(cv(68), { max: 255 }) });
  const file = readSettings(text, { file: "no9.json" }).value;
  const found = record({ speed, front }).tryEncode({
    speed: { levels: { 3: 300 } },
    front: { led: 1 },
  } as never);
  const issues = found.ok ? [] : (file?.at(found.issues) ?? []);
  expect(issues.map(({ file, line, column, path }) => [file, line, column, path])).toEqual([
    ["no9.json", 13, 13, "speed.levels.3"],
    ["no9.json", 9, 5, "front.led"],
  ]);
  expect(fileMessage(issues[0]!)).toBe(
    "no9.json:13:13: speed.levels.3: 300 is out of range; allowed is 0 to 255",
  );
});

test("a message in another language", () => {
  const result = readSettings('{"settings":[]}', { file: "f" });
  const wording = { "not-settings": "Einstellungen fehlen, gefunden: {found}" };
  expect(result.ok || result.issues.map((issue) => fileMessage(issue, wording))).toEqual([
    "f:1:13: settings: Einstellungen fehlen, gefunden: []",
  ]);
});

describe("refused", () => {
  const known =
    'is not known; a file of this kind may have "$schema", "decoder", "name", "note", "silence", "settings"';
  const kind =
    'it cannot be told what this file is: expected the key "cvs", "settings", "features" or "steps", or CV numbers as keys; the keys are';
  test.each<[string, string[]]>([
    ["", ["f:1:1: the file is empty"]],
    ["\ufeff\n", ["f:1:1: the file is empty"]],
    ["{\0}", ["f:1:2: this is not a text: it has the character U+0000, as binary files and UTF-16 have"]],
    ["[]", ['f:1:1: expected an object with the key "cvs" or "settings", got []']],
    ["{}", ["f:1:1: this is a CV set; expected a settings file"]],
    ['{"setings":{}}', [`f:1:1: ${kind} "setings"; nearest: "settings"`]],
    ['{"decoder":"x","setings":{}}', [`f:1:1: ${kind} "decoder", "setings"; nearest: "settings"`]],
    ['{"x":{},"y\u202e":{}}', [`f:1:1: ${kind} "x", "y\\u202e"`]],
    ['{\n"cvs":{}}', ["f:1:1: this is a CV set; expected a settings file"]],
    ["CV1=3", ["f:1:1: this is a CV set; expected a settings file"]],
    ['{"settings":[1]}', ["f:1:13: settings: expected an object with the names of settings as keys, got []"]],
    [
      '{"settings":null}',
      ["f:1:13: settings: expected an object with the names of settings as keys, got null"],
    ],
    [
      '{"settings":{},\n"decodr":"x",\n"bits":{},"__proto__":1,"toString":2}',
      [
        `f:2:1: the key "decodr" ${known}; nearest: "decoder"`,
        `f:3:1: the key "bits" ${known}`,
        `f:3:11: the key "__proto__" ${known}`,
        `f:3:25: the key "toString" ${known}`,
      ],
    ],
    [
      '{"settings":{},"decoder":null,"name":3}',
      [
        "f:1:26: decoder: expected a text in double quotes that is not empty, got null",
        "f:1:38: name: expected a text in double quotes that is not empty, got 3",
      ],
    ],
    [
      '{"settings":{"a":1e400,\n"b":{"c":[-1e999]},\n"d":12345678901234567890,"e":9007199254740993}}',
      [
        "f:1:18: a: 1e400 is too large a number to be kept exactly",
        "f:2:11: b.c.0: -1e999 is too large a number to be kept exactly",
        "f:3:5: d: 12345678901234567890 is too large a number to be kept exactly",
        "f:3:30: e: 9007199254740993 is too large a number to be kept exactly",
      ],
    ],
    [
      '{"settings":{"a":1,\n"a":2}}',
      ['f:2:1: settings.a: the key "a" is given twice, first on line 1; keep one of the two'],
    ],
    ['{"settings":{"a":1,\n}}', ["f:2:1: settings: there is a comma before this closing }; take it out"]],
  ])("%j", (json, says) => {
    expect(refused(json)).toEqual(says);
  });

  test("a key misspelt beyond guessing", () => {
    expect(refused('{"settings":{},"qqqqqq":1}')).toEqual([`f:1:16: the key "qqqqqq" ${known}`]);
  });

  test("10,000 levels, and 50 MB", () => {
    const deep = readSettings(`{"settings":${'{"a":'.repeat(10_000)}`);
    expect(deep.ok || deep.issues.map(({ code }) => code)).toEqual(["too-deep"]);
    const long = readSettings(`{"settings":{"a":"${"x".repeat(50_000_000)}"}}`);
    expect(long.ok || long.issues.map(({ code }) => code)).toEqual(["too-long"]);
  });
});

test("the output of explain is a settings file, and what is not read of it is noted", () => {
  const result = readSettings('{"decoder":"d","settings":{"a":1},"lines":[],"issues":[]}', { file: "f" });
  expect([result.ok, ...result.notes.map((note) => fileMessage(note))]).toEqual([
    true,
    'f:1:35: note: keys not read: "lines", "issues"',
  ]);
});

test("small odd numbers are kept as they are", () => {
  const { settings } = read('{"settings":{"a":-0,"b":3.0,"c":1e2,"d":9007199254740991}}');
  expect(settings).toEqual({ a: -0, b: 3, c: 100, d: 9007199254740991 });
});

test("every item of a list of 120 has its own place, and its faults are put there", () => {
  const items = Array.from({ length: 120 }, (_, i) => `      { "level": ${i} }`);
  const file = read(`{\n  "settings": {\n    "speed": [\n${items.join(",\n")}\n    ]\n  }\n}\n`);
  for (let i = 0; i < 120; i++) {
    expect(file.locate(`speed.${i}`)).toEqual({ line: 4 + i, column: 7 });
    expect(file.locate(`speed.${i}.level`)).toEqual({ line: 4 + i, column: 9 });
    const [placed] = file.at([{ code: "x", path: `speed.${i}.level`, text: "x", params: {} }]);
    expect([placed?.line, placed?.column]).toEqual([4 + i, 9]);
  }
  // What is not there is put where the path ends.
  for (const path of ["speed.120", "speed.-1", "speed.1x", "speed.01x"])
    expect(file.locate(path)).toEqual({ line: 3, column: 5 });
});
