// The package in headless Chromium, under a policy that allows neither making code from text nor inline styles: the
// library as modules without a bundler, each bundle, and the pictures.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { join, normalize } from "node:path";

const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:";
const js = "text/javascript";

/** Does something with two pictures as PNG, in a page: how many points differ, and how many are black or coloured. */
const compare = async ([one, two]) => {
  const points = async (data) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const canvas = Object.assign(document.createElement("canvas"), {
      width: image.width,
      height: image.height,
    });
    const context = canvas.getContext("2d");
    context.drawImage(image, 0, 0);
    return context.getImageData(0, 0, image.width, image.height).data;
  };
  const [a, b] = [await points(one), await points(two)];
  let [different, black, coloured] = [a.length === b.length ? 0 : a.length, 0, 0];
  for (let i = 0; i < a.length; i += 4) {
    const [red, green, blue] = a.subarray(i, i + 3);
    if ([0, 1, 2].some((n) => Math.abs(a[i + n] - b[i + n]) > 8)) different++;
    if (Math.max(red, green, blue) < 16) black++;
    if (Math.max(red, green, blue) - Math.min(red, green, blue) > 60) coloured++;
  }
  return { all: a.length / 4, different, black, coloured };
};

/** The rows of the table that need the browser, and a function that ends it. */
export async function browserRows({ load, folder, out, bundled, pinned, expected, same }) {
  const rows = [];
  const { chromium } = await load("playwright-core");
  const executablePath = process.env.CVSET_BROWSER ?? "/usr/bin/chromium";
  const quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync"];
  const args = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", ...quiet];
  let launched;
  const browser = () => (launched ??= chromium.launch({ executablePath, args }));

  // --- A server on this machine -------------------------------------------------------------------------

  const ours = join(folder, "node_modules/cvset");
  const { exports: entries } = JSON.parse(readFileSync(join(ours, "package.json"), "utf8"));
  const urlOf = (name) => `/cvset/${entries[name.replace(/^cvset/, ".")].import.default}`.replace("/./", "/");
  const withUrls = (text) =>
    text.replace(/(from ?)"(cvset(?:\/\w+)?)"/g, (_, from, name) => `${from}"${urlOf(name)}"`);
  const page = (body) => `<!doctype html><meta charset="utf-8"><title>cvset</title>
<link rel="stylesheet" href="/page.css"><link rel="icon" href="data:,">${body}`;
  const figures = (how) =>
    Object.entries(expected.pictures)
      .map(([name, svg]) => `<figure id="${name}">${how(name, svg)}</figure>`)
      .join("");
  const pages = {
    "/library": () => page('<script type="module" src="/library.mjs"></script>'),
    "/policy": () =>
      page('<p id="styled" style="color: red">Text</p><script type="module" src="/policy.mjs"></script>'),
    "/inline": () => page(figures((_, svg) => svg)),
    "/image": () => page(figures((name) => `<img src="/${name}.svg" alt="">`)),
    "/data": () =>
      page(figures((_, svg) => `<img src="data:image/svg+xml,${encodeURIComponent(svg)}" alt="">`)),
  };
  const files = {
    "/page.css": () => [
      "text/css",
      "figure { margin: 0; width: 480px; } img { width: 480px; display: block; }",
    ],
    "/library.mjs": () => [
      js,
      'import { results } from "/program.mjs";\nglobalThis.cvsetResults = results();\n',
    ],
    "/program.mjs": () => [js, withUrls(readFileSync(join(out, "program.mjs"), "utf8"))],
    "/policy.mjs": () => [
      js,
      `let made = true;
try { new Function("return 1")(); } catch { made = false; }
const colour = getComputedStyle(document.getElementById("styled")).color;
globalThis.cvsetResults = { made, colour };\n`,
    ],
  };
  for (const name of Object.keys(bundled)) {
    pages[`/${name}`] = () => page(`<script type="module" src="/${name}.js"></script>`);
    files[`/${name}.js`] = async () => [js, readFileSync(await bundled[name])];
  }
  for (const [name, svg] of Object.entries(expected.pictures))
    files[`/${name}.svg`] = () => ["image/svg+xml", svg];

  const answer = async (url) => {
    const path = url.replace(/\?.*/, "");
    if (pages[path]) return ["text/html", pages[path]()];
    if (files[path]) return files[path]();
    if (path.startsWith("/cvset/dist/"))
      return [js, readFileSync(join(ours, normalize(path.slice("/cvset".length))))];
    throw new Error(`no ${path}`);
  };
  const server = createServer(async (request, response) => {
    try {
      const [type, content] = await answer(request.url);
      const free = request.url.endsWith("?free");
      response.setHeader("Content-Type", type);
      if (!free) response.setHeader("Content-Security-Policy", policy);
      response.end(content);
    } catch (error) {
      response.statusCode = 404;
      response.end(`${error}`);
    }
  });
  await new Promise((resolve) => {
    server.listen(0, "127.0.0.1", resolve);
  });
  const origin = `http://127.0.0.1:${server.address().port}`;

  // --- What is done with a page ---------------------------------------------------------------------------

  /** Opens a page, and gives what came of it; with what it complained about. */
  async function open(path, use) {
    const tab = await (await browser()).newPage({ viewport: { width: 800, height: 1200 } });
    const trouble = [];
    tab.on("console", (message) => trouble.push(message.text()));
    tab.on("pageerror", (error) => trouble.push(error.message));
    tab.on("requestfailed", (request) => trouble.push(`not loaded: ${request.url().slice(0, 200)}`));
    try {
      await tab.goto(origin + path, { waitUntil: "load" });
      return { value: await use(tab), trouble };
    } finally {
      await tab.close();
    }
  }

  const worked = async (path) => {
    const { value, trouble } = await open(path, (tab) =>
      tab
        .waitForFunction(() => globalThis.cvsetResults, undefined, { timeout: 20_000 })
        .then(
          // As text, as Node prints it: a page hands over objects without their toJSON.
          (handle) => handle.evaluate(async (promise) => JSON.stringify(await promise)),
          () => "{}",
        ),
    );
    assert.deepEqual(trouble, []);
    same(JSON.parse(value));
  };

  /** Each picture of a page as PNG, in base64. */
  const photographed = async (path) => {
    const { value } = await open(path, async (tab) => {
      const made = {};
      for (const name of Object.keys(expected.pictures))
        made[name] = (await tab.locator(`#${name}`).screenshot()).toString("base64");
      return made;
    });
    return value;
  };

  /** The pictures look as they do without a policy, in colour. */
  const drawn = async (path) => {
    const [found, wanted] = [await photographed(path), await photographed(`${path}?free`)];
    const { value } = await open("/image?free", async (tab) => {
      const all = {};
      for (const name of Object.keys(found))
        all[name] = await tab.evaluate(compare, [found[name], wanted[name]]);
      return all;
    });
    for (const [name, { all, different, black, coloured }] of Object.entries(value)) {
      const counts = `${name}: ${different} of ${all} points are not as without a policy, ${black} are black, ${coloured} coloured`;
      assert.ok(different < all / 1000 && black < all / 20 && coloured > all / 2000, counts);
    }
  };

  // --- The rows -------------------------------------------------------------------------------------------

  const row = (what, work) => rows.push({ what, by: "Chromium", work });
  row("the policy holds: no code from text, no inline style", async () => {
    const { value } = await open("/policy", (tab) => tab.evaluate(() => globalThis.cvsetResults));
    assert.deepEqual(value, { made: false, colour: "rgb(0, 0, 0)" });
  });
  row("every entry but cvset/testing, as modules", () => worked("/library"));
  for (const name of Object.keys(bundled)) row(`bundle of ${name} ${pinned[name]}`, () => worked(`/${name}`));
  row("pictures, inline", () => drawn("/inline"));
  row("pictures, <img> with an address", () => drawn("/image"));
  row("pictures, <img> with data", () => drawn("/data"));

  return {
    rows,
    async close() {
      server.close();
      await (await launched?.catch(() => undefined))?.close();
    },
  };
}
