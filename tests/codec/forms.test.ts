import {
  CvSet,
  choice,
  converted,
  cv,
  flag,
  flags,
  jsonOf,
  level,
  linesOf,
  record,
  schemaOf,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

// What a codec's data become: words, JSON Schemas and descriptions in JSON.

const whistle = choice(cv(218), { low: 0, high: 6 });
const outputs = flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8], { label: "Outputs" });
const blow = variant(
  cv(130).bits(6, 7),
  {
    timed: { value: 0, label: "For a time", fields: { seconds: level(cv(131), { max: 20, unit: "s" }) } },
    none: { value: 3, fields: {} },
  },
  { tag: "mode" },
);

describe("explanations, schemas, descriptions", () => {
  const all = record(
    {
      front: record({
        effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: { value: 2, label: "Flickers, slowly" } }),
        led: flag(cv(243).bit(7), { inverted: true, label: "LED" }),
      }),
      drains: switched(cv(252).bit(1), level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }), {
        note: "hot",
      }),
      blow,
      name: text(cv(200).through(203), { pad: 32 }),
      notches: table(cv(120).through(121), { unit: "%", max: 9 }),
      outputs,
      load: converted(level(cv(90), { max: 3 }), [
        [0, "empty"],
        [3, "full"],
      ]),
      pause: level(cv(4), { names: { never: 0 }, step: 0.5, offset: 1 }),
    },
    { label: "Everything", means: "demo", source: "none" },
  );
  const cvs = CvSet.from({
    216: 2 * 2,
    243: 0b0111_1111,
    252: 2,
    249: 80,
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
      linesOf(all, cvs).map(({ path, text, places }) => [
        path,
        text,
        places.map((bits) => `${bits.cv}/${bits.mask}`).join(" "),
      ]),
    ).toEqual([
      ["front.effect", "Flickers, slowly", "216/30"],
      ["front.led", "yes", "243/128"],
      ["drains", "on", "252/2"],
      ["drains", "20 s", "249/255"],
      ["blow.mode", "For a time", "130/192"],
      ["blow.seconds", "7 s", "131/255"],
      ["name", '"Hi"', "200/255 201/255 202/255 203/255"],
      ["notches", "1, 2 %", "120/255 121/255"],
      ["outputs", "1, 3", "35/255"],
      ["load", "full", "90/255"],
      ["pause", "never", "4/255"],
    ]);
    expect(
      linesOf(all, cvs.with(252, 0).with(216, 14).with(243, 128).with(130, 192).with(35, 0), "loco")
        .slice(0, 5)
        .map(({ path, text }) => `${path}: ${text}`),
    ).toEqual([
      "loco.front.effect: plain",
      "loco.front.led: no",
      "loco.drains: off",
      "loco.blow.mode: none",
      'loco.name: "Hi"',
    ]);
    // What cannot be read has no line, and hides no other.
    expect(
      linesOf(all, CvSet.from({ 216: 2, 243: 128, 4: 1, 130: 64 })).map(
        ({ path, text }) => `${path}: ${text}`,
      ),
    ).toEqual(["front.led: no", "pause: 1.5"]);
  });

  test("JSON Schemas, of settings in part and of whole ones", () => {
    const front = {
      effect: { oneOf: [{ const: "plain" }, { const: "flickers", title: "Flickers, slowly" }] },
      led: { type: "boolean", title: "LED" },
    };
    const rest = {
      drains: {
        anyOf: [{ const: "off" }, { type: "number", minimum: 1.5, maximum: 40 }],
        description: "hot",
      },
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
    expect(schemaOf(all)).toMatchObject({
      type: "object",
      title: "Everything",
      properties: { front: { properties: front }, ...rest },
      additionalProperties: false,
    });
    expect(schemaOf(all)).not.toHaveProperty("required");
    expect(schemaOf(all, true)).toMatchObject({
      required: ["front", "drains", "blow", "name", "notches", "outputs", "load", "pause"],
      properties: { front: { required: ["effect", "led"] } },
    });
    expect(schemaOf(all)).toMatchObject({ properties: { name: { type: "string", maxLength: 4 } } });
  });

  test("descriptions as JSON", () => {
    expect(JSON.parse(JSON.stringify(jsonOf(all)))).toEqual({
      codec: "record",
      label: "Everything",
      means: "demo",
      source: "none",
      fields: {
        front: {
          codec: "record",
          fields: {
            effect: {
              codec: "choice",
              place: { cv: 216, bits: [1, 4] },
              options: { plain: 7, flickers: { value: 2, label: "Flickers, slowly" } },
            },
            led: { codec: "flag", place: { cv: 243, bit: 7 }, inverted: true, label: "LED" },
          },
        },
        drains: {
          codec: "switched",
          place: { cv: 252, bit: 1 },
          note: "hot",
          item: { codec: "level", place: 249, unit: "s", step: 0.25, min: 1.5, max: 40 },
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
        outputs: { codec: "flags", place: 35, names: [1, 2, 3, 4, 5, 6, 7, 8], label: "Outputs" },
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
    expect(jsonOf(flag(cv(1).bit(0), { inverted: true }))).toMatchObject({ inverted: true });
    expect(jsonOf(switched(cv(1).bit(0), whistle, { inverted: true }))).toMatchObject({ inverted: true });
  });

  test("code cannot be described, and the path says where it is", () => {
    const squared = converted(level(cv(91)), { decode: (n) => n * n, encode: Math.sqrt });
    expect(() => jsonOf(squared)).toThrow(
      'a codec of kind "converted" holds code and cannot be written as JSON',
    );
    expect(() => jsonOf(record({ a: record({ b: squared }) }))).toThrow(/^a\.b: a codec of kind "converted"/);
    expect(schemaOf(squared)).toEqual({});
  });
});
