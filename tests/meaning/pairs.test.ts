import {
  type AnyCodec,
  type AnyDecoder,
  type CvError,
  CvSet,
  choice,
  converted,
  cv,
  type DecoderRule,
  defineDecoder,
  derived,
  flag,
  flags,
  level,
  messageOf,
  record,
  switched,
} from "cvset";
import { type Decision, type Term, type TranslateOptions, translate } from "cvset/meaning";
import { describe, expect, test } from "vitest";

// Which settings of two decoders belong together, and what is said of those that have no equal.

type Features = Readonly<Record<string, AnyCodec>>;

const decoderOf = (id: string, features: Features, rules?: readonly DecoderRule[]): AnyDecoder =>
  defineDecoder({ id, name: id, kind: "multifunction", features, factory: {}, ...(rules && { rules }) });

const byte = (place: number, about: object = {}): AnyCodec => level(cv(place), about) as AnyCodec;
const bit = (place: number, about: object = {}): AnyCodec => flag(cv(place).bit(0), about) as AnyCodec;

/** Every CV that a decoder has, with the value 1. */
const ones = (decoder: AnyDecoder): CvSet =>
  CvSet.from(decoder.bits.map(({ cv }): [string, number] => [cv, 1]));

/** Each row as `path > to: result, reason`. */
function rows(one: Features, other: Features, options: TranslateOptions = {}): string[] {
  const [from, to] = [decoderOf("one-x1", one), decoderOf("other-x2", other)];
  return translate(ones(from), from, to, { base: ones(to), ...options }).report.map(
    ({ path = "-", to: target = "-", result, reason }) =>
      `${path} > ${target}: ${result}${reason ? `, ${messageOf(reason)}` : ""}`,
  );
}

describe("settings of one form at one path", () => {
  test("belong together without a meaning, whatever people read of them", () => {
    expect(
      rows(
        {
          a: choice(
            cv(120),
            { x: { value: 1, label: "X", note: "n" } },
            { label: "A", source: "s" },
          ) as AnyCodec,
        },
        { a: choice(cv(120), { x: { value: 1, label: "Y" } }, { note: "B" }) as AnyCodec },
      ),
    ).toEqual(["a > a: carried"]);
  });

  test.each<[string, AnyCodec, AnyCodec]>([
    ["another CV", byte(120), byte(121)],
    ["another range", byte(120), byte(120, { max: 99 })],
    ["another meaning", byte(120, { means: "whistle" }), byte(120, { means: "bell" })],
    [
      "other options",
      choice(cv(120), { x: 1 }) as AnyCodec,
      choice(cv(120), { x: { value: 1, means: "none" } }) as AnyCodec,
    ],
    [
      "other fields, even where one is called as what people read",
      record({ label: byte(120), note: byte(121) }) as AnyCodec,
      record({ label: byte(120, { max: 9 }), note: byte(121, { max: 9 }) }) as AnyCodec,
    ],
    [
      "functions, which cannot be compared",
      converted(level(cv(120)), { decode: (n) => n, encode: (n) => n }) as AnyCodec,
      converted(level(cv(120)), { decode: (n) => n, encode: (n) => n }) as AnyCodec,
    ],
  ])("do not with %s", (_, one, other) => {
    expect(rows({ a: one }, { a: other }).some((row) => row.includes("carried"))).toBe(false);
  });

  test("belong together where they are one codec, also of functions", () => {
    const codec = converted(level(cv(120)), { decode: (n) => n, encode: (n) => n }) as AnyCodec;
    expect(rows({ a: codec }, { a: codec })).toEqual(["a > a: carried"]);
  });

  test("come before those of one meaning", () => {
    const [a, b] = [120, 121].map((place) => bit(place, { means: "flange squeal" })) as [AnyCodec, AnyCodec];
    expect(rows({ a, b }, { a, b })).toEqual(["a > a: carried", "b > b: carried"]);
  });
});

