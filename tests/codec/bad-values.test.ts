import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  flag,
  flags,
  level,
  page,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";
import { imageOf } from "../support/image.js";
import { kinds } from "./kinds.js";

let deep: unknown = 1;
for (let i = 0; i < 20_000; i++) deep = i % 2 ? [deep] : { deep };
const circular: Record<string, unknown> = {};
circular["self"] = circular;

/** What no codec of `kinds` takes, unless it is listed with it. */
const strange: Record<string, unknown> = {
  undefined,
  null: null,
  NaN: Number.NaN,
  "-0": -0,
  Infinity,
  "-Infinity": -Infinity,
  "1e400 from JSON": JSON.parse("1e400"),
  "1e21": 1e21,
  "2 ** 53": 2 ** 53,
  "-1": -1,
  "0.123": 0.123,
  '"3"': "3",
  '""': "",
  "a long text": "x".repeat(100_000),
  "a text with a zero": "a\0b",
  "an umlaut": "ä",
  true: true,
  false: false,
  "3n": 3n,
  "a symbol": Symbol("x"),
  "a function": () => 1,
  "a date": new Date(0),
  "an empty list": [],
  "a list": [1, 2],
  "a list with holes": new Array(28),
  "a list of symbols": Array.from({ length: 28 }, () => Symbol("x")),
  "a list of big integers": Array.from({ length: 3 }, () => 1n),
  "a list of texts": Array.from({ length: 3 }, () => "1"),
  "an empty object": {},
  "an own __proto__": JSON.parse('{"__proto__": {"polluted": true}}'),
  "an own constructor": JSON.parse('{"constructor": 1}'),
  "an object without a prototype": Object.create(null),
  "an unknown setting": { nothing: 1 },
  "lists and objects, 20,000 deep": deep,
  "an object in itself": circular,
  "a number as an object": Object(3),
  "a text as an object": Object("oil"),
};

describe.each(Object.entries(kinds))("is refused, or comes back as it was: %s", (_, codec) => {
  test.each(Object.entries(strange))("%s", (_name, value) => {
    const result = codec.tryEncode(value);
    // The law is that nothing is written that is not read again as the same: anything else is refused.
    if (result.ok) {
      // A record that nothing is given for keeps what it has.
      if (codec.kind === "record") {
        expect(Object.keys(value as object)).toEqual([]);
        expect([...codec.encode(value)]).toEqual([]);
        return;
      }
      const base = CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0]));
      const back = codec.decode(base.apply(codec.encode(value)));
      // -0 is stored as 0.
      if (Object.is(value, -0)) expect(back).toBe(0);
      else expect(back).toEqual(value);
      return;
    }
    expect(result.issues.length).toBeGreaterThan(0);
    expect(() => codec.encode(value)).toThrow(CvError);
    // Straight into an image, where there are quicker ways to write, it is refused as well.
    const zeros = CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0]));
    expect(() => codec.spec.write(imageOf(zeros), value, false)).toThrow();
    for (const issue of result.issues) expect(issue.code).not.toMatch(/^(stored|scale|place|unusable)-/);
    expect(Object.hasOwn(Object.prototype, "polluted")).toBe(false);
  });
});

const whistle = choice(cv(218), { "one-note": 0, "three-chime": 6 });
const drains = record({ seconds: level(cv(249), { unit: "s", min: 1, max: 60 }), whistle });
const named = level(cv(239), { min: 1, max: 9, names: { none: 0, all: 255 } });
const blow = variant(cv(130).bit(7), {
  timed: { value: 0, fields: { seconds: level(cv(131), { max: 20 }), loud: flag(cv(132).bit(0)) } },
  none: { value: 1, fields: {} },
});

