import { visible } from "../cv/show.js";
import { decibelsOf } from "../meaning/quantity.js";

/** How many characters of one text a sheet shows. */
const longest = 300;

/**
 * A text from outside on one line: no control characters, nothing that changes the order of writing, no pile of
 * accents, not endless.
 */
export function oneLine(text: string, most = longest): string {
  const flat = text
    .replace(/\s+/g, " ")
    .trim()
    .replace(/(\p{M}{4})\p{M}+/gu, "$1");
  return visible(flat, most);
}

/** A term at the beginning of a line. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A label within a line: `Open for` is `open for`; `LED` and `F1` stay. */
export function small(text: string): string {
  return /^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}

/** Labels from the outside in, as one; an outer one is left out where an inner one says it again. */
export function joined(labels: readonly string[]): string {
  const wordsIn = (text: string): string[] => text.toLowerCase().match(/\p{L}{4,}/gu) ?? [];
  const needed = labels.filter((label, i) => {
    const rest = new Set(labels.slice(i + 1).flatMap(wordsIn));
    return !wordsIn(label).some((word) => rest.has(word));
  });
  return oneLine(needed.join(": "), 100);
}

/** A number for people, with at most so many decimals; a true minus sign. */
export function number(value: number, decimals = 1): string {
  return String(Number(value.toFixed(decimals))).replace("-", "\u2212");
}

/** Several things in a row: "a, b and c". */
export function listed(items: readonly string[]): string {
  const last = items.at(-1) ?? "";
  return items.length < 2 ? last : `${items.slice(0, -1).join(", ")} and ${last}`;
}

/** A sound level in words, as a share and in decibels: `70 %, medium (−3.1 dB)`. */
export function levelInWords(share: number): string {
  const percent = `${number(share)} %`;
  if (share <= 0) return `${percent}, silent`;
  const decibels = `${number(decibelsOf(share))} dB`;
  const [, word] = levelWords.find(([most]) => share <= most + 1e-9) ?? [0, "more than full"];
  return `${percent}, ${word} (${decibels})`;
}

/** The words for shares up to each limit; a step of about 6 dB is heard as a clear difference. */
const levelWords: readonly (readonly [most: number, word: string])[] = [
  [12.5, "very quiet"],
  [25, "quiet"],
  [50, "medium"],
  [99.95, "loud"],
  [100, "full"],
];