describe("settings of the standard", () => {
  test("belong together by their CVs, whatever their names", () => {
    expect(rows({ a: byte(11) }, { b: byte(11) })).toEqual(["a > b: carried"]);
  });

  test("makers' CVs do not", () => {
    const reason = (id: string) => `the description of "${id}" gives it no meaning in the vocabulary`;
    expect(rows({ a: byte(120) }, { b: byte(120) })).toEqual([
      `a > -: lost, ${reason("one-x1")}`,
      `- > b: default, ${reason("other-x2")}`,
    ]);
    // One of its two CVs is not of the standard.
    const pair = level(cv(11).with(cv(120))) as AnyCodec;
    expect(rows({ a: pair }, { b: pair }).length).toBe(2);
  });
});

describe("settings of one meaning", () => {
  test("belong together, in whatever order their terms are, and however they are written", () => {
    expect(
      rows(
        { a: byte(120, { unit: "s", means: "bell, brake, Duration" }) },
        { b: byte(150, { unit: "s", means: "Brake,  bell , duration" }) },
      ),
    ).toEqual(["a > b: carried"]);
  });

  test("are not paired with what means more or less", () => {
    const missing = (id: string, meaning: string) => `"${id}" has no setting for ${meaning}`;
    expect(
      rows(
        { a: byte(120, { unit: "s", means: "drain cocks, duration" }) },
        { b: byte(150, { unit: "s", means: "duration" }) },
      ),
    ).toEqual([
      `a > -: lost, ${missing("other-x2", "drain cocks, duration")}`,
      `- > b: default, ${missing("one-x1", "duration")}`,
    ]);
  });

  test("at one output come first", () => {
    const lamps = (first: number, ...outputs: number[]): Features =>
      Object.fromEntries(
        outputs.map((output, i) => [`l${output}`, bit(first + i, { means: `lamp, output ${output}` })]),
      );
    const wire = (from: number, to: number) =>
      `it was on output ${from} and is on output ${to}: connect its wire there`;
    expect(rows(lamps(120, 1, 2), lamps(150, 2, 5))).toEqual([
      `l1 > l5: carried, ${wire(1, 5)}`,
      "l2 > l2: carried",
    ]);
    // Of two that are left on one side it is not known which.
    expect(rows(lamps(120, 1), lamps(150, 2, 5))[0]).toBe(
      'l1 > -: undecided, several settings have this meaning; it could go to "l2", "l5"',
    );
    expect(rows(lamps(120, 2, 5), lamps(150, 1)).slice(0, 2)).toEqual([
      'l2 > -: undecided, several settings have this meaning; it could go to "l1"',
      'l5 > -: undecided, several settings have this meaning; it could go to "l1"',
    ]);
  });

  test("are named with their output where there is no equal", () => {
    expect(
      rows({ a: bit(120, { means: "beacon, output 3" }) }, { b: bit(150, { means: "output 3" }) }),
    ).toEqual([
      'a > -: lost, "other-x2" has no setting for beacon, output 3',
      '- > b: default, the description of "other-x2" gives it no meaning in the vocabulary',
    ]);
  });
});

describe("a wider or narrower meaning", () => {
  const said = (one: string, other: string, options: TranslateOptions = {}) =>
    rows({ a: bit(120, { means: one }) }, { b: bit(150, { means: other }) }, options)[0]?.startsWith("a > b");

  test.each([
    ["headlight, output 1", "lamp, output 1", true],
    ["lamp, output 1", "headlight, output 1", true],
    ["headlight, output 1", "lamp, output 2", false],
    ["headlight, output 1", "cab light, output 1", false],
    ["headlight, LED correction, output 1", "lamp, output 1", false],
    ["headlight, LED correction, output 1", "LED correction, lamp, output 1", true],
    ["headlight, cab light, output 1", "lamp, bell, output 1", false],
    ["output 1", "lamp, output 1", false],
    ["compressor", "air pump", true],
  ])("%s and %s: %s", (one, other, together) => expect(said(one, other)).toBe(together));

  test("is found at most twenty steps away, so that terms in a circle do no harm", () => {
    const term = (name: string, kindOf: string): Term => ({
      name,
      group: "own",
      type: "switch",
      definition: "One.",
      kindOf,
    });
    const chain = Array.from({ length: 22 }, (_, i) => term(`step ${i}`, `step ${i + 1}`));
    expect(said("step 0", "step 19", { terms: chain })).toBe(true);
    expect(said("step 0", "step 20", { terms: chain })).toBe(false);
    const circle = [term("hen", "egg"), term("egg", "hen")];
    expect(said("hen", "egg", { terms: circle })).toBe(true);
    expect(said("hen", "whistle", { terms: circle })).toBe(false);
  });
});

