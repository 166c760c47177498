import type { PatchWriter } from "../cv/cvpatch.js";
import { type CvsLike, imageOf } from "../cv/cvset.js";
import type { CvReader } from "../cv/image.js";
import { CvError, fault, type Issue, joinPath, under } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { maskOf, type Place } from "../cv/place.js";
import type { BitsOfCv } from "../cv/places-text.js";

// Values that are worked out from other CVs: their order, and how they get into a patch.

const notKnown = /* @__PURE__ */ fault(
  "derived-unknown",
  "not known, and a value that is to be written is worked out from it: give the present CVs as the base",
);
const circle = /* @__PURE__ */ fault(
  "derived-circle",
  "{names} are worked out from each other, so that none can be worked out first",
);

const withinAnother = /* @__PURE__ */ fault(
  "derived-within",
  "a value that is worked out cannot stand within a codec of kind {kind}; it can be a feature of a decoder or a field of a record",
);

/** A value that is worked out from other CVs, within a codec. */
export interface Derivation {
  /** Where it is within the codec; empty where it is the codec itself. */
  readonly path: string;
  /** Where it is stored. */
  readonly place: Place;
  /** What it is worked out from. */
  readonly from: readonly Place[];
  /**
   * The number.
   * @throws `CvError` where the author's function throws, or gives no number that fits.
   */
  workOut(cvs: CvReader): number;
  /** The issue that a value was given for it as a setting. */
  given(found: unknown, path: string): Issue;
}

/**
 * The values within a codec that are worked out. Records and decoders reach all of this through the values that they
 * have, so that a bundle without any holds none of it.
 */
export class Derivations {
  /** Each after those that it is worked out from. */
  readonly list: readonly Derivation[];

  constructor(list: readonly Derivation[]) {
    this.list = list;
  }

  /**
   * Those of several named codecs together.
   * @throws `CvError` when some are worked out from each other.
   */
  joined(fields: readonly (readonly [name: string, derivations: Derivations])[]): Derivations {
    return new Derivations(ordered(fields));
  }

  /**
   * Adds to a patch the values that are worked out from what it changes.
   * @param writer The patch so far.
   * @param base The present CVs, for what the patch does not have.
   * @param all Whether values are added of which nothing changes.
   * @throws `CvError` where CVs are needed that neither has; the other values are in the patch then.
   */
  finish(writer: PatchWriter, base: CvsLike | undefined, all: boolean): void {
    finish(writer, this.list, base, all);
  }

  /** Refuses them within a codec of which not all is there always. */
  refuse(kind: string): never {
    throw new CvError([withinAnother({ kind })]);
  }
}

/** The values within named codecs, each after those that it is worked out from. */
function ordered(
  fields: readonly (readonly [name: string, derivations: Derivations])[],
): readonly Derivation[] {
  const all = fields.flatMap(([name, { list }]) =>
    list.map((one) => ({ ...one, path: joinPath(name, one.path) })),
  );
  const stored = new Map<number, { readonly mask: number; readonly one: Derivation }[]>();
  for (const one of all) {
    for (const part of one.place.parts) {
      stored.set(part.key, [...(stored.get(part.key) ?? []), { mask: maskOf(part), one }]);
    }
  }
  const needs = (one: Derivation): Derivation[] =>
    one.from.flatMap(({ parts }) =>
      parts.flatMap((part) =>
        (stored.get(part.key) ?? []).flatMap(({ mask, one: other }) => (mask & maskOf(part) ? [other] : [])),
      ),
    );
  // Those that wait for others, with how many; and who waits for whom.
  const waiting = new Map<Derivation, number>();
  const waiters = new Map<Derivation, Derivation[]>();
  for (const one of all) {
    const others = new Set(needs(one));
    waiting.set(one, others.size);
    for (const other of others) waiters.set(other, [...(waiters.get(other) ?? []), one]);
  }
  const sorted = all.filter((one) => waiting.get(one) === 0);
  // It grows while it is gone through.
  for (const one of sorted) {
    for (const waiter of waiters.get(one) ?? []) {
      const left = (waiting.get(waiter) ?? 0) - 1;
      waiting.set(waiter, left);
      if (left === 0) sorted.push(waiter as (typeof all)[number]);
    }
  }
  if (sorted.length < all.length) {
    const names = all.filter((one) => waiting.get(one) !== 0).map(({ path }) => path);
    throw new CvError([circle({ names })]);
  }
  return Object.freeze(sorted);
}

/** Whether a place has a bit of some others. */
export function share(place: Place, others: readonly Place[]): boolean {
  return others.some(({ parts }) =>
    parts.some((one) => place.parts.some((two) => one.key === two.key && maskOf(one) & maskOf(two))),
  );
}

/**
 * Adds to a patch the values that are worked out from what it changes.
 * @param writer The patch so far.
 * @param derivations The values, each after those that it is worked out from.
 * @param base The present CVs, for what the patch does not have.
 * @param all Whether values are added of which nothing changes.
 * @throws `CvError` where CVs are needed that neither has; the other values are in the patch then.
 */
function finish(
  writer: PatchWriter,
  derivations: readonly Derivation[],
  base: CvsLike | undefined,
  all: boolean,
): void {
  const present = base && imageOf(base, "base");
  const valueAt = (key: number) => {
    const change = writer.at(key) ?? { mask: 0, value: 0 };
    const old = present ? present.peek(key) : -1;
    return old < 0
      ? { known: change.mask, value: change.value }
      : { known: 255, value: (old & ~change.mask) | change.value };
  };
  const cvs: CvReader = { get: (key) => valueAt(key).value };
  const issues: Issue[] = [];
  for (const { path, place, from, workOut } of derivations) {
    const parts = from.flatMap((one) => one.parts);
    if (!all && !parts.some((part) => (writer.at(part.key)?.mask ?? 0) & maskOf(part))) continue;
    const unknown = parts.flatMap((part): BitsOfCv[] => {
      const mask = maskOf(part) & ~valueAt(part.key).known;
      return mask ? [{ cv: nameOf(part.key), mask }] : [];
    });
    if (unknown.length) {
      issues.push(notKnown({}, { path, places: unknown }));
      continue;
    }
    try {
      place.write(writer, workOut(cvs));
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      issues.push(...under(path, error.issues));
    }
  }
  if (issues.length) throw new CvError(issues);
}
