import {
  type AnyCodec,
  cv,
  defineCodec,
  defineCodecKind,
  describe as describeDecoder,
  descriptionSchema,
  level,
  messageOf,
  tryDecoderFromJson,
} from "cvset";
import { describe, expect, test } from "vitest";

// Codecs in a description in JSON: each is read, and described again as it was; what is wrong is refused, to the word.

const read = (codec: unknown) =>
  tryDecoderFromJson({ id: "x1", name: "X1", kind: "multifunction", features: { a: codec } });

const again = (codec: unknown): unknown => {
  const result = read(codec);
  return result.ok ? describeDecoder(result.value).features["a"] : result.issues.map((one) => messageOf(one));
};

const flag = { codec: "flag", place: { cv: 30, bit: 0 } };

describe("places", () => {
  test.each<[unknown, unknown, string]>([
    [29, 29, "29/255"],
    ["29", 29, "29/255"],
    ["300@16.0", "300@16.0", "300@16.0/255"],
    [{ cv: 29 }, 29, "29/255"],
    [{ cv: 29, bit: 0 }, { cv: 29, bit: 0 }, "29/1"],
    [{ cv: 29, bit: 7 }, { cv: 29, bit: 7 }, "29/128"],
    [{ cv: 29, bits: [0, 7] }, 29, "29/255"],
    [{ cv: 29, bits: [3, 3] }, { cv: 29, bit: 3 }, "29/8"],
    [{ cv: "300@16.0", bits: [1, 2] }, { cv: "300@16.0", bits: [1, 2] }, "300@16.0/6"],
    [{ cv: 17, with: 18 }, { cv: 17, with: 18 }, "17/255 18/255"],
    [
      { cv: 17, bits: [0, 5], with: { cv: 18, bit: 3 } },
      { cv: 17, bits: [0, 5], with: { cv: 18, bit: 3 } },
      "17/63 18/8",
    ],
    [{ cv: 1, with: { cv: 2, with: 3 } }, { cv: 1, with: { cv: 2, with: 3 } }, "1/255 2/255 3/255"],
  ])("%j", (place, form, bits) => {
    const result = read({ codec: "level", place });
    expect(result.value?.bits.map(({ cv, mask }) => `${cv}/${mask}`).join(" ")).toBe(bits);
    expect(again({ codec: "level", place })).toEqual({ codec: "level", place: form });
  });

  const aCv = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
  const twoBits = "CV 29: expected two bits from 0 to 7, the lower first, got";
  test.each<[unknown, string, string]>([
    [null, "", "expected an object, got null"],
    [true, "", "expected an object, got true"],
    [[], "", "expected an object, got []"],
    [{}, ".cv", "a value is needed"],
    [{ bit: 1 }, ".cv", "a value is needed"],
    [0, "", `${aCv} 0`],
    [{ cv: 1025 }, "", `${aCv} 1025`],
    [{ cv: "x" }, "", `${aCv} "x"`],
    [{ cv: true }, ".cv", `${aCv} true`],
    [{ cv: 29, bit: -1 }, "", `${twoBits} -1 and -1`],
    [{ cv: 29, bit: 8 }, "", `${twoBits} 8 and 8`],
    [{ cv: 29, bit: 1.5 }, "", `${twoBits} 1.5 and 1.5`],
    [{ cv: 29, bits: [2, 1] }, "", `${twoBits} 2 and 1`],
    [{ cv: 29, bits: [1] }, "", "expected two bits, the lowest and the highest, got [1]"],
    [{ cv: 29, bits: [1, 2, 3] }, "", "expected two bits, the lowest and the highest, got [1,2,3]"],
    [{ cv: 29, bits: 3 }, ".bits", "expected a list, got 3"],
    [{ cv: 29, bits: [1, "2"] }, ".bits.1", 'expected a number, got "2"'],
    [
      { cv: 29, bit: 1, bits: [1, 2] },
      "",
      'a place has one of bit, bits and through, got ["cv","bit","bits"]',
    ],
    [
      { cv: 29, bit: 1, through: 30 },
      "",
      'a place has one of bit, bits and through, got ["cv","bit","through"]',
    ],
    [
      { cv: 29, bits: [1, 2], through: 30 },
      "",
      'a place has one of bit, bits and through, got ["cv","bits","through"]',
    ],
    [
      { cv: 29, through: 31, with: 32 },
      "",
      'a run of CVs cannot be joined with another place, got {"cv":29,"through":31,"with":32}',
    ],
    [
      { cv: 29, through: 31 },
      "",
      'expected the bits of one value, not a run ("through"), got {"cv":29,"through":31}',
    ],
    [
      { cv: 17, with: { cv: 18, through: 20 } },
      ".with",
      'expected the bits of one value, not a run ("through"), got {"cv":18,"through":20}',
    ],
    [{ cv: 17, with: null }, ".with", "expected an object, got null"],
    [{ cv: 17, with: 17 }, "", "CV 17, CV 17: the same bit is there twice"],
    [{ cv: 29, x: 1 }, ".x", "there is no such name; the names are cv, bit, bits, through, with"],
    [
      { cv: 29, bti: 1 },
      ".bti",
      'there is no such name; the names are cv, bit, bits, through, with; nearest: "bits"',
    ],
  ])("%j is none", (place, path, words) => {
    expect(again({ codec: "level", place })).toEqual([`features.a.place${path}: ${words}`]);
  });

  test.each<[unknown, unknown]>([
    [
      { cv: 67, through: 70 },
      { cv: 67, through: 70 },
    ],
    [
      { cv: 67, through: 67 },
      { cv: 67, through: 67 },
    ],
    [67, 'expected a run of CVs, with "through", got 67'],
    [{ cv: 67, bit: 1 }, 'expected a run of CVs, with "through", got {"cv":67,"bit":1}'],
    [
      { cv: 67, through: 66 },
      "CV 67: expected this CV or a later one of the same page as the end of the run, got 66",
    ],
    [
      { cv: 67, through: 1025 },
      "CV 67: expected this CV or a later one of the same page as the end of the run, got 1025",
    ],
  ])("a run: %j", (place, result) => {
    expect(again({ codec: "table", place })).toEqual(
      typeof result === "string" ? [`features.a.place: ${result}`] : { codec: "table", place: result },
    );
  });
});

