import { readFileSync } from "node:fs";
import {
  type AnyCodec,
  choice,
  converted,
  cv,
  defineCodec,
  defineDecoder,
  derived,
  flag,
  level,
  messageOf,
  record,
  switched,
  table,
  variant,
} from "cvset";
import { decibelsOf, meaningNotes, meaningsOf, shareOfDecibels, type Term, vocabulary } from "cvset/meaning";
import { nmra, nmraAccessory } from "cvset/standard";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { expectNear } from "../support/near.js";

const byName = new Map(vocabulary.map((term) => [term.name, term]));

describe("the vocabulary", () => {
  test("each term is there once, and can be written in a list with commas", () => {
    expect(byName.size).toBe(vocabulary.length);
    for (const { name } of vocabulary) expect(name).toMatch(/^[a-z0-9LED]+([ -][a-z0-9]+)*$/);
  });

  test("each has one sentence that says what it means, and more than its name", () => {
    for (const { name, definition } of vocabulary) {
      expect(definition, name).toMatch(/^[A-Z0-9][^\n]*\.$/);
      expect(definition.match(/[.!?] [A-Z]/), name).toBeNull();
      expect(
        definition
          .toLowerCase()
          .replace(/[^a-z ]/g, "")
          .trim(),
        name,
      ).not.toBe(name);
    }
  });

  test("wider terms, and what options belong to, are terms too, and run in no circle", () => {
    for (const term of vocabulary) {
      if (term.of !== undefined) expect(byName.get(term.of)?.type, term.name).not.toBe("option");
      if (term.of !== undefined) expect(term.type, term.name).toBe("option");
      const seen = new Set<string>();
      for (
        let at: Term | undefined = term;
        at;
        at = at.kindOf === undefined ? undefined : byName.get(at.kindOf)
      ) {
        expect(seen.has(at.name), term.name).toBe(false);
        seen.add(at.name);
        if (at.kindOf !== undefined) expect(byName.has(at.kindOf), at.kindOf).toBe(true);
      }
    }
  });

  test("a quantity has a unit, and nothing else has", () => {
    const units = { share: "%", time: "s", length: "mm", speed: "km/h", frequency: "Hz" };
    for (const { name, type, unit } of vocabulary) expect(unit, name).toBe(units[type as keyof typeof units]);
  });

  test("options stand with what they are options of, in their order; wider terms with their kinds", () => {
    const options: Record<string, string[]> = {};
    const kinds: Record<string, string[]> = {};
    const amounts: Record<string, number> = {};
    for (const { name, type, of, kindOf, rank, amount } of vocabulary) {
      const at = rank === undefined ? name : `${rank} ${name}`;
      if (type === "option") options[of ?? "any"] = [...(options[of ?? "any"] ?? []), at];
      if (kindOf !== undefined) kinds[kindOf] = [...(kinds[kindOf] ?? []), name];
      if (amount !== undefined) amounts[name] = amount;
    }
    const chimes = ["one-note", "two-note", "three-chime", "four-chime", "five-chime", "six-chime"];
    expect(options).toEqual({
      whistle: chimes.map((one, i) => `${i + 1} ${one} whistle`),
      horn: [1, 2, 3, 5].map((rank) => `${rank} ${chimes[rank - 1]} horn`),
      bell: ["bright bell", "dull bell", "cracked bell"],
      exhaust: ["1 soft exhaust", "2 crisp exhaust", "3 heavy exhaust", "two-engine exhaust"],
      "air pump": [
        "single-stage air pump",
        "compound air pump",
        "two compound air pumps",
        "two single-stage air pumps",
      ],
      injector: ["lifting injector", "non-lifting injector", "feed-water pump"],
      firing: ["coal", "wood", "oil", "gas"],
      cylinders: ["two engines of two cylinders"],
      reverser: ["lever reverser", "screw reverser", "power reverser"],
      "lamp effect": [
        "steady",
        "dimmed",
        "dimmable",
        "dimmed while standing",
        "dynamo lamp",
        "oscillating",
        "rotating",
        "flashing",
        "alternating flash",
        "strobe",
        "double strobe",
        "flicker",
        "oil lamp",
        "firebox glow",
      ],
      "lamp direction": ["both directions", "forward only", "reverse only"],
      any: ["none", "off", "on", "full"],
      "sound level": ["silent"],
      duration: ["continuous"],
      interval: ["never"],
    });
    expect(kinds).toEqual({
      "dull bell": ["cracked bell"],
      "compound air pump": ["two compound air pumps"],
      "single-stage air pump": ["two single-stage air pumps"],
      "air pump": ["compressor"],
      lamp: [
        "headlight",
        "rear light",
        "cab light",
        "firebox light",
        "number boards",
        "marker lights",
        "ditch lights",
        "running-gear lights",
        "beacon",
        "gauge lights",
      ],
      steady: ["dimmed", "dimmable", "dynamo lamp"],
      dimmable: ["dimmed while standing"],
      flashing: ["alternating flash"],
      strobe: ["double strobe"],
      flicker: ["oil lamp", "firebox glow"],
      none: ["off"],
    });
    expect(amounts).toEqual({ silent: 0, full: 100, continuous: Infinity, never: Infinity });
  });

  test("groups follow each other, and the outputs are numbered", () => {
    expect([...new Set(vocabulary.map(({ group }) => group))]).toEqual([
      "signals",
      "engine sounds",
      "prime facts",
      "lamps",
      "lamp effects",
      "aspects",
      "motion",
      "outputs",
      "general",
    ]);
    expect(vocabulary.filter(({ type }) => type === "output")).toEqual(
      Array.from({ length: 16 }, (_, i) => ({
        name: `output ${i + 1}`,
        group: "outputs",
        type: "output",
        definition: `The settings belong to output ${i + 1}, whatever is connected there.`,
      })),
    );
  });

  test("it cannot be changed", () => {
    expect(Object.isFrozen(vocabulary)).toBe(true);
    expect(vocabulary.every((term) => Object.isFrozen(term))).toBe(true);
  });

  test("the guide lists every term with its type, unit and definition, of the outputs the first", () => {
    const guide = readFileSync(new URL("../../docs/translating.md", import.meta.url), "utf8");
    for (const { name, type, unit = "", definition } of vocabulary) {
      if (type === "output" && name !== "output 1") continue;
      expect(guide).toContain(`| ${name} | ${type}${unit && `, ${unit}`} | ${definition} |`);
    }
  });
});

