import {
  type AnyCodec,
  type AnyDecoder,
  CvPatch,
  CvSet,
  choice,
  converted,
  cv,
  type DerivedOptions,
  decoderFromJson,
  defineCodec,
  defineDecoder,
  derived,
  describe as describeDecoder,
  diff,
  explain,
  flag,
  jsonOf,
  level,
  linesOf,
  messageOf,
  page,
  type Result,
  record,
  type SettingsOf,
  settingsSchema,
  switched,
  tryDecoderFromJson,
  variant,
} from "cvset";
import { plan } from "cvset/plan";
import { checkCodecLaws, checkLaws, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, expectTypeOf, test } from "vitest";

const tone = level(cv(120));
const volume = level(cv(121).bits(0, 5));
const muted = flag(cv(121).bit(7));
const sum = derived(cv(122), { from: [cv(120).through(121)], by: "sum", label: "Checksum" });

const decoder = defineDecoder({
  id: "sums",
  name: "Sums",
  kind: "multifunction",
  features: { sum, tone, volume, muted, other: level(cv(125)) },
  factory: { 120: 1, 121: 2, 122: 3, 125: 0 },
});

const said = (result: Result<unknown>): string[] =>
  result.ok ? [] : result.issues.map((issue) => messageOf(issue));

describe("a value that is worked out", () => {
  test("is written last, from the settings and the base together, and is no setting", () => {
    expect(decoder.encode({ tone: 200, volume: 63, muted: true }).toJSON()).toEqual({
      120: 200,
      121: 191,
      122: (200 + 191) % 256,
      125: 0,
    });
    const base = CvSet.from({ 120: 10, 121: 0b0100_0001, 122: 99, 125: 7 });
    // Bit 6 of CV 121 belongs to no setting, and counts.
    expect(decoder.encode({ muted: true }, base).toJSON()).toEqual({ 120: 10, 121: 193, 122: 203, 125: 7 });
    expect(decoder.decode(decoder.encode({ tone: 9 }, base))).toEqual({
      tone: 9,
      volume: 1,
      muted: false,
      other: 7,
    });
    expect(Object.keys(decoder.decode(decoder.defaults()))).toEqual(["tone", "volume", "muted", "other"]);
  });

  test("its type has no key for it", () => {
    type Settings = SettingsOf<typeof decoder>;
    expectTypeOf<keyof Settings>().toEqualTypeOf<"tone" | "volume" | "muted" | "other">();
    // @ts-expect-error It is no setting.
    expect(() => decoder.encode({ sum: 3 })).toThrow("sum: this is worked out from CV 120-121");
  });

  test("stays as it is where nothing that it is worked out from is written", () => {
    const wrong = CvSet.from({ 120: 10, 121: 1, 122: 99, 125: 7 });
    expect(decoder.encode({}, wrong).equals(wrong)).toBe(true);
    expect(decoder.encode({ other: 8 }, wrong).get(122)).toBe(99);
    expect(decoder.encode({ tone: 10 }, wrong).get(122)).toBe(11);
  });

  test("is checked on reading: the issue names the CV, what is expected and what is found", () => {
    const result = decoder.tryDecode(CvSet.from({ 120: 10, 121: 1, 122: 99, 125: 7 }));
    expect(said(result)).toEqual(["sum: CV 122: expected 11, as worked out from CV 120-121; found 99"]);
    expect(result.ok || result.issues).toMatchObject([
      {
        code: "derived-differs",
        path: "sum",
        places: [{ cv: "122", mask: 255 }],
        params: { expected: 11, found: 99 },
      },
    ]);
    expect(result.value).toEqual({ tone: 10, volume: 1, muted: false, other: 7 });
    expect(() => decoder.decode(CvSet.from({ 120: 10, 121: 1, 122: 99, 125: 7 }))).toThrow("expected 11");
    expect(said(sum.tryDecode(CvSet.from({ 120: 1, 121: 1 })))).toEqual(["CV 122: not in the CV set"]);
    expect(said(sum.tryDecode(CvSet.from({ 122: 1, 121: 1 })))).toEqual([
      "CV 120: not in the CV set, so that the value in CV 122, which is worked out from it, cannot be checked",
    ]);
  });

  test("given as a setting, it is refused in words; undefined is as good as left out", () => {
    for (const settings of [{ sum: 3 }, { sum: 3, tone: 2 }, { sum: null }]) {
      expect(said(decoder.tryEncode(settings))).toEqual([
        "sum: this is worked out from CV 120-121 and is no setting: leave it out",
      ]);
    }
    expect(decoder.tryEncode({ sum: undefined, tone: 2 }).ok).toBe(true);
    expect(said(decoder.tryEncode({ sun: 3 }))).toEqual([
      "sun: there is no such name; the names are tone, volume, muted, other",
    ]);
  });

  test("a patch has it where the settings give all of it, or the base has the rest", () => {
    const base = CvSet.from({ 120: 10, 121: 64, 122: 99 });
    expect(decoder.patch({ tone: 5 }, { base }).toJSON().cvs).toEqual({ 120: 5, 122: 69 });
    expect(decoder.patch({ other: 5 }).toJSON().cvs).toEqual({ 125: 5 });
    const unknown =
      "sum: CV 121: not known, and a value that is to be written is worked out from it: give the present CVs as the base";
    expect(() => decoder.patch({ tone: 5 })).toThrow(unknown);
    // Bit 6 of CV 121 is in no setting.
    expect(() => decoder.patch({ tone: 5, volume: 1, muted: true })).toThrow("sum: CV 121 bit 6: not known");
    expect(said(decoder.tryEncode({ tone: 5 }, CvSet.from({ 122: 0 })))).toEqual([unknown]);
    const whole = record({
      a: level(cv(1)),
      b: level(cv(2)),
      x: derived(cv(3), { from: [cv(1), cv(2)], by: "xor" }),
    });
    expect(whole.encode({ a: 0b1100, b: 0b1010 }).toJSON().cvs).toEqual({ 1: 12, 2: 10, 3: 0b0110 });
    expect(said(whole.tryEncode({ a: 1 }))[0]).toContain("x: CV 2: not known");
    expect(CvPatch.from({ cvs: { 1: 1 } }).size).toBe(1);
  });

  test.each<[string, DerivedOptions, ReturnType<typeof cv>, number]>([
    ["a sum", { from: [cv(1).through(3)], by: "sum" }, cv(9), (200 + 100 + 7) % 256],
    [
      "a sum that begins with a number",
      { from: [cv(1).through(3)], by: "sum", start: 85 },
      cv(9),
      (307 + 85) % 256,
    ],
    ["an exclusive or", { from: [cv(1), cv(2), cv(3)], by: "xor", start: 255 }, cv(9), 255 ^ 200 ^ 100 ^ 7],
    ["bits of CVs", { from: [cv(1).bits(3, 7), cv(2).bit(2)], by: "sum" }, cv(9), 25 + 1],
    ["a pair", { from: [cv(1).with(cv(2))], by: "sum", start: 1 }, cv(9), (200 * 256 + 100 + 1) % 256],
    ["a page", { from: [page(16, 0).cv(300), cv(3)], by: "xor" }, cv(9), 33 ^ 7],
    ["a function", { from: [cv(1), cv(2)], by: ([a = 0, b = 0]) => (a - b) & 255 }, cv(9), 100],
  ])("is worked out as %s", (_, options, place, expected) => {
    const cvs = CvSet.from({ 1: 200, 2: 100, 3: 7, "300@16.0": 33, 9: expected });
    const codec = derived(place, options);
    expect(said(codec.tryDecode(cvs))).toEqual([]);
    expect(codec.tryDecode(cvs.with(9, expected ^ 1)).ok).toBe(false);
    expect(codec.encode(undefined, { base: cvs }).toJSON().cvs).toEqual({ 9: expected });
    checkCodecLaws(codec, { runs: 30 });
  });

  test("a wide place, and some bits of one", () => {
    const wide = derived(cv(10).with(cv(11)), { from: [cv(1).with(cv(2)), cv(3)], by: "sum" });
    expect(wide.encode(undefined, { base: CvSet.from({ 1: 255, 2: 255, 3: 3 }) }).toJSON().cvs).toEqual({
      10: 0,
      11: 2,
    });
    const nibble = derived(cv(1).bits(4, 7), { from: [cv(1).bits(0, 3), cv(2)], by: "xor" });
    expect(nibble.encode(undefined, { base: CvSet.from({ 1: 3, 2: 0x75 }) }).toJSON().bits).toEqual([
      { cv: "1", mask: 240, value: ((3 ^ 0x75) % 16) << 4 },
    ]);
    const top = derived(cv(1).with(cv(2)).with(cv(3)).with(cv(4)), {
      from: [cv(5).with(cv(6)).with(cv(7)).with(cv(8))],
      by: "xor",
    });
    expect(top.encode(undefined, { base: CvSet.from({ 5: 255, 6: 1, 7: 2, 8: 3 }) }).toJSON().cvs).toEqual({
      1: 255,
      2: 1,
      3: 2,
      4: 3,
    });
  });

  test("values that are worked out from each other are written in order, in records too; a circle is refused", () => {
    const chain = defineDecoder({
      id: "chain",
      name: "Chain",
      kind: "multifunction",
      features: {
        last: derived(cv(9), { from: [cv(8), cv(7)], by: "sum" }),
        block: record({
          a: level(cv(1)),
          first: derived(cv(7), { from: [cv(1)], by: "sum", start: 1 }),
        }),
        middle: derived(cv(8), { from: [cv(7)], by: "sum", start: 1 }),
      },
    });
    const cvs = chain.encode({ block: { a: 5 } });
    expect(cvs.toJSON()).toEqual({ 1: 5, 7: 6, 8: 7, 9: 13 });
    expect(chain.decode(cvs)).toEqual({ block: { a: 5 } });
    expect(said(chain.tryDecode(cvs.with(7, 9))).map((line) => line.split(":")[0])).toEqual([
      "block.first",
      "last",
      "middle",
    ]);
    checkLaws(chain, { runs: 30 });
    const one = derived(cv(1), { from: [cv(2)], by: "sum" });
    const two = derived(cv(2), { from: [cv(1)], by: "sum" });
    expect(() => record({ one, two, free: derived(cv(5), { from: [cv(6)], by: "sum" }) })).toThrow(
      '"one", "two" are worked out from each other',
    );
    expect(() =>
      defineDecoder({ id: "x", name: "X", kind: "multifunction", features: { one, b: record({ two }) } }),
    ).toThrow('"one", "b.two" are worked out from each other');
  });

  test.each<[string, () => unknown, string]>([
    ["from nothing", () => derived(cv(1), { from: [], by: "sum" }), "from one place or more"],
    [
      "from its own bits",
      () => derived(cv(1), { from: [cv(1).bit(3)], by: "sum" }),
      "cannot be worked out from the bits",
    ],
    [
      "with a start that does not fit",
      () => derived(cv(1), { from: [cv(2)], by: "sum", start: 256 }),
      "0 to 255 to start with, got 256",
    ],
    [
      "in no known way",
      () => derived(cv(1), { from: [cv(2)], by: "product" as never }),
      '"product" is not an option; the options are "sum", "xor"',
    ],
    [
      "within a switch",
      () => switched(cv(5).bit(0), record({ tone, sum })),
      'within a codec of kind "switched"',
    ],
    [
      "within a variant",
      () => variant(cv(5), { a: { value: 0, fields: { tone, sum } } }),
      'within a codec of kind "variant"',
    ],
    [
      "within a conversion",
      () => converted(record({ tone, sum }) as AnyCodec, { decode: (n) => n, encode: (n) => n }),
      'within a codec of kind "converted"',
    ],
    [
      "within a codec from outside",
      () => defineCodec({ kind: "own", item: record({ tone, sum }) }),
      'within a codec of kind "own"',
    ],
    ["beside the owner of its bits", () => record({ sum, other: level(cv(122)) }), "both own the same bits"],
  ])("%s it is refused when it is made", (_, make, words) => {
    expect(make).toThrow(words);
  });

  test("a function that gives no number that fits is an issue, also one that throws", () => {
    const by = (result: unknown) => derived(cv(3), { from: [cv(1)], by: () => result as number });
    for (const result of [256, -1, 1.5, Number.NaN, "7", null, undefined]) {
      expect(said(by(result).tryDecode(CvSet.from({ 1: 1, 3: 3 })))[0]).toContain(
        "what is worked out must be a whole number from 0 to 255, got",
      );
      expect(by(result).tryEncode(undefined, { base: CvSet.from({ 1: 1 }) }).ok).toBe(false);
    }
    const fails = derived(cv(3), {
      from: [cv(1)],
      by: () => {
        throw new Error("no table");
      },
    });
    expect(said(fails.tryDecode(CvSet.from({ 1: 1, 3: 3 })))).toEqual(["derived: no table"]);
    expect(said(record({ fails, a: level(cv(1)) }).tryEncode({ a: 1 }))[0]).toContain("no table");
  });
});

