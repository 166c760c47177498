import { CvPatch, entriesOf, isPatchLike, type PatchLike } from "../cv/cvpatch.js";
import { CvSet, type CvsLike, imageOf, toCvSet } from "../cv/cvset.js";
import { firstIndexed, lastCv, lastIndexed, nameOf, pagedKey } from "../cv/name.js";
import { isUnpaged } from "./write.js";

/** Some bits of one CV, by key. */
export interface Wanted {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
}

/** What is wanted of a decoder, by key. */
export interface Target {
  /** Visits everything in the order of CV numbers. */
  each(visit: (key: number, mask: number, value: number) => void): void;
  /** The whole byte that is wanted of a CV; undefined where none is. */
  byte(key: number): number | undefined;
  /** Whether it has a CV 257-512 without a page. */
  readonly hasUnpaged: boolean;
}

/**
 * A set or a patch of this copy of the library from what a caller gives.
 * @throws `CvError` when it is neither.
 */
export function setOrPatch(given: CvsLike | PatchLike, path: string): CvSet | CvPatch {
  if (!isPatchLike(given)) return toCvSet(given as CvsLike, path);
  return CvPatch.from({
    bits: entriesOf(given, path).map(([key, { mask, value }]) => ({ cv: nameOf(key), mask, value })),
  });
}

/** A set, or a patch, as a target. */
export function targetOf(to: CvSet | CvPatch): Target {
  return to instanceof CvSet ? setTarget(to) : patchTarget(to);
}

function setTarget(to: CvSet): Target {
  const image = imageOf(to);
  const { bytes, pages } = image;
  return {
    byte: (key) => known(image.peek(key)),
    get hasUnpaged() {
      for (let cv = firstIndexed; cv <= lastIndexed; cv++) if ((bytes[cv] as number) >= 0) return true;
      return false;
    },
    each(visit) {
      for (let cv = 1; cv <= lastCv; cv++) {
        const value = bytes[cv] as number;
        if (value >= 0) visit(cv, 255, value);
      }
      for (const page of [...pages.keys()].sort((a, b) => a - b)) {
        const values = pages.get(page) as Int16Array;
        const first = pagedKey(firstIndexed, page >> 8, page & 255);
        for (let i = 0; i < values.length; i++) {
          const value = values[i] as number;
          if (value >= 0) visit(first + i, 255, value);
        }
      }
    },
  };
}

/** The byte that an image gives; undefined for its -1. */
export function known(byte: number): number | undefined {
  return byte < 0 ? undefined : byte;
}

function patchTarget(to: CvPatch): Target {
  return listTarget(entriesOf(to).map(([key, { mask, value }]) => ({ key, mask, value })));
}

/** A list as a target; one entry a CV, in the order of CV numbers. */
export function listTarget(list: readonly Wanted[]): Target {
  const bytes = new Map<number, number>();
  for (const { key, mask, value } of list) if (mask === 255) bytes.set(key, value);
  return {
    byte: (key) => bytes.get(key),
    hasUnpaged: list.some(({ key }) => isUnpaged(key)),
    each(visit) {
      for (const { key, mask, value } of list) visit(key, mask, value);
    },
  };
}
