import { need } from "../cv/argument.js";
import { escapeXml } from "../cv/text/escape-xml.js";
import { type Sheet, type SheetBlock, type SheetSection, someSheets } from "./sheet.js";
import { style } from "./style.js";

/**
 * Sheets as one HTML page that needs nothing else: no script, no file beside it. It prints each sheet from a new page,
 * and follows the reader's choice of light or dark.
 * @param sheets The sheets, in the order of the page.
 * @example
 * import { CvSet } from "cvset";
 * import { setUpSheet, sheetHtml } from "cvset/sheet";
 * import { nmra } from "cvset/standard";
 * const html = sheetHtml([setUpSheet({ decoder: nmra, cvs: CvSet.from({ 1: 3, 29: 2 }), name: "<No. 9>" })]);
 * html.includes("<h1 id=\"s1\"><bdi>&lt;No. 9&gt;</bdi></h1>"); // true
 */
export function sheetHtml(sheets: readonly Sheet[]): string {
  need(someSheets, sheets, "sheets");
  const [only] = sheets;
  const several = sheets.length !== 1;
  const title = only && !several ? `${only.title} \u2013 ${only.heading}` : "Set-up sheets";
  return [
    "<!doctype html>",
    '<html lang="en">',
    "<head>",
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    // Nothing is loaded and nothing runs, whatever a text contains.
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
    `<title>${escapeXml(title)}</title>`,
    `<style>\n${style}\n</style>`,
    "</head>",
    "<body>",
    "<main>",
    ...(several ? contents(sheets) : []),
    ...sheets.map((sheet, i) => sheetText(sheet, `s${i + 1}`, several ? 2 : 1)),
    "</main>",
    "</body>",
    "</html>",
    "",
  ].join("\n");
}

/** The beginning of a page with several sheets. */
function contents(sheets: readonly Sheet[]): string[] {
  const items = sheets.map(({ title }, i) => `<li><a href="#s${i + 1}">${user(title)}</a></li>`);
  return [
    '<header class="contents">',
    "<h1>Set-up sheets</h1>",
    ...(items.length ? [`<ul>\n${items.join("\n")}\n</ul>`] : []),
    "</header>",
  ];
}

function sheetText({ title, heading, sections }: Sheet, id: string, level: 1 | 2): string {
  const name = level === 1 ? `<h1 id="${id}">` : `<h2 class="name" id="${id}">`;
  const parts = sections.filter(({ wide }) => !wide);
  const all = sections.filter(({ wide }) => wide);
  const texts = (some: readonly SheetSection[]): string[] =>
    some.map((section) => sectionText(section, id, level + 1));
  return [
    `<article class="sheet" aria-labelledby="${id}">`,
    "<header>",
    `<p class="kind">${escapeXml(heading)}</p>`,
    `${name}${user(title)}</h${level}>`,
    "</header>",
    '<div class="parts">',
    ...texts(parts),
    "</div>",
    ...texts(all),
    "</article>",
  ].join("\n");
}

function sectionText({ id, title, blocks }: SheetSection, sheet: string, level: number): string {
  const own = `${sheet}-${id}`;
  const label = title ? own : sheet;
  return [
    "<section>",
    ...(title ? [`<h${level} class="part" id="${own}">${escapeXml(title)}</h${level}>`] : []),
    ...blocks.map((block) => blockText(block, label)),
    "</section>",
  ].join("\n");
}

function blockText(block: SheetBlock, label: string): string {
  switch (block.kind) {
    case "facts":
      return [
        "<dl>",
        ...block.rows.map(([name, value]) => `<dt>${user(name)}</dt>\n<dd>${user(value)}</dd>`),
        "</dl>",
      ].join("\n");
    case "table":
      return block.dense ? `<div class="list">\n${tableText(block, label)}\n</div>` : tableText(block, label);
    case "list":
      return ["<ul>", ...block.items.map((item) => `<li>${user(item)}</li>`), "</ul>"].join("\n");
    case "text":
      return `<p>${user(block.text)}</p>`;
    case "picture":
      // Its title and description are within it, so the words beside it are not needed here.
      return block.svg.trim();
  }
}

function tableText(
  { columns, rows, marked = [], dense }: Extract<SheetBlock, { kind: "table" }>,
  label: string,
): string {
  const changed = new Set(marked);
  // On a phone a table of many columns shows each row as a list, for which the cells name their columns.
  const many = columns.length > 4 && !dense;
  const named = (i: number): string => (many ? ` data-column="${escapeXml(columns[i] ?? "")}"` : "");
  return [
    `<table aria-labelledby="${label}"${many ? ' class="many"' : ""}>`,
    `<thead>\n<tr>${columns.map((column) => `<th scope="col">${user(column)}</th>`).join("")}</tr>\n</thead>`,
    "<tbody>",
    ...rows.map(([first = "", ...cells], i) => {
      const look = changed.has(i) ? ' class="changed"' : "";
      const rest = cells.map((cell, j) => `<td${named(j + 1)}>${user(cell)}</td>`).join("");
      return `<tr${look}><th scope="row">${user(first)}</th>${rest}</tr>`;
    }),
    "</tbody>",
    "</table>",
  ].join("\n");
}

/** A text that may come from a user: escaped, and with a direction of writing of its own. */
function user(text: string): string {
  const safe = escapeXml(text);
  // Only what is not plain English can change the direction of what stands around it.
  const isPlain = /^[\x20-\x7e\u2013\u2212]*$/.test(text) && safe === text && !/\S{13}/.test(text);
  return isPlain ? safe : `<bdi>${safe}</bdi>`;
}
