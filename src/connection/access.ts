import { isByte } from "../cv/cvpatch.js";
import { nameOf, numberOf } from "../cv/name.js";
import { type AccessMode, hasBits } from "../packets/access-mode.js";
import type { CvAccess } from "../packets/cv-access.js";
import { nextInReading } from "../packets/reading.js";
import {
  accessSequence,
  closingSequence,
  factoryResetSequence,
  openingSequence,
  type Sequence,
} from "../packets/sequence.js";
import type { Address } from "../standard/address.js";
import { type Calls, isAnything, isBoolean } from "./calls.js";
import type { Connection, CvConnection, PacketConnection, Settled } from "./connection.js";
import { CallFailed, noPage } from "./faults.js";

/** Some bits of a CV. */
export interface Bits {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
}

/** What a proof gives: whether the decoder holds the bits, and the byte that it holds where that was read. */
export interface Proof {
  readonly holds: boolean;
  readonly found?: number;
}

/** Access to the CVs of one decoder, whatever the kind of connection. */
export interface Access {
  /** What is missing to write some bits; undefined when nothing is. */
  lacksForWriting(mask: number): string | undefined;
  /** Whether what some bits hold can be proved. */
  canProve(mask: number): boolean;
  /** Whether CVs can be read. */
  readonly canRead: boolean;
  /** Before the first access, and after the power was off. */
  open(): Promise<void>;
  /** After the last access. */
  close(): Promise<void>;
  write(bits: Bits, to: Address | undefined, attempt: number): Promise<void>;
  prove(bits: Bits, to: Address | undefined): Promise<Proof>;
  /** The byte; undefined when there is no answer. */
  read(key: number, guesses: readonly number[], to: Address | undefined): Promise<number | undefined>;
  /** Asks for a factory reset. @returns Whether the decoder acknowledged it, where that is known. */
  reset(): Promise<boolean | undefined>;
  /** Switches the power off and on; undefined where the connection cannot. */
  readonly powerCycle: (() => Promise<void>) | undefined;
}

/** Access by a connection. */
export function accessBy(connection: Connection, mode: AccessMode, calls: Calls, settled: Settled): Access {
  return "send" in connection
    ? new PacketAccess(connection, mode, calls, settled)
    : new CvAccessByStation(connection, calls, settled);
}

/** The single bits of a mask in the order of writing. */
function bitsOf({ key, mask }: Bits): number[] {
  // Bit 5 of CV 29 changes the address in use at once, so it comes last (S-9.2.1, July 2012, section A).
  const bits = key === 29 ? [0, 1, 2, 3, 4, 6, 7, 5] : [0, 1, 2, 3, 4, 5, 6, 7];
  return bits.filter((bit) => mask & (1 << bit));
}

class PacketAccess implements Access {
  readonly #connection: PacketConnection;
  readonly #mode: AccessMode;
  readonly #calls: Calls;
  readonly #settled: Settled;
  readonly canRead: boolean;
  readonly powerCycle: (() => Promise<void>) | undefined;

  constructor(connection: PacketConnection, mode: AccessMode, calls: Calls, settled: Settled) {
    this.#connection = connection;
    this.#mode = mode;
    this.#calls = calls;
    this.#settled = settled;
    this.canRead = mode !== "main" || connection.repliesOnMain === true;
    this.powerCycle = powerCycleOf(connection, calls);
  }

