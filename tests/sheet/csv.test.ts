// The CSV as a reader that others wrote understands it.
import { roster, type Sheet, setUpSheet, sheetCsv } from "cvset/sheet";
import Papa from "papaparse";
import { expect, test } from "vitest";
import { hostileTexts, locomotiveOf } from "./hostile.js";
import { no9, no11 } from "./locomotives.js";

function rowsOf(sheets: readonly Sheet[]): string[][] {
  const { data, errors } = Papa.parse<string[]>(sheetCsv(sheets), { skipEmptyLines: "greedy" });
  expect(errors).toEqual([]);
  return data;
}

test("every value of the tables is there once, with its row and column", () => {
  const sheet = setUpSheet(no9, { date: "14 March 2026" });
  const [head, ...rows] = rowsOf([sheet]);
  expect(head).toEqual(["locomotive", "section", "item", "column", "value"]);
  const cells = sheet.sections.flatMap(({ title, blocks }) =>
    blocks.flatMap((block) =>
      block.kind === "table"
        ? block.rows.flatMap(([first = "", ...rest]) =>
            rest.map((value, i) => ["No. 9", title, first, block.columns[i + 1], value]),
          )
        : [],
    ),
  );
  const times = (list: readonly unknown[], one: unknown): number =>
    list.filter((other) => JSON.stringify(other) === JSON.stringify(one)).length;
  expect(cells.length).toBeGreaterThan(100);
  for (const cell of cells) expect([cell, times(rows, cell)]).toEqual([cell, times(cells, cell)]);
  expect(rows).toContainEqual(["No. 9", "All CVs", "29", "Dec.", "50"]);
  expect(rows).toContainEqual(["No. 9", "Keys", "F5", "Forward", "Whistle"]);
});

test("several sheets stand in one table", () => {
  const rows = rowsOf([roster([no9, no11]), setUpSheet(no9), setUpSheet(no11)]);
  expect(new Set(rows.slice(1).map(([name]) => name))).toEqual(new Set(["Roster", "No. 9", "No. 11"]));
});

test.each(Object.entries(hostileTexts))("a hostile text stays text: %s", (_, word) => {
  const rows = rowsOf([roster([locomotiveOf(word)]), setUpSheet(locomotiveOf(word), { date: word })]);
  const harmless = rowsOf([
    roster([locomotiveOf("harmless")]),
    setUpSheet(locomotiveOf("harmless"), { date: "harmless" }),
  ]);
  expect(rows.length).toBe(harmless.length);
  for (const row of rows) {
    expect(row.length).toBe(5);
    for (const cell of row) if (!/^-?\d+(\.\d+)?$/.test(cell)) expect(cell).not.toMatch(/^[=+\-@\t\r\n]/);
  }
});
