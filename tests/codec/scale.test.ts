import { CvError, CvSet, cv, level, Scale, type ScaleOptions } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

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
      if (scale.stored(value, false) !== stored) expect.unreachable(`${value} is not stored as ${stored}`);
      expect(`${value}`.replace(/[-.]/g, "").replace(/^0+/, "").length).toBeLessThanOrEqual(12);
    }
  });

  test.each([1, 3, 6])("with %i decimals", (decimals) => {
    if (Math.abs(step) < 10 ** -decimals) return;
    const scale = new Scale({ step, decimals }, 255, []);
    for (let stored = 0; stored < 256; stored++) {
      const value = scale.valueOf(stored);
      expect(value).toBe(Number(rounded(times(exact, stored), decimals)));
      expect(scale.stored(value, false)).toBe(stored);
    }
  });
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
          if (scale.stored(value, false) !== stored) expect.unreachable(`${value} is not ${stored} again`);
        }
      }),
      { numRuns: 2000 },
    );
    expect(made).toBeGreaterThan(500);
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
          expect(() => scale.stored(value, false)).toThrow(
            `${value} cannot be stored exactly; the nearest are ${low} and ${high}`,
          );
          if (Math.abs(part - 0.5) > 0.01)
            expect(scale.stored(value, true)).toBe(part < 0.5 ? stored : stored + 1);
        },
      ),
    );
  });

  test("takes what arithmetic with binary fractions makes of a step", () => {
    const tenths = new Scale({ step: 0.1, max: 0.3 }, 255, []);
    expect(tenths.stored(0.1 + 0.2, false)).toBe(3);
    expect(tenths.stored(0.20000001, true)).toBe(2);
  });

  test("says its range, its values and its schema with the unit", () => {
    const scale = new Scale({ step: 0.5, min: 1, max: 60, unit: "s" }, 255, []);
    expect([scale.range(), scale.text(2.5), scale.schema(), scale.plain]).toEqual([
      "1 to 60 s",
      "2.5 s",
      { type: "number", minimum: 1, maximum: 60 },
      false,
    ]);
    const plain = new Scale({}, 15, []);
    expect([plain.range(), plain.text(2), plain.schema(), plain.plain]).toEqual([
      "0 to 15",
      "2",
      { type: "integer", minimum: 0, maximum: 15 },
      true,
    ]);
    expect(new Scale({ step: -1 }, 15, []).range()).toBe("-15 to 0");
    expect(new Scale({ offset: 0.5 }, 15, []).schema().type).toBe("number");
    expect(new Scale({ offset: 5 }, 15, []).plain).toBe(false);
  });
});
