/** A place in a text. */
export interface Position {
  /** The line, from 1. */
  readonly line: number;
  /** The column, from 1, in UTF-16 units. */
  readonly column: number;
}

/** The mark that some editors put before a text. */
export const byteOrderMark = "\uFEFF";

/** Turns offsets of a text into lines and columns; the work is done when the first one is asked for. */
export class Lines {
  #starts: number[] | undefined;

  /**
   * @param text The text.
   * @param firstLine The number of its first line.
   */
  constructor(
    readonly text: string,
    readonly firstLine = 1,
  ) {}

  /** The place of an offset. */
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

function lineStarts(text: string): number[] {
  // The byte-order mark is before the first column, not in it.
  const starts = [text.startsWith(byteOrderMark) ? 1 : 0];
  for (const { index, 0: end } of text.matchAll(/\r\n|\n|\r/g)) starts.push(index + end.length);
  return starts;
}
