import {
  type AnyDecoder,
  CvSet,
  choice,
  cv,
  defineDecoder,
  diff,
  explain,
  flag,
  level,
  record,
  switched,
  variant,
} from "cvset";
import { cvSetsOf, decoders } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

const decoder = defineDecoder({
  id: "x1",
  name: "X1",
  kind: "multifunction",
  features: {
    whistle: choice(cv(218), { low: { value: 2, label: "Low and long" }, high: 5 }),
    front: record({
      effect: choice(cv(216).bits(1, 4), { plain: 7, half: 11 }),
      forLed: flag(cv(243).bit(7), { inverted: true }),
    }),
    drains: switched(
      cv(252).bit(1),
      record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
    ),
    address: variant(cv(29).bit(5), {
      primary: { value: 0, fields: { number: level(cv(1), { min: 1, max: 127 }) } },
      extended: {
        value: 1,
        label: "long",
        fields: { number: level(cv(17).with(cv(18)), { offset: -49152, min: 0, max: 10239 }) },
      },
    }),
  },
});

describe("explain", () => {
  test("a whole set: every setting in words, with its bits", () => {
    const explained = explain(decoder, CvSet.from({ 1: 3, 29: 0, 216: 22, 218: 2, 243: 0, 249: 80, 252: 2 }));
    expect(explained.lines.map(({ path, text }) => `${path}: ${text}`)).toEqual([
      "whistle: Low and long",
      "front.effect: half",
      "front.forLed: yes",
      "drains: on",
      "drains.seconds: 20 s",
      "address.kind: primary",
      "address.number: 3",
    ]);
    expect(explained.lines[1]?.places).toEqual([{ cv: "216", mask: 30 }]);
    expect(explained).toMatchObject({ issues: [], absent: [], unowned: [] });
    expect(explained.settings).toEqual(
      decoder.decode(CvSet.from({ 1: 3, 29: 0, 216: 22, 218: 2, 243: 0, 249: 80, 252: 2 })),
    );
  });

  test("a part: what can be read has a line, what is missing is named, what is absent is no fault", () => {
    const explained = explain(decoder, CvSet.from({ 29: 34, 252: 0 }));
    expect(explained.lines.map(({ path, text }) => `${path}: ${text}`)).toEqual([
      "drains: off",
      "address.kind: long",
    ]);
    expect(explained.absent).toEqual(["whistle", "front"]);
    expect(explained.issues).toMatchObject([
      {
        code: "missing-cv",
        path: "address.number",
        places: [
          { cv: "17", mask: 255 },
          { cv: "18", mask: 255 },
        ],
      },
    ]);
    expect(explained.unowned).toEqual([{ cv: "29", mask: 2, value: 2 }]);
  });

  test("a wrong value hides nothing else", () => {
    const explained = explain(decoder, CvSet.from({ 60: 1, 216: 9 * 2, 218: 9, 243: 0 }));
    expect(explained.issues.map(({ path, code }) => `${path} ${code}`)).toEqual([
      "whistle stored-option",
      "front.effect stored-option",
    ]);
    expect(explained.lines.map(({ path }) => path)).toEqual(["front.forLed"]);
    // Nothing of what cannot be read, not even its name.
    expect(explained.settings).toStrictEqual({ front: { forLed: true } });
    expect(explained.unowned).toEqual([{ cv: "60", mask: 255, value: 1 }]);
  });

  test("its settings are those of tryDecode, and its unowned bits those that no codec owns", () => {
    fc.assert(
      fc.property(
        decoders().chain((one) => fc.tuple(fc.constant(one), cvSetsOf(one))),
        ([one, cvs]) => {
          const explained = explain(one, cvs);
          expect(explained.settings).toEqual(one.tryDecode(cvs).value);
          const owned = new Map(one.bits.map(({ cv: name, mask }) => [name, mask]));
          // A whole CV, whatever it holds; of one that a feature has a part of, the bits that are set.
          const unowned = [...cvs].flatMap(([name, byte]) => {
            const mask = owned.get(name);
            const bits = byte & ~(mask ?? 0) & 255;
            if (mask === undefined) return [{ cv: name, mask: 255, value: byte }];
            return bits ? [{ cv: name, mask: bits, value: bits }] : [];
          });
          expect(explained.unowned).toEqual(unowned);
        },
      ),
    );
  });
});

