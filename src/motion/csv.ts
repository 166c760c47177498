import type { Result } from "../cv/index.js";
import {
  type MeasurementDefaults,
  measurementFields,
  Reader,
  type TimedLocomotive,
  unknownFields,
} from "./measurements.js";
import { Problems } from "./problems.js";

/** Columns whose cells stay text. */
const textColumns = /* @__PURE__ */ new Set(["locomotive", "direction", "scale", "note"]);

/**
 * Timed runs from the text of a CSV file: a line of column names, then one run a line. The columns are the
 * fields of {@link readMeasurements}: `level` or `step`; `seconds` (as often as there are repeated timings;
 * `stands` where it did not move), `mph` or `kmh`; a length of track, `scale`, `locomotive`, `direction`,
 * `note`. Empty cells are left out.
 *
 * Commas, semicolons or tabs separate the cells; where it is not the comma, numbers may have a decimal
 * comma. Cells may be in double quotes. Empty lines, and lines that begin with `#`, are passed over.
 * @param text The text, with or without a byte-order mark, lines ending in LF or CRLF.
 * @param defaults What holds where the text says nothing.
 * @returns The locomotives in the order of their first run, or everything that is wrong, with line numbers.
 * @example
 * import { measurementsFromCsv } from "cvset/motion";
 * const text = "level,seconds,seconds\n20,stands,\n60,32.0,31.5\n";
 * const result = measurementsFromCsv(text, { scale: "O", distance: 2 });
 * result.ok && result.value[0]?.forward.length; // 3
 * const bad = measurementsFromCsv("level,mph\n60,fast\n");
 * bad.ok || bad.issues[0]?.path; // "line 2, mph"
 */
/* @__NO_SIDE_EFFECTS__ */
export function measurementsFromCsv(
  text: string,
  defaults: MeasurementDefaults = {},
): Result<readonly TimedLocomotive[]> {
  const problems = new Problems();
  const reader = new Reader(defaults, {}, problems);
  let columns: string[] | undefined;
  let separator = ",";
  text
    .replace(/^\uFEFF/, "")
    .split(/\r\n|\n|\r/)
    .forEach((line, i) => {
      if (line.trim() === "" || line.trimStart().startsWith("#")) return;
      const where = `line ${i + 1}`;
      const at = (field: string): string => (field ? `${where}, ${field}` : where);
      if (!columns) separator = separatorOf(line);
      const cells = cellsOf(line, separator);
      if (!cells)
        problems.content(where, "has a double quote that is not closed, or text behind a closed one");
      else if (!columns) columns = columnsOf(cells, at, problems);
      else if (cells.length > columns.length) {
        problems.content(where, `has ${cells.length} cells, but there are only ${columns.length} columns`);
      } else {
        const row = rowOf(columns, cells, separator, at, problems);
        if (row) reader.add(row, at);
      }
    });
  if (!columns) problems.content("", "needs a line with column names, and one run a line; there is nothing");
  return reader.result();
}

function columnsOf(cells: readonly string[], at: (field: string) => string, problems: Problems): string[] {
  const columns = cells.map((cell) => cell.trim().toLowerCase().replace("km/h", "kmh"));
  columns.forEach((column, i) => {
    if (column !== "seconds" && columns.indexOf(column) < i) {
      problems.content(at(column), "is there twice; only the column seconds may be");
    }
  });
  unknownFields([...new Set(columns)], measurementFields, at, problems);
  return columns;
}

/** One run; undefined when a cell is not what its column needs. */
function rowOf(
  columns: readonly string[],
  cells: readonly string[],
  separator: string,
  at: (field: string) => string,
  problems: Problems,
): Record<string, unknown> | undefined {
  const row: Record<string, unknown> = {};
  const seconds: (number | string)[] = [];
  let good = true;
  columns.forEach((column, i) => {
    const cell = (cells[i] ?? "").trim();
    if (cell === "" || !measurementFields.includes(column)) return;
    if (textColumns.has(column)) row[column] = cell;
    else {
      const value = numberOf(cell, separator);
      if (column === "seconds") seconds.push(value ?? cell);
      else if (value !== undefined) row[column] = value;
      else {
        problems.issues.push({ code: "type", path: at(column), expected: "a number", found: cell });
        good = false;
      }
    }
  });
  if (seconds.length) row["seconds"] = seconds.length === 1 ? seconds[0] : seconds;
  return good ? row : undefined;
}

function numberOf(cell: string, separator: string): number | undefined {
  const plain = separator === "," ? cell : cell.replace(",", ".");
  return /^[+-]?(\d{1,15}(\.\d{0,15})?|\.\d{1,15})$/.test(plain) ? Number(plain) : undefined;
}

/** The separator that the line of column names has most of. */
function separatorOf(line: string): string {
  const count = (mark: string): number => line.split(mark).length;
  return [",", ";", "\t"].reduce((best, mark) => (count(mark) > count(best) ? mark : best));
}

/** The cells of a line, or undefined when its quotes do not fit. */
function cellsOf(line: string, separator: string): string[] | undefined {
  const cells: string[] = [];
  let i = 0;
  for (;;) {
    let cell = "";
    if (line[i] === '"') {
      for (i++; ; i++) {
        if (i >= line.length) return undefined;
        if (line[i] !== '"') cell += line[i];
        else if (line[i + 1] === '"') cell += line[i++];
        else break;
      }
      i++;
      if (i < line.length && line[i] !== separator) return undefined;
    } else {
      const next = line.indexOf(separator, i);
      const end = next < 0 ? line.length : next;
      cell = line.slice(i, end);
      i = end;
    }
    cells.push(cell);
    if (i >= line.length) return cells;
    i++;
  }
}