describe("a value that is worked out, in words and in JSON", () => {
  test("explain shows it, and has no line for a wrong one", () => {
    const right = CvSet.from({ 120: 10, 121: 1, 122: 11 });
    expect(explain(decoder, right).lines[0]).toEqual({
      path: "sum",
      text: "11, worked out from CV 120-121",
      places: [{ cv: "122", mask: 255 }],
    });
    expect(explain(decoder, right).settings).toEqual({ tone: 10, volume: 1, muted: false });
    const wrong = explain(decoder, right.with(122, 12));
    expect(wrong.lines.map(({ path }) => path)).toEqual(["tone", "volume", "muted"]);
    expect(wrong.issues.map(({ code }) => code)).toEqual(["derived-differs"]);
    expect(linesOf(sum as AnyCodec, CvSet.empty)).toEqual([]);
    expect(
      diff(decoder, right, decoder.encode({ tone: 20 }, right)).map(({ cv: name, paths }) => [name, paths]),
    ).toEqual([
      ["120", ["tone"]],
      ["122", ["sum"]],
    ]);
  });

  test("its JSON form, the schema of settings, and the same decoder again", () => {
    const start = derived(cv(9), {
      from: [cv(1).through(3), cv(5).bits(0, 3)],
      by: "xor",
      start: 90,
      source: "page 4",
    });
    expect(jsonOf(start as AnyCodec)).toEqual({
      codec: "derived",
      place: 9,
      from: [
        { cv: 1, through: 3 },
        { cv: 5, bits: [0, 3] },
      ],
      by: "xor",
      start: 90,
      source: "page 4",
    });
    const again = decoderFromJson(JSON.parse(JSON.stringify(describeDecoder(decoder))));
    expect(describeDecoder(again)).toEqual(describeDecoder(decoder));
    expect(again.encode({ tone: 200 }).equals(decoder.encode({ tone: 200 }))).toBe(true);
    const schema = settingsSchema(decoder) as unknown as { properties: { settings: { properties: object } } };
    expect(Object.keys(schema.properties.settings.properties)).toEqual(["tone", "volume", "muted", "other"]);
    expect(() => jsonOf(derived(cv(9), { from: [cv(1)], by: () => 1 }) as AnyCodec)).toThrow("holds code");
    const named = derived(cv(9), { from: [cv(1)], by: () => 1, kind: "one", json: () => ({ place: 9 }) });
    expect(jsonOf(named as AnyCodec)).toEqual({ codec: "one", place: 9 });
  });

  test.each<[string, object, string]>([
    ["another way", { by: "product" }, 'features.sum.by: "product" is not an option'],
    ["no way", { by: undefined }, "features.sum.by: a value is needed"],
    ["no list", { from: 3 }, "features.sum.from: expected a list, got 3"],
    [
      "its own bits",
      { from: [{ cv: 120, through: 122 }] },
      "features.sum: CV 122: a value cannot be worked out from",
    ],
    ["a start that is no number", { start: "1" }, "features.sum.start: expected a number"],
    ["a key of another kind", { unit: "s" }, "features.sum.unit: there is no such name"],
  ])("a description with %s is refused with its path", (_, change, words) => {
    const json = { codec: "derived", place: 122, from: [{ cv: 120, through: 121 }], by: "sum", ...change };
    const result = tryDecoderFromJson({
      id: "x",
      name: "X",
      kind: "multifunction",
      features: { sum: JSON.parse(JSON.stringify(json)) },
    });
    expect(said(result).join("\n")).toContain(words);
  });
});

