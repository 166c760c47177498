import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  flags,
  level,
  messageOf,
  record,
  table,
} from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { boom, hostile, oddThrows, revoked } from "../support/hostile.js";
import { expectNear } from "../support/near.js";
import { timesUsual } from "../support/runs.js";
import { kinds } from "./kinds.js";

/** A value that throws what is given wherever it is looked at. */
function throwing(thrown: unknown): unknown {
  const trap = (): never => {
    throw thrown;
  };
  return new Proxy(
    {},
    { get: trap, has: trap, ownKeys: trap, getPrototypeOf: trap, getOwnPropertyDescriptor: trap },
  );
}

/** Names of settings that some codec of `kinds` reads. */
const names = ["effect", "seconds", "kind", "mode", "a", "only", "field0", "7", "0", "length", "n", "x"];

describe.each(Object.entries(kinds))("tryEncode does not throw: %s", (_, codec) => {
  test.each(hostile)("%s", (__, make) => {
    const result = codec.tryEncode(make());
    if (!result.ok) expect(result.issues).not.toEqual([]);
    for (const issue of result.ok ? [] : result.issues) expect(messageOf(issue)).not.toBe("");
    const checked = codec["~standard"].validate(make());
    expect("issues" in checked && checked.issues !== undefined).toBe(!result.ok);
    if (!result.ok) expect(() => codec.encode(make())).toThrow(CvError);
  });

  test.each(oddThrows)("a proxy that throws %s", (__, thrown) => {
    const result = codec.tryEncode(throwing(thrown));
    expect(result.ok).toBe(false);
    expect(() => codec.encode(throwing(thrown))).toThrow(CvError);
  });

  test("a getter that throws, whatever its name, and one that changes between two looks", () => {
    for (const name of names) {
      const throws = Object.defineProperty({}, name, { get: boom, enumerable: true });
      expect(codec.tryEncode(throws).ok).toBe(false);
      let looks = 0;
      const values = [1, "off", { kind: "timed" }, undefined, "steady"];
      const changes = Object.defineProperty({ kind: "timed", mode: "on" }, name, {
        get: () => values[looks++ % values.length],
        enumerable: true,
      });
      const result = codec.tryEncode(changes);
      if (!result.ok) expect(result.issues).not.toEqual([]);
      try {
        codec.encode(changes);
      } catch (error) {
        expect(error).toBeInstanceOf(CvError);
      }
    }
  });

  test("anything at all", () => {
    const anything = fc.anything({
      withBigInt: true,
      withDate: true,
      withMap: true,
      withNullPrototype: true,
      withSparseArray: true,
      withTypedArray: true,
    });
    fc.assert(
      fc.property(
        fc.oneof(anything, fc.dictionary(fc.constantFrom(...names), anything)),
        fc.boolean(),
        (value, nearest) => {
          const result = codec.tryEncode(value, { nearest });
          if (result.ok) return;
          expect(result.issues.length).toBeGreaterThan(0);
          for (const issue of result.issues) expect(messageOf(issue).length).toBeLessThan(2000);
        },
      ),
    );
  });
});

