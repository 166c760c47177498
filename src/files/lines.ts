/** A place in a text. */
export interface Position {
  /** The line, from 1. */
  readonly line: number;
  /** The column, from 1, in UTF-16 units. */
  readonly column: number;
}

/** The mark that some editors put before a text. */
export const byteOrderMark = "\uFEFF";

// A line ends with LF, CR LF or CR, and with nothing else, in every reader of this folder. The characters
// that some programs show as a line break as well (vertical tab, form feed, U+0085, U+2028, U+2029) are part
// of the line; the readers of lists and tables report them, see `lookAlike`.

/** The offset at which the line of an offset ends: that of its LF or CR, or the end of the text. */
export function endOfLine(text: string, offset: number): number {
  let at = offset;
  while (at < text.length && !isLineEnd(text.charCodeAt(at))) at++;
  return at;
}

/** The offset behind a line end at `offset`, where CR LF is one line end. */
export function afterLineEnd(text: string, offset: number): number {
  return text.charCodeAt(offset) === 13 && text.charCodeAt(offset + 1) === 10 ? offset + 2 : offset + 1;
}

/** Whether a character ends a line. */
export function isLineEnd(code: number): boolean {
  return code === 10 || code === 13;
}

/** A character that some programs show as a line break, and that ends no line here. */
export const lookAlike = /[\v\f\u0085\u2028\u2029]/;

/** A text with what is known of it: where its lines start, which file it is, and where its bytes were wrong. */
export class SourceText {
  #starts: number[] | undefined;

  /**
   * @param text The text.
   * @param file What the file is called in messages, if anything.
   * @param firstLine The number of its first line.
   * @param bad The first byte that is not UTF-8, if there is one.
   */
  constructor(
    readonly text: string,
    readonly file?: string,
    readonly firstLine = 1,
    readonly bad?: BadByte,
  ) {}

  /** The place of an offset. Lines are looked for when the first place is asked for. */
  at(offset: number): Position {
    this.#starts ??= lineStarts(this.text);
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.#starts[middle] as number) <= offset) low = middle;
      else high = middle - 1;
    }
    return { line: this.firstLine + low, column: Math.max(1, offset - (this.#starts[low] as number) + 1) };
  }
}

/** A byte that is not UTF-8. */
export interface BadByte {
  /** The offset of the U+FFFD that stands for it in the text. */
  readonly offset: number;
  /** Its value. */
  readonly byte: number;
}

function lineStarts(text: string): number[] {
  // The byte-order mark is before the first column, not in it.
  const starts = [text.startsWith(byteOrderMark) ? 1 : 0];
  for (let at = endOfLine(text, 0); at < text.length; at = endOfLine(text, at)) {
    at = afterLineEnd(text, at);
    starts.push(at);
  }
  return starts;
}
