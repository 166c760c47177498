import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  flag,
  level,
  record,
  several,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

const whistle = choice(cv(141), { low: 0, high: 6 });
const whistle2 = choice(cv(142), { x: 0 });
const several35 = several(cv(35), [1, 2, 3, 4, 5, 6, 7, 8], { label: "Outputs" });
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
    [whistle, { 141: 9 }, ["CV 141 holds 9, which stands for nothing (0 low, 6 high)"]],
    [
      choice(cv(17).with(cv(18)), { a: 1 }),
      { 17: 1, 18: 1 },
      ["CV 17, CV 18 hold 257, which stands for nothing (1 a)"],
    ],
    [
      choice(cv(141).bits(2, 4), { a: 1 }),
      { 141: 255 },
      ["CV 141 bits 2-4 hold 7, which stands for nothing (1 a)"],
    ],
    [level(cv(161), { min: 1, max: 60, unit: "s" }), { 161: 0 }, ["CV 161 holds 0, allowed is 1 to 60 s"]],
    [level(cv(161), { min: 1, max: 60, unit: "s" }), { 161: 61 }, ["CV 161 holds 61, allowed is 1 to 60 s"]],
    [
      level(cv(161), { step: 0.5, min: 1, max: 60, unit: "s" }),
      { 161: 1 },
      ["CV 161 holds 1, allowed is 1 to 60 s (stored as 2 to 120)"],
    ],
    [
      level(cv(161), { step: -1, offset: 9, min: 1 }),
      { 161: 9 },
      ["CV 161 holds 9, allowed is 1 to 9 (stored as 0 to 8)"],
    ],
    [
      level(cv(161), { max: 9, names: { never: 255 } }),
      { 161: 254 },
      ["CV 161 holds 254, allowed is 0 to 9, or 255 for never"],
    ],
    [
      level(cv(17).with(cv(18)), { max: 10239 }),
      { 17: 40, 18: 0 },
      ["CV 17, CV 18 hold 10240, allowed is 0 to 10239"],
    ],
    [
      table(cv(1).through(4), { min: 2, max: 9 }),
      { 1: 1, 2: 2, 3: 10, 4: 9 },
      ["0: CV 1 holds 1, allowed is 2 to 9", "2: CV 3 holds 10, allowed is 2 to 9"],
    ],
    [
      table(cv(1).through(2), { step: 0.5, max: 1 }),
      { 1: 3, 2: 0 },
      ["0: CV 1 holds 3, allowed is 0 to 1 (stored as 0 to 2)"],
    ],
    [
      text(cv(1).through(3)),
      { 1: 72, 2: 0, 3: 72 },
      ["CV 3: behind the end of the text every byte is 0, not 72"],
    ],
    [text(cv(1).through(3)), { 1: 72, 2: 127, 3: 0 }, ["CV 2: a character is 32 to 126, not 127"]],
    [
      text(cv(1).through(3)),
      { 1: 7, 2: 0, 3: 1 },
      ["CV 1: a character is 32 to 126, not 7", "CV 3: behind the end of the text every byte is 0, not 1"],
    ],
    [
      text(cv(1).through(3), { pad: 255 }),
      { 1: 72, 2: 31, 3: 255 },
      ["CV 2: a character is 32 to 126, not 31"],
    ],
    [blow, { 130: 64, 131: 0 }, ["mode: CV 130 bits 6-7 hold 1, which no mode has (0 timed, 3 none)"]],
    [blow, { 130: 0, 131: 21 }, ["seconds: CV 131 holds 21, allowed is 0 to 20 s"]],
    [
      switched(cv(1).bit(0), record({ whistle })),
      { 1: 1, 141: 9 },
      ["whistle: CV 141 holds 9, which no whistle has (0 low, 6 high)"],
    ],
    [
      converted(level(cv(90)), [
        [1, "a"],
        [2, "b"],
      ]),
      { 90: 3 },
      ['CV 90 holds 3, which stands for nothing (1 "a", 2 "b")'],
    ],
    [
      converted(level(cv(90)), { decode: (n) => n >> 1, encode: (n) => n << 1 }),
      { 90: 3 },
      ["CV 90 holds 3, which stands for nothing (1 would be stored as 2)"],
    ],
    [
      record({ whistle, bell: flag(cv(2).bit(0)) }),
      { 141: 9 },
      [
        "whistle: CV 141 holds 9, which no whistle has (0 low, 6 high)",
        "bell: CV 2 bit 0 is not in the CV set",
      ],
    ],
    [table(cv(1).through(4)), { 1: 1, 3: 1 }, ["CV 2, CV 4 are not in the CV set"]],
    [table(cv(67).through(94)), { 70: 1 }, ["CV 67-69, CV 71-94 are not in the CV set"]],
    [level(cv(17).with(cv(18))), { 17: 1 }, ["CV 18 is not in the CV set"]],
    [blow, { 130: 0 }, ["seconds: CV 131 is not in the CV set"]],
    [blow, { 131: 0 }, ["mode: CV 130 bits 6-7 are not in the CV set"]],
    [switched(cv(1).bit(0), whistle), { 141: 0 }, ["CV 1 bit 0 is not in the CV set"]],
  ])("%s %j", (codec, stored, messages) => {
    const cvs = CvSet.from(stored);
    const result = codec.tryDecode(cvs);
    expect(result.ok).toBe(false);
    expect(result.ok ? [] : result.issues.map((issue) => new CvError([issue]).message)).toEqual(messages);
    expect(() => codec.decode(cvs)).toThrow(messages.join("\n"));
  });

  test("a long list of options is cut short", () => {
    const many = choice(cv(1), Object.fromEntries(Array.from({ length: 20 }, (_, i) => [`o${i}`, i])));
    expect(() => many.decode(CvSet.from({ 1: 99 }))).toThrow(/\(0 o0, 1 o1, .*, 11 o11, 8 more\)$/);
  });

  test("a thousand bad CVs of a table are a thousand issues", () => {
    const codec = table(cv(1).through(1024), { max: 9 });
    const result = codec.tryDecode(
      CvSet.from(Array.from({ length: 1024 }, (_, i): [number, number] => [i + 1, 10])),
    );
    expect(result.ok ? 0 : result.issues.length).toBe(1024);
  });

  test("what can be read in spite of it is in the value", () => {
    const codec = record({ a: record({ whistle, bell: flag(cv(2).bit(0)) }), b: level(cv(3)), c: whistle2 });
    expect(codec.tryDecode(CvSet.from({ 141: 9, 2: 1, 3: 7, 142: 0 })).value).toEqual({
      a: { bell: true },
      b: 7,
      c: "x",
    });
    expect(codec.tryDecode(CvSet.empty).value).toEqual({ a: {} });
  });
});

