import { CvError, messageOf } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { notAnOption, unknownName } from "../../src/cv/faults.js";
import { fault } from "../../src/cv/issue.js";
import { reasonOf, shortened, show, showList, visible } from "../../src/cv/show.js";
import { timesUsual } from "../support/runs.js";

/** Whether a text can be printed as it is, written without the expression that the library uses. */
function isSafe(text: string): boolean {
  return [...text].every((character) => !isHidden(character.codePointAt(0) as number));
}

/** Control characters, line and paragraph separators, marks of direction, and what is drawn as nothing. */
function isHidden(code: number): boolean {
  const ranges: [number, number][] = [
    [0x00, 0x1f],
    [0x7f, 0x9f],
    [0xad, 0xad],
    [0x34f, 0x34f],
    [0x61c, 0x61c],
    [0x115f, 0x1160],
    [0x17b4, 0x17b5],
    [0x180b, 0x180f],
    [0x200b, 0x200f],
    [0x2028, 0x202e],
    [0x2060, 0x206f],
    [0x3164, 0x3164],
    [0xd800, 0xdfff],
    [0xfe00, 0xfe0f],
    [0xfeff, 0xfeff],
    [0xffa0, 0xffa0],
    [0xfff9, 0xfffb],
    [0x1d173, 0x1d17a],
    [0xe0000, 0xe0fff],
  ];
  return ranges.some(([first, last]) => code >= first && code <= last);
}

describe("a text is made visible", () => {
  test.each<[string, string]>([
    ["plain text, also \u00e4 \u6c34 \u{1f682}", "plain text, also \u00e4 \u6c34 \u{1f682}"],
    ["", ""],
    ["a\0b", "a\\u0000b"],
    ["a\tb\r\nc", "a\\u0009b\\u000d\\u000ac"],
    ["\u001b[2J", "\\u001b[2J"],
    ["\u007f\u0080\u009b\u009f", "\\u007f\\u0080\\u009b\\u009f"],
    ["a\u2028b\u2029c", "a\\u2028b\\u2029c"],
    ["\u200e\u200f\u202a\u202e\u2066\u2069\u061c", "\\u200e\\u200f\\u202a\\u202e\\u2066\\u2069\\u061c"],
    ["a\u200bb\u00adc\ufeffd\u3164e", "a\\u200bb\\u00adc\\ufeffd\\u3164e"],
    ["\ud83d", "\\ud83d"],
    ["\ude82\ud83d", "\\ude82\\ud83d"],
    ["\u{e0041}", "\\u{e0041}"],
  ])("%j", (text, shown) => expect(visible(text)).toBe(shown));

  test("every code point: escaped where it is hidden, and nothing is left to escape", () => {
    for (let code = 0; code <= 0x10ffff; code++) {
      const text = String.fromCodePoint(code);
      const shown = visible(text);
      if (isHidden(code) ? shown === text : !(shown === text || shown.startsWith("\\u"))) {
        expect.unreachable(`U+${code.toString(16)} is shown as ${shown}`);
      }
      if (visible(shown) !== shown) expect.unreachable(`U+${code.toString(16)} is not done in one go`);
    }
    // The letters of a keyboard and of other languages stay.
    for (const text of ["~ !@", "\u00e9\u00df", "\u0434", "\u05d0", "\u0627", "\u4e2d"]) {
      expect(visible(text)).toBe(text);
    }
  });

  test.each<[string, number, string]>([
    ["abcdefghij", 10, "abcdefghij"],
    ["abcdefghijk", 10, "abcdefg..."],
    ["\u0001".repeat(9), 12, "\\u0001\\u0..."],
    ["\u0001\u0001", 12, "\\u0001\\u0001"],
    ["abcdef\u{1f682}ghij", 10, "abcdef..."],
    ["abcde\u{1f682}ghij", 10, "abcde\u{1f682}..."],
    ["abcdefghi\u{1f682}", 10, "abcdefg..."],
  ])("%j is cut to %i", (text, length, shown) => expect(visible(text, length)).toBe(shown));

  const hostile = fc.string({
    unit: fc.oneof(
      fc.integer({ min: 0, max: 0xffff }).map((code) => String.fromCharCode(code)),
      fc.constantFrom("\u001b", "\u202e", "\u2028", "\ud83d", "\ude82", "a", '"', "\\"),
    ),
    maxLength: 200,
  });

  test("any text, whole or cut, can be printed, and keeps its limit", () => {
    fc.assert(
      fc.property(hostile, fc.integer({ min: 3, max: 120 }), (text, length) => {
        for (const shown of [visible(text), visible(text, length), show(text)]) {
          if (!isSafe(shown)) expect.unreachable(JSON.stringify(shown));
        }
        expect(visible(text, length).length).toBeLessThanOrEqual(length);
        if (visible(text).length <= length) expect(visible(text, length)).toBe(visible(text));
        expect(show(text).length).toBeLessThanOrEqual(60);
      }),
      { numRuns: timesUsual(5) },
    );
  });

  test("a message can be printed whatever its parts are", () => {
    const odd = fault("odd", "\u001b[2J {found} {names:list} {unit:text} {all}");
    fc.assert(
      fc.property(hostile, hostile, fc.anything(), (text, other, value) => {
        const issue = odd(
          { found: value, names: [text, other], unit: other, all: [text, value], nearest: [text] },
          { path: text, places: [{ cv: text, mask: 3 }], source: other },
        );
        const message = messageOf(issue);
        if (!isSafe(message)) expect.unreachable(JSON.stringify(message));
        expect(message.length).toBeLessThan(5000);
        expect(isSafe(new CvError([issue]).message)).toBe(true);
      }),
      { numRuns: timesUsual(3) },
    );
  });
});

