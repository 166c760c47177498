import {
  type AnyCodec,
  type AnyDecoder,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  flag,
  flags,
  level,
  messageOf,
  switched,
  table,
  text,
} from "cvset";
import { translate } from "cvset/meaning";
import { describe, expect, test } from "vitest";
import { decoderOf } from "./decoder-of.js";

// What becomes of one setting, as a whole: the result, the sentence, what can be chosen, the error, what is stored.

const numbers = (place: number, means: string, options: object): AnyCodec =>
  level(cv(place), { means, ...options }) as AnyCodec;
const bit = (place: number, means: string): AnyCodec => flag(cv(place).bit(0), { means }) as AnyCodec;
const turnedOn = (place: number, means: string, codec: AnyCodec): AnyCodec =>
  switched(cv(place).bit(7), codec, { means }) as AnyCodec;

/** Options stored as 1, 2, 3; each means something, or null. */
const oneOf = (
  place: number,
  means: string,
  options: Readonly<Record<string, string | null>>,
  least = 1,
): AnyCodec =>
  choice(
    cv(place),
    Object.fromEntries(
      Object.entries(options).map(([name, own], i) => [
        name,
        { value: i + least, ...(own && { means: own }) },
      ]),
    ),
    { means },
  ) as AnyCodec;

const pairs = (place: number, means: string, ...values: readonly (string | number | boolean)[]): AnyCodec =>
  converted(
    level(cv(place), { max: values.length - 1 }),
    values.map((value, i) => [i, value] as const),
    { means },
  ) as AnyCodec;

type Answer = readonly [
  result: string,
  stored: number,
  reason?: string | undefined,
  more?: Readonly<{ options?: readonly unknown[]; error?: number; unit?: string }>,
];

/** One setting in CV 120 for a decoder with one in CV 150, which holds `base` before. */
function answer(from: AnyCodec, value: number, to: AnyCodec, base: number): Answer {
  const { report, cvs } = translate(
    CvSet.from({ 120: value, 121: 0 }),
    decoderOf("one-x1", { one: from }),
    decoderOf("other-x2", { other: to }),
    { base: CvSet.from({ 150: base, 151: base }) },
  );
  expect(report.length).toBe(1);
  const { path, to: target, result, reason, ...more } = report[0] as (typeof report)[number];
  expect([path, target]).toEqual(["one", "other"]);
  const said = reason && messageOf(reason);
  const stored = cvs.get(150) ?? -1;
  return Object.keys(more).length
    ? [result, stored, said, more]
    : said === undefined
      ? [result, stored]
      : [result, stored, said];
}

const slip = "wheel slip";
const percent = { unit: "%", max: 100 };
const drains = "drain cocks, duration";

