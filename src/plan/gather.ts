import { CvImage, unknownBits } from "../cv/image.js";
import { CvError, type CvPatch, type CvSet, type Issue } from "../cv/index.js";
import { lastCv, nameOf, pageOf } from "../cv/name.js";
import { type AccessMode, accessModes, outOfReach, reaches } from "./access.js";
import {
  accessoryAddress,
  addressBytes,
  addressOf,
  addressText,
  type DecoderAddress,
  ownAddress,
  sameAddress,
} from "./address.js";
import type { Group } from "./hazards.js";
import { type LockWrite, lockWrites } from "./lock.js";
import { type DecoderModel, isReadOnly, isVolatile, kindOf } from "./model.js";
import type { PlanOptions } from "./options.js";
import type { Index } from "./pages.js";
import type { PlanNote } from "./step.js";
import { isBare, type Target, targetOf, withPages } from "./target.js";

/** One write that a plan needs, before it has its place. */
export interface Write {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
  /** What the decoder holds, or -1. */
  readonly was: number;
  /** Whether it is needed only because of another write. */
  readonly forced?: boolean;
}

/** Everything that a plan will be made of. */
export interface Work {
  readonly mode: AccessMode;
  readonly kind: DecoderModel["kind"];
  /** What the decoder holds when the steps begin, a factory reset done. */
  readonly known: CvImage;
  readonly groups: Map<Group, Write[]>;
  readonly pages: Map<number, Write[]>;
  /** CV 31 and 32 at the end. */
  readonly index: Index;
  readonly address: DecoderAddress | undefined;
  readonly notes: PlanNote[];
  readonly issues: Issue[];
}

const addressCvs = { multifunction: [1, 17, 18, 19], accessory: [1, 9] } as const;

/** Finds out what there is to write, and everything that stands in the way. */
export function gather(from: CvSet, to: CvSet | CvPatch, options: PlanOptions): Work {
  const { decoder, all = false } = options;
  const mode = options.mode ?? "direct";
  const notes: PlanNote[] = [];
  const issues: Issue[] = [];
  const given = targetOf(to);
  const kind = options.kind ?? decoder?.kind ?? kindOf(given.byte(29), from.reader.peek(29));
  if (!accessModes.includes(mode)) {
    issues.push({ code: "option", path: "mode", expected: accessModes.join(", "), found: mode });
  } else if (decoder?.modes && !decoder.modes.includes(mode)) {
    issues.push({ code: "option", path: "mode", expected: decoder.modes.join(", "), found: mode });
  }
  const known = startingPoint(from, options);
  const wanted = (key: number): number => {
    const byte = given.byte(key);
    return byte >= 0 ? byte : known.peek(key);
  };
  const index: Index = { high: wanted(31), low: wanted(32) };
  const target = withPages(given, index.high, index.low, decoder, notes);
  const groups = new Map<Group, Write[]>();
  const pages = new Map<number, Write[]>();
  const work: Work = {
    mode,
    kind,
    known,
    groups,
    pages,
    index,
    address: mode === "main" ? talkingTo(known, kind, options, issues, notes) : undefined,
    notes,
    issues,
  };
  const readOnly = new Set(decoder?.readOnly?.map(String));
  const hidden: string[] = [];
  const dynamic: string[] = [];
  const unpaged: string[] = [];

  target.each((key, asked, bits) => {
    const was = known.peek(key);
    const mask = was >= 0 ? 255 : asked;
    const value = was >= 0 ? (was & ~asked) | bits : bits;
    const same = was === value && mask === 255;
    if (same && !all) return;
    if (isReadOnly(key) || (readOnly.size && readOnly.has(nameOf(key)))) {
      if (!same) hidden.push(nameOf(key));
      return;
    }
    if (isVolatile(key, kind)) {
      dynamic.push(nameOf(key));
      return;
    }
    const write: Write = { key, mask, value, was };
    const before = issues.length;
    check(work, options, write);
    if (issues.length > before) return;
    if (key > lastCv) {
      const page = pageOf(key);
      const list = pages.get(page);
      if (list) list.push(write);
      else pages.set(page, [write]);
      return;
    }
    const group = groupOf(key, kind, decoder);
    if (group === "bare") unpaged.push(String(key));
    if (group) add(groups, group, write);
  });

  followUps(work, decoder);
  addLock(work, target, all, decoder);
  addIndex(work, target, all);
  if (options.factoryReset) {
    if (mode === "main") {
      issues.push({
        code: "option",
        path: "factoryReset",
        expected: "service mode: a factory reset is not asked for on the main",
        found: mode,
        clause: "S-9.2.3 (July 2012), section E",
      });
    }
    groups.set("reset", [{ key: 8, mask: 255, value: 8, was: -1 }]);
  }
  say(
    notes,
    "read-only",
    "note",
    hidden,
    "nobody can write these, so they are left out",
    "S-9.2.2 (July 2012), CV 7 and 8",
  );
  say(
    notes,
    "volatile",
    "note",
    dynamic,
    "these change while the decoder runs, so they are left out",
    "S-9.2.2 (July 2012), Table 1, CV 880-895",
  );
  say(
    notes,
    "page",
    "warning",
    unpaged,
    "no page is known for these, so they are written on whatever page the decoder has selected now",
    "S-9.2.2 (July 2012), CV 31 and 32",
  );
  return work;
}

