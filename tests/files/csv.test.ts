import { CvSet } from "cvset";
import { readCvSet, writeCsv } from "cvset/files";
import fc from "fast-check";
import Papa from "papaparse";
import { expect, test } from "vitest";
import { csvRows, type Delimiter } from "../../src/files/csv.js";
import { Complaints } from "../../src/files/fileissue.js";
import { Lines } from "../../src/files/lines.js";

function rowsOf(text: string, delimiter: Delimiter): { rows: string[][]; ok: boolean } {
  const complaints = new Complaints(new Lines(text));
  const rows = [...csvRows(text, delimiter, complaints)].map((row) => row.map((cell) => cell.text));
  return { rows, ok: complaints.ok };
}

const delimiters = fc.constantFrom<Delimiter>(",", ";", "\t");
const newlines = fc.constantFrom("\n" as const, "\r\n" as const, "\r" as const);

test("rows that papaparse wrote are read back", () => {
  const cell = fc.string({
    unit: fc.constantFrom("a", "9", '"', ",", ";", "\t", "\n", "\r", " ", "é"),
    maxLength: 5,
  });
  fc.assert(
    fc.property(
      fc.array(fc.array(cell, { minLength: 1, maxLength: 4 }), { minLength: 1 }),
      delimiters,
      newlines,
      (rows, delimiter, newline) => {
        // A row of one empty cell is an empty line, which at the end is none.
        const written = Papa.unparse(rows, { delimiter, newline }) + newline;
        expect(rowsOf(written, delimiter)).toEqual({ rows, ok: true });
      },
    ),
    { numRuns: 1000 },
  );
});

test("any text without stray quotes gives the rows that papaparse gives", () => {
  const piece = fc.constantFrom('"a"', '"a,b"', '"x""y"', '"l1\nl2"', "29", "34", " ", "");
  const row = fc.array(piece, { minLength: 1, maxLength: 4 });
  fc.assert(
    fc.property(
      fc.array(row, { minLength: 1, maxLength: 5 }),
      delimiters,
      newlines,
      fc.boolean(),
      (rows, delimiter, newline, ended) => {
        const text = rows.map((row) => row.join(delimiter)).join(newline) + (ended ? newline : "");
        const theirs = Papa.parse<string[]>(text, { delimiter, newline });
        expect(theirs.errors).toEqual([]);
        // papaparse counts an empty last line as a row.
        const last = theirs.data.at(-1);
        const expected = last?.length === 1 && last[0] === "" ? theirs.data.slice(0, -1) : theirs.data;
        expect(rowsOf(text, delimiter)).toEqual({ rows: expected, ok: true });
      },
    ),
    { numRuns: 1000 },
  );
});

test.each([
  ['"a', "the double quote that opens this cell is never closed"],
  ['"a"b,c', "after the closing double quote of a cell a comma must follow"],
])("%j is complained of, as papaparse does", (text, says) => {
  expect(Papa.parse(text, { delimiter: "," }).errors).not.toEqual([]);
  const complaints = new Complaints(new Lines(text));
  const rows = [...csvRows(text, ",", complaints)];
  const result = complaints.result(rows);
  expect(result.ok || result.issues.map((issue) => issue.expected)).toEqual([says]);
});

test("papaparse reads what is written, and its table is read here", () => {
  const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7, "257@255.255": 0 });
  const theirs = Papa.parse<Record<string, string>>(writeCsv(cvs), { header: true, skipEmptyLines: true });
  expect(theirs.errors).toEqual([]);
  expect(theirs.data.map(({ CV, Value }) => [CV, Number(Value)])).toEqual([...cvs]);
  for (const delimiter of [",", ";", "\t"]) {
    for (const quotes of [true, false]) {
      const text = Papa.unparse(theirs.data, { delimiter, quotes });
      const result = readCvSet(text);
      expect(result.ok && result.value.cvs.equals(cvs)).toBe(true);
    }
  }
});
