import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import {
  type AnyCodec,
  type CodecKinds,
  CvSet,
  cv,
  decoderFromJson,
  defineCodec,
  defineCodecKind,
  derived,
  describe as describeDecoder,
  descriptionSchema,
  jsonOf,
  type KeyTypes,
  level,
  messageOf,
  type Place,
  type Result,
  type Run,
  tryDecoderFromJson,
} from "cvset";
import { checkLaws, decoders } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, expectTypeOf, test } from "vitest";
import { root } from "../support/tree.js";

const said = (result: Result<unknown>): string[] =>
  result.ok ? [] : result.issues.map((issue) => messageOf(issue));

/** Two decimal digits to a byte. */
const bcd = defineCodecKind({
  needs: { place: "place" },
  may: { max: "number" },
  schema: { max: { type: "integer", minimum: 1, maximum: 99 } },
  note: "A number in two decimal digits.",
  make({ place, max = 99 }, about) {
    expectTypeOf(place).toEqualTypeOf<Place>();
    if (max > 99) throw new Error("two digits hold at most 99");
    return defineCodec<number>({
      kind: "bcd",
      places: [place],
      about,
      read(cvs) {
        const n = Number(place.read(cvs).toString(16));
        if (!(n <= max)) throw new Error(`no number of two digits up to ${max}`);
        return n;
      },
      write(cvs, n) {
        if (!Number.isInteger(n) || n < 0 || n > max) throw new Error(`expected 0 to ${max}`);
        place.write(cvs, Number.parseInt(`${n}`, 16));
      },
      schema: () => ({ type: "integer", minimum: 0, maximum: max }),
      json: () => ({ place: place.toJSON(), ...(max !== 99 && { max }) }),
    }) as AnyCodec;
  },
});

/** A checksum that counts the ones. */
const ones = defineCodecKind({
  needs: { place: "place", from: "places" },
  make: ({ place, from }, about) =>
    derived(place, {
      ...about,
      from,
      kind: "ones",
      by: (numbers) => numbers.reduce((sum, n) => sum + n.toString(2).replaceAll("0", "").length, 0),
      json: () => ({ place: place.toJSON(), from: from.map((one) => one.toJSON()) }),
    }) as AnyCodec,
});

/** What is within counts only while a place holds a number. */
const keyed = defineCodecKind({
  needs: { item: "codec", place: "place", key: "number" },
  make: ({ item, place, key }, about) =>
    defineCodec({
      kind: "keyed",
      item,
      places: [place],
      about,
      read(cvs, inner) {
        if (place.read(cvs) !== key) throw new Error(`the key must be ${key}`);
        return inner.read(cvs);
      },
      write(cvs, value, inner) {
        place.write(cvs, key);
        inner.write(cvs, value);
      },
      json: (inner) => ({ item: inner, place: place.toJSON(), key }),
    }),
});

/** Several kinds in one, made of built-in ones. */
const percent = defineCodecKind({
  needs: { place: "place" },
  make: ({ place }, about) => level(place, { step: 0.5, max: 100, unit: "%", ...about }) as AnyCodec,
});

const codecs: CodecKinds = { bcd, ones, keyed, percent };

const description = {
  id: "sandpiper-t2",
  name: "Sandpiper T2",
  kind: "multifunction",
  features: {
    hour: { codec: "bcd", place: 120, max: 23, label: "Hour" },
    clock: {
      codec: "record",
      fields: {
        minute: { codec: "bcd", place: 121, max: 59 },
        on: { codec: "flag", place: { cv: 122, bit: 0 } },
      },
    },
    secret: {
      codec: "keyed",
      item: { codec: "record", fields: { day: { codec: "bcd", place: 123 } } },
      place: 124,
      key: 5,
    },
    volume: { codec: "percent", place: 125 },
    check: {
      codec: "ones",
      place: 130,
      from: [
        { cv: 120, through: 121 },
        { cv: 122, bit: 0 },
      ],
      label: "Ones",
    },
  },
};

const decoder = decoderFromJson(description, { codecs });
const cvs = CvSet.from({ 120: 0x23, 121: 0x59, 122: 1, 123: 0x31, 124: 5, 125: 200, 130: 3 + 4 + 1 });

