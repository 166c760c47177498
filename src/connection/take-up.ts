import {
  aBoolean,
  aFunction,
  aText,
  need,
  needIn,
  objectOf,
  severalOf,
  type Wanted,
} from "../cv/argument.js";
import { CvSet } from "../cv/cvset.js";
import { CvError, type Result } from "../cv/issue.js";
import { decoderOrModel } from "../packets/decoder-model.js";

import type { PlanLike } from "../plan/outcome.js";
import { tryPlanFromJson } from "../plan/plan-from-json.js";
import type { Address } from "../standard/address.js";
import { type AddressLike, addressInUse, toAddress } from "../standard/address-in-use.js";
import { type CarryOutOptions, type CarryOutResult, carryOut, restOf } from "./carry-out.js";
import { aConnection, type Connection, ofRunning } from "./connection.js";
import { aborted, addressOpen, badLine, notAJournal } from "./faults.js";
import type { JournalEntry } from "./journal.js";
import { Knowledge } from "./knowledge.js";
import { readOut } from "./read-out.js";

/** How a broken-off run is taken up again. */
export interface TakeUpOptions extends Omit<CarryOutOptions, "from"> {
  /** The decoder's address, on the main, where it is not the one of the journal. */
  readonly address?: AddressLike;
}

const ofTakingUp = /* @__PURE__ */ objectOf({
  "decoder?": decoderOrModel,
  "goOn?": aBoolean,
  "onProgress?": aFunction,
});
const aJournal: Wanted = (value, path, report) => {
  if (typeof value !== "string") severalOf(aText)(value, path, report);
};

/**
 * Takes up a run of {@link carryOut} that was broken off, in another process: by its journal alone. What was not
 * proved is written again. Where the lock or, on the main, the address is open, the decoder is asked first.
 *
 * The lines may go on in the same journal. A last line that was cut off in the middle is left aside.
 * @param journal The lines of the journal, as one text or one by one.
 * @param connection The connection.
 * @param options As for {@link carryOut}.
 * @throws `CvError`, before anything is sent, when the journal cannot be read, the rest cannot be planned, or as {@link carryOut}.
 * @example
 * import { CvSet } from "cvset";
 * import { carryOut, simulatedConnection, takeUp } from "cvset/connection";
 * import { plan } from "cvset/plan";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 3: 5, 4: 5, 29: 6 }) });
 * const lines: string[] = [];
 * const journal = (line: string): void => void lines.push(line);
 * const broken = simulatedConnection(decoder, { powerCutAt: 4 });
 * (await carryOut(plan(decoder.cvs, CvSet.from({ 3: 8, 4: 6 })), broken, { journal, pause: 0 })).done; // "stopped"
 * const { done, steps } = await takeUp(lines, simulatedConnection(decoder), { journal });
 * [done, steps.map(({ cv }) => cv)]; // ["proved", ["4"]]
 */
export async function takeUp(
  journal: string | Iterable<string>,
  connection: Connection,
  options: TakeUpOptions = {},
): Promise<CarryOutResult> {
  need(aJournal, journal, "journal");
  need(aConnection, connection, "connection");
  needIn(ofRunning, options, "options");
  needIn(ofTakingUp, options, "options");
  const read = readJournal(journal);
  if (!read.ok) throw new CvError(read.issues);
  const { plan, knowledge } = read.value;
  const { address: given, ...others } = options;
  const candidates = given === undefined ? knowledge.addresses : [toAddress(given)];
  const address = await answering(candidates, plan, connection, options);
  await askLock(knowledge, plan, address, connection, options);
  const rest = restOf(plan, knowledge, address, options.decoder);
  return carryOut(rest, connection, { ...others, from: knowledge.holdsNow });
}

/** The address at which the decoder answers, where it may be one of several. */
async function answering(
  candidates: readonly Address[],
  { mode, steps }: PlanLike,
  connection: Connection,
  options: TakeUpOptions,
): Promise<Address | undefined> {
  if (mode !== "main" || candidates.length < 2) return candidates[0];
  for (const address of [...candidates, ...addressesIn(steps)]) {
    const { cvs } = await readOut(connection, [29], { ...readOptions(options), mode, address });
    if (cvs.size) return address;
    if (options.signal?.aborted) throw new CvError([aborted({})]);
  }
  throw new CvError([addressOpen({}, { path: "address" })]);
}