test("a plan writes it after what it is worked out from, and says why; of a patch too", () => {
  const inFront = defineDecoder({
    id: "in-front",
    name: "In front",
    kind: "multifunction",
    features: {
      sum: derived(cv(100), { from: [cv(120).through(121), page(16, 0).cv(300)], by: "sum" }),
      all: derived(cv(101), { from: [cv(100), cv(29)], by: "xor" }),
      tone: level(cv(120)),
      volume: level(cv(121)),
      far: level(page(16, 0).cv(300)),
      reversed: flag(cv(29).bit(0)),
    },
  });
  const base = CvSet.from({ 29: 6, 31: 0, 32: 0, 100: 3, 101: 5, 120: 1, 121: 2, "300@16.0": 0 });
  const wanted = inFront.encode({ tone: 5, far: 9, reversed: true }, base);
  const order = (to: CvSet | CvPatch) =>
    plan(base, to, { decoder: inFront as AnyDecoder }).steps.map((step) => `${step.cv}=${step.value}`);
  const expected = ["120=5", "31=16", "300@16.0=9", "100=16", "31=0", "29=7", "101=23"];
  expect(order(wanted)).toEqual(expected);
  expect(order(inFront.patch({ tone: 5, far: 9, reversed: true }, { base }))).toEqual(expected);
  const last = plan(base, wanted, { decoder: inFront as AnyDecoder }).steps.at(-1);
  expect(last?.reason).toContain("worked out from the address or from CV 29");
});

describe("laws", () => {
  test("the decoder as a whole, and its record", () => {
    expect(checkLaws(decoder, { runs: 60 }).left).toEqual([]);
    checkCodecLaws(record({ sum, tone, volume, muted, effect: choice(cv(126), { a: 1, b: 2 }) }), {
      runs: 60,
    });
    expect(fc.sample(valuesOf(decoder), 20).every((settings) => !("sum" in settings))).toBe(true);
  });

  test("on any base, what was encoded is decoded again, and the sum is right by a second working out", () => {
    fc.assert(
      fc.property(
        valuesOf(decoder, { partial: true }),
        fc.uint8Array({ minLength: 4, maxLength: 4 }),
        (settings, bytes) => {
          const base = CvSet.from([120, 121, 122, 125].map((name, i) => [name, bytes[i] ?? 0] as const));
          const after = decoder.encode(settings as never, base);
          const touched = ["tone", "volume", "muted"].some((name) => name in settings);
          const expected = touched ? ((after.get(120) ?? 0) + (after.get(121) ?? 0)) & 255 : base.get(122);
          expect(after.get(122)).toBe(expected);
        },
      ),
    );
  });
});
