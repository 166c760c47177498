import { outOfRange } from "../cv/faults.js";
import { CvError, fault, type Issue, type Where } from "../cv/issue.js";
import { nearestNames } from "../cv/nearest.js";
import { clean, type Scale } from "./scale.js";

// The way of a number with a unit into its stored number, for a level and for each number of a table.

const between = /* @__PURE__ */ fault(
  "between",
  "{found} cannot be stored exactly; the nearest are {low}{unit:text} and {high}{unit:text}",
);
const notAnAmount = /* @__PURE__ */ fault(
  "expected-amount",
  "expected a number from {min} to {max}{unit:text}, got {found}",
);
const notAnAmountOrName = /* @__PURE__ */ fault(
  "expected-amount-or-name",
  "expected a number from {min} to {max}{unit:text}, or one of {names}; got {found}",
);
const rangeOrName = /* @__PURE__ */ fault(
  "range-or-name",
  "{found} is out of range; allowed is {min} to {max}{unit:text}, or one of {names}",
);
const storedRange = /* @__PURE__ */ fault(
  "stored-range",
  "the stored number {found} is out of range; allowed is {min} to {max}{unit:text}",
);
const storedSteps = /* @__PURE__ */ fault(
  "stored-steps",
  "the stored number {found} is out of range; allowed is {low} to {high}, for {min} to {max}{unit:text}",
);
const storedRangeOrName = /* @__PURE__ */ fault(
  "stored-range-or-name",
  "the stored number {found} is out of range; allowed is {low} to {high}, for {min} to {max}{unit:text}, or {names:list}",
);

/**
 * The stored number of a value.
 * @param names Names that are allowed in place of a number; only for the message.
 * @throws `CvError` when it is not a number, out of range, or between two steps (unless `nearest`).
 */
export function storedNumber(
  scale: Scale,
  value: unknown,
  nearest: boolean,
  names: readonly string[] = [],
): number {
  const { min, max, unit } = scale;
  const params = { found: value, min, max, unit, names };
  if (typeof value !== "number" || Number.isNaN(value)) {
    const nearest = typeof value === "string" ? nearestNames(value, names) : [];
    throw new CvError([(names.length ? notAnAmountOrName : notAnAmount)({ ...params, nearest })]);
  }
  if (!scale.has(value)) throw new CvError([(names.length ? rangeOrName : outOfRange)(params)]);
  const stored = scale.exactly(value);
  if (stored !== undefined) return stored;
  const around = scale.around(clean(value));
  if (nearest || scale.options.nearest) return around[0];
  const [low, high] = around.map((one) => scale.valueOf(one)).sort((a, b) => a - b);
  throw new CvError([between({ found: value, low, high, unit })]);
}

/** The issue that a stored number is out of range. */
export function badStored(
  scale: Scale,
  found: number,
  where: Where,
  names: Readonly<Record<string, number>> = {},
): Issue {
  const { min, max, unit } = scale;
  const ends = [min, max].map((value) => scale.exactly(value) ?? 0).sort((a, b) => a - b);
  const [low, high] = ends;
  const params = { found, min, max, unit, low, high };
  const named = Object.entries(names).map(([name, stored]) => `${stored} for ${name}`);
  if (named.length) return storedRangeOrName({ ...params, names: named }, where);
  return (scale.plain ? storedRange : storedSteps)(params, where);
}
