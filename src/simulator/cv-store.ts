import { CvSet, imageOf } from "../cv/cvset.js";
import { CvImage } from "../cv/image.js";
import { CvError, type Issue } from "../cv/issue.js";
import { nameOf, pagedKey } from "../cv/name.js";
import { type DecoderFacts, noSuchCv } from "../packets/decoder-model.js";
import type { KnownCvs } from "../standard/address.js";
import { factsOf } from "../standard/cv-facts.js";
import { isLocked } from "../standard/lock.js";

/** The CVs inside a simulated decoder, with the rules of S-9.2.2 (July 2012) for reading and writing. */
export class CvStore implements KnownCvs {
  readonly #decoder: DecoderFacts;
  readonly #cvs: CvImage;
  /** CV 17, written but not in force until CV 18 is written. */
  #pending: number | undefined;

  /**
   * @param decoder The CVs that there are.
   * @param contents What they hold, where it is not the factory value.
   * @throws `CvError` when the contents have a CV that the decoder does not have.
   */
  constructor(decoder: DecoderFacts, contents: CvSet) {
    this.#decoder = decoder;
    this.#cvs = new CvImage();
    this.toFactory();
    const issues: Issue[] = [];
    const image = imageOf(contents);
    for (const key of image.keys()) {
      if (decoder.has(key)) this.#cvs.set(key, image.peek(key));
      else issues.push(noSuchCv({}, { places: [{ cv: nameOf(key), mask: 255 }] }));
    }
    if (issues.length) throw new CvError(issues);
  }

  /** Everything that the CVs hold. */
  get contents(): CvSet {
    return new CvSet(new CvImage(this.#cvs));
  }

  /** What a CV holds, by key; undefined when the decoder does not have it. */
  get(key: number): number | undefined {
    const byte = this.#cvs.peek(key);
    return byte < 0 ? undefined : byte;
  }

  /** What a CV holds by its number, 1-1024, on the selected page; undefined when there is none. */
  read(cv: number): number | undefined {
    return this.get(this.#keyOf(cv));
  }

  /**
   * Writes some bits of a CV by its number, where the decoder obeys.
   * @returns Whether it obeyed.
   */
  write(cv: number, mask: number, value: number): boolean {
    const key = this.#keyOf(cv);
    const old = cv === 17 && this.#pending !== undefined ? this.#pending : this.get(key);
    const locked = this.#multifunction && isLocked(this) && cv !== 15;
    if (old === undefined || this.#decoder.isReadOnly(key) || locked) return false;
    const byte = (old & ~mask) | (value & mask);
    // S-9.2.2 (July 2012), CV 1: bit 7 must be 0.
    if (this.#multifunction && cv === 1 && byte > 127) return false;
    if (this.#multifunction && cv === 17 && this.get(18) !== undefined) {
      this.#pending = byte;
      return true;
    }
    if (this.#multifunction && cv === 18 && this.#pending !== undefined) {
      this.#cvs.set(17, this.#pending);
      this.#pending = undefined;
    }
    this.#cvs.set(key, byte);
    return true;
  }

  /** Sets bits without regard to lock and pairs, where the decoder itself is the writer. */
  set(key: number, mask: number, value: number): void {
    const old = this.get(key);
    if (old !== undefined) this.#cvs.set(key, (old & ~mask) | (value & mask));
  }

  /** Sets CVs to their factory values; all of them unless some are named. A value that is not known is 0. */
  toFactory(keys: Iterable<number> = this.#decoder.keys()): void {
    const factory = imageOf(this.#decoder.factory);
    for (const key of keys) {
      if (this.#decoder.has(key)) this.#cvs.set(key, Math.max(0, factory.peek(key)));
    }
    this.#pending = undefined;
  }

  /** The effect of a loss of power: half a pair is forgotten, volatile CVs have their first values. */
  losePower(): void {
    const { kind } = this.#decoder;
    this.toFactory([...this.#decoder.keys()].filter((key) => factsOf(key, kind).volatile));
  }

  get #multifunction(): boolean {
    return this.#decoder.kind === "multifunction";
  }

  #keyOf(cv: number): number {
    // A decoder with a CV of a page has CV 31 and 32, and pages have CV 257-512 only.
    const key = pagedKey(cv, this.get(31) ?? 0, this.get(32) ?? 0);
    return this.#decoder.has(key) ? key : cv;
  }
}
