import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { type CsvFault, csvRows, type Delimiter, nameOfDelimiter } from "../../../src/cv/text/csv.js";

const rows = (
  text: string,
  delimiter: Delimiter = ",",
  options: { start?: number; remarks?: string } = {},
) => {
  const faults: [number, CsvFault][] = [];
  const found = [
    ...csvRows(text, delimiter, { ...options, onFault: (at, fault) => faults.push([at, fault]) }),
  ];
  return { cells: found.map((row) => row.map((cell) => cell.text)), faults, found };
};

describe("CSV rows", () => {
  it.each<[string, Delimiter, string[][]]>([
    ["", ",", []],
    ["a", ",", [["a"]]],
    ["a,b\nc,d", ",", [["a", "b"], ["c", "d"]]], // biome-ignore format: one line
    ["a,b\r\nc\rd\n", ",", [["a", "b"], ["c"], ["d"]]],
    ["a,\n,b", ",", [["a", ""], ["", "b"]]], // biome-ignore format: one line
    ["a;b,c\td", ";", [["a", "b,c\td"]]],
    ["a\t\tb", "\t", [["a", "", "b"]]],
    ['"a,""b""\nc",d', ",", [['a,"b"\nc', "d"]]],
    ["a\u2028b\u0085c", ",", [["a\u2028b\u0085c"]]],
    ["\n\na", ",", [[""], [""], ["a"]]],
  ])("of %j", (text, delimiter, cells) => {
    expect(rows(text, delimiter)).toMatchObject({ cells, faults: [] });
  });

  it("have the offset of each cell, and tell quoted ones", () => {
    const { found } = rows('ab,"c",d\ne', ",", { start: 1 });
    expect(found.flat().map(({ offset, quoted, text }) => [offset, quoted, text])).toEqual([
      [1, false, "b"],
      [3, true, "c"],
      [7, false, "d"],
      [9, false, "e"],
    ]);
  });

  it("tell what is wrong with quotes, and where", () => {
    expect(rows('a,"b\nc')).toMatchObject({ cells: [], faults: [[2, "unclosed"]] });
    expect(rows('a,"b"c\nd')).toMatchObject({ cells: [["a", "b"], ["d"]], faults: [[5, "after-quote"]] });
    expect(rows('"b"  ,c')).toMatchObject({ cells: [["b", "c"]], faults: [] });
  });

  it("leave out lines of remarks, whatever quotes they hold", () => {
    expect(rows('# a,"b\n  ; c\nd\n#', ",", { remarks: "#;" })).toMatchObject({ cells: [["d"]], faults: [] });
    expect(rows("\t# a\nb", "\t", { remarks: "#" })).toMatchObject({ cells: [["", "# a"], ["b"]] }); // biome-ignore format: one line
    expect(rows("# a")).toMatchObject({ cells: [["# a"]] });
    // A tab is a blank where it separates no cells.
    expect(rows(" \t# a\nb", ",", { remarks: "#" })).toMatchObject({ cells: [["b"]] });
    // A line of blanks alone, and the end of the text, are no remarks.
    expect(rows("  \nb\n", ",", { remarks: "#" })).toMatchObject({ cells: [["  "], ["b"]] }); // biome-ignore format: one line
    expect(rows("b\n  ", ",", { remarks: "#" })).toMatchObject({ cells: [["b"], ["  "]] }); // biome-ignore format: one line
  });

  it("have delimiters with names", () => {
    expect([",", ";", "\t"].map((one) => nameOfDelimiter(one as Delimiter))).toEqual([
      "comma",
      "semicolon",
      "tab",
    ]);
  });

  it("are those that papaparse finds", () => {
    const cell = fc.string({ unit: fc.constantFrom("a", ",", '"', " ", ";", "\n", "é") });
    fc.assert(
      fc.property(fc.array(fc.array(cell, { minLength: 1, maxLength: 4 }), { minLength: 1 }), (table) => {
        const text = Papa.unparse(table, { newline: "\n" });
        const parsed = Papa.parse<string[]>(text, { delimiter: "," }).data;
        // A last empty line is a row for papaparse.
        const wanted = text === "" || text.endsWith("\n") ? parsed.slice(0, -1) : parsed;
        expect(rows(text)).toMatchObject({ cells: wanted, faults: [] });
      }),
    );
  });
});
