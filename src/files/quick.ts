import { CvImage } from "../cv/image.js";
import { keyOf } from "../cv/name.js";
import { type FileHead, headTexts, isHeadText } from "./envelope.js";

/** What the quick reader found. */
export interface QuickContent {
  readonly image: CvImage;
  readonly head: FileHead;
}

/**
 * Reads a CV set from JSON in one pass over the characters, without a tree, as long as nothing about it
 * is unusual: both shapes, texts without escapes, plain bytes, no CV twice. Undefined for
 * all else, which the full reader then reads or explains; a set that this accepts, that one accepts too,
 * with the same content.
 */
export function quickCvSet(text: string, start: number): QuickContent | undefined {
  const quick = new Quick(text, start);
  return quick.document() ? quick : undefined;
}

const longestText = 1000;

class Quick implements QuickContent {
  readonly image = new CvImage();
  readonly head: { -readonly [Key in keyof FileHead]: FileHead[Key] } = {};
  #at: number;

  constructor(
    readonly text: string,
    start: number,
  ) {
    this.#at = start;
  }

  document(): boolean {
    const { text } = this;
    if (this.#next() !== 123) return false;
    this.#at++;
    this.#next();
    // A digit after the quote: the bare map.
    const digit = text.charCodeAt(this.#at + 1);
    const bare = digit >= 49 && digit <= 57;
    if (!(bare ? this.#cvs() : this.#named())) return false;
    this.#next();
    return this.#at === text.length;
  }

  /** The members of the outer object, to its closing brace. */
  #named(): boolean {
    let cvs = false;
    for (;;) {
      const key = this.#string();
      if (this.#next() !== 58) return false;
      this.#at++;
      const first = this.#next();
      if (key === "cvs") {
        if (cvs || first !== 123) return false;
        cvs = true;
        this.#at++;
        if (this.#next() === 125) this.#at++;
        else if (!this.#cvs()) return false;
      } else if (isHeadText(key)) {
        const value = this.#string();
        if (!value || this.head[headTexts[key]] !== undefined) return false;
        this.head[headTexts[key]] = value;
      } else return false;
      const after = this.#next();
      this.#at++;
      if (after === 125) return cvs;
      if (after !== 44) return false;
      this.#next();
    }
  }

  /** The members of a map of CVs, to its closing brace. */
  #cvs(): boolean {
    const { text, image } = this;
    let at = this.#at;
    for (;;) {
      if (text.charCodeAt(at) !== 34) return false;
      const from = ++at;
      let key = 0;
      let code = text.charCodeAt(at);
      while (code >= 48 && code <= 57) {
        key = key * 10 + code - 48;
        code = text.charCodeAt(++at);
      }
      if (code !== 34 || at - from > 4 || key > 1024 || text.charCodeAt(from) === 48) {
        const quote = text.indexOf('"', at);
        // The longest name of a CV is 512@255.255.
        if (quote < 0 || quote - from > 11) return false;
        key = keyOf(text.slice(from, quote));
        at = quote;
      }
      if (key === 0) return false;
      code = text.charCodeAt(++at);
      while (code === 32 || code === 10 || code === 13 || code === 9) code = text.charCodeAt(++at);
      if (code !== 58) return false;
      code = text.charCodeAt(++at);
      while (code === 32 || code === 10 || code === 13 || code === 9) code = text.charCodeAt(++at);
      const digits = at;
      let value = 0;
      while (code >= 48 && code <= 57) {
        value = value * 10 + code - 48;
        code = text.charCodeAt(++at);
      }
      const length = at - digits;
      if (length === 0 || length > 3 || value > 255) return false;
      if (length > 1 && text.charCodeAt(digits) === 48) return false;
      if (image.peek(key) >= 0) return false;
      image.set(key, value);
      while (code === 32 || code === 10 || code === 13 || code === 9) code = text.charCodeAt(++at);
      if (code === 125) {
        this.#at = at + 1;
        return true;
      }
      if (code !== 44) return false;
      code = text.charCodeAt(++at);
      while (code === 32 || code === 10 || code === 13 || code === 9) code = text.charCodeAt(++at);
    }
  }

  /** A string without escapes; "" when there is none here. */
  #string(): string {
    const { text } = this;
    if (text.charCodeAt(this.#at) !== 34) return "";
    const from = this.#at + 1;
    for (let at = from; at - from < longestText; at++) {
      const code = text.charCodeAt(at);
      if (code === 34) {
        this.#at = at + 1;
        return text.slice(from, at);
      }
      if (!(code >= 32) || code === 92) return "";
    }
    return "";
  }

  /** Goes over blanks, and gives the character after them; NaN at the end. */
  #next(): number {
    let code = this.text.charCodeAt(this.#at);
    while (code === 32 || code === 10 || code === 13 || code === 9) code = this.text.charCodeAt(++this.#at);
    return code;
  }
}
