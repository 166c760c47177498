// How fast CV sets are read, against JSON.parse and a hand-written loop in the same run: ratios only.
// node tests/bench/files.mjs [--full]   (--full also streams a file of 100 MB and prints the memory)

import { createReadStream, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "esbuild";

const folder = mkdtempSync(join(tmpdir(), "cvset-bench-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
await build({
  stdin: {
    contents: 'export { CvSet } from "./index.ts"; export * from "./files/index.ts";',
    resolveDir: new URL("../../src", import.meta.url).pathname,
  },
  bundle: true,
  format: "esm",
  outfile: join(folder, "cvset.mjs"),
  logLevel: "error",
});
const { CvSet, editSettings, readAny, readCvSet, readMany, writeCvSet, writeSettings } = await import(
  pathToFileURL(join(folder, "cvset.mjs")).href
);

/** What a careful author writes by hand: JSON.parse, then a loop that checks keys and values. */
function byHand(text) {
  const parsed = JSON.parse(text);
  const map = parsed.cvs ?? parsed;
  const bytes = new Int16Array(1025).fill(-1);
  const issues = [];
  for (const key of Object.keys(map)) {
    const cv = Number(key);
    const value = map[key];
    if (!Number.isInteger(cv) || cv < 1 || cv > 1024 || String(cv) !== key) issues.push(`CV ${key}?`);
    else if (!Number.isInteger(value) || value < 0 || value > 255) issues.push(`CV ${key} = ${value}?`);
    else bytes[cv] = value;
  }
  if (issues.length) throw new Error(issues.join());
  return bytes;
}

function setOf(size) {
  const pairs = [];
  for (let i = 0; i < size; i++) pairs.push([size <= 512 ? i * 2 + 1 : i + 1, (i * 37) & 255]);
  return { cvs: CvSet.from(pairs), decoder: "quillback-s8", name: "No. 9" };
}

/** The best of several rounds, in microseconds a call; the best is what the machine's noise leaves alone. */
function timed(work) {
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round < 15; round++) {
    let calls = 0;
    const start = performance.now();
    do {
      work();
      calls++;
    } while (performance.now() - start < 40);
    best = Math.min(best, ((performance.now() - start) * 1000) / calls);
  }
  return best;
}

function report(title, contenders) {
  // Everything is warmed up before anything is measured, so that no contender runs in a fresh engine.
  for (const work of Object.values(contenders)) timed(work);
  const base = timed(Object.values(contenders)[0]);
  console.log(title);
  for (const [name, work] of Object.entries(contenders)) {
    console.log(`  ${name.padEnd(34)} ${(timed(work) / base).toFixed(2)}x`);
  }
}

for (const size of [40, 100, 1000]) {
  const file = setOf(size);
  const pretty = writeCvSet(file);
  const line = writeCvSet(file, "line");
  const bytes = new TextEncoder().encode(pretty);
  const list = writeCvSet(file, "list");
  const csv = writeCvSet(file, "csv");
  report(`${size} CVs`, {
    "JSON.parse and a loop by hand": () => byHand(pretty),
    "JSON.parse alone": () => JSON.parse(pretty),
    "readCvSet, JSON": () => readCvSet(pretty),
    "readCvSet, JSON on one line": () => readCvSet(line),
    "readAny, JSON as bytes": () => readAny(bytes),
    "readCvSet, plain list": () => readCvSet(list),
    "readCvSet, CSV": () => readCvSet(csv),
    writeCvSet: () => writeCvSet(file),
  });
}

const settings = Object.fromEntries(
  Array.from({ length: 100 }, (_, i) => [`feature${i}`, { level: i, on: true }]),
);
const text = writeSettings({ decoder: "quillback-s8", settings });
report("settings, 100 features", {
  "JSON.parse alone": () => JSON.parse(text),
  readSettings: () => readAny(text),
  "editSettings, one value": () => editSettings(text, { "feature50.level": 7 }),
});

// What a user of `check` waits for: all files of a large fleet, read and not yet checked.
{
  const files = Array.from({ length: 10_000 }, (_, i) => writeCvSet({ ...setOf(100), name: `No. ${i}` }));
  const start = performance.now();
  for (const file of files) if (!readAny(file).ok) throw new Error("a good file was refused");
  console.log(`10,000 files of 100 CVs: ${Math.round(performance.now() - start)} ms`);
}

if (process.argv.includes("--full")) {
  const line = writeCvSet(setOf(100), "line");
  for (const megabytes of [25, 50, 100]) {
    const path = join(folder, "many.jsonl");
    writeFileSync(path, line.repeat(Math.floor((megabytes * 1e6) / line.length)));
    let sets = 0;
    let most = 0;
    const start = performance.now();
    for await (const { result } of readMany(createReadStream(path))) {
      if (!result.ok) throw new Error("a good line was refused");
      if (++sets % 10_000 === 0) most = Math.max(most, process.memoryUsage().rss);
    }
    const seconds = (performance.now() - start) / 1000;
    console.log(
      `${megabytes} MB of JSON lines: ${sets} sets, ${seconds.toFixed(1)} s, at most ${Math.round(most / 1e6)} MB in memory`,
    );
  }
}