describe("codecs", () => {
  const about = { label: "L", note: "N", means: "M", source: "S" };
  test.each<Record<string, unknown>>([
    { ...flag },
    { ...flag, inverted: true },
    { codec: "choice", place: 29, options: { a: 1, b: { value: 2, label: "B", note: "n", means: "m" } } },
    { codec: "level", place: 29 },
    {
      codec: "level",
      place: 29,
      ...{ min: 1, max: 9, unit: "s", step: 0.5, offset: 1, decimals: 1, nearest: true, names: { a: 0 } },
    },
    { codec: "flags", place: 29, names: [1, "a", null, null, null, null, null, null] },
    { codec: "table", place: { cv: 67, through: 70 }, min: 2, max: 10, unit: "%", step: 2 },
    { codec: "text", place: { cv: 67, through: 70 } },
    { codec: "text", place: { cv: 67, through: 70 }, pad: 32 },
    { codec: "record", fields: { b: flag, c: { codec: "record", fields: {} } } },
    { codec: "variant", place: 29, cases: { a: { value: 1, fields: { b: flag } } } },
    {
      codec: "variant",
      place: 29,
      tag: "mode",
      cases: { a: { value: 1, fields: { b: flag } }, c: { value: 2, label: "C", fields: {} } },
    },
    { codec: "switched", place: { cv: 29, bit: 0 }, item: flag },
    { codec: "switched", place: { cv: 29, bit: 0 }, item: flag, inverted: true },
    {
      codec: "converted",
      item: { codec: "level", place: 29 },
      pairs: [
        [0, "off"],
        [1, true],
        [2, 9],
      ],
    },
    { codec: "derived", place: 29, from: [1, { cv: 2, through: 3 }], by: "sum" },
    { codec: "derived", place: 29, from: [{ cv: 2, bits: [0, 3] }], by: "xor", start: 5 },
  ])("%j is described as it was", (json) => {
    expect(again(json)).toEqual(json);
    expect(again({ ...json, ...about })).toEqual({ ...json, ...about });
  });

  test("what is given with its default value is left out", () => {
    expect(again({ ...flag, inverted: false })).toEqual(flag);
    expect(again({ codec: "text", place: { cv: 67, through: 70 }, pad: 0 })).toEqual({
      codec: "text",
      place: { cv: 67, through: 70 },
    });
    const variant = { codec: "variant", place: 29, cases: { a: { value: 1, fields: {} } } };
    expect(again({ ...variant, tag: "kind" })).toEqual(variant);
    const derived = { codec: "derived", place: 29, from: [1], by: "sum" };
    expect(again({ ...derived, start: 0 })).toEqual(derived);
  });

  const kinds =
    '"flag", "choice", "level", "flags", "table", "text", "record", "variant", "switched", "converted", "derived"';
  const isNoKind = (found: string, nearest = "") =>
    `.codec: there is no kind of codec ${found}; the kinds are ${kinds}. Other kinds come from plug-ins, which the caller gives${nearest}`;
  test.each<[unknown, string[]]>([
    [3, [": expected an object, got 3"]],
    [{}, [".codec: a value is needed"]],
    [{ codec: 3 }, [isNoKind("3")]],
    [{ codec: "flg" }, [isNoKind('"flg"', '; nearest: "flag", "flags"')]],
    [{ codec: "flag" }, [".place: a value is needed"]],
    [
      { ...flag, inverted: 1, label: 2, note: 3, means: 4, source: 5 },
      [
        ".inverted: expected true or false, got 1",
        ".label: expected a text, got 2",
        ".note: expected a text, got 3",
        ".means: expected a text, got 4",
        ".source: expected a text, got 5",
      ],
    ],
    [
      {
        codec: "level",
        place: 29,
        ...{ min: "1", max: null, unit: 3, step: "x", offset: true, decimals: [], nearest: 0 },
        names: { a: "b" },
      },
      [
        '.min: expected a number, got "1"',
        ".max: expected a number, got null",
        ".unit: expected a text, got 3",
        '.step: expected a number, got "x"',
        ".offset: expected a number, got true",
        ".decimals: expected a number, got []",
        ".nearest: expected true or false, got 0",
        '.names.a: expected a number, got "b"',
      ],
    ],
    [{ codec: "level", place: 29, max: Number.NaN }, [".max: expected a number, got NaN"]],
    [{ codec: "flags", place: 29, names: [true] }, [".names.0: expected a text, a number or null, got true"]],
    [{ codec: "flags", place: 29, names: "a" }, ['.names: expected a list, got "a"']],
    [{ codec: "choice", place: 29, options: [] }, [".options: expected an object, got []"]],
    [{ codec: "choice", place: 29, options: { a: "1" } }, ['.options.a: expected an object, got "1"']],
    [
      { codec: "choice", place: 29, options: { a: { value: "2", labl: "B" } } },
      [
        '.options.a.value: expected a number, got "2"',
        '.options.a.labl: there is no such name; the names are value, label, note, means; nearest: "label"',
      ],
    ],
    [
      { codec: "converted", item: flag, pairs: [[0], [1, 2, 3], [null, 1], 4] },
      [
        ".pairs.0: expected two values, the stored one and the one that it stands for, got [0]",
        ".pairs.1: expected two values, the stored one and the one that it stands for, got [1,2,3]",
        ".pairs.2.0: expected a text, a number, true or false, got null",
        ".pairs.3: expected a list, got 4",
      ],
    ],
    [
      { codec: "variant", place: 29, cases: { a: { value: 1 }, b: { fields: {} }, c: 3 } },
      [
        ".cases.a.fields: a value is needed",
        ".cases.b.value: a value is needed",
        ".cases.c: expected an object, got 3",
      ],
    ],
    [{ codec: "switched", place: { cv: 29, bit: 0 }, item: 3 }, [".item: expected an object, got 3"]],
    [
      { codec: "derived", place: 29, from: [], by: "sm" },
      ['.by: "sm" is not an option; the options are "sum", "xor"; nearest: "sum"'],
    ],
    [
      { codec: "derived", place: 29, from: [1], by: 3, start: "x" },
      ['.by: 3 is not an option; the options are "sum", "xor"', '.start: expected a number, got "x"'],
    ],
    [
      { codec: "record", fields: { b: { codec: "record", fields: { c: 1 } } } },
      [".fields.b.fields.c: expected an object, got 1"],
    ],
  ])("%j is none", (json, words) => {
    expect(again(json)).toEqual(words.map((line) => `features.a${line}`));
  });
});

