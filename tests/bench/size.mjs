// How large the package is in a browser: small programs, bundled with esbuild and with rollup, minified and compressed.
//
//   npm run build && node tests/bench/size.mjs     prints the sizes, and exits 1 when one is over its budget
//   node tests/bench/size.mjs --update             writes the budgets anew: what is reached, and 5 % more
//
// An entry point that is imported for nothing must cost nothing: whatever stands at the top of a file can be dropped.
// CVSET_DIST names the folder of another build.
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build, transform } from "esbuild";
import { rollup } from "rollup";

const dist = process.env.CVSET_DIST ?? fileURLToPath(new URL("../../dist", import.meta.url));
const budgetsFile = new URL("size-budgets.json", import.meta.url);
const budgets = JSON.parse(readFileSync(budgetsFile, "utf8"));

const everyCodec =
  "choice, converted, cv, CvSet, defineCodec, defineDecoder, derived, flag, flags, level, page, record, switched, table, text, variant";
const packageJson = JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8"));
const entries = Object.keys(packageJson.exports).flatMap((path) => /^\.\/(\w+)$/.exec(path)?.[1] ?? []);
const one = (name, from) => `import { ${name} } from "cvset/${from}"; console.log(${name});`;

const programs = {
  "a CV set alone": `import { CvSet } from "cvset"; console.log(CvSet.from({ 1: 3 }).get(1));`,
  "one flag": `import { cv, flag } from "cvset"; console.log(flag(cv(29).bit(5)).encode(true).toJSON());`,
  "the long address": `import { extendedAddress } from "cvset/standard"; console.log(extendedAddress.encode(1234).toJSON());`,
  "every codec, decoders and CV sets": `import { ${everyCodec} } from "cvset"; console.log(${everyCodec});`,
  "descriptions in JSON": `import { decoderFromJson, describe } from "cvset"; console.log(decoderFromJson, describe);`,
  "whether a check has failed": one("hasFailed", "check"),
  "a report in SARIF": one("formatSarif", "check"),
  "a report as text": one("formatText", "check"),
  "one plan": one("plan", "plan"),
  "one picture": one("speedPicture", "motion"),
  "everything from cvset": `import * as cvset from "cvset"; console.log(cvset);`,
  ...Object.fromEntries(
    entries.map((name) => [
      `everything from cvset/${name}`,
      `import * as all from "cvset/${name}"; console.log(all);`,
    ]),
  ),
};

const fileOf = (path) => `${dist}/${path === "cvset" ? "index" : path.slice("cvset/".length)}.js`;

/** A program in one file. Every file of dist is free of side effects, as package.json says, unless they are looked for. */
const bundlers = {
  async esbuild(contents, sideEffects = false) {
    const { outputFiles } = await build({
      stdin: { contents, resolveDir: dist },
      plugins: [
        {
          name: "cvset",
          setup({ onResolve }) {
            onResolve({ filter: /^cvset(\/\w+)?$/ }, ({ path }) => ({ path: fileOf(path), sideEffects }));
            onResolve({ filter: /^\./ }, ({ path, importer }) => ({
              path: resolve(dirname(importer), path),
              sideEffects,
            }));
          },
        },
      ],
      bundle: true,
      treeShaking: true,
      external: ["fast-check"],
      format: "esm",
      write: false,
      logLevel: "error",
    });
    return outputFiles[0].text;
  },
  async rollup(contents, sideEffects = false) {
    const bundle = await rollup({
      input: "program",
      external: ["fast-check"],
      plugins: [
        {
          name: "cvset",
          resolveId(id, importer) {
            if (id === "program") return id;
            if (/^cvset(\/|$)/.test(id)) return { id: fileOf(id), moduleSideEffects: sideEffects };
            if (id.startsWith(".")) {
              return { id: resolve(dirname(importer), id), moduleSideEffects: sideEffects };
            }
            return null;
          },
          load: (id) => (id === "program" ? contents : null),
        },
      ],
      onwarn: () => {},
    });
    return (await bundle.generate({ format: "es" })).output[0].code;
  },
};

const reached = {};
let over = 0;
for (const [name, contents] of Object.entries(programs)) {
  reached[name] = {};
  const texts = [];
  for (const [bundler, bundle] of Object.entries(bundlers)) {
    const { code } = await transform(await bundle(contents), { minify: true, format: "esm" });
    const size = gzipSync(code, { level: 9 }).length;
    const budget = budgets[name]?.[bundler] ?? 0;
    reached[name][bundler] = Math.ceil(size * 1.05);
    texts.push(`${bundler} ${size}${size > budget ? ` OVER the budget of ${budget}` : ` of ${budget}`}`);
    if (size > budget) over++;
  }
  console.log(`${name}: ${texts.join(", ")} bytes`);
}
if (process.argv.includes("--update")) {
  writeFileSync(budgetsFile, `${JSON.stringify(reached, null, 2)}\n`);
  over = 0;
}

for (const entry of ["cvset", ...entries.map((name) => `cvset/${name}`)]) {
  for (const [bundler, bundle] of Object.entries(bundlers)) {
    const text = await bundle(`import "${entry}";`, true);
    const kept = text.replace(/^(\/\/.*|import .*["']fast-check["'];)?$/gm, "").trim();
    if (!kept) continue;
    over++;
    console.error(`${entry}, imported for nothing, leaves this with ${bundler}:\n${kept.slice(0, 500)}`);
  }
}
if (over) {
  console.error(`${over} over budget`);
  process.exitCode = 1;
}
