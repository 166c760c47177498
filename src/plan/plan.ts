import { needIn } from "../cv/argument.js";
import type { CvPatch, PatchLike } from "../cv/cvpatch.js";
import { type CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { CvError } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { collectWrites } from "./collected-writes.js";
import { impliedWrites } from "./implied-writes.js";
import { indexChanges, indexWrites } from "./index-writes.js";
import { lockWrites } from "./lock-writes.js";
import { mainAddress } from "./main-address.js";
import { type Arrangement, type Group, standardArrangement } from "./order-rules.js";
import { orderWrites } from "./ordered-writes.js";
import { ofPlanning, type PlanOptions } from "./plan-options.js";
import { planRequest } from "./plan-request.js";
import { Plan } from "./plan-result.js";
import { sentSteps } from "./sent-steps.js";
import { setOrPatch } from "./target.js";
import { byteWrite, type Write } from "./write.js";

/**
 * The shortest safe list of writes that brings a decoder from what it holds to what is wanted, in an
 * order that it obeys.
 *
 * What differs is written, and what is not known of the decoder. CV 7 and 8 are never written, and volatile
 * CVs (880-895) are left out; the notes tell of both. CVs that `to` does not hold stay as they are. The
 * rules of order are in {@link orderRules}.
 * @param from What the decoder holds, as far as it is known; `CvSet.empty` when nothing is.
 * @param to What is wanted: a set, or a patch for some bits.
 * @param options The mode, the address, and more.
 * @throws `CvError` with everything that makes the plan impossible: a CV that the mode does not reach or
 *   the decoder does not have, bits that are not known in a mode without single-bit writes or on the main in a
 *   CV that holds an address, a change of address on the main without `changeAddress`, an address that is
 *   missing, bad, out of range or that of several decoders.
 * @example
 * import { CvSet } from "cvset";
 * import { plan } from "cvset/plan";
 * const { steps } = plan(CvSet.from({ 17: 192, 18: 3, 29: 2 }), CvSet.from({ 17: 196, 18: 210, 29: 34 }));
 * steps.map(({ cv, value, packets }) => ({ cv, value, packets }));
 * // [{ cv: "17", value: 196, packets: ["7C 10 C4 A8"] }, { cv: "18", value: 210, packets: ["7C 11 D2 BF"] },
 * //  { cv: "29", value: 34, packets: ["7C 1C 22 42"] }]
 */
export function plan(from: CvsLike, to: CvsLike | PatchLike, options: PlanOptions = {}): Plan {
  needIn(ofPlanning, options, "options");
  return planWith(standardArrangement, toCvSet(from, "from"), setOrPatch(to, "to"), options);
}

/** {@link plan} with other rules of order. */
export function planWith(
  arrangement: Arrangement,
  from: CvSet,
  to: CvSet | CvPatch,
  options: PlanOptions,
): Plan {
  const asked = planRequest(from, to, options);
  const { request } = asked;
  const { mode, kind, factoryReset } = request;
  const addressing = mode === "main" ? mainAddress(request, options.address) : undefined;
  const address = addressing?.address;
  const collecting = collectWrites(request, address);
  const { groups, pages } = collecting.collected;
  const implying = impliedWrites(request, collecting.collected, address);
  const locking = lockWrites(request, groups.size > 0 || pages.size > 0 || indexChanges(request));
  const isPaged = pages.size > 0 || (groups.get("derived") ?? []).some(({ key }) => key > lastCv);
  const indexing = indexWrites(request, isPaged);
  const writes = new Map<Group, readonly Write[]>([
    ...groups,
    ...implying.implied,
    ["unlock", locking.unlock],
    ["lock", locking.lock],
    ["index", indexing.writes],
    ["reset", factoryReset ? [byteWrite(8, 8, undefined, "reset")] : []],
  ]);
  const sending = sentSteps(orderWrites({ groups: writes, pages }, request, arrangement), request, address);
  const phases = [asked, collecting, implying, locking, indexing, ...(addressing ? [addressing] : [])];
  const issues = phases.flatMap((phase) => phase.issues);
  // With a write missing or wrong, what the addresses come to means nothing.
  const all = issues.length ? issues : sending.issues;
  if (all.length) throw new CvError(all);
  const notes = [...phases, sending].flatMap((phase) => phase.notes);
  return new Plan(mode, kind, sending.steps, notes);
}
