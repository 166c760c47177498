// The HTML against a validator that others wrote, and with texts that try to break out of it.

import { CvSet } from "cvset";
import { roster, setUpSheet, sheetHtml } from "cvset/sheet";
import { nmraAccessory } from "cvset/standard";
import { HtmlValidate } from "html-validate";
import { expect, test } from "vitest";
import { hostileTexts, locomotiveOf } from "./hostile.js";
import { no9, no11 } from "./locomotives.js";

const validator = new HtmlValidate({
  extends: ["html-validate:recommended", "html-validate:a11y"],
  rules: {
    // "Doctype" and "doctype" are the same in HTML; the lower case is shorter.
    "doctype-style": "off",
    // Attributes that SVG needs are written as SVG writes them.
    "no-inline-style": "off",
  },
});

async function faults(html: string): Promise<string[]> {
  const report = await validator.validateString(html);
  return report.results.flatMap(({ messages }) =>
    messages.map(({ ruleId, message, line }) => `${ruleId} in line ${line}: ${message}`),
  );
}

const accessory = { decoder: nmraAccessory, cvs: CvSet.from({ 1: 5, 9: 1, 29: 128 }), name: "Points 5" };

test.each([
  ["one locomotive", () => [setUpSheet(no9, { date: "14 March 2026", ratio: 48 })]],
  ["a fleet", () => [roster([no9, no11]), setUpSheet(no9), setUpSheet(no11), setUpSheet(accessory)]],
  ["no locomotive", () => []],
  ["an empty roster", () => [roster([])]],
  ["a locomotive of which nothing is known", () => [setUpSheet({ decoder: no9.decoder, cvs: CvSet.empty })]],
])("%s is valid HTML", async (_, sheets) => {
  expect(await faults(sheetHtml(sheets()))).toEqual([]);
});

test("the page needs nothing from outside and runs nothing", () => {
  const html = sheetHtml([setUpSheet(no9)]);
  expect(html).not.toMatch(/<script|<link|<img|<iframe|@import|url\(| on\w+=/i);
  expect(html.match(/https?:\/\/[^"]*/g)).toEqual(["http://www.w3.org/2000/svg"]);
});

/** The tags of a page in order: what a text must not change. */
const tagsOf = (html: string): string[] =>
  [...html.matchAll(/<[/!]?[a-z][^>]*>/gi)].map(([tag]) => tag).filter((tag) => !/^<\/?bdi>/.test(tag));

const sheetsOf = (word: string) => [
  roster([locomotiveOf(word)]),
  setUpSheet(locomotiveOf(word), { date: word }),
];

test.each(Object.entries(hostileTexts))("a hostile text stays text: %s", async (_, word) => {
  const html = sheetHtml(sheetsOf(word));
  expect(tagsOf(html)).toEqual(tagsOf(sheetHtml(sheetsOf("harmless"))));
  expect(await faults(html)).toEqual([]);
  // Nothing that changes the order of writing, no control character, no half of a surrogate pair.
  expect(html).not.toMatch(/(?!\n)\p{Cc}|[\u202a-\u202e\u2066-\u2069]/u);
  expect(html).not.toMatch(/\p{Cs}/u);
  expect(html.length).toBeLessThan(60_000);
});
