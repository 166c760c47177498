import { CvSet } from "cvset";
import { readCvSet, writeCvSet } from "cvset/files";
import fc from "fast-check";
import Papa from "papaparse";
import { expect, test } from "vitest";
import { csvRows, type Delimiter } from "../../src/cv/text/csv.js";

function rowsOf(text: string, delimiter: Delimiter): { rows: string[][]; ok: boolean } {
  let ok = true;
  const options = {
    onFault() {
      ok = false;
    },
  };
  const rows = [...csvRows(text, delimiter, options)].map((row) => row.map((cell) => cell.text));
  return { rows, ok };
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
  ['"a', "unclosed"],
  ['"a"b,c', "after-quote"],
])("%j is a fault, as for papaparse", (text, fault) => {
  expect(Papa.parse(text, { delimiter: "," }).errors).not.toEqual([]);
  const faults: string[] = [];
  for (const _ of csvRows(text, ",", { onFault: (_at, found) => faults.push(found) }));
  expect(faults).toEqual([fault]);
});

test("papaparse reads what is written, and its table is read here", () => {
  const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7, "257@255.255": 0 });
  const theirs = Papa.parse<Record<string, string>>(writeCvSet({ cvs }, "csv"), {
    header: true,
    skipEmptyLines: true,
  });
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
