import type { Complaints } from "./fileissue.js";

/** How long a text may be, in UTF-16 units. */
export const defaultMaxLength = 16_777_216;

/** What is said of a text with a NUL in it. */
export const binary = "this is not a text: it holds a character U+0000, as binary files and UTF-16 do";

/** What is said of a text that is too long to be read. */
export function tooLong(maxLength: number): string {
  return `this is longer than the ${maxLength} characters that are read at most; split it, or raise the limit`;
}

/**
 * Complains of a text that is not worth reading further: too long, binary or empty.
 * @param complaints Where to; they know the text.
 * @param maxLength How long it may be.
 * @param wanted What should have been in it.
 */
export function checkText(complaints: Complaints, maxLength: number, wanted: string): boolean {
  const { text } = complaints.lines;
  if (text.length > maxLength) complaints.say(0, "limit", tooLong(maxLength));
  else if (text.includes("\0")) complaints.say(text.indexOf("\0"), "encoding", binary);
  else if (!text.trim()) complaints.say(0, "content", `there is nothing in it; ${wanted} was expected`);
  return complaints.ok;
}
