import type { Complaints } from "./fileissue.js";

/** One cell of a CSV text. */
export interface Cell {
  readonly text: string;
  /** The offset at which it starts, its quote included. */
  readonly offset: number;
  /** Whether it stood in quotes. */
  readonly quoted: boolean;
}

/** Characters that part the cells of a row. */
export type Delimiter = "," | ";" | "\t";

/**
 * The rows of a CSV text (RFC 4180, from memory: cells in double quotes may hold delimiters, line breaks
 * and doubled quotes). A row ends with LF, CR LF or CR; a last row without an end counts.
 * @param text The text.
 * @param delimiter What parts the cells.
 * @param complaints Told of quotes that are not closed, or closed too early.
 * @param start The offset to start at.
 */
export function* csvRows(
  text: string,
  delimiter: Delimiter,
  complaints: Complaints,
  start = 0,
): Generator<Cell[], void> {
  let at = start;
  let row: Cell[] = [];
  while (at < text.length) {
    const offset = at;
    let value = "";
    const quoted = text.charAt(at) === '"';
    if (quoted) {
      at++;
      for (;;) {
        const quote = text.indexOf('"', at);
        if (quote < 0) {
          complaints.say(offset, "syntax", "the double quote that opens this cell is never closed");
          return;
        }
        value += text.slice(at, quote);
        at = quote + 1;
        if (text.charAt(at) !== '"') break;
        value += '"';
        at++;
      }
    }
    const rest = at;
    while (at < text.length && !isEnd(text.charCodeAt(at)) && text.charAt(at) !== delimiter) at++;
    const after = text.slice(rest, at);
    if (!quoted) value = after;
    else if (after.trim()) {
      complaints.say(
        rest,
        "syntax",
        `after the closing double quote of a cell a ${nameOfDelimiter(delimiter)} must follow`,
      );
    }
    row.push({ text: value, offset, quoted });
    if (text.charAt(at) === delimiter) {
      at++;
      if (at < text.length && !isEnd(text.charCodeAt(at))) continue;
      row.push({ text: "", offset: at, quoted: false });
    }
    if (text.startsWith("\r\n", at)) at++;
    at++;
    yield row;
    row = [];
  }
}

/** The name of a delimiter in a sentence. */
export function nameOfDelimiter(delimiter: Delimiter): string {
  return delimiter === "," ? "comma" : delimiter === ";" ? "semicolon" : "tab";
}

function isEnd(code: number): boolean {
  return code === 10 || code === 13;
}
