import { outOfReach, reaches } from "./access.js";
import type { Group } from "./hazards.js";
import { type LockWrite, lockWrites } from "./lock.js";
import type { KnownDecoder } from "./model.js";
import type { Target } from "./target.js";
import { add, say, type Work } from "./work.js";

/** Writes that others make necessary: CV 18 after 17, and what writing CV 1 clears. */
export function followUps(
  { mode, kind, known, groups, issues, notes }: Work,
  decoder: KnownDecoder | undefined,
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
  const has = (key: number): boolean => !decoder || decoder.keys.has(key);
  const configuration = groups.get("configuration")?.[0];
  if (!configuration) {
    const value = known.peek(29);
    if (value < 0 ? has(29) : value & 32) value < 0 ? lost.push("29") : again("configuration", 29);
  } else if (!(configuration.mask & 32)) lost.push("29");
  const consist = groups.get("consist")?.[0];
  if (!consist) {
    const value = known.peek(19);
    if (value < 0 ? has(19) : value > 0) value < 0 ? lost.push("19") : again("consist", 19);
  } else if (consist.mask !== 255) lost.push("19");
  say(
    notes,
    "primary",
    "warning",
    lost,
    "writing CV 1 makes the decoder clear CV 19 and bit 5 of CV 29; what these hold is not known, so it is not put back",
    "S-9.2.3 (July 2012), section E",
  );
}

/** The writes to CV 15 and 16 that the others need, or that are wanted. */
export function addLock(work: Work, target: Target, all: boolean, decoder: KnownDecoder | undefined): void {
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
    unknown.length === 1 || (unknown.length === 2 && (decoder ? decoder.keys.has(16) : to.id >= 0));
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

/** The writes that leave CV 31 and 32 as wanted. */
export function addIndex({ index, pages, groups, known, notes }: Work, target: Target, all: boolean): void {
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
