import { notAByte, notACv } from "../cv/faults.js";
import type { Issue } from "../cv/issue.js";
import { keyOf, nameOf } from "../cv/name.js";
import { ambiguousValue, badListValue, valueQuoted, valueSpelling } from "./faults.js";
import { type JsonNode, shallow } from "./json-tree.js";

/** How much of a text an issue keeps. */
const longest = 100;

/** The beginning of a text, as much as an issue keeps of it. */
export function beginning(text: string): string {
  return text.length > longest ? `${text.slice(0, longest - 3)}...` : text;
}

/** The spellings of a CV in lists: `29`, `029`, `CV29`, `cv 29`, `CV#29`, each with `@16.0` for a page. */
const cvSpelling = "(?:cv[ \\t\\u00A0]*(?:#[ \\t\\u00A0]*)?)?(\\d+)(?:@(\\d+)\\.(\\d+))?";

/** A pattern with {@link cvSpelling} in it. */
/* @__NO_SIDE_EFFECTS__ */
export function cvPattern(before: string, after: string, flags: string): RegExp {
  return new RegExp(before + cvSpelling + after, flags);
}

/** The key of the CV that {@link cvSpelling} matched, or 0 when there is no such CV. */
export function keyOfMatch([, number = "", high, low = ""]: RegExpExecArray): number {
  const page = high === undefined ? "" : `@${withoutZeros(high)}.${withoutZeros(low)}`;
  return keyOf(withoutZeros(number) + page);
}

/** Without zeros in front: in a list they only line up the columns. */
function withoutZeros(digits: string): string {
  return digits.replace(/^0+(?=\d)/, "");
}

/** A byte as lists write it: `34`, `034`, `0x22`, `0b100010`; or what is wrong with it. */
export function listByte(key: number, text: string): number | Issue {
  const places = [{ cv: nameOf(key), mask: 255 }];
  const number = listNumber(text);
  if (Number.isNaN(number)) return badListValue({ found: beginning(text) }, { places });
  if (/^[01]{4,}$/.test(text)) {
    // "0110" lines up nothing that has at most three digits: it may well be binary.
    const binary = text.length <= 8 ? Number.parseInt(text, 2) : number;
    const written = `0b${text}`;
    if (binary !== number)
      return ambiguousValue({ found: text, binary, decimal: number, written }, { places });
  }
  return number <= 255 ? number : notAByte({ found: number }, { places });
}

/** A number as lists write it; NaN when it is anything else. */
export function listNumber(text: string): number {
  if (/^\d+$/.test(text)) return Number(withoutZeros(text));
  return /^(?:0x[\da-f]+|0b[01]+)$/i.test(text) ? Number(text) : Number.NaN;
}

/** The issue of a CV name in a list. */
export function badListCv(text: string): Issue {
  return notACv({ found: beginning(text.trim()) });
}

/**
 * The byte that a JSON value is, or what is wrong with it.
 * @param key The key of the CV.
 * @param node The value.
 * @param text The text that it is in.
 */
export function jsonByte(key: number, node: JsonNode, text: string): number | Issue {
  const { kind, value, start, end } = node;
  if (kind === "number" && isPlainByte(value, text, start, end)) return value;
  const places = [{ cv: nameOf(key), mask: 255 }];
  if (kind === "number") {
    const number = beginning(text.slice(start, end));
    // Where the spelling is wrong, the value alone ("3" for 3.0) would not tell it.
    return number === String(value)
      ? notAByte({ found: value }, { places })
      : valueSpelling({ number }, { places });
  }
  const quoted = kind === "text" && /^\d+$/.test(value);
  return (quoted ? valueQuoted : notAByte)({ found: shallow(node) }, { places });
}

/** Whether a number is a byte in its own spelling, one to three digits and nothing else: not 3.0, -0, 1e2 or 3e0. */
function isPlainByte(value: number, text: string, start: number, end: number): boolean {
  if (!(value >= 0 && value <= 255) || end - start > 3) return false;
  for (let at = start; at < end; at++) {
    const code = text.charCodeAt(at);
    if (code < 48 || code > 57) return false;
  }
  return true;
}
