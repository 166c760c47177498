import { type AnyCodec, CvSet, converted, cv, level, record, text } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

// What a conversion by functions writes reads back as what was given, or it is an issue. The functions below do
// what JavaScript does with values of the wrong type: Math.sqrt makes 0 of null, "" and [].

const byte = level(cv(91));

class Clock {
  readonly hours: number;
  constructor(hours: number) {
    this.hours = hours;
  }
}

class Hidden {
  readonly #hours: number;
  constructor(hours: number) {
    this.#hours = hours;
  }
  valueOf(): number {
    return this.#hours;
  }
}

const conversions: Readonly<Record<string, AnyCodec>> = {
  "a square": converted(byte, { decode: (n) => n * n, encode: (t) => Math.sqrt(t) }),
  "a sum": converted(byte, { decode: (n) => n + 1, encode: (t) => t - 1 }),
  "a text": converted(byte, { decode: (n) => `${n}`, encode: (t) => Number(t) }),
  "a truth": converted(byte, { decode: (n) => n > 0, encode: (t) => Number(t) }),
  "a list": converted(byte, { decode: (n) => [n], encode: (t) => Number(t) }),
  "an object": converted(byte, { decode: (n) => ({ n }), encode: (t) => Number(t.n) }),
  "of a record": converted(record({ n: byte }), { decode: ({ n }) => n, encode: (n) => ({ n: Number(n) }) }),
  "of a text": converted(text(cv(10).through(13)), { decode: Number, encode: String }),
  "a date": converted(byte, { decode: (n) => new Date(n), encode: (t) => Number(t) }),
  "an object of a class": converted(byte, { decode: (n) => new Clock(n), encode: (t) => Number(t.hours) }),
  "an object that hides its number": converted(byte, { decode: (n) => new Hidden(n), encode: Number }),
  "a set": converted(byte, { decode: (n) => new Set([n]), encode: (t) => Number([...t][0]) }),
};

const wrongKinds: readonly unknown[] = [
  null,
  undefined,
  "",
  " ",
  "4",
  "0x10",
  0,
  4,
  1.5,
  -1,
  Number.NaN,
  Number.POSITIVE_INFINITY,
  true,
  false,
  [],
  [4],
  [[4]],
  [4, 4],
  {},
  { n: 4 },
  { n: "4" },
  { n: null },
  { hours: 4 },
  4n,
  Symbol.iterator,
  () => 4,
  new Date(4),
  new Date(Number.NaN),
  Object(4),
  Object("4"),
  new Clock(4),
  new Hidden(4),
  new Set([4]),
  new Map([[4, 4]]),
  { valueOf: () => 4 },
];

describe.each(Object.entries(conversions))("what a conversion writes reads back: %s", (_, codec) => {
  test.each([false, true])("values of every kind, nearest %s", (nearest) => {
    let written = 0;
    const check = (value: unknown): void => {
      const patch = codec.tryEncode(value, { nearest });
      if (!patch.ok) return;
      written++;
      const back = codec.decode(CvSet.from({ 91: 0 }).apply(patch.value));
      // The nearest of a number is another number, wherever it stands.
      const asRead = (one: unknown) => withoutClass(one, nearest ? () => "a number" : rounded);
      expect(asRead(back)).toEqual(asRead(value));
    };
    wrongKinds.forEach(check);
    fc.assert(fc.property(fc.anything({ withDate: true, withSet: true }), check));
    expect(written).toBeGreaterThan(0);
  });
});

/** Without the noise of binary fractions, and without -0, which are no other values. */
const rounded = (value: number): number => Math.round(value * 1e9) / 1e9 + 0;

/** Files hold no classes: an object of a class is what it holds. `number`: what is made of numbers. */
function withoutClass(value: unknown, number: (value: number) => unknown): unknown {
  if (value instanceof Clock) return withoutClass({ ...value }, number);
  if (value instanceof Hidden) return withoutClass(value.valueOf(), number);
  if (typeof value === "number") return number(value);
  if (Array.isArray(value)) return value.map((one) => withoutClass(one, number));
  if (value instanceof Set) return { set: [...value].map((one) => withoutClass(one, number)) };
  if (typeof value !== "object" || value === null || Object.getPrototypeOf(value) !== Object.prototype)
    return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, withoutClass(one, number)]));
}

test("an object of a class may have some of the keys, which leaves the others as they are", () => {
  class Half {
    get n() {
      return 4;
    }
  }
  class Nothing {}
  const codec = converted(byte, {
    decode: (n): { n: number; twice?: number } => ({ n, twice: 2 * n }),
    encode: ({ n = 0 }) => n,
  });
  expect(codec.encode(new Half()).toJSON().cvs).toEqual({ 91: 4 });
  expect(codec.tryEncode(Object.assign(new Half(), { twice: 8 })).ok).toBe(true);
  expect(codec.tryEncode(Object.assign(new Half(), { twice: 9 })).ok).toBe(false);
  expect(codec.tryEncode(new Nothing()).ok).toBe(false);
});

test("a value of another kind is refused in words, also where the nearest is wanted", () => {
  const square = conversions["a square"] as AnyCodec;
  for (const nearest of [false, true]) {
    expect(() => square.encode(null, { nearest })).toThrow("null would be stored as 0, which stands for 0");
    expect(() => square.encode("", { nearest })).toThrow('"" would be stored as 0, which stands for 0');
    expect(() => square.encode([], { nearest })).toThrow("[] would be stored as 0, which stands for 0");
    expect(() => square.encode("4", { nearest })).toThrow('"4" would be stored as 2, which stands for 4');
  }
  expect(square.encode(16).toJSON().cvs).toEqual({ 91: 4 });
  const halves = converted(level(cv(91), { step: 0.5 }), { decode: (n) => n * 2, encode: (n) => n / 2 });
  expect(halves.encode(2.9, { nearest: true }).toJSON().cvs).toEqual({ 91: 3 });
});
