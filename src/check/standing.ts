import type { CvSet } from "../cv/cvset.js";

// What a set's CVs amount to, by the standard; shared by several rules. Nothing here guesses: what the set
// does not hold is undefined.

/** The address that a multi-function decoder answers to (S-9.2.2, CV 1, 17, 18 and CV 29 bit 5). */
export interface Address {
  readonly kind: "short" | "long";
  readonly number: number;
}

/** The value of one bit, or undefined when the set does not hold the CV. */
export function bitOf(cvs: CvSet, cv: number, bit: number): 0 | 1 | undefined {
  const value = cvs.get(cv);
  return value === undefined ? undefined : value & (1 << bit) ? 1 : 0;
}

/** The address in use; undefined when the CVs for it are missing or hold none. */
export function addressOf(cvs: CvSet): Address | undefined {
  if (bitOf(cvs, 29, 5) === 1) {
    const high = cvs.get(17) ?? 0;
    const low = cvs.get(18);
    if (high < 192 || high > 231 || low === undefined) return undefined;
    return { kind: "long", number: (high - 192) * 256 + low };
  }
  const number = cvs.get(1) ?? 0;
  return number >= 1 && number <= 127 ? { kind: "short", number } : undefined;
}

/** The consist address, CV 19 bits 0-6; 0 for none, undefined when the set does not hold CV 19. */
export function consistOf(cvs: CvSet): number | undefined {
  const value = cvs.get(19);
  return value === undefined ? undefined : value & 127;
}

/** The first and the last CV of the speed table (S-9.2.2, CV 67-94: steps 1-28). */
export const tableFirst = 67;
/** The last CV of the speed table. */
export const tableLast = 94;

/** The CVs of the speed table that the set does not hold. */
export function missingOfTable(cvs: CvSet): number[] {
  const missing: number[] = [];
  for (let cv = tableFirst; cv <= tableLast; cv++) if (!cvs.has(cv)) missing.push(cv);
  return missing;
}

/**
 * The 28 levels of the speed table, where the decoder may use it (CV 29 bit 4 is 1, or not in the set) and
 * it is whole.
 */
export function tableInUse(cvs: CvSet): number[] | undefined {
  if (bitOf(cvs, 29, 4) === 0) return undefined;
  const levels: number[] = [];
  for (let cv = tableFirst; cv <= tableLast; cv++) {
    const level = cvs.get(cv);
    if (level === undefined) return undefined;
    levels.push(level);
  }
  return levels;
}

/** Vstart, Vmid and Vhigh; undefined for what is not in the set, or (0 and 1) not used in the curve. */
export function threePoints(cvs: CvSet): { start?: number; mid?: number; high?: number } {
  const used = (value: number | undefined): value is number => value !== undefined && value > 1;
  const [start, mid, high] = [cvs.get(2), cvs.get(6), cvs.get(5)];
  return {
    ...(start !== undefined && { start }),
    ...(used(mid) && { mid }),
    ...(used(high) && { high }),
  };
}

/**
 * The drive levels of the 28 steps as the set gives them: the table with its trim, or a line through the
 * three points (S-9.2.2, CV 2, 5, 6, 25, 66-95; what lies between the points the standard leaves open, and
 * straight lines are assumed). Undefined when the set does not say, or picks a table of the decoder's own.
 */
export function levelsOf(cvs: CvSet): number[] | undefined {
  const bit4 = bitOf(cvs, 29, 4);
  if (bit4 === undefined) return undefined;
  if (bit4 === 1) {
    const trim = cvs.get(66) || 128;
    return tableInUse(cvs)?.map((level) => Math.min(255, (level * trim) / 128));
  }
  const { start, mid, high = 255 } = threePoints(cvs);
  if (start === undefined) return undefined;
  // 128-153 put Vmid at step 1-26; 2-127 pick a table; else it is at step 14 of 28 (S-9.2.2, CV 25).
  const where = cvs.get(25) ?? 0;
  if (where >= 2 && where <= 127) return undefined;
  const at = where >= 128 && where <= 153 ? where - 128 : 13;
  const middle = mid ?? start + ((high - start) * at) / 27;
  return Array.from({ length: 28 }, (_, i) =>
    i < at ? start + ((middle - start) * i) / at : middle + ((high - middle) * (i - at)) / (27 - at),
  );
}

/**
 * Seconds from full speed to a stop: (CV 4 with CV 24) * 0.896, with the amount of CV 24 in bits 0-6 and bit
 * 7 set to subtract; overflow gives the maximum, underflow none (S-9.2.2, CV 4 and 24).
 */
export function stoppingSeconds(cvs: CvSet): number | undefined {
  const base = cvs.get(4);
  if (base === undefined) return undefined;
  const adjust = cvs.get(24) ?? 0;
  const amount = adjust & 128 ? -(adjust & 127) : adjust;
  return Math.min(255, Math.max(0, base + amount)) * 0.896;
}

/**
 * The address of an accessory decoder, in words (S-9.2.2, accessory CV 1, 9 and 29 bit 6): by decoder, or by
 * output.
 */
export function accessoryAddressOf(cvs: CvSet): string | undefined {
  const [low, high, byOutput] = [cvs.get(1), cvs.get(9), bitOf(cvs, 29, 6)];
  if (low === undefined || high === undefined || byOutput === undefined) return undefined;
  return byOutput
    ? `output address ${low + 256 * high - 1}`
    : `decoder address ${(low & 63) + 64 * (high & 7)}`;
}
