import { readFileSync } from "node:fs";
import { choice, cv, defineDecoder, flag, level, messageOf, record, switched } from "cvset";
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
  ])("%d %% is %d dB", (share, decibels) => {
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
  ]);
});
