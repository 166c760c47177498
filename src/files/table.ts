import { nameOf } from "../cv/name.js";
import { type Cell, csvRows, type Delimiter, nameOfDelimiter } from "../cv/text/csv.js";
import { Collected } from "./collected.js";
import {
  cellAfterQuote,
  cellUnclosed,
  columnTwice,
  noValueInRow,
  rowTooLong,
  rowWithoutHeader,
  unreadColumns,
} from "./faults.js";
import type { FileIssues } from "./file-issue.js";
import { areOfRuns, type Columns, columnsOf, isHeading } from "./headings.js";
import { afterLineEnd, endOfLine, lookAlike } from "./lines.js";
import { checkLookAlike } from "./list.js";
import { badListCv, beginning, cvPattern, keyOfMatch, listByte } from "./spelling.js";

/** How a table is laid out. */
export interface Layout {
  readonly delimiter: Delimiter | "|";
  /** The header row, where there is one. */
  readonly header?: readonly Cell[];
  /** Which columns are read; undefined for a table of timed runs. */
  readonly columns?: Columns;
}

/** How many columns of a header are searched for CVs and values. */
const mostColumns = 1000;

/**
 * The layout of a text that is a table: its first row names a column for CVs and one for values, or starts
 * with a cell in quotes, or names the columns of timed runs. Undefined for any other text.
 * @param text The text.
 * @param start The offset of the first row.
 */
export function layoutOf(text: string, start: number): Layout | undefined {
  for (const delimiter of [",", ";", "\t", "|"] as const) {
    const header = rowsOf(text, start, delimiter).next().value;
    if (!header || header.length < 2) continue;
    const headings = header.slice(0, mostColumns).map((cell) => cell.text);
    const columns = columnsOf(headings);
    if (columns) return { delimiter, columns, header };
    if (areOfRuns(headings)) return { delimiter, header };
    if (header[0]?.quoted) return { delimiter, columns: { cv: 0, value: 1 } };
  }
  return undefined;
}

/** The rows of a table, without lines of remarks. */
function rowsOf(
  text: string,
  start: number,
  delimiter: Delimiter | "|",
  issues?: FileIssues,
): Generator<readonly Cell[], void> {
  if (delimiter === "|") return markdownRows(text, start);
  return csvRows(text, delimiter, {
    start,
    remarks: delimiter === ";" ? "#" : "#;",
    onFault(offset, fault) {
      const issue =
        fault === "unclosed" ? cellUnclosed({}) : cellAfterQuote({ delimiter: wordFor(delimiter) });
      issues?.error(offset, issue);
    },
  });
}

