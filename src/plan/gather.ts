import { CvImage, unknownBits } from "../cv/image.js";
import { CvError, type CvPatch, type CvSet, type Issue } from "../cv/index.js";
import { lastCv, nameOf, numberOf, pageOf } from "../cv/name.js";
import { accessModes, outOfReach, reaches } from "./access.js";
import {
  accessoryAddress,
  addressBytes,
  addressOf,
  addressText,
  type DecoderAddress,
  ownAddress,
  sameAddress,
} from "./address.js";
import { addIndex, addLock, followUps } from "./extras.js";
import type { Group } from "./hazards.js";
import { type DecoderModel, isVolatile, type KnownDecoder, kindOf, look } from "./model.js";
import type { PlanOptions } from "./options.js";
import type { Index } from "./pages.js";
import type { PlanNote } from "./step.js";
import { isBare, targetOf, withPages } from "./target.js";
import { add, say, type Work, type Write } from "./work.js";

/** Read-only in every decoder (S-9.2.2, July 2012, CV 7 and 8). */
const alwaysReadOnly: ReadonlySet<number> = /* @__PURE__ */ new Set([7, 8]);

const addressCvs = { multifunction: [1, 17, 18, 19], accessory: [1, 9] } as const;

/** Finds out what there is to write, and everything that stands in the way. */
export function gather(from: CvSet, to: CvSet | CvPatch, options: PlanOptions): Work {
  const { all = false } = options;
  const decoder = options.decoder && look(options.decoder);
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
  const known = startingPoint(from, decoder, options);
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
  const readOnly = decoder?.readOnly ?? alwaysReadOnly;
  const hidden: string[] = [];
  const dynamic: string[] = [];
  const unpaged: string[] = [];

  target.each((key, asked, bits) => {
    const was = known.peek(key);
    const mask = was >= 0 ? 255 : asked;
    const value = was >= 0 ? (was & ~asked) | bits : bits;
    const same = was === value && mask === 255;
    if (same && !all) return;
    if (readOnly.has(key)) {
      if (!same) hidden.push(nameOf(key));
      return;
    }
    if (isVolatile(key, kind)) {
      dynamic.push(nameOf(key));
      return;
    }
    const write: Write = { key, mask, value, was };
    const before = issues.length;
    check(work, decoder, options, write);
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
    const [key, id] = [from.reader.peek(15), from.reader.peek(16)];
    say(
      notes,
      "lock",
      "warning",
      kind === "multifunction" && key >= 0 && id >= 0 && key !== id ? ["15", "16"] : [],
      `by these the decoder is locked now, and may ignore the factory reset: write CV 15 = ${id} before`,
      "S-9.2.2 (July 2012), CV 15 and 16",
    );
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
function startingPoint(from: CvSet, decoder: KnownDecoder | undefined, options: PlanOptions): CvImage {
  if (options.factoryReset) return decoder ? decoder.factory.reader : new CvImage();
  const held = from.reader;
  const target = targetOf(from);
  const paged = withPages(target, held.peek(31), held.peek(32), decoder, []);
  if (paged === target) return held;
  const image = new CvImage();
  paged.each((key, _, value) => image.set(key, value));
  return image;
}

/** The group of a CV; undefined for CV 15, 16, 31, 32, whose writes are worked out from all others. */
function groupOf(
  key: number,
  kind: DecoderModel["kind"],
  decoder: KnownDecoder | undefined,
): Group | undefined {
  if (key > 32) return isBare(key) && !decoder?.keys.has(key) ? "bare" : "plain";
  if (key === 31 || key === 32) return undefined;
  if (key === 29) return "configuration";
  if (key === 1 || (key === 9 && kind === "accessory")) return "primary";
  if (kind === "accessory") return "plain";
  if (key === 15 || key === 16) return undefined;
  return key === 17 ? "extended-high" : key === 18 ? "extended-low" : key === 19 ? "consist" : "plain";
}

function exists({ keys }: KnownDecoder, key: number): boolean {
  if (keys.has(key)) return true;
  if (!isBare(key)) return false;
  // Without its page, it will do when some page has it.
  for (const each of keys) if (each > lastCv && numberOf(each) === key) return true;
  return false;
}

// CVs that other steps depend on must be known as whole bytes.
const wholeOnly: readonly number[] = [15, 16, 17, 18, 31, 32];

function check(
  { mode, kind, issues }: Work,
  decoder: KnownDecoder | undefined,
  options: PlanOptions,
  { key, mask, value }: Write,
): void {
  const places = [{ cv: nameOf(key), mask: 255 }];
  if (decoder && !exists(decoder, key)) {
    issues.push({ code: "content", path: "", places, expected: "is not a CV of this decoder" });
  }
  if (key > lastCv ? mode === "register" || mode === "address-only" : !reaches(mode, key)) {
    issues.push(outOfReach(mode, key));
  }
  if (mask !== 255 && ((mode !== "direct" && mode !== "main") || wholeOnly.includes(key))) {
    issues.push(unknownBits(key, mask));
  }
  if (mode === "address-only" && key === 1 && kind === "accessory" && value > 127) {
    issues.push({
      code: "range",
      path: "",
      places,
      expected: "0 to 127 in address-only mode",
      found: value,
      clause: "S-9.2.3 (July 2012), section E",
    });
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
