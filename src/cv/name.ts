import { notACv } from "./faults.js";
import { CvError } from "./issue.js";

/**
 * How this library writes the number of a CV: `29`, `"29"`, or `"300@16.0"` for CV 300 on the index
 * page that CV 31 = 16 and CV 32 = 0 select (S-9.2.2 (July 2012), CV 31 and 32).
 */
export type CvName = number | string;

/** The highest CV number (S-9.2.2 (July 2012), Table 1: 1,024 CVs). */
export const lastCv = 1024;
/** The first CV of the indexed area (S-9.2.2 (July 2012), CV 257-512). */
export const firstIndexed = 257;
/** The last CV of the indexed area (S-9.2.2 (July 2012), CV 257-512). */
export const lastIndexed = 512;

// Inside, a CV is one integer, so that typed arrays and maps can be keyed by it and numeric order is
// CV order: a CV outside the index pages is its own number, and CV n of page p is (p + 1) * 1024 + n.

/** The key of CV `number` on the page that CV 31 = `high` and CV 32 = `low` select. */
export function pagedKey(number: number, high: number, low: number): number {
  return (high * 256 + low + 1) * 1024 + number;
}

/** The page number (CV 31 * 256 + CV 32) of a key, or -1 for a CV that is on no page. */
export function pageOf(key: number): number {
  return key <= lastCv ? -1 : (key >> 10) - 1;
}

/** The CV number (1-1024) of a key. */
export function numberOf(key: number): number {
  return key <= lastCv ? key : key & 1023;
}

/** The written form of a key: `"29"` or `"300@16.0"`. */
export function nameOf(key: number): string {
  const page = pageOf(key);
  return page < 0 ? String(key) : `${numberOf(key)}@${page >> 8}.${page & 255}`;
}

/**
 * The key of a written CV, or 0 when the text is not one. Only the canonical spelling is read (no sign,
 * space, leading zero or exponent), so that two texts never mean the same CV.
 */
export function keyOf(text: string): number {
  // By character code: this runs once for each CV of every file that is read.
  const end = text.length;
  let number = 0;
  let i = 0;
  for (; i < end; i++) {
    const digit = text.charCodeAt(i) - 48;
    if (digit < 0 || digit > 9) break;
    number = number * 10 + digit;
    if (number > lastCv || number === 0) return 0;
  }
  if (i === 0) return 0;
  if (i === end) return number;
  const page = /^@(0|[1-9]\d{0,2})\.(0|[1-9]\d{0,2})$/.exec(text.slice(i));
  if (!page || number < firstIndexed || number > lastIndexed) return 0;
  const high = Number(page[1]);
  const low = Number(page[2]);
  return high > 255 || low > 255 ? 0 : pagedKey(number, high, low);
}

/**
 * The key of a CV given as a number or a text.
 * @throws `CvError` when it names no CV.
 */
export function toKey(name: CvName): number {
  const isNumber = typeof name === "number" && Number.isInteger(name) && name >= 1 && name <= lastCv;
  const key = isNumber ? name : typeof name === "string" ? keyOf(name) : 0;
  if (key === 0) throw new CvError([notACv({ found: name })]);
  return key;
}