describe("the description around them", () => {
  const said = (more: object): string[] => {
    const result = tryDecoderFromJson(
      { id: "x1", name: "X1", kind: "multifunction", features: { a: flag }, ...more },
      { parts: { lamps: {}, sounds: {} } },
    );
    return result.ok ? [] : result.issues.map((issue) => messageOf(issue));
  };
  test.each<[object, string[]]>([
    [{ parts: ["lamps", "sounds"], note: "N", $schema: "s", factory: { 1: 3 }, rules: [] }, []],
    [{ factory: { 1: "x", 2: 3 } }, ['factory.1: expected a number, got "x"']],
    [
      { note: 3, $schema: 4, rules: {} },
      ["note: expected a text, got 3", "$schema: expected a text, got 4", "rules: expected a list, got {}"],
    ],
    [
      { parts: ["lamp"] },
      ['parts.0: "lamp" is not an option; the options are "lamps", "sounds"; nearest: "lamps"'],
    ],
    [
      { name: "", kind: "steam", id: "X" },
      [
        'id: expected small letters, digits and single hyphens, got "X"',
        'name: expected a name, got ""',
        'kind: expected "multifunction" or "accessory", got "steam"',
      ],
    ],
    [{ name: "  " }, ['name: expected a name, got "  "']],
    [{ kind: "accessory" }, []],
    [{ features: { a: flag, b: flag } }, ['features: CV 30 bit 0: "a" and "b" both own the same bits']],
  ])("%j", (more, words) => {
    expect(said(more)).toEqual(words);
  });

  test("factory values, rules and a remark are described as they were read; without them there are none", () => {
    const bare = { id: "x1", name: "X1", kind: "multifunction", features: { a: flag } };
    const more = {
      ...{ note: "Invented.", factory: { 1: 3, 30: 1 } },
      rules: [{ rule: "outputs", outputs: [1, 2] }],
    };
    for (const json of [bare, { ...bare, ...more }]) {
      const result = tryDecoderFromJson(json);
      expect(result.value && describeDecoder(result.value)).toEqual(json);
    }
  });

  test("a part is not known where there are none, and brings no feature that is there already", () => {
    const json = { id: "x1", name: "X1", kind: "multifunction", parts: ["lamps"], features: {} };
    const without = tryDecoderFromJson(json);
    expect(without.ok || without.issues.map((one) => messageOf(one))).toEqual([
      'parts.0: there is no part "lamps" here',
    ]);
    const lamps = read(flag).value?.features ?? {};
    const twice = tryDecoderFromJson({ ...json, features: { a: flag } }, { parts: { lamps } });
    expect(twice.ok || twice.issues.map((one) => messageOf(one))).toEqual([
      'features.a: the part "lamps" has a feature of this name already',
    ]);
    const both = tryDecoderFromJson({ ...json, parts: ["lamps", "more"] }, { parts: { lamps, more: lamps } });
    expect(both.ok || both.issues.map((one) => messageOf(one))).toEqual([
      'features.a: the part "more" has a feature of this name already',
    ]);
  });
});

