import { CvError, type Issue, messageOf } from "cvset";
import { describe, expect, test } from "vitest";
import {
  missingCv,
  missingValue,
  notABoolean,
  notAByte,
  notACv,
  notAList,
  notANumber,
  notAnObject,
  notAnOption,
  notAText,
  outOfRange,
  unknownBits,
  unknownName,
} from "../../src/cv/faults.js";
import { fault, joinPath, under } from "../../src/cv/issue.js";

const places = [{ cv: "218", mask: 255 }];

describe("a kind of fault makes issues: data, of which the sentence is made", () => {
  const tooSteep = fault("too-steep", "{found} is too steep; the lines are {lines:list}");

  test("code, sentence and parameters; where it is when that is given", () => {
    expect(tooSteep({ found: 9, lines: ["A"] })).toEqual({
      code: "too-steep",
      path: "",
      text: "{found} is too steep; the lines are {lines:list}",
      params: { found: 9, lines: ["A"] },
    });
    expect(tooSteep({ found: 9, lines: [] }, { path: "a.b", places, source: "Rulebook, page 3" })).toEqual({
      code: "too-steep",
      path: "a.b",
      places,
      source: "Rulebook, page 3",
      text: "{found} is too steep; the lines are {lines:list}",
      params: { found: 9, lines: [] },
    });
  });

  const lines = Array.from({ length: 15 }, (_, i) => `line ${i}`);
  const nested = { a: [1, "b"] };
  test.each<[string, Readonly<Record<string, unknown>>, string]>([
    // As a value: a text in quotes, a list as its values.
    ["{x}", { x: 7 }, "7"],
    ["{x}", { x: "7" }, '"7"'],
    ["{x}", { x: undefined }, "undefined"],
    ["{x}", { x: nested }, '{"a":[1,"b"]}'],
    ["{x}", { x: ["a", 1, null, [2]] }, '"a", 1, null, [2]'],
    [
      "{x}",
      { x: lines },
      `${lines
        .slice(0, 12)
        .map((line) => `"${line}"`)
        .join(", ")} and 3 more`,
    ],
    [
      "{x}",
      { x: lines.slice(0, 12) },
      lines
        .slice(0, 12)
        .map((line) => `"${line}"`)
        .join(", "),
    ],
    ["{x}", { x: [] }, ""],
    // As one value, whatever it is.
    ["{x:value}", { x: ["a", 1] }, '["a",1]'],
    ["{x:value}", { x: [] }, "[]"],
    ["{x:value}", { x: "a" }, '"a"'],
    ["{found}", { found: [] }, "[]"],
    ["{found}", { found: [[1], "b"] }, '[[1],"b"]'],
    ["{found}", { found: "a" }, '"a"'],
    ["{found:list}", { found: ["a", "b"] }, "a, b"],
    ["{found:text}", { found: "a" }, "a"],
    // As a text of our own.
    ["1{x:text}", { x: " s" }, "1 s"],
    ["1{x:text}", { x: "" }, "1"],
    ["1{x:text}", { x: undefined }, "1"],
    ["1{x:text}", { x: 7 }, "17"],
    // As a list of texts.
    ["{x:list}", { x: ["a", "b c"] }, "a, b c"],
    ["{x:list}", { x: lines }, `${lines.slice(0, 12).join(", ")} and 3 more`],
    ["{x:list}", { x: "a" }, '"a"'],
    ["{x:list}", { x: ["y".repeat(100)] }, `${"y".repeat(57)}...`],
    // Several, one of them twice, and braces that are no parameter.
    ["{x} {y} {x}", { x: 1, y: "$&" }, '1 "$&" 1'],
    ["{} { x } {x-y} {x:json} {x}", { x: 1 }, "{} { x } {x-y} {x:json} 1"],
    ["{toString} {z}", { x: 1 }, "{toString} {z}"],
    ["{a_1}{b2}", { a_1: 1, b2: 2 }, "12"],
    // A value is not looked at for parameters.
    ["{x} {y}", { x: "{y}", y: 2 }, '"{y}" 2'],
  ])("%s with %j", (text, params, sentence) => {
    expect(messageOf({ code: "x", path: "", text, params })).toBe(sentence);
  });
});

