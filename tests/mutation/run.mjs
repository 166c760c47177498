// npm run mutate -- [FOLDER | FILE ...] [--sample N] [--seed N] [--runs N] [--jobs N] [--again] [--vitest] [--write]
//
// Changes the source in one place at a time and looks whether a test fails; what no test notices is listed.
// docs/mutation.md tells how to read it.
import { createHash } from "node:crypto";
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { Stryker } from "@stryker-mutator/core";
import { Instrumenter } from "@stryker-mutator/instrumenter";
import { folders, left, leftTests } from "./folders.mjs";
import { Keys } from "./keys.mjs";
import { keyOf } from "./sample.mjs";

const { values: asked, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    /** Mutants of each folder that are tried; without it, all. */
    sample: { type: "string" },
    /** Which mutants a sample takes. */
    seed: { type: "string", default: "1" },
    /** Cases of each property test. */
    runs: { type: "string", default: "50" },
    jobs: { type: "string", default: "1" },
    /** Only what survived the last run. */
    again: { type: "boolean", default: false },
    /** With the test runner for vitest in place of the fast one. */
    vitest: { type: "boolean", default: false },
    /** Writes the scores of whole folders into docs/mutation.md. */
    write: { type: "boolean", default: false },
  },
});

const root = fileURLToPath(new URL("../..", import.meta.url));
const here = fileURLToPath(new URL(".", import.meta.url));
const page = join(root, "docs/mutation.md");
process.chdir(root);
process.env["CVSET_RUNS"] = asked.runs;

/** Files of a kind in a folder and its folders, in order of name. */
const filesIn = (folder, ending) =>
  readdirSync(folder, { recursive: true })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(folder, name))
    .sort();

/** The test files of a folder of src, each with the words that the titles of its tests have to begin with. */
function testsOf(folder) {
  const only = {};
  const files = folders[folder].flatMap((entry) => {
    const [name, words] = entry.split("#");
    const path = join("tests", name);
    if (words !== undefined) only[`${path}.test.ts`] = words;
    const file = `${path}.test.ts`;
    if (existsSync(file)) return [file];
    return filesIn(path, ".test.ts").filter(
      (one) => !left.has(one.slice("tests/".length, -".test.ts".length)),
    );
  });
  return { tests: [...new Set(files)], only };
}

/** What is asked for: for each folder of src its files, all or those named. */
function wanted() {
  const names = positionals.length > 0 ? positionals : Object.keys(folders);
  const of = new Map();
  for (const name of names) {
    const path = name in folders ? join("src", name) : relative(root, name);
    const folder = path.split("/")[1];
    if (!(folder in folders))
      throw new Error(
        `${name} is neither a folder nor a file of src; the folders are ${Object.keys(folders).join(", ")}`,
      );
    const files = path.endsWith(".ts") ? [path] : filesIn(path, ".ts");
    of.set(folder, {
      folder,
      files: [...(of.get(folder)?.files ?? []), ...files],
      whole: path === join("src", folder),
    });
  }
  return [...of.values()];
}

/** Every mutant of some files, with the text around it. */
async function mutantsOf(files) {
  const quiet = { isDebugEnabled: () => false, debug() {}, info() {}, warn() {} };
  const found = [];
  for (const file of files) {
    const content = readFileSync(file, "utf8");
    const given = [{ name: file, mutate: true, content }];
    const { mutants } = await new Instrumenter(quiet).instrument(given, {
      plugins: null,
      excludedMutations: [],
      ignorers: [new Keys()],
    });
    const lines = content.split("\n");
    for (const { location, replacement, mutatorName, status } of mutants) {
      if (status === "Ignored") continue;
      const { start, end } = location;
      const cut = lines.slice(start.line, end.line + 1);
      cut[cut.length - 1] = cut.at(-1).slice(0, end.column);
      cut[0] = cut[0].slice(start.column);
      found.push({
        key: keyOf(file, location, replacement),
        file,
        line: start.line + 1,
        column: start.column + 1,
        within: lines[start.line].trim(),
        original: cut.join("\n"),
        replacement,
        mutator: mutatorName,
      });
    }
  }
  return found;
}

const same = (one) => JSON.stringify([one.file, one.within, one.original, one.replacement]);

/** A part of the mutants that depends on the seed and on each mutant, and on nothing else. */
function sampleOf(mutants, count) {
  const draw = ({ key }) =>
    createHash("sha256")
      .update(asked.seed + key)
      .digest("hex");
  return mutants
    .map((mutant) => ({ mutant, at: draw(mutant) }))
    .sort((a, b) => (a.at < b.at ? -1 : 1))
    .slice(0, count)
    .map(({ mutant }) => mutant);
}

const reportOf = (folder) => join("reports/mutation", `${folder}.json`);

function chosenOf(folder, all) {
  if (asked.again) {
    const before = new Set(JSON.parse(readFileSync(reportOf(folder), "utf8")).survivors.map(same));
    return all.filter((mutant) => before.has(same(mutant)));
  }
  return asked.sample === undefined ? all : sampleOf(all, Number(asked.sample));
}

