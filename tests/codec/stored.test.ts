import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  flag,
  level,
  page,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

const whistle = choice(cv(218), { low: 0, high: 6 });
const whistle2 = choice(cv(247), { x: 0 });
const blow = variant(
  cv(130).bits(6, 7),
  {
    timed: { value: 0, label: "For a time", fields: { seconds: level(cv(131), { max: 20, unit: "s" }) } },
    none: { value: 3, fields: {} },
  },
  { tag: "mode" },
);

describe("stored numbers that stand for nothing", () => {
  test.each<[AnyCodec, Record<string, number>, string[]]>([
    [whistle, { 218: 9 }, ["CV 218: no option has the stored number 9; the options are 0 low, 6 high"]],
    [
      choice(cv(17).with(cv(18)), { a: 1 }),
      { 17: 1, 18: 1 },
      ["CV 17, CV 18: no option has the stored number 257; the options are 1 a"],
    ],
    [
      choice(cv(218).bits(2, 4), { a: 1 }),
      { 218: 255 },
      ["CV 218 bits 2-4: no option has the stored number 7; the options are 1 a"],
    ],
    [
      level(cv(249), { min: 1, max: 60, unit: "s" }),
      { 249: 0 },
      ["CV 249: the stored number 0 is out of range; allowed is 1 to 60 s"],
    ],
    [
      level(cv(249), { min: 1, max: 60, unit: "s" }),
      { 249: 61 },
      ["CV 249: the stored number 61 is out of range; allowed is 1 to 60 s"],
    ],
    [
      level(cv(249), { step: 0.5, min: 1, max: 60, unit: "s" }),
      { 249: 1 },
      ["CV 249: the stored number 1 is out of range; allowed is 2 to 120, for 1 to 60 s"],
    ],
    [
      level(cv(249), { step: -1, offset: 9, min: 1 }),
      { 249: 9 },
      ["CV 249: the stored number 9 is out of range; allowed is 0 to 8, for 1 to 9"],
    ],
    [
      level(cv(249), { max: 9, names: { never: 255 } }),
      { 249: 254 },
      ["CV 249: the stored number 254 is out of range; allowed is 0 to 9, for 0 to 9, or 255 for never"],
    ],
    [
      level(cv(249), { step: 0.5, max: 9, unit: "s", names: { never: 255, always: 254 } }),
      { 249: 253 },
      [
        "CV 249: the stored number 253 is out of range; allowed is 0 to 18, for 0 to 9 s, or 255 for never, 254 for always",
      ],
    ],
    [
      level(cv(17).with(cv(18)), { max: 10239 }),
      { 17: 40, 18: 0 },
      ["CV 17, CV 18: the stored number 10240 is out of range; allowed is 0 to 10239"],
    ],
    [
      table(cv(1).through(4), { min: 2, max: 9 }),
      { 1: 1, 2: 2, 3: 10, 4: 9 },
      [
        "0: CV 1: the stored number 1 is out of range; allowed is 2 to 9",
        "2: CV 3: the stored number 10 is out of range; allowed is 2 to 9",
      ],
    ],
    [
      table(cv(1).through(2), { step: 0.5, max: 1 }),
      { 1: 3, 2: 0 },
      ["0: CV 1: the stored number 3 is out of range; allowed is 0 to 2, for 0 to 1"],
    ],
    [
      text(cv(1).through(3)),
      { 1: 72, 2: 0, 3: 72 },
      ["CV 3: every byte behind the end of the text must be 0, got 72"],
    ],
    [text(cv(1).through(3)), { 1: 72, 2: 127, 3: 0 }, ["CV 2: a character is 32 to 126, got 127"]],
    [
      text(cv(1).through(3)),
      { 1: 7, 2: 0, 3: 1 },
      [
        "CV 1: a character is 32 to 126, got 7",
        "CV 3: every byte behind the end of the text must be 0, got 1",
      ],
    ],
    [
      text(cv(1).through(3), { pad: 255 }),
      { 1: 72, 2: 31, 3: 255 },
      ["CV 2: a character is 32 to 126, got 31"],
    ],
    [text(cv(1).through(3), { pad: 32 }), { 1: 72, 2: 0, 3: 32 }, ["CV 2: a character is 32 to 126, got 0"]],
    [
      text(cv(1).through(4)),
      { 1: 72, 2: 0, 3: 72, 4: 0 },
      ["CV 3: every byte behind the end of the text must be 0, got 72"],
    ],
    [
      text(cv(1).through(3), { pad: 127 }),
      { 1: 72, 2: 127, 3: 72 },
      ["CV 3: every byte behind the end of the text must be 127, got 72"],
    ],
    [
      text(cv(1).through(3), { pad: 126 }),
      { 1: 126, 2: 127, 3: 126 },
      ["CV 2: a character is 32 to 126, got 127"],
    ],
    // The runs of the standard, which are read in one go where every byte is allowed.
    ...[cv(67).through(94), cv(33).through(46), cv(67).through(93)].flatMap((run) =>
      [{ max: 9 }, { min: 1, max: 255 }].map(
        ({ min = 0, max }): [AnyCodec, Record<string, number>, string[]] => {
          const last = run.places.length - 1;
          const bad = min === 0 ? 10 : 0;
          const bytes = run.places.map(({ key }, i): [string, number] => [`${key}`, i === last ? bad : 5]);
          const cvLast = bytes[last]?.[0];
          const message = `the stored number ${bad} is out of range; allowed is ${min} to ${max}`;
          return [table(run, { min, max }), Object.fromEntries(bytes), [`${last}: CV ${cvLast}: ${message}`]];
        },
      ),
    ),
    [
      blow,
      { 130: 64, 131: 0 },
      ["mode: CV 130 bits 6-7: no case has the stored number 1; the cases are 0 timed, 3 none"],
    ],
    [
      blow,
      { 130: 0, 131: 21 },
      ["seconds: CV 131: the stored number 21 is out of range; allowed is 0 to 20 s"],
    ],
    [
      switched(cv(1).bit(0), record({ whistle })),
      { 1: 1, 218: 9 },
      ["whistle: CV 218: no option has the stored number 9; the options are 0 low, 6 high"],
    ],
    [
      converted(level(cv(90)), [
        [1, "a"],
        [2, "b"],
      ]),
      { 90: 3 },
      ['CV 90: no pair has the stored value 3; the pairs are 1 "a", 2 "b"'],
    ],
    [
      converted(level(cv(90)), { decode: (n) => n >> 1, encode: (n) => n << 1 }),
      { 90: 3 },
      ["CV 90: 3 stands for 1, which would be stored as 2"],
    ],
    [
      record({ whistle, bell: flag(cv(2).bit(0)) }),
      { 218: 9 },
      [
        "whistle: CV 218: no option has the stored number 9; the options are 0 low, 6 high",
        "bell: CV 2 bit 0: not in the CV set",
      ],
    ],
    [table(cv(1).through(4)), { 1: 1, 3: 1 }, ["CV 2, CV 4: not in the CV set"]],
    [table(cv(67).through(94)), { 70: 1 }, ["CV 67-69, CV 71-94: not in the CV set"]],
    [text(cv(1).through(4)), { 1: 1, 3: 1 }, ["CV 2, CV 4: not in the CV set"]],
    [text(cv(1).through(4), { pad: 32 }), { 4: 32, 3: 1 }, ["CV 1, CV 2: not in the CV set"]],
    [level(cv(17).with(cv(18))), { 17: 1 }, ["CV 18: not in the CV set"]],
    [level(cv(1).with(cv(2)).with(cv(3))), { 2: 1 }, ["CV 1, CV 3: not in the CV set"]],
    [blow, { 130: 0 }, ["seconds: CV 131: not in the CV set"]],
    [blow, { 131: 0 }, ["mode: CV 130 bits 6-7: not in the CV set"]],
    [switched(cv(1).bit(0), whistle), { 218: 0 }, ["CV 1 bit 0: not in the CV set"]],
  ])("%#: %j", (codec, stored, messages) => {
    const cvs = CvSet.from(stored);
    const result = codec.tryDecode(cvs);
    expect(result.ok).toBe(false);
    expect(result.ok ? [] : result.issues.map((issue) => new CvError([issue]).message)).toEqual(messages);
    expect(() => codec.decode(cvs)).toThrow(messages.join("\n"));
  });

  test.each([cv(67).through(94), cv(33).through(46), cv(67).through(93)])(
    "%s: each CV that is absent is missed, and no other",
    (run) => {
      const codec = table(run);
      const all = CvSet.from(run.places.map(({ key }, i): [number, number] => [key, i * 9]));
      expect(codec.decode(all)).toEqual(run.places.map((_, i) => i * 9));
      for (const { key } of run.places) {
        expect(() => codec.decode(all.without(key))).toThrow(new RegExp(`^CV ${key}: not in the CV set$`));
      }
    },
  );

  test("a long list of options is cut short", () => {
    const many = choice(cv(1), Object.fromEntries(Array.from({ length: 20 }, (_, i) => [`o${i}`, i])));
    expect(() => many.decode(CvSet.from({ 1: 99 }))).toThrow(
      /; the options are 0 o0, 1 o1, .*, 11 o11 and 8 more$/,
    );
  });

  test("of 1,024 bad CVs of a table the first thousand are told, and the rest is counted", () => {
    const codec = table(cv(1).through(1024), { max: 9 });
    const cvs = CvSet.from(Array.from({ length: 1024 }, (_, i): [number, number] => [i + 1, 10]));
    const result = codec.tryDecode(cvs);
    const issues = result.ok ? [] : result.issues;
    expect(issues.length).toBe(1001);
    expect(issues[999]).toMatchObject({
      code: "stored-range",
      path: "999",
      places: [{ cv: "1000", mask: 255 }],
    });
    expect(issues[1000]).toMatchObject({ code: "more-issues", params: { count: 24 } });
    const nested = record({ a: record({ b: codec }), c: flag(page(16, 0).cv(300).bit(0)) });
    const inner = nested.tryDecode(cvs);
    expect(inner.ok || inner.issues.slice(-1)).toMatchObject([
      { code: "more-issues", path: "", params: { count: 25 } },
    ]);
    const written = codec.tryEncode(new Array(1024).fill(10));
    expect(written.ok || written.issues.slice(-1)).toMatchObject([
      { code: "more-issues", params: { count: 24 } },
    ]);
  });

  test("what can be read in spite of it is in the value", () => {
    const codec = record({ a: record({ whistle, bell: flag(cv(2).bit(0)) }), b: level(cv(3)), c: whistle2 });
    expect(codec.tryDecode(CvSet.from({ 218: 9, 2: 1, 3: 7, 247: 0 })).value).toEqual({
      a: { bell: true },
      b: 7,
      c: "x",
    });
    expect(codec.tryDecode(CvSet.empty).value).toEqual({ a: {} });
    // Not of what is turned on, nor of a case: in part it would be another value.
    const parts = record({
      on: switched(cv(1).bit(0), record({ whistle, bell: flag(cv(2).bit(0)) })),
      which: variant(cv(1).bit(1), { a: { value: 1, fields: { whistle2, bell: flag(cv(2).bit(1)) } } }),
    });
    expect(parts.tryDecode(CvSet.from({ 1: 3, 218: 9, 247: 9, 2: 3 })).value).toEqual({});
    expect(parts.tryDecode(CvSet.from({ 1: 3, 218: 6, 247: 9, 2: 3 })).value).toEqual({
      on: { whistle: "high", bell: true },
    });
  });
});
