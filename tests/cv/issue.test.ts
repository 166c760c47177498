import { CvError, type Issue, messageOf, nearestNames, placesText } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { joinPath, show, under } from "../../src/cv/issue.js";

describe("bits as people say them", () => {
  test.each<[[cv: string, mask: number][], string]>([
    [[], ""],
    [[["29", 255]], "CV 29"],
    [[["29", 32]], "CV 29 bit 5"],
    [[["29", 1]], "CV 29 bit 0"],
    [[["29", 128]], "CV 29 bit 7"],
    [[["152", 3]], "CV 152 bits 0-1"],
    [[["29", 0b1001_0110]], "CV 29 bits 1-2, 4, 7"],
    [
      [
        ["17", 255],
        ["18", 255],
      ],
      "CV 17, CV 18",
    ],
    [
      [
        ["67", 255],
        ["68", 255],
        ["69", 255],
      ],
      "CV 67-69",
    ],
    [
      [
        ["67", 255],
        ["68", 254],
        ["69", 255],
      ],
      "CV 67, CV 68 bits 1-7, CV 69",
    ],
    [
      [
        ["2", 255],
        ["5", 255],
        ["6", 255],
        ["7", 255],
        ["9", 1],
      ],
      "CV 2, CV 5-7, CV 9 bit 0",
    ],
    [
      [
        ["7", 255],
        ["6", 255],
        ["5", 255],
      ],
      "CV 7, CV 6, CV 5",
    ],
    [
      [
        ["300@16.0", 255],
        ["301@16.0", 255],
        ["302@16.0", 255],
      ],
      "CV 300@16.0-302@16.0",
    ],
  ])("%j", (bits, text) => {
    expect(placesText(bits.map(([cv, mask]) => ({ cv, mask })))).toBe(text);
  });
});

