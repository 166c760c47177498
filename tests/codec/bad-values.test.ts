import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  flag,
  type IssueCode,
  level,
  page,
  record,
  several,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";
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

/** What is fine for a codec; every record takes an empty object. */
function takes(codec: AnyCodec, name: string, value: unknown): boolean {
  if (name === "an empty object" || name === "an object without a prototype") return codec.kind === "record";
  if (name === "-0") return codec.kind === "level" && codec.check(0, {}).length === 0;
  if (typeof value === "boolean")
    return codec.kind === "flag" || (codec.kind === "converted" && codec.check(true, {}).length === 0);
  if (codec.kind === "text") return value === "" || value === "3";
  if (name === "an empty list") return codec.kind === "several";
  if (name === "a list")
    return codec.kind === "several" || codec.kind === "ratio" || codec.check([1, 2], {}).length === 0;
  return codec.kind === "level" && value === -1 && codec.check(-1, {}).length === 0;
}

describe.each(Object.entries(kinds))("what is no value of: %s", (_, codec) => {
  test.each(Object.entries(strange))("%s", (name, value) => {
    const result = codec.tryEncode(value);
    if (takes(codec, name, value)) return;
    // The law is that nothing is written that is not read again as the same: anything else is refused.
    if (result.ok) {
      expect(codec.kind).toMatch(/^(several|converted|level)$/);
      return;
    }
    expect(result.issues.length).toBeGreaterThan(0);
    expect(() => codec.encode(value)).toThrow(CvError);
    // Straight into an image, where there are quicker ways to write, it is refused as well.
    const zeros = CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0]));
    expect(() => codec.spec.write(zeros.image(), value, false)).toThrow();
    for (const issue of result.issues) expect(issue.code).not.toBe("definition");
    expect(Object.hasOwn(Object.prototype, "polluted")).toBe(false);
  });
});

const whistle = choice(cv(141), { "one-note": 0, "three-chime": 6 });
const drains = record({ seconds: level(cv(161), { unit: "s", min: 1, max: 60 }), whistle });
const named = level(cv(162), { min: 1, max: 9, names: { none: 0, all: 255 } });
const blow = variant(cv(130).bit(7), {
  timed: { value: 0, fields: { seconds: level(cv(131), { max: 20 }), loud: flag(cv(132).bit(0)) } },
  none: { value: 1, fields: {} },
});

