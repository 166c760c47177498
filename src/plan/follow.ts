import { accessoryAddress, type DecoderAddress, longAddress, type Peek, sameAddress } from "./address.js";

/**
 * Keeps track of the address that a decoder answers to on the main while steps change it (S-9.2.1, July
 * 2012, section A; S-9.2.2, CV 1, 17, 18, 29).
 */
export class Follower {
  /** The address that the next step must use, or undefined when nobody can know it. */
  address: DecoderAddress | undefined;
  readonly #known = new Map<number, number>();
  readonly #cvs: Peek;
  /** CV 17, written and not in force; -1 without one. */
  #pending = -1;

  constructor(address: DecoderAddress, cvs: Peek) {
    this.address = address;
    this.#cvs = cvs;
    // The address that was given says what some CVs hold, whatever else is known of them.
    if (address.type === "short") this.#known.set(1, address.number);
    if (address.type === "long") {
      this.#known.set(17, 192 + (address.number >> 8)).set(18, address.number & 255);
    }
    if (address.type === "accessory" && address.output === undefined && cvs.peek(29) < 0) {
      this.#known.set(1, address.number & 63).set(9, address.number >> 6);
    }
  }

  /** Notes a step. Gives the new address when it changes, and null when nobody can know it. */
  write(cv: number, value: number, mask: number): DecoderAddress | null | undefined {
    const before = this.address;
    if (cv !== 1 && cv !== 9 && cv !== 17 && cv !== 18 && cv !== 29) return undefined;
    const old = cv === 17 && this.#pending >= 0 ? this.#pending : this.#peek(cv);
    const byte = mask === 255 ? value : old < 0 ? -1 : (old & ~mask) | value;
    // CV 17 changes nothing until CV 18 is written (S-9.2.1, July 2012, note to Write Byte).
    if (cv === 17 && (before?.type === "short" || before?.type === "long")) {
      this.#pending = byte;
      return undefined;
    }
    if (cv === 18 && this.#pending >= 0) this.#known.set(17, this.#pending);
    this.#known.set(cv, byte);
    if (!before) return undefined;
    this.address =
      before.type === "short" || before.type === "long"
        ? this.#next(before, cv, value, mask)
        : this.#accessory(before);
    if (this.address && sameAddress(this.address, before)) return undefined;
    return this.address ?? null;
  }

  #peek(cv: number): number {
    return this.#known.get(cv) ?? this.#cvs.peek(cv);
  }

  #next(now: DecoderAddress, cv: number, value: number, mask: number): DecoderAddress | undefined {
    const long = cv === 29 && mask & 32 ? (value & 32) !== 0 : now.type === "long";
    if (!long) {
      const primary = this.#peek(1);
      return primary >= 1 && primary <= 127 ? { type: "short", number: primary } : undefined;
    }
    return longAddress(this.#peek(17), this.#peek(18));
  }

  #accessory(now: DecoderAddress): DecoderAddress | undefined {
    const known = accessoryAddress({ peek: (cv) => this.#peek(cv) });
    if (known) return known;
    // Without CV 29, the decoder address method is the one to go by.
    return now.type === "accessory" && now.output === undefined && this.#peek(29) < 0
      ? accessoryAddress({ peek: (cv) => (cv === 29 ? 0 : this.#peek(cv)) })
      : undefined;
  }
}
