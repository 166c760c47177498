import { imageOf } from "../cv/cvset.js";
import { outOfRange } from "../cv/faults.js";
import { bitsUnknown } from "../cv/image.js";
import { fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { lastCv, nameOf, numberOf, pageOf } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { hasBits, highestValue, reaches, unreachable } from "../packets/access-mode.js";
import { type DecoderFacts, noSuchCv } from "../packets/decoder-model.js";
import type { Address } from "../standard/address.js";
import { addressCvs } from "../standard/address-in-use.js";
import { factsOf } from "../standard/cv-facts.js";
import type { Group } from "./order-rules.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { known } from "./target.js";
import { type GroupedWrites, groupOf, isUnpaged, needOf, plainKey, type Write } from "./write.js";

const readOnlyLeftOut = /* @__PURE__ */ fault("read-only-left-out", "read-only, and not written");
const volatileLeftOut = /* @__PURE__ */ fault(
  "volatile-left-out",
  "changed by the decoder itself, and not written",
);
const pageUnknown = /* @__PURE__ */ fault(
  "page-unknown",
  "no page is known, so that they are written on the page that is selected in the decoder",
);
const holdsAddress = /* @__PURE__ */ fault(
  "address-on-main",
  "holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
);

const choosesAddress = /* @__PURE__ */ fault(
  "address-kind-on-main",
  "chooses the address in use, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
);
const undescribedLeftOut = /* @__PURE__ */ fault(
  "undescribed-left-out",
  "not in the description of the decoder, and not written",
);
const undescribedWritten = /* @__PURE__ */ fault(
  "undescribed-written",
  "not in the description of the decoder, and written all the same",
);

/** The writes that the difference between the decoder and the target needs. */
export interface CollectedWrites {
  readonly groups: GroupedWrites;
  /** The writes to CVs of index pages: by page, CV 31 * 256 + CV 32. */
  readonly pages: ReadonlyMap<number, readonly Write[]>;
}

/**
 * Compares what the decoder holds with what is wanted, CV by CV; CV 15, 16, 31 and 32 are left to others.
 * @param request What is asked for.
 * @param address On the main, the address that the decoder answers to.
 */
export function collectWrites(
  request: PlanRequest,
  address: Address | undefined,
): Findings & { readonly collected: CollectedWrites } {
  const { kind, decoder, target, all, undescribed } = request;
  const held = imageOf(request.known);
  const groups = new Map<Group, Write[]>();
  const pages = new Map<number, Write[]>();
  const readOnly: number[] = [];
  const volatile: number[] = [];
  const unpaged: number[] = [];
  const absent: number[] = [];
  const derived: { readonly write: Write; readonly group: Group }[] = [];
  const last = lastOf(decoder, kind);
  const issues = new IssueList();
  target.each((key, asked, bits) => {
    const was = known(held.peek(key));
    const mask = was === undefined ? asked : 255;
    const value = was === undefined ? bits : (was & ~asked) | bits;
    if (was === value && !all) return;
    const facts = factsOf(key, kind);
    if (facts.readOnly || decoder?.isReadOnly(key)) {
      if (was !== value) readOnly.push(key);
      return;
    }
    if (facts.volatile) {
      volatile.push(key);
      return;
    }
    if (undescribed !== "refuse" && decoder && !exists(decoder, key)) {
      absent.push(key);
      if (undescribed === "leave-out") return;
    }
    const write: Write = { key, mask, value, was, need: needOf(was, value) };
    const wrong = issuesOf(write, request, address);
    if (wrong.length) {
      issues.addAll(wrong);
      return;
    }
    if (decoder?.derived.has(key) && (key > lastCv || groupOf(key, kind, true) === "plain")) {
      derived.push({ write, group: last.has(key) ? "derived-last" : "derived" });
      return;
    }
    if (key > lastCv) {
      add(pages, pageOf(key), write);
      return;
    }
    const group = groupOf(key, kind, decoder?.has(key) ?? false);
    if (group === "unpaged") unpaged.push(key);
    if (group) add(groups, group, write);
  });
  // Each after those that it is worked out from, as the decoder has them.
  const order = [...(decoder?.derived.keys() ?? [])];
  derived.sort((one, other) => order.indexOf(one.write.key) - order.indexOf(other.write.key));
  for (const { write, group } of derived) add(groups, group, write);
  return {
    collected: { groups, pages },
    issues: issues.done(),
    notes: [
      ...noteOn(readOnly, "note", readOnlyLeftOut, {}, "S-9.2.2 (July 2012), CV 7 and 8"),
      ...noteOn(volatile, "note", volatileLeftOut, {}, "S-9.2.2 (July 2012), Table 1, CV 880-895"),
      ...(undescribed === "write"
        ? noteOn(absent, "warning", undescribedWritten, {})
        : noteOn(absent, "note", undescribedLeftOut, {})),
      ...noteOn(unpaged, "warning", pageUnknown, {}, "S-9.2.2 (July 2012), CV 31 and 32"),
    ],
  };
}

/** The CVs outside index pages whose values are worked out from what is written after all plain CVs. */
function lastOf(decoder: DecoderFacts | undefined, kind: DecoderKind): ReadonlySet<number> {
  const last = new Set<number>();
  for (const [key, from] of decoder?.derived ?? []) {
    if (key <= lastCv && [...from].some((one) => last.has(one) || !isOrdinary(one, kind))) last.add(key);
  }
  return last;
}

/** Whether a CV is one of those that no rule of order but that of pages is about. */
function isOrdinary(key: number, kind: DecoderKind): boolean {
  const group = key > lastCv ? "pages" : groupOf(key, kind, true);
  return group === "pages" || group === "plain" || group === "curve";
}

function add<Key>(lists: Map<Key, Write[]>, key: Key, write: Write): void {
  const list = lists.get(key);
  if (list) list.push(write);
  else lists.set(key, [write]);
}

const none: readonly Issue[] = [];

/**
 * Whether a CV must be written as a whole: other steps depend on CV 15, 16, 17, 18, 31 and 32. On the main
 * each bit of CV 1 (of an accessory decoder, CV 9 too) changes the address, and so do bits 5 and 6 of an
 * accessory decoder's CV 29: of several the first alone would arrive.
 */
function isWholeOnly(key: number, mask: number, { mode, kind }: PlanRequest): boolean {
  const plain = plainKey(key, kind);
  if (mode === "main" && (plain === 1 || (plain === 9 && kind === "accessory"))) return true;
  if (plain === 29) return kind === "accessory" && mode === "main" && (mask & 96) === 96;
  return [15, 16, 17, 18, 31, 32].includes(key);
}

/** Which bits of CV 29 choose the address. */
const addressBits = { multifunction: 32, accessory: 96 } as const;

/** Whether a write of CV 29 changes bits that choose the address, or may change them. */
function changesAddressKind({ mask, value, was }: Write, kind: DecoderKind, address?: Address): boolean {
  const bits = addressBits[kind] & mask;
  if (was !== undefined) return ((was ^ value) & bits) !== 0;
  switch (address?.kind) {
    case "primary":
    case "accessory":
      return (value & bits) !== 0;
    case "accessory-output":
      return ((value ^ 64) & bits) !== 0;
    default:
      // An extended address; bit 6 of a decoder with that of an extended accessory can be either.
      return ((value ^ 32) & bits) !== 0;
  }
}

/** What makes a write impossible. */
function issuesOf(write: Write, request: PlanRequest, address: Address | undefined): readonly Issue[] {
  const { key, mask, value } = write;
  const { mode, kind, decoder, changeAddress } = request;
  const absent = request.undescribed === "refuse" && decoder !== undefined && !exists(decoder, key);
  const reached = reaches(mode, key);
  const partial = mask !== 255 && (!hasBits(mode) || isWholeOnly(key, mask, request));
  const plain = plainKey(key, kind);
  // For speed: nothing else can be wrong with most CVs.
  if (!absent && reached && !partial && plain > 29) return none;
  const places = [{ cv: nameOf(key), mask: 255 }];
  const issues: Issue[] = [];
  if (absent) issues.push(noSuchCv({}, { places }));
  if (!reached) issues.push(unreachable(mode, key));
  if (partial) issues.push(bitsUnknown(key, mask));
  const outside = (min: number, max: number, source: string): void => {
    if (value < min || value > max) {
      issues.push(outOfRange({ found: value, min, max, unit: "" }, { places, source }));
    }
  };
  if (key === 1 && kind === "accessory") {
    outside(0, highestValue(mode), "S-9.2.3 (July 2012), section E");
  }
  if (mode === "main" && !changeAddress) {
    if (addressCvs[kind].includes(plain)) issues.push(holdsAddress({}, { places }));
    else if (plain === 29 && changesAddressKind(write, kind, address)) {
      const bits = [{ cv: nameOf(key), mask: addressBits[kind] }];
      issues.push(choosesAddress({}, { places: bits, source: "S-9.2.2 (July 2012), CV 29" }));
    }
  }
  if (kind === "multifunction") {
    if (key === 1) outside(0, 127, "S-9.2.2 (July 2012), CV 1");
    // Of single bits the range says nothing, and CV 17 is written as a whole only.
    if (key === 17 && !partial) outside(192, 231, "S-9.2.2 (July 2012), CV 17 and 18");
  }
  return issues;
}

function exists(decoder: DecoderFacts, key: number): boolean {
  if (decoder.has(key)) return true;
  if (!isUnpaged(key)) return false;
  // Without its page, it will do when some page has it.
  for (const each of decoder.keys()) if (numberOf(each) === key) return true;
  return false;
}