describe("an option", () => {
  test.each<[string, AnyCodec, number, AnyCodec, number, Answer]>([
    [
      "is none of those and near to none",
      oneOf(120, "whistle", { a: "one-note whistle" }),
      1,
      oneOf(150, "whistle", { x: "none", y: "off" }),
      7,
      ["undecided", 7, 'none of the options is "one-note whistle" or near to it', { options: ["x", "y"] }],
    ],
    [
      "is between two in their order",
      oneOf(120, "whistle", { a: "three-chime whistle" }),
      1,
      oneOf(150, "whistle", { x: "two-note whistle", y: "four-chime whistle", z: "six-chime whistle" }),
      7,
      ["undecided", 7, '"x", "y" are equally near to "three-chime whistle"', { options: ["x", "y", "z"] }],
    ],
    [
      "has a nearest",
      oneOf(120, "whistle", { a: "three-chime whistle" }),
      1,
      oneOf(150, "whistle", { x: "one-note whistle", y: "four-chime whistle" }),
      7,
      ["approximated", 2, '"three-chime whistle" is not there; "y" is the nearest'],
    ],
    [
      "of another order is not near",
      oneOf(120, "whistle", { a: "three-chime whistle" }),
      1,
      oneOf(150, "whistle", { x: "three-chime horn", y: "crisp exhaust" }),
      7,
      ["undecided", 7, 'none of the options is "three-chime whistle" or near to it', { options: ["x", "y"] }],
    ],
    [
      "is a kind of what a switch turns on",
      oneOf(120, "air pump", { a: "compound air pump", b: "none" }),
      1,
      bit(150, "air pump"),
      6,
      ["approximated", 7, 'it is on; which kind, "compound air pump", is not stored'],
    ],
    [
      "is off, as a switch is",
      oneOf(120, "air pump", { a: "compound air pump", b: "off" }),
      2,
      bit(150, "air pump"),
      7,
      ["carried", 6],
    ],
    [
      "is none, and off is the nearest",
      oneOf(120, "air pump", { a: "compound air pump", b: "none" }),
      2,
      oneOf(150, "air pump", { x: "off", y: "compound air pump" }),
      7,
      ["approximated", 1, '"none" is not there; "x" is the nearest'],
    ],
    [
      "without a meaning tells a switch nothing",
      oneOf(120, "blower", { left: null }),
      1,
      bit(150, "blower"),
      6,
      ["undecided", 6, 'none of the options is "left" or near to it', { options: [true, false] }],
    ],
    [
      "that is none is the count 0",
      oneOf(120, "cylinders", { no: "none", b: "2" }),
      1,
      numbers(150, "cylinders", { max: 8 }),
      5,
      ["carried", 0],
    ],
    [
      "that is none is no count where 0 cannot be stored",
      oneOf(120, "cylinders", { no: "none", b: "2" }),
      1,
      numbers(150, "cylinders", { min: 1, max: 8 }),
      5,
      ["undecided", 5, 'none of the options is "none" or near to it'],
    ],
    [
      "that is none is no time",
      oneOf(120, drains, { no: "none", b: null }),
      1,
      numbers(150, drains, { unit: "s", max: 8 }),
      5,
      ["undecided", 5, 'none of the options is "none" or near to it'],
    ],
    [
      "that is there is not the count 0",
      oneOf(120, "cylinders", { no: "none", b: "two engines of two cylinders" }),
      2,
      numbers(150, "cylinders", { max: 8 }),
      5,
      ["undecided", 5, 'none of the options is "two engines of two cylinders" or near to it'],
    ],
    [
      "without a meaning is one with its name, however it is written",
      oneOf(120, "Safety  Valve", { "left-one": null }),
      1,
      oneOf(150, "safety valve", { x: null, "Left-One": null }),
      7,
      ["carried", 2],
    ],
    [
      "with the name of another choice's option means nothing by it",
      oneOf(120, "safety valve", { coal: null }),
      1,
      oneOf(150, "safety valve", { x: "coal" }),
      7,
      ["undecided", 7, 'none of the options is "coal" or near to it', { options: ["x"] }],
    ],
    [
      "that is stored as no option is asked for",
      oneOf(120, "firing", { coal: null, oil: null }),
      9,
      oneOf(150, "firing", { coal: null, oil: null }, 3),
      4,
      ["undecided", 4, "CV 120: no option has the stored number 9; the options are 1 coal, 2 oil"],
    ],
    [
      "of pairs is an option",
      pairs(120, "firing", "coal", "oil"),
      1,
      oneOf(150, "firing", { q: "coal", w: "oil" }),
      7,
      ["carried", 2],
    ],
    [
      "goes to a pair",
      oneOf(120, "firing", { q: "coal", w: "oil" }),
      2,
      pairs(150, "firing", "coal", "oil"),
      0,
      ["carried", 1],
    ],
  ])("%s", (_, from, value, to, base, expected) => {
    expect(answer(from, value, to, base)).toEqual(expected);
  });
});

