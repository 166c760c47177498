// How large the package is in a browser: small programs, bundled, minified and compressed.
//
//   npm run build && node tests/bench/size.mjs     prints the sizes, and exits 1 when one is over its budget
//
// CVSET_DIST names the folder of another build.
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const dist = process.env.CVSET_DIST ?? fileURLToPath(new URL("../../dist", import.meta.url));

const everyCodec =
  "choice, converted, cv, CvSet, defineCodec, defineDecoder, flag, flags, level, page, record, switched, table, text, variant";

/** Each program, and how many bytes it may take: what was reached, and 5 % more. */
const programs = {
  "a CV set alone": [`import { CvSet } from "cvset"; console.log(CvSet.from({ 1: 3 }).get(1));`, 3500],
  "one flag": [
    `import { cv, flag } from "cvset"; console.log(flag(cv(29).bit(5)).encode(true).toJSON());`,
    4990,
  ],
  "the long address": [
    `import { extendedAddress } from "cvset/standard"; console.log(extendedAddress.encode(1234).toJSON());`,
    7690,
  ],
  "every codec, decoders and CV sets": [
    `import { ${everyCodec} } from "cvset"; console.log(${everyCodec});`,
    17510,
  ],
  "descriptions in JSON": [
    `import { decoderFromJson, describe } from "cvset"; console.log(decoderFromJson, describe);`,
    19375,
  ],
  "everything from cvset": [`import * as cvset from "cvset"; console.log(cvset);`, 21760],
};

/** `cvset` and `cvset/...` are the built files, free of side effects as package.json says. */
const ours = {
  name: "cvset",
  setup({ onResolve }) {
    onResolve({ filter: /^cvset(\/\w+)?$/ }, ({ path }) => ({
      path: `${dist}/${path === "cvset" ? "index" : path.slice("cvset/".length)}.js`,
      sideEffects: false,
    }));
  },
};

let over = 0;
for (const [name, [contents, budget]] of Object.entries(programs)) {
  const { outputFiles } = await build({
    stdin: { contents, resolveDir: dist },
    plugins: [ours],
    bundle: true,
    minify: true,
    format: "esm",
    write: false,
    logLevel: "error",
  });
  const minified = outputFiles[0].contents;
  const size = gzipSync(minified, { level: 9 }).length;
  if (size > budget) over++;
  const verdict = size > budget ? `OVER the budget of ${budget}` : `budget ${budget}`;
  console.log(`${name}: ${size} bytes (${minified.length} before gzip), ${verdict}`);
}
if (over) {
  console.error(`${over} over budget`);
  process.exitCode = 1;
}