describe("decisions", () => {
  const one = {
    lamp: record({ on: bit(120), dim: bit(121) }) as AnyCodec,
    lamps: bit(122),
    fire: choice(cv(123), { coal: 1, oil: 2 }) as AnyCodec,
  };
  const other = {
    light: record({ on: bit(150), dim: bit(151) }) as AnyCodec,
    lights: bit(152),
    burns: choice(cv(153), { coal: 1, oil: 2 }) as AnyCodec,
  };
  const made = (...decisions: Decision[]) =>
    rows(one, other, { decisions }).filter((row) => !row.includes("no meaning in the vocabulary"));

  test("pair settings, and all below the beginning of a path", () => {
    expect(made({ from: "lamp", to: "light" })).toEqual([
      "lamp.on > light.on: carried",
      "lamp.dim > light.dim: carried",
    ]);
    expect(made({ from: "lamp.on", to: "lights" })).toEqual(["lamp.on > lights: carried"]);
    expect(made({ from: "lamps", to: "light.dim" })).toEqual(["lamps > light.dim: carried"]);
  });

  test("pair what means the same within, where the names differ", () => {
    const about = { means: "LED correction" };
    const pair = rows(
      { lamp: record({ led: bit(120, about), x: bit(121) }, { means: "beacon" }) as AnyCodec },
      { light: record({ forLed: bit(150, about), y: bit(151) }, { means: "cab light" }) as AnyCodec },
      { decisions: [{ from: "lamp", to: "light" }] },
    );
    expect(pair[0]).toBe("lamp.led > light.forLed: carried");
    expect(pair.slice(1).every((row) => /lost|default/.test(row))).toBe(true);
  });

  test("hold for the value that they name, and the first of several counts", () => {
    const of = (...decisions: Decision[]) => made({ from: "fire", to: "burns" }, ...decisions);
    expect(of({ to: "burns", when: "coal", use: "oil" })).toEqual([
      'fire > burns: approximated, decided: "oil"',
    ]);
    expect(of({ to: "burns", when: "oil", use: "oil" })).toEqual(["fire > burns: carried"]);
    expect(of({ to: "burns", when: "coal" })).toEqual(["fire > burns: lost, decided: it keeps its value"]);
    expect(of({ to: "burns", use: "oil" }, { to: "burns", use: "coal" })).toEqual([
      'fire > burns: approximated, decided: "oil"',
    ]);
    expect(of({ to: "burns", from: "fire", use: "oil" })).toEqual([
      'fire > burns: approximated, decided: "oil"',
    ]);
    expect(of({ to: "burns", from: "lamps", use: "oil" })).toEqual(["fire > burns: carried"]);
    // For what the source does not have, there is no value that one could be for.
    expect(made({ to: "burns", when: "coal", use: "oil" })).toEqual([]);
    expect(made({ to: "burns", use: "oil" })).toEqual(['- > burns: carried, decided: "oil"']);
  });

  test("leave all below the beginning of a path as it is", () => {
    expect(made({ to: "light" })).toEqual([
      "- > light.on: default, decided: it keeps its value",
      "- > light.dim: default, decided: it keeps its value",
    ]);
  });

  test("that cannot be are refused together, with the whole sentences", () => {
    const bad = [
      { to: "brns" },
      { to: "burns", from: "fre" },
      { to: "burns", use: "gas" },
      { to: "light", use: true },
      { to: 5 },
      null,
      "burns",
    ] as unknown as Decision[];
    let issues: readonly string[] = [];
    try {
      rows(one, other, { decisions: bad });
    } catch (error) {
      issues = (error as CvError).issues.map((issue) => messageOf(issue));
    }
    const none = 'a decision needs the setting of the target in "to", got';
    expect(issues).toEqual([
      'decisions.0.to: there is no such name; the names are light.on, light.dim, lights, burns; nearest: "burns"',
      'decisions.1.from: there is no such name; the names are lamp.on, lamp.dim, lamps, fire; nearest: "fire"',
      'decisions.2.use: "gas" is not an option; the options are "coal", "oil"',
      'decisions.3.to: a value is for one setting, and "light" has several: "light.on", "light.dim"',
      `decisions.4: ${none} {"to":5}`,
      `decisions.5: ${none} null`,
      `decisions.6: ${none} "burns"`,
    ]);
  });
});