describe("explanations, schemas, descriptions", () => {
  const all = record(
    {
      front: record({
        effect: choice(cv(171).bits(0, 4), { steady: 0, flicker: { value: 5, label: "Flicker, slow" } }),
        led: flag(cv(171).bit(7), { label: "LED" }),
      }),
      drains: switched(cv(160).bit(3), level(cv(161), { unit: "s", min: 1, max: 60 }), { note: "hot" }),
      blow,
      name: text(cv(200).through(203), { pad: 32 }),
      notches: table(cv(120).through(121), { unit: "%", max: 9 }),
      outputs: several35,
      load: converted(level(cv(90), { max: 3 }), [
        [0, "empty"],
        [3, "full"],
      ]),
      pause: level(cv(4), { names: { never: 0 }, step: 0.5, offset: 1 }),
    },
    { label: "Everything", means: "demo", clause: "none" },
  );
  const cvs = CvSet.from({
    171: 133,
    160: 8,
    161: 20,
    130: 0,
    131: 7,
    200: 72,
    201: 105,
    202: 32,
    203: 32,
    120: 1,
    121: 2,
    35: 5,
    90: 3,
    4: 0,
  });

  test("lines: path, words and bits", () => {
    expect(
      all
        .tell(cvs)
        .map(({ path, text, places }) => [
          path,
          text,
          places.map((bits) => `${bits.cv}/${bits.mask}`).join(" "),
        ]),
    ).toEqual([
      ["front.effect", "Flicker, slow", "171/31"],
      ["front.led", "yes", "171/128"],
      ["drains", "on", "160/8"],
      ["drains", "20 s", "161/255"],
      ["blow.mode", "For a time", "130/192"],
      ["blow.seconds", "7 s", "131/255"],
      ["name", '"Hi"', "200/255 201/255 202/255 203/255"],
      ["notches", "1, 2 %", "120/255 121/255"],
      ["outputs", "1, 3", "35/255"],
      ["load", "full", "90/255"],
      ["pause", "never", "4/255"],
    ]);
    expect(
      all
        .tell(cvs.with(160, 0).with(171, 0).with(130, 192).with(35, 0), "loco")
        .slice(0, 5)
        .map(({ path, text }) => `${path}: ${text}`),
    ).toEqual([
      "loco.front.effect: steady",
      "loco.front.led: no",
      "loco.drains: off",
      "loco.blow.mode: none",
      'loco.name: "Hi"',
    ]);
    // What cannot be read has no line, and hides no other.
    expect(
      all.tell(CvSet.from({ 171: 1, 4: 1, 130: 64 })).map(({ path, text }) => `${path}: ${text}`),
    ).toEqual(["front.led: no", "pause: 1.5"]);
  });

  test("JSON Schemas, of settings in part and of whole ones", () => {
    const front = { effect: { enum: ["steady", "flicker"] }, led: { type: "boolean", title: "LED" } };
    const rest = {
      drains: { anyOf: [{ const: "off" }, { type: "integer", minimum: 1, maximum: 60 }], description: "hot" },
      blow: {
        oneOf: [
          {
            type: "object",
            properties: { mode: { const: "timed" }, seconds: { type: "integer", minimum: 0, maximum: 20 } },
            required: ["mode", "seconds"],
            additionalProperties: false,
          },
          {
            type: "object",
            properties: { mode: { const: "none" } },
            required: ["mode"],
            additionalProperties: false,
          },
        ],
      },
      notches: {
        type: "array",
        items: { type: "integer", minimum: 0, maximum: 9 },
        minItems: 2,
        maxItems: 2,
      },
      outputs: { type: "array", items: { enum: [1, 2, 3, 4, 5, 6, 7, 8] }, uniqueItems: true },
      load: { enum: ["empty", "full"] },
      pause: { anyOf: [{ type: "number", minimum: 1, maximum: 128.5 }, { enum: ["never"] }] },
    };
    expect(all.schema()).toMatchObject({
      type: "object",
      title: "Everything",
      properties: { front: { properties: front }, ...rest },
      additionalProperties: false,
    });
    expect(all.schema()).not.toHaveProperty("required");
    expect(all.schema(true)).toMatchObject({
      required: ["front", "drains", "blow", "name", "notches", "outputs", "load", "pause"],
      properties: { front: { required: ["effect", "led"] } },
    });
    expect(all.schema()).toMatchObject({ properties: { name: { type: "string", maxLength: 4 } } });
  });

  test("descriptions as JSON", () => {
    expect(JSON.parse(JSON.stringify(all.describe()))).toEqual({
      codec: "record",
      label: "Everything",
      means: "demo",
      clause: "none",
      fields: {
        front: {
          codec: "record",
          fields: {
            effect: {
              codec: "choice",
              place: { cv: 171, bits: [0, 4] },
              options: { steady: 0, flicker: { value: 5, label: "Flicker, slow" } },
            },
            led: { codec: "flag", place: { cv: 171, bit: 7 }, label: "LED" },
          },
        },
        drains: {
          codec: "switched",
          place: { cv: 160, bit: 3 },
          note: "hot",
          item: { codec: "level", place: 161, unit: "s", min: 1, max: 60 },
        },
        blow: {
          codec: "variant",
          place: { cv: 130, bits: [6, 7] },
          tag: "mode",
          cases: {
            timed: {
              value: 0,
              label: "For a time",
              fields: { seconds: { codec: "level", place: 131, max: 20, unit: "s" } },
            },
            none: { value: 3, fields: {} },
          },
        },
        name: { codec: "text", place: { cv: 200, through: 203 }, pad: 32 },
        notches: { codec: "table", place: { cv: 120, through: 121 }, unit: "%", max: 9 },
        outputs: { codec: "several", place: 35, names: [1, 2, 3, 4, 5, 6, 7, 8], label: "Outputs" },
        load: {
          codec: "converted",
          item: { codec: "level", place: 90, max: 3 },
          pairs: [
            [0, "empty"],
            [3, "full"],
          ],
        },
        pause: { codec: "level", place: 4, names: { never: 0 }, step: 0.5, offset: 1 },
      },
    });
    expect(flag(cv(1).bit(0), { inverted: true }).describe()).toMatchObject({ inverted: true });
    expect(switched(cv(1).bit(0), whistle, { inverted: true }).describe()).toMatchObject({ inverted: true });
  });

  test("code cannot be described, and the path says where it is", () => {
    const squared = converted(level(cv(91)), { decode: (n) => n * n, encode: Math.sqrt });
    expect(() => squared.describe()).toThrow(
      'a codec of kind "converted" holds code and cannot be written as JSON',
    );
    expect(() => record({ a: record({ b: squared }) }).describe()).toThrow(
      /^a\.b: a codec of kind "converted"/,
    );
    expect(squared.schema()).toEqual({});
  });
});
