import { type AnyCodec, choice, cv, defineCodec, defineDecoder, flag, level, record, table } from "cvset";
import { checkLaws, cvSetsOf, decoders, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

const sample = <T>(values: fc.Arbitrary<T>, numRuns = 300): T[] => fc.sample(values, { numRuns, seed: 1 });
const sixteen = cv(1).with(cv(2));

describe("values of numbers", () => {
  test("a stored number with a name is written by the name, in small ranges and in large ones", () => {
    const small = sample(valuesOf(level(cv(1).bits(0, 1), { names: { none: 0, all: 3 } })));
    expect([...new Set(small)].sort()).toEqual([1, 2, "all", "none"]);
    // 0, 1 and 65535 are where biased samples look first.
    const large = sample(
      valuesOf(level(sixteen, { names: { none: 0, one: 1, all: 65_535, most: 65_534 } })),
      2000,
    );
    const numbers = large.filter((value) => typeof value === "number");
    expect([...new Set(large.filter((value) => typeof value === "string"))].sort()).toEqual([
      "all",
      "most",
      "none",
      "one",
    ]);
    expect([Math.min(...numbers), numbers.some((n) => n > 65_000), Math.max(...numbers) < 65_534]).toEqual([
      2,
      true,
      true,
    ]);
    const named = Object.fromEntries(Array.from({ length: 4 }, (_, i) => [`n${i}`, i]));
    expect(new Set(sample(valuesOf(level(cv(1).bits(0, 1), { names: named }))))).toEqual(
      new Set(Object.keys(named)),
    );
  });

  test("they are those of the range, whichever way it runs", () => {
    const falling = sample(valuesOf(level(cv(1), { step: -0.5, offset: 10, min: 8, max: 9.5 })));
    expect([...new Set(falling)].sort()).toEqual([8, 8.5, 9, 9.5]);
    const wide = sample(valuesOf(level(sixteen, { min: 100, max: 60_000 }))) as number[];
    expect([Math.min(...wide) < 102, Math.min(...wide) >= 100, Math.max(...wide)]).toEqual([
      true,
      true,
      60_000,
    ]);
    const list = sample(valuesOf(table(cv(1).through(2), { max: 1 })));
    expect([...new Set(list.map((one) => JSON.stringify(one)))].sort()).toEqual([
      "[0,0]",
      "[0,1]",
      "[1,0]",
      "[1,1]",
    ]);
  });
});

describe("values of codecs that hold code", () => {
  const three = record({
    a: choice(cv(10), { low: 3, high: 77 }),
    b: choice(cv(11), { low: 5, high: 78 }),
    c: choice(cv(12), { low: 9, high: 79 }),
  });
  const around = defineCodec({ kind: "around", item: three });

  test("around another codec they are those of the inner one", () => {
    const seen = new Set(sample(valuesOf(around)).map((value) => JSON.stringify(value)));
    expect(seen.size).toBe(8);
    expect(seen).toContain('{"a":"low","b":"high","c":"low"}');
  });

  test("around another codec that refuses some of them, only the others", () => {
    const picky = defineCodec({
      kind: "picky",
      item: three,
      write(cvs, value, item) {
        if (value.a === "high") throw new Error("too high");
        item.write(cvs, value);
      },
      read(cvs, item) {
        const value = item.read(cvs);
        if (value.a === "high") throw new Error("too high");
        return value;
      },
    });
    const seen = new Set(sample(valuesOf(picky)).map((value) => JSON.stringify(value)));
    expect(seen.size).toBe(4);
    expect([...seen].every((text) => text.startsWith('{"a":"low"'))).toBe(true);
  });

  test("around another codec, values by path reach its parts", () => {
    const seen = sample(valuesOf(around, { at: { b: fc.constant("low") } }), 50);
    expect(new Set(seen.map(({ b }) => b))).toEqual(new Set(["low"]));
  });
});

test("only settings of several features can be given in part", () => {
  expect(new Set(sample(valuesOf(flag(cv(1).bit(0)) as never, { partial: true } as never)))).toEqual(
    new Set([true, false]),
  );
  const two = record({ a: flag(cv(1).bit(0)), b: flag(cv(1).bit(1)) });
  const keys = (values: readonly object[]) =>
    [...new Set(values.map((one) => Object.keys(one).sort().join()))].sort();
  expect(keys(sample(valuesOf(two)))).toEqual(["a,b"]);
  expect(keys(sample(valuesOf(two, { partial: true } as never)) as object[])).toEqual(["", "a", "a,b", "b"]);
});

test("sets hold the CVs that a value is worked out from", () => {
  const [decoder] = sample(decoders({ derived: true, maxFeatures: 2 }), 40).filter(
    ({ features }) => "sum" in features,
  );
  const names = decoder?.bits.map(({ cv: name }) => name) ?? [];
  expect(names.length).toBeGreaterThan(1);
  for (const cvs of sample(cvSetsOf(decoder as never), 20))
    for (const name of names) expect(cvs.has(name)).toBe(true);
});

describe("arguments", () => {
  const any = (value: unknown) => value as never;
  const codec = flag(cv(1).bit(0)) as AnyCodec;
  const decoder = defineDecoder({ id: "a", name: "A", kind: "multifunction", features: { codec } });
  const calls: readonly (readonly [call: () => unknown, says: string])[] = [
    [() => valuesOf(any(3)), "source: expected a codec, such as flag(cv(29).bit(5)), got 3"],
    [() => valuesOf(codec, any(3)), "options: expected an object, got 3"],
    [() => valuesOf(codec, { at: any(3) }), "at: expected an object, got 3"],
    [() => valuesOf(codec, { partial: any(3) }), "partial: expected true or false, got 3"],
    [() => cvSetsOf(codec, { raw: any(3) }), "raw: expected true or false, got 3"],
    [() => cvSetsOf(codec, { at: any(3) }), "at: expected an object, got 3"],
    [
      () => checkLaws(any(3)),
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got 3",
    ],
    [() => checkLaws(decoder, { at: any(3) }), "at: expected an object, got 3"],
    [() => checkLaws(decoder, { runs: any("3") }), 'runs: expected a number, got "3"'],
    [() => checkLaws(decoder, { seed: any("3") }), 'seed: expected a number, got "3"'],
    [() => checkLaws(decoder, { equal: 3 } as never), "equal: expected a function, got 3"],
    [() => decoders({ maxFeatures: any("3") }), 'maxFeatures: expected a number, got "3"'],
    [() => decoders({ derived: any(1) }), "derived: expected true or false, got 1"],
    [() => decoders(any(3)), "options: expected an object, got 3"],
  ];
  test.each(calls.map(([call, says]) => [says, call] as const))("%s", (says, call) => {
    let message = "";
    try {
      call();
    } catch (error) {
      message = (error as Error).message;
    }
    expect(message).toBe(says);
  });
});
