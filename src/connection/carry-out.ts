import { aBoolean, aFunction, need, needIn, objectOf } from "../cv/argument.js";
import { type CvSet, type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { CvError, type Issue } from "../cv/issue.js";
import { reasonOf } from "../cv/show.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type DecoderModel, decoderOrModel } from "../packets/decoder-model.js";
import { outcome, type PlanLike } from "../plan/outcome.js";
import { plan as planAnew } from "../plan/plan.js";
import type { Plan } from "../plan/plan-result.js";
import { aPlan } from "../plan/plan-sequences.js";
import type { PlanStep } from "../plan/plan-step.js";
import { resume } from "../plan/resume.js";
import type { Address } from "../standard/address.js";
import { addressCvs, cvsOfAddress, sameAddress } from "../standard/address-in-use.js";
import { type Access, accessBy } from "./access.js";
import { Calls, wait } from "./calls.js";
import { aConnection, type Connection, ofRunning, type RunOptions, type Settled } from "./connection.js";
import {
  aborted,
  CallFailed,
  callbackFailed,
  dependent,
  halfDone,
  holdsOther,
  lacking,
  noRest,
  notAllowed,
  unproved,
} from "./faults.js";
import type { JournalEntry } from "./journal.js";
import { isUnpaged, Knowledge } from "./knowledge.js";

/** How a plan is carried out. */
export interface CarryOutOptions extends RunOptions {
  /** What the decoder held before, as far as it is known; else what the plan knows of the CVs that it writes. */
  readonly from?: CvsLike;
  /** The decoder, so that the rest can be planned for it. */
  readonly decoder?: AnyDecoder | DecoderModel;
  /** Whether to go on after a step that failed, as far as no later step depends on it. Not unless given. */
  readonly goOn?: boolean;
  /** Called after each step. */
  readonly onProgress?: (progress: {
    /** The step that has just ended. */
    readonly step: StepOutcome;
    /** How many steps have ended, this one included. */
    readonly ended: number;
    /** How many steps there are. */
    readonly of: number;
    /** Seconds that the rest will take, by what was measured so far. */
    readonly secondsLeft: number;
  }) => void;
}

/** What became of one step. */
export interface StepOutcome {
  /** The CV: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** What was to be written. */
  readonly value: number;
  /** Which bits; 255 is the whole byte. */
  readonly mask: number;
  /**
   * `"proved"`: the decoder confirmed it. `"written"`: sent, and the connection cannot prove it. `"failed"`:
   * not confirmed. `"left"`: not sent.
   */
  readonly state: "proved" | "written" | "failed" | "left";
  /** How often it was tried. */
  readonly attempts: number;
}

/** What carrying out a plan came to. */
export interface CarryOutResult {
  /**
   * `"proved"`: all is written and confirmed. `"written"`: all is sent, and at least one step could not be
   * proved by this connection. `"stopped"`: at least one step failed or was not sent.
   */
  readonly done: "proved" | "written" | "stopped";
  /** What became of each step of the plan. */
  readonly steps: readonly StepOutcome[];
  /** What the decoder holds now. What is not known for certain is left out. */
  readonly holds: CvSet;
  /** The plan for what is left; undefined when nothing is, or when it cannot be planned from what is known. */
  readonly rest: Plan | undefined;
  /** Why it stopped, what failed, and what is left half done. */
  readonly issues: readonly Issue[];
}

/** The options of a run with their values. */
export function settle(options: RunOptions): Settled {
  const { retries = 2, pause = 100, timeout = 20_000, confirmations = 1, allow = [] } = options;
  return { retries, pause, timeout, confirmations: Math.max(1, confirmations), allow: new Set(allow) };
}

const ofCarryingOut = /* @__PURE__ */ objectOf({
  "from?": someCvs,
  "decoder?": decoderOrModel,
  "goOn?": aBoolean,
  "onProgress?": aFunction,
});

/**
 * Carries out a plan over a connection: each step is sent, proved where the connection can, and tried again
 * where it failed. It stops at the first step that stays wrong, unless `goOn` is given.
 *
 * CV 17 and 18 are written as one, and proved after CV 18, when they take effect (S-9.2.1 (July 2012), note to
 * Write Byte). The run ends by itself: a call without an answer in time, or with an answer that is none, is not
 * repeated, since the connection can no longer be trusted.
 * @param plan The plan.
 * @param connection The connection.
 * @param options What is allowed, retries, progress, journal.
 * @throws `CvError`, before anything is sent, when the plan needs something that the connection lacks or
 *   that is not allowed. What goes wrong later is in the result.
 * @example
 * import { CvSet } from "cvset";
 * import { carryOut, simulatedConnection } from "cvset/connection";
 * import { plan } from "cvset/plan";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 3: 5, 8: 13, 29: 6 }) });
 * const { done, holds, rest } = await carryOut(
 *   plan(decoder.cvs, CvSet.from({ 3: 8, 29: 2 })),
 *   simulatedConnection(decoder),
 * );
 * [done, holds.toJSON(), rest]; // ["proved", { "3": 8, "29": 2 }, undefined]
 */
export async function carryOut(
  plan: Plan,
  connection: Connection,
  options: CarryOutOptions = {},
): Promise<CarryOutResult> {
  need(aPlan, plan, "plan");
  need(aConnection, connection, "connection");
  needIn(ofRunning, options, "options");
  needIn(ofCarryingOut, options, "options");
  return new CarryOut(plan, connection, options).run();
}

class CarryOut {
  readonly #plan: Plan;
  readonly #options: CarryOutOptions;
  readonly #settled: Settled;
  readonly #calls: Calls;
  readonly #access: Access;
  readonly #knowledge: Knowledge;
  readonly #issues: Issue[] = [];
  readonly #outcomes: StepOutcome[];
  #ended = 0;
  /** Whether nothing more can be sent. */
  #lost = false;
  #callback: Issue | undefined;

  constructor(plan: Plan, connection: Connection, options: CarryOutOptions) {
    this.#plan = plan;
    this.#options = options;
    this.#settled = settle(options);
    this.#calls = new Calls(this.#settled.timeout, options.journal);
    this.#access = accessBy(connection, plan.mode, this.#calls, this.#settled);
    this.#knowledge = new Knowledge(plan.kind);
    this.#outcomes = plan.steps.map(({ cv, value, mask }) => ({
      cv,
      value,
      mask,
      state: "left",
      attempts: 0,
    }));
    const refused = refusals(plan, this.#access, this.#settled);
    if (refused.length) throw new CvError(refused);
  }

  async run(): Promise<CarryOutResult> {
    const { steps } = this.#plan;
    const [first] = steps;
    try {
      await this.#tell({
        begin: "carry-out",
        plan: targetOf(this.#plan),
        holds: this.#heldBefore(),
        reset: steps.some(({ need }) => need === "reset"),
        ...(first?.address ? { address: first.address } : {}),
      });
      if (steps.length) {
        await this.#opened();
        await this.#all();
      }
    } catch (error) {
      this.#fail(error);
    }
    const half = this.#halfDone();
    await this.#closed();
    const states = this.#outcomes.map(({ state }) => state);
    const done = states.some((state) => state === "failed" || state === "left")
      ? "stopped"
      : states.includes("written")
        ? "written"
        : "proved";
    try {
      await this.#tell({ end: done });
    } catch (error) {
      this.#fail(error);
    }
    this.#issues.push(...half);
    const rest = done === "proved" ? undefined : this.#rest();
    return { done, steps: this.#outcomes, holds: this.#knowledge.holdsNow, rest, issues: this.#issues };
  }

  /** What is known before the first step: a factory reset makes it worthless. */
  #heldBefore(): Record<string, number> {
    const { steps } = this.#plan;
    const { from } = this.#options;
    const reset = steps.some(({ need }) => need === "reset");
    return { ...(reset ? {} : this.#wasBefore()), ...(from ? toCvSet(from, "options.from").toJSON() : {}) };
  }

  /** What the plan takes to be in the CVs that it writes, and in those that hold an address that it puts to use. */
  #wasBefore(): Record<string, number> {
    const held: Record<string, number> = {};
    const seen = new Set<string>();
    for (const { cv, was, need } of this.#plan.steps) {
      if (!seen.has(cv) && was !== undefined && need !== "reset") held[cv] = was;
      seen.add(cv);
    }
    for (const { answersTo } of this.#plan.steps) {
      if (answersTo === undefined || answersTo === "unknown") continue;
      for (const [cv, value] of cvsOfAddress(answersTo)) if (!seen.has(String(cv))) held[cv] = value;
    }
    return held;
  }

  async #all(): Promise<void> {
    const units = unitsOf(this.#plan);
    const failed = new Set<string>();
    for (const unit of units) {
      const stop = this.#callback ?? (this.#options.signal?.aborted ? aborted({}) : undefined);
      if (stop) {
        this.#issues.push(stop);
        return;
      }
      const after = failed.size ? dependsOn(unit, failed) : [];
      if (after.length) {
        for (const { cv } of unit.steps) {
          failed.add(cv);
          this.#issues.push(dependent({ cvs: after }, { places: [{ cv, mask: 255 }] }));
        }
        continue;
      }
      const fault = await this.#unit(unit);
      for (const at of unit.places) this.#progress(at);
      if (!fault) continue;
      this.#issues.push(fault);
      if (!this.#options.goOn || unit.steps.some(carriesAll)) return;
      for (const { cv } of unit.steps) failed.add(cv);
    }
  }

  /** Writes a unit until it is proved. @returns Why it failed; undefined when it did not. */
  async #unit(unit: Unit): Promise<Issue | undefined> {
    const { retries, pause } = this.#settled;
    let fault: Issue | undefined;
    for (let attempt = 1; attempt <= retries + 1; attempt++) {
      if (attempt > 1) await wait(pause);
      try {
        fault = unit.reset ? await this.#reset(unit, attempt) : await this.#writeAndProve(unit, attempt);
        if (!fault) return undefined;
      } catch (error) {
        for (const at of unit.places) this.#settle(at, "failed", attempt);
        if (!(error instanceof CallFailed) || error.final) throw error;
        fault = error.issue;
      }
    }
    return fault;
  }

  async #writeAndProve(unit: Unit, attempt: number): Promise<Issue | undefined> {
    const { steps, places } = unit;
    for (const [i, step] of steps.entries()) {
      const at = places[i] as number;
      await this.#tell(entryOf(step, at, attempt));
      this.#settle(at, "failed", attempt);
      await this.#access.write(step, step.address, attempt);
    }
    // The address at the end of the unit: a pair takes effect with its second half.
    const last = steps[steps.length - 1] as PlanStep;
    const to = unit.either
      ? await this.#answering(unit, last)
      : last.answersTo === undefined
        ? last.address
        : last.answersTo;
    for (const [i, step] of steps.entries()) {
      const at = places[i] as number;
      if (to === "unknown" || !this.#access.canProve(step.mask)) {
        this.#settle(at, "written", attempt);
        continue;
      }
      const proof = await this.#access.prove(step, to);
      const { cv, mask, value } = step;
      if (proof.found !== undefined) await this.#tell({ holds: { [cv]: proof.found } });
      const where = { places: [{ cv, mask }] };
      if (!proof.holds) {
        return proof.found === undefined
          ? unproved({ value, attempts: attempt }, where)
          : holdsOther({ value, found: proof.found, attempts: attempt }, where);
      }
      this.#settle(at, "proved", attempt);
    }
    const { answersTo } = last;
    const now = answersTo === undefined && unit.either ? to : answersTo;
    if (now && now !== "unknown" && this.#access.canRead) await this.#tell({ answers: now });
    return undefined;
  }

  /** Of the addresses to which a unit was sent, the one at which the decoder confirms its last value. */
  async #answering({ steps }: Unit, last: PlanStep): Promise<Address | "unknown"> {
    if (!this.#access.canProve(last.mask)) return "unknown";
    const sent = steps.flatMap(({ address, answersTo }) => [address, answersTo]).reverse();
    const tried: Address[] = [];
    for (const address of sent) {
      if (!address || address === "unknown" || tried.some((each) => sameAddress(each, address))) continue;
      tried.push(address);
      try {
        if ((await this.#access.prove(last, address)).holds) return address;
      } catch (error) {
        if (!(error instanceof CallFailed) || error.final) throw error;
      }
    }
    return tried[0] ?? "unknown";
  }

  async #reset(unit: Unit, attempt: number): Promise<Issue | undefined> {
    const [at] = unit.places as [number];
    const [step] = unit.steps as [PlanStep];
    const access = this.#access;
    const pending = { key: 8, mask: 255, value: 255 };
    const acknowledged = await this.#resetRequest();
    this.#settle(at, "failed", attempt);
    const where = { places: [{ cv: "8", mask: 255 }] };
    // CV 8 holds 255 until all CVs are at their factory values again (S-9.2.3 (July 2012), Decoder Factory Reset).
    const asked = access.canProve(255) ? (await access.prove(pending, undefined)).holds : undefined;
    if (asked === false && !acknowledged) return unproved({ value: 8, attempts: attempt }, where);
    await wait((step.pause?.seconds ?? 0) * 1000 * (this.#settled.pause > 0 ? 1 : 0));
    await access.powerCycle?.();
    await this.#opened();
    const maker = access.canRead ? await access.read(8, [13], undefined) : undefined;
    if (asked === undefined) {
      this.#settle(at, "written", attempt);
      return undefined;
    }
    if (maker === undefined || maker === 255) return unproved({ value: 8, attempts: attempt }, where);
    if (!asked) {
      // A decoder that resets at once: acknowledged, and nothing shows that it is done.
      this.#settle(at, "written", attempt);
      return undefined;
    }
    await this.#tell({ reset: "done" });
    await this.#tell({ holds: { ...this.#wasBefore(), 8: maker } });
    this.#settle(at, "proved", attempt);
    return undefined;
  }

  async #resetRequest(): Promise<boolean | undefined> {
    this.#knowledge.apply({ sent: "reset" });
    return this.#access.reset();
  }

  async #opened(): Promise<void> {
    for (let attempt = 0; ; attempt++) {
      try {
        await this.#access.open();
        return;
      } catch (error) {
        const again = error instanceof CallFailed && !error.final && attempt < this.#settled.retries;
        if (!again) throw error;
        await wait(this.#settled.pause);
      }
    }
  }

  async #closed(): Promise<void> {
    if (this.#lost || this.#calls.count === 0) return;
    try {
      await this.#access.close();
    } catch (error) {
      this.#fail(error);
    }
  }

  #settle(at: number, state: StepOutcome["state"], attempts: number): void {
    this.#outcomes[at] = { ...(this.#outcomes[at] as StepOutcome), state, attempts };
  }

  async #tell(entry: JournalEntry): Promise<void> {
    this.#knowledge.apply(entry);
    await this.#calls.note(entry);
  }

  #fail(error: unknown): void {
    if (!(error instanceof CallFailed)) throw error;
    this.#lost = true;
    this.#issues.push(error.issue);
  }

  #progress(at: number): void {
    this.#ended++;
    const { onProgress } = this.#options;
    if (!onProgress) return;
    const of = this.#outcomes.length;
    const left = ((of - this.#ended) * this.#calls.spent) / this.#ended / 1000;
    try {
      onProgress({
        step: this.#outcomes[at] as StepOutcome,
        ended: this.#ended,
        of,
        secondsLeft: Math.round(left * 10) / 10,
      });
    } catch (error) {
      this.#callback = callbackFailed({ name: "onProgress", reason: reasonOf(error) });
    }
  }

  /** What the steps so far have begun and later ones would have ended. */
  #halfDone(): Issue[] {
    const begun = (cv: string): boolean => this.#outcomes.some((step) => step.cv === cv && step.attempts > 0);
    const left = (cv: string): boolean =>
      this.#outcomes.some((step) => step.cv === cv && step.attempts === 0);
    const issues: Issue[] = [];
    const add = (what: string, cvs: readonly string[]): void => {
      issues.push(halfDone({ what }, { places: cvs.map((cv) => ({ cv, mask: 255 })) }));
    };
    const half = (cvs: readonly string[]): string[] => cvs.filter((cv) => begun(cv) && left(cv));
    const index = half(["31", "32"]);
    if (index.length) add("an index page stays selected", index);
    const lock = half(["15", "16"]);
    if (lock.length && this.#plan.kind === "multifunction") add("the decoder stays unlocked", lock);
    if (this.#plan.kind === "multifunction" && begun("17") && left("18")) {
      add("CV 17 is written, and takes effect only with the next write of CV 18", ["17", "18"]);
    }
    if (begun("1") && (left("19") || left("29"))) {
      add("writing CV 1 may have cleared them", ["19", "29"].filter(left));
    }
    return issues;
  }

  #rest(): Plan | undefined {
    if (this.#outcomes.every(({ attempts }) => attempts === 0)) return this.#plan;
    try {
      return restOf(
        targetOf(this.#plan),
        this.#knowledge,
        this.#knowledge.addresses[0],
        this.#options.decoder,
      );
    } catch (error) {
      this.#issues.push(noRest({ reason: reasonOf(error) }));
      return undefined;
    }
  }
}

/** The plan that brings a decoder from what is known of it to what an earlier plan was to leave in it. */
export function restOf(
  target: PlanLike,
  knowledge: Knowledge,
  address: Address | undefined,
  decoder: AnyDecoder | DecoderModel | undefined,
): Plan {
  const { mode, kind } = target;
  // A CV whose page is not known is on the page that was selected in the beginning.
  const held = knowledge.holds;
  const steps = target.steps.filter(({ cv, value }) => !isUnpaged(Number(cv)) || held.get(cv) !== value);
  const lost = steps.filter(({ cv }) => isUnpaged(Number(cv)));
  if (lost.length && knowledge.indexMoved) {
    const places = lost.map(({ cv }) => ({ cv, mask: 255 }));
    throw new CvError([noRest({ reason: "their page is no longer selected" }, { places })]);
  }
  const plan = { ...target, steps };
  const options = {
    ...(mode ? { mode } : {}),
    ...(kind ? { kind } : {}),
    ...(decoder ? { decoder } : {}),
    ...(address ? { address } : {}),
    changeAddress: true,
  };
  return knowledge.resetPending
    ? planAnew(knowledge.holdsNow, outcome(plan), { ...options, factoryReset: true })
    : resume(plan, knowledge.holdsNow, options);
}

/** What a plan is to leave in the decoder, as the steps that say so. */
function targetOf({ mode, kind, steps }: Plan): PlanLike {
  // The index that is left behind is wanted by nobody where its value in the beginning was not known.
  const unpaged = steps.some(({ cv }) => isUnpaged(Number(cv)));
  const wanted = unpaged ? steps.filter(({ need }) => need !== "select") : steps;
  return { mode, kind, steps: wanted.map(({ cv, value, mask }) => ({ cv, value, mask })) };
}

/** Steps that are written and proved as one. */
interface Unit {
  readonly steps: readonly PlanStep[];
  /** Their places in the plan. */
  readonly places: readonly number[];
  readonly reset: boolean;
  /** Whether it is sent to two addresses, of which the decoder has one. */
  readonly either: boolean;
}

/** The steps of a plan; together are CV 17 and 18, and what is sent to two addresses since one is not known. */
function unitsOf({ steps, kind }: Plan): Unit[] {
  const units: Unit[] = [];
  for (let at = 0; at < steps.length; ) {
    let end = at;
    const { key: first, answersTo } = steps[at] as PlanStep;
    if (kind === "multifunction" && first === 17) {
      const low = steps.findIndex(({ key }, i) => i > at && key === 18);
      if (low > at) end = low;
    }
    if (answersTo === "unknown") {
      end = Math.max(
        end,
        steps.findLastIndex(({ need }) => need === "either"),
      );
    }
    const places = Array.from({ length: end - at + 1 }, (_, i) => at + i);
    const own = steps.slice(at, end + 1);
    units.push({
      steps: own,
      places,
      reset: own[0]?.need === "reset",
      either: own.some(({ need }) => need === "either"),
    });
    at = end + 1;
  }
  return units;
}

/**
 * Whether everything after a step depends on it: the lock, the selected page, the reset, the address in use. A CV
 * whose page is not known cannot be written any more when another page is selected.
 */
function carriesAll({ key, need, answersTo }: PlanStep): boolean {
  return need === "reset" || answersTo !== undefined || isUnpaged(key) || [15, 16, 31, 32].includes(key);
}

/** The failed CVs that a unit depends on. Other rules of order say only what comes first. */
function dependsOn({ steps }: Unit, failed: ReadonlySet<string>): string[] {
  const needs = steps.flatMap(({ rules }) =>
    rules.flatMap(({ id, after }) => (["primary", "pair", "configuration"].includes(id) ? after : [])),
  );
  return [...new Set(needs)].filter((cv) => failed.has(cv));
}

function entryOf(
  { cv, value, mask, address, answersTo }: PlanStep,
  step: number,
  attempt: number,
): JournalEntry {
  return {
    step,
    attempt,
    cv,
    value,
    mask,
    ...(address ? { to: address } : {}),
    ...(answersTo === undefined ? {} : { becomes: answersTo === "unknown" ? null : answersTo }),
  };
}

/** Why a plan is not begun. */
function refusals(plan: Plan, access: Access, { allow }: Settled): Issue[] {
  const issues: Issue[] = [];
  const { steps, mode, kind } = plan;
  const resets = steps.some(({ need }) => need === "reset");
  if (resets && !allow.has("factory-reset")) {
    issues.push(notAllowed({ what: "a factory reset", permission: "factory-reset" }));
  }
  if (resets && !access.powerCycle) {
    issues.push(lacking({ needed: "powerCycle", purpose: "for a factory reset" }));
  }
  const opens = steps.filter(({ need }) => need === "unlock");
  if (opens.length && !allow.has("unlock")) {
    issues.push(notAllowed({ what: "opening the decoder lock", permission: "unlock" }, placesOf(opens)));
  }
  const moves = steps.filter(
    ({ key, answersTo }) => answersTo !== undefined || addressCvs[kind].includes(key),
  );
  if (mode === "main" && moves.length && !allow.has("address-on-main")) {
    const what = "a change of address on the main, where other decoders may hear it,";
    issues.push(notAllowed({ what, permission: "address-on-main" }, placesOf(moves)));
  }
  for (const step of steps) {
    const needed = step.need === "reset" ? undefined : access.lacksForWriting(step.mask);
    if (needed) issues.push(lacking({ needed, purpose: "to write single bits" }, placesOf([step])));
  }
  return issues;
}

function placesOf(steps: readonly PlanStep[]): { readonly places: { cv: string; mask: number }[] } {
  return { places: steps.map(({ cv, mask }) => ({ cv, mask })) };
}