describe("outputs", () => {
  const map = (place: number): AnyCodec =>
    flags(cv(place), [1, 2, 3, 4, 5, 6, 7, 8], { means: "function outputs" }) as AnyCodec;
  const lamp = (place: number, means: string): AnyCodec => bit(place, { means });
  /** What becomes of the outputs of F1, stored as bits. */
  function moved(one: Features, other: Features, outputs: number, rules?: readonly DecoderRule[]) {
    const [from, to] = [
      decoderOf("one-x1", { f1: map(120), ...one }),
      decoderOf("other-x2", { f1: map(150), ...other }, rules),
    ];
    const base = ones(to);
    const { report, cvs } = translate(ones(from).with(120, outputs), from, to, { base });
    const { result, reason } = report.find(({ path }) => path === "f1") ?? {};
    return [cvs.get(150), result, reason && messageOf(reason)];
  }

  test("keep their numbers where nothing is known of them", () => {
    expect(moved({}, {}, 0b10010)).toEqual([0b10010, "carried", undefined]);
  });

  test("keep their numbers only where the other decoder has them", () => {
    const gone = 'output 5 of "one-x1" cannot be worked from there';
    const has = [{ rule: "outputs", outputs: [1, 2] }] as const;
    expect(moved({}, {}, 0b10010, has)).toEqual([0b10, "approximated", gone]);
    expect(moved({}, {}, 0b10000, has)).toEqual([0, "lost", gone]);
    expect(moved({}, { x: lamp(151, "cab light, output 2") }, 0b10010)).toEqual([0b10, "approximated", gone]);
  });

  test("follow what they work, and are lost where another thing is on theirs", () => {
    const [headlight, cab] = ["headlight", "cab light"];
    expect(
      moved(
        { a: lamp(121, `${headlight}, output 1`), b: lamp(122, `${cab}, output 2`) },
        { c: lamp(151, `${headlight}, output 2`), d: lamp(152, `${cab}, output 1`) },
        0b11,
      ),
    ).toEqual([0b11, "carried", "what it works is on another output: 1 to 2, 2 to 1"]);
    expect(
      moved({ a: lamp(121, `${headlight}, output 1`) }, { c: lamp(151, `${headlight}, output 2`) }, 0b11),
    ).toEqual([0b10, "approximated", 'output 2 of "one-x1" cannot be worked from there']);
    expect(
      moved({ a: lamp(121, "bell, output 1") }, { c: lamp(151, `${headlight}, output 1`) }, 0b1),
    ).toEqual([0, "lost", 'output 1 of "one-x1" cannot be worked from there']);
  });

  test("follow also within a record that has a meaning of its own", () => {
    const within = (place: number, lampMeans: string): Features => ({
      functions: record({ f1: map(place) }, { means: "brake" }) as AnyCodec,
      lamp: lamp(place + 1, lampMeans),
    });
    const [from, to] = [
      decoderOf("one-x1", within(120, "headlight, output 1")),
      decoderOf("other-x2", within(150, "headlight, output 2")),
    ];
    const { cvs } = translate(CvSet.from({ 120: 1, 121: 0 }), from, to, { base: { 150: 0, 151: 0 } });
    expect(cvs.get(150)).toBe(0b10);
  });

  test("are lists of names, where there are names, and carried as such", () => {
    const named = (place: number, ...names: [string, string]) =>
      flags(cv(place).bits(0, 1), names, { means: "function outputs" }) as AnyCodec;
    expect(rows({ a: named(120, "x", "y") }, { b: named(150, "y", "x") })).toEqual(["a > b: carried"]);
  });
});