describe("each fault is named, with its path", () => {
  test.each<[AnyCodec, unknown, [IssueCode, string, string][]]>([
    [flag(cv(1).bit(0)), 1, [["type", "", "1 is not true or false"]]],
    [
      whistle,
      "three-chim",
      [
        [
          "option",
          "",
          '"three-chim" is not an option; nearest: "three-chime"; allowed is one-note, three-chime',
        ],
      ],
    ],
    [whistle, 6, [["option", "", "6 is not an option, allowed is one-note, three-chime"]]],
    [level(cv(1)), "3", [["type", "", '"3" is not a number, 0 to 255']]],
    [level(cv(1)), Number.NaN, [["type", "", "NaN is not a number, 0 to 255"]]],
    [level(cv(1)), 256, [["range", "", "256 is out of range, allowed is 0 to 255"]]],
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
    [level(cv(1), { names: { off: 0 } }), 0, [["content", "", 'write "off", not 0']]],
    [
      level(cv(1), { names: { off: 0 } }),
      "of",
      [["option", "", '"of" is not an option; nearest: "off"; allowed is off, or a number, 0 to 255']],
    ],
    [table(cv(1).through(3)), [1, 2], [["content", "", "3 numbers are needed, not 2"]]],
    [
      table(cv(1).through(3)),
      { 0: 1, 1: 2, 2: 3, length: 3 },
      [["type", "", '{"0":1,"1":2,"2":3,"length":3} is not a list of 3 numbers']],
    ],
    [
      table(cv(1).through(3), { max: 9 }),
      [10, 1, "x"],
      [
        ["range", "0", "0: 10 is out of range, allowed is 0 to 9"],
        ["type", "2", '2: "x" is not a number, 0 to 9'],
      ],
    ],
    [text(cv(1).through(3)), 7, [["type", "", "7 is not a text of up to 3 characters"]]],
    [text(cv(1).through(3)), "abcd", [["content", "", 'at most 3 characters fit, not "abcd"']]],
    [
      text(cv(1).through(3)),
      "é",
      [["content", "", 'only printable ASCII characters can be stored, not "é"']],
    ],
    [
      text(cv(1).through(3)),
      "a\n",
      [["content", "", 'only printable ASCII characters can be stored, not "a\\n"']],
    ],
    [
      text(cv(1).through(3), { pad: 32 }),
      "a ",
      [["content", "", 'it must not end with the fill character " ", not "a "']],
    ],
    [
      several(cv(1).bits(0, 2), ["a", null, "b"]),
      ["a", "c", "a"],
      [
        ["option", "1", '1: "c" is not an option; nearest: "a", "b"; allowed is a, b'],
        ["content", "2", '2: each name once, not "a"'],
      ],
    ],
    [several(cv(1).bits(0, 1), [1, 2]), "1", [["type", "", '"1" is not a list, any of 1, 2']]],
    [several(cv(1).bits(0, 1), [1, 2]), ["1"], [["option", "0", '0: "1" is not an option, allowed is 1, 2']]],
    [converted(level(cv(1)), [[0, 1.5]]), "1.5", [["option", "", '"1.5" is not an option, allowed is 1.5']]],
    [named, 0, [["range", "", '0 is out of range, allowed is 1 to 9, or "none", or "all"']]],
    [named, true, [["type", "", 'true is not a number, 1 to 9, or "none", or "all"']]],
    [named, "5", [["option", "", '"5" is not an option, allowed is none, all, or a number, 1 to 9']]],
    [named, 1.5, [["between", "", "1.5 cannot be stored exactly; the nearest are 1 and 2"]]],
    [
      record({ drains, on: flag(cv(9).bit(0)) }),
      { drains: { seconds: 99, whistle: "x", speed: 1 }, on: "yes", off: true },
      [
        ["name", "off", "off: there is no such setting, allowed is drains, on"],
        ["name", "drains.speed", "drains.speed: there is no such setting, allowed is seconds, whistle"],
        ["range", "drains.seconds", "drains.seconds: 99 is out of range, allowed is 1 to 60 s"],
        [
          "option",
          "drains.whistle",
          'drains.whistle: "x" is not an option, allowed is one-note, three-chime',
        ],
        ["type", "on", 'on: "yes" is not true or false'],
      ],
    ],
    [record({ drains }), [], [["type", "", "[] is not an object with settings (drains)"]]],
    [
      record({ drains }),
      { drains: null },
      [["type", "drains", "drains: null is not an object with settings (seconds, whistle)"]],
    ],
    [blow, {}, [["missing", "kind", "kind: one of timed, none is needed here"]]],
    [
      blow,
      { kind: "time" },
      [["option", "kind", 'kind: "time" is not an option; nearest: "timed"; allowed is timed, none']],
    ],
    [
      blow,
      { kind: "timed", seconds: 21 },
      [
        ["missing", "loud", "loud: a value is needed here"],
        ["range", "seconds", "seconds: 21 is out of range, allowed is 0 to 20"],
      ],
    ],
    [blow, { kind: "timed", seconds: 2 }, [["missing", "loud", "loud: a value is needed here"]]],
    [
      blow,
      { kind: "none", seconds: 1 },
      [["name", "seconds", "seconds: there is no such setting, allowed is kind"]],
    ],
    [blow, "timed", [["type", "", '"timed" is not an object with "kind", one of timed, none']]],
    [
      switched(cv(5).bit(0), drains),
      { seconds: 5 },
      [["missing", "whistle", "whistle: a value is needed here"]],
    ],
    [
      switched(cv(5).bit(0), drains),
      "on",
      [["type", "", '"on" is not an object with settings (seconds, whistle)']],
    ],
    [
      converted(level(cv(1)), [[1, "a"]]),
      "b",
      [["option", "", '"b" is not an option; nearest: "a"; allowed is a']],
    ],
    [
      converted(level(cv(1), { max: 9 }), { decode: (n) => n * 2, encode: (n) => n / 2 }),
      20,
      [["range", "", "10 is out of range, allowed is 0 to 9"]],
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
  ])("%s %j", (codec, value, expected) => {
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
          const image = CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0])).image();
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
    expect(() => drains.encode(value)).toThrow('wistle: there is no such setting; nearest: "whistle"');
    expect(drains.encode(new Settings() as object).size).toBe(2);
  });

  test.each([new Date(0), new Map([["seconds", 5]]), new Set(), Object(3), /x/, new (class {})()])(
    "%s is not settings",
    (value) => {
      expect(() => drains.encode(value)).toThrow("is not an object with settings (seconds, whistle)");
      expect(drains.tryEncode(value).ok).toBe(false);
    },
  );

  test("ten thousand unknown settings are all named, without guessing at each", () => {
    const many = Object.fromEntries(Array.from({ length: 10_000 }, (_, i) => [`whistl${i}`, 1]));
    const result = drains.tryEncode(many);
    const issues = result.ok ? [] : result.issues;
    expect(issues.length).toBe(10_000);
    expect(issues.filter(({ nearest }) => nearest).length).toBe(20);
  });

  test("nearest is for numbers between two steps alone, and within the range", () => {
    const pause = level(cv(161), { unit: "s", step: 0.5, min: 1, max: 60 });
    expect(pause.encode(1.3, { nearest: true }).toJSON().cvs).toEqual({ 161: 3 });
    expect(pause.encode(1.2, { nearest: true }).toJSON().cvs).toEqual({ 161: 2 });
    expect(pause.encode(59.9, { nearest: true }).toJSON().cvs).toEqual({ 161: 120 });
    expect(() => pause.encode(0.9, { nearest: true })).toThrow("0.9 is out of range, allowed is 1 to 60 s");
    expect(() => pause.encode(Number.NaN, { nearest: true })).toThrow("NaN is not a number");
    expect(level(cv(161), { step: 0.5, nearest: true }).encode(1.3).toJSON().cvs).toEqual({ 161: 3 });
    expect(table(cv(1).through(2), { step: 10 }).encode([14, 16], { nearest: true }).toJSON().cvs).toEqual({
      1: 1,
      2: 2,
    });
    expect(record({ pause }).encode({ pause: 1.3 }, { nearest: true }).toJSON().cvs).toEqual({ 161: 3 });
    expect(record({ pause }).tryEncode({ pause: 1.3 }, { nearest: true }).ok).toBe(true);
  });
});
