import { aFunction, aNumber, aText, fitting, listOf, objectOf, type Wanted } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import type { Sequence } from "../packets/sequence.js";
import type { Address } from "../standard/address.js";

/**
 * A connection that sends packets, such as a command station of your own.
 * @example
 * import { CvSet } from "cvset";
 * import { carryOut, type PacketConnection } from "cvset/connection";
 * import { plan } from "cvset/plan";
 * const sent: string[] = [];
 * const connection: PacketConnection = {
 *   async send({ parts }) {
 *     sent.push(...parts.map(({ times, packet }) => `${times} x ${packet}`));
 *     return true; // a real one reports what the track measured
 *   },
 * };
 * const { done } = await carryOut(plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 })), connection);
 * done; // "proved"
 * sent.slice(1, 4); // ["3 x 00 00 00", "5 x 7C 02 08 76", "6 x 00 00 00"]
 */
export interface PacketConnection {
  /**
   * Sends the packets of a sequence, and reports whether the decoder acknowledged one of a part with `answers`.
   * It heeds `untilAcknowledged` and `onlyAcknowledged`. It rejects when the packets could not be sent.
   */
  send(sequence: Sequence): Promise<boolean>;
  /**
   * Whether answers are heard on the main too (bi-directional communication). Not unless given: then what is
   * written on the main cannot be proved.
   */
  readonly repliesOnMain?: boolean;
  /** Switches the power of the track off and on; also a person may do it. A factory reset needs it. */
  powerCycle?(): Promise<void>;
}

/**
 * A connection that reads and writes CVs by itself, such as most command stations. Each function rejects when
 * the station reports a failure. `address` is the decoder's address on the main, and undefined on the
 * programming track.
 * @example
 * import { readOut, type CvConnection } from "cvset/connection";
 * const held = new Map([[7, 1], [8, 13], [29, 6]]);
 * const connection: CvConnection = {
 *   async write(cv, value) { held.set(cv, value); },
 *   async read(cv) { return held.get(cv) ?? Promise.reject(new Error("no answer")); },
 * };
 * const { cvs, silent } = await readOut(connection, [29, 30]);
 * [cvs.toJSON(), silent]; // [{ "7": 1, "8": 13, "29": 6 }, ["30"]]
 */
export interface CvConnection {
  /** Writes a CV, 1-1024, with a value 0-255. */
  write(cv: number, value: number, address?: Address): Promise<void>;
  /** Reads a CV, 1-1024; gives 0-255. */
  read?(cv: number, address?: Address): Promise<number>;
  /** Compares a CV with a value. */
  verify?(cv: number, value: number, address?: Address): Promise<boolean>;
  /** Writes one bit, 0-7, of a CV; the value is 0 or 1. */
  bit?(cv: number, bit: number, value: number, address?: Address): Promise<void>;
  /** Switches the power of the track off and on; also a person may do it. A factory reset needs it. */
  powerCycle?(): Promise<void>;
}

/** A connection to a decoder. What it can do is told by the functions that it has. */
export type Connection = PacketConnection | CvConnection;

/**
 * What is done only when it is asked for by name: a factory reset; a change of the decoder's address on the
 * main; opening the decoder lock (CV 15 and 16).
 */
export type Permission = "factory-reset" | "address-on-main" | "unlock";

/** What reading out and carrying out have in common. */
export interface RunOptions {
  /** What is allowed; nothing unless given. */
  readonly allow?: readonly Permission[];
  /** How often a step that failed is tried again; 2 unless given. */
  readonly retries?: number;
  /** Milliseconds before another try; 100 unless given. */
  readonly pause?: number;
  /** Milliseconds after which an answer is missing; 20,000 unless given. A call that took longer ends the run. */
  readonly timeout?: number;
  /**
   * How many times in a row the decoder must confirm a value before it is believed; 1 unless given. More help
   * where a noisy track gives acknowledgements that are none.
   */
  readonly confirmations?: number;
  /** Ends the run between two steps; what has to be put back is put back by {@link readOut}. */
  readonly signal?: AbortSignal;
  /**
   * Takes each line of the journal, without a line end. It is called before anything is sent, and its
   * promise is waited for, so that a journal on a disk never lacks what was sent.
   */
  readonly journal?: (line: string) => void | Promise<void>;
}

/** The options with their values. */
export interface Settled {
  readonly allow: ReadonlySet<Permission>;
  readonly retries: number;
  readonly pause: number;
  readonly timeout: number;
  readonly confirmations: number;
}

const notAConnection = /* @__PURE__ */ fault(
  "not-a-connection",
  "expected a connection, an object with a function send or write, got {found}",
);
/** A connection; which functions it has besides is looked at where they are needed. */
export const aConnection: Wanted = /* @__PURE__ */ fitting((value) => {
  if (typeof value !== "object" || value === null) return false;
  const { send, write } = value as Readonly<Record<string, unknown>>;
  return typeof send === "function" || typeof write === "function";
}, notAConnection);

/** Options of every run; the numbers are looked at where they are used. */
export const ofRunning: Wanted = /* @__PURE__ */ objectOf({
  "allow?": /* @__PURE__ */ listOf(aText),
  "retries?": aNumber,
  "pause?": aNumber,
  "timeout?": aNumber,
  "confirmations?": aNumber,
  "signal?": /* @__PURE__ */ objectOf({ addEventListener: aFunction }),
  "journal?": aFunction,
});