test.each<[string, number, (inner: unknown) => unknown]>([
  ["records", 11, (inner) => ({ codec: "record", fields: { a: inner } })],
  ["what is switched", 22, (inner) => ({ codec: "switched", place: { cv: 1, bit: 0 }, item: inner })],
  [
    "cases of variants",
    5,
    (inner) => ({
      codec: "variant",
      place: { cv: 1, bit: 0 },
      cases: { a: { value: 0, fields: { b: inner } } },
    }),
  ],
])("%s may be nested %d times, and not once more", (_, most, around) => {
  const issuesOf = (times: number) => {
    let feature: unknown = { codec: "no such kind" };
    for (let i = 0; i < times; i++) feature = around(feature);
    const result = tryDecoderFromJson({
      id: "x",
      name: "X",
      kind: "multifunction",
      features: { f: feature },
    });
    return result.ok ? [] : result.issues.map(({ code }) => code);
  };
  // What is within is looked at.
  expect(issuesOf(most)).toEqual(["codec-kind"]);
  expect(issuesOf(most + 1)).toContain("nested-too-deep");
});

test("the schema of a kind of codec from outside: each of its keys by what that holds", () => {
  const make = (): AnyCodec => level(cv(1));
  const all = defineCodecKind({
    needs: {
      p: "place",
      r: "run",
      ps: "places",
      c: "codec",
      cs: "codecs",
      n: "number",
      t: "text",
      b: "boolean",
    },
    may: { ns: "numbers", ts: "texts", j: "json" },
    schema: { n: { minimum: 3 }, j: { type: "null" } },
    note: "Everything.",
    make,
  });
  const short = defineCodecKind({ needs: {}, make });
  const published = {
    title: "T",
    $defs: {
      codec: { properties: { codec: { type: "string", enum: ["flag"] }, label: {} }, allOf: [{ a: 1 }] },
      flag: { properties: { place: {}, label: { type: "string", description: "Its name." } } },
    },
  };
  // Parsed: an object with the key as a literal would look like a promise.
  const when = (name: string): unknown =>
    JSON.parse(`{"if":{"properties":{"codec":{"const":"${name}"}}},"then":{"$ref":"#/$defs/kind:${name}"}}`);
  const string = { type: "string" };
  const label = { type: "string", description: "Its name." };
  expect(descriptionSchema(published, { codecs: { all, short } })).toEqual({
    title: "T",
    $defs: {
      flag: published.$defs.flag,
      codec: {
        properties: { codec: { type: "string", enum: ["flag", "all", "short"] }, label: {} },
        allOf: [{ a: 1 }, when("all"), when("short")],
      },
      "kind:all": {
        description: "Everything.",
        type: "object",
        properties: {
          codec: { const: "all" },
          p: { $ref: "#/$defs/place" },
          r: { $ref: "#/$defs/run" },
          ps: { type: "array", items: { anyOf: [{ $ref: "#/$defs/place" }, { $ref: "#/$defs/run" }] } },
          c: { $ref: "#/$defs/codec" },
          cs: { $ref: "#/$defs/fields" },
          n: { type: "number", minimum: 3 },
          t: string,
          b: { type: "boolean" },
          ns: { type: "array", items: { type: "number" } },
          ts: { type: "array", items: string },
          j: { type: "null" },
          label,
          note: string,
          means: string,
          source: string,
        },
        required: ["codec", "p", "r", "ps", "c", "cs", "n", "t", "b"],
        additionalProperties: false,
      },
      "kind:short": {
        type: "object",
        properties: { codec: { const: "short" }, label, note: string, means: string, source: string },
        required: ["codec"],
        additionalProperties: false,
      },
    },
  });
});

