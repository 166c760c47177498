// Whole documents, word for word, of a locomotive that has everything: tests/sheet/golden. CVSET_UPDATE=1 writes them
// anew; read what changes, for it is what hangs on the wall beside the layout.
import { CvSet } from "cvset";
import { roster, type Sheet, setUpSheet, sheetCsv, sheetHtml, sheetMarkdown } from "cvset/sheet";
import { nmraAccessory } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { expectFile } from "../support/golden.js";
import { every, everyDecoder } from "./every.js";

const points = {
  decoder: nmraAccessory,
  cvs: CvSet.from({ 1: 5, 3: 10, 4: 0, 9: 1, 19: 160, 29: 128 }),
  findings: [],
};
const few = {
  decoder: everyDecoder,
  cvs: { 1: 3, 29: 0, 34: 0b10, 35: 0b10, 37: 0b100, 38: 1, 40: 2, 218: 1 },
};

const sheets = [setUpSheet(every, { date: "14 March 2026", ratio: 48 })];
const fleet = [roster([every, points, few]), setUpSheet(points), setUpSheet(few)];

/** Two small sheets with every kind of block. */
const small: Sheet[] = [
  {
    title: "No. 1",
    heading: "Set-up sheet",
    sections: [
      {
        id: "top",
        title: "",
        blocks: [
          {
            kind: "facts",
            rows: [
              ["Address", "3"],
              ["= Date", "\u221212"],
              ["- Trim", "-12"],
              ["+ Trim", "+1.5"],
              ["@ Trim", "-1.5 m"],
            ],
          },
        ],
      },
      {
        id: "tables",
        title: "Two & more",
        blocks: [
          { kind: "table", columns: ["A", "B", "C", "D"], rows: [["a", "b", "c", "d"], []] },
          {
            kind: "table",
            columns: ["1", "2", "3", "4", "<5>"],
            rows: [["a", "b", "c", "d", "e", "more"]],
            marked: [],
          },
        ],
      },
      {
        id: "dense",
        title: "Dense",
        wide: true,
        blocks: [
          {
            kind: "table",
            columns: ["1", "2", "3", "4", "5"],
            rows: [["a"], ["b"], ["c"]],
            marked: [0, 2],
            dense: true,
          },
        ],
      },
      {
        id: "list",
        title: "List",
        blocks: [{ kind: "list", items: ["1. one", "- two", "\u00fcber", "thirteensigns"] }],
      },
      {
        id: "end",
        title: "End",
        blocks: [
          { kind: "text", text: "+1 = 1" },
          { kind: "picture", svg: "\n<svg></svg>\n", text: "A picture" },
        ],
      },
    ],
  },
  { title: "No. 2", heading: "Roster", sections: [{ id: "none", title: "", wide: true, blocks: [] }] },
];

test.each([
  ["sheet.md", () => sheetMarkdown(sheets)],
  ["sheet.csv", () => sheetCsv(sheets)],
  ["sheet.html", () => sheetHtml(sheets)],
  ["fleet.md", () => sheetMarkdown(fleet)],
  ["small.md", () => sheetMarkdown(small)],
  ["small.csv", () => sheetCsv(small)],
  ["small.html", () => sheetHtml(small)],
  ["none.html", () => sheetHtml([])],
])("%s", (name, write) => {
  expectFile(new URL(`golden/${name}`, import.meta.url), write());
});

test("lists of CVs and of locomotives take the whole width, and what is found beside them", () => {
  const wide = ({ sections }: Sheet) => sections.filter((section) => section.wide).map(({ id }) => id);
  expect([...sheets, ...fleet.slice(0, 1)].map(wide)).toEqual([["cvs"], ["locomotives", "findings"]]);
});

test("no sheets make an empty Markdown text, and a CSV with its header only", () => {
  expect(sheetMarkdown([])).toBe("");
  expect(sheetCsv([])).toBe("locomotive,section,item,column,value\n");
});

