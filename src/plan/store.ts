import { CvImage } from "../cv/image.js";
import { CvError, CvSet, type Issue } from "../cv/index.js";
import { firstIndexed, lastIndexed, nameOf, pagedKey } from "../cv/name.js";
import { isVolatile, type KnownDecoder } from "./model.js";

/** The CVs inside a simulated decoder, with the rules of S-9.2.2 (July 2012) for reading and writing. */
export class CvStore {
  readonly #decoder: KnownDecoder;
  readonly #cvs: CvImage;
  /** CV 17, written but not in force until CV 18 is written; -1 without one. */
  #pending = -1;

  /**
   * @param decoder What CVs there are.
   * @param contents What they hold, where it is not the factory value.
   * @throws `CvError` when the contents have a CV that the decoder does not.
   */
  constructor(decoder: KnownDecoder, contents: CvSet) {
    this.#decoder = decoder;
    this.#cvs = new CvImage();
    this.toFactory();
    const issues: Issue[] = [];
    for (const key of contents.reader.keys()) {
      if (decoder.keys.has(key)) this.#cvs.set(key, contents.reader.peek(key));
      else {
        issues.push({
          code: "content",
          path: "",
          places: [{ cv: nameOf(key), mask: 255 }],
          expected: "is not a CV of this decoder",
        });
      }
    }
    if (issues.length) throw new CvError(issues);
  }

  /** Everything that the CVs hold. */
  get contents(): CvSet {
    return new CvSet(new CvImage(this.#cvs));
  }

  /** What a CV holds, by key; -1 when there is none. */
  peek(key: number): number {
    return this.#cvs.peek(key);
  }

  /** What a CV holds under its number, 1-1024, with the index as it stands; -1 when there is none. */
  read(cv: number): number {
    return this.#cvs.peek(this.#keyOf(cv));
  }

  /**
   * Writes some bits of a CV under its number, as far as the decoder obeys.
   * @returns Whether it obeyed.
   */
  write(cv: number, mask: number, value: number): boolean {
    const key = this.#keyOf(cv);
    const old = cv === 17 && this.#pending >= 0 ? this.#pending : this.#cvs.peek(key);
    if (old < 0 || this.#decoder.readOnly.has(key) || (this.#locked && cv !== 15)) return false;
    const byte = (old & ~mask) | (value & mask);
    if (this.#multifunction && cv === 17 && this.#cvs.peek(18) >= 0) {
      this.#pending = byte;
      return true;
    }
    if (this.#multifunction && cv === 18 && this.#pending >= 0) {
      this.#cvs.set(17, this.#pending);
      this.#pending = -1;
    }
    this.#cvs.set(key, byte);
    return true;
  }

  /** Sets bits past the lock and the pairs, where the decoder itself is the writer. */
  set(key: number, mask: number, value: number): void {
    const old = this.#cvs.peek(key);
    if (old >= 0) this.#cvs.set(key, (old & ~mask) | (value & mask));
  }

  /** Puts CVs back to their factory values; all of them unless some are named. */
  toFactory(keys: Iterable<number> = this.#decoder.keys): void {
    for (const key of keys) {
      // A factory value that nobody knows is taken as 0.
      if (this.#decoder.keys.has(key))
        this.#cvs.set(key, Math.max(0, this.#decoder.factory.reader.peek(key)));
    }
    this.#pending = -1;
  }

  /** What the loss of power does: half a pair is forgotten, volatile CVs start anew. */
  losePower(): void {
    const { keys, kind } = this.#decoder;
    this.toFactory([...keys].filter((key) => isVolatile(key, kind)));
  }

  get #multifunction(): boolean {
    return this.#decoder.kind === "multifunction";
  }

  get #locked(): boolean {
    const id = this.#cvs.peek(16);
    return this.#multifunction && id >= 0 && this.#cvs.peek(15) >= 0 && this.#cvs.peek(15) !== id;
  }

  #keyOf(cv: number): number {
    if (cv < firstIndexed || cv > lastIndexed) return cv;
    const high = this.#cvs.peek(31);
    const low = this.#cvs.peek(32);
    const key = high >= 0 && low >= 0 ? pagedKey(cv, high, low) : cv;
    return this.#decoder.keys.has(key) ? key : cv;
  }
}