describe("what is huge is refused in less than 10 s, and in few words", () => {
  const settled = (codec: AnyCodec, value: unknown): readonly { readonly code: string }[] => {
    const start = performance.now();
    const result = codec.tryEncode(value);
    expect(performance.now() - start).toBeLessThan(10_000);
    return result.ok ? [] : result.issues;
  };

  test.each<[string, AnyCodec, () => unknown, string]>([
    [
      "a list of holes for flags",
      flags(cv(1), [1, 2, 3, 4, 5, 6, 7, 8]),
      () => new Array(2 ** 32 - 1),
      "flags-list-length",
    ],
    ["a list of holes for a table", table(cv(1).through(3)), () => new Array(2 ** 32 - 1), "table-length"],
    [
      "names for flags",
      flags(cv(1).bits(0, 1), ["x".repeat(60), "y"]),
      () => Array.from({ length: 1e6 }, () => "z".repeat(60)),
      "flags-list-length",
    ],
    [
      "a proxy that is a list of any length",
      flags(cv(1).bit(0), ["a"]),
      () => new Proxy([], { get: (_, key) => (key === "length" ? Infinity : "a") }),
      "flags-list-length",
    ],
    ["a text of 2 ** 28 letters for a choice", choice(cv(1), { a: 1 }), () => "x".repeat(2 ** 28), "option"],
    [
      "a text of 2 ** 28 letters for a level",
      level(cv(1), { names: { off: 0 } }),
      () => "x".repeat(2 ** 28),
      "expected-amount-or-name",
    ],
    [
      "a name of 2 ** 28 letters",
      record({ a: level(cv(1)) }),
      () => ({ ["x".repeat(2 ** 24)]: 1 }),
      "unknown-name",
    ],
    ["a revoked list", table(cv(1).through(3)), () => revoked([]), "custom"],
  ])("%s", (_, codec, make, code) => {
    const issues = settled(codec, make());
    expect(issues.map((issue) => issue.code)).toEqual([code]);
    for (const issue of issues)
      expect(messageOf(issue as Parameters<typeof messageOf>[0]).length).toBeLessThan(1000);
  });

  test("200,000 unknown names, each near a known one", () => {
    const known = Object.fromEntries(
      Array.from({ length: 200 }, (_, i) => [`feature${i}`, level(cv(i + 1))]),
    );
    const value = Object.fromEntries(Array.from({ length: 200_000 }, (_, i) => [`featur${i}`, 1]));
    expect(settled(record(known), value).length).toBe(1001);
  });
});

