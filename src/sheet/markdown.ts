import { need } from "../cv/argument.js";
import { type Sheet, type SheetBlock, type SheetSection, someSheets } from "./sheet.js";

/**
 * Sheets as Markdown with tables (GitHub's). Whatever a text contains stays text.
 * @param sheets The sheets, one after the other.
 * @example
 * import { CvSet } from "cvset";
 * import { setUpSheet, sheetMarkdown } from "cvset/sheet";
 * import { nmra } from "cvset/standard";
 * const text = sheetMarkdown([setUpSheet({ decoder: nmra, cvs: CvSet.from({ 1: 3, 29: 2 }), name: "a|b" })]);
 * text.split("\n")[0]; // "# a\\|b"
 */
export function sheetMarkdown(sheets: readonly Sheet[]): string {
  need(someSheets, sheets, "sheets");
  return sheets.map(sheetText).join("\n---\n\n");
}

function sheetText({ title, heading, sections }: Sheet): string {
  return [`# ${escaped(title)}\n`, `${first(heading)}\n`, ...sections.map(sectionText)].join("\n");
}

function sectionText({ title, blocks }: SheetSection): string {
  return [...(title ? [`## ${escaped(title)}\n`] : []), ...blocks.map(blockText)].join("\n");
}

function blockText(block: SheetBlock): string {
  switch (block.kind) {
    case "facts":
      return lines(block.rows.map(([name, value]) => `- ${first(name)}: ${escaped(value)}`));
    case "table":
      return lines([
        row(block.columns),
        row(
          block.columns.map(() => "---"),
          false,
        ),
        ...block.rows.map((cells) => row(cells)),
      ]);
    case "list":
      return lines(block.items.map((item) => `- ${first(item)}`));
    case "text":
    case "picture":
      return lines([first(block.text)]);
  }
}

function row(cells: readonly string[], isText = true): string {
  return `| ${cells.map((cell) => (isText ? escaped(cell) : cell)).join(" | ")} |`;
}

function lines(all: readonly string[]): string {
  return all.map((line) => `${line}\n`).join("");
}

/** A text at the beginning of a line: no list, no underlining of a heading. */
function first(text: string): string {
  return escaped(text)
    .replace(/^([+\-=:])/, "\\$1")
    .replace(/^(\d{1,9})([.)])/, "$1\\$2");
}

/** A text as Markdown shows it: no markup, no HTML, no link. */
function escaped(text: string): string {
  return text.replace(/[\\`*_{}[\]<>#|~&!@$]/g, "\\$&").replace(/:(?=\/\/)|(?<=\bwww)\./gi, "\\$&");
}
