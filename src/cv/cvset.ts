import { type CvPatch, isByte } from "./cvpatch.js";
import { CvImage, unknownBits } from "./image.js";
import { CvError, type Issue, type Result } from "./issue.js";
import { type CvName, keyOf, nameOf, notACv, toKey } from "./name.js";

const nameMap = "an object with CV numbers as keys";

/** The CVs of one decoder, or some of them. Immutable; it knows which CVs it holds. */
export class CvSet implements Iterable<[cv: string, value: number]> {
  readonly #image: CvImage;
  #size = -1;

  /** @internal Use {@link CvSet.from}. The image must never change afterwards. */
  constructor(image: CvImage) {
    this.#image = image;
  }

  /** The set that holds nothing. */
  static readonly empty: CvSet = /* @__PURE__ */ new CvSet(/* @__PURE__ */ new CvImage());

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
   * Like {@link CvSet.from}, for input that nobody vouches for: it never throws, and its result holds
   * everything that is wrong.
   * @param map Anything.
   * @example
   * import { CvSet } from "cvset";
   * const result = CvSet.tryFrom({ "1": 3, "29": 300, "1025": 0 });
   * result.ok || result.issues.map((issue) => issue.code); // ["byte", "cv"]
   */
  static tryFrom(map: unknown): Result<CvSet> {
    const image = new CvImage();
    const issues: Issue[] = [];
    if (typeof map !== "object" || map === null) {
      issues.push({ code: "type", path: "", expected: nameMap, found: map });
    } else if (Symbol.iterator in map) {
      for (const entry of map as Iterable<unknown>) {
        const [name, value] = Array.isArray(entry) && entry.length === 2 ? entry : [];
        if (typeof name === "string" || typeof name === "number") add(image, issues, String(name), value);
        else issues.push({ code: "type", path: "", expected: "a pair of CV and value", found: entry });
      }
    } else {
      for (const name of Object.keys(map)) add(image, issues, name, (map as Record<string, unknown>)[name]);
    }
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
   * @throws `CvError` when either is not what it should be.
   * @example
   * import { CvSet } from "cvset";
   * CvSet.from({ 1: 3 }).with("300@16.0", 7).toJSON(); // { "1": 3, "300@16.0": 7 }
   */
  with(cv: CvName, value: number): CvSet {
    const key = toKey(cv);
    if (!isByte(value)) throw new CvError([badByte(key, value)]);
    const image = this.image();
    image.set(key, value);
    return new CvSet(image);
  }

  /**
   * This set without some CVs.
   * @param cvs The CVs to leave out; those that it does not hold are passed over.
   */
  without(...cvs: readonly CvName[]): CvSet {
    const image = this.image();
    for (const cv of cvs) image.set(toKey(cv), -1);
    return new CvSet(image);
  }

  /**
   * This set with a patch applied; every bit outside the patch stays as it is.
   * @param patch The bits to change.
   * @throws `CvError` when the patch has only some bits of a CV that this set does not hold.
   * @example
   * import { CvSet, CvPatch } from "cvset";
   * const patch = CvPatch.from({ bits: [{ cv: "29", mask: 32, value: 32 }] });
   * CvSet.from({ 29: 2 }).apply(patch).get(29); // 34
   */
  apply(patch: CvPatch): CvSet {
    const image = this.image();
    const issues: Issue[] = [];
    for (const [key, { mask, value }] of patch.entries()) {
      if (mask !== 255 && image.peek(key) < 0) issues.push(unknownBits(key, mask));
      else image.put(key, mask, value);
    }
    if (issues.length) throw new CvError(issues);
    return new CvSet(image);
  }

  /** Whether both sets hold the same CVs with the same values. */
  equals(other: CvSet): boolean {
    if (this.size !== other.size) return false;
    for (const key of this.#image.keys()) if (this.#image.peek(key) !== other.#image.peek(key)) return false;
    return true;
  }

  /** A working copy that may be changed in place. */
  image(): CvImage {
    return new CvImage(this.#image);
  }

  /** @internal The set's own image, for reading. */
  get reader(): CvImage {
    return this.#image;
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

function add(image: CvImage, issues: Issue[], name: string, value: unknown): void {
  const key = keyOf(name);
  if (key === 0) issues.push(notACv(name));
  else if (!isByte(value)) issues.push(badByte(key, value));
  else image.set(key, value);
}

function badByte(key: number, value: unknown): Issue {
  return {
    code: "byte",
    path: "",
    places: [{ cv: nameOf(key), mask: 255 }],
    expected: "a whole number from 0 to 255",
    found: value,
  };
}