/** What the decoder holds when the steps begin. */
function startingPoint(from: CvSet, { decoder, factoryReset }: PlanOptions): CvImage {
  if (factoryReset) return decoder ? decoder.factory.reader : new CvImage();
  const held = from.reader;
  const target = targetOf(from);
  const paged = withPages(target, held.peek(31), held.peek(32), decoder, []);
  if (paged === target) return held;
  const image = new CvImage();
  paged.each((key, _, value) => image.set(key, value));
  return image;
}

function add(groups: Map<Group, Write[]>, group: Group, write: Write): void {
  const list = groups.get(group);
  if (list) list.push(write);
  else groups.set(group, [write]);
}

/** The group of a CV; undefined for CV 15, 16, 31, 32, whose writes are worked out from all others. */
function groupOf(
  key: number,
  kind: DecoderModel["kind"],
  decoder: DecoderModel | undefined,
): Group | undefined {
  if (key > 32) return isBare(key) && !decoder?.factory.has(key) ? "bare" : "plain";
  if (key === 31 || key === 32) return undefined;
  if (key === 29) return "configuration";
  if (key === 1 || (key === 9 && kind === "accessory")) return "primary";
  if (kind === "accessory") return "plain";
  if (key === 15 || key === 16) return undefined;
  return key === 17 ? "extended-high" : key === 18 ? "extended-low" : key === 19 ? "consist" : "plain";
}

// CVs that other steps depend on must be known as whole bytes.
const wholeOnly: readonly number[] = [15, 16, 17, 18, 31, 32];

function check({ mode, kind, issues }: Work, options: PlanOptions, { key, mask, value }: Write): void {
  const { decoder } = options;
  const places = [{ cv: nameOf(key), mask: 255 }];
  if (decoder && decoder.factory.reader.peek(key) < 0) {
    issues.push({ code: "content", path: "", places, expected: "is not a CV of this decoder" });
  }
  if (key > lastCv ? mode === "register" || mode === "address-only" : !reaches(mode, key)) {
    issues.push(outOfReach(mode, key));
  }
  if (mask !== 255 && ((mode !== "direct" && mode !== "main") || wholeOnly.includes(key))) {
    issues.push(unknownBits(key, mask));
  }
  if (key > 29) return;
  const holdsAddress = (addressCvs[kind] as readonly number[]).includes(key);
  if (mode === "main" && holdsAddress && !options.changeAddress) {
    issues.push({
      code: "content",
      path: "",
      places,
      expected:
        "holds an address, which is changed on the main only when asked for (changeAddress): keep all other decoders off the track",
    });
  }
  if (kind === "accessory") return;
  if (key === 1 && value > 127) {
    issues.push({
      code: "range",
      path: "",
      places,
      expected: "0 to 127",
      found: value,
      clause: "S-9.2.2 (July 2012), CV 1",
    });
  }
  if (key === 17 && (value < 192 || value > 231)) {
    issues.push({
      code: "range",
      path: "",
      places,
      expected: "192 to 231",
      found: value,
      clause: "S-9.2.2 (July 2012), CV 17 and 18",
    });
  }
}

/** Writes that others make necessary: CV 18 after 17, and what writing CV 1 clears. */
function followUps(
  { mode, kind, known, groups, issues, notes }: Work,
  decoder: DecoderModel | undefined,
): void {
  if (kind === "accessory") return;
  const again = (group: Group, key: number): void => {
    const value = known.peek(key);
    if (!reaches(mode, key)) issues.push(outOfReach(mode, key));
    add(groups, group, { key, mask: 255, value, was: value, forced: true });
  };
  if (groups.has("extended-high") && !groups.has("extended-low")) {
    if (known.peek(18) >= 0) again("extended-low", 18);
    else {
      issues.push({
        code: "missing",
        path: "",
        places: [{ cv: "18", mask: 255 }],
        expected: "a value",
        clause: "CV 17 takes effect only when CV 18 is written: S-9.2.1 (July 2012), note to Write Byte",
      });
    }
  }
  if (!groups.has("primary") || mode === "main") return;
  const lost: string[] = [];
  const has = (key: number): boolean => !decoder || decoder.factory.has(key);
  const configuration = groups.get("configuration")?.[0];
  if (!configuration) {
    const value = known.peek(29);
    if (value < 0 ? has(29) : value & 32) value < 0 ? lost.push("29") : again("configuration", 29);
  } else if (!(configuration.mask & 32)) lost.push("29");
  if (!groups.has("consist")) {
    const value = known.peek(19);
    if (value < 0 ? has(19) : value > 0) value < 0 ? lost.push("19") : again("consist", 19);
  }
  say(
    notes,
    "primary",
    "warning",
    lost,
    "writing CV 1 makes the decoder clear CV 19 and bit 5 of CV 29; what these hold is not known, so it is not put back",
    "S-9.2.3 (July 2012), section E",
  );
}

