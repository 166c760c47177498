// Tries a fuzz script at length: node tests/fuzz/run.mjs files|values [count, 1000000] [seed, 1]
// Each worker takes every n-th block of inputs; a failure prints the seed, the number and the text of the input.

import { mkdtempSync, rmSync } from "node:fs";
import { availableParallelism, tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";

const block = 10_000;

if (isMainThread) {
  const [name = "files", count = "1000000", seed = "1"] = process.argv.slice(2);
  const { build } = await import("esbuild");
  const folder = mkdtempSync(join(tmpdir(), "cvset-fuzz-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  const src = new URL("../../src/", import.meta.url).pathname;
  const outfile = join(folder, `${name}.mjs`);
  await build({
    entryPoints: [new URL(`${name}.ts`, import.meta.url).pathname],
    bundle: true,
    format: "esm",
    platform: "node",
    outfile,
    logLevel: "error",
    alias: Object.fromEntries([
      ["cvset", `${src}index.ts`],
      ...["check", "files", "motion", "plan", "standard"].map((name) => [
        `cvset/${name}`,
        `${src}${name}/index.ts`,
      ]),
    ]),
  });
  const workers = Math.max(1, Math.min(4, availableParallelism()));
  const start = performance.now();
  let done = 0;
  const runs = Array.from({ length: workers }, (_, first) => {
    const data = { outfile, first, workers, count: Number(count), seed: Number(seed) };
    const worker = new Worker(new URL(import.meta.url), { workerData: data });
    worker.on("message", (tried) => {
      done += tried;
      if (process.stderr.isTTY) process.stderr.write(`\r${done} inputs`);
    });
    return new Promise((resolve, reject) => worker.on("exit", resolve).on("error", reject));
  });
  try {
    await Promise.all(runs);
    console.log(
      `${done} inputs of ${name}, seed ${seed}: ${Math.round((performance.now() - start) / 1000)} s`,
    );
  } catch (error) {
    console.error(`\n${error.message}`);
    process.exit(1);
  }
} else {
  const { outfile, first, workers, count, seed } = workerData;
  const [fuzz] = Object.values(await import(pathToFileURL(outfile).href));
  for (let at = first * block; at < count; at += workers * block) {
    const tried = Math.min(block, count - at);
    // Each block has a seed of its own, so that the inputs do not depend on the number of workers.
    await fuzz(tried, seed * 1_000_003 + at / block);
    parentPort.postMessage(tried);
  }
}
