import type { BitsOfCv } from "../cv/issue.js";
import { CvError, show } from "../cv/issue.js";
import { definitionError } from "./codec.js";

/** How a number with a unit is stored in steps: value = offset + step * stored number. */
export interface ScaleOptions {
  /** The smallest value, in the unit. Without it, what the stored number 0 means (with a negative step, the largest). */
  readonly min?: number;
  /** The largest value, in the unit. */
  readonly max?: number;
  /** The unit, as people write it: `"s"`, `"%"`. */
  readonly unit?: string;
  /** How much one stored step is, in the unit; 1 without it. */
  readonly step?: number;
  /** What the stored number 0 means, in the unit; 0 without it. */
  readonly offset?: number;
  /** To how many decimals a decoded value is rounded, 0-12; each step must stay different. Without it, 12 digits. */
  readonly decimals?: number;
  /** Store the nearest step of a value that lies between two, instead of refusing it. */
  readonly nearest?: boolean;
}

/** An affine scale between values in a unit and stored whole numbers, exact both ways. */
export class Scale {
  /** What it was made from. */
  readonly options: ScaleOptions;
  /** The smallest value, in the unit. */
  readonly min: number;
  /** The largest value, in the unit. */
  readonly max: number;
  /** Whether stored numbers are the values, as they are. */
  readonly plain: boolean;
  readonly #step: number;
  readonly #offset: number;
  /** Behind this decimal there is nothing but the noise of binary fractions: -0.3 + 3 * 0.1 is 0. */
  readonly #noise: number;

  /**
   * @param options The scale.
   * @param top The largest number that can be stored.
   * @param places Where, for errors.
   */
  constructor(options: ScaleOptions, top: number, places: readonly BitsOfCv[]) {
    const bad = (text: string): CvError => definitionError(text, places);
    const { step = 1, offset = 0, decimals } = options;
    this.options = options;
    this.#step = step;
    this.#offset = offset;
    for (const [name, value] of Object.entries({
      step,
      offset,
      min: options.min ?? 0,
      max: options.max ?? 0,
    })) {
      if (!Number.isFinite(value)) throw bad(`${name} is ${show(value)}, which is not a number`);
    }
    const exponent = Math.floor(Math.log10(Math.max(Math.abs(offset), Math.abs(step * top))));
    this.#noise = Math.min(100, Math.max(0, 14 - exponent));
    if (step === 0) throw bad("step is 0; a step must change the value");
    if (decimals !== undefined) {
      if (!Number.isInteger(decimals) || decimals < 0 || decimals > 12) {
        throw bad(`decimals is ${show(decimals)}; give 0 to 12`);
      }
      if (Math.abs(step) < 10 ** -decimals * (1 - 1e-9)) {
        throw bad(`with ${decimals} decimals two steps of ${step} would look the same`);
      }
    }
    const ends = [this.valueOf(0), this.valueOf(top)].sort((a, b) => a - b) as [number, number];
    this.min = options.min ?? ends[0];
    this.max = options.max ?? ends[1];
    if (this.min > this.max) throw bad(`min ${this.min} is above max ${this.max}`);
    for (const [name, value] of [
      ["min", this.min],
      ["max", this.max],
    ] as const) {
      if (value < ends[0] || value > ends[1]) {
        throw bad(`${name} ${value} does not fit: ${ends[0]} to ${ends[1]} can be stored`);
      }
      if (!this.#isAt(this.#stepOf(value), value)) {
        throw bad(`${name} ${value} is not on a step of ${step}`);
      }
    }
    this.plain = step === 1 && offset === 0;
    // Each stored number must come back from its value, so rounding must never move it half a step.
    const digits = Number.isInteger(step) && Number.isInteger(offset) ? 15 : decimals === undefined ? 11 : 14;
    const half = Math.abs((Math.abs(offset * 10 ** (decimals ?? 0)) % 1) - 0.5) < 1e-6;
    if (
      Math.abs(step) <= Math.max(10 ** (exponent - digits), 1e-50) ||
      (decimals !== undefined && half && Math.abs(step) < 10 ** -decimals * (1 + 1e-6))
    ) {
      throw bad(`steps of ${step} cannot be told apart between ${this.min} and ${this.max}`);
    }
  }

  /** The value of a stored number, whether it is in range or not. */
  valueOf(stored: number): number {
    const value = this.#offset + this.#step * stored;
    if (Number.isInteger(value)) return value + 0;
    const { decimals } = this.options;
    const places = decimals ?? (Math.abs(value) < 10 ** (11 - this.#noise) ? this.#noise : undefined);
    // Adding 0 turns -0 into 0.
    return (places === undefined ? clean(value) : Number(value.toFixed(places))) + 0;
  }

  /** Whether a value is in range. */
  has(value: number): boolean {
    return value >= this.min && value <= this.max;
  }

  /**
   * The stored number of a value.
   * @throws `CvError` when it has none.
   */
  stored(value: unknown, nearest: boolean): number {
    if (typeof value !== "number" || Number.isNaN(value)) {
      throw new CvError([{ code: "type", path: "", expected: `a number, ${this.range()}`, found: value }]);
    }
    // Without the noise of binary fractions, as below: 0.1 + 0.2 is 0.3.
    if (!this.has(value) && !this.has(clean(value))) {
      throw new CvError([{ code: "range", path: "", expected: this.range(), found: value }]);
    }
    const stored = this.#stepOf(value);
    if (nearest || this.options.nearest || this.#isAt(stored, value)) return stored;
    const other = stored + (this.valueOf(stored) < value === this.#step > 0 ? 1 : -1);
    const pair = [this.valueOf(stored), this.valueOf(other)].sort((a, b) => a - b);
    const unit = this.#unit();
    throw new CvError([
      { code: "between", path: "", expected: pair.map((v) => `${v}${unit}`).join(" and "), found: value },
    ]);
  }

  /** `1 to 60 s`. */
  range(): string {
    return `${this.min} to ${this.max}${this.#unit()}`;
  }

  /** A value with its unit. */
  text(value: number): string {
    return `${value}${this.#unit()}`;
  }

  /** The JSON Schema of a value. */
  schema() {
    const whole = Number.isInteger(this.#step) && Number.isInteger(this.#offset);
    return { type: whole ? "integer" : "number", minimum: this.min, maximum: this.max } as const;
  }

  #isAt(stored: number, value: number): boolean {
    const exact = this.valueOf(stored);
    return exact === value || exact === clean(value);
  }

  #stepOf(value: number): number {
    // Adding 0 turns -0 into 0.
    return Math.round((value - this.#offset) / this.#step) + 0;
  }

  #unit(): string {
    return this.options.unit ? ` ${this.options.unit}` : "";
  }
}

/** A number without the noise of binary fractions: 0.3, not 0.30000000000000004. */
export function clean(value: number): number {
  return Number.isInteger(value) ? value + 0 : Number(value.toPrecision(12));
}
