// The Markdown as a reader that others wrote understands it.
import { roster, type Sheet, setUpSheet, sheetMarkdown } from "cvset/sheet";
import { lexer, type Token, type Tokens } from "marked";
import { expect, test } from "vitest";
import { hostileTexts, locomotiveOf } from "./hostile.js";
import { no9, no11 } from "./locomotives.js";

/** The text of a token with all markup resolved; markup that is not expected fails. */
function plain(tokens: readonly Token[]): string {
  return tokens
    .map((token) => {
      if ("tokens" in token && token.tokens && token.type === "text") return plain(token.tokens);
      expect(["text", "escape"], JSON.stringify(token)).toContain(token.type);
      return (token as Tokens.Text).text;
    })
    .join("");
}

interface Read {
  readonly headings: string[];
  readonly tables: string[][][];
  readonly items: string[];
  readonly paragraphs: string[];
}

function read(markdown: string): Read {
  const found: Read = { headings: [], tables: [], items: [], paragraphs: [] };
  for (const token of lexer(markdown, { gfm: true })) {
    switch (token.type) {
      case "heading":
        found.headings.push(plain(token.tokens ?? []));
        break;
      case "table": {
        const { header, rows } = token as Tokens.Table;
        found.tables.push([header, ...rows].map((cells) => cells.map((cell) => plain(cell.tokens))));
        break;
      }
      case "list":
        for (const item of (token as Tokens.List).items) found.items.push(plain(item.tokens));
        break;
      case "paragraph":
        found.paragraphs.push(plain(token.tokens ?? []));
        break;
      default:
        expect(["space", "hr"]).toContain(token.type);
    }
  }
  return found;
}

/** What the Markdown must say, from the sheets as data. */
function wanted(sheets: readonly Sheet[]): Read {
  const blocks = sheets.flatMap(({ sections }) => sections.flatMap((section) => section.blocks));
  return {
    headings: sheets.flatMap(({ title, sections }) => [title, ...sections.flatMap((one) => one.title || [])]),
    tables: blocks.flatMap((block) =>
      block.kind === "table" ? [[block.columns, ...block.rows].map((row) => [...row])] : [],
    ),
    items: blocks.flatMap((block) =>
      block.kind === "facts"
        ? block.rows.map(([name, value]) => `${name}: ${value}`)
        : block.kind === "list"
          ? block.items
          : [],
    ),
    paragraphs: sheets.flatMap(({ heading, sections }) => [
      heading,
      ...sections.flatMap((one) =>
        one.blocks.flatMap((block) =>
          block.kind === "text" || block.kind === "picture" ? [block.text] : [],
        ),
      ),
    ]),
  };
}

// A reader drops blanks at the ends and folds those within.
const folded = ({ headings, tables, items, paragraphs }: Read): Read => {
  const fold = (text: string): string => text.replace(/ +/g, " ").trim();
  return {
    headings: headings.map(fold),
    tables: tables.map((rows) => rows.map((cells) => cells.map(fold))),
    items: items.map(fold),
    paragraphs: paragraphs.map(fold),
  };
};

test("what is written is read again: headings, tables, lists", () => {
  const sheets = [roster([no9, no11]), setUpSheet(no9, { date: "14 March 2026" }), setUpSheet(no11)];
  expect(folded(read(sheetMarkdown(sheets)))).toEqual(folded(wanted(sheets)));
});

test.each(Object.entries(hostileTexts))("a hostile text stays text: %s", (_, word) => {
  const sheets = [roster([locomotiveOf(word)]), setUpSheet(locomotiveOf(word), { date: word })];
  expect(folded(read(sheetMarkdown(sheets)))).toEqual(folded(wanted(sheets)));
});
