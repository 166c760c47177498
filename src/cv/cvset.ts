import { isBare, type Wanted } from "./argument.js";
import { brandOf, isInstance } from "./brand.js";
import { entriesOf, isByte, type PatchLike } from "./cvpatch.js";
import { notAByte, notACv, unreadable } from "./faults.js";
import { bitsUnknown, CvImage, type CvReader, missing } from "./image.js";
import { CvError, fault, type Issue, type Result, under } from "./issue.js";
import { IssueList } from "./issue-list.js";
import { type CvName, keyOf, nameOf, toKey } from "./name.js";
import { reasonOf } from "./show.js";

const notAMap = /* @__PURE__ */ fault(
  "expected-cv-map",
  "expected an object with CV numbers as keys, got {found}",
);
const emptyCopy = /* @__PURE__ */ fault(
  "copy-without-values",
  "expected an object with CV numbers as keys, got a copy without the values; pass on what toJSON() gives",
);
const notAPair = /* @__PURE__ */ fault(
  "expected-cv-pair",
  "expected a pair of CV number and value, got {found}",
);
const tooManyPairs = /* @__PURE__ */ fault(
  "too-many-cv-pairs",
  "expected at most {most} pairs, as many as there are CVs, got {found}",
);

// The image of a set of this copy of the library. Only this file has it, so that no caller gets the image: a set
// could be changed through it.
let ownImage: ((cvs: object) => CvImage | undefined) | undefined;

/**
 * CVs as every function of this library takes them: a set, or a plain map of CV numbers to values, as `toJSON()` and a
 * JSON file give it. A set may be of another copy of this library (its ESM and its CJS build are two).
 */
export type CvsLike = CvSet | Readonly<Record<CvName, number>>;

/** The CVs of one decoder, or some of them. Immutable. A CV that it does not hold is absent, and not 0. */
export class CvSet implements Iterable<[cv: string, value: number]> {
  /**
   * The name of its class, the same in every copy of this library. It is a property of each set, so that what
   * `structuredClone` makes of one, which has lost the values, is not taken for an empty map.
   */
  readonly "~cvset" = "CvSet";
  readonly #image: CvImage;
  #size = -1;

  /** The set that holds nothing. */
  static readonly empty: CvSet = /* @__PURE__ */ new CvSet(/* @__PURE__ */ new CvImage());

