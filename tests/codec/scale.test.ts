import { CvError, CvSet, cv, level, type ScaleOptions, schemaOf, textOf } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { storedNumber } from "../../src/codec/amount.js";
import { Scale } from "../../src/codec/scale.js";
import { timesUsual } from "../support/runs.js";

// The reference works with fractions of whole numbers: no binary fraction, no rounding but the last.

interface Fraction {
  readonly top: bigint;
  readonly bottom: bigint;
}

/** The exact value of a decimal as it is written. */
function fraction(number: number): Fraction {
  const [digits = "0", exponent = "0"] = number.toString().split("e");
  const [whole = "0", decimals = ""] = digits.split(".");
  const power = Number(exponent) - decimals.length;
  const top = BigInt(whole + decimals);
  return power < 0 ? { top, bottom: 10n ** BigInt(-power) } : { top: top * 10n ** BigInt(power), bottom: 1n };
}

const plus = (a: Fraction, b: Fraction): Fraction => ({
  top: a.top * b.bottom + b.top * a.bottom,
  bottom: a.bottom * b.bottom,
});
const times = (a: Fraction, n: number): Fraction => ({ top: a.top * BigInt(n), bottom: a.bottom });

/** A fraction rounded half away from zero to some decimals, as text. */
function rounded({ top, bottom }: Fraction, decimals: number): string {
  const sign = top < 0n ? "-" : "";
  const size = (top < 0n ? -top : top) * 10n ** BigInt(decimals);
  const units = (2n * size + bottom) / (2n * bottom);
  const text = units.toString().padStart(decimals + 1, "0");
  return `${sign}${text.slice(0, text.length - decimals)}.${text.slice(text.length - decimals)}`;
}

/** offset + step * stored in 12 digits, or as many as binary fractions of that size keep. */
function reference(step: Fraction, offset: number, stored: number): number {
  const exact = plus(fraction(offset), times(step, stored));
  const largest = Math.max(Math.abs(offset), (Math.abs(Number(step.top)) / Number(step.bottom)) * 255);
  const decimals = 15 - String(Math.floor(largest)).length;
  const value = Number(rounded(exact, 20));
  if (Math.abs(value) < 10 ** (11 - decimals)) return Number(rounded(exact, decimals)) + 0;
  return Number(value.toPrecision(12)) + 0;
}

const steps: [name: string, step: number, exact: Fraction][] = [
  ["0.1", 0.1, fraction(0.1)],
  // S-9.2.2 (July 2012), CV 3: seconds = CV 3 * 0.896 / steps in use.
  ["0.896", 0.896, fraction(0.896)],
  ["100 / 255", 100 / 255, { top: 100n, bottom: 255n }],
  ["0.896 / 28", 0.896 / 28, { top: 896n, bottom: 28_000n }],
  ["1 / 3", 1 / 3, { top: 1n, bottom: 3n }],
  ["0.7", 0.7, fraction(0.7)],
  ["0.001", 0.001, fraction(0.001)],
  ["1.1", 1.1, fraction(1.1)],
  ["-0.3", -0.3, fraction(-0.3)],
  ["12.5", 12.5, fraction(12.5)],
];

describe.each(steps)("every number stored in steps of %s", (_, step, exact) => {
  test.each([0, 1, -20, 0.5, 131, -0.3, 25.5])("from %s on is clean, and comes back", (offset) => {
    const scale = new Scale({ step, offset }, 255, []);
    for (let stored = 0; stored < 256; stored++) {
      const value = scale.valueOf(stored);
      if (value !== reference(exact, offset, stored)) expect.unreachable(`${stored} is ${value}`);
      if (storedNumber(scale, value, false) !== stored)
        expect.unreachable(`${value} is not stored as ${stored}`);
      expect(`${value}`.replace(/[-.]/g, "").replace(/^0+/, "").length).toBeLessThanOrEqual(12);
    }
  });

  test.each([1, 3, 6].filter((decimals) => Math.abs(step) >= 10 ** -decimals))(
    "with %i decimals",
    (decimals) => {
      const scale = new Scale({ step, decimals }, 255, []);
      for (let stored = 0; stored < 256; stored++) {
        const value = scale.valueOf(stored);
        expect(value).toBe(Number(rounded(times(exact, stored), decimals)));
        expect(storedNumber(scale, value, false)).toBe(stored);
      }
    },
  );
});

