import { copyFileSync, existsSync, readFileSync } from "node:fs";
import { defineConfig, type Options } from "tsup";
import packageJson from "./package.json" with { type: "json" };

const folders = [
  "standard",
  "motion",
  "check",
  "packets",
  "plan",
  "simulator",
  "connection",
  "meaning",
  "sheet",
  "files",
  "testing",
];
const entries = [["index", "src/index.ts"], ...folders.map((name) => [name, `src/${name}/index.ts`])].filter(
  ([, f]) => existsSync(f as string),
);

// V8 compiles `object[key] = value` well only where a place in the code always sees the same key, and a page with a
// content security policy forbids making code at run time. So the build repeats the function that reads eight fields
// of a record (src/codec/units.ts), and each record takes the next copy. tests/bench/codec.mjs measures what that
// brings: Quillback S8 is decoded in half of the time, the plain job in a quarter. Each copy takes some 25 bytes of a
// compressed bundle. The decoder of the plain standard needs 24 copies, Quillback S8 37.
const copies = 48;
const repeated = "makeReader";

const repeatReaders: NonNullable<Options["esbuildPlugins"]>[number] = {
  name: "repeat-readers",
  setup: ({ onLoad }) =>
    onLoad({ filter: /[\\/]codec[\\/]units\.ts$/ }, ({ path }) => {
      const source = readFileSync(path, "utf8");
      const text = source.match(new RegExp(`^function ${repeated}\\([^]*?^}\\n`, "m"))?.[0];
      if (!text || !source.includes(`[${repeated}]`)) throw new Error(`${path}: no ${repeated} to repeat`);
      const names = Array.from({ length: copies }, (_, i) => `${repeated}${i}`);
      const contents = source
        .replace(text, () => names.map((name) => text.replace(repeated, name)).join(""))
        .replace(`[${repeated}]`, `[${names}]`);
      return { contents, loader: "ts" };
    }),
};

const shared: Options = {
  target: "es2022",
  // Without shared chunks each CJS entry would carry its own CvError, and instanceof would fail across them.
  splitting: true,
  minifySyntax: true,
  esbuildPlugins: [repeatReaders],
  define: { CVSET_VERSION: JSON.stringify(packageJson.version) },
};

export default defineConfig([
  {
    ...shared,
    entry: Object.fromEntries(entries),
    format: ["esm", "cjs"],
    platform: "neutral",
    onSuccess: async () => copyFileSync("src/decoder/decoder.schema.json", "dist/decoder.schema.json"),
    dts: { compilerOptions: { ignoreDeprecations: "6.0", rootDir: "src" } },
  },
  {
    ...shared,
    entry: { cli: "src/cli/bin.ts" },
    outDir: "dist/cli",
    format: ["esm"],
    platform: "node",
    banner: { js: "#!/usr/bin/env node" },
  },
]);
