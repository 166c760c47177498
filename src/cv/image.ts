import { missingCv, unknownBits } from "./faults.js";
import { CvError, type Issue } from "./issue.js";
import { firstIndexed, lastCv, nameOf, numberOf, pageOf } from "./name.js";

/** What a codec reads from. */
export interface CvReader {
  /**
   * The byte of a CV.
   * @param key The CV's key; a place knows it: read through {@link Place.read}.
   * @throws `CvError` when the CV is not there.
   */
  get(key: number): number;
}

/** What a codec writes to. */
export interface CvWriter {
  /** Whether numbers between two storable steps are to be rounded to the nearest. */
  readonly nearest: boolean;
  /**
   * Sets some bits of a CV; the others stay.
   * @param key The CV's key.
   * @param mask Which bits.
   * @param bits Their values, in place; no bit outside the mask may be set.
   */
  put(key: number, mask: number, bits: number): void;
}

const absent = -1;
const pageSize = 256;

/** The CVs of one decoder, read and written in place. A {@link CvSet} holds one that is never written again. */
export class CvImage implements CvReader, CvWriter {
  /** @internal CV n at [n], -1 where it is absent: presence and value in one read. */
  readonly bytes: Int16Array;
  /** @internal The index pages that hold anything, CV 257 at [0]. */
  readonly pages: Map<number, Int16Array>;
  /** Whether numbers between two storable steps are rounded to the nearest when encoded into this image. */
  nearest = false;

  /**
   * @param from The image to copy; nothing is set without one.
   */
  constructor(from?: CvImage) {
    this.bytes = from ? from.bytes.slice() : new Int16Array(lastCv + 1).fill(absent);
    this.pages = new Map();
    if (from) for (const [page, bytes] of from.pages) this.pages.set(page, bytes.slice());
  }

  /** The byte at a key, or -1 when the CV is absent. */
  peek(key: number): number {
    if (key <= lastCv) return this.bytes[key] as number;
    return this.pages.get(pageOf(key))?.[numberOf(key) - firstIndexed] ?? absent;
  }

  /** The byte at a key. @throws `CvError` when the CV is absent. */
  get(key: number): number {
    // Short, so that it is inlined: the usual case alone. Of a key on a page there is no byte here.
    const value = this.bytes[key] as number;
    return value >= 0 ? value : getSlowly(this, key);
  }

  /** Sets a whole byte. */
  set(key: number, value: number): void {
    if (key <= lastCv) {
      this.bytes[key] = value;
      return;
    }
    const page = pageOf(key);
    let bytes = this.pages.get(page);
    if (!bytes) this.pages.set(page, (bytes = new Int16Array(pageSize).fill(absent)));
    bytes[numberOf(key) - firstIndexed] = value;
  }

  /**
   * Sets some bits.
   * @throws `CvError` when the CV is absent and the mask leaves bits that are not known.
   */
  put(key: number, mask: number, bits: number): void {
    const old = this.bytes[key] as number;
    if (old >= 0) this.bytes[key] = (old & ~mask) | bits;
    else putSlowly(this, key, mask, bits);
  }

  /** Every CV that is there, in the order of CV numbers, index pages after all others. */
  *keys(): Generator<number, void> {
    for (let cv = 1; cv <= lastCv; cv++) if ((this.bytes[cv] as number) >= 0) yield cv;
    for (const page of [...this.pages.keys()].sort((a, b) => a - b)) {
      const bytes = this.pages.get(page) as Int16Array;
      for (let i = 0; i < pageSize; i++) {
        if ((bytes[i] as number) >= 0) yield (page + 1) * 1024 + firstIndexed + i;
      }
    }
  }
}

function getSlowly(image: CvImage, key: number): number {
  const value = image.peek(key);
  if (value < 0) throw missing(key);
  return value;
}

function putSlowly(image: CvImage, key: number, mask: number, bits: number): void {
  const old = image.peek(key);
  if (old < 0 && mask !== 255) throw new CvError([bitsUnknown(key, mask)]);
  // An absent CV is -1, all ones: it must not shine through a whole byte.
  image.set(key, (old & 255 & ~mask) | bits);
}

/** The error that a CV is absent. */
export function missing(key: number): CvError {
  return new CvError([missingCv({}, { places: [{ cv: nameOf(key), mask: 255 }] })]);
}

/** The issue that some bits of a CV are not known. */
export function bitsUnknown(key: number, written: number): Issue {
  return unknownBits({}, { places: [{ cv: nameOf(key), mask: ~written & 255 }] });
}
