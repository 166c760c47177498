import type { BadByte } from "./lines.js";

/** The text of some bytes. */
export interface Piece {
  readonly text: string;
  /** Of each line in it the first byte that is not UTF-8; in the text, U+FFFD stands for it. */
  readonly bad: readonly BadByte[];
}

const decoder = /* @__PURE__ */ new TextDecoder("utf-8", { ignoreBOM: true });
const encoder = /* @__PURE__ */ new TextEncoder();
const replacement = "\uFFFD";

/** How the first bytes show that a text is UTF-16: by its byte-order mark, or by zeros between letters. */
export type Utf16 = "marked" | "bare";

/**
 * Decodes UTF-8 chunk by chunk. Bytes that are not UTF-8 become U+FFFD and are reported with their places,
 * which do not depend on where the chunks end.
 */
export class Utf8 {
  /** Set when the text is UTF-16; nothing is decoded then. */
  utf16: Utf16 | undefined;
  // The last bytes, which may belong to a character that goes on in the next chunk.
  #open: Uint8Array = new Uint8Array(0);
  #first = true;

  /** The text of one more chunk. */
  add(chunk: Uint8Array): Piece {
    const bytes = joined(this.#open, chunk);
    // Four bytes tell UTF-16 from UTF-8.
    if (this.#first && bytes.length < 4) {
      this.#open = bytes.slice();
      return nothing;
    }
    const end = startOfLast(bytes);
    this.#open = bytes.slice(end);
    return this.#decode(bytes, end);
  }

  /** The text of what is left at the end. */
  end(): Piece {
    const bytes = this.#open;
    this.#open = new Uint8Array(0);
    return this.#decode(bytes, bytes.length);
  }

  #decode(bytes: Uint8Array, end: number): Piece {
    if (this.#first) this.utf16 = utf16In(bytes);
    this.#first = false;
    if (this.utf16) return nothing;
    const whole = bytes.subarray(0, end);
    const text = decoder.decode(whole);
    return { text, bad: text.includes(replacement) ? badIn(whole) : [] };
  }
}

const nothing: Piece = { text: "", bad: [] };

function utf16In([a, b, c, d]: Uint8Array): Utf16 | undefined {
  if ((a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff)) return "marked";
  // Plain letters in UTF-16 have a zero in every second byte.
  const bare = (a === 0 && b && c === 0 && d) || (a && b === 0 && c && d === 0);
  return bare ? "bare" : undefined;
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  if (a.length === 0) return b;
  const bytes = new Uint8Array(a.length + b.length);
  bytes.set(a);
  bytes.set(b, a.length);
  return bytes;
}

/** Where the last character starts when more of it may follow, else the end. */
function startOfLast(bytes: Uint8Array): number {
  for (let at = bytes.length - 1; at >= 0 && at > bytes.length - 5; at--) {
    const byte = bytes[at] as number;
    if (byte >= 0xc0) return at;
    if (byte < 0x80) break;
  }
  return bytes.length;
}

/** The first byte of each line that is not UTF-8. */
function badIn(bytes: Uint8Array): BadByte[] {
  const bad: BadByte[] = [];
  let offset = 0;
  for (let from = 0; from < bytes.length; ) {
    let to = from;
    while (to < bytes.length && bytes[to] !== 10 && bytes[to] !== 13) to++;
    to++;
    const line = bytes.subarray(from, to);
    const text = decoder.decode(line);
    const first = text.includes(replacement) ? firstBad(line, text) : -1;
    if (first >= 0) {
      const before = decoder.decode(line.subarray(0, first)).length;
      bad.push({ offset: offset + before, byte: line[first] as number });
    }
    offset += text.length;
    from = to;
  }
  return bad;
}

/** The offset of the first byte that is not UTF-8, or -1: there the text encodes to other bytes. */
function firstBad(bytes: Uint8Array, text: string): number {
  const again = encoder.encode(text);
  let at = 0;
  while (at < bytes.length && bytes[at] === again[at]) at++;
  if (at === bytes.length && at === again.length) return -1;
  // Back to the first byte of the U+FFFD, for a byte of it may be there by chance.
  while (at > 0 && ((again[at] as number) & 0xc0) === 0x80) at--;
  return at;
}
