import { binary } from "./checktext.js";
import type { FileIssue, FileResult } from "./fileissue.js";

/**
 * The text that bytes hold, UTF-8 and nothing else. A byte-order mark is taken off. UTF-16, other
 * encodings and binary files are recognised and reported, never guessed at.
 * @param bytes The bytes of a file.
 * @example
 * import { decodeText } from "cvset/files";
 * decodeText(new Uint8Array([67, 86, 49, 61, 51])).value; // "CV1=3"
 * const result = decodeText(new Uint8Array([0xff, 0xfe, 67, 0]));
 * result.ok || result.issues.map((issue) => issue.expected);
 * // ["this is UTF-16, by its byte-order mark; save it as UTF-8"]
 */
export function decodeText(bytes: Uint8Array): FileResult<string> {
  const decoder = new Utf8();
  const text = decoder.add(bytes) + decoder.end();
  return decoder.issue
    ? { ok: false, issues: [decoder.issue], notes: [] }
    : { ok: true, value: text, notes: [] };
}

/** Decodes UTF-8 chunk by chunk, and stops at the first byte that is none. */
export class Utf8 {
  /** What was wrong; nothing is decoded after it. */
  issue: FileIssue | undefined;
  readonly #decoder = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  // The last bytes, which may belong to a character that goes on in the next chunk.
  #open: Uint8Array = new Uint8Array(0);
  #line = 1;
  #column = 1;
  #first = true;
  #afterCr = false;

  /** The text of one more chunk; "" once something was wrong. */
  add(chunk: Uint8Array): string {
    if (this.issue || chunk.length === 0) return "";
    const bytes = joined(this.#open, chunk);
    // Four bytes decide about every byte-order mark; a shorter text has none to go wrong.
    if (this.#first && bytes.length < 4) {
      this.#open = bytes;
      return "";
    }
    const whole = wholeCharacters(bytes);
    this.#open = bytes.slice(whole);
    return this.#decode(bytes.subarray(0, whole));
  }

  /** The text of what is left at the end. */
  end(): string {
    return this.issue ? "" : this.#decode(this.#open);
  }

  #decode(bytes: Uint8Array): string {
    const utf16 = this.#first ? utf16Mark(bytes) : undefined;
    const first = this.#first;
    this.#first = false;
    if (utf16) return this.#stop("", utf16);
    const from = first && bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
    const body = from ? bytes.subarray(from) : bytes;
    let text: string;
    try {
      text = this.#decoder.decode(body);
    } catch {
      const bad = firstBad(body);
      const hex = (body[bad] as number).toString(16).toUpperCase().padStart(2, "0");
      const before = new TextDecoder("utf-8", { ignoreBOM: true }).decode(body.subarray(0, bad));
      return this.#stop(before, `the byte ${hex} is not UTF-8 here; save the file as UTF-8`);
    }
    const nul = text.indexOf("\0");
    if (nul >= 0) return this.#stop(text.slice(0, nul), binary);
    this.#count(text);
    return text;
  }

  #count(text: string): void {
    if (!text) return;
    // A CR LF that is cut in two is one line break.
    if (this.#afterCr && text.startsWith("\n")) this.#line--;
    this.#afterCr = text.endsWith("\r");
    this.#line += lineBreaks(text);
    const start = Math.max(text.lastIndexOf("\n"), text.lastIndexOf("\r"));
    this.#column = start < 0 ? this.#column + text.length : text.length - start;
  }

  #stop(before: string, expected: string): "" {
    this.#count(before);
    this.issue = {
      code: "content",
      path: "",
      expected,
      kind: "encoding",
      severity: "error",
      line: this.#line,
      column: this.#column,
    };
    return "";
  }
}

function utf16Mark(bytes: Uint8Array): string | undefined {
  const [a, b, c, d] = bytes;
  const mark = (a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff);
  if (mark) return "this is UTF-16, by its byte-order mark; save it as UTF-8";
  // Plain letters in UTF-16 have a zero in every second byte.
  const bare = (a === 0 && b && c === 0 && d) || (a && b === 0 && c && d === 0);
  return bare ? "this looks like UTF-16 without a byte-order mark; save it as UTF-8" : undefined;
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  if (a.length === 0) return b;
  const bytes = new Uint8Array(a.length + b.length);
  bytes.set(a);
  bytes.set(b, a.length);
  return bytes;
}

/** The length without a last character of which only the first bytes are here. */
function wholeCharacters(bytes: Uint8Array): number {
  const end = bytes.length;
  for (let back = 1; back <= 3 && back <= end; back++) {
    const byte = bytes[end - back] as number;
    if (byte >= 0xc0) return sizeOf(byte) > back ? end - back : end;
    if (byte < 0x80) return end;
  }
  return end;
}

/** How many bytes a character has, by its first one. */
function sizeOf(lead: number): number {
  return lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
}

/** The offset of the first byte that is not UTF-8 (shortest forms only, no surrogates, up to U+10FFFF). */
function firstBad(bytes: Uint8Array): number {
  let at = 0;
  while (at < bytes.length) {
    const lead = bytes[at] as number;
    if (lead >= 0x80 && (lead < 0xc2 || lead > 0xf4)) return at;
    const size = sizeOf(lead);
    for (let i = 1; i < size; i++) {
      const next = bytes[at + i] ?? 0;
      const low = i === 1 && lead === 0xe0 ? 0xa0 : i === 1 && lead === 0xf0 ? 0x90 : 0x80;
      const high = i === 1 && lead === 0xed ? 0x9f : i === 1 && lead === 0xf4 ? 0x8f : 0xbf;
      if (next < low || next > high) return at;
    }
    at += size;
  }
  return at;
}

/** How many lines end in a text, each with CR LF, LF or CR. */
function lineBreaks(text: string): number {
  let lines = 0;
  for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) lines++;
  for (let at = text.indexOf("\r"); at >= 0; at = text.indexOf("\r", at + 1)) {
    if (text.charCodeAt(at + 1) !== 10) lines++;
  }
  return lines;
}
