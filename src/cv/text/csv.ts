/** One cell of a CSV text. */
export interface Cell {
  /** Its text, without quotes and with the blanks that it has. */
  readonly text: string;
  /** The offset at which it starts, its quote included. */
  readonly offset: number;
  /** Whether it is in double quotes. */
  readonly quoted: boolean;
}

/** A character that separates the cells of a row. */
export type Delimiter = "," | ";" | "\t";

/**
 * What can be wrong with a cell: `"unclosed"`, its double quote is never closed; `"after-quote"`, text follows
 * the closing double quote.
 */
export type CsvFault = "unclosed" | "after-quote";

/**
 * The rows of a CSV text (RFC 4180, from memory: cells in double quotes may hold delimiters, line breaks
 * and doubled quotes). A row ends with LF, CR LF or CR; a last row without an end counts.
 * @param text The text.
 * @param delimiter What separates the cells.
 * @param options `onFault`: called for a cell that is wrong, with the offset of the fault, the kind and the
 * delimiter; after `"unclosed"` there are no more rows. `start`: the offset to start at, default 0. `remarks`:
 * the characters that make a line a remark when they are its first character that is not a blank; such lines
 * are left out. Default: none.
 */
export function* csvRows(
  text: string,
  delimiter: Delimiter,
  options: {
    readonly onFault?: (offset: number, fault: CsvFault, delimiter: Delimiter) => void;
    readonly start?: number;
    readonly remarks?: string;
  } = {},
): Generator<Cell[], void> {
  const { onFault, start = 0, remarks = "" } = options;
  let at = start;
  while (at < text.length) {
    if (remarks && isRemark(text, at, delimiter, remarks)) {
      while (at < text.length && !isEnd(text.charCodeAt(at))) at++;
      at += endLength(text, at);
      continue;
    }
    const row: Cell[] = [];
    for (;;) {
      const offset = at;
      const quoted = text.charAt(at) === '"';
      let value = "";
      if (quoted) {
        at++;
        for (;;) {
          const quote = text.indexOf('"', at);
          if (quote < 0) {
            onFault?.(offset, "unclosed", delimiter);
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
      else if (after.trim()) onFault?.(rest, "after-quote", delimiter);
      row.push({ text: value, offset, quoted });
      if (text.charAt(at) !== delimiter) break;
      at++;
    }
    at += endLength(text, at);
    yield row;
  }
}

/** The English name of a delimiter. */
export function nameOfDelimiter(delimiter: Delimiter): string {
  return delimiter === "," ? "comma" : delimiter === ";" ? "semicolon" : "tab";
}

/** Whether the line at an offset starts, after blanks, with one of the characters of `remarks`. */
function isRemark(text: string, at: number, delimiter: Delimiter, remarks: string): boolean {
  let first = at;
  while (text.charAt(first) === " " || (text.charAt(first) === "\t" && delimiter !== "\t")) first++;
  return first < text.length && remarks.includes(text.charAt(first));
}

/** The length of the line end at an offset: 2 for CR LF, else 1. */
function endLength(text: string, at: number): 1 | 2 {
  return text.charCodeAt(at) === 13 && text.charCodeAt(at + 1) === 10 ? 2 : 1;
}

function isEnd(code: number): boolean {
  return code === 10 || code === 13;
}
