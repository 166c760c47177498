import { isBare, type Wanted } from "./argument.js";
import { brandOf, isInstance } from "./brand.js";
import { notAByte, notACv, notAList, notAnObject, unreadable } from "./faults.js";
import type { CvWriter } from "./image.js";
import { CvError, fault, type Issue, under } from "./issue.js";
import { IssueList } from "./issue-list.js";
import { type CvName, keyOf, nameOf } from "./name.js";
import { reasonOf } from "./show.js";

const badMask = /* @__PURE__ */ fault("mask", "expected a mask, a whole number from 1 to 255, got {found}");
const badBits = /* @__PURE__ */ fault(
  "bits",
  "expected a whole number from 0 to 255 without bits outside the mask {mask}, got {found}",
);

const notAPatch = /* @__PURE__ */ fault(
  "expected-patch",
  "expected an object with cvs or bits, as a patch has it in JSON, got {found}",
);

/** A change to some bits of one CV. */
export interface BitChange {
  /** The CV as text: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** Which bits change, 1-255. */
  readonly mask: number;
  /** Their values, in place: no bit outside the mask is set. */
  readonly value: number;
}

/** A patch in JSON: whole bytes and single bits; either may be left out. */
export interface PatchJson {
  /** Whole bytes by CV. */
  readonly cvs?: Readonly<Record<CvName, number>>;
  /** Some bits of one CV each. */
  readonly bits?: Iterable<{ readonly cv: CvName; readonly mask: number; readonly value: number }>;
}

/** A change as every function of this library takes it: a patch, of any copy of this library, or its JSON form. */
export type PatchLike = CvPatch | PatchJson;

// The changes of a patch of this copy of the library. Only this file has it, so that no caller gets them: a patch
// could be changed through them.
let ownChanges: ((patch: object) => ReadonlyMap<number, Change> | undefined) | undefined;

/** Values for some bits of some CVs; all other bits are left alone. Immutable. */
export class CvPatch implements Iterable<BitChange> {
  /** The name of its class, the same in every copy of this library. */
  readonly "~cvset" = "CvPatch";
  readonly #changes: ReadonlyMap<number, Change>;