describe("what a sheet is written from is looked at first", () => {
  const sheet = { title: "t", heading: "h", sections: [] as object[] };
  const withBlock = (block: unknown) => [{ ...sheet, sections: [{ id: "s", title: "t", blocks: [block] }] }];
  const block = "sheets.0.sections.0.blocks.0";
  const kinds = 'is not an option; the options are "facts", "table", "list", "text", "picture"';
  test.each<[sheets: unknown, says: string]>([
    [undefined, "sheets: expected a list, got undefined"],
    [[undefined], "sheets.0: expected an object, got undefined"],
    [[{ ...sheet, title: 1 }], "sheets.0.title: expected a text, got 1"],
    [[{ ...sheet, heading: 1 }], "sheets.0.heading: expected a text, got 1"],
    [[{ ...sheet, sections: {} }], "sheets.0.sections: expected a list, got {}"],
    [[{ ...sheet, sections: [3] }], "sheets.0.sections.0: expected an object, got 3"],
    [
      [{ ...sheet, sections: [{ title: "", blocks: [] }] }],
      "sheets.0.sections.0.id: expected a text, got undefined",
    ],
    [
      [{ ...sheet, sections: [{ id: "", blocks: [] }] }],
      "sheets.0.sections.0.title: expected a text, got undefined",
    ],
    [
      [{ ...sheet, sections: [{ id: "", title: "", wide: 1, blocks: [] }] }],
      "sheets.0.sections.0.wide: expected true or false, got 1",
    ],
    [
      [{ ...sheet, sections: [{ id: "", title: "" }] }],
      "sheets.0.sections.0.blocks: expected a list, got undefined",
    ],
    [withBlock(null), `${block}: expected an object, got null`],
    [withBlock({}), `${block}.kind: undefined ${kinds}`],
    [withBlock({ kind: "constructor" }), `${block}.kind: "constructor" ${kinds}`],
    [withBlock({ kind: 3 }), `${block}.kind: 3 ${kinds}`],
    [withBlock({ kind: "facts" }), `${block}.rows: expected a list, got undefined`],
    [withBlock({ kind: "facts", rows: [["a", 1]] }), `${block}.rows.0.1: expected a text, got 1`],
    [withBlock({ kind: "table", rows: [] }), `${block}.columns: expected a list, got undefined`],
    [withBlock({ kind: "table", columns: [1], rows: [] }), `${block}.columns.0: expected a text, got 1`],
    [withBlock({ kind: "table", columns: [] }), `${block}.rows: expected a list, got undefined`],
    [withBlock({ kind: "table", columns: [], rows: ["a"] }), `${block}.rows.0: expected a list, got "a"`],
    [
      withBlock({ kind: "table", columns: [], rows: [], marked: ["a"] }),
      `${block}.marked.0: expected a number, got "a"`,
    ],
    [
      withBlock({ kind: "table", columns: [], rows: [], dense: "a" }),
      `${block}.dense: expected true or false, got "a"`,
    ],
    [withBlock({ kind: "list" }), `${block}.items: expected a list, got undefined`],
    [withBlock({ kind: "list", items: [1] }), `${block}.items.0: expected a text, got 1`],
    [withBlock({ kind: "text" }), `${block}.text: expected a text, got undefined`],
    [withBlock({ kind: "picture", text: "" }), `${block}.svg: expected a text, got undefined`],
    [withBlock({ kind: "picture", svg: "" }), `${block}.text: expected a text, got undefined`],
  ])("%j", (given, says) => {
    const found = [sheetHtml, sheetMarkdown, sheetCsv].map((write) => {
      try {
        return write(given as never);
      } catch (error) {
        return (error as Error).message;
      }
    });
    expect(found).toEqual([says, says, says]);
  });
});

describe("a locomotive is looked at first", () => {
  const good = { decoder: nmraAccessory, cvs: { 1: 5 } };
  test.each<[what: string, locomotive: object, options: unknown, says: string]>([
    [
      "no decoder",
      { cvs: {} },
      undefined,
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got undefined",
    ],
    [
      "no CVs",
      { decoder: nmraAccessory },
      undefined,
      "cvs: expected an object with CV numbers as keys, got undefined",
    ],
    ["a name that is no text", { ...good, name: 9 }, undefined, "name: expected a text, got 9"],
    ["a remark that is no text", { ...good, note: 9 }, undefined, "note: expected a text, got 9"],
    ["findings that are no list", { ...good, findings: {} }, undefined, "findings: expected a list, got {}"],
    [
      "a finding without message",
      { ...good, findings: [{ severity: "note" }] },
      undefined,
      "findings.0.message: expected a text, got undefined",
    ],
    [
      "a finding without severity",
      { ...good, findings: [{ message: "a" }] },
      undefined,
      "findings.0.severity: expected a text, got undefined",
    ],
    [
      "amounts that are none",
      { ...good, fullSpeed: "fast" },
      { ratio: 0 },
      'fullSpeed: expected a number above 0, got "fast"\nratio: expected a number above 0, got 0',
    ],
    ["a date that is no text", good, { date: 14 }, "date: expected a text, got 14"],
    ["terms that are no list", good, { terms: 14 }, "terms: expected a list, got 14"],
    ["options that are none", good, 14, "options: expected an object, got 14"],
  ])("%s", (what, locomotive, options, says) => {
    const isOfOptions = options !== undefined;
    const found = [setUpSheet, (one: never, how: never) => roster([one], how)].map((make) => {
      try {
        return make(locomotive as never, options as never);
      } catch (error) {
        return (error as Error).message;
      }
    });
    expect(found, what).toEqual([says, isOfOptions ? says : `locomotives.0.${says}`]);
  });
});
