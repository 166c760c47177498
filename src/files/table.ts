import { show } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { type Cell, csvRows, type Delimiter, nameOfDelimiter } from "./csv.js";
import { Complaints } from "./fileissue.js";
import { Gathered } from "./gather.js";
import { Lines } from "./lines.js";
import { cvSpelling, keyOfMatch, listByteIssue, listCvIssue, listNumber } from "./spelling.js";

/** How a table is laid out. */
export interface Layout {
  readonly delimiter: Delimiter;
  /** Which column holds the CVs, from 0. */
  readonly cv: number;
  /** Which column holds the values, from 0. */
  readonly value: number;
  /** The header row, when there is one. */
  readonly header?: readonly Cell[];
}

const cvHeadings = ["cv", "cvno", "cvnumber", "cvnr"];
const looseCvHeadings = ["number", "no"];
const valueHeadings = ["value", "cvvalue", "val"];
const looseValueHeadings = ["decimal", "dec"];
const wholeCv = /* @__PURE__ */ new RegExp(`^${cvSpelling}$`, "i");
const remark = /^[^#;]*?[^\s#;](?=\s+[#;])/;

/**
 * The layout of a text that is a table: its first row names a column for CVs and one for values, or
 * starts with a cell in quotes. Undefined for any other text.
 * @param text The text.
 * @param start The offset of the first row.
 */
export function layoutOf(text: string, start: number): Layout | undefined {
  for (const delimiter of [",", ";", "\t"] as const) {
    const unheard = new Complaints(new Lines(""));
    const header = csvRows(text, delimiter, unheard, start).next().value;
    if (!header) continue;
    const cv = columnOf(header, cvHeadings, looseCvHeadings);
    const value = columnOf(header, valueHeadings, looseValueHeadings);
    if (cv >= 0 && value >= 0) return { delimiter, cv, value, header };
    if (header.length > 1 && header[0]?.quoted) return { delimiter, cv: 0, value: 1 };
  }
  return undefined;
}

/** The first column with one of some headings, else with one of some looser ones; -1 when there is none. */
function columnOf(header: readonly Cell[], headings: readonly string[], loose: readonly string[]): number {
  const column = header.findIndex((cell) => headings.includes(plainHeading(cell)));
  return column >= 0 ? column : header.findIndex((cell) => loose.includes(plainHeading(cell)));
}

function plainHeading({ text }: Cell): string {
  // No heading is that long, but the first line of any text is looked at here.
  return text
    .slice(0, 80)
    .toLowerCase()
    .replace(/[^a-z]/g, "");
}

/** Reads a table of CVs. */
export function readTable(text: string, start: number, layout: Layout, complaints: Complaints): Gathered {
  const gathered = new Gathered(complaints);
  const rows = csvRows(text, layout.delimiter, complaints, start);
  if (layout.header) {
    rows.next();
    checkHeader(layout.header, layout, complaints);
  }
  for (const row of rows) readRow(row, layout, gathered);
  return gathered;
}

function checkHeader(header: readonly Cell[], layout: Layout, complaints: Complaints): void {
  for (const [column, cell] of header.entries()) {
    const heading = cell.text.trim();
    if (column === layout.cv || column === layout.value || !heading) continue;
    if ([...cvHeadings, ...valueHeadings].includes(plainHeading(cell))) {
      const which = `which column is meant? ${show(heading)} is a second one of its kind; rename or remove it`;
      complaints.say(cell.offset, "duplicate", which);
    } else {
      complaints.note(cell.offset, "content", `the column ${show(heading)} is not read`);
    }
  }
}

function readRow(cells: readonly Cell[], layout: Layout, gathered: Gathered): void {
  const { complaints } = gathered;
  const { delimiter, header } = layout;
  const head = cells[0] as Cell;
  if (cells.every(({ text }) => !text.trim())) return;
  if (!head.quoted && (delimiter === ";" ? /^\s*#/ : /^\s*[#;]/).test(head.text)) return;
  const cvCell = cells[layout.cv];
  const valueCell = cells[layout.value];
  const written = cvCell?.text.trim() ?? "";
  const match = wholeCv.exec(written);
  const key = match ? keyOfMatch(match) : 0;
  if (key === 0) complaints.error((cvCell ?? head).offset, "content", listCvIssue(written));
  const width = header?.length ?? 2;
  let value = valueCell?.text.trim() ?? "";
  const bare = valueCell && !valueCell.quoted ? remark.exec(value)?.[0] : undefined;
  const extra = cells.slice(width).find(({ text }) => text.trim());
  if (bare !== undefined) value = bare;
  else if (extra) {
    const has = `this row has ${cells.length} cells instead of ${width}`;
    const hint = header ? "" : "; name the columns in a first row, as in CV,Value";
    complaints.say(extra.offset, "syntax", has + hint);
  }
  if (!valueCell || !value) {
    const where = `it must stand in column ${layout.value + 1}, after a ${nameOfDelimiter(delimiter)}`;
    const offset = (valueCell ?? head).offset;
    complaints.say(offset, "syntax", `CV ${key ? nameOf(key) : written} has no value; ${where}`);
  } else if (key !== 0) {
    const number = listNumber(value);
    const issue = listByteIssue(key, value, number);
    if (issue) complaints.error(valueCell.offset, "content", issue);
    else gathered.add(key, number, (cvCell ?? head).offset);
  }
}
