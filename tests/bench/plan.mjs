// How long planning takes, next to sorting the same steps. Both run in turns in one process, and each
// ratio is the median of seven processes; only ratios count.
//
//   npm run build && node tests/bench/plan.mjs          prints the ratios
//   npm run build && node tests/bench/plan.mjs --gate   and exits 1 when one is over its target + 25 %
//
// CVSET_DIST names the folder of another build.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { fileURLToPath, pathToFileURL } from "node:url";

const processes = 7;
const slack = 1.25;

const dist = process.env.CVSET_DIST
  ? pathToFileURL(`${process.env.CVSET_DIST}/`)
  : new URL("../../dist/", import.meta.url);
const { CvSet } = await import(new URL("index.js", dist));
const { plan } = await import(new URL("plan.js", dist));

// --- The jobs: everything differs ---------------------------------------------------------------------

/** Every CV outside the index area, and `perPage` CVs on each of 64 pages. */
function names(perPage) {
  const list = [];
  for (let cv = 1; cv <= 1024; cv++) if (cv < 257 || cv > 512) list.push(String(cv));
  for (let page = 0; page < 64; page++) {
    for (let i = 0; i < perPage; i++) list.push(`${257 + i}@${16 + (page >> 3)}.${page & 7}`);
  }
  return list;
}

function setOf(list, shift) {
  const value = (cv, i) => {
    if (cv === "1") return 3 + shift;
    if (cv === "17") return 192 + shift;
    if (cv === "29") return 2 + 32 * shift;
    return cv === "15" || cv === "16" ? 0 : (i * 7 + shift) & 255;
  };
  return CvSet.from(list.map((cv, i) => [cv, value(cv, i)]));
}

const jobs = [
  // 768 + 64 * 4 = 1,024 CVs.
  { name: "1,024 CVs, 256 of them on 64 pages", perPage: 4, target: 2 },
  { name: "768 CVs and 64 whole pages of 256", perPage: 256, target: 2 },
];

// --- Measuring ------------------------------------------------------------------------------------------

function shuffled(list) {
  const copy = [...list];
  let seed = 20120713;
  for (let i = copy.length - 1; i > 0; i--) {
    seed = (seed * 1103515245 + 12345) & 0x7fffffff;
    const j = seed % (i + 1);
    [copy[i], copy[j]] = [copy[j], copy[i]];
  }
  return copy;
}

function median(numbers) {
  return [...numbers].sort((a, b) => a - b)[numbers.length >> 1];
}

/** The ratio of two jobs, run in turns; each sample lasts about 20 ms. */
function ratio(mine, other) {
  const time = (run, times) => {
    const start = performance.now();
    for (let i = 0; i < times; i++) run();
    return (performance.now() - start) / times;
  };
  const sample = (run) => Math.max(1, Math.round(20 / Math.max(time(run, 20), 0.001)));
  const [a, b] = [sample(mine), sample(other)];
  const ratios = [];
  for (let round = 0; round < 15; round++) ratios.push(time(mine, a) / time(other, b));
  return median(ratios);
}

function measure() {
  return jobs.map(({ perPage }) => {
    const list = names(perPage);
    const [from, to] = [setOf(list, 0), setOf(list, 1)];
    const { steps } = plan(from, to);
    assert.ok(steps.length >= list.length - 20);
    assert.equal(plan(from, from).steps.length, 0);
    // The steps as they might come, and the least that any order needs: one comparison of two numbers.
    const mixed = shuffled(steps);
    const sort = () => mixed.slice().sort((a, b) => a.key - b.key);
    assert.deepEqual(
      sort().map(({ key }) => key),
      steps.map(({ key }) => key).sort((a, b) => a - b),
    );
    return ratio(() => plan(from, to), sort);
  });
}

if (process.argv.includes("--once")) {
  console.log(JSON.stringify(measure()));
} else {
  const runs = Array.from({ length: processes }, () =>
    JSON.parse(
      execFileSync(process.execPath, [fileURLToPath(import.meta.url), "--once"], { encoding: "utf8" }),
    ),
  );
  let failed = false;
  jobs.forEach(({ name, target }, i) => {
    const value = median(runs.map((run) => run[i]));
    const over = value > target * slack;
    failed ||= over;
    console.log(
      `${name}: planning takes ${value.toFixed(2)} x sorting (target ${target})${over ? "  TOO SLOW" : ""}`,
    );
  });
  if (process.argv.includes("--gate") && failed) process.exitCode = 1;
}