describe("a switch", () => {
  const offOnly = oneOf(150, "air pump", { y: "off" });
  const several = oneOf(150, "air pump", { y: "off", a: "compound air pump", b: "two compound air pumps" });
  test.each<[string, AnyCodec, number, AnyCodec, number, Answer]>([
    [
      "that is on does not tell how much",
      bit(120, slip),
      1,
      numbers(150, slip, percent),
      5,
      ["undecided", 5, 'it is "on"; how much, 0 to 100 %, is not known'],
    ],
    ["that is off is the share 0", bit(120, slip), 0, numbers(150, slip, percent), 5, ["carried", 0]],
    [
      "that is off is not the time 0",
      bit(120, drains),
      0,
      numbers(150, drains, { unit: "s", max: 100 }),
      5,
      ["undecided", 5, 'it is "off"; how much, 0 to 100 s, is not known'],
    ],
    [
      "that is off is the number with that name",
      bit(120, drains),
      0,
      numbers(150, drains, { unit: "s", min: 1, max: 99, names: { none: 100 } }),
      5,
      ["carried", 100],
    ],
    [
      "that is on does not tell how much of what is turned on",
      bit(120, slip),
      1,
      turnedOn(150, slip, level(cv(150).bits(0, 6), percent) as AnyCodec),
      5,
      ["undecided", 5, 'it is "on"; how much, 0 to 100 %, is not known'],
    ],
    [
      "that is off turns off, and leaves how much",
      bit(120, slip),
      0,
      turnedOn(150, slip, level(cv(150).bits(0, 6), percent) as AnyCodec),
      128 + 9,
      ["carried", 9],
    ],
    [
      "that is off is none of options that say nothing",
      bit(120, "coupler"),
      0,
      oneOf(150, "coupler", { x: null, y: null }),
      7,
      ["undecided", 7, 'none of the options is "off" or near to it', { options: ["x", "y"] }],
    ],
    [
      "that is on is the option on",
      bit(120, "coupler"),
      1,
      oneOf(150, "coupler", { x: "on", y: "off" }),
      7,
      ["carried", 1],
    ],
    [
      "that is off is the option off",
      bit(120, "coupler"),
      0,
      oneOf(150, "coupler", { x: "on", y: "off" }),
      7,
      ["carried", 2],
    ],
    [
      "that is on is none of the options",
      bit(120, "air pump"),
      1,
      offOnly,
      7,
      ["undecided", 7, 'none of the options is "on" or near to it', { options: ["y"] }],
    ],
    [
      "that is on is one of several",
      bit(120, "air pump"),
      1,
      several,
      7,
      ["undecided", 7, 'it is on; which of "a", "b" is not known', { options: ["y", "a", "b"] }],
    ],
    [
      "that is on is the option that is some of it",
      bit(120, slip),
      1,
      oneOf(150, slip, { x: "full", y: "off" }),
      7,
      ["carried", 1],
    ],
    [
      "that is off is the option that is nothing of it",
      bit(120, "whistle, sound level"),
      0,
      oneOf(150, "whistle, sound level", { x: "full", y: "silent" }),
      7,
      ["carried", 2],
    ],
    [
      "that is on is none of two amounts",
      bit(120, "cylinders"),
      1,
      oneOf(150, "cylinders", { x: "2", y: "3" }),
      7,
      ["undecided", 7, 'it is on; which of "x", "y" is not known', { options: ["x", "y"] }],
    ],
    [
      "by pairs of true and false",
      pairs(120, "coupler", false, true),
      1,
      bit(150, "coupler"),
      6,
      ["carried", 7],
    ],
    ["by pairs, on", pairs(120, "coupler", "off", "on"), 1, bit(150, "coupler"), 6, ["carried", 7]],
    ["by pairs, off", pairs(120, "coupler", "off", "on"), 0, bit(150, "coupler"), 7, ["carried", 6]],
    [
      "by pairs, off, is the option none",
      pairs(120, "coupler", "off", "on"),
      0,
      oneOf(150, "coupler", { x: "none", y: null }),
      7,
      ["carried", 1],
    ],
    ["to pairs", bit(120, "coupler"), 1, pairs(150, "coupler", "off", "on"), 0, ["carried", 1]],
    ...(
      [
        text(cv(150).through(151), { means: "plate text" }),
        table(cv(150).through(151), { means: "plate text" }),
        flags(cv(150).bits(0, 1), ["a", "b"], { means: "plate text" }),
        defineCodec({
          kind: "x",
          places: [cv(150)],
          about: { means: "plate text" },
          read: () => 0,
          write() {},
        }),
      ] as AnyCodec[]
    ).map((to): [string, AnyCodec, number, AnyCodec, number, Answer] => [
      `is nothing for a codec of kind ${to.kind}`,
      bit(120, "plate text"),
      0,
      to,
      65,
      ["undecided", 65, "false is stored in a form that only the other decoder has"],
    ]),
  ])("%s", (_, from, value, to, base, expected) => {
    expect(answer(from, value, to, base)).toEqual(expected);
  });
});