/** Tries the mutants of a folder: each with its result. */
async function tried({ folder, files }, chosen) {
  const temp = mkdtempSync(join(tmpdir(), "cvset-mutants-"));
  try {
    const list = join(temp, "chosen");
    writeFileSync(list, chosen.map(({ key }) => key).join("\n"));
    process.env["CVSET_MUTANTS"] = list;
    // What tests write for a while is removed with it: a run for each mutant leaves much.
    process.env["TMPDIR"] = temp;
    const { tests, only } = testsOf(folder);
    const ours = {
      testRunner: "loaded-tests",
      plugins: [join(here, "runner.mjs"), join(here, "sample.mjs"), join(here, "keys.mjs")],
      loadedTests: { files: tests, only, leftOut: leftTests.source },
    };
    const theirs = {
      testRunner: "vitest",
      plugins: ["@stryker-mutator/vitest-runner", join(here, "sample.mjs"), join(here, "keys.mjs")],
      vitest: { configFile: "tests/mutation/vitest.config.ts", related: false },
    };
    process.env["CVSET_TESTS"] = tests.join(" ");
    const results = await new Stryker({
      ...(asked.vitest ? theirs : ours),
      mutate: files,
      checkers: ["chosen"],
      ignorers: ["keys"],
      coverageAnalysis: "perTest",
      concurrency: Number(asked.jobs),
      // A busy machine must not count as a kill: only what takes very much longer than before is stopped.
      timeoutMS: 60_000,
      timeoutFactor: 3,
      dryRunTimeoutMinutes: 30,
      reporters: [],
      logLevel: "error",
      warnings: false,
      // The build stays, for plug-ins in tests import it.
      ignorePatterns: ["coverage", "reports", "docs/reference"],
      disableTypeChecks: false,
      allowEmpty: true,
    }).runMutationTest();
    const failed = `${list}.failed`;
    for (const line of existsSync(failed) ? readFileSync(failed, "utf8").trim().split("\n") : []) {
      const [test, failure] = JSON.parse(line);
      console.log(`left out, since it fails without any mutant: ${test}: ${oneLine(failure)}`);
    }
    // In results lines and columns count from 1, and before from 0.
    const from0 = ({ line, column }) => ({ line: line - 1, column: column - 1 });
    const result = new Map(
      results.map((one) => {
        const location = { start: from0(one.location.start), end: from0(one.location.end) };
        return [keyOf(relative(root, one.fileName), location, one.replacement), one];
      }),
    );
    return chosen.map((mutant) => {
      const { status, killedBy, statusReason } = result.get(mutant.key);
      return { ...mutant, status, killedBy, statusReason };
    });
  } finally {
    rmSync(temp, { recursive: true, force: true });
  }
}

const percent = (part, whole) => (whole === 0 ? "-" : `${((100 * part) / whole).toFixed(1)} %`);
const is =
  (...statuses) =>
  (mutant) =>
    statuses.includes(mutant.status);
const oneLine = (text) => {
  const flat = text.replace(/\s+/g, " ");
  return flat.length > 110 ? `${flat.slice(0, 107)}...` : flat;
};

const equivalent = new Map(
  JSON.parse(readFileSync(join(here, "equivalent.json"), "utf8")).map((one) => [same(one), one.reason]),
);

const rows = [];
for (const part of wanted()) {
  const { folder, files, whole } = part;
  const start = performance.now();
  const all = await mutantsOf(files);
  const chosen = chosenOf(folder, all);
  const mutants = chosen.length === 0 ? [] : await tried(part, chosen);
  const noticed = mutants.filter(is("Killed", "Timeout"));
  const survivors = mutants.filter(is("Survived", "NoCoverage"));
  const known = survivors.filter((mutant) => equivalent.has(same(mutant)));
  const unknown = survivors.filter((mutant) => !equivalent.has(same(mutant)));
  const counted = noticed.length + survivors.length;
  for (const mutant of unknown) {
    const { file, line, column, original, replacement, status } = mutant;
    console.log(`\n${file}:${line}:${column}${status === "NoCoverage" ? "  (no test comes here)" : ""}`);
    console.log(`  - ${oneLine(original)}\n  + ${oneLine(replacement) || "(nothing)"}`);
  }
  for (const { file, line, original, replacement } of mutants.filter(is("Timeout"))) {
    console.log(`\n${file}:${line} never ended: ${oneLine(original)} -> ${oneLine(replacement)}`);
  }
  for (const { file, line, statusReason } of mutants.filter(is("RuntimeError", "CompileError", "Ignored"))) {
    console.log(`\n${file}:${line} could not be tried: ${oneLine(statusReason ?? "")}`);
  }
  const row = {
    folder,
    date: new Date().toISOString().slice(0, 10),
    all: all.length,
    tried: counted,
    noticed: noticed.length,
    equivalent: known.length,
    seconds: Math.round((performance.now() - start) / 1000),
  };
  rows.push({ ...row, whole });
  console.log(
    `\n${folder}: ${row.noticed} of ${counted} noticed, ${percent(row.noticed, counted)}; without the ${known.length} that change nothing, ${percent(row.noticed, counted - known.length)} (${chosen.length} of ${all.length} mutants, ${row.seconds} s)`,
  );
  mkdirSync("reports/mutation", { recursive: true });
  if (whole || asked.again) {
    writeFileSync(
      reportOf(folder),
      JSON.stringify({ ...row, survivors, stopped: mutants.filter(is("Timeout")) }, null, 1),
    );
  }
}

if (asked.write && !asked.again) {
  const text = readFileSync(page, "utf8");
  const line = ({ folder, date, all, tried, noticed, equivalent }) => {
    const which = tried < all && asked.sample ? `sample, seed ${asked.seed}` : "whole";
    return `| ${folder} | ${date} | ${all} | ${tried}, ${which} | ${percent(noticed, tried)} | ${percent(noticed, tried - equivalent)} |`;
  };
  let now = text;
  for (const row of rows.filter(({ whole }) => whole)) {
    now = now.replace(new RegExp(`^\\| ${row.folder} \\|.*$`, "m"), line(row));
  }
  writeFileSync(page, now);
}