describe("messages", () => {
  test.each<[Issue, string]>([
    [
      notACv({ found: "x" }),
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "x"',
    ],
    [notAByte({ found: 300 }, { places }), "CV 218: expected a whole number from 0 to 255, got 300"],
    [notAByte({ found: 300 }, { path: "a" }), "a: expected a whole number from 0 to 255, got 300"],
    [missingCv({}, { path: "whistle", places }), "whistle: CV 218: not in the CV set"],
    [missingValue({}, { path: "drains.seconds" }), "drains.seconds: a value is needed"],
    [
      unknownBits({}, { path: "a", places: [{ cv: "29", mask: 6 }] }),
      "a: CV 29 bits 1-2: not known, and the other bits of the CV are to be written: give the present CVs as the base",
    ],
    [notABoolean({ found: "yes" }, { path: "bell" }), 'bell: expected true or false, got "yes"'],
    [notANumber({ found: "3" }), 'expected a number, got "3"'],
    [notAText({ found: 3 }), "expected a text, got 3"],
    [notAList({ found: {} }), "expected a list, got {}"],
    [notAnObject({ found: [] }), "expected an object, got []"],
    [
      notAnOption({ found: "hihg", allowed: ["low", "high"], nearest: ["high"] }, { path: "whistle" }),
      'whistle: "hihg" is not an option; the options are "low", "high"; nearest: "high"',
    ],
    [
      notAnOption({ found: "zzz", allowed: ["low", "high"], nearest: [] }, { path: "whistle" }),
      'whistle: "zzz" is not an option; the options are "low", "high"',
    ],
    [notAnOption({ found: 3, allowed: [1, "2"] }), '3 is not an option; the options are 1, "2"'],
    [
      unknownName({ allowed: ["whistle", "bell"], nearest: ["whistle"] }, { path: "wistle" }),
      'wistle: there is no such name; the names are whistle, bell; nearest: "whistle"',
    ],
    [unknownName({ found: "x", allowed: ["a"] }, { path: "x" }), "x: there is no such name; the names are a"],
    [
      outOfRange({ found: 99, min: 1, max: 60, unit: " s" }, { path: "drains.seconds" }),
      "drains.seconds: 99 is out of range; allowed is 1 to 60 s",
    ],
    [
      outOfRange({ found: 99, min: 1, max: 60, unit: "" }, { places }),
      "CV 218: 99 is out of range; allowed is 1 to 60",
    ],
    [
      outOfRange(
        { found: 200, min: 1, max: 127, unit: "" },
        { path: "address", places: [], source: "S-9.2.2 (July 2012), CV 1" },
      ),
      "address: 200 is out of range; allowed is 1 to 127 (S-9.2.2 (July 2012), CV 1)",
    ],
  ])("%j", (issue, text) => {
    expect(messageOf(issue)).toBe(text);
    expect(new CvError([issue, issue]).message).toBe(`${text}\n${text}`);
  });

  test("in another language, by code; English where a code is not in it", () => {
    const issue = outOfRange(
      { found: "99", min: 1, max: 60, unit: " s", nearest: ["x"] },
      { path: "a", places, source: "Rulebook" },
    );
    const german = {
      range: "{found} liegt nicht zwischen {min} und {max}{unit:text}, {fuond}, {found:text}",
    };
    expect(messageOf(issue, german)).toBe(
      'a: CV 218: "99" liegt nicht zwischen 1 und 60 s, {fuond}, 99; nearest: "x" (Rulebook)',
    );
    for (const wording of [{}, { byte: "" }, Object.create(german), undefined]) {
      expect(messageOf(issue, wording)).toBe(messageOf(issue));
    }
    expect(messageOf({ ...issue, code: "toString" }, {})).toBe(messageOf(issue));
    expect(messageOf({ ...issue, code: "constructor" }, {})).toBe(messageOf(issue));
    expect(messageOf(missingValue({}), { "missing-value": "" })).toBe("");
    // Letters that are joined or not by marks without a form stay as the translator wrote them.
    expect(
      messageOf(missingValue({}), { "missing-value": "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u062f" }),
    ).toBe("\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u062f");
  });
});

test.each<[string, () => unknown]>([
  ["issues: expected a list of issues, got 5", () => new CvError(5 as never)],
  ["issue: expected an issue, an object with code, text and params, got 5", () => new CvError([5] as never)],
  [
    'issue: expected an issue, an object with code, text and params, got {"code":"a"}',
    () => messageOf({ code: "a" } as never),
  ],
  ...[5, "x", null, [], { range: 5 }].map((wording): [string, () => unknown] => [
    `wording: expected an object with a sentence for each code, got ${JSON.stringify(wording)}`,
    () => messageOf(missingValue({}), wording as never),
  ]),
])("what is no issue, and no wording, is named: %s", (words, make) => {
  let message = "";
  try {
    make();
  } catch (error) {
    message = (error as CvError).message;
  }
  expect(message).toBe(words);
});

describe("CvError", () => {
  const many = Array.from({ length: 5000 }, (_, i) => missingValue({}, { path: `a${i}` }));

  test("has every issue, and tells the first hundred", () => {
    const error = new CvError(many);
    expect(error).toBeInstanceOf(Error);
    expect([error.name, error.issues]).toEqual(["CvError", many]);
    const lines = error.message.split("\n");
    expect(lines.length).toBe(101);
    expect([lines[0], lines[99], lines[100]]).toEqual([
      "a0: a value is needed",
      "a99: a value is needed",
      "and 4900 more",
    ]);
    expect(new CvError(many.slice(0, 100)).message.split("\n").length).toBe(100);
    expect(new CvError(many.slice(0, 101)).message).toMatch(/\na99: a value is needed\nand 1 more$/);
    expect(new CvError([]).message).toBe("");
  });
});

describe("paths", () => {
  test("are joined with dots, and empty ones pass", () => {
    expect([joinPath("a", "b"), joinPath("", "b"), joinPath("a", ""), joinPath("", "")]).toEqual([
      "a.b",
      "b",
      "a",
      "",
    ]);
    const issue = notABoolean({ found: 1 }, { path: "b", places });
    expect(under("a", [issue])).toEqual([{ ...issue, path: "a.b" }]);
    expect(issue.path).toBe("b");
  });
});