describe("kinds of codec from outside in a description", () => {
  test("are made, in every depth, and nest with the built-in ones", () => {
    expect(decoder.decode(cvs)).toEqual({
      hour: 23,
      clock: { minute: 59, on: true },
      secret: { day: 31 },
      volume: 100,
    });
    expect(decoder.encode({ hour: 7 }, cvs).get(120)).toBe(7);
    expect(decoder.encode({ hour: 7 }, cvs).get(130)).toBe(3 + 4 + 1);
    expect(decoder.features["hour"]?.about).toEqual({ label: "Hour" });
    expect(said(decoder.tryEncode({ hour: 24, clock: { minute: 60 } }))).toEqual([
      "hour: bcd: expected 0 to 23",
      "clock.minute: bcd: expected 0 to 59",
    ]);
  });

  test("describe writes what gives the same decoder again, with the same kinds", () => {
    const json = JSON.parse(JSON.stringify(describeDecoder(decoder)));
    expect(json.features.hour).toEqual(description.features.hour);
    expect(json.features.secret).toEqual(description.features.secret);
    expect(json.features.check).toEqual(description.features.check);
    // A kind that makes a built-in codec is written as that.
    expect(json.features.volume).toEqual({ codec: "level", place: 125, step: 0.5, max: 100, unit: "%" });
    const again = decoderFromJson(json, { codecs });
    expect(describeDecoder(again)).toEqual(describeDecoder(decoder));
    expect(again.decode(cvs)).toEqual(decoder.decode(cvs));
    const settings = { hour: 1, clock: { minute: 2, on: false }, secret: { day: 3 }, volume: 4 };
    expect(again.encode(settings, cvs).equals(decoder.encode(settings, cvs))).toBe(true);
    expect(checkLaws(decoder, { codecs, runs: 25 }).left).toEqual([]);
  });

  test("an unknown kind is refused with its path, its name, and the kinds that there are", () => {
    const known =
      '"flag", "choice", "level", "flags", "table", "text", "record", "variant", "switched", "converted", "derived"';
    const hint = "Other kinds come from plug-ins, which the caller gives";
    expect(said(tryDecoderFromJson(description))).toEqual(
      ["hour", "clock.fields.minute", "secret", "volume", "check"].map(
        (path, i) =>
          `features.${path}.codec: there is no kind of codec "${["bcd", "bcd", "keyed", "percent", "ones"][i]}"; the kinds are ${known}. ${hint}`,
      ),
    );
    const misspelt = { ...description, features: { hour: { codec: "bcb", place: 120 } } };
    expect(said(tryDecoderFromJson(misspelt, { codecs }))).toEqual([
      `features.hour.codec: there is no kind of codec "bcb"; the kinds are ${known}, "bcd" and 3 more. ${hint}; nearest: "bcd"`,
    ]);
    expect(
      said(tryDecoderFromJson({ ...description, features: { hour: { codec: "toString" } } }, { codecs }))[0],
    ).toContain('no kind of codec "toString"');
  });

  test.each<[string, object, string]>([
    [
      "a key too many",
      { max: 23, base: 10 },
      "features.hour.base: there is no such name; the names are place, max",
    ],
    ["a key too few", { place: undefined }, "features.hour.place: a value is needed"],
    ["a key of the wrong type", { max: "23" }, 'features.hour.max: expected a number, got "23"'],
    [
      "a run for a place",
      { place: { cv: 1, through: 3 } },
      "features.hour.place: expected the bits of one value",
    ],
    ["keys that the kind refuses", { max: 100 }, "features.hour: bcd: two digits hold at most 99"],
    ["a label that is no text", { label: 3 }, "features.hour.label: expected a text"],
  ])("%s is refused with its path", (_, change, words) => {
    const hour = JSON.parse(JSON.stringify({ ...description.features.hour, ...change }));
    const result = tryDecoderFromJson({ ...description, features: { hour } }, { codecs });
    expect(said(result).join("\n")).toContain(words);
  });

  test.each<[string, unknown, string]>([
    ["the name of a built-in one", { flag: bcd }, 'codecs.flag: the kind of codec "flag" is built in'],
    ...["make", "needs", "may", "schema"].map((key): [string, object, string] => [
      `one without ${key}`,
      { bcd: { needs: {}, may: {}, schema: {}, make: () => level(cv(1)), [key]: 5 } },
      "codecs.bcd: expected a kind of codec, as defineCodecKind makes it",
    ]),
    ["a name that files cannot have", { "BCD clock": bcd }, "codecs.BCD clock: expected small letters"],
    [
      "something that is no kind",
      { bcd: () => 3 },
      "codecs.bcd: expected a kind of codec, as defineCodecKind makes it",
    ],
    ["no map", [bcd], "codecs: expected kinds of codec by name"],
    ["no map, but null", null, "codecs: expected kinds of codec by name, got null"],
  ])("kinds with %s are refused", (_, wrong, words) => {
    const result = tryDecoderFromJson(description, { codecs: wrong as CodecKinds });
    expect(said(result).join("\n")).toContain(words);
  });

  test.each<[string, () => unknown, string]>([
    ["no codec", () => 3, 'the kind "odd" has to make a codec, and made 3'],
    ["nothing", () => undefined, 'the kind "odd" has to make a codec, and made undefined'],
    [
      "a codec of another kind",
      () => defineCodec({ kind: "even", places: [cv(1)], read: () => 1, write: () => {} }),
      'the kind "odd" makes a codec of kind "even", which could not be read again',
    ],
    [
      "a value that a function works out, without a name",
      () => derived(cv(1), { from: [cv(2)], by: () => 1, json: () => ({}) }),
      'the kind "odd" makes a codec of kind "derived", which could not be read again',
    ],
  ])("a kind that makes %s is refused", (_, make, words) => {
    const odd = defineCodecKind({ needs: {}, make: make as () => AnyCodec });
    const result = tryDecoderFromJson(
      { ...description, features: { x: { codec: "odd" } } },
      { codecs: { odd } },
    );
    expect(said(result).join("\n")).toContain(`features.x: ${words}`);
  });

  test("keys hold what they say", () => {
    let seen: unknown;
    const all = defineCodecKind({
      needs: {
        place: "place",
        run: "run",
        places: "places",
        item: "codec",
        parts: "codecs",
        number: "number",
        text: "text",
        boolean: "boolean",
        numbers: "numbers",
        texts: "texts",
        json: "json",
      },
      make(keys) {
        expectTypeOf(keys.run).toEqualTypeOf<Run>();
        expectTypeOf(keys.places).toEqualTypeOf<readonly (Place | Run)[]>();
        expectTypeOf(keys.parts).toEqualTypeOf<KeyTypes["codecs"]>();
        seen = keys;
        return keys.item;
      },
    });
    const keys = {
      place: 1,
      run: { cv: 2, through: 4 },
      places: [5, { cv: 6, through: 7 }],
      item: { codec: "flag", place: { cv: 8, bit: 1 } },
      parts: { a: { codec: "bcd", place: 9 } },
      number: 1.5,
      text: "a",
      boolean: false,
      numbers: [1, 2],
      texts: ["a", "b"],
      json: { any: [null] },
    };
    decoderFromJson(
      { ...description, features: { x: { codec: "all", ...keys, label: "X" } } },
      { codecs: { all, bcd } },
    );
    const { place, run, places, item, parts, ...plain } = seen as Record<string, unknown> & {
      item: AnyCodec;
      parts: Record<string, AnyCodec>;
      places: unknown[];
    };
    expect([String(place), String(run), places.map(String)]).toEqual(["CV 1", "CV 2-4", ["CV 5", "CV 6-7"]]);
    expect([item.kind, parts["a"]?.kind]).toEqual(["flag", "bcd"]);
    const { number, text, boolean, numbers, texts, json } = keys;
    expect(plain).toEqual({ number, text, boolean, numbers, texts, json });
  });

  test.each<[string, object, string]>([
    ["a name that every codec's key has", { needs: { label: "text" } }, 'has the key "label" already'],
    ["an unknown type", { needs: { x: "byte" } }, '"byte" is not an option; the options are "place", "run"'],
    [
      "a key twice",
      { needs: { x: "text" }, may: { x: "text" } },
      'the key "x" is needed and may be left out at once',
    ],
  ])("a kind with %s is refused when it is defined", (_, wrong, words) => {
    expect(() => defineCodecKind({ make: () => jsonOf as never, ...wrong } as never)).toThrow(words);
  });

  test("without them, descriptions are read as before", () => {
    fc.assert(
      fc.property(decoders(), (any) => {
        const json = JSON.parse(JSON.stringify(describeDecoder(any)));
        expect(describeDecoder(decoderFromJson(json, { codecs }))).toEqual(json);
      }),
      { numRuns: 40 },
    );
  });
});

