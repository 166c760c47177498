import { CvError, type CvPatch, CvSet, type Issue } from "../cv/index.js";
import { firstIndexed, lastCv, lastIndexed, nameOf, pagedKey } from "../cv/name.js";
import type { KnownDecoder } from "./model.js";
import type { PlanNote } from "./step.js";

/** Some bits of one CV, with the CV's key. */
export interface Wanted {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
}

/** What is wanted of a decoder, by key. */
export interface Target {
  /** Visits everything in the order of CV numbers. */
  each(visit: (key: number, mask: number, value: number) => void): void;
  /** The whole byte that is wanted of a CV, or -1. */
  byte(key: number): number;
  /** Whether any CV 257-512 without a page is among it. */
  readonly hasBare: boolean;
}

/** A set, or a patch, as a target. */
export function targetOf(to: CvSet | CvPatch): Target {
  return to instanceof CvSet ? setTarget(to) : patchTarget(to);
}

function setTarget(to: CvSet): Target {
  const image = to.reader;
  const { bytes, pages } = image;
  return {
    byte: (key) => image.peek(key),
    get hasBare() {
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

function patchTarget(to: CvPatch): Target {
  return listTarget(to.entries().map(([key, { mask, value }]) => ({ key, mask, value })));
}

/** A list as a target; one entry a CV, in the order of CV numbers. */
export function listTarget(list: readonly Wanted[]): Target {
  const bytes = new Map<number, number>();
  for (const { key, mask, value } of list) if (mask === 255) bytes.set(key, value);
  return {
    byte: (key) => bytes.get(key) ?? -1,
    hasBare: list.some(({ key }) => isBare(key)),
    each(visit) {
      for (const { key, mask, value } of list) visit(key, mask, value);
    },
  };
}

/**
 * A target in which CVs 257-512 without a page are put on the page that CV 31 and 32 select, when these
 * are known: that is where they were read, or are meant to be written (S-9.2.2, July 2012, CV 31 and 32).
 * A decoder that has such a CV without a page keeps it.
 * @throws `CvError` when a CV is given with and without its page, differently.
 */
export function withPages(
  target: Target,
  high: number,
  low: number,
  decoder: KnownDecoder | undefined,
  notes: PlanNote[],
): Target {
  if (high < 0 || low < 0 || !target.hasBare) return target;
  const changes = new Map<number, Wanted>();
  const moved: string[] = [];
  const issues: Issue[] = [];
  target.each((bare, mask, value) => {
    const stays = !isBare(bare) || decoder?.keys.has(bare);
    const key = stays ? bare : pagedKey(bare, high, low);
    if (!stays) moved.push(String(bare));
    const old = changes.get(key);
    if (old && (old.value ^ value) & old.mask & mask) {
      issues.push({
        code: "content",
        path: "",
        places: [{ cv: nameOf(key), mask: 255 }],
        expected: `is given twice, with and without its page: once ${old.value}`,
        found: value,
      });
    }
    changes.set(
      key,
      old ? { key, mask: old.mask | mask, value: (old.value & ~mask) | value } : { key, mask, value },
    );
  });
  if (issues.length) throw new CvError(issues);
  if (moved.length) {
    notes.push({
      rule: "page",
      severity: "note",
      message: `CVs 257-512 without a page are taken as those of page ${high}.${low}, which CV 31 and 32 select`,
      cvs: moved,
      source: "S-9.2.2 (July 2012), CV 31 and 32",
    });
  }
  return listTarget([...changes.values()].sort((a, b) => a.key - b.key));
}

/** Whether a key is a CV of the indexed area without its page. */
export function isBare(key: number): boolean {
  return key >= firstIndexed && key <= lastIndexed;
}