describe("messages", () => {
  const places = [{ cv: "141", mask: 255 }];
  test.each<[Issue, string]>([
    [{ code: "cv", path: "", expected: "a CV number", found: "x" }, '"x" is not a CV; write a CV number'],
    [
      { code: "byte", path: "", places, expected: "a byte", found: 300 },
      "CV 141: 300 is not a CV value; it must be a byte",
    ],
    [
      { code: "byte", path: "a", expected: "a byte", found: 300 },
      "a: 300 is not a CV value; it must be a byte",
    ],
    [
      { code: "missing", path: "whistle", places, expected: "a value" },
      "whistle: CV 141 is not in the CV set",
    ],
    [
      { code: "missing", path: "drains.seconds", expected: "a value" },
      "drains.seconds: a value is needed here",
    ],
    [
      { code: "unknown-bits", path: "a", places: [{ cv: "29", mask: 6 }], expected: "would be left unknown" },
      "a: CV 29 bits 1-2 would be left unknown",
    ],
    [
      { code: "stored", path: "whistle", places, expected: "", found: 9 },
      "whistle: CV 141 holds 9, which no whistle has",
    ],
    [
      { code: "stored", path: "a.whistle", places, expected: "0 low", found: 9 },
      "a.whistle: CV 141 holds 9, which no whistle has (0 low)",
    ],
    [
      { code: "stored", path: "", places, expected: "", found: 9 },
      "CV 141 holds 9, which stands for nothing",
    ],
    [
      { code: "type", path: "bell", expected: "true or false", found: "yes" },
      'bell: "yes" is not true or false',
    ],
    [
      { code: "option", path: "whistle", expected: "low, high", found: "hihg", nearest: ["high"] },
      'whistle: "hihg" is not an option; nearest: "high"; allowed is low, high',
    ],
    [
      { code: "option", path: "whistle", expected: "low, high", found: "zzz" },
      'whistle: "zzz" is not an option, allowed is low, high',
    ],
    [
      { code: "name", path: "wistle", expected: "whistle", found: "wistle", nearest: ["whistle"] },
      'wistle: there is no such setting; nearest: "whistle"; allowed is whistle',
    ],
    [{ code: "name", path: "x", expected: "", found: "x" }, "x: there is no such setting"],
    [
      { code: "range", path: "drains.seconds", expected: "1 to 60 s", found: 99 },
      "drains.seconds: 99 is out of range, allowed is 1 to 60 s",
    ],
    [
      { code: "range", path: "", places, expected: "1 to 60 s", found: 99 },
      "CV 141 holds 99, allowed is 1 to 60 s",
    ],
    [
      { code: "between", path: "pause", expected: "0.2 s and 0.3 s", found: 0.25 },
      "pause: 0.25 cannot be stored exactly; the nearest are 0.2 s and 0.3 s",
    ],
    [
      { code: "content", path: "name", expected: "at most 4 characters fit", found: "Alice" },
      'name: at most 4 characters fit, not "Alice"',
    ],
    [
      { code: "definition", path: "", places, expected: "a choice needs an option" },
      "CV 141: a choice needs an option",
    ],
    [{ code: "custom", path: "ratio", expected: "ratio: too steep" }, "ratio: ratio: too steep"],
    [
      {
        code: "range",
        path: "address",
        expected: "1 to 127",
        found: 200,
        clause: "S-9.2.2 (July 2012), CV 1",
      },
      "address: 200 is out of range, allowed is 1 to 127 (S-9.2.2 (July 2012), CV 1)",
    ],
  ])("%j", (issue, text) => {
    expect(messageOf(issue)).toBe(text);
    expect(new CvError([issue, issue]).message).toBe(`${text}\n${text}`);
  });

  test.each<[unknown, string]>([
    [0, "0"],
    [-0, "-0"],
    [0.1, "0.1"],
    [Number.NaN, "NaN"],
    [-Infinity, "-Infinity"],
    [10n, "10n"],
    ["a", '"a"'],
    [undefined, "undefined"],
    [null, "null"],
    [() => 1, "function"],
    [Symbol("x"), "symbol"],
    [[1, "b"], '[1,"b"]'],
    [{ a: 1n }, "object"],
    ["x".repeat(100), `"${"x".repeat(56)}...`],
  ])("a value in a message: %s", (value, text) => expect(show(value)).toBe(text));

  test("circular and very deep values are shown by their type", () => {
    const circular: unknown[] = [];
    circular.push(circular);
    expect(show(circular)).toBe("object");
    let deep: unknown = 0;
    for (let i = 0; i < 100_000; i++) deep = [deep];
    expect(show(deep)).toBe("object");
  });

  test("anything is shown in 60 characters", () => {
    fc.assert(
      fc.property(fc.anything(), (value) => {
        expect(show(value).length).toBeLessThanOrEqual(60);
      }),
    );
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
    const issue: Issue = { code: "type", path: "b", expected: "x" };
    expect(under("a", [issue])).toEqual([{ ...issue, path: "a.b" }]);
    expect(issue.path).toBe("b");
  });
});

describe("nearest names", () => {
  const names = ["one-note", "three-chime", "five-chime", "off"];
  test.each<[string, string[]]>([
    ["three-chim", ["three-chime", "five-chime"]],
    ["THREE-CHIME", ["three-chime", "five-chime"]],
    ["onenote", ["one-note"]],
    ["of", ["off"]],
    ["xylophone", []],
    ["", []],
  ])("%s", (name, nearest) => expect(nearestNames(name, names)).toEqual(nearest));

  test("at most three, the best first", () => {
    expect(nearestNames("aaaa", ["aaab", "aabb", "aaaa", "aaac", "aaad"])).toEqual(["aaaa", "aaab", "aaac"]);
  });

  test("a name of a million letters costs no more than one of 64", () => {
    expect(nearestNames("x".repeat(1_000_000), ["x".repeat(64), "off"])).toEqual(["x".repeat(64)]);
  });

  /** The number of edits, by recursion: slow and plain. */
  function edits(a: string, b: string): number {
    if (a === "" || b === "") return a.length + b.length;
    const rest = edits(a.slice(1), b.slice(1)) + (a[0] === b[0] ? 0 : 1);
    return Math.min(rest, edits(a.slice(1), b) + 1, edits(a, b.slice(1)) + 1);
  }
  const short = fc.string({ unit: fc.constantFrom("a", "b", "c"), maxLength: 5 });
  test("a name is near when at most half of its letters, or one, are wrong", () => {
    fc.assert(
      fc.property(short, short, (name, candidate) => {
        const near = edits(name, candidate) <= Math.max(1, candidate.length / 2);
        expect(nearestNames(name, [candidate])).toEqual(near ? [candidate] : []);
      }),
    );
  });
});