describe("decibels", () => {
  test("against 20 log10 of the share", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1000, noNaN: true }), (share) => {
        expectNear(decibelsOf(share), (20 * Math.log(share / 100)) / Math.LN10, { scale: 1 });
        expectNear(shareOfDecibels(decibelsOf(share)), share);
      }),
    );
  });

  // 20 log10 of a half, a tenth, a hundredth; and of the square root of a half, the half power point.
  test.each([
    [100, 0],
    [50, -6.0206],
    [70.7107, -3.0103],
    [10, -20],
    [1, -40],
    [200, 6.0206],
  ])("a share of %d, in percent, is %d dB", (share, decibels) => {
    expect(decibelsOf(share)).toBeCloseTo(decibels, 4);
    expect(shareOfDecibels(decibels)).toBeCloseTo(share, 2);
  });

  test("nothing is infinitely quiet", () => expect(decibelsOf(0)).toBe(-Infinity));
});

const describing = (features: Parameters<typeof defineDecoder>[0]["features"]) =>
  defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features });

describe("notes on a description", () => {
  test.each([quillback, dunlin, nmra, nmraAccessory])("$id uses the vocabulary as it is", (decoder) => {
    expect(meaningNotes(decoder).map((note) => messageOf(note))).toEqual([]);
  });

  test("say what is not known, with the nearest", () => {
    const decoder = describing({
      whistle: choice(
        cv(120),
        { low: { value: 1, means: "one-note wistle" }, high: { value: 2, means: "coal" } },
        { means: "whistel" },
      ),
      horn: choice(
        cv(121),
        { low: { value: 1, means: "horn" }, high: { value: 2, means: "coal" } },
        { means: "horn" },
      ),
      fire: flag(cv(122).bit(0), { means: "coal" }),
      drains: level(cv(123), { unit: "mm", means: "drain cocks, duration" }),
      bell: choice(
        cv(124),
        { a: { value: 1, means: "dull bell" }, b: { value: 2, means: "dull bell" } },
        { means: "bell" },
      ),
    });
    expect(meaningNotes(decoder).map((note) => messageOf(note))).toEqual([
      'whistle: the vocabulary has no term "whistel"; nearest: "whistle"',
      'whistle.low: the vocabulary has no term "one-note wistle"; nearest: "one-note whistle", "two-note whistle", "one-note horn"',
      'horn: option "low": "horn" says what a setting is and cannot be an option',
      'horn: option "high": "coal" is an option of "firing", and this setting is "horn"',
      'fire: "coal" is an option and cannot say what a setting is',
      'drains: the unit "mm" is none of "duration"; its units are s, ms, min, h',
      'bell: options "a", "b" have the same meaning, "dull bell"',
    ]);
  });

  test("name units that do not fit, units that are missing, and units of what has none", () => {
    const units: Readonly<Record<string, readonly string[]>> = {
      "wheel slip": ["%", "‰", "dB", ""],
      duration: ["s", "ms", "min", "h"],
      "driver diameter": ["mm", "cm", "m", "in", "ft"],
      "full speed": ["km/h", "m/s", "mph"],
      rate: ["Hz", "kHz", "/min", "/s"],
      cylinders: [""],
      "above speed step": [""],
      key: [""],
    };
    const known = [...new Set(Object.values(units).flat())];
    for (const [means, own] of Object.entries(units)) {
      const unfit = known.filter(
        (unit) => meaningNotes(describing({ a: level(cv(120), { unit, means }) })).length > 0,
      );
      expect(unfit, means).toEqual(known.filter((unit) => !own.includes(unit)));
    }
    const of = (means: string, unit: string) => level(cv(120), { unit, means });
    const said = (codec: AnyCodec) => meaningNotes(describing({ a: codec })).map((note) => messageOf(note));
    expect(said(of("wheel slip", "mm"))).toEqual([
      'a: the unit "mm" is none of "wheel slip"; its units are %, ‰, dB',
    ]);
    expect(said(of("driver diameter", ""))).toEqual([
      'a: a unit is missing; the units of "driver diameter" are mm, cm, m, in, ft',
    ]);
    expect(said(of("cylinders", "mm"))).toEqual([
      'a: "cylinders" is a number without a unit, and the unit here is "mm"',
    ]);
    expect(said(table(cv(120).through(121), { unit: "mm", means: "duration" }))).toEqual([
      'a: the unit "mm" is none of "duration"; its units are s, ms, min, h',
    ]);
    // A text or a switch has no unit to look at.
    expect(said(of("whistle", "mm"))).toEqual([]);
  });

  test("are made of every part of a codec, with its path", () => {
    const bel = (place: number) => level(cv(place), { means: "bel" });
    const oil = { a: { value: 1, means: "oil" } };
    const decoder = describing({
      record: record({ x: level(cv(120), { means: "nope, off, duration" }) }, { means: "bell, zork" }),
      variant: variant(cv(121).bit(0), { p: { value: 0, fields: { q: bel(122) } } }),
      switched: switched(cv(121).bit(1), bel(123), { means: "bell" }),
      within: switched(cv(121).bit(2), level(cv(124), { unit: "mm" }), { means: "duration, output 3" }),
      choice: switched(cv(121).bit(3), choice(cv(125), oil), { means: "whistle" }),
      converted: converted(bel(126), [[0, "a"]]),
      custom: defineCodec({
        kind: "pair",
        places: [cv(127)],
        parts: { part: bel(127) },
        read: () => 0,
        write() {},
      }),
      // What a record is says nothing about the options of its fields, and a number is an option of any choice.
      fields: record({ y: choice(cv(128), oil) }, { means: "whistle" }),
      number: choice(
        cv(129),
        { a: { value: 1, means: "2" }, b: { value: 2, means: "oil" } },
        { means: "firing" },
      ),
      twice: choice(cv(130), { a: { value: 1, means: "Oil" }, b: { value: 2, means: "oil" }, c: 3, d: 4 }),
      derived: derived(cv(131), { from: [cv(130)], by: "sum" }),
    });
    expect(meaningNotes(decoder).map((note) => messageOf(note))).toEqual([
      'record: the vocabulary has no term "zork"; nearest: "horn"',
      'record.x: the vocabulary has no term "nope"; nearest: "none"',
      'record.x: "off" is an option and cannot say what a setting is',
      'record.x: a unit is missing; the units of "duration" are s, ms, min, h',
      'variant.q: the vocabulary has no term "bel"; nearest: "bell"',
      'switched: the vocabulary has no term "bel"; nearest: "bell"',
      'within: the unit "mm" is none of "duration"; its units are s, ms, min, h',
      'choice: option "a": "oil" is an option of "firing", and this setting is "whistle"',
      'converted: the vocabulary has no term "bel"; nearest: "bell"',
      'custom.part: the vocabulary has no term "bel"; nearest: "bell"',
      'twice: options "a", "b" have the same meaning, "oil"',
    ]);
  });

  test("terms of one's own are known where they are passed", () => {
    const decoder = describing({ hooter: flag(cv(120).bit(0), { means: "mill hooter" }) });
    const own: Term = {
      name: "mill hooter",
      group: "signals",
      type: "switch",
      definition: "The hooter of the mill.",
    };
    expect(meaningNotes(decoder).length).toBe(1);
    expect(meaningNotes(decoder, { terms: [own] })).toEqual([]);
    expect(meaningsOf(decoder)[0]?.terms).toEqual([]);
    expect(meaningsOf(decoder, { terms: [own] })[0]?.terms).toEqual([own]);
  });
});

