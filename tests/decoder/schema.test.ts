import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import {
  choice,
  cv,
  defineDecoder,
  describe as describeDecoder,
  settingsSchema,
  tryDecoderFromJson,
} from "cvset";
import { readSettings } from "cvset/files";
import { decoders } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { timesUsual } from "../support/runs.js";
import { root } from "../support/tree.js";

// JSON Schema draft 2020-12, checked with ajv: what the published schema refuses the reader refuses too, and
// what describe() writes both accept.

const schema = JSON.parse(readFileSync(`${root}src/decoder/decoder.schema.json`, "utf8"));
const validate = new Ajv2020({
  strict: true,
  strictTypes: false,
  strictRequired: false,
  allErrors: true,
}).compile(schema);
const reads = (json: unknown): boolean => tryDecoderFromJson(json).ok;

type Obj = Record<string, unknown>;
const base = (features: Obj, rest: Obj = {}): Obj => ({
  id: "x1",
  name: "X1",
  kind: "multifunction",
  features,
  ...rest,
});

test.each(["quillback-s8", "dunlin-m6"])("both accept the example %s", (name) => {
  const json = JSON.parse(readFileSync(`${root}docs/examples/${name}.json`, "utf8"));
  expect(validate(json), JSON.stringify(validate.errors)).toBe(true);
  expect(reads(json)).toBe(true);
});

test("both accept what describe() writes of any decoder", () => {
  fc.assert(
    fc.property(decoders(), (decoder) => {
      const json = JSON.parse(JSON.stringify(describeDecoder(decoder)));
      expect(validate(json), JSON.stringify(validate.errors)).toBe(true);
      expect(describeDecoder(tryDecoderFromJson(json).value ?? decoder)).toEqual(json);
      expect(reads(json)).toBe(true);
    }),
  );
});

/** One JSON value with one thing in it changed. */
function mutants(json: unknown): fc.Arbitrary<unknown> {
  const spots: { readonly in: Obj | unknown[]; readonly key: string }[] = [];
  const visit = (value: unknown): void => {
    if (typeof value !== "object" || value === null) return;
    for (const [key, item] of Object.entries(value)) {
      spots.push({ in: value as Obj, key });
      visit(item);
    }
  };
  visit(json);
  const odd = fc.constantFrom<unknown>(null, true, -1, 1.5, 1e9, "", "x", [], {}, [1], { cv: 1 }, { a: 1 });
  return fc
    .tuple(fc.nat({ max: spots.length - 1 }), fc.constantFrom("drop", "add", "replace"), odd)
    .map(([at, how, value]) => {
      const spot = spots[at];
      return JSON.parse(JSON.stringify(json), function (this: Obj, key, item: unknown) {
        // Copies are told apart by their place: the same key under the same JSON.
        const here = spot && key === spot.key && JSON.stringify(this) === JSON.stringify(spot.in);
        if (!here) return item;
        if (how === "drop") return undefined;
        if (how === "replace") return value;
        if (!Array.isArray(this)) this[`${key}x`] = value;
        return item;
      });
    });
}

test("what the schema refuses, the reader refuses", () => {
  const numRuns = timesUsual(4);
  let refused = 0;
  fc.assert(
    fc.property(
      decoders({ maxFeatures: 3 })
        .filter((decoder) => Object.keys(decoder.features).length > 0)
        .chain((decoder) => mutants(JSON.parse(JSON.stringify(describeDecoder(decoder))))),
      (json) => {
        if (validate(json)) return;
        refused++;
        expect(reads(json), `${JSON.stringify(json)}\n${JSON.stringify(validate.errors)}`).toBe(false);
      },
    ),
    { numRuns },
  );
  expect(refused).toBeGreaterThan(numRuns / 5);
});

// What depends on other parts of a description, a JSON Schema cannot say.
const beyondSchema = ["an unknown part", "options that do not fit", "the same bit twice"];