  lacksForWriting(mask: number): string | undefined {
    return mask === 255 || hasBits(this.#mode) ? undefined : "access to single bits";
  }

  canProve(): boolean {
    return this.canRead;
  }

  async open(): Promise<void> {
    const opening = openingSequence(this.#mode);
    if (!opening.parts.length) return;
    const at = opening.parts.findIndex(({ purpose }) => purpose === "command");
    if (at < 0) {
      await this.#send("open", opening);
      return;
    }
    // The page register may be left at another page, where registers 1-4 are other CVs. A decoder without
    // paged mode has no page register, and acknowledges nothing.
    const preset = answering(opening);
    for (let i = 0, yes = 0; i <= this.#settled.retries && yes < this.#settled.confirmations; ) {
      if (await this.#send("open", preset)) yes++;
      else {
        yes = 0;
        i++;
      }
    }
  }

  async close(): Promise<void> {
    const closing = closingSequence(this.#mode);
    if (!closing.parts.length) return;
    const preset = answering(closing);
    for (let i = 0; i <= this.#settled.retries; i++) if (await this.#send("close", preset)) return;
  }

  async write(bits: Bits, to: Address | undefined, attempt: number): Promise<void> {
    const cv = numberOf(bits.key);
    const { value } = bits;
    const accesses: CvAccess[] =
      bits.mask === 255
        ? [{ operation: "write", cv, value }]
        : bitsOf(bits).map((bit) => ({ operation: "write", cv, value: (value >> bit) & 1, bit }));
    for (const access of accesses) await this.#access(bits.key, access, to, attempt);
  }

  async prove(bits: Bits, to: Address | undefined): Promise<Proof> {
    const cv = numberOf(bits.key);
    const { value } = bits;
    const asks: CvAccess[] =
      bits.mask === 255
        ? [{ operation: "verify", cv, value }]
        : bitsOf(bits).map((bit) => ({ operation: "verify", cv, value: (value >> bit) & 1, bit }));
    for (const ask of asks) if (!(await this.#confirmed(bits.key, ask, to))) return { holds: false };
    return bits.mask === 255 ? { holds: true, found: value } : { holds: true };
  }

  async read(key: number, guesses: readonly number[], to: Address | undefined): Promise<number | undefined> {
    return readByAsking(this.#mode, key, guesses, this.#settled.confirmations, (ask) =>
      this.#access(key, ask, to, 1),
    );
  }

  async reset(): Promise<boolean> {
    return this.#send("reset", factoryResetSequence());
  }

  async #confirmed(key: number, ask: CvAccess, to: Address | undefined): Promise<boolean> {
    for (let i = 0; i < this.#settled.confirmations; i++) {
      if (!(await this.#access(key, ask, to, 1))) return false;
    }
    return true;
  }

  /** One access. In paged mode nothing goes to a data register before the page register is confirmed. */
  async #access(key: number, access: CvAccess, to: Address | undefined, attempt: number): Promise<boolean> {
    const sequence = repeated(accessSequence(this.#mode, access, to), attempt);
    const sent = sentOf(key, access, to);
    if (this.#mode !== "paged") return this.#send(sent, sequence);
    const [page, data] = pagedParts(sequence);
    let tries = 0;
    for (let yes = 0; yes < this.#settled.confirmations; ) {
      if (await this.#send("page", page)) yes++;
      else {
        yes = 0;
        if (tries++ >= this.#settled.retries) throw new CallFailed(noPage({}), false);
      }
    }
    return this.#send(sent, data);
  }

  #send(sent: Sent, sequence: Sequence): Promise<boolean> {
    return this.#calls.call({ sent }, () => this.#connection.send(sequence), isBoolean, "true or false");
  }
}

type Sent = Parameters<Calls["call"]>[0]["sent"];

function sentOf(key: number, { operation, value, bit }: CvAccess, to: Address | undefined): Sent {
  return {
    operation,
    cv: nameOf(key),
    value,
    ...(bit === undefined ? {} : { bit }),
    ...(to ? { to } : {}),
  };
}

/** The sequence with the acknowledgement of its commands as the answer. */
function answering({ preambleBits, parts }: Sequence): Sequence {
  return {
    preambleBits,
    parts: parts.map((part) => (part.purpose === "command" ? { ...part, answers: true } : part)),
  };
}

/** The sequence with its commands sent more often. */
function repeated(sequence: Sequence, attempt: number): Sequence {
  if (attempt === 1) return sequence;
  const { preambleBits, parts } = sequence;
  return {
    preambleBits,
    parts: parts.map((part) =>
      part.purpose === "command" ? { ...part, times: part.times * attempt } : part,
    ),
  };
}

/** An access in paged mode in its two parts: the page register, and the data register. */
function pagedParts({ preambleBits, parts }: Sequence): [page: Sequence, data: Sequence] {
  const second = parts.findIndex(({ purpose }, at) => at > 0 && purpose === "reset");
  return [
    answering({ preambleBits, parts: parts.slice(0, second) }),
    { preambleBits, parts: parts.slice(second) },
  ];
}

async function readByAsking(
  mode: AccessMode,
  key: number,
  guesses: readonly number[],
  confirmations: number,
  ask: (access: CvAccess) => Promise<boolean>,
): Promise<number | undefined> {
  const reading = { mode, cv: numberOf(key), guesses };
  const answers: boolean[] = [];
  for (;;) {
    const next = nextInReading(reading, answers);
    if ("value" in next) return next.value;
    if ("failed" in next) return undefined;
    let yes = await ask(next.ask);
    // A bit is confirmed together with the whole byte, in the end.
    if (next.ask.bit === undefined) {
      for (let i = 1; yes && i < confirmations; i++) yes = await ask(next.ask);
    }
    answers.push(yes);
  }
}

class CvAccessByStation implements Access {
  readonly #connection: CvConnection;
  readonly #calls: Calls;
  readonly #confirmations: number;
  readonly canRead: boolean;
  readonly powerCycle: (() => Promise<void>) | undefined;

  constructor(connection: CvConnection, calls: Calls, { confirmations }: Settled) {
    this.#connection = connection;
    this.#calls = calls;
    this.#confirmations = confirmations;
    this.canRead = Boolean(connection.read || connection.verify);
    this.powerCycle = powerCycleOf(connection, calls);
  }

  lacksForWriting(mask: number): string | undefined {
    return mask === 255 || this.#connection.bit || this.#connection.read ? undefined : "bit or read";
  }

  canProve(mask: number): boolean {
    return Boolean(this.#connection.read || (mask === 255 && this.#connection.verify));
  }

  async open(): Promise<void> {}

  async close(): Promise<void> {}

  async write({ key, mask, value }: Bits, to: Address | undefined): Promise<void> {
    const cv = numberOf(key);
    const { bit } = this.#connection;
    if (mask === 255) await this.#write(key, value, to);
    else if (bit) {
      for (const each of bitsOf({ key, mask, value })) {
        const one = (value >> each) & 1;
        await this.#calls.call(
          { sent: sentOf(key, { operation: "write", cv, value: one, bit: each }, to) },
          () => this.#connection.bit?.(cv, each, one, to),
          isAnything,
          "",
        );
      }
    } else {
      const old = await this.#read(key, to);
      await this.#write(key, (old & ~mask) | value, to);
    }
  }

  async prove({ key, mask, value }: Bits, to: Address | undefined): Promise<Proof> {
    const whole = mask === 255 && this.#connection.verify !== undefined;
    let found: number | undefined;
    for (let i = 0; i < this.#confirmations; i++) {
      if (whole) {
        if (await this.#verify(key, value, to)) found = value;
        else return { holds: false };
      } else {
        found = await this.#read(key, to);
        if ((found & mask) !== value) return { holds: false, found };
      }
    }
    return { holds: true, found: found as number };
  }

  async read(key: number, guesses: readonly number[], to: Address | undefined): Promise<number | undefined> {
    if (!this.#connection.read) {
      // Whole bytes only, as in a mode without access to bits.
      return readByAsking("paged", key, guesses, this.#confirmations, ({ value }) =>
        this.#verify(key, value, to),
      );
    }
    let byte = await this.#read(key, to);
    for (let same = 1; same < this.#confirmations; ) {
      const again = await this.#read(key, to);
      same = again === byte ? same + 1 : 1;
      byte = again;
    }
    return byte;
  }

  async reset(): Promise<undefined> {
    const sent = "reset" as const;
    await this.#calls.call({ sent }, () => this.#connection.write(8, 8), isAnything, "");
  }

  async #write(key: number, value: number, to: Address | undefined): Promise<void> {
    const cv = numberOf(key);
    const sent = sentOf(key, { operation: "write", cv, value }, to);
    await this.#calls.call({ sent }, () => this.#connection.write(cv, value, to), isAnything, "");
  }

  #read(key: number, to: Address | undefined): Promise<number> {
    const cv = numberOf(key);
    const sent = { operation: "read", cv: nameOf(key), ...(to ? { to } : {}) } as const;
    return this.#calls.call({ sent }, () => this.#connection.read?.(cv, to), isByte, "a value from 0 to 255");
  }

  #verify(key: number, value: number, to: Address | undefined): Promise<boolean> {
    const cv = numberOf(key);
    const sent = sentOf(key, { operation: "verify", cv, value }, to);
    return this.#calls.call(
      { sent },
      () => this.#connection.verify?.(cv, value, to),
      isBoolean,
      "true or false",
    );
  }
}

function powerCycleOf(connection: Connection, calls: Calls): (() => Promise<void>) | undefined {
  if (!connection.powerCycle) return undefined;
  return async () => {
    await calls.call({ sent: "power-cycle" }, () => connection.powerCycle?.(), isAnything, "");
  };
}
