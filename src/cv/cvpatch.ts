import { notAByte, notACv, notAList, notAnObject } from "./faults.js";
import type { CvWriter } from "./image.js";
import { CvError, fault } from "./issue.js";
import { IssueList } from "./issue-list.js";
import { type CvName, keyOf, nameOf } from "./name.js";

const badMask = /* @__PURE__ */ fault("mask", "expected a mask, a whole number from 1 to 255, got {found}");
const badBits = /* @__PURE__ */ fault(
  "bits",
  "expected a whole number from 0 to 255 without bits outside the mask {mask}, got {found}",
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

/** Values for some bits of some CVs; all other bits are left alone. Immutable. */
export class CvPatch implements Iterable<BitChange> {
  readonly #changes: ReadonlyMap<number, Change>;

  /** For {@link entriesOf}. */
  private entries(asked: unknown): [number, Change][] {
    if (asked !== insider) throw new TypeError("internal");
    return [...this.#changes].sort((a, b) => a[0] - b[0]);
  }

  /** @internal Use {@link CvPatch.from}, or a codec's `encode`. */
  constructor(changes: ReadonlyMap<number, Change>) {
    this.#changes = changes;
    Object.freeze(this);
  }

  /**
   * A patch from its JSON form.
   * @param json Whole bytes and single bits; either may be left out.
   * @throws `CvError` with everything that is wrong in it.
   * @example
   * import { CvPatch } from "cvset";
   * CvPatch.from({ cvs: { 17: 196, 18: 210 }, bits: [{ cv: "29", mask: 32, value: 32 }] }).size; // 3
   */
  static from(json: {
    readonly cvs?: Readonly<Record<CvName, number>>;
    readonly bits?: Iterable<{ readonly cv: CvName; readonly mask: number; readonly value: number }>;
  }): CvPatch {
    const writer = new PatchWriter();
    const issues = new IssueList();
    const add = (cv: unknown, mask: unknown, value: unknown): void => {
      const key = typeof cv === "string" || typeof cv === "number" ? keyOf(String(cv)) : 0;
      if (key === 0) {
        issues.add(notACv({ found: cv }));
        return;
      }
      const where = { places: [{ cv: nameOf(key), mask: 255 }] };
      if (!isByte(mask) || mask === 0) issues.add(badMask({ found: mask }, where));
      else if (isByte(value) && (value & ~mask) === 0) writer.put(key, mask, value);
      else
        issues.add(mask === 255 ? notAByte({ found: value }, where) : badBits({ found: value, mask }, where));
    };
    const { cvs = {}, bits = [] } = Object(json) as Readonly<Record<string, unknown>>;
    if (typeof json !== "object" || json === null) issues.add(notAnObject({ found: json }));
    if (typeof cvs !== "object" || cvs === null) issues.add(notAnObject({ found: cvs }, { path: "cvs" }));
    else for (const [cv, value] of Object.entries(cvs)) add(cv, 255, value);
    const isList = typeof bits === "object" && bits !== null && Symbol.iterator in bits;
    if (!isList) issues.add(notAList({ found: bits }, { path: "bits" }));
    // Each change is looked at below.
    for (const change of isList ? (bits as Iterable<Partial<BitChange> | null>) : []) {
      if (typeof change === "object" && change !== null) add(change.cv, change.mask, change.value);
      else issues.add(notAnObject({ found: change }));
    }
    if (issues.some) throw new CvError(issues.done());
    return writer.patch();
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
   * @example
   * import { CvPatch } from "cvset";
   * const first = CvPatch.from({ cvs: { 5: 200 } });
   * first.followedBy(CvPatch.from({ cvs: { 5: 180 } })).toJSON().cvs; // { "5": 180 }
   */
  followedBy(next: CvPatch): CvPatch {
    const writer = new PatchWriter();
    for (const patch of [this, next]) {
      for (const [key, { mask, value }] of entriesOf(patch)) writer.put(key, mask, value);
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

// Only this file has it, so that no caller gets the changes: a patch could be changed through them.
const insider = {};

/** @internal The changes of a patch by key, in CV order. */
export function entriesOf(patch: CvPatch): [number, Change][] {
  return patch["entries"](insider);
}

/** @internal The bits that change in one CV. */
export interface Change {
  readonly mask: number;
  readonly value: number;
}

/** Collects what codecs write, as a patch. */
export class PatchWriter implements CvWriter {
  readonly #changes = new Map<number, Change>();

  /**
   * @param nearest Whether numbers between two storable steps are rounded to the nearest.
   */
  constructor(readonly nearest = false) {}

  put(key: number, mask: number, bits: number): void {
    const old = this.#changes.get(key);
    this.#changes.set(
      key,
      old ? { mask: old.mask | mask, value: (old.value & ~mask) | bits } : { mask, value: bits },
    );
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

/** Whether something is a whole number from 0 to 255 (and not -0). */
export function isByte(value: unknown): value is number {
  return (
    typeof value === "number" && value >= 0 && value <= 255 && (value | 0) === value && !Object.is(value, -0)
  );
}