function addLock(work: Work, target: Target, all: boolean, decoder: DecoderModel | undefined): void {
  const { known, groups, pages, kind, mode, issues, notes } = work;
  if (kind === "accessory") return;
  const from = { key: known.peek(15), id: known.peek(16) };
  const needed = groups.size + pages.size > 0 || indexChanges(work);
  const to = {
    key: target.byte(15) >= 0 ? target.byte(15) : from.key,
    id: target.byte(16) >= 0 ? target.byte(16) : from.id,
  };
  const { before, after } = lockWrites(from, to, needed);
  const has = (cv: number): boolean => [...before, ...after].some((write) => write.cv === cv);
  if (all && target.byte(16) >= 0 && !has(16)) before.push({ cv: 16, value: to.id });
  if (all && target.byte(15) >= 0 && !has(15)) after.push({ cv: 15, value: to.key });
  const held = { 15: from.key, 16: from.id };
  const put = (group: Group, { cv, value }: LockWrite): void => {
    if (!reaches(mode, cv)) issues.push(outOfReach(mode, cv));
    add(groups, group, { key: cv, mask: 255, value, was: held[cv] });
    held[cv] = value;
  };
  for (const write of before) put("unlock", write);
  for (const write of after) put("lock", write);
  const unknown = [from.key < 0 ? "15" : "", from.id < 0 ? "16" : ""].filter(Boolean);
  const matters =
    unknown.length === 1 || (unknown.length === 2 && (decoder ? decoder.factory.has(16) : to.id >= 0));
  if (needed && matters) {
    say(
      notes,
      "lock",
      "warning",
      unknown,
      "what these hold is not known; a locked decoder ignores every write, so read them first",
      "S-9.2.2 (July 2012), CV 15 and 16",
    );
  }
}

function indexChanges({ known, index }: Work): boolean {
  return (
    (index.high >= 0 && index.high !== known.peek(31)) || (index.low >= 0 && index.low !== known.peek(32))
  );
}

function addIndex({ index, pages, groups, known, notes }: Work, target: Target, all: boolean): void {
  // Where the pages leave the index is known only once they have their order; then the writes that turn
  // out to change nothing are dropped.
  for (const [key, value] of [
    [31, index.high],
    [32, index.low],
  ] as const) {
    const was = known.peek(key);
    if (value >= 0 && (pages.size || value !== was || (all && target.byte(key) >= 0))) {
      add(groups, "index", { key, mask: 255, value, was, forced: all && target.byte(key) >= 0 });
    }
  }
  const left = pages.size ? [index.high < 0 ? "31" : "", index.low < 0 ? "32" : ""].filter(Boolean) : [];
  say(
    notes,
    "index",
    "note",
    left,
    "nobody says where these are to be left, so they stay at the last page written",
    "S-9.2.2 (July 2012), CV 31 and 32",
  );
}

/** The address to begin with on the main, checked. */
function talkingTo(
  known: CvImage,
  kind: DecoderModel["kind"],
  options: PlanOptions,
  issues: Issue[],
  notes: PlanNote[],
): DecoderAddress | undefined {
  const own = kind === "accessory" ? accessoryAddress(known) : ownAddress(known);
  const { address: given } = options;
  if (given === undefined) {
    if (own) return own;
    issues.push({ code: "missing", path: "address", expected: "the decoder's address" });
    return undefined;
  }
  let address: DecoderAddress;
  try {
    address =
      kind === "accessory" && typeof given === "number"
        ? { type: "accessory", number: given }
        : addressOf(given);
    addressBytes(address);
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    issues.push(...error.issues);
    return undefined;
  }
  if (own && sameAddress(own, address)) return own;
  const consist = known.peek(19) & 127;
  if (
    kind === "multifunction" &&
    known.peek(19) > 0 &&
    address.type === "short" &&
    address.number === consist
  ) {
    issues.push({
      code: "content",
      path: "address",
      expected: "the decoder's own address: CVs cannot be written at its consist address",
      found: consist,
      clause: "S-9.2.1 (July 2012), section C",
    });
  }
  if (own) {
    say(
      notes,
      "address",
      "warning",
      kind === "accessory" ? ["1", "9", "29"] : ["1", "17", "18", "29"],
      `by these the decoder answers to ${addressText(own)}, but the packets go to ${addressText(address)}`,
    );
  }
  return address;
}

/** Adds a note about some CVs; none when there are none. */
export function say(
  notes: PlanNote[],
  rule: string,
  severity: PlanNote["severity"],
  cvs: readonly string[],
  text: string,
  source?: string,
): void {
  if (cvs.length === 0) return;
  const shown = cvs.length > 8 ? `${cvs.slice(0, 8).join(", ")} and ${cvs.length - 8} more` : cvs.join(", ");
  notes.push({ rule, severity, message: `CV ${shown}: ${text}`, cvs, ...(source ? { source } : {}) });
}
