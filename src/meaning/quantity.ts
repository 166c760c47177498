import { clean } from "../codec/scale.js";
import { aNumber, need } from "../cv/argument.js";
import type { Quantity } from "./term.js";

// "/min" is 1 / 60, written as a number: bundlers do not drop a table that holds a division.
/** The factor of each unit to the unit in which its quantity is compared. */
const factors: Readonly<Record<Quantity, Readonly<Record<string, number>>>> = {
  share: { "%": 1, "‰": 0.1 },
  time: { s: 1, ms: 0.001, min: 60, h: 3600 },
  length: { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 },
  speed: { "km/h": 1, "m/s": 3.6, mph: 1.609344 },
  frequency: { Hz: 1, kHz: 1000, "/min": 0.016666666666666666, "/s": 1 },
  count: { "": 1 },
  step: { "": 1 },
  key: { "": 1 },
};

/** How a level's numbers are read: their unit, and the range of the scale. */
export interface Measure {
  readonly unit?: string | undefined;
  readonly min: number;
  readonly max: number;
}

/** The speed steps of the mode in which steps are compared (S-9.2.1 (July 2012), C: 126 steps besides the two stops). */
const mostSteps = 126;

/**
 * Decibels as a share in percent of the full amplitude: 100 * 10 ^ (dB / 20).
 * @param decibels 0 for full, -6.02 for half.
 * @example
 * import { shareOfDecibels } from "cvset/meaning";
 * Math.round(shareOfDecibels(-6)); // 50
 */
export function shareOfDecibels(decibels: number): number {
  need(aNumber, decibels, "decibels");
  return 100 * 10 ** (decibels / 20);
}

/**
 * A share in percent of the full amplitude as decibels: 20 * log10(share / 100); `-Infinity` for 0.
 * @param share 100 for full.
 * @example
 * import { decibelsOf } from "cvset/meaning";
 * Number(decibelsOf(50).toFixed(2)); // -6.02
 */
export function decibelsOf(share: number): number {
  need(aNumber, share, "share");
  return 20 * Math.log10(share / 100);
}

/**
 * A number in the unit in which its quantity is compared; undefined where its unit does not fit the quantity.
 * A share without a unit is the share of the whole scale; a speed step is counted in 126 steps.
 */
export function toCommon(value: number, quantity: Quantity, measure: Measure): number | undefined {
  const { unit = "", min, max } = measure;
  if (quantity === "share" && unit === "dB") return shareOfDecibels(value);
  if (quantity === "share" && unit === "")
    return max === min ? undefined : (100 * (value - min)) / (max - min);
  if (quantity === "step" && unit === "") return (value * mostSteps) / stepsOf(max);
  const factor = factorOf(quantity, unit);
  return factor === undefined ? undefined : value * factor;
}

/** The reverse of {@link toCommon}. */
export function fromCommon(value: number, quantity: Quantity, measure: Measure): number | undefined {
  const { unit = "", min, max } = measure;
  if (quantity === "share" && unit === "dB") return decibelsOf(value);
  if (quantity === "share" && unit === "") return max === min ? undefined : min + (value / 100) * (max - min);
  if (quantity === "step" && unit === "") return (value * stepsOf(max)) / mostSteps;
  const factor = factorOf(quantity, unit);
  return factor === undefined ? undefined : clean(value / factor);
}

/** Whether a unit is one of a quantity. */
export function fitsQuantity(quantity: Quantity, unit = ""): boolean {
  return quantity === "share"
    ? unit === "" || unit === "dB" || factorOf(quantity, unit) !== undefined
    : factorOf(quantity, unit) !== undefined;
}

/** The units of a quantity. */
export function unitsOf(quantity: Quantity): string[] {
  const units = Object.keys(factors[quantity]).filter((unit) => unit !== "");
  return quantity === "share" ? [...units, "dB"] : units;
}

function factorOf(quantity: Quantity, unit: string): number | undefined {
  const of = factors[quantity];
  return Object.hasOwn(of, unit) ? of[unit] : undefined;
}

/** The mode that a scale of speed steps counts in: 14, 28 or 126 steps. */
function stepsOf(max: number): number {
  return max <= 14 ? 14 : max <= 28 ? 28 : mostSteps;
}