test("kinds from outside that cannot be used: their name, what they are, what they make", () => {
  const place = cv(1);
  const making = (make: () => unknown) => defineCodecKind({ needs: {}, make: make as () => AnyCodec });
  const own = (kind: string) => () =>
    defineCodec<number>({ kind, places: [place], read: () => 1, write: () => {} });
  const said = (codecs: unknown, feature: unknown = flag): string[] => {
    const json = { id: "x1", name: "X1", kind: "multifunction", features: { a: feature } };
    const result = tryDecoderFromJson(json, { codecs: codecs as never });
    return result.ok ? [] : result.issues.map((issue) => messageOf(issue));
  };
  expect(said({ mine: making(own("mine")) }, { codec: "mine" })).toEqual([]);
  expect(said({ "My kind": making(own("mine")) })).toEqual([
    'codecs.My kind: expected small letters, digits and single hyphens, got "My kind"',
  ]);
  expect(said({ flag: making(own("flag")) })).toEqual([
    'codecs.flag: the kind of codec "flag" is built in: give the other one another name',
  ]);
  for (const [none, shown] of [
    [3, "3"],
    [null, "null"],
    [{}, "{}"],
    [{ needs: {}, may: {} }, '{"needs":{},"may":{}}'],
    [{ needs: {}, may: 3, make: 4 }, '{"needs":{},"may":3,"make":4}'],
  ]) {
    expect(said({ mine: none })).toEqual([
      `codecs.mine: expected a kind of codec, as defineCodecKind makes it, got ${shown}`,
    ]);
  }
  expect(said(3)).toEqual(["codecs: expected kinds of codec by name, got 3"]);
  // What it makes.
  expect(said({ mine: making(() => 7) }, { codec: "mine" })).toEqual([
    'features.a: the kind "mine" has to make a codec, and made 7',
  ]);
  for (const other of ["other", "custom"]) {
    expect(said({ mine: making(own(other)) }, { codec: "mine" })).toEqual([
      `features.a: the kind "mine" makes a codec of kind "${other}", which could not be read again: give both the same name`,
    ]);
  }
  // A built-in codec can be described as what it is.
  expect(said({ mine: making(() => level(place)) }, { codec: "mine" })).toEqual([]);
});
