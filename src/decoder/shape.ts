import { at, type Report } from "../codec/codec.js";
import { nearestNames } from "../cv/issue.js";

/** Turns untrusted JSON into a value of one type; reports what is wrong and then gives undefined. */
export type Check<T> = (value: unknown, report: Report, depth: number) => T | undefined;

/** Checks by key. */
export type Checks = Readonly<Record<string, Check<unknown>>>;
type Checked<C extends Checks> = { readonly [K in keyof C]: C[K] extends Check<infer T> ? T : never };

/** What an object with these keys is, once it has been checked. */
export type Shape<Needed extends Checks, Free extends Checks> = Checked<Needed> & Partial<Checked<Free>>;

/** How deeply descriptions may nest; a real decoder needs three or four levels. */
const deepest = 24;

/** An object with exactly these keys: the needed ones, and any of the free ones. */
/* @__NO_SIDE_EFFECTS__ */
export function object<const Needed extends Checks, const Free extends Checks>(
  needed: Needed,
  free: Free,
): Check<Shape<Needed, Free>> {
  const checks = new Map(Object.entries<Check<unknown>>({ ...needed, ...free }));
  return (value, report, depth) => {
    const entries = entriesOf(value, report, depth);
    if (!entries) return undefined;
    let whole = true;
    const result: Record<string, unknown> = {};
    for (const [key, item] of entries) {
      const check = checks.get(key);
      if (!check) {
        whole = false;
        const nearest = nearestNames(key, checks.keys());
        report(
          [{ code: "name", path: "", expected: [...checks.keys()].join(", "), found: key, nearest }],
          key,
        );
        continue;
      }
      const checked = check(item, at(key, report), depth + 1);
      if (checked === undefined) whole = false;
      else result[key] = checked;
    }
    for (const key of Object.keys(needed)) {
      if (entries.some(([name]) => name === key)) continue;
      whole = false;
      report([{ code: "missing", path: "", expected: "a value" }], key);
    }
    // Every key of the shape has been through its own check.
    return whole ? (result as Shape<Needed, Free>) : undefined;
  };
}

/** An object with any keys, whose values are all of one type. */
/* @__NO_SIDE_EFFECTS__ */
export function mapOf<T>(check: Check<T>): Check<Record<string, T>> {
  return (value, report, depth) => {
    const entries = entriesOf(value, report, depth);
    const checked = entries?.map(([key, item]) => [key, check(item, at(key, report), depth + 1)] as const);
    if (!checked || checked.some(([, item]) => item === undefined)) return undefined;
    return Object.fromEntries(checked) as Record<string, T>;
  };
}

/** A list whose items are all of one type. */
/* @__NO_SIDE_EFFECTS__ */
export function listOf<T>(check: Check<T>): Check<T[]> {
  return (value, report, depth) => {
    if (!Array.isArray(value)) return wrong(report, "a list", value);
    const items = value.map((item, i) => check(item, at(String(i), report), depth + 1));
    return items.includes(undefined) ? undefined : (items as T[]);
  };
}

/** A text. */
export const string: Check<string> = (value, report) =>
  typeof value === "string" ? value : wrong(report, "a text", value);

/** A number. */
export const number: Check<number> = (value, report) =>
  typeof value === "number" && Number.isFinite(value) ? value : wrong(report, "a number", value);

/** True or false. */
export const boolean: Check<boolean> = (value, report) =>
  typeof value === "boolean" ? value : wrong(report, "true or false", value);

/** Reports a wrong type. */
export function wrong(report: Report, expected: string, found: unknown): undefined {
  report([{ code: "type", path: "", expected, found }]);
  return undefined;
}

function entriesOf(value: unknown, report: Report, depth: number): [string, unknown][] | undefined {
  if (depth > deepest) return wrong(report, `nested at most ${deepest} levels deep`, typeof value);
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    return wrong(report, "an object", value);
  }
  return Object.entries(value);
}