describe("a scale", () => {
  const options = fc.record(
    {
      step: fc.oneof(
        fc.integer({ min: -400, max: 400 }).map((n) => n / 100),
        fc.constantFrom(1, 0.1, 0.896, 100 / 255, 1e-6, 1e-9, 1e9),
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
      ),
      offset: fc.oneof(
        fc.integer({ min: -1000, max: 1000 }).map((n) => n / 20),
        fc.double({ min: -1e9, max: 1e9, noNaN: true }),
      ),
      decimals: fc.integer({ min: 0, max: 12 }),
    },
    { requiredKeys: [] },
  );

  test("either is refused, or keeps every stored number apart and brings it back", () => {
    let made = 0;
    fc.assert(
      fc.property(options, fc.constantFrom(1, 7, 255), (one, top) => {
        let scale: Scale;
        try {
          scale = new Scale(one as ScaleOptions, top, []);
        } catch (error) {
          expect(error).toBeInstanceOf(CvError);
          return;
        }
        made++;
        for (let stored = 0; stored <= top; stored++) {
          const value = scale.valueOf(stored);
          if (!Number.isFinite(value) || Object.is(value, -0)) expect.unreachable(`${stored} is ${value}`);
          if (!scale.has(value)) expect.unreachable(`${value} is out of its own range`);
          if (storedNumber(scale, value, false) !== stored)
            expect.unreachable(`${value} is not ${stored} again`);
        }
      }),
      { numRuns: timesUsual(10) },
    );
    expect(made).toBeGreaterThan(timesUsual(2));
  });

  test("of 32 bits brings back both ends and what lies between", () => {
    const wide = level(cv(1).with(cv(2)).with(cv(3)).with(cv(4)), { step: 0.001, unit: "s" });
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 4, maxLength: 4 }), (bytes) => {
        const cvs = CvSet.from([...bytes].map((byte, i): [number, number] => [i + 1, byte]));
        const number = bytes.reduce((sum, byte) => sum * 256 + byte, 0);
        const value = wide.decode(cvs);
        expect(value).toBe(Number(`${Math.floor(number / 1000)}.${String(number % 1000).padStart(3, "0")}`));
        expect(cvs.apply(wide.encode(value as number)).equals(cvs)).toBe(true);
      }),
    );
  });

  test("refuses a value between two steps, with both neighbours; nearest takes the nearer", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...steps),
        fc.integer({ min: 0, max: 254 }),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        ([, step], stored, part) => {
          const scale = new Scale({ step }, 255, []);
          const [a, b] = [scale.valueOf(stored), scale.valueOf(stored + 1)];
          const value = Number((a + (b - a) * part).toPrecision(10));
          const low = Math.min(a, b);
          const high = Math.max(a, b);
          expect(() => storedNumber(scale, value, false)).toThrow(
            `${value} cannot be stored exactly; the nearest are ${low} and ${high}`,
          );
          if (Math.abs(part - 0.5) > 0.01)
            expect(storedNumber(scale, value, true)).toBe(part < 0.5 ? stored : stored + 1);
        },
      ),
    );
  });

  test("takes what arithmetic with binary fractions makes of a step", () => {
    const tenths = new Scale({ step: 0.1, max: 0.3 }, 255, []);
    expect(storedNumber(tenths, 0.1 + 0.2, false)).toBe(3);
    expect(storedNumber(tenths, 0.20000001, true)).toBe(2);
  });

  test("knows its range, its unit, and whether stored numbers are the values", () => {
    const scale = new Scale({ step: 0.5, min: 1, max: 60, unit: "s" }, 255, []);
    expect(scale).toMatchObject({ min: 1, max: 60, unit: " s", plain: false, whole: false });
    expect(scale.options).toEqual({ step: 0.5, min: 1, max: 60, unit: "s" });
    const plain = new Scale({}, 15, []);
    expect(plain).toMatchObject({ min: 0, max: 15, unit: "", plain: true, whole: true });
    expect(new Scale({ step: -1 }, 15, [])).toMatchObject({ min: -15, max: 0, plain: false, whole: true });
    expect(new Scale({ offset: 0.5 }, 15, [])).toMatchObject({ plain: false, whole: false });
    expect(new Scale({ offset: 5 }, 15, [])).toMatchObject({ min: 5, max: 20, plain: false, whole: true });
    expect(new Scale({ step: 0.5 }, 15, [])).toMatchObject({ plain: false, whole: false });

    // The words and the schema are made of it.
    const pause = level(cv(1), { step: 0.5, min: 1, max: 60, unit: "s" });
    expect(textOf(pause, 2.5)).toBe("2.5 s");
    expect(schemaOf(pause)).toEqual({
      type: "number",
      minimum: 1,
      maximum: 60,
      description: "In s, in steps of 0.5.",
    });
    const four = level(cv(1).bits(0, 3));
    expect(textOf(four, 2)).toBe("2");
    expect(schemaOf(four)).toEqual({ type: "integer", minimum: 0, maximum: 15 });
    expect(schemaOf(level(cv(1), { offset: 0.5 }))).toMatchObject({ type: "number" });
  });

  test("has no stored number for what lies between two, or beyond both ends", () => {
    const tenths = new Scale({ step: 0.1 }, 255, []);
    expect(
      [0, 25.5, 0.25, -0.1, 25.6, 1e300, Infinity, Number.NaN].map((value) => tenths.exactly(value)),
    ).toEqual([0, 255, ...Array.from({ length: 6 }, () => undefined)]);
    const down = new Scale({ step: -1, offset: 9 }, 15, []);
    expect([9, -6, 10, -7, 8.5].map((value) => down.exactly(value))).toEqual([
      0,
      15,
      undefined,
      undefined,
      undefined,
    ]);
    expect([-0, 0].map((value) => Object.is(tenths.exactly(value), 0))).toEqual([true, true]);
  });

  test("takes ends with the noise of binary fractions, and means the values that are read", () => {
    const noisy = new Scale({ step: 0.1, min: 0.1 + 0.2, max: 3 * 0.4 }, 15, []);
    expect([noisy.min, noisy.max]).toEqual([0.3, 1.2]);
    expect([0.3, 0.1 + 0.2, 1.2, 3 * 0.4].map((value) => storedNumber(noisy, value, false))).toEqual([
      3, 3, 12, 12,
    ]);
    expect(new Scale({ step: 0.1, max: 3 * 0.1 }, 3, []).max).toBe(0.3);
    const pause = level(cv(1), { step: 0.1, min: 0.1 + 0.2 });
    expect(pause.decode(CvSet.from({ 1: 3 }))).toBe(0.3);
    expect(() => pause.decode(CvSet.from({ 1: 2 }))).toThrow("allowed is 3 to 255, for 0.3 to 25.5");
  });
});