describe("a value in a message", () => {
  class Settings {
    seconds = 5;
  }
  test.each<[unknown, string]>([
    [0, "0"],
    [-0, "-0"],
    [0.1, "0.1"],
    [1e21, "1e+21"],
    [Number.NaN, "NaN"],
    [-Infinity, "-Infinity"],
    [10n, "10n"],
    [true, "true"],
    ["a", '"a"'],
    ['a"b\\', '"a\\"b\\\\"'],
    ["a\nb\u009b", '"a\\nb\\u009b"'],
    [undefined, "undefined"],
    [null, "null"],
    [() => 1, "function"],
    [Symbol("x"), "symbol"],
    [[1, "b"], '[1,"b"]'],
    [[], "[]"],
    [new Array(3), "[undefined,undefined,undefined]"],
    [{}, "{}"],
    [{ a: 1n }, '{"a":1n}'],
    [{ a: { b: [1, { c: 2 }] } }, '{"a":{"b":[1,{...}]}}'],
    [[[[[1]]]], "[[[[...]]]]"],
    [Object.create(null), "{}"],
    [Object.assign(Object.create({ inherited: 1 }), { own: 2 }), '{"own":2}'],
    [new Settings(), '{"seconds":5}'],
    [new Date(0), "Date {...}"],
    [new Map([[1, 2]]), "Map {...}"],
    [/x/, "RegExp {...}"],
    [Object(3), "Number {...}"],
    [new Uint8Array(3), "Uint8Array {...}"],
    [{ [Symbol.toStringTag]: "\u001b[2J" }, "\\u001b[2J {...}"],
    ["x".repeat(100), `"${"x".repeat(56)}...`],
    [
      ["y".repeat(20), "y".repeat(20), "y".repeat(20)],
      `["${"y".repeat(20)}","${"y".repeat(20)}","${"y".repeat(9)}...`,
    ],
    // Not through the middle of a pair of surrogates.
    [`${"x".repeat(55)}\u{1f682}${"x".repeat(50)}`, `"${"x".repeat(55)}...`],
  ])("%#: %s", (value, text) => expect(show(value)).toBe(text));

  test("circular and very deep values are shown from the outside", () => {
    const circular: unknown[] = [];
    circular.push(circular);
    expect(show(circular)).toBe("[[[[...]]]]");
    let deep: unknown = 0;
    for (let i = 0; i < 100_000; i++) deep = [deep];
    expect(show(deep)).toBe("[[[[...]]]]");
  });

  test("no more of a list and of an object is looked at than a message shows", () => {
    let looks = 0;
    const count = (target: object) =>
      new Proxy(target, {
        get(of, key) {
          if (typeof key === "string" && /^[a-z]?\d+$/.test(key)) looks++;
          return Reflect.get(of, key) as unknown;
        },
      });
    expect(show(count(new Array(500).fill(1)))).toBe(`[${"1,".repeat(28)}...`);
    // Each item takes two characters of sixty.
    expect(looks).toBe(31);
    looks = 0;
    const object = Object.fromEntries(Array.from({ length: 500 }, (_, i) => [`a${i}`, 1]));
    expect(show(count(object))).toBe('{"a0":1,"a1":1,"a2":1,"a3":1,"a4":1,"a5":1,"a6":1,"a7":1,...');
    // Each takes seven, or eight from the tenth.
    expect(looks).toBeLessThan(12);
  });

  test("of a huge value only the beginning is looked at", () => {
    let looks = 0;
    const huge = new Proxy(new Array(2 ** 31), {
      get(target, key) {
        looks++;
        return Reflect.get(target, key);
      },
    });
    expect(show(huge)).toMatch(/^\[undefined,.*\.\.\.$/);
    expect(looks).toBeLessThan(100);
    expect(show("x".repeat(2 ** 28)).length).toBe(60);
    expect(showList(new Array(2 ** 31))).toMatch(/^undefined, .* and 2147483636 more$/);
    expect(visible("\u0001".repeat(2 ** 26), 100).length).toBe(100);
    expect(show(Array.from({ length: 1000 }, () => "\u0001".repeat(1000))).length).toBe(60);
  });

  test("anything is shown in 60 characters", () => {
    fc.assert(
      fc.property(fc.anything(), (value) => {
        expect(show(value).length).toBeLessThanOrEqual(60);
      }),
    );
  });

  test("lists: of more than twelve the rest is counted", () => {
    const numbers = Array.from({ length: 14 }, (_, i) => i);
    expect(shortened(numbers)).toBe("0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 2 more");
    expect(shortened(numbers.slice(0, 12))).toBe("0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11");
    expect([shortened([]), shortened(["a"]), showList(["a", 1])]).toEqual(["", "a", '"a", 1']);
  });
});

// --- Values that throw when they are looked at ------------------------------------------------------

const boom = (): never => {
  throw new Error("boom");
};
const revoked = (target: object): object => {
  const { proxy, revoke } = Proxy.revocable(target, {});
  revoke();
  return proxy;
};
const three = '{"toString":function,"valueOf":function,"toJSON":function}';
const unreadable = "an error whose message cannot be read";
/** What it is, and how it is shown as a value, as a text, and where it is thrown. */
const throwing: [string, () => unknown, shown: string, text: string, reason: string][] = [
  [
    "a getter",
    () => Object.defineProperty({}, "x", { get: boom, enumerable: true }),
    "object",
    "[object Object]",
    "object",
  ],
  ["an element", () => Object.defineProperty([1], 0, { get: boom }), "object", "object", "object"],
  [
    "a proxy of an object",
    () => new Proxy({}, { ownKeys: boom, getPrototypeOf: boom, get: boom }),
    "object",
    "object",
    unreadable,
  ],
  ["a proxy of a list", () => new Proxy([1, 2], { get: boom }), "object", "object", "object"],
  ["a revoked object", () => revoked({}), "object", "object", unreadable],
  ["a revoked list", () => revoked([]), "object", "object", unreadable],
  ["a revoked function", () => revoked(() => 1), "function", "function", unreadable],
  ["toString", () => ({ toString: boom, valueOf: boom, toJSON: boom }), three, "object", three],
  ["Symbol.toPrimitive", () => ({ [Symbol.toPrimitive]: boom }), "{}", "object", "{}"],
  [
    "Symbol.toStringTag",
    () => Object.defineProperty({}, Symbol.toStringTag, { get: boom }),
    "object",
    "object",
    "object",
  ],
  ["an object without a prototype", () => Object.create(null), "{}", "object", "{}"],
];

describe.each(throwing)("a value that throws: %s", (_, make, shown, text, reason) => {
  test("is shown, alone, as a parameter of every form, and in lists", () => {
    expect(show(make())).toBe(shown);
    const forms = fault("forms", "{x} {x:text} {x:list} {x:value} {found}");
    const issue = forms({ x: make(), found: make() });
    expect(messageOf(issue)).toBe([shown, text, shown, shown, shown].join(" "));
    for (const list of [[make()], [make(), make()]]) {
      expect(messageOf(forms({ x: list, found: list }))).toMatch(/object|function|[[{]/);
    }
    expect(new CvError([issue]).issues).toEqual([issue]);
    expect(messageOf(notAnOption({ found: make(), allowed: [make()] }))).toContain("is not an option");
    expect(messageOf(unknownName({ allowed: make() }))).toContain("there is no such name");
  });

  test("and what is thrown in place of an error has a reason", () => {
    expect(reasonOf(make())).toBe(reason);
  });
});

test.each<[unknown, string]>([
  [new Error("no steam"), "no steam"],
  [new CvError([]), ""],
  [new RangeError("low"), "low"],
  ["jammed", "jammed"],
  [7, "7"],
  [null, "null"],
  [undefined, "undefined"],
  [Symbol("x"), "symbol"],
  [{ code: 1 }, '{"code":1}'],
  [Object.defineProperty(new Error("x"), "message", { get: boom }), "an error whose message cannot be read"],
  [new Proxy(new Error("x"), { getPrototypeOf: boom }), "an error whose message cannot be read"],
  [Object.assign(new Error("x"), { message: 7 }), "7"],
])("what was thrown: %#", (thrown, reason) => expect(reasonOf(thrown)).toBe(reason));
