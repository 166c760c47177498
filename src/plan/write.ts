import { firstIndexed, lastIndexed } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { originalOf } from "../standard/aliases.js";
import { curveCvs } from "../standard/curve-in-use.js";
import type { Group } from "./order-rules.js";

/** Why a write is in a plan: `"asked"` is a CV that holds its value, written because all were asked for. */
export type Need = "differs" | "unknown" | "asked" | "again" | "either" | "unlock" | "select" | "reset";

/** One write that a plan needs, before it has its place. */
export interface Write {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
  /** What the decoder holds before; undefined when that is not known. */
  readonly was: number | undefined;
  readonly need: Need;
}

/** Writes by their group. */
export type GroupedWrites = ReadonlyMap<Group, readonly Write[]>;

/** Why a whole byte is written where the decoder holds `was`. */
export function needOf(was: number | undefined, value: number): Need {
  return was === undefined ? "unknown" : was === value ? "asked" : "differs";
}

/** A write of a whole byte. */
export function byteWrite(
  key: number,
  value: number,
  was: number | undefined,
  need: Need = needOf(was, value),
): Write {
  return { key, mask: 255, value, was, need };
}

/** The CVs that a speed curve is made of: CV 29 bit 4 chooses between two of them (S-9.2.2 (July 2012), CV 29). */
const curveKeys: ReadonlySet<number> = /* @__PURE__ */ new Set(curveCvs);

/**
 * The group of a CV outside the index pages; undefined for CV 15, 16, 31 and 32, whose writes depend on all
 * others.
 * @param hasCv Whether the decoder has the CV as it is, for a CV 257-512 without a page.
 */
export function groupOf(key: number, kind: DecoderKind, hasCv: boolean): Group | undefined {
  const plain = plainKey(key, kind);
  if (plain !== key) return groupOf(plain, kind, hasCv);
  if (key > 95) return isUnpaged(key) && !hasCv ? "unpaged" : "plain";
  if (key === 31 || key === 32) return undefined;
  if (key === 29) return "configuration";
  if (kind === "accessory") return key === 1 || key === 9 ? "accessory-address" : "plain";
  if (key === 1) return "primary";
  if (key === 15 || key === 16) return undefined;
  if (key === 17) return "extended-high";
  if (key === 18) return "extended-low";
  if (key === 19) return "consist";
  return curveKeys.has(key) ? "curve" : "plain";
}

/**
 * The CV that a key stands for: itself, or the original of an accessory decoder's alias (S-9.2.2 (July 2012),
 * Table 3).
 */
export function plainKey(key: number, kind: DecoderKind): number {
  return key > lastIndexed && kind === "accessory" ? (originalOf(key) ?? key) : key;
}

/** Whether a key is a CV of the indexed area without its page. */
export function isUnpaged(key: number): boolean {
  return key >= firstIndexed && key <= lastIndexed;
}