describe("descriptions that are wrong are refused with every fault and its path", () => {
  test.each<[string, unknown, string[]]>([
    ["nothing", undefined, [""]],
    ["a list", [], [""]],
    ["an empty object", {}, ["features", "id", "kind", "name"]],
    ["wrong types", { id: 1, name: 2, kind: 3, features: 4 }, ["features", "id", "kind", "name"]],
    ["a bad id and kind", base({}, { id: "X 1", kind: "steam" }), ["id", "kind"]],
    ["an unknown key", base({}, { feature: {} }), ["feature"]],
    ["an unknown part", base({}, { parts: ["locomtive"] }), ["parts.0"]],
    [
      "factory values that are no bytes",
      base({}, { factory: { "1": 256, "1025": 3 } }),
      ["factory", "factory"],
    ],
    [
      "codecs of no kind",
      base({ a: 1, b: {}, c: { codec: "flg" }, d: [] }),
      ["features.a", "features.b.codec", "features.c.codec", "features.d"],
    ],
    [
      "places that do not exist",
      base({
        a: { codec: "flag", place: 29 },
        b: { codec: "flag", place: { cv: 29, bit: 8 } },
        c: { codec: "flag", place: { bit: 3 } },
        d: { codec: "level", place: { cv: 0 } },
        e: { codec: "level", place: { cv: 30, bit: 1, bits: [1, 2] } },
        f: { codec: "level", place: { cv: 67, through: 94 } },
        g: { codec: "table", place: 67 },
        h: { codec: "level", place: "29@16.0" },
        i: { codec: "level", place: { cv: 31, bits: [3, 1] } },
        j: { codec: "level", place: { cv: 31, bits: [1] } },
      }),
      [
        "features.a",
        "features.b.place",
        "features.c.place.cv",
        "features.d.place",
        "features.e.place",
        "features.f.place",
        "features.g.place",
        "features.h.place",
        "features.i.place",
        "features.j.place",
      ],
    ],
    [
      "options that do not fit",
      base({
        a: { codec: "choice", place: { cv: 1, bits: [0, 1] }, options: { x: 4 } },
        b: { codec: "choice", place: 2, options: { x: 1, y: 1 } },
      }),
      ["features.a", "features.b"],
    ],
    [
      "the same bit twice",
      base({ a: { codec: "flag", place: { cv: 1, bit: 0 } }, b: { codec: "level", place: 1 } }),
      ["features"],
    ],
    [
      "names that cannot be used",
      base({
        "a.b": { codec: "flag", place: { cv: 1, bit: 0 } },
        constructor: { codec: "flag", place: { cv: 2, bit: 0 } },
      }),
      ["features", "features"],
    ],
    [
      "__proto__ as a name",
      JSON.parse(
        '{"id":"x1","name":"X1","kind":"multifunction","features":{"__proto__":{"codec":"flag","place":{"cv":1,"bit":0}}}}',
      ),
      ["features"],
    ],
  ])("%s", (name, json, paths) => {
    const result = tryDecoderFromJson(json);
    if (result.ok) throw new Error("it was accepted");
    expect(result.issues.map(({ path }) => path).sort()).toEqual(paths);
    expect(validate(json ?? null)).toBe(beyondSchema.includes(name));
  });

  test("nesting without an end is an issue, not a crash", () => {
    let codec: unknown = { codec: "flag", place: { cv: 1, bit: 0 } };
    for (let i = 0; i < 20_000; i++) codec = { codec: "record", fields: { a: codec } };
    const result = tryDecoderFromJson(base({ deep: codec }));
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["nested-too-deep"]);
  });
});

describe("the schema of settings files and the reader of settings files", () => {
  const decoder = defineDecoder({
    id: "x1",
    name: "X1",
    kind: "multifunction",
    features: { whistle: choice(cv(218), { low: 2, high: 5 }) },
  });
  const fits = new Ajv2020({ strict: true, strictTypes: false }).compile(settingsSchema(decoder));
  const settings = { whistle: "low" };
  test.each<[Obj, boolean]>([
    [{ settings }, true],
    [{ $schema: "x1.schema.json", decoder: "x1", name: "No. 9", note: "after the overhaul", settings }, true],
    [{ silence: [{ rule: "primary-address", cvs: ["1", 29], reason: "on purpose" }], settings }, true],
    [{ silence: [], settings }, true],
    [{ setings: settings }, false],
    [{ settings, extra: 1 }, false],
    [{ settings: [] }, false],
    [{}, false],
    [{ name: 9, settings }, false],
  ])("agree about %j", (json, good) => {
    expect(fits(json)).toBe(good);
    expect(readSettings(JSON.stringify(json)).ok).toBe(good);
  });

  test.each<Obj>([
    { settings: { whistle: "middle" } },
    { settings: { bell: true } },
    { decoder: "x2", settings },
    // What only a check of the set reads.
    { silence: [{ rule: "primary-address" }], settings },
    { silence: [{ rule: "primary-address", cvs: [], reason: "on purpose" }], settings },
    { silence: {}, settings },
  ])("the schema alone refuses %j", (json) => {
    expect(fits(json)).toBe(false);
    expect(readSettings(JSON.stringify(json)).ok).toBe(true);
  });
});
