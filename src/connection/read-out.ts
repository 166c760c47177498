import { aFunction, need, needIn, objectOf, type Wanted } from "../cv/argument.js";
import { CvSet, type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { notAnOption } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { type CvName, lastCv, nameOf, toKey } from "../cv/name.js";
import { reasonOf } from "../cv/show.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type AccessMode, accessModes, reaches, unreachable } from "../packets/access-mode.js";
import {
  type DecoderFacts,
  type DecoderModel,
  decoderFacts,
  decoderOrModel,
} from "../packets/decoder-model.js";
import { readSteps } from "../plan/read-steps.js";
import type { Address } from "../standard/address.js";
import { type AddressLike, toAddress } from "../standard/address-in-use.js";
import { isLocked } from "../standard/lock.js";
import { type Access, accessBy } from "./access.js";
import { Calls, wait } from "./calls.js";
import { settle } from "./carry-out.js";
import { aConnection, type Connection, ofRunning, type RunOptions, type Settled } from "./connection.js";
import {
  aborted,
  CallFailed,
  callbackFailed,
  halfDone,
  indexUnread,
  lacking,
  lockedPages,
  noAddress,
  nobody,
  otherDecoder,
  unproved,
} from "./faults.js";

/** How a decoder is read out. */
export interface ReadOutOptions extends RunOptions {
  /** How the decoder is reached; `"direct"` unless given. */
  readonly mode?: AccessMode;
  /** The decoder's address; on the main only, and needed there. */
  readonly address?: AddressLike;
  /** What the decoder probably holds, such as an earlier read-out. It comes before the factory values. */
  readonly guesses?: CvsLike;
  /** Called after each CV. */
  readonly onProgress?: (progress: {
    /** The CV that was read. */
    readonly cv: string;
    /** Its value; undefined when there was no answer. */
    readonly value: number | undefined;
    /** How many CVs were tried, this one included. */
    readonly ended: number;
    /** How many CVs there are. */
    readonly of: number;
    /** Seconds that the rest will take, by what was measured so far. */
    readonly secondsLeft: number;
    /** Whether the description fits, as far as it is known; see {@link ReadOutResult.fits}. */
    readonly fits: boolean | undefined;
  }) => void;
}

/** What was read out. */
export interface ReadOutResult {
  /** The CVs that were read; also CV 7 and 8, and what had to be known before a page could be selected. */
  readonly cvs: CvSet;
  /** The CVs that were asked for and gave no answer, or were not read; `issues` has the reasons of the latter. */
  readonly silent: readonly string[];
  /**
   * Whether CV 7, 8, 107 and 108 hold what the description has as their factory values; undefined when nothing could be compared.
   */
  readonly fits: boolean | undefined;
  /** Whether all CVs were tried. */
  readonly complete: boolean;
  /** What stood in the way, and what could not be put back. */
  readonly issues: readonly Issue[];
}

/** Of this many CVs in the beginning none answers: nothing is there. */
const nobodyAfter = 3;

const ofReadingOut = /* @__PURE__ */ objectOf({
  "guesses?": someCvs,
  "onProgress?": aFunction,
});
const notReadable = /* @__PURE__ */ fault(
  "not-readable",
  "expected the CVs to read in a list, or a decoder, got {found}",
);
const whatToRead: Wanted = (value, path, report) => {
  if (typeof value !== "object" || value === null) report(notReadable({ found: value }, { path }));
  else if (!(Symbol.iterator in value)) decoderOrModel(value, path, report);
};

/**
 * Reads CVs over a connection in the fewest questions: guesses first, then bit by bit where the mode can. CV 8 and
 * 7 come first, since they show what the decoder is. CVs of index pages are read page by page, and CV 31 and
 * 32 are put back. A locked decoder (CV 15 and 16) lets nobody select a page; it is opened only with
 * `allow: ["unlock"]`, and locked again.
 *
 * A CV that gives no answer is in `silent`.
 * @param connection The connection.
 * @param what The CVs; or a decoder, for all that it has.
 * @param options The mode, guesses, what is allowed, retries, progress, journal.
 * @throws `CvError`, before anything is sent, when something is not a CV, the mode does not reach it, the
 *   connection cannot read, or the address is missing on the main.
 * @example
 * import { CvSet } from "cvset";
 * import { readOut, simulatedConnection } from "cvset/connection";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const factory = CvSet.from({ 7: 1, 8: 13, 31: 16, 32: 0, "300@16.2": 7 });
 * const connection = simulatedConnection(new SimulatedDecoder({ kind: "multifunction", factory }));
 * const { cvs, silent } = await readOut(connection, ["300@16.2", 90]);
 * [cvs.get("300@16.2"), cvs.get(32), silent]; // [7, 0, ["90"]]
 */
export async function readOut(
  connection: Connection,
  what: Iterable<CvName> | AnyDecoder | DecoderModel,
  options: ReadOutOptions = {},
): Promise<ReadOutResult> {
  need(aConnection, connection, "connection");
  need(whatToRead, what, "what");
  needIn(ofRunning, options, "options");
  needIn(ofReadingOut, options, "options");
  return new ReadOut(connection, what, options).run();
}

class ReadOut {
  readonly #mode: AccessMode;
  readonly #decoder: DecoderFacts | undefined;
  readonly #options: ReadOutOptions;
  readonly #guesses: CvSet | undefined;
  readonly #settled: Settled;
  readonly #calls: Calls;
  readonly #access: Access;
  readonly #to: Address | undefined;
  /** The keys that are to be read. */
  readonly #keys: ReadonlySet<number>;
  readonly #found = new Map<number, number>();
  readonly #silent = new Set<number>();
  readonly #issues: Issue[] = [];
  #fits: boolean | undefined;
  #of = 0;
  #lost = false;
  #stop: Issue | undefined;

  constructor(
    connection: Connection,
    what: Iterable<CvName> | AnyDecoder | DecoderModel,
    options: ReadOutOptions,
  ) {
    const { mode = "direct", address } = options;
    if (!accessModes.includes(mode)) {
      throw new CvError([notAnOption({ found: mode, allowed: accessModes }, { path: "mode" })]);
    }
    this.#mode = mode;
    this.#options = options;
    this.#guesses = options.guesses && toCvSet(options.guesses, "options.guesses");
    this.#settled = settle(options);
    this.#calls = new Calls(this.#settled.timeout, options.journal);
    this.#access = accessBy(connection, mode, this.#calls, this.#settled);
    this.#decoder = Symbol.iterator in what ? undefined : decoderFacts(what);
    // Of a description what the mode reaches; of a list everything, or it is an error.
    this.#keys = new Set(
      Symbol.iterator in what
        ? [...what].map(toKey)
        : [...(this.#decoder as DecoderFacts).keys()].filter((key) => reaches(mode, key)),
    );
    const issues: Issue[] = [...this.#keys]
      .filter((key) => !reaches(mode, key))
      .map((key) => unreachable(mode, key));
    if (!this.#access.canRead) {
      const needed = "send" in connection ? "repliesOnMain" : "read or verify";
      issues.push(lacking({ needed, purpose: "to read" }));
    }
    if (mode === "main" && address === undefined) issues.push(noAddress({}, { path: "address" }));
    if (issues.length) throw new CvError(issues);
    this.#to = mode === "main" ? toAddress(address as AddressLike) : undefined;
  }

  async run(): Promise<ReadOutResult> {
    const first = this.#firstKeys();
    const paged = [...this.#keys].some((key) => key > lastCv);
    const before = [...first, ...(paged ? this.#keysForPages() : [])];
    const later = [...this.#keys].filter((key) => !before.includes(key));
    this.#of = before.length + later.length;
    try {
      await this.#calls.note({ begin: "read-out", cvs: [...before, ...later].map(nameOf) });
      await this.#retried(() => this.#access.open());
      await this.#readAll(before, later);
      if (!this.#lost) await this.#access.close();
    } catch (error) {
      this.#fail(error);
    }
    if (this.#stop) this.#issues.push(this.#stop);
    const tried = (key: number): boolean => this.#found.has(key) || this.#silent.has(key);
    const named = [...before, ...later];
    return {
      cvs: CvSet.from([...this.#found].map(([key, value]) => [nameOf(key), value] as const)),
      silent: [...this.#keys]
        .filter((key) => !this.#found.has(key))
        .sort((a, b) => a - b)
        .map(nameOf),
      fits: this.#fits,
      complete: named.every(tried),
      issues: this.#issues,
    };
  }

  /** What shows early which decoder it is: the maker and the version. */
  #firstKeys(): number[] {
    return [8, 7].filter((key) => reaches(this.#mode, key) && (!this.#decoder || this.#decoder.has(key)));
  }

  /** What must be known before a page is selected: the lock and the index. */
  #keysForPages(): number[] {
    const has = (key: number): boolean => this.#decoder?.has(key) ?? true;
    const lockable = this.#decoder?.kind !== "accessory" && has(15) && has(16);
    return [...(lockable ? [15, 16] : []), 31, 32];
  }

  async #readAll(before: readonly number[], later: readonly number[]): Promise<void> {
    for (const key of before.slice(0, 2)) await this.#readOne(key);
    // CV 107 and 108 hold the maker while CV 8 = 238 (S-9.2.2, July 2012, Table 1).
    const maker: readonly number[] = later.filter((key) => key === 107 || key === 108);
    for (const key of maker) await this.#readOne(key);
    for (const key of before.slice(2)) await this.#readOne(key);
    const plain = later.filter((key) => key <= lastCv).sort((a, b) => a - b);
    for (const key of plain) await this.#readOne(key);
    const pages = later.filter((key) => key > lastCv);
    if (pages.length && !this.#stopped()) await this.#readPages(pages);
  }

  async #readPages(keys: readonly number[]): Promise<void> {
    const places = keys.map((key) => ({ cv: nameOf(key), mask: 255 }));
    const high = this.#found.get(31);
    const low = this.#found.get(32);
    if (high === undefined || low === undefined) {
      for (const key of keys) this.#silent.add(key);
      this.#issues.push(indexUnread({}, { places }));
      return;
    }
    const locked = isLocked({ get: (cv) => this.#found.get(cv) }) && this.#decoder?.kind !== "accessory";
    if (locked && !this.#settled.allow.has("unlock")) {
      for (const key of keys) this.#silent.add(key);
      this.#issues.push(lockedPages({}, { places, source: "S-9.2.2 (July 2012), CV 15 and 16" }));
      return;
    }
    const index = { high, low };
    const at = new Map([
      [15, this.#found.get(15)],
      [31, high],
      [32, low],
    ]);
    const set = async (cv: number, value: number): Promise<boolean> => {
      if (at.get(cv) === value) return true;
      // Until it is proved, it may be either.
      at.set(cv, undefined);
      if (!(await this.#set(cv, value))) return false;
      at.set(cv, value);
      return true;
    };
    try {
      if (locked && !(await set(15, this.#found.get(16) as number))) return;
      // The page that the next CVs are on. One of its CVs may be proved and the other one not.
      const page = new Map([
        [31, high],
        [32, low],
      ]);
      for (const step of readSteps(this.#mode, keys.map(nameOf), { index })) {
        if ("why" in step && step.why === "restore-index") break;
        if (this.#stopped()) break;
        if ("read" in step) {
          const isSelected = [...page].every(([cv, value]) => at.get(cv) === value);
          if (isSelected) await this.#readOne(toKey(step.read));
          else this.#silent.add(toKey(step.read));
        } else {
          page.set(step.write.cv, step.write.value);
          await set(step.write.cv, step.write.value);
        }
      }
    } finally {
      if (!this.#lost) await this.#putBack(set, index, locked);
      const left = [...at].filter(([cv, value]) => value !== this.#found.get(cv)).map(([cv]) => cv);
      if (left.length) {
        const what = "could not be put back to what it held";
        this.#issues.push(halfDone({ what }, { places: left.map((cv) => ({ cv: nameOf(cv), mask: 255 })) }));
      }
    }
  }

  async #putBack(
    set: (cv: number, value: number) => Promise<boolean>,
    { high, low }: { readonly high: number; readonly low: number },
    locked: boolean,
  ): Promise<void> {
    try {
      await set(31, high);
      await set(32, low);
      if (locked) await set(15, this.#found.get(15) as number);
    } catch (error) {
      this.#fail(error);
    }
  }

  /** Writes and proves a CV that reading needs. */
  async #set(cv: number, value: number): Promise<boolean> {
    const bits = { key: cv, mask: 255, value };
    for (let attempt = 1; attempt <= this.#settled.retries + 1; attempt++) {
      if (attempt > 1) await wait(this.#settled.pause);
      try {
        await this.#access.write(bits, this.#to, attempt);
        if ((await this.#access.prove(bits, this.#to)).holds) return true;
      } catch (error) {
        this.#passOver(error);
      }
    }
    const attempts = this.#settled.retries + 1;
    this.#issues.push(unproved({ value, attempts }, { places: [{ cv: nameOf(cv), mask: 255 }] }));
    return false;
  }

  async #readOne(key: number): Promise<void> {
    if (this.#stopped() || this.#found.has(key) || this.#silent.has(key)) return;
    let value: number | undefined;
    for (let attempt = 0; attempt <= this.#settled.retries && value === undefined; attempt++) {
      if (attempt) await wait(this.#settled.pause);
      try {
        value = await this.#access.read(key, this.#guessesOf(key), this.#to);
      } catch (error) {
        this.#passOver(error);
      }
    }
    if (value === undefined) this.#silent.add(key);
    else {
      this.#found.set(key, value);
      this.#compare(key, value);
      await this.#calls.note({ holds: { [nameOf(key)]: value } });
    }
    if (this.#found.size === 0 && this.#silent.size >= Math.min(nobodyAfter, this.#of))
      this.#stop = nobody({});
    this.#progress(key, value);
  }

  #guessesOf(key: number): number[] {
    const name = nameOf(key);
    const guesses = [this.#guesses?.get(name), this.#decoder?.factory.get(name)];
    return guesses.filter((value) => value !== undefined);
  }

  /** Whether the description is of this decoder, by a CV that nobody can write. */
  #compare(key: number, found: number): void {
    const isMaker = key === 8 || ((key === 107 || key === 108) && this.#found.get(8) === 238);
    const expected = this.#decoder?.factory.get(nameOf(key));
    if (expected === undefined || !(key === 7 || isMaker)) return;
    if (found === expected) this.#fits ??= true;
    else {
      this.#fits = false;
      this.#issues.push(otherDecoder({ expected, found }, { places: [{ cv: nameOf(key), mask: 255 }] }));
    }
  }

  #stopped(): boolean {
    if (this.#options.signal?.aborted) this.#stop ??= aborted({});
    return this.#stop !== undefined || this.#lost;
  }

  async #retried(run: () => Promise<void>): Promise<void> {
    for (let attempt = 0; ; attempt++) {
      try {
        await run();
        return;
      } catch (error) {
        if (attempt >= this.#settled.retries) throw error;
        this.#passOver(error);
        await wait(this.#settled.pause);
      }
    }
  }

  /** A failure after which the connection can be used again. */
  #passOver(error: unknown): void {
    if (!(error instanceof CallFailed) || error.final) throw error;
  }

  #fail(error: unknown): void {
    if (!(error instanceof CallFailed)) throw error;
    if (error.final) this.#lost = true;
    this.#issues.push(error.issue);
  }

  #progress(key: number, value: number | undefined): void {
    const { onProgress } = this.#options;
    if (!onProgress) return;
    const ended = this.#found.size + this.#silent.size;
    const left = ((this.#of - ended) * this.#calls.spent) / ended / 1000;
    const secondsLeft = Math.round(left * 10) / 10;
    try {
      onProgress({ cv: nameOf(key), value, ended, of: this.#of, secondsLeft, fits: this.#fits });
    } catch (error) {
      this.#stop = callbackFailed({ name: "onProgress", reason: reasonOf(error) });
    }
  }
}