describe("a conversion by functions is checked in both directions", () => {
  type Row = [name: string, decode: (inner: number) => unknown, encode: (value: never) => unknown];
  const conversions: Row[] = [
    ["text", (n) => `${n}`, (text) => Number(text)],
    ["halves, rounded", (n) => n / 2, (half) => Math.round(half * 2)],
    ["always the same", () => 7, () => 3],
    ["sign lost", (n) => n * n, (square) => Math.sqrt(square)],
    [
      "a clock",
      (n) => `${n >> 2}:${n & 3}`,
      (text: string) => Number(text.split(":")[0]) * 4 + Number(text.split(":")[1]),
    ],
    [
      "an object",
      (n) => ({ whole: n >> 1, half: (n & 1) === 1 }),
      ({ whole, half }: { whole: number; half: boolean }) => whole * 2 + (half ? 1 : 0),
    ],
    ["a list", (n) => [n >> 4, n & 15], ([up, low]: [number, number]) => up * 16 + low],
  ];
  const scalar = fc.oneof(
    fc.integer({ min: -9, max: 300 }),
    fc.double({ min: -9, max: 300 }),
    fc.string({ unit: fc.constantFrom(..."0123456789x.e: +-"), maxLength: 5 }),
    fc.constantFrom<unknown>(
      null,
      undefined,
      true,
      "",
      " 3",
      "0x3",
      "3.0",
      "1e1",
      7,
      3,
      "1:2",
      "1:5",
      "01:1",
    ),
  );
  const small = fc.oneof(
    fc.integer({ min: -2, max: 20 }),
    fc.constantFrom<unknown>(true, false, null, "1", 0.5),
  );
  const input = fc.oneof(
    scalar,
    fc.array(small, { maxLength: 3 }),
    fc.record({ whole: small, half: small, more: small }, { requiredKeys: [] }),
  );

  test.each(conversions)("%s: what is accepted is read as the same", (_, decode, encode) => {
    const codec = converted(level(cv(91)), { decode, encode } as never) as AnyCodec;
    let accepted = 0;
    fc.assert(
      fc.property(fc.oneof(input, fc.integer({ min: 0, max: 255 }).map(decode)), (value) => {
        const result = codec.tryEncode(value);
        if (!result.ok) return;
        accepted++;
        const [change] = result.value;
        const read = decode(change?.value ?? -1);
        // The noise of binary fractions, and -0, are no other value.
        if (typeof value === "number") expectNear(read, value);
        else if (typeof value === "object") expect(read).toMatchObject(value as object);
        else expect(read).toBe(value);
      }),
      { numRuns: timesUsual(4) },
    );
    expect(accepted).toBeGreaterThan(0);
  });

  test.each<[value: unknown, accepted: boolean]>([
    [{ a: 2, b: [4, { c: 6 }] }, true],
    [{ a: 2 }, true],
    [{ a: 2, b: undefined }, true],
    [{ b: [4, { c: 6 }], more: undefined }, true],
    [{ a: 2, b: [4, { c: 7 }] }, false],
    [{ a: 2, b: [4] }, false],
    [{ a: 2, b: [4, {}] }, true],
    [{ a: 2, b: [4, null] }, false],
    [{ a: 2, b: [4, []] }, false],
    [{ a: 2, b: { 0: 4, 1: { c: 6 } } }, false],
    [{ a: 3 }, false],
    [{ a: "2" }, false],
    [{ a: 2, more: 1 }, false],
    [{ a: 2.0000000000000004 }, true],
    [{ a: Number.NaN }, false],
    [[2], false],
    [null, false],
    [undefined, false],
    [7, false],
    [new Date(0), false],
    [new Map([["a", 9]]), false],
    [Object.assign(Object.create({ b: [4, { c: 6 }] }), { a: 2 }), true],
    [Object.assign(Object.create({ b: [4, { c: 7 }] }), { a: 2 }), false],
  ])("an object or a list within is compared: %j", (value, accepted) => {
    const codec = converted(flags(cv(91).bit(0), ["on"]), {
      decode: () => ({ a: 2, b: [4, { c: 6 }] }) as unknown,
      encode: () => ["on"],
    } as never) as AnyCodec;
    const result = codec.tryEncode(value);
    expect(result.ok).toBe(accepted);
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(accepted || ["not-reversible"]);
  });

  test("with nearest, a value may be stored as the nearest that there is", () => {
    const even = converted(level(cv(91)), { decode: (n) => n * 2, encode: (n) => Math.round(n / 2) });
    expect(() => even.encode(7)).toThrow("7 would be stored as 4, which stands for 8");
    expect(even.encode(7, { nearest: true }).toJSON().cvs).toEqual({ 91: 4 });
    expect(even.tryEncode(7, { nearest: true }).ok).toBe(true);
    expect(even.tryEncode(7).ok).toBe(false);
    expect(even.tryEncode(600, { nearest: true }).ok).toBe(false);
  });

  test("what is read is compared with what would be written, in which fields may be left out", () => {
    const inner = record({ a: level(cv(1)), b: level(cv(2)) });
    const cvs = CvSet.from({ 1: 6, 2: 7 });
    const by = (encode: (n: number) => unknown) =>
      converted(inner, { decode: ({ a }: { a: number }) => a / 2, encode } as never) as AnyCodec;
    expect(by((n) => ({ a: n * 2 })).decode(cvs)).toBe(3);
    expect(
      by((n) => ({ a: n * 2 }))
        .encode(3)
        .toJSON(),
    ).toEqual({ cvs: { 1: 6 }, bits: [] });
    expect(by((n) => ({ a: n * 2, b: 7 })).decode(cvs)).toBe(3);
    for (const wrong of [{ a: 5 }, { a: 6, b: 8 }, { c: 1 }, [6], 6, null]) {
      const result = by(() => wrong).tryDecode(cvs);
      expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["stored-not-reversible"]);
    }
    expect(() => by(() => ({ a: 5 })).decode(cvs)).toThrow(
      'CV 1, CV 2: {"a":6,"b":7} stands for 3, which would be stored as {"a":5}',
    );
  });
});
