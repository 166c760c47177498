import { need } from "../cv/argument.js";
import { type Sheet, type SheetBlock, someSheets } from "./sheet.js";

/**
 * Sheets as CSV for a spreadsheet: one row for every value, with the locomotive, the section, what the
 * value is of, and the column that it stands in. A value that a spreadsheet would take for a formula has an
 * apostrophe before it.
 * @param sheets The sheets, one after the other.
 * @example
 * import { CvSet } from "cvset";
 * import { setUpSheet, sheetCsv } from "cvset/sheet";
 * import { nmra } from "cvset/standard";
 * const text = sheetCsv([setUpSheet({ decoder: nmra, cvs: CvSet.from({ 1: 3, 29: 2 }), name: "No. 9" })]);
 * text.split("\n")[1]; // "No. 9,Set-up sheet,Address,,Primary address 3"
 */
export function sheetCsv(sheets: readonly Sheet[]): string {
  need(someSheets, sheets, "sheets");
  const rows = sheets.flatMap(({ title, heading, sections }) =>
    sections.flatMap((section) =>
      section.blocks.flatMap((block) =>
        blockRows(block).map((cells) => [title, section.title || heading, ...cells]),
      ),
    ),
  );
  return [["locomotive", "section", "item", "column", "value"], ...rows]
    .map((cells) => `${cells.map(cell).join(",")}\n`)
    .join("");
}

/** The values of a block: what each is of, its column, the value. */
function blockRows(block: SheetBlock): [item: string, column: string, value: string][] {
  switch (block.kind) {
    case "facts":
      return block.rows.map(([name, value]) => [name, "", value]);
    case "table":
      return block.rows.flatMap(([first = "", ...cells]) =>
        cells.map((value, i): [string, string, string] => [first, block.columns[i + 1] ?? "", value]),
      );
    case "list":
      return block.items.map((item) => ["", "", item]);
    case "text":
    case "picture":
      return [["", "", block.text]];
  }
}

function cell(text: string): string {
  // A spreadsheet runs what begins so; a plain number with a sign is none of it.
  const safe = /^[=+\-@\t\r]/.test(text) && !/^[+-]?\d+(\.\d+)?$/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