/** The addresses that steps write: the one in use may change before the plan sends anything to it. */
function addressesIn(steps: PlanLike["steps"]): Address[] {
  const written = new Map(steps.map(({ cv, value }) => [Number(cv), value]));
  return [0, 32].flatMap((bits) => {
    const address = addressInUse({ get: (cv: number) => (cv === 29 ? bits : written.get(cv)) });
    return address ? [address] : [];
  });
}

/**
 * A locked decoder ignores every write but to CV 15, so that CV 15 and 16 must be known (S-9.2.2 (July 2012), CV
 * 15 and 16).
 */
async function askLock(
  knowledge: Knowledge,
  { mode = "direct", kind, steps }: PlanLike,
  address: Address | undefined,
  connection: Connection,
  options: TakeUpOptions,
): Promise<void> {
  const lock = ["15", "16"];
  const written = steps.some(({ cv }) => lock.includes(cv));
  const open = written ? lock.filter((cv) => !knowledge.holds.has(cv)) : [];
  const canRead = "send" in connection ? mode !== "main" || connection.repliesOnMain : connection.read;
  if (!open.length || kind === "accessory" || !canRead) return;
  const guesses = CvSet.from(
    steps.filter(({ cv }) => open.includes(cv)).map(({ cv, value }) => [cv, value] as const),
  );
  const { cvs } = await readOut(connection, open, {
    ...readOptions(options),
    mode,
    guesses,
    ...(address ? { address } : {}),
  });
  for (const [cv, value] of cvs) knowledge.apply({ holds: { [cv]: value } });
}

function readOptions({ retries, pause, timeout, confirmations, signal }: TakeUpOptions) {
  return {
    ...(retries === undefined ? {} : { retries }),
    ...(pause === undefined ? {} : { pause }),
    ...(timeout === undefined ? {} : { timeout }),
    ...(confirmations === undefined ? {} : { confirmations }),
    ...(signal ? { signal } : {}),
  };
}

/** What a journal says: the plan that was begun last, and what is known of the decoder since. */
function readJournal(
  journal: string | Iterable<string>,
): Result<{ readonly plan: PlanLike; readonly knowledge: Knowledge }> {
  const lines = typeof journal === "string" ? journal.split("\n") : [...journal];
  let plan: PlanLike | undefined;
  let knowledge: Knowledge | undefined;
  for (const [i, line] of lines.entries()) {
    if (!line.trim()) continue;
    const entry = entryFrom(line);
    if (!entry) {
      // Nothing comes after a line that was cut off.
      if (lines.slice(i + 1).every((each) => !each.trim())) break;
      return { ok: false, issues: [badLine({ line: i + 1, found: line })] };
    }
    if ("begin" in entry && entry.begin === "carry-out") {
      const read = tryPlanFromJson(entry.plan);
      if (!read.ok) return { ok: false, issues: read.issues };
      plan = read.value;
      knowledge = new Knowledge(plan.kind ?? "multifunction");
    }
    knowledge?.apply(entry);
  }
  if (!plan || !knowledge) return { ok: false, issues: [notAJournal({})] };
  return { ok: true, value: { plan, knowledge } };
}

/** A line as an entry; undefined when it is not one. */
function entryFrom(line: string): JournalEntry | undefined {
  let json: unknown;
  try {
    json = JSON.parse(line);
  } catch {
    return undefined;
  }
  if (typeof json !== "object" || json === null) return undefined;
  const entry = json as Record<string, unknown>;
  const isMap = (value: unknown): boolean => CvSet.tryFrom(value).ok;
  if (entry["begin"] === "carry-out" && (!isMap(entry["holds"]) || !isAddress(entry["address"])))
    return undefined;
  if ("holds" in entry && !isMap(entry["holds"])) return undefined;
  if ("answers" in entry && (!entry["answers"] || !isAddress(entry["answers"]))) return undefined;
  if ("step" in entry && !isStep(entry)) return undefined;
  return json as JournalEntry;
}

function isStep({ cv, value, mask, to, becomes }: Record<string, unknown>): boolean {
  const map = CvSet.tryFrom({ [String(cv)]: value });
  return map.ok && Number.isInteger(mask) && isAddress(to) && isAddress(becomes);
}

/** Whether it is an address, or none. */
function isAddress(value: unknown): boolean {
  if (value === undefined || value === null) return true;
  try {
    toAddress(value as AddressLike);
    return true;
  } catch {
    return false;
  }
}
