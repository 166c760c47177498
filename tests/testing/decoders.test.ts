import { type AnyCodec, type AnyDecoder, partsOf } from "cvset";
import { decoders } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Scale } from "../../src/codec/scale.js";
import { rootOf } from "../../src/decoder/decoder.js";
import { jsonOf } from "../../src/decoder/json.js";

const some = fc.sample(decoders({ derived: true }), { numRuns: 300, seed: 1 });

/** A codec and all that is in it, with its name. */
function* all(codec: AnyCodec, name: string, depth = 0): Generator<[AnyCodec, string, number]> {
  yield [codec, name, depth];
  const { data } = codec;
  if (data.kind === "switched" || data.kind === "converted") yield* all(data.item, "", depth + 1);
  else {
    for (const [part, codecs] of Object.entries(partsOf(codec)))
      for (const one of codecs) yield* all(one, part, depth + 1);
  }
}

const everyCodec = some.flatMap(({ features }) =>
  Object.entries<AnyCodec>(features).flatMap(([name, codec]) => [...all(codec, name)]),
);

/** What codecs of a kind are like: each only once, in order. */
function seen<K extends AnyCodec["data"]["kind"]>(
  kind: K,
  like: (data: Extract<AnyCodec["data"], { kind: K }>) => unknown,
): unknown[] {
  return once(
    everyCodec.flatMap(([{ data }]) =>
      data.kind === kind ? [like(data as Extract<AnyCodec["data"], { kind: K }>)].flat() : [],
    ),
  );
}

function once(values: readonly unknown[]): unknown[] {
  const inOrder = (a: unknown, b: unknown) =>
    typeof a === "number" && typeof b === "number" ? a - b : String(a) < String(b) ? -1 : 1;
  return [...new Set(values)].sort(inOrder);
}

const oneTo = (top: number): number[] => Array.from({ length: top }, (_, i) => i + 1);

