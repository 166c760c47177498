import { CvImage } from "../cv/image.js";
import { firstIndexed, lastIndexed, nameOf, numberOf } from "../cv/name.js";
import { cvAgain, cvTwice, pagedCvTwice, unpaged, unpagedWithPage } from "./faults.js";
import type { FileIssues } from "./file-issue.js";

/** The CVs of a file as they are read, with their places, so that none is given twice unnoticed. */
export class Collected {
  /** The whole bytes. */
  readonly image = new CvImage();
  /** The bits of CVs of which not all are given, by key. */
  readonly bits = new Map<number, { mask: number; value: number }>();
  /** The offset of each CV, by key. */
  readonly offsets = new Map<number, number>();

  constructor(readonly issues: FileIssues) {}

  /** Takes a CV that is at an offset of the text. */
  add(key: number, value: number, offset: number): void {
    if (this.offsets.has(key)) this.addBits(key, 255, value, offset);
    else {
      this.offsets.set(key, offset);
      this.image.set(key, value);
    }
  }

  /** Takes some bits of a CV; those outside of the mask stay as they are. */
  addBits(key: number, mask: number, value: number, offset: number): void {
    const first = this.offsets.get(key);
    if (first === undefined) {
      this.offsets.set(key, offset);
      this.#set(key, mask, value);
      return;
    }
    const byte = this.image.peek(key);
    const old = byte >= 0 ? { mask: 255, value: byte } : (this.bits.get(key) ?? { mask: 0, value: 0 });
    const both = old.mask & mask;
    if ((old.value & both) !== (value & both)) this.#twice(key, old, { mask, value }, offset, first);
    else {
      if (both) this.#again(key, both, value, offset, first);
      this.#set(key, old.mask | mask, old.value | value);
    }
  }

  #set(key: number, mask: number, value: number): void {
    if (mask !== 255) this.bits.set(key, { mask, value });
    else {
      this.bits.delete(key);
      this.image.set(key, value);
    }
  }

  #again(key: number, mask: number, value: number, offset: number, first: number): void {
    const low = 31 - Math.clz32(mask & -mask);
    this.issues.note(offset, () => {
      const { line } = this.issues.source.at(first);
      return cvAgain({ value: (value & mask) >> low, line }, { places: [{ cv: nameOf(key), mask }] });
    });
  }

  #twice(key: number, old: Bits, next: Bits, offset: number, first: number): void {
    const number = numberOf(key);
    // CV 31 and 32 select pages, so a list that means to fill several pages repeats them.
    const paged = number === 31 || number === 32 || number >= firstIndexed;
    const { mask } = next;
    const low = 31 - Math.clz32(mask & -mask);
    this.issues.error(offset, () => {
      const before = (old.value & mask) >> low;
      const { line } = this.issues.source.at(first);
      const places = [{ cv: nameOf(key), mask }];
      return (paged ? pagedCvTwice : cvTwice)({ before, line, value: next.value >> low }, { places });
    });
  }

  /**
   * Notes the CVs of the indexed area that have no index page. They are kept as they are: which page is meant
   * the file does not say, though CV 31 and CV 32 may be in it.
   */
  noteUnpaged(): void {
    const found: number[] = [];
    for (const key of this.offsets.keys()) if (key >= firstIndexed && key <= lastIndexed) found.push(key);
    const [first] = found;
    if (first === undefined) return;
    const [high, low] = [this.image.peek(31), this.image.peek(32)];
    const page = high >= 0 && low >= 0 ? `${high}.${low}` : undefined;
    const cvs = found.sort((a, b) => a - b).map(String);
    const example = `${cvs[0]}@${page ?? "16.0"}`;
    const issue = page ? unpagedWithPage({ cvs, example }) : unpaged({ cvs, example });
    this.issues.note(this.offsets.get(first) as number, issue);
  }
}

interface Bits {
  readonly mask: number;
  readonly value: number;
}