describe("diff", () => {
  const from = CvSet.from({ 1: 3, 29: 0, 216: 22, 218: 2, 243: 0, 249: 80, 252: 2, 60: 1 });

  test("nothing differs from itself", () => {
    expect(diff(decoder, from, from)).toEqual([]);
  });

  test("only the settings in the bits that differ are named", () => {
    expect(diff(decoder, from, from.with(216, 14))).toEqual([
      {
        cv: "216",
        from: 22,
        to: 14,
        paths: ["front.effect"],
        words: [{ path: "front.effect", from: "half", to: "plain" }],
      },
    ]);
  });

  test("a CV that one set lacks is undefined there; bits of no feature have no words", () => {
    expect(diff(decoder, from, from.without(60).with(62, 4))).toEqual([
      { cv: "60", from: 1, to: undefined, paths: [], words: [] },
      { cv: "62", from: undefined, to: 4, paths: [], words: [] },
    ]);
  });

  test("a change of kind names the settings of both kinds", () => {
    const number = { paths: ["address.number"], words: [{ path: "address.number", from: "3", to: "1234" }] };
    expect(diff(decoder, from, from.with(29, 32).with(17, 196).with(18, 210))).toEqual([
      { cv: "17", from: undefined, to: 196, ...number },
      { cv: "18", from: undefined, to: 210, ...number },
      {
        cv: "29",
        from: 0,
        to: 32,
        paths: ["address.kind"],
        words: [{ path: "address.kind", from: "primary", to: "long" }],
      },
    ]);
  });

  test("a setting over several CVs has its words at each CV that differs", () => {
    const [long, other] = [from.with(29, 32).with(17, 196).with(18, 210), { 17: 197, 18: 3 }];
    const words = [{ path: "address.number", from: "1234", to: "1283" }];
    expect(diff(decoder, long, long.with(17, other[17]).with(18, other[18]))).toEqual([
      { cv: "17", from: 196, to: 197, paths: ["address.number"], words },
      { cv: "18", from: 210, to: 3, paths: ["address.number"], words },
    ]);
    // Of a CV that one set lacks, what it is for in the other.
    expect(diff(decoder, long, long.without(18))).toEqual([
      {
        cv: "18",
        from: 210,
        to: undefined,
        paths: ["address.number"],
        words: [{ path: "address.number", from: "1234", to: undefined }],
      },
    ]);
  });

  test("a field of one name in two cases, in other bits: the same words are no change of them", () => {
    const long = from.with(29, 32).with(17, 192).with(18, 3);
    const bare = from.with(17, 192).with(18, 210);
    expect(diff(decoder, bare, long).map(({ cv: name, words }) => [name, words])).toEqual([
      ["18", [{ path: "address.number", from: undefined, to: "3" }]],
      ["29", [{ path: "address.kind", from: "primary", to: "long" }]],
    ]);
    expect(diff(decoder, long, bare.with(1, 3)).map(({ cv: name, words }) => [name, words])).toEqual([
      ["18", [{ path: "address.number", from: "3", to: undefined }]],
      ["29", [{ path: "address.kind", from: "long", to: "primary" }]],
    ]);
    // Other words are: the number before lived in CV 1.
    expect(diff(decoder, bare, long.with(18, 4))[0]?.words).toEqual([
      { path: "address.number", from: "3", to: "4" },
    ]);
  });

  test("options with one label have their names behind it", () => {
    const twins = { a: { value: 0, label: "Steam" }, b: { value: 1, label: "Steam" }, c: 2 };
    const blow = { value: 0, label: "Blow", fields: {} };
    const features = {
      whistle: choice(cv(1), twins),
      blow: variant(cv(2), { long: blow, short: { ...blow, value: 1 }, none: { value: 2, fields: {} } }),
    };
    const one = defineDecoder({ id: "x3", name: "X3", kind: "multifunction", features });
    expect(
      diff(one, CvSet.from({ 1: 0, 2: 0 }), CvSet.from({ 1: 1, 2: 1 })).map(({ words }) => words),
    ).toEqual([
      [{ path: "whistle", from: "Steam (a)", to: "Steam (b)" }],
      [{ path: "blow.kind", from: "Blow (long)", to: "Blow (short)" }],
    ]);
  });

  test("it finds exactly the CVs that differ, in CV order", () => {
    const sets = cvSetsOf(decoder as AnyDecoder);
    fc.assert(
      fc.property(sets, sets, (a, b) => {
        const changes = diff(decoder, a, b);
        const names = new Set([...a, ...b].map(([name]) => name));
        const expected = [...names].filter((name) => a.get(name) !== b.get(name));
        expect(new Set(changes.map(({ cv: name }) => name))).toEqual(new Set(expected));
        for (const { cv: name, from: was, to: is } of changes) {
          expect([was, is]).toEqual([a.get(name), b.get(name)]);
        }
        const order = [...CvSet.from(changes.map(({ cv: name }) => [name, 0] as const))].map(
          ([name]) => name,
        );
        expect(changes.map(({ cv: name }) => name)).toEqual(order);
      }),
    );
  });

  test("words before and after are never the same, for any description", () => {
    const sets = decoders().chain((one) => fc.tuple(fc.constant(one), cvSetsOf(one), cvSetsOf(one)));
    fc.assert(
      fc.property(sets, ([one, a, b]) => {
        for (const { words } of diff(one, a, b)) {
          for (const { path, from: was, to: is } of words) {
            expect([path, is]).not.toEqual([path, was]);
          }
        }
      }),
    );
  });

  test("what is switched has its value in the words", () => {
    const blower = defineDecoder({
      id: "x2",
      name: "X2",
      kind: "multifunction",
      features: { blower: switched(cv(1).bit(0), level(cv(2), { unit: "s" })) },
    });
    const words = (a: Record<number, number>, b: Record<number, number>) =>
      diff(blower, CvSet.from(a), CvSet.from(b)).map((change) => change.words);
    expect(words({ 1: 1, 2: 5 }, { 1: 1, 2: 9 })).toEqual([
      [{ path: "blower", from: "on, 5 s", to: "on, 9 s" }],
    ]);
    expect(words({ 1: 0, 2: 5 }, { 1: 1, 2: 5 })).toEqual([[{ path: "blower", from: "off", to: "on, 5 s" }]]);
    // Off before and after: what it would be does not matter.
    expect(words({ 1: 0, 2: 5 }, { 1: 0, 2: 9 })).toEqual([[]]);
  });
});
