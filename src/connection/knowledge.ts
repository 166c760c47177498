import { CvSet } from "../cv/cvset.js";
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
  /** CVs that were written, and are not proved to hold a value. */
  readonly #open = new Set<string>();
  #addresses: Address[] = [];
  /** Whether a factory reset is still to be done. */
  resetPending = false;

  constructor(kind: DecoderKind) {
    this.#kind = kind;
  }

  /** What the decoder holds; CVs of which that is not known are left out. */
  get holds(): CvSet {
    return CvSet.from(this.#cvs);
  }

  /** The CVs that were written, and are not proved to hold a value. */
  get open(): readonly string[] {
    return [...this.#open];
  }

  /** The addresses at which the decoder may answer, on the main; the likeliest first. */
  get addresses(): readonly Address[] {
    return this.#addresses;
  }

  apply(entry: JournalEntry): void {
    if ("begin" in entry) {
      if (entry.begin !== "carry-out") return;
      this.#cvs.clear();
      this.#open.clear();
      for (const [cv, value] of Object.entries(entry.holds)) this.#cvs.set(cv, value);
      this.#addresses = entry.address ? [entry.address] : [];
      this.resetPending = entry.reset;
    } else if ("step" in entry) this.#written(entry);
    else if ("holds" in entry) {
      for (const [cv, value] of Object.entries(entry.holds)) {
        this.#cvs.set(cv, value);
        this.#open.delete(cv);
      }
    } else if ("reset" in entry) this.resetPending = false;
    else if ("answers" in entry) this.#addresses = [entry.answers];
    else if ("sent" in entry && entry.sent === "reset") {
      // From now on every CV may be at its factory value.
      this.#cvs.clear();
    }
  }

  #written({ cv, value, mask, becomes }: Extract<JournalEntry, { step: number }>): void {
    const known = this.#cvs.get(cv);
    // A write that changes nothing leaves nothing open, whether it arrives or not.
    if (known === undefined || (known & mask) !== value) {
      this.#cvs.delete(cv);
      this.#open.add(cv);
    }
    for (const { cv: cleared, mask: bits } of sideEffectOf(Number(cv), this.#kind)?.clears ?? []) {
      const before = this.#cvs.get(cleared);
      if (before !== undefined && before & bits) this.#cvs.delete(cleared);
    }
    if (becomes && !this.#addresses.some((each) => sameAddress(each, becomes))) {
      this.#addresses = [becomes, ...this.#addresses];
    }
  }
}