describe("the JSON Schema of descriptions with them", () => {
  const published = JSON.parse(readFileSync(`${root}src/decoder/decoder.schema.json`, "utf8"));
  const ajv = new Ajv2020({
    strict: true,
    allowUnionTypes: true,
    strictTuples: false,
    strictRequired: false,
  });
  const plain = ajv.compile(published);
  const extended = ajv.compile({ ...descriptionSchema(published, { codecs }), $id: "urn:test:extended" });

  test("accepts what they read, and refuses what they refuse", () => {
    expect(plain(description)).toBe(false);
    expect(extended(description), JSON.stringify(extended.errors)).toBe(true);
    expect(extended(JSON.parse(JSON.stringify(describeDecoder(decoder))))).toBe(true);
    const reads = (json: unknown) => tryDecoderFromJson(json, { codecs }).ok;
    expect([reads(description), reads(describeDecoder(decoder))]).toEqual([true, true]);
    for (const hour of [
      { codec: "bcd" },
      { codec: "bcd", place: 120, max: 100 },
      { codec: "bcd", place: 120, base: 10 },
      { codec: "bcd", place: { cv: 1, through: 3 } },
      { codec: "bcb", place: 120 },
      { codec: "keyed", place: 1, key: 2, item: { codec: "bcd" } },
    ]) {
      expect(extended({ ...description, features: { hour } }), JSON.stringify(hour)).toBe(false);
      expect(reads({ ...description, features: { hour } }), JSON.stringify(hour)).toBe(false);
    }
  });

  test("is the published one where there are none, which knows derived values", () => {
    expect(descriptionSchema(published)).toEqual(published);
    const check = {
      codec: "derived",
      place: 9,
      from: [1, { cv: 2, through: 3 }],
      by: "xor",
      start: 3,
      label: "Check",
    };
    expect(plain({ ...description, features: { check } })).toBe(true);
    expect(plain({ ...description, features: { check: { ...check, by: "product" } } })).toBe(false);
    expect(plain({ ...description, features: { check: { ...check, from: [] } } })).toBe(false);
  });
});
