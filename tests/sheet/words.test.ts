import { describe, expect, test } from "vitest";
import { capital, joined, levelInWords, listed, number, oneLine, small } from "../../src/sheet/words.js";

describe("texts on one line", () => {
  test.each<[text: string, most: number | undefined, line: string]>([
    ["  a \n\t b\u2028c ", undefined, "a b c"],
    ["x".repeat(300), undefined, "x".repeat(300)],
    ["x".repeat(301), undefined, `${"x".repeat(297)}...`],
    ["abcdef", 5, "ab..."],
    [`e${"\u0301".repeat(4)}f`, undefined, `e${"\u0301".repeat(4)}f`],
    [
      `e${"\u0301".repeat(5)}f${"\u0301".repeat(9)}g`,
      undefined,
      `e${"\u0301".repeat(4)}f${"\u0301".repeat(4)}g`,
    ],
    ["a\u0007b", undefined, "a\\u0007b"],
  ])("%j, at most %j", (text, most, line) => {
    expect(oneLine(text, most)).toBe(line);
  });
});

test("the beginning of a line, and a label within one", () => {
  expect(["bell", "F1", "", "\u00e4"].map(capital)).toEqual(["Bell", "F1", "", "\u00c4"]);
  expect(["Open for", "LED", "F1", "open", "A lamp", "x Y", "aBc"].map(small)).toEqual([
    "open for",
    "LED",
    "F1",
    "open",
    "A lamp",
    "x Y",
    "aBc",
  ]);
});

test.each<[labels: string[], text: string]>([
  [["Bell"], "Bell"],
  [["Bell", "How loud"], "Bell: How loud"],
  // An outer label whose word the inner one has is left out; words of three letters do not count.
  [["Brake squeal", "Squeal for at most"], "Squeal for at most"],
  [["Brake squeal", "Loudness of SQUEAL"], "Loudness of SQUEAL"],
  [["The pump", "The rest"], "The pump: The rest"],
  [["Air pump", "x", "Pump strokes"], "x: Pump strokes"],
  [["Gr\u00f6\u00dfe", "gr\u00f6\u00dfe"], "gr\u00f6\u00dfe"],
  [["a".repeat(60), "b".repeat(60)], `${"a".repeat(60)}: ${"b".repeat(35)}...`],
  [[], ""],
])("labels from the outside in, as one: %j", (labels, text) => {
  expect(joined(labels)).toBe(text);
});

test("numbers for people", () => {
  expect([12.34, 12.35, -1.25, 5, -0.04].map((value) => number(value))).toEqual([
    "12.3",
    "12.3",
    "\u22121.3",
    "5",
    "0",
  ]);
  expect([number(1.005, 2), number(99.5, 0), number(2.5, 3)]).toEqual(["1", "100", "2.5"]);
});

test("several things in a row", () => {
  expect([[], ["a"], ["a", "b"], ["a", "b", "c"]].map(listed)).toEqual(["", "a", "a and b", "a, b and c"]);
});

// 20 log10 of the share: a half is -6.02 dB, an eighth -18.06 dB.
test.each<[share: number, words: string]>([
  [-1, "\u22121 %, silent"],
  [0, "0 %, silent"],
  [0.1, "0.1 %, very quiet (\u221260 dB)"],
  [12.5, "12.5 %, very quiet (\u221218.1 dB)"],
  [12.6, "12.6 %, quiet (\u221218 dB)"],
  [25, "25 %, quiet (\u221212 dB)"],
  [25.1, "25.1 %, medium (\u221212 dB)"],
  [50, "50 %, medium (\u22126 dB)"],
  [50.1, "50.1 %, loud (\u22126 dB)"],
  [99.9, "99.9 %, loud (0 dB)"],
  [100, "100 %, full (0 dB)"],
  [120, "120 %, more than full (1.6 dB)"],
])("a sound level of %f %", (share, words) => {
  expect(levelInWords(share)).toBe(words);
});