describe("an amount", () => {
  const slipOf = (place: number) => numbers(place, slip, percent);
  const seconds = (place: number, options: object = {}) => numbers(place, drains, { unit: "s", ...options });
  const keys = numbers(120, "whistle, key", { max: 28 });
  test.each<[string, AnyCodec, number, AnyCodec, number, Answer]>([
    [
      "is more than a switch tells",
      slipOf(120),
      5,
      bit(150, slip),
      6,
      ["approximated", 7, "it is on; how much, 5 %, is not stored"],
    ],
    ["of nothing is off", slipOf(120), 0, bit(150, slip), 7, ["carried", 6]],
    [
      "of nothing is the option off",
      slipOf(120),
      0,
      oneOf(150, slip, { x: null, y: "off" }),
      7,
      ["carried", 2],
    ],
    [
      "of something is none of options that say nothing of it",
      slipOf(120),
      5,
      oneOf(150, slip, { x: null, y: "off" }),
      7,
      ["undecided", 7, "none of the options is 5 % or near to it", { options: ["x", "y"] }],
    ],
    [
      "of nothing is not one of two",
      slipOf(120),
      0,
      oneOf(150, slip, { x: "none", y: "off" }),
      7,
      ["undecided", 7, "none of the options is 0 % or near to it", { options: ["x", "y"] }],
    ],
    [
      "has a nearest among the options",
      slipOf(120),
      60,
      oneOf(150, slip, { x: "full", y: "off" }),
      7,
      ["approximated", 1, '60 % cannot be stored; "x" is the nearest', { error: 40, unit: "%" }],
    ],
    [
      "that counts has a nearest, without a unit",
      oneOf(120, "cylinders", { a: "3" }),
      1,
      oneOf(150, "cylinders", { x: "2", y: "8" }),
      7,
      ["approximated", 1, '"a" cannot be stored; "x" is the nearest', { error: -1 }],
    ],
    [
      "has none among options that are no amounts",
      oneOf(120, "cylinders", { a: "3" }),
      1,
      oneOf(150, "cylinders", { x: "two engines of two cylinders" }),
      7,
      ["undecided", 7, 'none of the options is "a" or near to it', { options: ["x"] }],
    ],
    [
      "in another unit, with the error in that of the quantity",
      numbers(120, drains, { unit: "s", step: 0.25 }),
      5,
      numbers(150, drains, { unit: "ms", step: 500, max: 30000 }),
      9,
      ["approximated", 3, "1.25 s cannot be stored; 1500 ms is the nearest", { error: 0.25, unit: "s" }],
    ],
    [
      "beyond what can be stored",
      numbers(120, drains, { unit: "min", max: 9 }),
      5,
      seconds(150, { max: 200 }),
      9,
      ["approximated", 200, "5 min cannot be stored; 200 s is the nearest", { error: -100, unit: "s" }],
    ],
    [
      "below what can be stored",
      seconds(120),
      5,
      seconds(150, { min: 20 }),
      99,
      ["approximated", 20, "5 s cannot be stored; 20 s is the nearest", { error: 15, unit: "s" }],
    ],
    [
      "whose number has a name there",
      seconds(120),
      5,
      seconds(150, { names: { never: 5 } }),
      9,
      ["approximated", 4, "5 s cannot be stored; 4 s is the nearest", { error: -1, unit: "s" }],
    ],
    [
      "in a unit of another quantity is no amount",
      numbers(120, drains, { unit: "mm" }),
      5,
      seconds(150),
      9,
      ["undecided", 9, "5 is stored in a form that only the other decoder has"],
    ],
    [
      "is not compared with one in a unit of another quantity",
      seconds(120),
      5,
      numbers(150, drains, { unit: "mm" }),
      9,
      ["undecided", 9, "none of the options is 5 s or near to it"],
    ],
    [
      "of a scale of one number is no share",
      numbers(120, slip, { min: 5, max: 5 }),
      5,
      slipOf(150),
      9,
      ["undecided", 9, "5 is stored in a form that only the other decoder has"],
    ],
    [
      "is no share of a scale of one number",
      slipOf(120),
      5,
      numbers(150, slip, { min: 5, max: 5 }),
      5,
      ["undecided", 5, "none of the options is 5 % or near to it"],
    ],
    [
      "of no sound is the quietest in decibels",
      numbers(120, "whistle, sound level", percent),
      0,
      numbers(150, "whistle, sound level", { unit: "dB", min: -40, max: 0, offset: -40 }),
      9,
      ["approximated", 0, "0 % cannot be stored; -40 dB is the nearest", { error: 1, unit: "%" }],
    ],
    [
      "without an end is no amount",
      seconds(120, { min: 1, names: { continuous: 0 } }),
      0,
      seconds(150, { max: 60 }),
      9,
      ["undecided", 9, 'none of the options is "continuous" or near to it'],
    ],
    [
      "without an end is the same name",
      seconds(120, { min: 1, names: { continuous: 0 } }),
      0,
      seconds(150, { max: 60, names: { continuous: 255 } }),
      9,
      ["carried", 255],
    ],
    ["of pairs is an amount", pairs(120, slip, 10, 20), 1, slipOf(150), 9, ["carried", 20]],
    [
      "of pairs is a bare number where it counts nothing",
      pairs(120, "coupler", 10, 20),
      1,
      numbers(150, "coupler", { max: 100 }),
      9,
      ["undecided", 9, "20 is stored in a form that only the other decoder has"],
    ],
    [
      "of pairs is none where it is no number",
      pairs(120, slip, 10, null as never),
      1,
      slipOf(150),
      9,
      ["undecided", 9, "null is stored in a form that only the other decoder has"],
    ],
    [
      "that is a key beyond the others",
      keys,
      20,
      numbers(150, "whistle, key", { min: 1, max: 12, names: { none: 0 } }),
      3,
      ["undecided", 3, "key F20 cannot be chosen there; the keys are F1 to F12", { options: ["none"] }],
    ],
    [
      "that is a key is no other one",
      keys,
      2,
      oneOf(150, "whistle, key", { x: "1", y: "3" }),
      7,
      ["undecided", 7, "none of the options is 2 or near to it", { options: ["x", "y"] }],
    ],
    [
      "that is key F0 is not none",
      keys,
      0,
      oneOf(150, "whistle, key", { x: "none", y: "3" }),
      7,
      ["undecided", 7, "none of the options is 0 or near to it", { options: ["x", "y"] }],
    ],
  ])("%s", (_, from, value, to, base, expected) => {
    expect(answer(from, value, to, base)).toEqual(expected);
  });

  const wide = (first: number, means: string, unit: string, step: number): AnyCodec =>
    level(
      cv(first)
        .with(cv(first + 1))
        .with(cv(first + 2)),
      { means, unit, step },
    ) as AnyCodec;
  // By hand: 1 inch is 25.4 mm, 1 foot 12 inches, 1 mile 1.609344 km.
  test.each([
    ["duration", 2, "h", 7200, "s"],
    ["duration", 2, "min", 120, "s"],
    ["duration", 500, "ms", 0.5, "s"],
    ["driver diameter", 2, "in", 50.8, "mm"],
    ["driver diameter", 10, "ft", 3048, "mm"],
    ["driver diameter", 3, "cm", 30, "mm"],
    ["driver diameter", 2, "m", 2000, "mm"],
    ["full speed", 10, "m/s", 36, "km/h"],
    ["full speed", 25, "mph", 40.2336, "km/h"],
    ["rate", 90, "/min", 1.5, "Hz"],
    ["rate", 2, "kHz", 2000, "Hz"],
    ["rate", 3, "/s", 3, "Hz"],
    ["wheel slip", 500, "‰", 50, "%"],
  ])("%s: %d %s is %d %s, and back", (means, value, unit, common, commonUnit) => {
    const step = means === "full speed" ? 0.0001 : 0.0005;
    for (const [before, from, after, to] of [
      [value, unit, common, commonUnit],
      [common, commonUnit, value, unit],
    ] as const) {
      const one = decoderOf("one-x1", { one: wide(120, means, from, step) });
      const other = decoderOf("other-x2", { other: wide(150, means, to, step) });
      const { cvs, report } = translate(one.encode({ one: before }), one, other);
      expect(report).toEqual([{ path: "one", to: "other", result: "carried" }]);
      expect(other.decode(cvs)).toEqual({ other: after });
    }
  });

  // The modes of S-9.2.1 (July 2012), C have 14, 28 and 126 steps; 126 is 9 times 14 and 4.5 times 28.
  test.each([
    [13, 2, 18],
    [14, 2, 18],
    [15, 2, 9],
    [28, 2, 9],
    [29, 2, 2],
    [127, 2, 2],
  ])("a scale of speed steps up to %d: step %d is step %d of 126", (max, step, of126) => {
    const scale = (place: number, top: number) => numbers(place, "above speed step", { max: top });
    expect(answer(scale(120, max), step, scale(150, 126), 1)).toEqual(["carried", of126]);
    expect(answer(scale(120, 126), of126, scale(150, max), 1)).toEqual(["carried", step]);
  });

  test("a share without a unit is that of the scale from its smallest to its largest", () => {
    for (const [stored, share] of [
      [5, 0],
      [10, 25],
      [25, 100],
    ] as const) {
      const own = (place: number) => numbers(place, slip, { min: 5, max: 25 });
      expect(answer(own(120), stored, slipOf(150), 7)).toEqual(["carried", share]);
      expect(answer(slipOf(120), share, own(150), 7)).toEqual(["carried", stored]);
    }
  });
});

