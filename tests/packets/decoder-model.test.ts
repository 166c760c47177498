import { CvSet, cv, defineDecoder, derived, flag, level, page } from "cvset";
import { factoryDefaults, locomotive, nmra, nmraAccessory } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { keyOf } from "../../src/cv/name.js";
import { type DecoderModel, decoderFacts } from "../../src/packets/decoder-model.js";
import { saidBy } from "../support/said.js";

// What plans, readings and simulated decoders know of a decoder: from its description, or a model in its place.

/** The facts as plain values; which CVs of some are read-only. */
function known(decoder: Parameters<typeof decoderFacts>[0], asked: readonly (string | number)[] = []) {
  const facts = decoderFacts(decoder);
  return {
    kind: facts.kind,
    modes: facts.modes,
    factory: facts.factory.toJSON(),
    keys: [...facts.keys()].sort((a, b) => a - b),
    derived: [...facts.derived].map(([key, from]) => [key, ...from]),
    readOnly: asked.filter((name) => facts.isReadOnly(keyOf(String(name)))),
  };
}
const key = (name: string): number => keyOf(name);

describe("a model", () => {
  test("has the CVs of its factory values and the further ones, and CV 31 and 32 where it has pages", () => {
    expect(known({ kind: "multifunction", factory: { 1: 3, 29: 6 } })).toEqual({
      kind: "multifunction",
      modes: undefined,
      factory: { 1: 3, 29: 6 },
      keys: [1, 29],
      derived: [],
      readOnly: [],
    });
    const paged = known({
      kind: "accessory",
      factory: CvSet.from({ 1: 3 }),
      cvs: [50, "300@16.0", 1024],
      modes: ["direct"],
    });
    expect(paged).toEqual({
      kind: "accessory",
      modes: ["direct"],
      factory: { 1: 3 },
      keys: [1, 31, 32, 50, 1024, key("300@16.0")],
      derived: [],
      readOnly: [],
    });
    const { has } = decoderFacts({ kind: "multifunction", factory: { 1: 3 }, cvs: new Set(["7"]) });
    expect([1, 7, 2].map(has)).toEqual([true, true, false]);
  });

  test("cannot write CV 7 and 8, and those that it names", () => {
    const asked = [1, 7, 8, 50, "300@16.0", 519];
    const model: DecoderModel = { kind: "multifunction", factory: {}, readOnly: [50, "300@16.0"] };
    expect(known(model, asked).readOnly).toEqual([7, 8, 50, "300@16.0"]);
    expect(known({ kind: "multifunction", factory: {} }, asked).readOnly).toEqual([7, 8]);
    // S-9.2.2 (July 2012), Table 3: CV 519 and 520 are the aliases of CV 7 and 8.
    expect(known({ kind: "accessory", factory: {} }, asked).readOnly).toEqual([7, 8, 519]);
  });

  test("has values that are worked out, each with all that it is worked out from", () => {
    const list = [
      { cv: 60, from: [50, 51] },
      { cv: "300@16.0", from: new Set([60]) },
      { cv: 60, from: [52, 50] },
    ];
    expect(known({ kind: "multifunction", factory: {}, derived: list }).derived).toEqual([
      [60, 50, 51, 52],
      [key("300@16.0"), 60],
    ]);
  });

  test("that names what is no CV, or is none, is refused", () => {
    const said = (more: object) =>
      saidBy(() => decoderFacts({ kind: "multifunction", factory: {}, ...more } as never));
    const notACv = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
    const rows: readonly (readonly [string, object])[] = [
      [`${notACv} 0`, { cvs: [0] }],
      [`${notACv} "300@16"`, { readOnly: ["300@16"] }],
      [`${notACv} 1025`, { derived: [{ cv: 1025, from: [] }] }],
      [`${notACv} 1.5`, { derived: [{ cv: 1, from: [1.5] }] }],
      [
        'decoder.kind: "loco" is not an option; the options are "multifunction", "accessory"',
        { kind: "loco" },
      ],
      ["decoder.factory: expected an object with CV numbers as keys, got 5", { factory: 5 }],
      ["decoder.factory: CV 1: expected a whole number from 0 to 255, got 256", { factory: { 1: 256 } }],
      ["decoder.cvs: expected what can be iterated over, got 5", { cvs: 5 }],
      ['decoder.readOnly: expected what can be iterated over, got "50"', { readOnly: "50" }],
      ["decoder.derived: expected what can be iterated over, got 5", { derived: 5 }],
      ["decoder.derived.0: expected an object, got null", { derived: [null] }],
      [
        'decoder.derived.0.from: expected what can be iterated over, got "17"',
        { derived: [{ cv: 1, from: "17" }] },
      ],
      [
        'decoder.modes.0: "dirct" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
        { modes: ["dirct"] },
      ],
    ];
    expect(rows.map(([, more]) => said(more))).toEqual(rows.map(([text]) => [text]));
    expect(saidBy(() => decoderFacts({ kind: "multifunction" } as never))).toEqual([
      'decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {"kind":"multifunction"}',
    ]);
  });
});

describe("a description", () => {
  test("has the CVs of its bits, its factory values, and what is worked out", () => {
    const decoder = defineDecoder({
      id: "small",
      name: "Small",
      kind: "multifunction",
      features: {
        pitch: level(cv(120)),
        volume: level(page(16, 0).cv(300)),
        lamp: flag(cv(123).bit(2)),
        sum: derived(cv(122), { from: [cv(120), page(16, 0).cv(300)], by: "sum" }),
      },
      factory: { 120: 9, "300@16.0": 3, 122: 12, 123: 0 },
    });
    const paged = key("300@16.0");
    expect(known(decoder, [7, 120])).toEqual({
      kind: "multifunction",
      modes: undefined,
      factory: { 120: 9, 122: 12, 123: 0, "300@16.0": 3 },
      keys: [31, 32, 120, 122, 123, paged],
      derived: [[122, 120, paged]],
      readOnly: [7],
    });
  });

  test("without factory values has its CVs all the same; of the standard's own nothing is worked out", () => {
    for (const [decoder, kind] of [
      [nmra, "multifunction"],
      [nmraAccessory, "accessory"],
    ] as const) {
      const facts = known(decoder);
      expect([facts.kind, facts.derived]).toEqual([kind, []]);
      expect(facts.keys).toEqual(decoder.bits.map(({ cv }) => key(cv)));
    }
    const bare = defineDecoder({
      id: "bare",
      name: "Bare",
      kind: "multifunction",
      features: { ...locomotive, own: level(cv(120)) },
      factory: factoryDefaults,
    });
    expect(decoderFacts(bare).factory.toJSON()).toEqual(bare.defaults().toJSON());
    expect(decoderFacts(bare).has(120)).toBe(true);
  });
});