describe("each fault is named, with its path", () => {
  test.each<[AnyCodec, unknown, [code: string, path: string, message: string][]]>([
    [flag(cv(1).bit(0)), 1, [["expected-boolean", "", "expected true or false, got 1"]]],
    [
      whistle,
      "three-chim",
      [
        [
          "option",
          "",
          '"three-chim" is not an option; the options are "one-note", "three-chime"; nearest: "three-chime"',
        ],
      ],
    ],
    [whistle, 6, [["option", "", '6 is not an option; the options are "one-note", "three-chime"']]],
    [level(cv(1)), "3", [["expected-amount", "", 'expected a number from 0 to 255, got "3"']]],
    [level(cv(1)), Number.NaN, [["expected-amount", "", "expected a number from 0 to 255, got NaN"]]],
    [level(cv(1)), [3], [["expected-amount", "", "expected a number from 0 to 255, got [3]"]]],
    [level(cv(1)), 256, [["range", "", "256 is out of range; allowed is 0 to 255"]]],
    [level(cv(1)), 2.5, [["between", "", "2.5 cannot be stored exactly; the nearest are 2 and 3"]]],
    [
      level(cv(1), { step: 0.1, unit: "s" }),
      0.25,
      [["between", "", "0.25 cannot be stored exactly; the nearest are 0.2 s and 0.3 s"]],
    ],
    [
      level(cv(1), { step: -0.1, offset: 9, min: 0 }),
      0.26,
      [["between", "", "0.26 cannot be stored exactly; the nearest are 0.2 and 0.3"]],
    ],
    [
      level(cv(1), { step: -0.1, offset: 9, min: 0 }),
      0.24,
      [["between", "", "0.24 cannot be stored exactly; the nearest are 0.2 and 0.3"]],
    ],
    [
      level(cv(1), { names: { off: 0 } }),
      0,
      [["has-a-name", "", 'the stored number for 0 has a name: write "off"']],
    ],
    [
      level(cv(1), { names: { off: 0 } }),
      "of",
      [
        [
          "expected-amount-or-name",
          "",
          'expected a number from 0 to 255, or one of "off"; got "of"; nearest: "off"',
        ],
      ],
    ],
    [table(cv(1).through(3)), [1, 2], [["table-length", "", "expected 3 numbers, got 2"]]],
    [
      table(cv(1).through(3)),
      { 0: 1, 1: 2, 2: 3, length: 3 },
      [["expected-list", "", 'expected a list, got {"0":1,"1":2,"2":3,"length":3}']],
    ],
    [
      table(cv(1).through(3), { max: 9 }),
      [10, 1, "x"],
      [
        ["range", "0", "0: 10 is out of range; allowed is 0 to 9"],
        ["expected-amount", "2", '2: expected a number from 0 to 9, got "x"'],
      ],
    ],
    [text(cv(1).through(3)), 7, [["expected-text", "", "expected a text, got 7"]]],
    [text(cv(1).through(3)), "abcd", [["text-length", "", 'at most 3 characters fit, got "abcd"']]],
    [
      text(cv(1).through(3)),
      "é",
      [["text-characters", "", 'only printable ASCII characters can be stored, got "é"']],
    ],
    [
      text(cv(1).through(3)),
      "a\n",
      [["text-characters", "", 'only printable ASCII characters can be stored, got "a\\n"']],
    ],
    [
      text(cv(1).through(3), { pad: 32 }),
      "a ",
      [["text-end", "", 'the text must not end with the fill character " ", got "a "']],
    ],
    [
      flags(cv(1).bits(0, 2), ["a", null, "b"]),
      ["a", "c", "a"],
      [
        ["option", "1", '1: "c" is not an option; the options are "a", "b"'],
        ["listed-twice", "2", '2: "a" stands twice in the list'],
      ],
    ],
    [flags(cv(1).bits(0, 1), [1, 2]), [2, 1, 2], [["listed-twice", "2", "2: 2 stands twice in the list"]]],
    [
      flags(cv(1).bits(0, 1), [1, 2]),
      new Array(100).fill(1),
      Array.from({ length: 99 }, (_, i): [string, string, string] => [
        "listed-twice",
        `${i + 1}`,
        `${i + 1}: 1 stands twice in the list`,
      ]),
    ],
    [flags(cv(1).bits(0, 1), [1, 2]), "1", [["expected-list", "", 'expected a list, got "1"']]],
    [
      flags(cv(1).bits(0, 1), [1, 2]),
      ["1"],
      [["option", "0", '0: "1" is not an option; the options are 1, 2']],
    ],
    [
      flags(cv(1).bits(0, 1), ["front", "rear"]),
      Object.assign([], { 1: "fornt" }),
      [
        ["option", "0", '0: undefined is not an option; the options are "front", "rear"'],
        ["option", "1", '1: "fornt" is not an option; the options are "front", "rear"; nearest: "front"'],
      ],
    ],
    [
      flags(cv(1).bits(0, 1), [1, 2]),
      new Array(101).fill(1),
      [["flags-list-length", "", "expected a list of at most 2, got 101"]],
    ],
    [
      converted(level(cv(1)), [[0, 1.5]]),
      "1.5",
      [["option", "", '"1.5" is not an option; the options are 1.5']],
    ],
    [named, 0, [["range-or-name", "", '0 is out of range; allowed is 1 to 9, or one of "none", "all"']]],
    [
      named,
      true,
      [["expected-amount-or-name", "", 'expected a number from 1 to 9, or one of "none", "all"; got true']],
    ],
    [
      named,
      "5",
      [["expected-amount-or-name", "", 'expected a number from 1 to 9, or one of "none", "all"; got "5"']],
    ],
    [named, 1.5, [["between", "", "1.5 cannot be stored exactly; the nearest are 1 and 2"]]],
    [
      record({ drains, on: flag(cv(9).bit(0)) }),
      { drains: { seconds: 99, whistle: "x", speed: 1 }, on: "yes", off: true },
      [
        ["unknown-name", "off", "off: there is no such name; the names are drains, on"],
        [
          "unknown-name",
          "drains.speed",
          "drains.speed: there is no such name; the names are seconds, whistle",
        ],
        ["range", "drains.seconds", "drains.seconds: 99 is out of range; allowed is 1 to 60 s"],
        [
          "option",
          "drains.whistle",
          'drains.whistle: "x" is not an option; the options are "one-note", "three-chime"',
        ],
        ["expected-boolean", "on", 'on: expected true or false, got "yes"'],
      ],
    ],
    [
      record({ drains }),
      { "": 1 },
      [["unknown-name", '""', '"": there is no such name; the names are drains']],
    ],
    [
      record({ drains }),
      [],
      [["expected-settings", "", "expected an object with settings (drains), got []"]],
    ],
    [
      record({ drains }),
      { drains: null },
      [
        [
          "expected-settings",
          "drains",
          "drains: expected an object with settings (seconds, whistle), got null",
        ],
      ],
    ],
    [blow, {}, [["missing-case", "kind", 'kind: a value is needed; the options are "timed", "none"']]],
    [
      blow,
      { kind: "time" },
      [
        [
          "option",
          "kind",
          'kind: "time" is not an option; the options are "timed", "none"; nearest: "timed"',
        ],
      ],
    ],
    [
      blow,
      { kind: "timed", seconds: 21 },
      [
        ["missing-value", "loud", "loud: a value is needed"],
        ["range", "seconds", "seconds: 21 is out of range; allowed is 0 to 20"],
      ],
    ],
    [blow, { kind: "timed", seconds: 2 }, [["missing-value", "loud", "loud: a value is needed"]]],
    [
      blow,
      { kind: "none", seconds: 1 },
      [["unknown-name", "seconds", "seconds: there is no such name; the names are kind"]],
    ],
    [blow, "timed", [["expected-case", "", 'expected an object with "kind" (timed, none), got "timed"']]],
    [
      switched(cv(5).bit(0), drains),
      { seconds: 5 },
      [["missing-value", "whistle", "whistle: a value is needed"]],
    ],
    [
      switched(cv(5).bit(0), drains),
      "on",
      [
        [
          "expected-off-or-settings",
          "",
          'expected "off", or an object with settings (seconds, whistle), got "on"',
        ],
      ],
    ],
    [
      converted(level(cv(1)), [[1, "abc"]]),
      "ab",
      [["option", "", '"ab" is not an option; the options are "abc"; nearest: "abc"']],
    ],
    [
      converted(level(cv(1), { max: 9 }), { decode: (n) => n * 2, encode: (n) => n / 2 }),
      20,
      [["range", "", "10 is out of range; allowed is 0 to 9"]],
    ],
    [
      converted(level(cv(1)), {
        decode: (n) => n,
        encode() {
          throw new Error("not today");
        },
      }),
      1,
      [["custom", "", "converted: not today"]],
    ],
    // Refused by the inner codec: it is not compared as well.
    [
      converted(level(cv(1), { max: 9 }), { decode: (n) => Math.min(n, 9), encode: (n) => n }),
      20,
      [["range", "", "20 is out of range; allowed is 0 to 9"]],
    ],
    // What is stored is read as another value.
    [
      converted(level(cv(1)), { decode: (n) => `${n}`, encode: Number }),
      "0x0C",
      [["not-reversible", "", '"0x0C" would be stored as 12, which stands for "12"']],
    ],
    [
      record({ a: converted(level(cv(1)), { decode: (n) => n * 2, encode: (n) => Math.floor(n / 2) }) }),
      { a: 7 },
      [["not-reversible", "a", "a: 7 would be stored as 3, which stands for 6"]],
    ],
  ])("%#: %j", (codec, value, expected) => {
    const result = codec.tryEncode(value);
    const issues = result.ok ? [] : result.issues;
    const found = issues.map((issue) => [issue.code, issue.path, new CvError([issue]).message]);
    expect(found).toEqual(expected);
    expect(() => codec.encode(value)).toThrow(expected.map(([, , message]) => message).join("\n"));
  });

  test("a table with one bad number is refused by an image too", () => {
    for (const run of [
      cv(1).through(3),
      cv(67).through(94),
      cv(33).through(46),
      page(16, 0).cv(300).through(302),
    ]) {
      const codec = table(run, { max: 200 });
      const good = run.places.map((_, i) => i);
      for (const bad of [
        1.5,
        -1,
        201,
        Number.NaN,
        Infinity,
        "1",
        null,
        undefined,
        1n,
        Symbol("x"),
        2 ** 32,
      ]) {
        for (const at of [0, good.length - 1]) {
          const image = imageOf(CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0])));
          expect(() => codec.spec.write(image, good.with(at, bad as number), false)).toThrow(CvError);
        }
      }
    }
  });

  test("an unknown setting is found beside settings that an object inherits", () => {
    class Settings {
      seconds = 5;
      get whistle() {
        return "one-note";
      }
      get seconds2() {
        return 1;
      }
    }
    const value: object = Object.assign(new Settings(), { wistle: "x" });
    expect(() => drains.encode(value)).toThrow(
      'wistle: there is no such name; the names are seconds, whistle; nearest: "whistle"',
    );
    expect(drains.encode(new Settings() as object).size).toBe(2);
    // Of a class that has none of the settings too, as long as it has anything of its own.
    expect(() => drains.encode(Object.assign(new (class {})(), { wistle: "x" }) as object)).toThrow(
      /^wistle: there is no such name; the names are seconds, whistle; nearest: "whistle"$/,
    );
  });

  test.each([new Date(0), new Map([["seconds", 5]]), new Set(), Object(3), /x/, new (class {})()])(
    "%s is not settings",
    (value) => {
      expect(() => drains.encode(value)).toThrow(
        /^expected an object with settings \(seconds, whistle\), got (\w+ \{\.\.\.\}|\{\})$/,
      );
      expect(drains.tryEncode(value).ok).toBe(false);
    },
  );

  test("of ten thousand unknown settings a thousand are named, without guessing at each, and the rest is counted", () => {
    const many = Object.fromEntries(Array.from({ length: 10_000 }, (_, i) => [`whistl${i}`, 1]));
    const result = drains.tryEncode(many);
    const issues = result.ok ? [] : result.issues;
    expect(issues.length).toBe(1001);
    expect(issues[999]).toMatchObject({ code: "unknown-name", path: "whistl999" });
    expect(issues[1000]).toMatchObject({ code: "more-issues", params: { count: 9000 } });
    expect(issues.map(({ params }) => params["nearest"])).toEqual([
      ...Array.from({ length: 20 }, () => ["whistle"]),
      ...Array.from({ length: 980 }, () => []),
      undefined,
    ]);
  });

  test("nearest is for numbers between two steps alone, and within the range", () => {
    const pause = level(cv(249), { unit: "s", step: 0.5, min: 1, max: 60 });
    expect(pause.encode(1.3, { nearest: true }).toJSON().cvs).toEqual({ 249: 3 });
    expect(pause.encode(1.2, { nearest: true }).toJSON().cvs).toEqual({ 249: 2 });
    expect(pause.encode(59.9, { nearest: true }).toJSON().cvs).toEqual({ 249: 120 });
    expect(() => pause.encode(0.9, { nearest: true })).toThrow("0.9 is out of range; allowed is 1 to 60 s");
    expect(() => pause.encode(Number.NaN, { nearest: true })).toThrow(
      "expected a number from 1 to 60 s, got NaN",
    );
    expect(level(cv(249), { step: 0.5, nearest: true }).encode(1.3).toJSON().cvs).toEqual({ 249: 3 });
    expect(table(cv(1).through(2), { step: 10 }).encode([14, 16], { nearest: true }).toJSON().cvs).toEqual({
      1: 1,
      2: 2,
    });
    expect(record({ pause }).encode({ pause: 1.3 }, { nearest: true }).toJSON().cvs).toEqual({ 249: 3 });
    expect(record({ pause }).tryEncode({ pause: 1.3 }, { nearest: true }).ok).toBe(true);
  });
});