describe("what only one kind of codec stores", () => {
  test.each<[string, AnyCodec, number, AnyCodec, number, Answer]>([
    [
      "functions make what nothing is compared with",
      converted(level(cv(120)), { decode: (n) => `${n}`, encode: Number }, { means: "coupler" }) as AnyCodec,
      7,
      bit(150, "coupler"),
      6,
      ["undecided", 6, '"7" is stored in a form that only the other decoder has'],
    ],
    [
      "functions on both sides that take the same",
      converted(level(cv(120)), { decode: (n) => `${n}`, encode: Number }, { means: "coupler" }) as AnyCodec,
      7,
      converted(level(cv(150)), { decode: (n) => `${n}`, encode: Number }, { means: "coupler" }) as AnyCodec,
      6,
      ["carried", 7],
    ],
    [
      "functions at the target, which can be given nothing to choose from",
      oneOf(120, "coupler", { a: "on" }),
      1,
      converted(level(cv(150)), { decode: (n) => `${n}`, encode: Number }, { means: "coupler" }) as AnyCodec,
      6,
      ["undecided", 6, 'none of the options is "on" or near to it'],
    ],
    [
      "a text that the other decoder cannot store",
      text(cv(120).through(121), { means: "plate text" }) as AnyCodec,
      32,
      text(cv(150).through(151), { means: "plate text", pad: 32 }) as AnyCodec,
      65,
      ["undecided", 65, 'the text must not end with the fill character " ", got " "'],
    ],
    [
      "lists of names of which some are not there",
      flags(cv(120).bits(0, 2), ["a", "b", "c"], { means: "coupler" }) as AnyCodec,
      7,
      flags(cv(150).bits(0, 2), ["c", null, "a"], { means: "coupler" }) as AnyCodec,
      0,
      ["approximated", 5, '"b" cannot be chosen there'],
    ],
    [
      "lists of names",
      flags(cv(120).bits(0, 2), ["a", "b", "c"], { means: "coupler" }) as AnyCodec,
      5,
      flags(cv(150).bits(0, 2), ["c", null, "a"], { means: "coupler" }) as AnyCodec,
      2,
      ["carried", 7],
    ],
  ])("%s", (_, from, value, to, base, expected) => {
    expect(answer(from, value, to, base)).toEqual(expected);
  });
});