// --- The nearest step --------------------------------------------------------------------------------

describe("nearest", () => {
  test.each<[ScaleOptions, value: number, stored: number]>([
    // The values are rounded to whole numbers: 1/3 is read as 0, 10/3 as 3.
    [{ offset: 1 / 3, decimals: 0 }, 2.7, 3],
    [{ offset: 1 / 3, decimals: 0 }, 2.4, 2],
    [{ offset: 2 / 3, decimals: 0 }, 2.4, 1],
    [{ offset: 2 / 3, decimals: 0 }, 2.6, 2],
    [{ step: 100 / 255, decimals: 1 }, 50.39, 128],
    [{ step: 100 / 255, decimals: 1 }, 50.41, 129],
    // Of two equally near the larger value, upside down too.
    [{}, 2.5, 3],
    [{ offset: -10 }, -2.5, 8],
    [{ step: 0.1 }, 0.25, 3],
    [{ step: 0.1 }, 0.35, 4],
    [{ step: 0.1 }, 1.15, 12],
    [{ step: 0.5 }, 0.25, 1],
    [{ step: -1, offset: 9 }, 2.5, 6],
    [{ step: -0.1, offset: 9 }, 0.25, 87],
    [{ step: 10 }, 15, 2],
    // Within the range alone.
    [{ step: 2, min: 4, max: 8 }, 7.9, 4],
    [{ step: 2, min: 4, max: 8 }, 4.1, 2],
  ])("%j: %f is stored as %i", (options, value, stored) => {
    const scale = new Scale(options, 255, []);
    expect(storedNumber(scale, value, true)).toBe(stored);
    expect(level(cv(1), options).encode(value, { nearest: true }).toJSON().cvs).toEqual({ 1: stored });
    expect(
      level(cv(1), { ...options, nearest: true })
        .encode(value)
        .toJSON().cvs,
    ).toEqual({ 1: stored });
    expect(() => storedNumber(scale, value, false)).toThrow("cannot be stored exactly");
  });

  const random = fc.record(
    {
      step: fc.oneof(
        fc.constantFrom(1, -1, 0.1, 0.896, 100 / 255, -0.3, 12.5),
        fc.double({ min: 0.001, max: 999, noNaN: true }),
      ),
      offset: fc.oneof(fc.constantFrom(0, 1 / 3, -0.5, 131), fc.double({ min: -999, max: 999, noNaN: true })),
      decimals: fc.integer({ min: 0, max: 4 }),
    },
    { requiredKeys: ["step"] },
  );

  test("is the stored number whose value is nearest, of all; and both neighbours are named", () => {
    let made = 0;
    fc.assert(
      fc.property(random, fc.double({ min: 0, max: 1, noNaN: true }), (options, part) => {
        const scale = scaleOf(options, 31);
        if (!scale) return;
        made++;
        const values = Array.from({ length: 32 }, (_, stored) => scale.valueOf(stored));
        const value = scale.min + (scale.max - scale.min) * part;
        if (scale.exactly(value) !== undefined) return;
        const distances = values.map((one) => Math.abs(one - value));
        const least = Math.min(...distances);
        const chosen = storedNumber(scale, value, true);
        // The distance may differ by the noise of the subtraction.
        expect(distances[chosen]).toBeLessThanOrEqual(least + 1e-9 * Math.abs(options.step));
        const below = Math.max(...values.filter((one) => one < value));
        const above = Math.min(...values.filter((one) => one > value));
        expect(() => storedNumber(scale, value, false)).toThrow(
          `${value} cannot be stored exactly; the nearest are ${below} and ${above}`,
        );
      }),
      { numRuns: timesUsual(10) },
    );
    expect(made).toBeGreaterThan(timesUsual(5));
  });
});

