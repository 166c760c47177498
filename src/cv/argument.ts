import { type Brand, isA } from "./brand.js";
import { notABoolean, notAList, notANumber, notAnObject, notAText } from "./faults.js";
import { CvError, type Fault, fault } from "./issue.js";

// Every public function looks at its arguments before it works with them: a caller without types gets a CvError that
// names the argument and tells what is wanted, and no TypeError from somewhere within.

const notAFunction = /* @__PURE__ */ fault("expected-function", "expected a function, got {found}");

/** What an argument must be: a test, and the fault where it fails. */
export interface Wanted {
  readonly fits: (value: unknown) => boolean;
  readonly fault: Fault<"{found}">;
}

/** A text. */
export const aText: Wanted = { fits: (value) => typeof value === "string", fault: notAText };
/** A number; not NaN. */
export const aNumber: Wanted = {
  fits: (value) => typeof value === "number" && !Number.isNaN(value),
  fault: notANumber,
};
/** True or false. */
export const aBoolean: Wanted = { fits: (value) => typeof value === "boolean", fault: notABoolean };
/** A list. */
export const aList: Wanted = { fits: Array.isArray, fault: notAList };
/** An object that is no list. */
export const anObject: Wanted = {
  fits: (value) => typeof value === "object" && value !== null && !Array.isArray(value),
  fault: notAnObject,
};
/** A function. */
export const aFunction: Wanted = { fits: (value) => typeof value === "function", fault: notAFunction };

/** What a class of this library made, whichever copy of it; not an object of JSON with the name of the class in it. */
/* @__NO_SIDE_EFFECTS__ */
export function made(brands: readonly Brand[], notOne: Fault<"{found}">): Wanted {
  return {
    fits: (value) => brands.some((brand) => isA(brand, value)) && !Object.hasOwn(value as object, "~cvset"),
    fault: notOne,
  };
}

/**
 * Refuses an argument that is not what is wanted.
 * @param wanted What is wanted.
 * @param value The argument.
 * @param path Its name.
 * @throws `CvError` that names it.
 */
export function need(wanted: Wanted, value: unknown, path: string): void {
  if (!wanted.fits(value)) throw new CvError([wanted.fault({ found: value }, { path })]);
}

/**
 * Refuses options that are no object, or in which one that is given is not what is wanted.
 * @param options The options.
 * @param wanted What each must be where it is given. Others are passed over.
 * @param path The name of the argument.
 * @throws `CvError` with all that are wrong.
 */
export function needOptions(
  options: unknown,
  wanted: Readonly<Record<string, Wanted>> = {},
  path = "options",
): void {
  need(anObject, options, path);
  const issues = Object.entries(wanted).flatMap(([name, { fits, fault: of }]) => {
    const found = (options as Readonly<Record<string, unknown>>)[name];
    return found === undefined || fits(found) ? [] : [of({ found }, { path: `${path}.${name}` })];
  });
  if (issues.length) throw new CvError(issues);
}

/** Whether an object is of no class; a frame or worker has an Object.prototype of its own. */
export function isBare(value: object): boolean {
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null || Object.getPrototypeOf(prototype) === null;
}