describe("the CVs of the standard", () => {
  const all = [
    ...Array.from({ length: 112 }, (_, i) => i + 1),
    ...Array.from({ length: 16 }, (_, i) => 880 + i),
  ];
  const features = Object.fromEntries(all.map((number) => [`cv${number}`, level(cv(number)) as AnyCodec]));
  const [one, other] = [decoderOf("one-x1", features), decoderOf("other-x2", features)];
  const cvs = CvSet.from(all.map((number): [number, number] => [number, 1])).with(16, 2);
  /** What is said of settings, with the CVs that it is said of. */
  const said = (of: CvSet, to = other): Record<string, number[]> => {
    const found: Record<string, number[]> = {};
    for (const { path, result, reason } of translate(of, one, to, { base: {} }).report) {
      const words = reason ? `${result}: ${messageOf(reason)}` : result;
      found[words] = [...(found[words] ?? []), Number(path?.slice(2))];
    }
    return found;
  };
  const within = (sentence: string, place: string) => `${sentence} (S-9.2.2 (July 2012), CV ${place})`;
  const measure =
    "carried: the numbers are the same; another motor drive runs at other speeds with them, so measure again";
  const lock = "carried: CV 15 is 1 and CV 16 is 2: the decoder obeys no CV write until they are equal";
  const consist = "carried: the locomotive stays in consist 1, and obeys no speed sent to its own address";
  const table = within("default: it chooses one of the decoder's own speed tables, which differ", "25");

  test("are carried with a remark, or stay, each with its place in the standard", () => {
    const { carried = [], ...others } = said(cvs);
    expect(others).toEqual({
      [within("default: the decoder gives it itself; it cannot be written", "7 and 8")]: [7, 8],
      [within("default: it is the index page that is open, not a setting", "31 and 32")]: [31, 32],
      [within("default: the decoder changes it by itself", "880-895")]: [
        880, 881, 882, 883, 884, 885, 886, 887, 888, 889, 890, 891, 892, 893, 894, 895,
      ],
      [measure]: [2, 5, 6, 9, 10, 65, 67],
      [within(lock, "15 and 16")]: [15, 16],
      [within(consist, "19")]: [19],
    });
    const named = Object.values(others).flat();
    expect(carried).toEqual(all.filter((number) => !named.includes(number)));
  });

  test("without a remark on a lock that is open, a lock that is not known, and a consist of none", () => {
    for (const open of [cvs.with(15, 2), cvs.without(15), cvs.without(16)])
      expect(said(open)[within(lock, "15 and 16")]).toBeUndefined();
    expect(said(cvs.with(19, 128))[within(consist, "19")]).toBeUndefined();
  });

  // S-9.2.2 (July 2012), CV 25: 2 is the straight line, 128 and above choose a step for the mid speed.
  test.each([
    [0, false],
    [2, false],
    [3, true],
    [127, true],
    [128, false],
    [255, false],
  ])("CV 25 = %d is a speed table of the decoder's own: %s", (value, isOwn) => {
    expect(said(cvs.with(25, value))[table]).toEqual(isOwn ? [25] : undefined);
  });

  test("in one setting with others stay behind with what cannot be written, and nothing else holds them back", () => {
    const pair = (number: number) => level(cv(number).with(cv(11))) as AnyCodec;
    const becomes = (number: number) => {
      const [from, to] = ["one-x1", "other-x2"].map((id) => decoderOf(id, { pair: pair(number) }));
      const { report } = translate(
        CvSet.from([
          [number, 5],
          [11, 7],
        ]),
        from as AnyDecoder,
        to as AnyDecoder,
      );
      return [report[0]?.result, report[0]?.reason?.code];
    };
    expect([7, 8].map(becomes)).toEqual(Array(2).fill(["default", "read-only"]));
    expect([880, 894].map(becomes)).toEqual(Array(2).fill(["default", "volatile"]));
    expect([25, 31, 32].map(becomes)).toEqual(Array(3).fill(["carried", undefined]));
  });

  test("stay as they are where both are the same decoder", () => {
    expect(said(cvs, one)).toEqual({ carried: all });
  });

  test("of the same decoder, bits that no feature has come along, and the base's are kept beside them", () => {
    const own = decoderOf("one-x1", { lamp: flag(cv(120).bit(0)) as AnyCodec });
    const { cvs: made, unowned } = translate(CvSet.from({ 120: 0b101, 121: 77 }), own, own, {
      base: { 120: 0b1010, 122: 9 },
    });
    expect(made.toJSON()).toEqual({ 120: 0b1111, 121: 77, 122: 9 });
    expect(unowned).toEqual([]);
  });

  test("that no feature has are carried where they are defined, but not those of the decoder itself", () => {
    const [bare, target] = ["one-x1", "other-x2"].map((id) =>
      decoderOf(id, { cv1: features["cv1"] as AnyCodec }),
    );
    const { cvs: made, unowned } = translate(
      CvSet.from({ 1: 3, 7: 9, 31: 16, 32: 2, 55: 9, 894: 7, "300@16.0": 1 }),
      bare as AnyDecoder,
      target as AnyDecoder,
    );
    expect(made.toJSON()).toEqual({ 1: 3 });
    expect(unowned).toEqual([
      { cv: "55", mask: 255, value: 9 },
      { cv: "300@16.0", mask: 255, value: 1 },
    ]);
  });
});
