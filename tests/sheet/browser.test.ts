// The HTML in a real browser: accessible, on a phone, on paper, and harmless. It needs Chromium; without one these tests
// are left out, unless CVSET_BROWSER names the one that must be there.
import { existsSync } from "node:fs";
import axe from "axe-core";
import { CvSet } from "cvset";
import { roster, type Sheet, setUpSheet, sheetHtml } from "cvset/sheet";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { toCvSet } from "../../src/cv/cvset.js";
import { hostileTexts, locomotiveOf } from "./hostile.js";
import { no9, no11 } from "./locomotives.js";

const named = process.env.CVSET_BROWSER;
const found = named ?? ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find((path) => existsSync(path));
const one = (): Sheet[] => [setUpSheet(no9, { date: "14 March 2026", ratio: 48 })];
const fleet = (): Sheet[] => [roster([no9, no11], { date: "14 March 2026" }), ...one(), setUpSheet(no11)];
const hostile = (word: string): Sheet[] => [
  roster([locomotiveOf(word)]),
  setUpSheet(locomotiveOf(word), { date: word }),
];
const desk = { width: 1280, height: 900 };
const phone = { width: 360, height: 740 };

describe.skipIf(!found)("in Chromium", () => {
  let browser: Browser;
  beforeAll(async () => {
    const args = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"];
    const quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync"];
    browser = await chromium.launch({ executablePath: found ?? "", args: [...args, ...quiet] });
  });
  afterAll(async () => browser?.close());

  /** Does something with a page; fails when the page asks for anything or complains. */
  async function withPage<T>(
    sheets: readonly Sheet[],
    options: {
      readonly viewport: { width: number; height: number };
      readonly colorScheme?: "dark" | "light";
    },
    use: (page: Page) => Promise<T>,
  ): Promise<T> {
    const page = await browser.newPage(options);
    const trouble: string[] = [];
    page.on("request", (request) => trouble.push(`request: ${request.url().slice(0, 80)}`));
    page.on("console", (message) => trouble.push(`console: ${message.text()}`));
    page.on("pageerror", (error) => trouble.push(`error: ${error.message}`));
    await page.setContent(sheetHtml(sheets), { waitUntil: "load" });
    try {
      const result = await use(page);
      expect(trouble).toEqual([]);
      return result;
    } finally {
      await page.close();
    }
  }

  const accessible = async (page: Page): Promise<string[]> => {
    await page.evaluate(axe.source);
    return page.evaluate(async () => {
      const { axe: inPage } = globalThis as unknown as {
        axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
      };
      const { violations } = await inPage.run();
      return violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 120)}`));
    });
  };

  const isTooWide = (page: Page): Promise<boolean> =>
    page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth");

  const pages = async (page: Page, format: "A4" | "Letter"): Promise<number> => {
    const pdf = (await page.pdf({ format, preferCSSPageSize: true })).toString("latin1");
    return pdf.match(/\/Type \/Page\b(?!s)/g)?.length ?? 0;
  };

  // A fleet holds the roster and the sheets of two locomotives.
  test.each([
    ["a fleet, light, on a desk", fleet, desk, "light"],
    ["a fleet, dark, on a phone", fleet, phone, "dark"],
    ["right to left, dark, on a desk", () => hostile(hostileTexts["right to left"] ?? ""), desk, "dark"],
  ] as const)("%s: no fault that axe finds", async (_, sheets, viewport, colorScheme) => {
    expect(await withPage(sheets(), { viewport, colorScheme }, accessible)).toEqual([]);
  });

  test("nothing is wider than the screen", async () => {
    for (const width of [320, 768, 1920]) {
      expect(await withPage(fleet(), { viewport: { width, height: 800 } }, isTooWide), `${width}`).toBe(
        false,
      );
    }
  });

  test("a sheet prints on one or two pages, of each locomotive of a fleet too", async () => {
    const few = { ...no11, cvs: CvSet.from([...toCvSet(no11.cvs)].slice(0, 20)) };
    for (const [sheets, format, count] of [
      [one(), "A4", 2],
      [one(), "Letter", 2],
      [[setUpSheet(few)], "Letter", 1],
    ] as const) {
      expect(await withPage(sheets, { viewport: desk }, (page) => pages(page, format)), format).toBe(count);
    }
    // The roster, and two pages each.
    expect(await withPage(fleet(), { viewport: desk }, (page) => pages(page, "A4"))).toBe(5);
  });

  test("paper is white with dark ink, whatever the screen", async () => {
    const colours = await withPage(one(), { viewport: desk, colorScheme: "dark" }, async (page) => {
      const read = () =>
        page.evaluate(
          "getComputedStyle(document.body).backgroundColor + ' ' + getComputedStyle(document.body).color",
        );
      const screen = await read();
      await page.emulateMedia({ media: "print", colorScheme: "dark" });
      return [screen, await read()];
    });
    expect(colours).toEqual(["rgb(20, 22, 26) rgb(232, 234, 237)", "rgb(255, 255, 255) rgb(25, 27, 31)"]);
  });

  test("on a phone the list of CVs is still a table for a screen reader", async () => {
    const roles = async (page: Page): Promise<Record<string, number>> => {
      const session = await page.context().newCDPSession(page);
      const { nodes } = await session.send("Accessibility.getFullAXTree");
      const counts: Record<string, number> = {};
      for (const { role } of nodes) {
        const name = String(role?.value);
        if (/^(table|row|cell|gridcell|rowheader|columnheader)$/.test(name))
          counts[name] = (counts[name] ?? 0) + 1;
      }
      return counts;
    };
    const wide = await withPage(one(), { viewport: desk }, roles);
    expect(await withPage(one(), { viewport: phone }, roles)).toEqual(wide);
    expect(wide["table"]).toBe(4);
    expect(wide["row"]).toBeGreaterThan(no9.cvs.size);
  });

  test("hostile texts do no harm", async () => {
    // Seven texts on a page: a page for each takes six times as long.
    const all = Object.entries(hostileTexts);
    for (let from = 0; from < all.length; from += 7) {
      const some = all.slice(from, from + 7);
      const which = `one of ${some.map(([name]) => name).join(", ")}`;
      await withPage(
        some.flatMap(([, word]) => hostile(word)),
        { viewport: phone },
        async (page) => {
          const result = await page.evaluate(
            "({ taken: globalThis.taken, scripts: document.scripts.length, images: document.images.length, names: document.querySelectorAll('h1,h2').length })",
          );
          // The title of the page, and that of each roster and sheet.
          expect(result, which).toEqual({ scripts: 0, images: 0, names: 1 + 2 * some.length });
          expect(await isTooWide(page), which).toBe(false);
        },
      );
    }
  });
});