test("a setting has the terms of what it is part of; the last of its own says what its value is", () => {
  const decoder = describing({
    front: record(
      { effect: flag(cv(120).bit(0), { means: "LED correction" }), plain: flag(cv(120).bit(1)) },
      { means: "headlight, output 1" },
    ),
    drains: switched(cv(121).bit(0), record({ time: level(cv(122), { unit: "s", means: "duration" }) }), {
      means: "Drain  Cocks",
    }),
    blow: switched(cv(121).bit(1), level(cv(123), { unit: "min", means: "blowdown, interval" })),
    lamp: flag(cv(126).bit(0), { means: "cab light, output 4" }),
    side: record({ x: level(cv(127), { means: "output 5" }) }, { means: "headlight" }),
    // What an option says, or a word that is not known, is not known of a setting.
    odd: level(cv(124), { means: "blowdown, off" }),
    unknown: level(cv(125), { means: "blowdown, pace" }),
  });
  expect(
    meaningsOf(decoder).map(({ path, terms, term, output }) => [
      path,
      terms.map(({ name }) => name).join(", "),
      term?.name,
      output,
    ]),
  ).toEqual([
    ["front.effect", "headlight, LED correction", "LED correction", 1],
    ["front.plain", "", undefined, 1],
    ["drains", "drain cocks", "drain cocks", undefined],
    ["drains.time", "drain cocks, duration", "duration", undefined],
    ["blow", "blowdown, interval", "interval", undefined],
    ["lamp", "cab light", "cab light", 4],
    ["side.x", "", undefined, 5],
    ["odd", "", undefined, undefined],
    ["unknown", "", undefined, undefined],
  ]);
});
