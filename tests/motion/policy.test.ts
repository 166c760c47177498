// Pictures in a page whose policy forbids styles within it. It needs Chromium, like tests/sheet/browser.test.ts.
import { existsSync } from "node:fs";
import { speedPicture, stoppingPicture } from "cvset/motion";
import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

const named = process.env["CVSET_BROWSER"];
const found = named ?? ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find((path) => existsSync(path));
const points = [0, 5, 10].map((seconds) => ({
  step: 1,
  seconds,
  distance: seconds * 8,
  speed: 10 - seconds,
}));
const pictures = {
  "a speed table": speedPicture({ title: "A", levels: Array.from({ length: 28 }, (_, i) => 9 * i + 4) }),
  "a stop": stoppingPicture({
    title: "A",
    profile: { points, seconds: 10, distance: 80 },
    mark: 90,
    runOn: 5,
  }),
};
const policy = `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'self'; img-src data:">`;

describe.skipIf(!found)("in Chromium", () => {
  let browser: Browser;
  beforeAll(async () => {
    const args = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"];
    browser = await chromium.launch({ executablePath: found ?? "", args });
  });
  afterAll(async () => browser?.close());

  /** A page with a body, as a picture. */
  async function drawn(head: string, body: string, colorScheme: "light" | "dark" = "light"): Promise<string> {
    const page = await browser.newPage({ viewport: { width: 400, height: 320 }, colorScheme });
    await page.setContent(`<!doctype html><title>A</title>${head}<body>${body}`, { waitUntil: "load" });
    const image = await page.screenshot();
    await page.close();
    return image.toString("base64");
  }
  /** The colours of paper, text and grid, as computed. */
  async function colours(head: string, body: string): Promise<string[]> {
    const page = await browser.newPage({ colorScheme: "light" });
    await page.setContent(`<!doctype html><title>A</title>${head}<body>${body}`, { waitUntil: "load" });
    const found = await page.evaluate(() =>
      ["paper", "text", "grid"].map((name) => {
        // The compiler knows no browser here.
        const { document, getComputedStyle } = globalThis as unknown as {
          document: { querySelector(selector: string): unknown };
          getComputedStyle(element: unknown): { fill: string; stroke: string };
        };
        const { fill, stroke } = getComputedStyle(document.querySelector(`.cvset-${name}`));
        return name === "grid" ? stroke : fill;
      }),
    );
    await page.close();
    return found;
  }
  const image = (svg: string) => `<img alt="" src="data:image/svg+xml,${encodeURIComponent(svg)}">`;

  test.each(Object.entries(pictures))("%s looks the same under style-src 'self'", async (_, svg) => {
    const free = await drawn("", svg);
    expect((await drawn(policy, svg)) === free).toBe(true);
    expect((await drawn(policy, image(svg))) === (await drawn("", image(svg)))).toBe(true);
    expect(await colours(policy, svg)).toEqual([
      "rgb(255, 255, 255)",
      "rgb(27, 31, 36)",
      "rgb(212, 216, 221)",
    ]);
    // Where styles are allowed, it is dark on a dark screen, as an image too.
    expect((await drawn("", svg, "dark")) === free).toBe(false);
    expect((await drawn("", image(svg), "dark")) === (await drawn("", image(svg)))).toBe(false);
  });
});
