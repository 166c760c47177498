import { type Brand, isA } from "./brand.js";
import {
  notABoolean,
  notAList,
  notANumber,
  notAnObject,
  notAnOption,
  notAText,
  unreadable,
} from "./faults.js";
import { CvError, type Fault, fault, type Issue, isIssue, notAnIssue } from "./issue.js";
import { reasonOf } from "./show.js";

// Every public function looks at its arguments before it works with them: a caller without types gets a CvError that
// names the argument and tells what is wanted, and no TypeError from somewhere within.

const notAFunction = /* @__PURE__ */ fault("expected-function", "expected a function, got {found}");
const notSeveral = /* @__PURE__ */ fault(
  "expected-several",
  "expected what can be iterated over, got {found}",
);

/** What an argument must be: reports what is wrong with it, under its name. */
export type Wanted = (value: unknown, path: string, report: (issue: Issue) => void) => void;

/** What passes a test. */
/* @__NO_SIDE_EFFECTS__ */
export function fitting(fits: (value: unknown) => boolean, notOne: Fault<"{found}">): Wanted {
  return (value, path, report) => {
    if (!fits(value)) report(notOne({ found: value }, { path }));
  };
}

/** A text. */
export const aText: Wanted = /* @__PURE__ */ fitting((value) => typeof value === "string", notAText);
/** A number; not NaN. */
export const aNumber: Wanted = /* @__PURE__ */ fitting(
  (value) => typeof value === "number" && !Number.isNaN(value),
  notANumber,
);
/** A number of any kind; whether it is a number at all is looked at with its range. */
export const anyNumber: Wanted = /* @__PURE__ */ fitting((value) => typeof value === "number", notANumber);
/** True or false. */
export const aBoolean: Wanted = /* @__PURE__ */ fitting((value) => typeof value === "boolean", notABoolean);
/** A list. */
export const aList: Wanted = /* @__PURE__ */ fitting(Array.isArray, notAList);
/** An object that is no list. */
export const anObject: Wanted = /* @__PURE__ */ fitting(isObject, notAnObject);
/** A function. */
export const aFunction: Wanted = /* @__PURE__ */ fitting(
  (value) => typeof value === "function",
  notAFunction,
);
/** Issues, as JSON gives them back too. */
export const someIssues: Wanted = /* @__PURE__ */ listOf(/* @__PURE__ */ fitting(isIssue, notAnIssue));
/** What is looked at elsewhere. */
export const anything: Wanted = () => {};

/** What a class of this library made, whichever copy of it; not an object of JSON with the name of the class in it. */
/* @__NO_SIDE_EFFECTS__ */
export function made(brands: readonly Brand[], notOne: Fault<"{found}">): Wanted {
  return fitting(
    (value) => brands.some((brand) => isA(brand, value)) && !Object.hasOwn(value as object, "~cvset"),
    notOne,
  );
}

/** One of some texts or numbers. */
/* @__NO_SIDE_EFFECTS__ */
export function oneOf(...allowed: readonly (string | number | boolean)[]): Wanted {
  return oneIn(allowed);
}

/** One of the texts or numbers in a list. */
/* @__NO_SIDE_EFFECTS__ */
export function oneIn(allowed: readonly (string | number | boolean)[]): Wanted {
  return (value, path, report) => {
    if (!allowed.some((one) => one === value)) report(notAnOption({ found: value, allowed }, { path }));
  };
}

/** A list of what is wanted; it is looked at up to the first item that is not. */
/* @__NO_SIDE_EFFECTS__ */
export function listOf(item: Wanted): Wanted {
  return (value, path, report) => {
    if (!Array.isArray(value)) return aList(value, path, report);
    let right = true;
    for (let i = 0; i < value.length && right; i++) {
      item(value[i], `${path}.${i}`, (issue) => {
        right = false;
        report(issue);
      });
    }
  };
}

/** What can be iterated over, and is no text; of a list each item is looked at. */
/* @__NO_SIDE_EFFECTS__ */
export function severalOf(item: Wanted): Wanted {
  return (value, path, report) => {
    if (Array.isArray(value)) return listOf(item)(value, path, report);
    const isSeveral =
      typeof value === "object" &&
      value !== null &&
      (Symbol.iterator in value || Symbol.asyncIterator in value);
    if (!isSeveral) report(notSeveral({ found: value }, { path }));
  };
}

/** An object with what is wanted by key; a key with a question mark may be left out. Other keys are passed over. */
/* @__NO_SIDE_EFFECTS__ */
export function objectOf(keys: Readonly<Record<string, Wanted>>): Wanted {
  return (value, path, report) => {
    if (!isObject(value)) return anObject(value, path, report);
    for (const [mark, wanted] of Object.entries(keys)) {
      const key = mark.replace("?", "");
      const item = value[key];
      if (item !== undefined || key === mark) wanted(item, path ? `${path}.${key}` : key, report);
    }
  };
}

/** An object with any keys, whose values are what is wanted. */
/* @__NO_SIDE_EFFECTS__ */
export function mapOf(item: Wanted): Wanted {
  return (value, path, report) => {
    if (!isObject(value)) return anObject(value, path, report);
    for (const key of Object.keys(value)) item(value[key], path ? `${path}.${key}` : key, report);
  };
}

/**
 * Refuses an argument that is not what is wanted.
 * @param wanted What is wanted.
 * @param value The argument.
 * @param path Its name.
 * @throws `CvError` that names it, and what is wrong within it.
 */
export function need(wanted: Wanted, value: unknown, path: string): void {
  const issues: Issue[] = [];
  try {
    wanted(value, path, (issue) => issues.push(issue));
  } catch (error) {
    // A getter or a proxy of the caller that throws.
    issues.push(unreadable({ reason: reasonOf(error) }, { path }));
  }
  if (issues.length) throw new CvError(issues);
}

/**
 * Like {@link need} for an object of options: what is wrong within it has its path in the object.
 * @throws `CvError` that names what is wrong.
 */
export function needIn(wanted: Wanted, value: unknown, path: string): void {
  need(anObject, value, path);
  need(wanted, value, "");
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value) && !isBuiltIn(value);
}

/** What has no settings in it: a date, a promise that was not waited for. */
function isBuiltIn(value: object): boolean {
  return /^\[object (Date|Promise|Map|Set)\]$/.test(Object.prototype.toString.call(value));
}

/** Whether an object is of no class; a frame or worker has an Object.prototype of its own. */
export function isBare(value: object): boolean {
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null || Object.getPrototypeOf(prototype) === null;
}