  /** @internal Use {@link CvSet.from}. The image must never change afterwards. */
  constructor(image: CvImage) {
    this.#image = image;
    // Here, so that readerOf() and imageOf() need the type of this class and not the class.
    ownImage ??= (cvs) => (#image in cvs ? cvs.#image : undefined);
    Object.freeze(this);
  }

  /** @internal */
  static [Symbol.hasInstance](value: unknown): value is CvSet {
    // biome-ignore lint/complexity/noThisInStatic: a class that extends this one inherits it.
    return isInstance(this, CvSet, "CvSet", value);
  }

  /**
   * A set from a map of CV numbers to values.
   * @param map An object, or pairs, of which the last counts where a CV comes twice; values are whole
   *   numbers from 0 to 255.
   * @throws `CvError` with everything that is wrong in it.
   * @example
   * import { CvSet } from "cvset";
   * const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7 });
   * cvs.get(29); // 34
   * cvs.has(30); // false
   */
  static from(map: Readonly<Record<CvName, number>> | Iterable<readonly [CvName, number]>): CvSet {
    const result = CvSet.tryFrom(map);
    if (!result.ok) throw new CvError(result.issues);
    return result.value;
  }

  /**
   * Like {@link CvSet.from}, for untrusted input: it does not throw, and its result holds everything that is
   * wrong.
   * @param map Anything; what is iterated over must come to an end.
   * @example
   * import { CvSet } from "cvset";
   * const result = CvSet.tryFrom({ "1": 3, "29": 300, "1025": 0 });
   * result.ok || result.issues.map((issue) => issue.code); // ["byte", "cv"]
   */
  static tryFrom(map: unknown): Result<CvSet> {
    const image = new CvImage();
    const issues = fillFrom(image, map);
    return issues.length ? { ok: false, issues } : { ok: true, value: new CvSet(image) };
  }

  /** How many CVs it holds. */
  get size(): number {
    if (this.#size < 0) {
      this.#size = 0;
      for (const _ of this.#image.keys()) this.#size++;
    }
    return this.#size;
  }

  /**
   * The value of a CV, 0-255, or undefined when the set does not hold it.
   * @throws `CvError` when the name names no CV.
   */
  get(cv: CvName): number | undefined {
    const value = this.#image.peek(toKey(cv));
    return value < 0 ? undefined : value;
  }

  /**
   * Whether the set holds a CV.
   * @throws `CvError` when the name names no CV.
   */
  has(cv: CvName): boolean {
    return this.get(cv) !== undefined;
  }

  /**
   * This set with one CV changed.
   * @param cv The CV.
   * @param value Its new value, 0-255.
   * @throws `CvError` when the CV does not exist or the value is not a byte.
   * @example
   * import { CvSet } from "cvset";
   * CvSet.from({ 1: 3 }).with("300@16.0", 7).toJSON(); // { "1": 3, "300@16.0": 7 }
   */
  with(cv: CvName, value: number): CvSet {
    const key = toKey(cv);
    if (!isByte(value)) throw new CvError([badByte(key, value)]);
    const image = new CvImage(this.#image);
    image.set(key, value);
    return new CvSet(image);
  }

  /**
   * This set without some CVs.
   * @param cvs The CVs to leave out; those that it does not hold are passed over.
   */
  without(...cvs: readonly CvName[]): CvSet {
    const image = new CvImage(this.#image);
    for (const cv of cvs) image.set(toKey(cv), -1);
    return new CvSet(image);
  }

  /**
   * This set with a patch applied; every bit outside the patch stays as it is.
   * @param patch The bits to change.
   * @throws `CvError` when the patch has only some bits of a CV that this set does not hold, or is no patch.
   * @example
   * import { CvSet, CvPatch } from "cvset";
   * const patch = CvPatch.from({ bits: [{ cv: "29", mask: 32, value: 32 }] });
   * CvSet.from({ 29: 2 }).apply(patch).get(29); // 34
   */
  apply(patch: PatchLike): CvSet {
    const image = new CvImage(this.#image);
    const issues = new IssueList();
    for (const [key, { mask, value }] of entriesOf(patch)) {
      if (mask !== 255 && image.peek(key) < 0) issues.add(bitsUnknown(key, mask));
      else image.put(key, mask, value);
    }
    if (issues.some) throw new CvError(issues.done());
    return new CvSet(image);
  }

  /**
   * Whether both sets hold the same CVs with the same values.
   * @param other The other set, or a map.
   * @throws `CvError` when it is neither.
   */
  equals(other: CvsLike): boolean {
    const image = imageOf(other, "other");
    for (const key of this.#image.keys()) if (this.#image.peek(key) !== image.peek(key)) return false;
    for (const key of image.keys()) if (this.#image.peek(key) < 0) return false;
    return true;
  }

  /** `[CV, value]`, in the order of CV numbers, index pages last. */
  *[Symbol.iterator](): Generator<[cv: string, value: number], void> {
    for (const key of this.#image.keys()) yield [nameOf(key), this.#image.peek(key)];
  }

  /** The map of CV numbers to values. */
  toJSON(): Record<string, number> {
    return Object.fromEntries(this);
  }
}

/**
 * CVs that a caller gives, for a codec to read. A bundle that has no CV set needs no image for a map.
 * @param cvs A set, or a map.
 * @param path The name of the argument.
 * @throws `CvError` when it is neither, with everything that is wrong in it.
 */
export function readerOf(cvs: CvsLike, path = "cvs"): CvReader {
  return ownOf(cvs) ?? mapReader(filled(new Map(), cvs, path));
}

/**
 * The image of CVs that a caller gives; it must not be changed.
 * @param cvs A set, or a map.
 * @param path The name of the argument.
 * @throws `CvError` when it is neither, with everything that is wrong in it.
 */
export function imageOf(cvs: CvsLike, path = "cvs"): CvImage {
  return ownOf(cvs) ?? filled(new CvImage(), cvs, path);
}

/**
 * A set of this copy of the library from what a caller gives.
 * @param cvs A set, or a map.
 * @param path The name of the argument.
 * @throws `CvError` when it is neither, with everything that is wrong in it.
 */
export function toCvSet(cvs: CvsLike, path = "cvs"): CvSet {
  return ownOf(cvs) ? (cvs as CvSet) : new CvSet(filled(new CvImage(), cvs, path));
}

/** CVs as {@link toCvSet} takes them. */
export const someCvs: Wanted = (value, path, report) => {
  if (ownOf(value)) return;
  for (const issue of under(path, fillFrom(new CvImage(), value))) report(issue);
};

function ownOf(cvs: unknown): CvImage | undefined {
  return typeof cvs === "object" && cvs !== null ? ownImage?.(cvs) : undefined;
}

function mapReader(bytes: ReadonlyMap<number, number>): CvReader {
  return {
    get(key) {
      const byte = bytes.get(key);
      if (byte === undefined) throw missing(key);
      return byte;
    },
  };
}

/** What bytes are put into: an image, or a map. */
interface Store {
  set(key: number, value: number): unknown;
}

/** Fills a store with what a caller gives; a set of another copy of the library is read as the pairs that it gives. */
function filled<S extends Store>(store: S, map: unknown, path: string): S {
  const issues = fillFrom(store, map);
  if (issues.length) throw new CvError(under(path, issues));
  return store;
}

/** Fills a store; what is wrong with the map. */
function fillFrom(store: Store, map: unknown): Issue[] {
  const issues = new IssueList();
  try {
    fill(store, map, issues);
  } catch (error) {
    // A getter, an iterator or a proxy of the caller that throws.
    issues.add(unreadable({ reason: reasonOf(error) }));
  }
  return issues.done();
}

/** All CVs: 1,024, and 256 on each of 65,536 index pages. */
const allCvs = 16_778_240;

function fill(image: Store, map: unknown, issues: IssueList): void {
  if (typeof map !== "object" || map === null) {
    issues.add(notAMap({ found: map }));
  } else if (Array.isArray(map) && map.length > allCvs) {
    // Such as a list of holes: short to write, and long to go through.
    issues.add(tooManyPairs({ most: allCvs, found: map.length }));
  } else if (Symbol.iterator in map) {
    for (const entry of map as Iterable<unknown>) {
      const [name, value] = Array.isArray(entry) && entry.length === 2 ? entry : [];
      if (typeof name === "string" || typeof name === "number") add(image, issues, String(name), value);
      else issues.add(notAPair({ found: entry }));
    }
  } else if (brandOf(map) === "CvSet") {
    issues.add(emptyCopy({}));
  } else if (!isBare(map) && Object.keys(map).length === 0) {
    // A date, or a promise that was not waited for.
    issues.add(notAMap({ found: map }));
  } else {
    for (const name of Object.keys(map)) add(image, issues, name, (map as Record<string, unknown>)[name]);
  }
}

function add(image: Store, issues: IssueList, name: string, value: unknown): void {
  const key = keyOf(name);
  if (key === 0) issues.add(notACv({ found: name }));
  else if (!isByte(value)) issues.add(badByte(key, value));
  else image.set(key, value);
}

function badByte(key: number, found: unknown): Issue {
  return notAByte({ found }, { places: [{ cv: nameOf(key), mask: 255 }] });
}
