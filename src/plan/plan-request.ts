import type { CvPatch } from "../cv/cvpatch.js";
import { CvSet } from "../cv/cvset.js";
import { notAnOption } from "../cv/faults.js";
import { CvImage } from "../cv/image.js";
import { fault, type Issue } from "../cv/issue.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { type AccessMode, accessModes } from "../packets/access-mode.js";
import { type DecoderFacts, decoderFacts } from "../packets/decoder-model.js";
import { isAccessoryBroadcast } from "../standard/accessory-output.js";
import { accessoryAddressInUse, addressText } from "../standard/address-in-use.js";
import { decoderKindOf } from "../standard/cv-facts.js";
import { isLocked } from "../standard/lock.js";
import type { Index } from "./page-order.js";
import { noteOn, type PlanNote } from "./plan-note.js";
import type { PlanOptions } from "./plan-options.js";
import { type Target, targetOf } from "./target.js";
import { onPages } from "./unpaged-cvs.js";

const resetOnMain = /* @__PURE__ */ fault(
  "reset-on-main",
  "a factory reset is possible in service mode only, not in {mode:text} mode",
);
const onSelectedPage = /* @__PURE__ */ fault(
  "on-selected-page",
  "given without a page, and taken as CVs of page {page:text}, which CV 31 and 32 select",
);
const lockedBeforeReset = /* @__PURE__ */ fault(
  "locked-before-reset",
  "the decoder is locked, and may ignore the factory reset; write CV 15 = {number} before",
);

const broadcastAddress = /* @__PURE__ */ fault(
  "broadcast-address",
  "give {address:text}, to which all accessory decoders answer: no packet on the main reaches this decoder alone",
);

/** What a plan is to do, checked and worked out once. */
export interface PlanRequest {
  readonly mode: AccessMode;
  readonly kind: DecoderKind;
  readonly decoder: DecoderFacts | undefined;
  /** What the decoder holds when the writes begin, after a factory reset. */
  readonly known: CvSet;
  /** What is wanted, each CV 257-512 with its page where that is known. */
  readonly target: Target;
  /** CV 31 and 32 at the end. */
  readonly index: Index;
  readonly all: boolean;
  readonly changeAddress: boolean;
  readonly factoryReset: boolean;
  readonly undescribed: NonNullable<PlanOptions["undescribed"]>;
}

/** What one phase of planning finds out besides its result. */
export interface Findings {
  /** What makes the plan impossible. */
  readonly issues: readonly Issue[];
  readonly notes: readonly PlanNote[];
}

/**
 * What a call asks for.
 * @throws `CvError` when the decoder model names something that is not a CV.
 */
export function planRequest(
  from: CvSet,
  to: CvSet | CvPatch,
  options: PlanOptions,
): Findings & { readonly request: PlanRequest } {
  const { mode = "direct", all = false, changeAddress = false, factoryReset = false } = options;
  const { undescribed = "refuse" } = options;
  const decoder = options.decoder && decoderFacts(options.decoder);
  const asked = targetOf(to);
  const kind = options.kind ?? decoder?.kind ?? kindOf(asked, from, options);
  const { known, issues } = knownCvs(from, decoder, factoryReset);
  const given = to instanceof CvSet ? asked : completed(asked, known);
  const wanted = (key: number): number | undefined => given.byte(key) ?? known.get(key);
  const index = { high: wanted(31), low: wanted(32) };
  const paged = onPages(given, index, decoder?.has);
  const allowed = decoder?.modes ?? accessModes;
  return {
    request: {
      mode,
      kind,
      decoder,
      known,
      target: paged.target,
      index,
      all,
      changeAddress,
      factoryReset,
      undescribed,
    },
    issues: [
      ...(allowed.includes(mode) ? [] : [notAnOption({ found: mode, allowed }, { path: "mode" })]),
      ...(waysOfUndescribed.includes(undescribed)
        ? []
        : [notAnOption({ found: undescribed, allowed: waysOfUndescribed }, { path: "undescribed" })]),
      ...(factoryReset && mode === "main"
        ? [resetOnMain({ mode }, { path: "factoryReset", source: "S-9.2.3 (July 2012), section E" })]
        : []),
      ...issues,
      ...paged.issues,
    ],
    notes: [
      ...noteOn(
        paged.moved,
        "note",
        onSelectedPage,
        { page: `${index.high}.${index.low}` },
        "S-9.2.2 (July 2012), CV 31 and 32",
      ),
      ...(kind === "accessory" ? broadcastNote(wanted) : []),
      ...noteOn(
        factoryReset && kind === "multifunction" && isLocked(from) ? [15, 16] : [],
        "warning",
        lockedBeforeReset,
        { number: from.get(16) },
        "S-9.2.2 (July 2012), CV 15 and 16",
      ),
    ],
  };
}

const waysOfUndescribed: readonly string[] = ["refuse", "leave-out", "write"];

/**
 * A target that gives the bytes of CV 15, 16, 31 and 32 where bits of them are wanted and the rest is known: the
 * lock and the index are worked out with whole bytes.
 */
function completed(target: Target, known: CvSet): Target {
  const whole = new Map<number, number>();
  target.each((key, mask, value) => {
    const was = mask < 255 && [15, 16, 31, 32].includes(key) ? known.get(key) : undefined;
    if (was !== undefined) whole.set(key, (was & ~mask) | value);
  });
  // For speed: most often no such bits are wanted.
  if (whole.size === 0) return target;
  return {
    byte: (key) => whole.get(key) ?? target.byte(key),
    hasUnpaged: target.hasUnpaged,
    each: (visit) => target.each(visit),
  };
}

/** The warning that an accessory decoder gets the address of all of them. */
function broadcastNote(wanted: (key: number) => number | undefined): PlanNote[] {
  const address = accessoryAddressInUse({ get: wanted });
  if (!address || !isAccessoryBroadcast(address)) return [];
  const source = "S-9.2.1 (July 2012), accessory packets";
  return noteOn([1, 9, 29], "warning", broadcastAddress, { address: addressText(address) }, source);
}

/** The kind of decoder by CV 29 of the target or of what is known, else by the address. */
function kindOf(target: Target, from: CvSet, { address }: PlanOptions): DecoderKind {
  const byCvs = decoderKindOf({ get: (cv) => target.byte(cv) ?? from.get(cv) });
  if (byCvs) return byCvs;
  const kind: unknown = (address as { kind?: unknown } | null | undefined)?.kind;
  return typeof kind === "string" && kind.includes("accessory") ? "accessory" : "multifunction";
}

/** What the decoder holds when the writes begin. */
function knownCvs(
  from: CvSet,
  decoder: DecoderFacts | undefined,
  factoryReset: boolean,
): { known: CvSet; issues: readonly Issue[] } {
  if (factoryReset) return { known: decoder?.factory ?? CvSet.empty, issues: [] };
  const held = targetOf(from);
  const { target, issues } = onPages(held, { high: from.get(31), low: from.get(32) }, decoder?.has);
  if (target === held) return { known: from, issues };
  const image = new CvImage();
  target.each((key, _, value) => image.set(key, value));
  return { known: new CvSet(image), issues };
}
