// The package as a user gets it: packed, installed into an empty folder, and run with each version of Node and
// TypeScript, both module formats, four bundlers and a browser. Prints a table of everything that was run, and exits
// with 1 when anything is missing or wrong.
//
//   npm run packed                          builds, then runs this
//   node tests/packed/run.mjs [WORD]        with the build that is there; only the rows with that word
//
// CVSET_BROWSER names the browser (/usr/bin/chromium). It needs Linux on x64, since it runs that system's Node versions.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { availableParallelism, tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { browserRows } from "./browser.mjs";
import { bundlers } from "./bundlers.mjs";
import { session } from "./command.mjs";
import { install, loader, pinned } from "./tools.mjs";

const here = fileURLToPath(new URL(".", import.meta.url));
const root = fileURLToPath(new URL("../..", import.meta.url));
const only = process.argv[2];
const run = promisify(execFile);
const started = performance.now();
const nodes = Object.keys(pinned).filter((name) => name.startsWith("node-"));
const compilers = Object.keys(pinned).filter((name) => name.startsWith("typescript-"));
/** The compiler whose output is run. */
const emitting = "typescript-6";

if (process.platform !== "linux" || process.arch !== "x64") {
  console.error("tests/packed/run.mjs: the pinned versions of Node are those for Linux on x64; run it there");
  process.exit(2);
}

/** What a program printed. A failure tells what it complained about, and not the whole call. */
async function output(file, args, options = {}) {
  try {
    return (await run(file, args, { maxBuffer: 1e8, timeout: 120_000, ...options })).stdout;
  } catch ({ stdout, stderr, code, signal }) {
    const said = `${stdout ?? ""}\n${stderr ?? ""}`.trim();
    throw new Error(`exit status ${code ?? signal}: ${said.slice(0, 1500)}`);
  }
}

// --- The package, packed and installed ----------------------------------------------------------------

const temporary = mkdtempSync(join(tmpdir(), "cvset-packed-"));
process.on("exit", () => rmSync(temporary, { recursive: true, force: true }));
process.on("SIGINT", () => process.exit(130));
process.on("SIGTERM", () => process.exit(143));

/** Packs the build that is there, and installs the tarball without a network: it depends on nothing. */
async function installed() {
  const { bin, exports: entries } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const files = JSON.stringify([bin, entries]).match(/(?<=")(?:\.\/)?dist\/[^"]*/g);
  const missing = files.filter((file) => !existsSync(join(root, file)));
  if (missing.length) throw new Error(`${missing[0]} is not there: run npm run build first`);
  const packing = ["pack", "--ignore-scripts", "--json", "--pack-destination", temporary];
  const said = JSON.parse(await output("npm", packing, { cwd: root }));
  const [{ filename }] = Array.isArray(said) ? said : Object.values(said);
  const folder = join(temporary, "consumer");
  mkdirSync(folder);
  writeFileSync(join(folder, "package.json"), JSON.stringify({ name: "consumer", private: true }));
  const options = ["--offline", "--ignore-scripts", "--no-audit", "--no-fund"];
  await output("npm", ["install", ...options, join(temporary, filename)], { cwd: folder });
  return folder;
}

const [tools, folder] = await Promise.all([install(), installed()]);
const load = await loader(tools);
symlinkSync(join(tools, "node_modules/fast-check"), join(folder, "node_modules/fast-check"));
const binary = (name) => join(tools, "node_modules", name, "bin/node");
const compiler = (name) => join(tools, "node_modules", name, "bin/tsc");

// --- The consumer's sources, and what the compiler makes of them ----------------------------------------

const sources = join(folder, "src");
mkdirSync(sources);
for (const name of ["program", "types", "laws"]) {
  const text = readFileSync(join(here, "consumer", `${name}.ts`), "utf8");
  for (const kind of ["mts", "cts"]) {
    const ending = kind.replace("t", "j").replace("s", "s");
    writeFileSync(join(sources, `${name}.${kind}`), text.replaceAll('./program.js"', `./program.${ending}"`));
  }
}
for (const name of ["mixed.mts", "both.mts", "both.cts"])
  copyFileSync(join(here, "consumer", name), join(sources, name));

const strict = {
  target: "ES2022",
  lib: ["ES2022", "DOM"],
  types: [],
  strict: true,
  exactOptionalPropertyTypes: true,
  noUncheckedIndexedAccess: true,
  skipLibCheck: false,
  rootDir: "src",
  outDir: "out",
};
const ways = {
  nodenext: { compilerOptions: { ...strict, module: "nodenext" }, include: ["src"] },
  bundler: {
    compilerOptions: { ...strict, module: "esnext", moduleResolution: "bundler" },
    files: ["program", "types", "laws"].map((name) => `src/${name}.mts`),
  },
};
for (const [way, config] of Object.entries(ways))
  writeFileSync(join(folder, `tsconfig.${way}.json`), JSON.stringify(config));

const compile = (name, way, ...more) =>
  output(process.execPath, [compiler(name), "-p", `tsconfig.${way}.json`, "--pretty", "false", ...more], {
    cwd: folder,
  });

