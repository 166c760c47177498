import {
  type AnyCodec,
  type CodecData,
  choice,
  converted,
  cv,
  defineCodec,
  flag,
  flags,
  level,
  partsOf,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";
import { Scale } from "../../src/codec/scale.js";
import { kinds } from "./kinds.js";

const bit = cv(1).bit(0);
const lit = flag(bit);
const run = cv(5).through(7);
const seconds = level(cv(131), { unit: "s" });
const times = level(cv(131), { max: 9 });
const loud = flag(cv(132).bit(0));
const blow = variant(
  cv(130).bit(7),
  {
    timed: { value: 0, label: "For a time", fields: { seconds, loud } },
    counted: { value: 1, fields: { seconds: times } },
  },
  { tag: "mode" },
);
const front = record({ lit, blow });

describe("every codec can be looked into", () => {
  test.each<[AnyCodec, CodecData]>([
    [lit, { kind: "flag", place: bit, inverted: false }],
    [flag(bit, { inverted: true }), { kind: "flag", place: bit, inverted: true }],
    [
      choice(cv(2), { a: 1, b: { value: 0, label: "B", note: "rare", means: "bell" } }),
      {
        kind: "choice",
        place: cv(2),
        options: { a: { value: 1 }, b: { value: 0, label: "B", note: "rare", means: "bell" } },
      },
    ],
    [level(cv(2)), { kind: "level", place: cv(2), scale: new Scale({}, 255, []), names: {} }],
    [
      level(cv(2).bits(0, 3), {
        min: 1,
        step: 0.5,
        unit: "s",
        nearest: true,
        names: { off: 0 },
        label: "Pause",
      }),
      {
        kind: "level",
        place: cv(2).bits(0, 3),
        scale: new Scale({ min: 1, step: 0.5, unit: "s", nearest: true }, 15, []),
        names: { off: 0 },
      },
    ],
    [
      flags(cv(35).bits(0, 2), ["a", null, 3]),
      { kind: "flags", place: cv(35).bits(0, 2), names: ["a", null, 3] },
    ],
    [text(run), { kind: "text", run, pad: 0 }],
    [text(run, { pad: 32 }), { kind: "text", run, pad: 32 }],
    [table(run, { max: 9 }), { kind: "table", run, scale: new Scale({ max: 9 }, 255, []) }],
    [front, { kind: "record", fields: { lit, blow } }],
    [
      blow,
      {
        kind: "variant",
        place: cv(130).bit(7),
        tag: "mode",
        cases: {
          timed: { value: 0, label: "For a time", fields: { seconds, loud } },
          counted: { value: 1, fields: { seconds: times } },
        },
      },
    ],
    [
      variant(bit, { a: { value: 1, fields: {} } }),
      { kind: "variant", place: bit, tag: "kind", cases: { a: { value: 1, fields: {} } } },
    ],
    [switched(bit, seconds), { kind: "switched", place: bit, inverted: false, item: seconds }],
    [
      switched(bit, seconds, { inverted: true }),
      { kind: "switched", place: bit, inverted: true, item: seconds },
    ],
    [
      converted(seconds, [
        [0, "none"],
        [9, "nine"],
      ]),
      {
        kind: "converted",
        item: seconds,
        pairs: [
          [0, "none"],
          [9, "nine"],
        ],
      },
    ],
    [
      converted(seconds, { decode: (n) => n * 2, encode: (n) => n / 2 }),
      { kind: "converted", item: seconds },
    ],
    [
      defineCodec({ kind: "own", places: [bit], parts: { lit }, read: () => 1, write: () => {} }),
      { kind: "custom", parts: { lit } },
    ],
    [
      defineCodec({ kind: "own", places: [bit], read: () => 1, write: () => {} }),
      { kind: "custom", parts: {} },
    ],
  ])("%#", (codec, data) => {
    expect(codec.data).toEqual(data);
    // What it is made of, and not copies of it.
    if ("item" in data && "item" in codec.data) expect(codec.data.item).toBe(data.item);
    expect(Object.keys(codec.data)).toEqual(Object.keys(data));
    expect(codec.kind).toBe(data.kind === "custom" ? "own" : data.kind);
  });

  test("the kind of its data is its kind; of a codec from outside it is its own", () => {
    for (const codec of Object.values(kinds)) {
      if (codec.data.kind === "custom") expect(codec.kind).toBe("ratio");
      else expect(codec.kind).toBe(codec.data.kind);
    }
    expect(new Set(Object.values(kinds).map(({ data }) => data.kind)).size).toBe(11);
  });

  test("a scale has the values of stored numbers, range and unit, for whoever looks into a level", () => {
    const { data } = level(cv(2), { step: 0.5, max: 10, unit: "s" });
    if (data.kind !== "level") expect.unreachable();
    const { scale } = data;
    expect([scale.valueOf(3), scale.exactly(1.5), scale.min, scale.max, scale.unit]).toEqual([
      1.5,
      3,
      0,
      10,
      " s",
    ]);
  });
});

describe("what people read of a codec", () => {
  const about = { label: "Label", note: "Note", means: "whistle", source: "Rulebook, page 3" };
  const withMore = { ...about, inverted: false, pad: 0, max: 9, unit: "s", tag: "kind", more: 1 };
  test.each<[string, AnyCodec]>([
    ["flag", flag(bit, withMore)],
    ["choice", choice(bit, { a: 0 }, withMore)],
    ["level", level(cv(1), withMore)],
    ["flags", flags(bit, ["a"], withMore)],
    ["text", text(run, withMore)],
    ["table", table(run, withMore)],
    ["record", record({ lit }, withMore)],
    ["variant", variant(bit, { a: { value: 0, fields: {} } }, withMore)],
    ["switched", switched(cv(2).bit(0), lit, withMore)],
    ["converted", converted(lit, [[true, "yes"]], withMore)],
    ["custom", defineCodec({ kind: "own", places: [bit], about: withMore, read: () => 1, write: () => {} })],
  ])("label, note, meaning and source, and nothing else: %s", (_, codec) => {
    expect(codec.about).toEqual(about);
    expect(Object.keys(codec.about)).toEqual(["label", "note", "means", "source"]);
  });

  test("what is not given is not there", () => {
    expect([flag(bit).about, level(cv(1), { label: "", unit: "s" }).about]).toEqual([{}, {}]);
    expect(Object.keys(record({ lit }, { note: "x" }).about)).toEqual(["note"]);
  });
});

describe("partsOf", () => {
  test.each<[AnyCodec, Record<string, AnyCodec[]>]>([
    [front, { lit: [lit], blow: [blow] }],
    // Two cases may have a field of one name.
    [blow, { seconds: [seconds, times], loud: [loud] }],
    [switched(cv(9).bit(0), front), { lit: [lit], blow: [blow] }],
    [switched(cv(9).bit(0), blow), { seconds: [seconds, times], loud: [loud] }],
    [switched(cv(9).bit(0), lit), {}],
    [converted(lit, [[true, "yes"]]), {}],
    [lit, {}],
    [level(cv(1)), {}],
    [flags(cv(35).bits(0, 1), ["a", "b"]), {}],
    [record({}), {}],
    [
      defineCodec({ kind: "own", places: [bit], parts: { lit, blow }, read: () => 1, write: () => {} }),
      { lit: [lit], blow: [blow] },
    ],
  ])("%#", (codec, parts) => {
    expect(partsOf(codec)).toEqual(parts);
    expect(Object.keys(partsOf(codec))).toEqual(Object.keys(parts));
    for (const [name, list] of Object.entries(parts)) {
      for (const [i, part] of list.entries()) expect(partsOf(codec)[name]?.[i]).toBe(part);
    }
  });

  test("names that objects have, in parts from outside", () => {
    const own = Object.fromEntries([
      ["__proto__", lit],
      ["constructor", blow],
    ]);
    const codec = defineCodec({
      kind: "own",
      places: [bit],
      parts: own as never,
      read: () => 1,
      write: () => {},
    });
    expect(Object.entries(partsOf(codec))).toEqual([
      ["__proto__", [lit]],
      ["constructor", [blow]],
    ]);
  });

  test("of very many cases", () => {
    const cases = Object.fromEntries(
      Array.from({ length: 20_000 }, (_, i) => [
        `case${i}`,
        { value: i, fields: { [`field${i}`]: lit, same: loud } },
      ]),
    );
    const parts = partsOf(variant(cv(17).with(cv(18)), cases) as AnyCodec);
    expect(Object.keys(parts).length).toBe(20_001);
    expect([parts["field7"], parts["same"]?.length]).toEqual([[lit], 20_000]);
  });
});