/** The rows of a Markdown table: cells between bars; the line under the header is left out. */
function* markdownRows(text: string, start: number): Generator<readonly Cell[], void> {
  for (let at = start; at < text.length; ) {
    const end = endOfLine(text, at);
    const cells: Cell[] = [];
    const first = at + (/^\s*\|?/.exec(text.slice(at, Math.min(end, at + 100)))?.[0].length ?? 0);
    for (let from = first; from < end || cells.length === 0; ) {
      let to = from;
      while (to < end && text.charAt(to) !== "|") to += text.charAt(to) === "\\" ? 2 : 1;
      to = Math.min(to, end);
      cells.push({ text: unmarked(text.slice(from, to)), offset: from, quoted: false });
      from = to + 1;
    }
    if (!/^\s*[#;]/.test((cells[0] as Cell).text) && !cells.every((cell) => /^:?-+:?$/.test(cell.text)))
      yield cells;
    at = afterLineEnd(text, end);
  }
}

/** The text of a Markdown cell without the marks around it that make it bold, or code. */
function unmarked(text: string): string {
  return text
    .trim()
    .replace(/^[*_`]+(?=[^*_`])/, "")
    .replace(/(?<=[^*_`])[*_`]+$/, "");
}

/** Reads a table of CVs. */
export function readTable(text: string, start: number, layout: Layout, issues: FileIssues): Collected {
  const collected = new Collected(issues);
  const { delimiter, header, columns = { cv: 0, value: 1 } } = layout;
  checkRemarks(text, issues);
  const rows = rowsOf(text, start, delimiter, issues);
  const width = header?.length ?? 2;
  const row: RowLayout = { delimiter, columns, width, hasHeader: header !== undefined };
  if (header) {
    rows.next();
    checkHeader(header, columns, issues);
  }
  for (const cells of rows) readRow(cells, row, collected);
  return collected;
}

/** Reports characters that look like line breaks in lines of remarks, which are no rows. */
function checkRemarks(text: string, issues: FileIssues): void {
  if (!lookAlike.test(text)) return;
  for (let at = 0; at < text.length; ) {
    const end = endOfLine(text, at);
    const line = text.slice(at, end);
    if (/^\s*[#;]/.test(line)) checkLookAlike(line, at, issues);
    at = afterLineEnd(text, end);
  }
}

function checkHeader(header: readonly Cell[], { cv, value }: Columns, issues: FileIssues): void {
  const unread: string[] = [];
  let first = 0;
  for (const [column, { text, offset }] of header.entries()) {
    const heading = beginning(text.trim());
    if (column === cv || column === value || !heading) continue;
    if (isHeading(heading)) issues.error(offset, columnTwice({ column: heading }));
    else if (unread.push(heading) === 1) first = offset;
  }
  if (unread.length) issues.note(first, unreadColumns({ columns: unread }));
}

interface RowLayout {
  readonly delimiter: Delimiter | "|";
  readonly columns: Columns;
  readonly width: number;
  readonly hasHeader: boolean;
}

const wholeCv = /* @__PURE__ */ cvPattern("^", "$", "i");

function readRow(cells: readonly Cell[], layout: RowLayout, collected: Collected): void {
  const { issues } = collected;
  const { columns, width, hasHeader } = layout;
  const head = cells[0] as Cell;
  if (cells.every(({ text }) => !text.trim())) return;
  for (const { text, offset, quoted } of cells) if (!quoted) checkLookAlike(text, offset, issues);
  const cvCell = cells[columns.cv];
  const valueCell = cells[columns.value];
  const written = cvCell?.text.trim() ?? "";
  const match = wholeCv.exec(written);
  const key = match ? keyOfMatch(match) : 0;
  if (key === 0) issues.error((cvCell ?? head).offset, badListCv(written));
  const [value, hasRemark] = valueIn(valueCell);
  const extra = hasRemark ? undefined : cells.slice(width).find(({ text }) => text.trim());
  if (extra) {
    const tooLong = hasHeader ? rowTooLong : rowWithoutHeader;
    issues.error(extra.offset, tooLong({ cells: cells.length, width }));
  }
  if (!valueCell || !value) {
    const cv = key ? `CV ${nameOf(key)}` : "the CV";
    const delimiter = wordFor(layout.delimiter);
    issues.error((valueCell ?? head).offset, noValueInRow({ cv, column: columns.value + 1, delimiter }));
  } else if (key !== 0) {
    const byte = listByte(key, value);
    if (typeof byte === "number") collected.add(key, byte, (cvCell ?? head).offset);
    else issues.error(valueCell.offset, byte);
  }
}

/** The value in a cell, and whether a remark follows it, which starts with # or ; behind a blank. */
function valueIn(cell: Cell | undefined): [value: string, hasRemark: boolean] {
  const text = cell?.text.trim() ?? "";
  const remark = cell?.quoted ? -1 : text.search(/\s[#;]/);
  return remark < 0 ? [text, false] : [text.slice(0, remark).trimEnd(), true];
}

function wordFor(delimiter: Delimiter | "|"): string {
  return delimiter === "|" ? "bar (|)" : nameOfDelimiter(delimiter);
}
