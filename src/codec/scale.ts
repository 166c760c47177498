import { aBoolean, aText, needIn, objectOf } from "../cv/argument.js";
import { CvError, fault } from "../cv/issue.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { anAbout } from "./codec.js";

const notFinite = /* @__PURE__ */ fault("scale-not-a-number", "{name:text} must be a number, got {found}");
const noStep = /* @__PURE__ */ fault("scale-step-zero", "step is 0; a step must change the value");
const badDecimals = /* @__PURE__ */ fault(
  "scale-decimals",
  "decimals must be a whole number from 0 to 12, got {found}",
);
const sameDecimals = /* @__PURE__ */ fault(
  "scale-decimals-too-few",
  "with {decimals} decimals two steps of {step} would look the same",
);
const crossed = /* @__PURE__ */ fault("scale-min-above-max", "min {min} is above max {max}");
const endDoesNotFit = /* @__PURE__ */ fault(
  "scale-end",
  "{name:text} {found} does not fit; {low} to {high} can be stored",
);
const endBetween = /* @__PURE__ */ fault(
  "scale-end-between",
  "{name:text} {found} is not on a step of {step}",
);
const stepsTooFine = /* @__PURE__ */ fault(
  "scale-step-too-fine",
  "steps of {step} cannot be told apart between {min} and {max}",
);

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
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Scale" {
    return "Scale";
  }
  /** What it was made from. */
  readonly options: ScaleOptions;
  /** The smallest value, in the unit. */
  readonly min: number;
  /** The largest value, in the unit. */
  readonly max: number;
  /** The unit with a space before it, to be put behind a number; empty without a unit. */
  readonly unit: string;
  /** Whether stored numbers are the values, as they are. */
  readonly plain: boolean;
  /** Whether every value is a whole number. */
  readonly whole: boolean;
  readonly #step: number;
  readonly #offset: number;
  readonly #top: number;
  /** Behind this decimal there is only the noise of binary fractions: -0.3 + 3 * 0.1 is 0. */
  readonly #noise: number;

  /**
   * @param options The scale.
   * @param top The largest number that can be stored.
   * @param places Where, for errors.
   */
  constructor(options: ScaleOptions, top: number, places: readonly BitsOfCv[]) {
    const { step = 1, offset = 0, decimals, unit } = options;
    const where = { places };
    this.options = Object.freeze({ ...options });
    this.unit = unit ? ` ${unit}` : "";
    this.#step = step;
    this.#offset = offset;
    this.#top = top;
    for (const [name, found] of Object.entries({
      step,
      offset,
      min: options.min === undefined ? 0 : options.min,
      max: options.max === undefined ? 0 : options.max,
    })) {
      if (!Number.isFinite(found)) throw new CvError([notFinite({ name, found }, where)]);
    }
    const exponent = Math.floor(Math.log10(Math.max(Math.abs(offset), Math.abs(step * top))));
    this.#noise = Math.min(100, Math.max(0, 14 - exponent));
    if (step === 0) throw new CvError([noStep({}, where)]);
    if (decimals !== undefined) {
      if (!Number.isInteger(decimals) || decimals < 0 || decimals > 12) {
        throw new CvError([badDecimals({ found: decimals }, where)]);
      }
      if (Math.abs(step) < 10 ** -decimals * (1 - 1e-9)) {
        throw new CvError([sameDecimals({ decimals, step }, where)]);
      }
    }
    const ends = [this.valueOf(0), this.valueOf(top)].sort((a, b) => a - b) as [number, number];
    const [low, high] = ends;
    const { min = low, max = high } = options;
    if (min > max) throw new CvError([crossed({ min, max }, where)]);
    this.plain = step === 1 && offset === 0;
    this.whole = Number.isInteger(step) && Number.isInteger(offset);
    // Each stored number must come back from its value, so rounding must never move it half a step.
    const digits = this.whole ? 15 : decimals === undefined ? 11 : 14;
    const half = Math.abs((Math.abs(offset * 10 ** (decimals ?? 0)) % 1) - 0.5) < 1e-6;
    if (
      Math.abs(step) <= Math.max(10 ** (exponent - digits), 1e-50) ||
      (decimals !== undefined && half && Math.abs(step) < 10 ** -decimals * (1 + 1e-6))
    ) {
      throw new CvError([stepsTooFine({ step, min, max }, where)]);
    }
    const endOf = (name: string, found: number): number => {
      const fits = [found, clean(found)].some((end) => end >= low && end <= high);
      if (!fits) throw new CvError([endDoesNotFit({ name, found, low, high }, where)]);
      const stored = this.exactly(found);
      if (stored === undefined) throw new CvError([endBetween({ name, found, step }, where)]);
      // The value as it is read, without the noise of binary fractions that the option may have.
      return this.valueOf(stored);
    };
    this.min = endOf("min", min);
    this.max = endOf("max", max);
    Object.freeze(this);
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

  /** Whether a value is in range; the noise of binary fractions is passed over: 0.1 + 0.2 is 0.3. */
  has(value: number): boolean {
    const { min, max } = this;
    return (value >= min && value <= max) || (clean(value) >= min && clean(value) <= max);
  }

  /** The stored number of a value, or undefined when it lies between two or beyond what can be stored. */
  exactly(value: number): number | undefined {
    const stored = this.#stepOf(value);
    const exact = this.valueOf(stored);
    if (exact !== value && exact !== clean(value)) return undefined;
    return stored >= 0 && stored <= this.#top ? stored : undefined;
  }

  /**
   * The stored numbers on both sides of a value in range, the nearer one first; where both are equally near,
   * that of the larger value.
   */
  around(value: number): readonly [nearest: number, other: number] {
    const middle = this.#stepOf(value);
    // The values are rounded, so the nearest may be one beside what the formula gives.
    const candidates = [middle - 1, middle, middle + 1].filter((n) => n >= 0 && n <= this.#top);
    const far = (stored: number): number => clean(Math.abs(this.valueOf(stored) - value));
    candidates.sort((a, b) => far(a) - far(b) || this.valueOf(b) - this.valueOf(a));
    const nearest = candidates[0] ?? middle;
    const above = this.valueOf(nearest) < value;
    return [nearest, nearest + (above === this.#step > 0 ? 1 : -1)];
  }

  #stepOf(value: number): number {
    // Adding 0 turns -0 into 0.
    return Math.round((value - this.#offset) / this.#step) + 0;
  }
}

/** A number without the noise of binary fractions: 0.3, not 0.30000000000000004. */
export function clean(value: number): number {
  return Number.isInteger(value) ? value : Number(value.toPrecision(12));
}

const ofAScale = /* @__PURE__ */ objectOf({
  "unit?": aText,
  "nearest?": aBoolean,
});

/** Refuses options of a scale that are none; its numbers are looked at when it is made. */
export function needScaleOptions(options: ScaleOptions): void {
  needIn(anAbout, options, "options");
  needIn(ofAScale, options, "options");
}
