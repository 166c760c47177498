import {
  type AnyCodec,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  defineDecoder,
  derived,
  diff,
  explain,
  flag,
  flags,
  level,
  linesOf,
  record,
  schemaOf,
  settingsSchema,
  switched,
  table,
  text,
  textOf,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

// What becomes of a value of each kind of codec: its JSON Schema and its words, exactly.

const lamp = flag(cv(2).bit(0));
const own = defineCodec<number>({ kind: "own", places: [cv(50)], read: () => 1, write: () => {} });
const told = defineCodec<number>({
  kind: "told",
  places: [cv(51)],
  read: (cvs) => cv(51).read(cvs),
  write: () => {},
  text: (value) => `${value} ticks`,
  schema: (whole) => ({ type: "integer", whole }),
});
const byte = { type: "integer", minimum: 0, maximum: 255 };

describe("the JSON Schema of a value", () => {
  test.each<[string, AnyCodec, object]>([
    ["a flag", lamp, { type: "boolean" }],
    ["a choice", choice(cv(1), { a: 0, b: 1 }), { enum: ["a", "b"] }],
    [
      "a choice with labels",
      choice(cv(1), { a: 0, b: { value: 1, label: "B" }, c: { value: 2, note: "loud" } }),
      { oneOf: [{ const: "a" }, { const: "b", title: "B" }, { const: "c", description: "loud" }] },
    ],
    [
      "a choice whose options have only meanings",
      choice(cv(1), { a: 0, b: { value: 1, means: "m" } }),
      { enum: ["a", "b"] },
    ],
    ["a level", level(cv(1)), byte],
    [
      "a level with a unit",
      level(cv(1), { unit: "s", max: 9 }),
      { type: "integer", minimum: 0, maximum: 9, description: "In s." },
    ],
    [
      "a level in steps",
      level(cv(1), { step: 0.5, max: 10 }),
      { type: "number", minimum: 0, maximum: 10, description: "In steps of 0.5." },
    ],
    [
      "a level that falls",
      level(cv(1), { step: -0.5, offset: 10, min: 1 }),
      { type: "number", minimum: 1, maximum: 10, description: "In steps of 0.5." },
    ],
    ["a level that falls by ones", level(cv(1), { step: -1, offset: 255 }), byte],
    [
      "a level with a unit, in steps, with a label and a note",
      level(cv(1), { unit: "%", step: 2, label: "Volume", note: "Of the whole." }),
      {
        type: "integer",
        minimum: 0,
        maximum: 510,
        title: "Volume",
        description: "Of the whole. In %, in steps of 2.",
      },
    ],
    [
      "a level with a name beside its numbers",
      level(cv(1), { max: 9, names: { default: 255 } }),
      { anyOf: [{ type: "integer", minimum: 0, maximum: 9 }, { enum: ["default"] }] },
    ],
    [
      "a level with a name for one of its numbers",
      level(cv(1), { max: 9, names: { off: 0, default: 255 } }),
      {
        anyOf: [
          { type: "integer", minimum: 0, maximum: 9, not: { enum: [0] } },
          { enum: ["off", "default"] },
        ],
      },
    ],
    [
      "flags",
      flags(cv(1).bits(0, 2), [1, null, "x"]),
      { type: "array", items: { enum: [1, "x"] }, uniqueItems: true },
    ],
    ["a text", text(cv(10).through(13)), { type: "string", maxLength: 4, pattern: "^[ -~]*$" }],
    [
      "a table",
      table(cv(10).through(12), { max: 7, unit: "%" }),
      {
        type: "array",
        items: { type: "integer", minimum: 0, maximum: 7 },
        minItems: 3,
        maxItems: 3,
        description: "In %.",
      },
    ],
    [
      "pairs",
      converted(level(cv(1)), [
        [0, "off"],
        [1, true],
        [2, 5],
      ] as [number, string | number | boolean][]),
      { enum: ["off", true, 5] },
    ],
    ["functions", converted(level(cv(1)), { decode: (n) => -n, encode: (n: number) => -n }), {}],
    ["what is worked out", derived(cv(1), { from: [cv(2)], by: "sum" }), { not: {} }],
    ["a codec from outside", own, {}],
    ["a codec from outside that has one", told, { type: "integer", whole: false }],
    ["a codec around another one", defineCodec({ kind: "around", item: lamp }), { type: "boolean" }],
    [
      "a codec around another one that adds to it",
      defineCodec({ kind: "around", item: lamp, schema: (whole, item) => ({ ...item, whole }) }),
      { type: "boolean", whole: false },
    ],
    ["what is switched", switched(cv(1).bit(0), lamp), { anyOf: [{ const: "off" }, { type: "boolean" }] }],
  ])("%s", (_, codec, schema) => {
    expect(schemaOf(codec)).toEqual(schema);
  });

  const field = { type: "object", properties: { lamp: { type: "boolean" } }, additionalProperties: false };
  const needed = { ...field, required: ["lamp"] };
  test("fields may be left out, but not of what is replaced as a whole", () => {
    const fields = record({ lamp, sum: derived(cv(9), { from: [cv(2)], by: "sum" }) });
    expect(schemaOf(fields)).toEqual(field);
    expect(schemaOf(fields, false)).toEqual(field);
    expect(schemaOf(fields, true)).toEqual(needed);
    expect(schemaOf(record({ inner: record({ lamp }) }))).toEqual({
      type: "object",
      properties: { inner: field },
      additionalProperties: false,
    });
    expect(schemaOf(record({ inner: record({ lamp }) }), true)).toEqual({
      type: "object",
      properties: { inner: needed },
      required: ["inner"],
      additionalProperties: false,
    });
    expect(schemaOf(switched(cv(1).bit(0), record({ lamp })))).toEqual({ anyOf: [{ const: "off" }, needed] });
    expect(schemaOf(told, true)).toEqual({ type: "integer", whole: true });
    expect(schemaOf(defineCodec({ kind: "around", item: record({ lamp }) }), true)).toEqual(needed);
    const cases = { a: { value: 0, fields: { lamp } }, b: { value: 1, fields: {} } };
    expect(schemaOf(variant(cv(1).bit(0), cases))).toEqual({
      oneOf: [
        {
          type: "object",
          properties: { kind: { const: "a" }, lamp: { type: "boolean" } },
          required: ["kind", "lamp"],
          additionalProperties: false,
        },
        {
          type: "object",
          properties: { kind: { const: "b" } },
          required: ["kind"],
          additionalProperties: false,
        },
      ],
    });
  });

  test("of a settings file", () => {
    const decoder = defineDecoder({ id: "x1", name: "X One", kind: "multifunction", features: { lamp } });
    expect(settingsSchema(decoder)).toEqual({
      $schema: "https://json-schema.org/draft/2020-12/schema",
      title: "Settings for X One",
      type: "object",
      properties: {
        $schema: { type: "string" },
        decoder: { const: "x1" },
        name: { type: "string", description: "The name of the locomotive." },
        note: { type: "string" },
        silence: {
          type: "array",
          description: "Findings of a check that are left out for this file, and why.",
          items: {
            type: "object",
            properties: {
              rule: { type: "string" },
              cvs: { type: "array", items: { type: ["string", "integer"] }, minItems: 1 },
              reason: { type: "string" },
            },
            required: ["rule", "reason"],
            additionalProperties: false,
          },
        },
        settings: field,
      },
      required: ["settings"],
      additionalProperties: false,
    });
  });
});

describe("a value in words", () => {
  const squared = converted(level(cv(1)), { decode: (n) => [n, "x"] as const, encode: ([n]) => n });
  test.each<[string, AnyCodec, unknown, string]>([
    ["yes", lamp, true, "yes"],
    ["no", lamp, false, "no"],
    ["an option", choice(cv(1), { a: 0, b: { value: 1, label: "Bee" } }), "a", "a"],
    ["an option with a label", choice(cv(1), { a: 0, b: { value: 1, label: "Bee" } }), "b", "Bee"],
    ["a number", level(cv(1)), 3, "3"],
    ["a number with its unit", level(cv(1), { unit: "s" }), 3, "3 s"],
    ["a named number", level(cv(1), { unit: "s", names: { off: 0 } }), "off", "off"],
    ["flags", flags(cv(1).bits(0, 1), ["a", "b"]), ["a", "b"], "a, b"],
    ["no flags", flags(cv(1).bits(0, 1), ["a", "b"]), [], "none"],
    ["a table", table(cv(10).through(12), { unit: "%" }), [1, 2, 3], "1, 2, 3 %"],
    ["a text", text(cv(10).through(12)), "No", '"No"'],
    ["off", switched(cv(1).bit(0), level(cv(3), { unit: "s" })), "off", "off"],
    ["what is on", switched(cv(1).bit(0), level(cv(3), { unit: "s" })), 4, "4 s"],
    ["one of a pair", converted(level(cv(1)), [[0, "full"]]), "full", "full"],
    ["what a function makes", squared, [3, "x"], '[3,"x"]'],
    ["fields", record({ lamp }), { lamp: true }, '{"lamp":true}'],
    ["of a codec around another one", defineCodec({ kind: "around", item: lamp }), true, "yes"],
    [
      "of a codec around another one that has words",
      defineCodec({ kind: "around", item: lamp, text: (on) => (on ? "lit" : "dark") }),
      false,
      "dark",
    ],
    ["of a codec from outside", own, 7, "7"],
    ["of a codec from outside that has words", told, 7, "7 ticks"],
  ])("%s", (_, codec, value, words) => {
    expect(textOf(codec, value as never)).toBe(words);
  });
});

describe("lines of a CV set", () => {
  const cvs = CvSet.from({ 1: 5, 2: 1, 3: 4, 50: 0, 51: 9 });
  const lines = (codec: AnyCodec, path?: string, set = cvs) =>
    linesOf(codec, set, path).map((line) => `${line.path}: ${line.text}`);

  test("of a codec from outside: its words, else its fields, else its value", () => {
    expect(lines(told, "a")).toEqual(["a: 9 ticks"]);
    expect(lines(own, "a")).toEqual(["a: 1"]);
    const parts = { lamp, inner: record({ n: level(cv(3)) }) };
    const spec = { kind: "parts", parts, places: [cv(2), cv(3)], read: () => "v", write: () => {} };
    expect(lines(defineCodec<string>(spec), "a")).toEqual(["a.lamp: yes", "a.inner.n: 4"]);
    expect(lines(defineCodec<string>(spec))).toEqual(["lamp: yes", "inner.n: 4"]);
    expect(lines(defineCodec<string>({ ...spec, text: () => "words" }), "a")).toEqual(["a: words"]);
    expect(lines(defineCodec({ kind: "around", item: lamp }), "a")).toEqual(["a: yes"]);
    expect(lines(defineCodec({ kind: "around", item: record({ lamp }) }), "a")).toEqual(["a.lamp: yes"]);
    const blower = switched(cv(1).bit(0), level(cv(3), { unit: "s" }));
    expect(lines(defineCodec({ kind: "around", item: blower }), "a")).toEqual(["a: on", "a: 4 s"]);
    const form = variant(cv(1), { five: { value: 5, fields: { lamp } } });
    expect(lines(defineCodec({ kind: "around", item: form }), "a")).toEqual(["a.kind: five", "a.lamp: yes"]);
    expect(
      lines(defineCodec({ kind: "around", item: lamp, text: (on) => (on ? "lit" : "dark") }), "a"),
    ).toEqual(["a: lit"]);
  });

  test("of what is worked out: its number, where it is right", () => {
    const sum = derived(cv(1), { from: [cv(2), cv(3)], by: "sum" });
    expect(linesOf(sum, cvs, "sum")).toEqual([
      { path: "sum", text: "5, worked out from CV 2, CV 3", places: [{ cv: "1", mask: 255 }] },
    ]);
    expect(lines(sum, "sum", cvs.with(1, 6))).toEqual([]);
    expect(lines(sum, "sum", cvs.without(1))).toEqual([]);
  });

  test("of what is switched, either way round, and where the switch is not known", () => {
    const blower = switched(cv(1).bit(0), level(cv(3)));
    const inverted = switched(cv(1).bit(0), level(cv(3)), { inverted: true });
    expect(lines(blower, "b")).toEqual(["b: on", "b: 4"]);
    expect(lines(blower, "b", cvs.with(1, 0))).toEqual(["b: off"]);
    expect(lines(inverted, "b")).toEqual(["b: off"]);
    expect(lines(inverted, "b", cvs.with(1, 0))).toEqual(["b: on", "b: 4"]);
    expect(lines(blower, "b", cvs.without(3))).toEqual(["b: on"]);
    expect(lines(blower, "b", cvs.without(1))).toEqual([]);
  });

  test("of a variant: its case and the fields of that case; none where no case has the number", () => {
    const cases = {
      a: { value: 5, label: "Ay", fields: { lamp } },
      b: { value: 6, fields: { n: level(cv(3)) } },
    };
    const one = variant(cv(1), cases, { tag: "form" });
    expect(linesOf(one, cvs, "v")[0]).toEqual({
      path: "v.form",
      text: "Ay",
      places: [{ cv: "1", mask: 255 }],
    });
    expect(lines(one, "v")).toEqual(["v.form: Ay", "v.lamp: yes"]);
    expect(lines(one, "v", cvs.with(1, 6))).toEqual(["v.form: b", "v.n: 4"]);
    expect(lines(one, "v", cvs.with(1, 7))).toEqual([]);
    expect(lines(one, "v", cvs.without(1))).toEqual([]);
  });
});

describe("bits of no feature", () => {
  const decoder = defineDecoder({
    id: "x1",
    name: "X1",
    kind: "multifunction",
    features: { lamp, n: level(cv(3)), paged: level(cv(4).bits(4, 7)) },
  });
  test("a whole CV, whatever it holds; of a shared one those that are set", () => {
    expect(explain(decoder, CvSet.from({ 2: 0, 3: 255, 4: 0x8a, 60: 0, 61: 7 })).unowned).toEqual([
      { cv: "4", mask: 10, value: 10 },
      { cv: "60", mask: 255, value: 0 },
      { cv: "61", mask: 255, value: 7 },
    ]);
    expect(explain(decoder, CvSet.from({ 2: 1, 4: 0xf0 })).unowned).toEqual([]);
    expect(explain(decoder, CvSet.empty)).toEqual({
      settings: {},
      lines: [],
      issues: [],
      absent: ["lamp", "n", "paged"],
      unowned: [],
    });
  });

  test("they differ without words, and a shared CV has the words of what differs", () => {
    const of = (from: number, to: number) => diff(decoder, CvSet.from({ 4: from }), CvSet.from({ 4: to }));
    expect(of(0x10, 0x11)).toEqual([{ cv: "4", from: 16, to: 17, paths: [], words: [] }]);
    expect(of(0x10, 0x21)).toEqual([
      { cv: "4", from: 16, to: 33, paths: ["paged"], words: [{ path: "paged", from: "1", to: "2" }] },
    ]);
    // One of the two sets lacks it.
    expect(diff(decoder, CvSet.empty, CvSet.from({ 4: 0 }))).toEqual([
      {
        cv: "4",
        from: undefined,
        to: 0,
        paths: ["paged"],
        words: [{ path: "paged", from: undefined, to: "0" }],
      },
    ]);
    expect(diff(decoder, CvSet.from({ 2: 1 }), CvSet.empty)).toEqual([
      {
        cv: "2",
        from: 1,
        to: undefined,
        paths: ["lamp"],
        words: [{ path: "lamp", from: "yes", to: undefined }],
      },
    ]);
  });
});
