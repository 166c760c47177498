import {
  type AnyCodec,
  type AnyDecoder,
  type CvError,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  flag,
  flags,
  level,
  messageOf,
  page,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { type TranslateOptions, translate } from "cvset/meaning";
import { factoryDefaults, locomotive, nmra, nmraAccessory } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { decoderOf } from "./decoder-of.js";

type Row = readonly [path: string | undefined, to: string | undefined, result: string, reason: string];

/** The rows of a report in short. */
function rows(cvs: CvSet, from: AnyDecoder, to: AnyDecoder, options?: TranslateOptions): Row[] {
  return translate(cvs, from, to, options).report.map(({ path, to: target, result, reason }) => [
    path,
    target,
    result,
    reason ? messageOf(reason) : "",
  ]);
}

/** One value carried from one codec to another: the stored number, and the row. */
function carried(from: AnyCodec, stored: number, to: AnyCodec, base = 0) {
  const cvs = CvSet.from({ 120: stored });
  const made = translate(cvs, decoderOf("one-x1", { one: from }), decoderOf("other-x2", { other: to }), {
    base: CvSet.from({ 150: base }),
  });
  const [row] = made.report;
  const { result, error, unit, reason } = row as NonNullable<typeof row>;
  return { stored: made.cvs.get(150), result, error, unit, reason: reason ? messageOf(reason) : "" };
}

const share = (place: number, options: object) =>
  level(cv(place), { means: "whistle, sound level", ...options }) as AnyCodec;
const time = (place: number, options: object) =>
  level(cv(place), { means: "drain cocks, duration", ...options }) as AnyCodec;

describe("amounts go through their units", () => {
  // By hand: 7/15 of full is 119/255; 5/15 is 33.3 %, nearest 33 %; -6 dB is 50.12 %.
  test.each([
    ["0-15 to 0-255", share(120, { max: 15 }), 7, share(150, {}), 119, "carried", undefined],
    [
      "0-15 to percent",
      share(120, { max: 15 }),
      5,
      share(150, { unit: "%", max: 100 }),
      33,
      "approximated",
      -1 / 3,
    ],
    [
      "dB to percent",
      share(120, { unit: "dB", min: -60, max: 0, offset: -60 }),
      54,
      share(150, { unit: "%", max: 100 }),
      50,
      "approximated",
      50 - 50.1187233627,
    ],
    [
      "percent to dB",
      share(120, { unit: "%", max: 100 }),
      10,
      share(150, { unit: "dB", min: -60, max: 0, offset: -60 }),
      40,
      "carried",
      undefined,
    ],
    [
      "louder than the target can",
      share(120, { unit: "dB", min: -20, max: 12, offset: -20 }),
      32,
      share(150, { unit: "%", max: 100 }),
      100,
      "approximated",
      100 - 398.1071705535,
    ],
    [
      "silence to the quietest",
      share(120, { max: 15 }),
      0,
      share(150, { unit: "dB", min: -40, max: 0, offset: -40 }),
      0,
      "approximated",
      1,
    ],
    [
      "silence to a name for it",
      share(120, { max: 15 }),
      0,
      share(150, { unit: "dB", min: -40, max: 0, offset: -40, names: { silent: 99 } }),
      99,
      "carried",
      undefined,
    ],
    [
      "a name for silence",
      share(120, { unit: "dB", min: -40, max: 0, offset: -40, names: { silent: 99 } }),
      99,
      share(150, { max: 15 }),
      0,
      "carried",
      undefined,
    ],
    [
      "seconds stay seconds",
      time(120, { unit: "s", max: 60 }),
      12,
      time(150, { unit: "s", step: 0.5, max: 30 }),
      24,
      "carried",
      undefined,
    ],
    [
      "seconds to milliseconds",
      time(120, { unit: "s", step: 0.1, max: 20 }),
      3,
      time(150, { unit: "ms", step: 50, max: 12750 }),
      6,
      "carried",
      undefined,
    ],
    [
      "minutes to seconds",
      time(120, { unit: "min", step: 0.5, max: 60 }),
      3,
      time(150, { unit: "s", max: 255 }),
      90,
      "carried",
      undefined,
    ],
    [
      "longer than the target can",
      time(120, { unit: "s", max: 60 }),
      50,
      time(150, { unit: "s", step: 0.5, max: 30 }),
      60,
      "approximated",
      -20,
    ],
    [
      "between two steps",
      time(120, { unit: "s", step: 0.25, max: 40 }),
      5,
      time(150, { unit: "s", step: 0.5, max: 30 }),
      3,
      "approximated",
      0.25,
    ],
  ] as const)("%s", (_, from, stored, to, expected, result, error) => {
    const got = carried(from, stored, to);
    expect([got.stored, got.result]).toEqual([expected, result]);
    if (error === undefined) expect(got.error).toBeUndefined();
    else expect(got.error).toBeCloseTo(error, 6);
  });

  test("speed steps are counted in the mode of their scale", () => {
    const below = (place: number, max: number) =>
      level(cv(place), { max, means: "brake squeal, below speed step" }) as AnyCodec;
    expect(carried(below(120, 126), 63, below(150, 28))).toMatchObject({ stored: 14, result: "carried" });
    expect(carried(below(120, 28), 7, below(150, 126))).toMatchObject({
      stored: 32,
      result: "approximated",
      error: 0.5,
    });
  });

  test("a number without a meaning in the vocabulary is not compared", () => {
    const number = (place: number) => level(cv(place), { max: 9, means: "whistle" }) as AnyCodec;
    expect(carried(number(120), 3, number(150), 5)).toMatchObject({ stored: 5, result: "undecided" });
  });

  test("a key is the same key, or it is asked for", () => {
    const key = (place: number, max: number, none: number) =>
      level(cv(place), { max, names: { none }, means: "whistle, key" }) as AnyCodec;
    expect(carried(key(120, 28, 255), 2, key(150, 12, 15))).toMatchObject({ stored: 2, result: "carried" });
    expect(carried(key(120, 28, 255), 255, key(150, 12, 15))).toMatchObject({
      stored: 15,
      result: "carried",
    });
    expect(carried(key(120, 28, 255), 20, key(150, 12, 15), 3)).toMatchObject({
      stored: 3,
      result: "undecided",
      reason: "key F20 cannot be chosen there; the keys are F0 to F12",
    });
  });
});

describe("options", () => {
  const whistle = (place: number, options: Readonly<Record<string, string>>) =>
    choice(
      cv(place),
      Object.fromEntries(Object.entries(options).map(([name, means], i) => [name, { value: i + 1, means }])),
      { means: "whistle" },
    ) as AnyCodec;
  const source = whistle(120, { a: "one-note whistle", b: "three-chime whistle", c: "five-chime whistle" });

  test("match exactly", () => {
    expect(
      carried(source, 2, whistle(150, { x: "six-chime whistle", y: "three-chime whistle" })),
    ).toMatchObject({ stored: 2, result: "carried" });
  });

  test("or the nearest in their order is taken", () => {
    expect(carried(source, 3, whistle(150, { x: "one-note whistle", y: "six-chime whistle" }))).toMatchObject(
      {
        stored: 2,
        result: "approximated",
        reason: '"five-chime whistle" is not there; "y" is the nearest',
      },
    );
  });

  test("or, where two are as near, it is asked for", () => {
    expect(
      carried(source, 3, whistle(150, { x: "four-chime whistle", y: "six-chime whistle" })),
    ).toMatchObject({
      stored: 0,
      result: "undecided",
      reason: '"x", "y" are equally near to "five-chime whistle"',
    });
  });

  test("or not at all", () => {
    expect(
      carried(
        source,
        1,
        choice(cv(150), { x: { value: 1, means: "none" } }, { means: "whistle" }) as AnyCodec,
      ),
    ).toMatchObject({
      result: "undecided",
      reason: 'none of the options is "one-note whistle" or near to it',
    });
  });

  const effect = (place: number, ...names: string[]) =>
    choice(cv(place), Object.fromEntries(names.map((means, i) => [`o${i}`, { value: i + 1, means }])), {
      means: "lamp, lamp effect",
    }) as AnyCodec;

  test("a wider term is nearer than one beside it", () => {
    expect(carried(effect(120, "dimmed while standing"), 1, effect(150, "dimmed", "steady"))).toMatchObject({
      stored: 2,
      result: "approximated",
    });
    expect(
      carried(effect(120, "oil lamp"), 1, effect(150, "firebox glow", "strobe", "steady")),
    ).toMatchObject({ stored: 1, result: "approximated" });
    expect(carried(effect(120, "rotating"), 1, effect(150, "strobe", "steady"))).toMatchObject({
      result: "undecided",
    });
  });

  test("a switch only says whether the thing is there", () => {
    const pumps = choice(
      cv(120),
      { no: { value: 0, means: "none" }, two: { value: 1, means: "two compound air pumps" } },
      { means: "air pump" },
    ) as AnyCodec;
    const pump = flag(cv(150).bit(0), { means: "air pump" }) as AnyCodec;
    expect(carried(pumps, 0, pump, 1)).toMatchObject({ stored: 0, result: "carried" });
    expect(carried(pumps, 1, pump)).toMatchObject({ stored: 1, result: "approximated" });
    const back = (place: number) => flag(cv(place).bit(0), { means: "air pump" }) as AnyCodec;
    const kinds = choice(
      cv(150),
      {
        no: { value: 3, means: "none" },
        a: { value: 1, means: "single-stage air pump" },
        b: { value: 2, means: "compound air pump" },
      },
      { means: "air pump" },
    ) as AnyCodec;
    expect(carried(back(120), 0, kinds)).toMatchObject({ stored: 3, result: "carried" });
    expect(carried(back(120), 1, kinds)).toMatchObject({
      result: "undecided",
      reason: 'it is on; which of "a", "b" is not known',
    });
  });

  test("counts are numbers, whether they are options or a level", () => {
    const options = choice(
      cv(120),
      { two: { value: 5, means: "2" }, three: { value: 6, means: "3" } },
      { means: "cylinders" },
    ) as AnyCodec;
    const number = level(cv(150), { max: 8, means: "cylinders" }) as AnyCodec;
    expect(carried(options, 6, number)).toMatchObject({ stored: 3, result: "carried" });
    const backwards = choice(
      cv(150),
      { two: { value: 5, means: "2" }, three: { value: 6, means: "3" } },
      { means: "cylinders" },
    ) as AnyCodec;
    expect(carried(level(cv(120), { max: 8, means: "cylinders" }) as AnyCodec, 4, backwards)).toMatchObject({
      stored: 6,
      result: "approximated",
      error: -1,
    });
  });

  test("without a meaning, options of one name are the same, and terms that are names count", () => {
    const plain = (place: number, ...names: string[]) =>
      choice(cv(place), Object.fromEntries(names.map((name, i) => [name, i + 1])), {
        means: "safety valve",
      }) as AnyCodec;
    expect(carried(plain(120, "left", "right"), 2, plain(150, "right", "left"))).toMatchObject({
      stored: 1,
      result: "carried",
    });
    expect(carried(plain(120, "left", "right"), 2, plain(150, "up", "down"))).toMatchObject({
      result: "undecided",
    });
    const fire = (place: number, ...names: string[]) =>
      choice(cv(place), Object.fromEntries(names.map((name, i) => [name, i + 1])), {
        means: "firing",
      }) as AnyCodec;
    expect(
      carried(
        fire(120, "coal", "oil"),
        2,
        choice(cv(150), { x: { value: 9, means: "oil" } }, { means: "firing" }) as AnyCodec,
      ),
    ).toMatchObject({ stored: 9, result: "carried" });
  });
});

describe("other values", () => {
  test("a text that does not fit is cut", () => {
    const one = decoderOf("one-x1", { a: text(cv(120).through(127), { means: "plate text" }) as AnyCodec });
    const other = decoderOf("other-x2", {
      b: text(cv(150).through(152), { means: "plate text" }) as AnyCodec,
    });
    const cvs = one.encode({ a: "No. 9" } as never, CvSet.empty);
    expect(rows(cvs, one, other)).toEqual([
      ["a", "b", "approximated", '3 characters fit; the text is cut to "No."'],
    ]);
    expect(other.decode(translate(cvs, one, other).cvs)).toEqual({ b: "No." });
  });

  test("a switch with an amount, a list, a table, pairs and a codec from outside", () => {
    const one = decoderOf("one-x1", {
      drains: switched(cv(120).bit(0), level(cv(121), { unit: "s" }) as AnyCodec, {
        means: "drain cocks, duration",
      }) as AnyCodec,
      list: flags(cv(122), ["a", "b", "c", null, null, null, null, null], {
        means: "marker lights",
      }) as AnyCodec,
      table: table(cv(123).through(125), { means: "exhaust" }) as AnyCodec,
      load: converted(
        level(cv(126), { max: 1 }),
        [
          [0, "off"],
          [1, "on"],
        ],
        { means: "blower" },
      ) as AnyCodec,
      code: defineCodec<string>({
        kind: "code",
        places: [cv(127)],
        about: { means: "coupler" },
        read: () => "x",
        write() {},
      }) as AnyCodec,
    });
    const other = decoderOf("other-x2", {
      drains: level(cv(150), { unit: "s", max: 99, means: "drain cocks, duration" }) as AnyCodec,
      list: flags(cv(151), [null, "c", "a", null, null, null, null, null], {
        means: "marker lights",
      }) as AnyCodec,
      table: table(cv(152).through(154), { means: "exhaust" }) as AnyCodec,
      load: flag(cv(155).bit(0), { means: "blower" }) as AnyCodec,
      code: level(cv(156), { means: "coupler" }) as AnyCodec,
    });
    const cvs = CvSet.from({ 120: 1, 121: 20, 122: 7, 123: 1, 124: 2, 125: 3, 126: 1, 127: 0 });
    const base = CvSet.from({ 150: 0, 151: 0, 152: 9, 153: 9, 154: 9, 155: 0, 156: 9 });
    expect(rows(cvs, one, other, { base })).toEqual([
      ["drains", "drains", "carried", ""],
      ["list", "list", "approximated", '"b" cannot be chosen there'],
      ["table", "table", "undecided", "[1,2,3] is stored in a form that only the other decoder has"],
      ["load", "load", "carried", ""],
      ["code", "code", "undecided", '"x" is stored in a form that only the other decoder has'],
    ]);
    expect(translate(cvs, one, other, { base }).cvs.toJSON()).toEqual({
      150: 20,
      151: 6,
      152: 9,
      153: 9,
      154: 9,
      155: 1,
      156: 9,
    });
  });

  test("a variant is carried where the other decoder has the same cases", () => {
    const blow = (place: number, value: number) =>
      variant(
        cv(place).bit(7),
        {
          timed: { value, fields: { seconds: level(cv(place + 1), { unit: "s", max: 60 }) } },
          counted: { value: 1 - value, fields: { times: level(cv(place + 1), { max: 9 }) } },
        },
        { means: "blowdown" },
      ) as AnyCodec;
    const [one, other] = [
      decoderOf("one-x1", { a: blow(120, 0) }),
      decoderOf("other-x2", { b: blow(150, 1) }),
    ];
    const cvs = CvSet.from({ 120: 0, 121: 30 });
    const base = CvSet.from({ 150: 0, 151: 2 });
    expect(rows(cvs, one, other, { base })).toEqual([["a", "b", "carried", ""]]);
    expect(other.decode(translate(cvs, one, other, { base }).cvs)).toEqual({
      b: { kind: "timed", seconds: 30 },
    });
  });
});

describe("the CVs of the standard", () => {
  const one = decoderOf("one-x1", { ...nmra.features });
  const other = decoderOf("other-x2", { ...nmra.features });
  const cvs = CvSet.from({
    ...factoryDefaults,
    ...{
      1: 3,
      2: 5,
      5: 0,
      6: 0,
      7: 31,
      8: 13,
      15: 1,
      16: 1,
      17: 196,
      18: 210,
      19: 160,
      25: 5,
      29: 34,
      31: 16,
      32: 2,
      105: 9,
      894: 80,
    },
  });
  const base = CvSet.from({ 7: 1, 8: 2, 25: 2, 31: 0, 32: 0, 894: 255 });
  const made = translate(cvs, one, other, { base });
  const rowOf = (path: string) => made.report.find((row) => row.path === path);

  test("are carried as they are", () => {
    const ofDecoder = ["7", "8", "25", "31", "32", "894"];
    for (const [name, value] of cvs)
      if (!ofDecoder.includes(name)) expect(made.cvs.get(name), `CV ${name}`).toBe(value);
    expect(rowOf("address")).toEqual({ path: "address", to: "address", result: "carried" });
  });

  test("except what belongs to the decoder, which is named", () => {
    for (const name of [7, 8, 25, 31, 32, 894]) expect(made.cvs.get(name), `CV ${name}`).toBe(base.get(name));
    const reasons = Object.fromEntries(
      ["version", "manufacturer", "indexPage.high", "fuel", "speedTableOrMidStep"].map((path) => {
        const row = rowOf(path);
        return [path, `${row?.result}: ${row?.reason && messageOf({ ...row.reason, source: "" })}`];
      }),
    );
    expect(reasons).toEqual({
      version: "default: the decoder gives it itself; it cannot be written",
      manufacturer: "default: the decoder gives it itself; it cannot be written",
      "indexPage.high": "default: it is the index page that is open, not a setting",
      fuel: "default: the decoder changes it by itself",
      speedTableOrMidStep: "default: it chooses one of the decoder's own speed tables, which differ",
    });
  });

  test("a consist and a closed lock are named", () => {
    expect(messageOf(rowOf("consist.address")?.reason as never)).toContain(
      "the locomotive stays in consist 32",
    );
    const locked = translate(cvs.with(15, 2), one, other, { base }).report.find(
      ({ path }) => path === "lock.key",
    );
    expect(messageOf(locked?.reason as never)).toContain(
      "CV 15 is 2 and CV 16 is 1: the decoder obeys no CV write until they are equal",
    );
  });

  test("reserved bits come along; makers' CVs do not", () => {
    const odd = cvs.with(29, 34 | 64).with(115, 7);
    const result = translate(odd, one, other, { base });
    expect(result.cvs.get(29)).toBe(98);
    expect(result.cvs.get(115)).toBeUndefined();
    expect(result.unowned).toContainEqual({ cv: "115", mask: 255, value: 7 });
  });
});

describe("outputs and functions are carried by what they work", () => {
  const lamp = (place: number, means: string) =>
    record(
      { effect: choice(cv(place), { steady: 1, strobe: 2 }, { means: "lamp effect" }) },
      { means },
    ) as AnyCodec;
  const map = locomotive.functionMap as AnyCodec;
  const one = decoderOf("one-x1", {
    map,
    a: lamp(120, "headlight, output 1"),
    b: lamp(121, "cab light, output 3"),
    c: lamp(122, "lamp, output 4"),
    d: lamp(123, "lamp, output 5"),
  });
  const other = decoderOf("other-x2", {
    map,
    w: lamp(150, "cab light, output 1"),
    x: lamp(151, "headlight, output 2"),
    y: lamp(152, "lamp, output 4"),
  });
  // FL(f) works outputs 1 and 3, F3 output 4, F4 output 5.
  const cvs = CvSet.from({
    ...factoryDefaults,
    33: 0b101,
    34: 0,
    35: 0,
    36: 0,
    37: 0b1000,
    38: 0b10,
    39: 0,
    40: 0,
    41: 0,
    42: 0,
    43: 0,
    44: 0,
    45: 0,
    46: 0,
    120: 1,
    121: 2,
    122: 2,
    123: 1,
  });
  const made = translate(cvs, one, other, {
    base: CvSet.from({ ...factoryDefaults, 150: 1, 151: 1, 152: 1 }),
  });

  test("a function works the same lamp on its other output", () => {
    // Headlight 1 -> 2, cab light 3 -> 1: bits 1 and 0.
    expect(made.cvs.get(33)).toBe(0b11);
    expect(made.cvs.get(37)).toBe(0b1000);
    const row = made.report.find(({ path }) => path === "map.FL(f)");
    expect([row?.result, row?.reason && messageOf(row.reason)]).toEqual([
      "carried",
      "what it works is on another output: 1 to 2, 3 to 1",
    ]);
  });

  test("what has no output there is lost and named", () => {
    expect(made.cvs.get(38)).toBe(0);
    const row = made.report.find(({ path }) => path === "map.F4");
    expect([row?.result, row?.reason && messageOf(row.reason)]).toEqual([
      "lost",
      'output 5 of "one-x1" cannot be worked from there',
    ]);
  });

  test("a lamp's settings follow the lamp, and its owner is told about the wire", () => {
    expect([made.cvs.get(150), made.cvs.get(151), made.cvs.get(152)]).toEqual([2, 1, 2]);
    const row = made.report.find(({ path }) => path === "b.effect");
    expect([row?.to, row?.reason && messageOf(row.reason)]).toEqual([
      "w.effect",
      "it was on output 3 and is on output 1: connect its wire there",
    ]);
  });
});

describe("what is not there", () => {
  test("in the source's set keeps the target's value", () => {
    const { cvs, report } = translate(CvSet.from({ 218: 81 }), quillback, dunlin);
    expect(dunlin.decode(cvs).whistleSound).toBe("deep");
    expect(report.find(({ path }) => path === "bell.tone")).toMatchObject({
      to: "bellSound",
      result: "default",
    });
    expect(dunlin.decode(cvs).bellSound).toBe(dunlin.decode(dunlin.defaults()).bellSound);
  });

  test("a number that stands for nothing is asked for, and is not carried", () => {
    const { cvs, report } = translate(quillback.defaults().with(218, 67), quillback, dunlin);
    expect(report.find(({ path }) => path === "whistle")).toMatchObject({
      result: "undecided",
      reason: { code: "stored-option" },
    });
    expect(cvs.get(127)).toBe(dunlin.defaults().get(127));
  });

  test("of a byte of which the target's other bits are not known, it is named", () => {
    const one = decoderOf("one-x1", { a: flag(cv(120).bit(0), { means: "flange squeal" }) as AnyCodec });
    const other = decoderOf("other-x2", { b: flag(cv(150).bit(0), { means: "flange squeal" }) as AnyCodec });
    expect(rows(CvSet.from({ 120: 1 }), one, other)).toEqual([
      [
        "a",
        "b",
        "undecided",
        "the other bits of CV 150 are not known; give the decoder's present CVs as the base",
      ],
    ]);
    expect(translate(CvSet.from({ 120: 1 }), one, other).cvs.size).toBe(0);
  });

  test("settings on index pages are carried like others", () => {
    const one = decoderOf("one-x1", {
      a: level(page(16, 0).cv(300), { unit: "s", means: "brake squeal, duration" }) as AnyCodec,
    });
    const other = decoderOf("other-x2", {
      b: level(page(20, 3).cv(257), { unit: "s", step: 0.5, means: "brake squeal, duration" }) as AnyCodec,
    });
    expect(translate(CvSet.from({ "300@16.0": 4 }), one, other).cvs.toJSON()).toEqual({ "257@20.3": 8 });
  });

  test("decoders of two kinds have nothing in common", () => {
    expect(() => translate(CvSet.empty, nmra, nmraAccessory)).toThrow(
      '"NMRA standard, multi-function decoder" is a decoder of kind "multifunction", and "NMRA standard, accessory decoder" is one of kind "accessory"',
    );
  });
});

describe("decisions", () => {
  const wood = quillback.encode({ fuel: "slabwood", keys: { whistle: 20 } });
  const fuelOf = (options: TranslateOptions) => {
    const { cvs, report } = translate(wood, quillback, dunlin, options);
    const row = report.find(({ to }) => to === "burns");
    return [dunlin.decode(cvs).burns, row?.result, row?.options, row?.reason && messageOf(row.reason)];
  };

  test("are asked for, with what can be chosen", () => {
    expect(fuelOf({})).toEqual([
      "coal",
      "undecided",
      ["oil", "coal"],
      'none of the options is "wood" or near to it',
    ]);
  });

  test("set the value, while the source has the value that they are for", () => {
    expect(fuelOf({ decisions: [{ to: "burns", when: "slabwood", use: "oil" }] })).toEqual([
      "oil",
      "approximated",
      undefined,
      'decided: "oil"',
    ]);
    expect(fuelOf({ decisions: [{ to: "burns", when: "gas", use: "oil" }] })[1]).toBe("undecided");
    expect(
      fuelOf({
        decisions: [
          { to: "burns", when: "gas", use: "oil" },
          { to: "burns", use: "coal" },
        ],
      })[0],
    ).toBe("coal");
  });

  test("or leave it as it is", () => {
    expect(fuelOf({ decisions: [{ to: "burns", when: "slabwood" }] })).toEqual([
      "coal",
      "lost",
      undefined,
      "decided: it keeps its value",
    ]);
  });

  test("can pair settings that mean something else", () => {
    const decisions = [{ to: "lamp5", from: "output7" }];
    const cvs = quillback.encode({ output7: { effect: "swings" } });
    const { report } = translate(cvs, quillback, dunlin, { decisions });
    expect(report.find(({ path }) => path === "output7.effect")).toMatchObject({
      to: "lamp5.effect",
      result: "carried",
    });
    expect(report.find(({ path }) => path === "output5.effect")).toMatchObject({ result: "lost" });
    expect(report.filter(({ to }) => to?.startsWith("lamp5")).length).toBe(3);
  });

  test("to leave things as they are may be for several settings, a value is for one", () => {
    const { report } = translate(quillback.defaults(), quillback, dunlin, {
      decisions: [{ to: "lampFront" }],
    });
    expect(report.filter(({ to }) => to?.startsWith("lampFront.")).map(({ result }) => result)).toEqual([
      "lost",
      "lost",
      "lost",
    ]);
    expect(() =>
      translate(wood, quillback, dunlin, { decisions: [{ to: "lampFront", use: "steady" }] }),
    ).toThrow(
      'decisions.0.to: a value is for one setting, and "lampFront" has several: "lampFront.effect", "lampFront.direction", "lampFront.led"',
    );
  });

  test("can set what only the target has", () => {
    const { cvs, report } = translate(dunlin.defaults(), dunlin, quillback, {
      decisions: [{ to: "stack", use: "spark-cage" }],
    });
    expect(quillback.decode(cvs).stack).toBe("spark-cage");
    expect(report.find(({ to }) => to === "stack")).toMatchObject({ result: "carried" });
  });

  test("that cannot be are refused, all at once, with the nearest names", () => {
    const decisions = [
      { to: "brns", use: "oil" },
      { to: "burns", use: "gas" },
      { to: "burns", from: "fule" },
      {} as never,
      null as never,
    ];
    expect(() => translate(wood, quillback, dunlin, { decisions })).toThrow(
      /decisions\.0\.to: .*nearest: "burns"/,
    );
    try {
      translate(wood, quillback, dunlin, { decisions });
    } catch (error) {
      expect((error as CvError).issues.map(({ code, path }) => `${code} ${path}`)).toEqual([
        "unknown-name decisions.0.to",
        "option decisions.1.use",
        "unknown-name decisions.2.from",
        "decision decisions.3",
        "decision decisions.4",
      ]);
    }
  });

  test("are asked for where two settings have one meaning", () => {
    const squeal = (place: number) => flag(cv(place).bit(0), { means: "flange squeal" }) as AnyCodec;
    const one = decoderOf("one-x1", { a: squeal(120) });
    const other = decoderOf("other-x2", { b: squeal(150), c: squeal(151) }, { 150: 0, 151: 0 });
    const cvs = CvSet.from({ 120: 1 });
    expect(rows(cvs, one, other)[0]).toEqual([
      "a",
      undefined,
      "undecided",
      'several settings have this meaning; it could go to "b", "c"',
    ]);
    const made = translate(cvs, one, other, { decisions: [{ from: "a", to: "c" }] });
    expect(made.cvs.toJSON()).toEqual({ 150: 0, 151: 1 });
  });
});

test("Quillback S8 to Dunlin M6: what a person would do by hand", () => {
  const settings = {
    whistle: "five-chime",
    bell: { tone: "dull", byAir: true },
    fuel: "oil",
    cylinders: "three",
    pump: { kind: "compound" },
    drains: { seconds: 12 },
    front: { effect: "half-light" },
    rear: { effect: "flickers" },
    loudness: { all: 75 },
    keys: { whistle: 3, bell: "none" },
  } as const;
  const { cvs } = translate(quillback.encode(settings), quillback, dunlin);
  const carriedTo = dunlin.decode(cvs);
  expect(carriedTo).toMatchObject({
    whistleSound: "deep",
    bellSound: "dull",
    burns: "oil",
    cylinders: "three",
    airPump: true,
    drainCocks: { time: 12 },
    lampFront: { effect: "half" },
    lampRear: { effect: "flame" },
    volume: 75,
    whistleKey: 3,
    bellKey: "none",
  });
});