describe("what is worked out at the target", () => {
  const one = { a: byte(120, { unit: "s", means: "delay" }) };
  const sum = (start: number) => derived(cv(151), { from: [cv(150)], by: "sum", start }) as AnyCodec;

  test("is worked out anew from what was carried, and is no row", () => {
    const [from, to] = [
      decoderOf("one-x1", one),
      decoderOf("other-x2", { b: byte(150, { unit: "s", means: "delay" }), sum: sum(7) }),
    ];
    const { cvs, report } = translate(CvSet.from({ 120: 4 }), from, to, { base: {} });
    expect(cvs.toJSON()).toEqual({ 150: 4, 151: 11 });
    expect(report).toEqual([{ path: "a", to: "b", result: "carried" }]);
  });

  test("is named where what it needs is not known", () => {
    const two = derived(cv(152), { from: [cv(150), cv(151)], by: "xor" }) as AnyCodec;
    const other = { b: byte(150, { unit: "s", means: "delay" }), two };
    const [from, to] = [decoderOf("one-x1", one), decoderOf("other-x2", other)];
    const { cvs, report } = translate(CvSet.from({ 120: 4 }), from, to, { base: {} });
    expect(cvs.toJSON()).toEqual({ 150: 4 });
    expect(
      report.map(({ path, to: at, result, reason }) => [path, at, result, reason && messageOf(reason)]),
    ).toEqual([
      ["a", "b", "carried", undefined],
      [
        undefined,
        "two",
        "undecided",
        "CV 151: not known, and a value that is to be written is worked out from it: give the present CVs as the base",
      ],
    ]);
  });
});

describe("bytes of which some bits are not known", () => {
  const one = {
    a: bit(29, { means: "momentum off" }),
    c: switched(cv(121).bit(0), level(cv(122), { unit: "s" }), { means: "delay" }) as AnyCodec,
  };
  const other = {
    b: flag(cv(29).bit(2), { means: "momentum off" }) as AnyCodec,
    c: bit(150, { means: "mute" }),
  };

  test("get the source's other bits where the standard defines the CV, and are undecided elsewhere", () => {
    const [from, to] = [decoderOf("one-x1", one), decoderOf("other-x2", other)];
    const { cvs, report } = translate(CvSet.from({ 29: 0b10000011, 121: 0, 122: 0 }), from, to, { base: {} });
    expect(cvs.toJSON()).toEqual({ 29: 0b10000111 });
    expect(report[0]).toEqual({ path: "a", to: "b", result: "carried" });
    const decided = translate(CvSet.empty, from, to, {
      base: {},
      decisions: [
        { to: "c", use: true },
        { to: "b", use: true },
      ],
    });
    expect(decided.cvs.size).toBe(0);
    const unknown = (cv: number) =>
      `the other bits of CV ${cv} are not known; give the decoder's present CVs as the base`;
    expect(
      decided.report.map(({ path, to: at, result, reason }) => [
        path,
        at,
        result,
        reason && messageOf(reason),
      ]),
    ).toEqual([
      ["a", "b", "undecided", unknown(29)],
      ["c", undefined, "lost", '"other-x2" has no setting for delay'],
      [undefined, "c", "undecided", unknown(150)],
    ]);
  });
});

test("decoders of two kinds are refused, with both kinds", () => {
  const accessory = defineDecoder({
    id: "point-x3",
    name: "Point X3",
    kind: "accessory",
    features: { a: byte(120) },
    factory: {},
  });
  expect(() => translate({}, decoderOf("one-x1", { a: byte(120) }), accessory)).toThrow(
    '"one-x1" is a decoder of kind "multifunction", and "Point X3" is one of kind "accessory"',
  );
});