/** The scale, or undefined where the options are refused. */
function scaleOf(options: ScaleOptions, top: number): Scale | undefined {
  try {
    return new Scale(options, top, []);
  } catch (error) {
    if (error instanceof CvError) return undefined;
    throw error;
  }
}

// --- Levels: every stored number of many scales against the reference --------------------------------

describe("levels in steps", () => {
  const decimal = fc
    .tuple(fc.integer({ min: -40_000, max: 40_000 }), fc.integer({ min: 0, max: 4 }))
    .map(([n, power]) => n / 10 ** power);
  const options = fc.record({
    step: decimal.filter((step) => step !== 0),
    offset: decimal,
    low: fc.integer({ min: 0, max: 7 }),
    width: fc.integer({ min: 1, max: 8 }),
    ends: fc.option(fc.tuple(fc.nat({ max: 255 }), fc.nat({ max: 255 })), { nil: undefined }),
  });

  test("every stored number is read as the reference has it, or refused; and every value is written back", () => {
    let made = 0;
    fc.assert(
      fc.property(options, fc.integer({ min: 0, max: 255 }), ({ step, offset, low, width, ends }, rest) => {
        const place = cv(9).bits(low as 0, Math.min(7, low + width - 1) as 7);
        const values = Array.from({ length: place.max + 1 }, (_, stored) => exactValue(step, offset, stored));
        const [a = 0, b = place.max] = (ends ?? []).map((end) => end % values.length);
        const [min, max] = [values[a] as number, values[b] as number].sort((x, y) => x - y) as [
          number,
          number,
        ];
        const codec = level(place, { step, offset, ...(ends && { min, max }) });
        made++;
        const mask = place.max << low;
        for (let stored = 0; stored <= place.max; stored++) {
          const cvs = CvSet.from({ 9: (rest & ~mask & 255) | (stored << low) });
          const value = values[stored] as number;
          if (ends && (value < min || value > max)) {
            if (codec.tryDecode(cvs).ok) expect.unreachable(`${stored} is read`);
            if (codec.tryEncode(value).ok) expect.unreachable(`${value} is written`);
            continue;
          }
          if (!Object.is(codec.decode(cvs), value))
            expect.unreachable(`${stored} is read as ${codec.decode(cvs)}, not ${value}`);
          const [change] = codec.encode(value);
          if (change?.value !== stored << low || change.mask !== mask)
            expect.unreachable(`${value} is written as ${change?.value}`);
        }
      }),
      { numRuns: timesUsual(2) },
    );
    expect(made).toBe(timesUsual(2));
  });

  /** offset + step * stored of decimals, in whole numbers; no such value has more than 12 digits. */
  function exactValue(step: number, offset: number, stored: number): number {
    return Number(rounded(plus(fraction(offset), times(fraction(step), stored)), 8)) + 0;
  }
});
