import { CvSet } from "../cv/cvset.js";
import { firstIndexed, lastIndexed } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import type { Address } from "../standard/address.js";
import { sameAddress } from "../standard/address-in-use.js";
import { sideEffectOf } from "../standard/side-effects.js";
import type { JournalEntry } from "./journal.js";

/**
 * What is known of a decoder while its CVs are written. It is made of the lines of the journal alone, so that
 * another process that reads the journal knows the same.
 */
export class Knowledge {
  readonly #kind: DecoderKind;
  readonly #cvs = new Map<string, number>();
  #addresses: Address[] = [];
  #indexMoved = false;
  /** Whether a factory reset is still to be done. */
  resetPending = false;

  constructor(kind: DecoderKind) {
    this.#kind = kind;
  }

  /**
   * What the decoder holds; CVs of which that is not known are left out. A CV 257-512 without a page is the one
   * of the page that was selected when the plan began.
   */
  get holds(): CvSet {
    return CvSet.from(this.#cvs);
  }

  /** What the decoder holds now: without CVs of a page that nobody knows, once another may be selected. */
  get holdsNow(): CvSet {
    if (!this.#indexMoved) return this.holds;
    return CvSet.from([...this.#cvs].filter(([cv]) => !isUnpaged(Number(cv))));
  }

  /** Whether another index page may be selected than when the plan began. */
  get indexMoved(): boolean {
    return this.#indexMoved;
  }

  /** The addresses at which the decoder may answer, on the main; the likeliest first. */
  get addresses(): readonly Address[] {
    return this.#addresses;
  }

  apply(entry: JournalEntry): void {
    if ("begin" in entry) {
      if (entry.begin !== "carry-out") return;
      this.#cvs.clear();
      this.#indexMoved = false;
      for (const [cv, value] of Object.entries(entry.holds)) this.#cvs.set(cv, value);
      this.#addresses = entry.address ? [entry.address] : [];
      this.resetPending = entry.reset;
    } else if ("step" in entry) this.#written(entry);
    else if ("holds" in entry) {
      for (const [cv, value] of Object.entries(entry.holds)) {
        this.#cvs.set(cv, value);
      }
    } else if ("reset" in entry) this.resetPending = false;
    else if ("answers" in entry) this.#addresses = [entry.answers];
    else if ("sent" in entry && entry.sent === "reset") {
      // From now on every CV may be at its factory value.
      this.#cvs.clear();
    }
  }

  #written({ cv, value, mask, to, becomes }: Extract<JournalEntry, { step: number }>): void {
    const known = this.#cvs.get(cv);
    // A write that changes nothing leaves nothing open, whether it arrives or not.
    if (known === undefined || (known & mask) !== value) {
      this.#cvs.delete(cv);
      if (cv === "31" || cv === "32") this.#indexMoved = true;
    }
    for (const { cv: cleared, mask: bits } of sideEffectOf(Number(cv), this.#kind)?.clears ?? []) {
      const before = this.#cvs.get(cleared);
      if (before !== undefined && before & bits) this.#cvs.delete(cleared);
    }
    for (const each of [to, becomes]) {
      if (each && !this.#addresses.some((known) => sameAddress(known, each)))
        this.#addresses = [each, ...this.#addresses];
    }
  }
}

/** Whether a CV is one of the indexed area, without its page. */
export function isUnpaged(cv: number): boolean {
  return cv >= firstIndexed && cv <= lastIndexed;
}