  /** @internal Use {@link CvPatch.from}, or a codec's `encode`. */
  constructor(changes: ReadonlyMap<number, Change>) {
    this.#changes = changes;
    ownChanges ??= (patch) => (#changes in patch ? patch.#changes : undefined);
    Object.freeze(this);
  }

  /** @internal */
  static [Symbol.hasInstance](value: unknown): value is CvPatch {
    // biome-ignore lint/complexity/noThisInStatic: a class that extends this one inherits it.
    return isInstance(this, CvPatch, "CvPatch", value);
  }

  /**
   * A patch from its JSON form.
   * @param json Whole bytes and single bits; either may be left out.
   * @throws `CvError` with everything that is wrong in it.
   * @example
   * import { CvPatch } from "cvset";
   * CvPatch.from({ cvs: { 17: 196, 18: 210 }, bits: [{ cv: "29", mask: 32, value: 32 }] }).size; // 3
   */
  static from(json: PatchLike): CvPatch {
    return new CvPatch(changesFrom(json, ""));
  }

  /** How many CVs it touches. */
  get size(): number {
    return this.#changes.size;
  }

  /** The changes, one a CV, in the order of CV numbers, index pages last. */
  *[Symbol.iterator](): Generator<BitChange, void> {
    for (const [key, { mask, value }] of entriesOf(this)) yield { cv: nameOf(key), mask, value };
  }

  /**
   * This patch followed by another: where both change a bit, the other one's value stays.
   * @param next The later patch.
   * @throws `CvError` when it is no patch.
   * @example
   * import { CvPatch } from "cvset";
   * const first = CvPatch.from({ cvs: { 5: 200 } });
   * first.followedBy(CvPatch.from({ cvs: { 5: 180 } })).toJSON().cvs; // { "5": 180 }
   */
  followedBy(next: PatchLike): CvPatch {
    const writer = new PatchWriter();
    for (const entries of [entriesOf(this), entriesOf(next, "next")]) {
      for (const [key, { mask, value }] of entries) writer.put(key, mask, value);
    }
    return writer.patch();
  }

  /** The whole bytes by CV, then the single bits, one entry a CV. */
  toJSON(): { readonly cvs: Readonly<Record<string, number>>; readonly bits: readonly BitChange[] } {
    const cvs: Record<string, number> = {};
    const bits: BitChange[] = [];
    for (const change of this) {
      if (change.mask === 255) cvs[change.cv] = change.value;
      else bits.push(change);
    }
    return { cvs, bits };
  }
}

/**
 * The changes of a patch that a caller gives, by key, in CV order.
 * @param patch A patch, or one in JSON.
 * @param path The name of the argument.
 * @throws `CvError` when it is neither, with everything that is wrong in it.
 */
export function entriesOf(patch: PatchLike, path = "patch"): [number, Change][] {
  const own = typeof patch === "object" && patch !== null ? ownChanges?.(patch) : undefined;
  return [...(own ?? changesFrom(patch, path))].sort((a, b) => a[0] - b[0]);
}

/** A patch, or one in JSON. */
export const aPatch: Wanted = (value, path, report) => {
  if (typeof value === "object" && value !== null && ownChanges?.(value)) return;
  for (const issue of under(path, fillFrom(new Map(), value))) report(issue);
};

/** Whether something is a patch, or has keys of one in JSON; a map of CV numbers has not. */
export function isPatchLike(value: unknown): value is PatchLike {
  return (
    brandOf(value) === "CvPatch" ||
    (typeof value === "object" && value !== null && ("cvs" in value || "bits" in value))
  );
}

/** The changes of a patch of another copy, or of one in JSON. */
function changesFrom(json: unknown, path: string): ReadonlyMap<number, Change> {
  const changes: Changes = new Map();
  const issues = fillFrom(changes, json);
  if (issues.length) throw new CvError(under(path, issues));
  return changes;
}

/** Fills changes; what is wrong with the patch. */
function fillFrom(changes: Changes, json: unknown): Issue[] {
  const issues = new IssueList();
  try {
    fill(changes, json, issues);
  } catch (error) {
    // A getter, an iterator or a proxy of the caller that throws.
    issues.add(unreadable({ reason: reasonOf(error) }));
  }
  return issues.done();
}

function fill(changes: Changes, json: unknown, issues: IssueList): void {
  const add = (cv: unknown, mask: unknown, value: unknown): void => {
    const key = typeof cv === "string" || typeof cv === "number" ? keyOf(String(cv)) : 0;
    if (key === 0) {
      issues.add(notACv({ found: cv }));
      return;
    }
    const where = { places: [{ cv: nameOf(key), mask: 255 }] };
    if (!isByte(mask) || mask === 0) issues.add(badMask({ found: mask }, where));
    else if (isByte(value) && (value & ~mask) === 0) put(changes, key, mask, value);
    else
      issues.add(mask === 255 ? notAByte({ found: value }, where) : badBits({ found: value, mask }, where));
  };
  // What has other keys alone is no patch: nothing of a map of CV numbers would be left.
  if (typeof json !== "object" || json === null || !(isPatchLike(json) || isEmpty(json))) {
    issues.add(notAPatch({ found: json }));
    return;
  }
  const isPatch = brandOf(json) === "CvPatch" && Symbol.iterator in json;
  const { cvs = {}, bits = [] } = (isPatch ? { bits: json } : json) as Readonly<Record<string, unknown>>;
  if (typeof cvs !== "object" || cvs === null || !isBare(cvs))
    issues.add(notAnObject({ found: cvs }, { path: "cvs" }));
  else for (const [cv, value] of Object.entries(cvs)) add(cv, 255, value);
  const isList = typeof bits === "object" && bits !== null && Symbol.iterator in bits;
  if (!isList) issues.add(notAList({ found: bits }, { path: "bits" }));
  let i = 0;
  // Each change is looked at above.
  for (const change of isList ? (bits as Iterable<Partial<BitChange> | null>) : []) {
    if (typeof change === "object" && change !== null) add(change.cv, change.mask, change.value);
    else issues.add(notAnObject({ found: change }, { path: `bits.${i}` }));
    i++;
  }
}

function isEmpty(value: object): boolean {
  return isBare(value) && Object.keys(value).length === 0;
}

/** @internal The bits that change in one CV. */
export interface Change {
  readonly mask: number;
  readonly value: number;
}

type Changes = Map<number, Change>;

/** Collects what codecs write, as a patch. */
export class PatchWriter implements CvWriter {
  readonly #changes: Changes = new Map();

  /**
   * @param nearest Whether numbers between two storable steps are rounded to the nearest.
   */
  constructor(readonly nearest = false) {}

  put(key: number, mask: number, bits: number): void {
    put(this.#changes, key, mask, bits);
  }

  /** What was collected of one CV so far. */
  at(key: number): Change | undefined {
    return this.#changes.get(key);
  }

  /** What was collected so far. */
  patch(): CvPatch {
    return new CvPatch(new Map(this.#changes));
  }
}

function put(changes: Changes, key: number, mask: number, bits: number): void {
  const old = changes.get(key);
  changes.set(
    key,
    old ? { mask: old.mask | mask, value: (old.value & ~mask) | bits } : { mask, value: bits },
  );
}

/** Whether something is a whole number from 0 to 255 (and not -0). */
export function isByte(value: unknown): value is number {
  return (
    typeof value === "number" && value >= 0 && value <= 255 && (value | 0) === value && !Object.is(value, -0)
  );
}
