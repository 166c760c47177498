import { optionIssue } from "../codec/choice.js";
import { at, issuesOf, type Report } from "../codec/codec.js";
import { isObject } from "../codec/fields.js";
import {
  missingValue,
  notABoolean,
  notAList,
  notANumber,
  notAnObject,
  notAText,
  unknownName,
  unreadable,
} from "../cv/faults.js";
import { fault, type Issue } from "../cv/issue.js";
import { Spelling } from "../cv/nearest.js";
import { reasonOf } from "../cv/show.js";

// Untrusted JSON into typed values: each check reports everything that is wrong, with its path.

const tooDeep = /* @__PURE__ */ fault("nested-too-deep", "nested more than {most} levels deep");

/** Turns untrusted JSON into a value of one type; reports what is wrong and then gives undefined. */
export type Check<T> = (value: unknown, report: Report, depth: number) => T | undefined;

/** Checks by key. */
export type Checks = Readonly<Record<string, Check<unknown>>>;
type Checked<C extends Checks> = { readonly [K in keyof C]: C[K] extends Check<infer T> ? T : never };

/** An object with these keys, once it has been checked. */
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
  const allowed = [...checks.keys()];
  return guarded((value, report, depth) => {
    const entries = entriesOf(value, report, depth);
    if (!entries) return undefined;
    let whole = true;
    const spelling = new Spelling();
    const result: Record<string, unknown> = {};
    for (const [key, item] of entries) {
      const check = checks.get(key);
      const checked = check
        ? check(item, at(key, report), depth + 1)
        : refuse(
            at(key, report),
            unknownName({ found: key, allowed, nearest: spelling.nearest(key, () => allowed) }),
          );
      if (checked === undefined) whole = false;
      else result[key] = checked;
    }
    for (const key of Object.keys(needed)) {
      if (!entries.some(([name]) => name === key)) {
        whole = false;
        refuse(at(key, report), missingValue({}));
      }
    }
    // Every key of the shape has been through its own check.
    return whole ? (result as Shape<Needed, Free>) : undefined;
  });
}

/** An object with any keys, whose values are all of one type. */
/* @__NO_SIDE_EFFECTS__ */
export function mapOf<T>(check: Check<T>): Check<Record<string, T>> {
  return guarded((value, report, depth) => {
    const entries = entriesOf(value, report, depth);
    const checked = entries?.map(([key, item]) => [key, check(item, at(key, report), depth + 1)] as const);
    if (!checked || checked.some(([, item]) => item === undefined)) return undefined;
    return Object.fromEntries(checked) as Record<string, T>;
  });
}

/** A list whose items are all of one type. */
/* @__NO_SIDE_EFFECTS__ */
export function listOf<T>(check: Check<T>): Check<T[]> {
  return guarded((value, report, depth) => {
    if (!Array.isArray(value)) return refuse(report, notAList({ found: value }));
    const items: T[] = [];
    for (let i = 0; i < value.length; i++) {
      const item: unknown = value[i];
      // A list with holes may be of any length, and JSON has none.
      if (item === undefined) return refuse(at(String(i), report), missingValue({}));
      const checked = check(item, at(String(i), report), depth + 1);
      if (checked !== undefined) items.push(checked);
    }
    return items.length < value.length ? undefined : items;
  });
}

/** An object of one of several shapes; the text under `key` tells which. */
/* @__NO_SIDE_EFFECTS__ */
export function oneOf<T>(
  key: string,
  shapes: () => ReadonlyMap<unknown, Check<T>>,
  noSuch: (found: unknown, allowed: readonly string[]) => Issue = (found, allowed) =>
    optionIssue(found, allowed),
): Check<T> {
  return guarded((value, report, depth) => {
    if (!isObject(value)) return refuse(report, notAnObject({ found: value }));
    const kind = value[key];
    const shape = shapes().get(kind);
    if (shape) return shape(value, report, depth);
    return refuse(
      at(key, report),
      kind === undefined ? missingValue({}) : noSuch(kind, [...shapes().keys()].map(String)),
    );
  });
}

/** A text. */
export const string: Check<string> = (value, report) =>
  typeof value === "string" ? value : refuse(report, notAText({ found: value }));

/** A number. */
export const number: Check<number> = (value, report) =>
  typeof value === "number" && Number.isFinite(value) ? value : refuse(report, notANumber({ found: value }));

/** True or false. */
export const boolean: Check<boolean> = (value, report) =>
  typeof value === "boolean" ? value : refuse(report, notABoolean({ found: value }));

/** Reports an issue; the value of a check that failed. */
export function refuse(report: Report, issue: Issue): undefined {
  report([issue]);
  return undefined;
}

/** The result of a call; where it throws, undefined, and the issues are reported. */
export function made<T>(report: Report, make: () => T, kind = "definition"): T | undefined {
  try {
    return make();
  } catch (error) {
    report(issuesOf(error, kind));
    return undefined;
  }
}

/** The check, reporting what a getter or a proxy of the value throws. */
function guarded<T>(check: Check<T>): Check<T> {
  return (value, report, depth) => {
    try {
      return check(value, report, depth);
    } catch (error) {
      return refuse(report, unreadable({ reason: reasonOf(error) }));
    }
  };
}

function entriesOf(value: unknown, report: Report, depth: number): [string, unknown][] | undefined {
  if (depth > deepest) return refuse(report, tooDeep({ most: deepest }));
  if (!isObject(value)) return refuse(report, notAnObject({ found: value }));
  return Object.entries(value);
}
