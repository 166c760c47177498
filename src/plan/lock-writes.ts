import { fault } from "../cv/issue.js";
import { reaches, unreachable } from "../packets/access-mode.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { byteWrite, type Need, needOf, type Write } from "./write.js";

const lockUnknown = /* @__PURE__ */ fault(
  "lock-unknown",
  "not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first",
);

/** The values of CV 15 (key) and CV 16 (number); undefined where not known, or not wanted. */
export interface Lock {
  readonly key: number | undefined;
  readonly number: number | undefined;
}

/** A write to CV 15 or CV 16; `opens` where its value is not the one at the end. */
export interface LockWrite {
  readonly cv: 15 | 16;
  readonly value: number;
  readonly opens?: true;
}

/**
 * The writes that open the decoder lock for the other steps, and those that leave it as wanted. A decoder
 * obeys a write only while CV 15 and 16 are equal (S-9.2.2, July 2012, CV 15 and 16). That CV 15 itself can
 * always be written is inferred: nothing could open the lock otherwise.
 * @param from What the decoder holds.
 * @param to What is to be in it at the end.
 * @param needed Whether there are other steps, which need an open decoder.
 */
export function lockSequence(
  from: Lock,
  to: Lock,
  needed: boolean,
): { before: LockWrite[]; after: LockWrite[] } {
  const before: LockWrite[] = [];
  const after: LockWrite[] = [];
  let { key } = from;
  const changesNumber = to.number !== undefined && to.number !== from.number;
  const open = (value: number): void => {
    if (key === value) return;
    before.push(value === to.key ? { cv: 15, value } : { cv: 15, value, opens: true });
    key = value;
  };
  if (
    (needed || changesNumber) &&
    from.number !== undefined &&
    (from.key !== undefined || to.key !== undefined || changesNumber)
  ) {
    open(from.number);
  }
  if (changesNumber && to.number !== undefined) {
    if (to.key !== undefined && to.key !== to.number) {
      // The target is locked: one write fewer when the number changes at the very end.
      after.push({ cv: 16, value: to.number });
    } else {
      before.push({ cv: 16, value: to.number });
      open(to.number);
    }
  }
  if (to.key !== undefined && to.key !== key) after.push({ cv: 15, value: to.key });
  return { before, after };
}

/**
 * The writes to CV 15 and 16.
 * @param request What is asked for.
 * @param needed Whether there are other steps.
 */
export function lockWrites(
  request: PlanRequest,
  needed: boolean,
): Findings & { readonly unlock: readonly Write[]; readonly lock: readonly Write[] } {
  const { known, kind, mode, all, decoder, target } = request;
  if (kind === "accessory") return { unlock: [], lock: [], issues: [], notes: [] };
  const from = { key: known.get(15), number: known.get(16) };
  const wanted = { key: target.byte(15), number: target.byte(16) };
  const to = { key: wanted.key ?? from.key, number: wanted.number ?? from.number };
  const { before, after } = lockSequence(from, to, needed);
  const has = (cv: number): boolean => [...before, ...after].some((write) => write.cv === cv);
  if (all && wanted.number !== undefined && !has(16)) before.push({ cv: 16, value: wanted.number });
  if (all && wanted.key !== undefined && !has(15)) {
    (wanted.key === to.number ? before : after).push({ cv: 15, value: wanted.key });
  }
  const issues = ([15, 16] as const)
    .filter((cv) => has(cv) && !reaches(mode, cv))
    .map((cv) => unreachable(mode, cv));
  const held: Record<15 | 16, number | undefined> = { 15: from.key, 16: from.number };
  const writes = (list: readonly LockWrite[]): Write[] =>
    list.map(({ cv, value, opens }) => {
      const was = held[cv];
      held[cv] = value;
      const need: Need = opens ? "unlock" : needOf(was, value);
      return byteWrite(cv, value, was, need);
    });
  const [unlock, lock] = [writes(before), writes(after)];
  const unknown = [...(from.key === undefined ? [15] : []), ...(from.number === undefined ? [16] : [])];
  const matters =
    unknown.length === 1 || (unknown.length === 2 && (decoder ? decoder.has(16) : to.number !== undefined));
  return {
    unlock,
    lock,
    issues,
    notes: noteOn(
      (needed || has(16)) && matters ? unknown : [],
      "warning",
      lockUnknown,
      {},
      "S-9.2.2 (July 2012), CV 15 and 16",
    ),
  };
}