/** What makes no files when types are wrong must not keep the library from being run. */
await compile(emitting, "nodenext", "--noEmitOnError", "false").catch(() => {});
const out = join(folder, "out");
writeFileSync(
  join(out, "run.mjs"),
  `const { results } = await import(process.argv[2]).then((it) => it.default ?? it);
process.stdout.write(JSON.stringify(await (results ? results() : globalThis.cvsetResults)));`,
);
writeFileSync(
  join(out, "run.cjs"),
  `Promise.resolve(require(process.argv[2]).results()).then((it) => process.stdout.write(JSON.stringify(it)));`,
);
writeFileSync(
  join(out, "bundle.mjs"),
  'import { results } from "./program.mjs";\nglobalThis.cvsetResults = results();\n',
);

/** What the program works out in a version of Node. */
const program = async (node, runner, file) =>
  JSON.parse(await output(node, [join(out, runner), file], { cwd: folder }));

const expected = await program(process.execPath, "run.mjs", "./program.mjs");
assert.deepEqual(
  [17, 18, 29, 218].map((cv) => expected.cvs[cv]),
  [196, 210, 38, 5],
);
assert.equal(expected.verified.ok, true);
assert.equal(expected.carried[0], "proved");
assert.match(expected.wrong, /90 is out of range/);

/** Compares results with those of the Node that runs this. */
function same(found) {
  const names = [...new Set([...Object.keys(expected), ...Object.keys(found)])];
  const different = names.filter((name) => JSON.stringify(found[name]) !== JSON.stringify(expected[name]));
  assert.equal(different.length, 0, `other results than in Node ${process.version}: ${different.join(", ")}`);
}

/** Fails when a program lists something that is wrong. */
function none(list) {
  if (list.length) throw new Error(list.join("\n"));
}

// --- The rows of the table ------------------------------------------------------------------------------

const rows = [];
const row = (what, by, work) => rows.push({ what, by, work });

for (const name of compilers) {
  const by = `TypeScript ${pinned[name]}`;
  const check = (way) => async () => {
    assert.match(
      await output(process.execPath, [compiler(name), "--version"]),
      new RegExp(` ${pinned[name]}\\n`),
    );
    await compile(name, way, "--noEmit");
  };
  row("types, ESM and CommonJS together", by, check("nodenext"));
  row("types, for a bundler", by, check("bundler"));
}

/** What the command printed, in the Node that runs this. */
const said = await session((args, options) => output(process.execPath, args, options), folder, expected);

for (const name of nodes) {
  const by = `Node ${pinned[name]}`;
  const node = binary(name);
  row("library, ESM", by, async () => {
    assert.equal((await output(node, ["--version"])).trim(), `v${pinned[name]}`);
    same(await program(node, "run.mjs", "./program.mjs"));
  });
  row("library, CommonJS", by, async () => same(await program(node, "run.cjs", "./program.cjs")));
  row("both builds, ESM program", by, async () => none(await program(node, "run.mjs", "./both.mjs")));
  row("both builds, CommonJS program", by, async () => none(await program(node, "run.cjs", "./both.cjs")));
  row("cvset/testing, ESM", by, async () =>
    assert.equal(await program(node, "run.mjs", "./laws.mjs"), "as expected"),
  );
  row("cvset/testing, CommonJS", by, async () =>
    assert.equal(await program(node, "run.cjs", "./laws.cjs"), "as expected"),
  );
  row("command", by, async () =>
    assert.deepEqual(await session((args, options) => output(node, args, options), folder, expected), said),
  );
}
row("command, by its name", "npm", async () => {
  const { version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const name = join(folder, "node_modules/.bin/cvset");
  assert.ok((await output(name, ["--version"])).includes(version));
});

const bundled = {};
for (const [name, bundle] of Object.entries(bundlers)) {
  const by = `${name} ${pinned[name]}`;
  bundled[name] = bundle(load, join(out, "bundle.mjs"), join(folder, "bundles", name));
  bundled[name].catch(() => {});
  row("bundle, in Node", by, async () =>
    same(await program(process.execPath, "run.mjs", await bundled[name])),
  );
}

const browser = await browserRows({ load, folder, out, bundled, pinned, expected, same });
rows.push(...browser.rows);

// --- Running them ---------------------------------------------------------------------------------------

const chosen = rows.filter(({ what, by }) => !only || `${what} ${by}`.includes(only));
const waiting = [...chosen];
await Promise.all(
  Array.from({ length: availableParallelism() }, async () => {
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      const from = performance.now();
      try {
        await next.work();
        next.result = "as expected";
      } catch (error) {
        next.result = "WRONG";
        next.why = error instanceof Error ? error.message : `${error}`;
      }
      next.seconds = (performance.now() - from) / 1000;
    }
  }),
);
await browser.close();

const wide = (key) => Math.max(...chosen.map((one) => one[key].length));
for (const one of chosen) {
  const cells = [
    one.by.padEnd(wide("by")),
    one.what.padEnd(wide("what")),
    `${one.seconds.toFixed(1)} s`.padStart(7),
  ];
  console.log(`${cells.join("  ")}  ${one.result}`);
}
const wrong = chosen.filter(({ result }) => result !== "as expected");
// The same reason is printed once, for all rows that have it.
for (const why of new Set(wrong.map((one) => one.why))) {
  const names = wrong.filter((one) => one.why === why).map(({ by, what }) => `${by}, ${what}:`);
  console.error(`\n${names.join("\n")}\n${why.length > 3000 ? `${why.slice(0, 3000)} ...` : why}`);
}
const minutes = ((performance.now() - started) / 60_000).toFixed(1);
console.log(`\n${chosen.length - wrong.length} of ${chosen.length} as expected, ${minutes} minutes`);
if (wrong.length || chosen.length === 0) process.exitCode = 1;