describe("random decoders", () => {
  test("no two of their features share a bit, and factory values are those of their CVs", () => {
    for (const decoder of some) {
      const taken = new Map<string, number>();
      for (const { bits } of Object.values<AnyCodec>(decoder.features)) {
        for (const { cv, mask } of bits) {
          expect((taken.get(cv) ?? 0) & mask).toBe(0);
          taken.set(cv, (taken.get(cv) ?? 0) | mask);
        }
      }
      for (const [cv] of decoder.defaults()) expect(taken.has(cv)).toBe(true);
    }
    expect(once(some.flatMap((decoder) => [...decoder.defaults()].map(([, value]) => value))).length).toBe(
      256,
    );
  });

  test("are of both kinds, and have from one to as many features as is said, 8 without it", () => {
    expect(once(some.map(({ kind }) => kind))).toEqual(["accessory", "multifunction"]);
    const counts = (sample: readonly AnyDecoder[]) =>
      once(sample.map(({ features }) => Object.keys(features).length));
    expect(counts(fc.sample(decoders(), { numRuns: 200, seed: 1 }))).toEqual(oneTo(8));
    expect(counts(fc.sample(decoders({ maxFeatures: 2 }), { numRuns: 50, seed: 1 }))).toEqual([1, 2]);
  });

  test("have features with names of all kinds", () => {
    const names = new Set(everyCodec.map(([, name]) => name));
    for (const name of ["whistle", "a b", "7", "Gr\u00f6\u00dfe", "_"]) expect(names).toContain(name);
    const [many] = fc
      .sample(decoders({ maxFeatures: 30 }), { numRuns: 50, seed: 1 })
      .flatMap(({ features }) => {
        const keys = Object.keys(features);
        return keys.length > 13 ? [keys] : [];
      });
    expect(many?.slice(0, 14).join()).toBe(
      "7,whistle,a b,Gr\u00f6\u00dfe,x,front,kind2,_,LED,drains,s,p,feature12,feature13",
    );
    // Some have a label, which names the setting, or a meaning and a note.
    expect(
      once(everyCodec.map(([{ about }, name]) => JSON.stringify(about).replace(`The ${name}"`, 'The NAME"'))),
    ).toEqual(['{"label":"The NAME"}', '{"note":"invented","means":"whistle"}', "{}"]);
  });

  test("have flags, choices and bits of all kinds", () => {
    expect(seen("flag", ({ inverted }) => inverted)).toEqual([false, true]);
    expect(seen("choice", ({ place }) => place.width)).toEqual([1, 2, 3, 4, 8, 12]);
    expect(seen("choice", ({ options }) => Object.keys(options).length)).toEqual(oneTo(6));
    expect(
      seen("choice", ({ options }) =>
        Object.values(options).map((option) => JSON.stringify(option).replace(/\d+/g, "N")),
      ),
    ).toEqual(['{"value":N,"label":"Number N"}', '{"value":N,"means":"bell"}', '{"value":N}']);
    expect(seen("flags", ({ names }) => names.length)).toEqual(oneTo(8));
    expect(
      seen("flags", ({ names }) =>
        names.map((name, i) =>
          typeof name === "string" ? name.replace(`${i}`, "N") : name === i ? "N" : name,
        ),
      ),
    ).toEqual(["N", "bit N", "first", null]);
  });

  test("have numbers with steps, ranges, units and names of all kinds", () => {
    expect(seen("level", ({ place }) => place.width)).toEqual([...oneTo(8), 14]);
    const steps = [-1, -0.1, 0.001, 0.1, 1 / 3, 100 / 255, 0.896, 1, 2, 12.5];
    expect(seen("level", ({ scale }) => scale.options.step ?? 1)).toEqual(steps);
    expect(seen("level", ({ scale }) => scale.options.offset ?? 0)).toEqual([-20, -0.3, 0, 0.5, 1, 131]);
    expect(seen("level", ({ scale }) => scale.options.decimals ?? "none")).toEqual([0, 1, 2, 4, "none"]);
    expect(seen("level", ({ scale }) => scale.options.unit ?? "none")).toEqual(["none", "s"]);
    const limits = (scale: Scale) => `${"min" in scale.options} ${"max" in scale.options}`;
    const all = ["false false", "false true", "true false", "true true"];
    expect(seen("level", ({ scale }) => limits(scale))).toEqual(all);
    expect(seen("table", ({ scale }) => limits(scale))).toEqual(all);
    expect(seen("level", ({ names }) => Object.keys(names).join())).toEqual(["", "name 1", "name 1,name 2"]);
    expect(seen("table", ({ run }) => run.places.length)).toEqual([1, 3, 28]);
  });

  test("have texts and words of all kinds", () => {
    expect(seen("text", ({ run }) => run.places.length)).toEqual(oneTo(8));
    expect(seen("text", ({ pad }) => pad)).toEqual([0, 32, 255]);
    expect(seen("converted", ({ pairs = [] }) => pairs.length)).toEqual(oneTo(4));
    expect(seen("converted", ({ pairs = [] }) => pairs.map(([, value]) => value))).toEqual([
      ...[0, 1.5, 3, 4.5],
      ...["word 0", "word 1", "word 2", "word 3"],
    ]);
  });

  test("have every kind of codec but those that hold code, also on index pages", () => {
    expect(once(everyCodec.map(([{ kind }]) => kind))).toEqual(
      "choice converted derived flag flags level record switched table text variant".split(" "),
    );
    const paged = everyCodec.filter(([{ bits }]) => bits.some(({ cv }) => cv.includes("@")));
    expect(once(paged.map(([{ kind }]) => kind)).length).toBeGreaterThan(8);
    // Eight bits are a whole CV.
    expect(
      everyCodec.some(([{ places }]) => places.some((place) => JSON.stringify(place).includes("[0,7]"))),
    ).toBe(false);
    expect(fc.stringify(some[0])).toBe(JSON.stringify(jsonOf(rootOf(some[0] as AnyDecoder))));
  });

  test("have settings within settings, two deep", () => {
    expect(seen("record", ({ fields }) => Object.keys(fields).length)).toEqual(oneTo(4));
    expect(seen("variant", ({ tag }) => tag)).toEqual(["is", "kind"]);
    expect(seen("variant", ({ place }) => place.width)).toEqual(oneTo(3));
    expect(
      seen("variant", ({ cases }) =>
        Object.entries(cases).map(
          ([name, { label, fields }]) => `${name} ${label} ${Object.keys(fields).length}`,
        ),
      ),
    ).toEqual(
      [0, 1, 2].flatMap((i) =>
        [`Case ${i}`, "undefined"].flatMap((label) =>
          [0, 1, 2].map((fields) => `case ${i} ${label} ${fields}`),
        ),
      ),
    );
    const items = "choice converted flag flags level record table variant".split(" ");
    expect(seen("switched", ({ item }) => item.kind)).toEqual(items);
    expect(seen("switched", ({ inverted }) => inverted)).toEqual([false, true]);
    const deepest = everyCodec.filter(([{ kind }]) => kind === "variant").map(([, , depth]) => depth);
    expect(once(deepest)).toEqual([0, 1]);
  });

  test("have values that are worked out only where that is said", () => {
    expect(
      once(some.map(({ features }) => ["sum", "check"].filter((name) => name in features).join())),
    ).toEqual(["", "sum", "sum,check"]);
    expect(seen("derived", ({ by }) => by)).toEqual(["sum", "xor"]);
    expect(seen("derived", ({ place }) => place.width)).toEqual([4, 8, 12]);
    expect(seen("derived", ({ from }) => from.length)).toEqual(oneTo(6));
    const starts = seen("derived", ({ start, place }) => (place.width === 4 ? start : []));
    expect([starts[0], starts.at(-1)]).toEqual([0, 15]);
    const without = fc.sample(decoders(), { numRuns: 100, seed: 1 });
    expect(without.some(({ features }) => "sum" in features)).toBe(false);
  });

  test("shrink to the simplest that fails", () => {
    const hasTexts = (decoder: AnyDecoder) => JSON.stringify(jsonOf(rootOf(decoder))).includes('"text"');
    const { counterexample } = fc.check(
      fc.property(decoders(), (decoder) => !hasTexts(decoder)),
      { seed: 1, numRuns: 100 },
    );
    expect(fc.stringify(counterexample?.[0])).toBe(
      '{"codec":"decoder","fields":{"whistle":{"codec":"text","place":{"cv":513,"through":513}}}}',
    );
  });
});
