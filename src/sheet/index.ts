// Sheets as data

// Sheets as text
export { sheetCsv } from "./csv.js";
export { sheetHtml } from "./html.js";
export { sheetMarkdown } from "./markdown.js";
export { roster } from "./roster.js";
export { setUpSheet } from "./set-up-sheet.js";
export type { Sheet, SheetBlock, SheetLocomotive, SheetOptions, SheetSection } from "./sheet.js";
