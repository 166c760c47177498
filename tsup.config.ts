import { readFileSync } from "node:fs";
import { defineConfig, type Options } from "tsup";
import packageJson from "./package.json" with { type: "json" };

// The build of dist; .ci/finish-build.mjs does the rest.

// Every entry point of package.json: "./check" is made of src/check.
const names = Object.keys(packageJson.exports).flatMap((path) => /^\.\/(\w+)$/.exec(path)?.[1] ?? []);
const entries = Object.fromEntries([
  ["index", "src/index.ts"],
  ...names.map((name) => [name, `src/${name}/index.ts`]),
]);

// V8 compiles `object[key] = value` well only where a place in the code always sees the same key, and a page with a
// content security policy forbids making code at run time. So the build takes the file with the function that reads
// eight fields of a record (src/codec/make-reader.ts) several times, and each record takes the next copy.
// tests/bench/codec.mjs measures what that brings: Quillback S8 is decoded in half of the time, the plain job in a
// quarter. Each copy takes some 10 bytes of a compressed bundle. The decoder of the plain standard needs 24 copies,
// Quillback S8 37.
const copies = 48;

const repeatReaders: NonNullable<Options["esbuildPlugins"]>[number] = {
  name: "repeat-readers",
  setup({ onLoad, onResolve }) {
    onResolve({ filter: /make-reader\.js\?\d+$/ }, ({ path, importer }) => ({
      path: importer.replace("units.ts", "make-reader.ts"),
      suffix: path.slice(path.indexOf("?")),
    }));
    onLoad({ filter: /[\\/]codec[\\/]units\.ts$/ }, ({ path }) => {
      const source = readFileSync(path, "utf8");
      const names = Array.from({ length: copies }, (_, i) => `makeReader${i}`);
      const list = "= [makeReader];";
      if (!source.includes(list)) throw new Error(`${path}: no ${list}`);
      // On the first line, so that every other line stays where it is, for the source map.
      const imports = names.map(
        (name, i) => `import { makeReader as ${name} } from "./make-reader.js?${i}";`,
      );
      return { contents: imports.join("") + source.replace(list, `= [${names}];`), loader: "ts" };
    });
  },
};

const shared: Options = {
  target: "es2022",
  // Without shared chunks each entry point would carry its own classes.
  splitting: true,
  sourcemap: true,
  esbuildPlugins: [repeatReaders],
  esbuildOptions(options) {
    options.chunkNames = "lib/[name]-[hash]";
    // The sources are in the package.
    options.sourcesContent = false;
  },
  define: { CVSET_VERSION: JSON.stringify(packageJson.version) },
};

export default defineConfig([
  // The command shares the files of the library.
  { ...shared, entry: { ...entries, "cli/cli": "src/cli/bin.ts" }, format: ["esm"], platform: "node" },
  {
    ...shared,
    entry: entries,
    format: ["cjs"],
    platform: "neutral",
  },
  {
    entry: entries,
    format: ["esm", "cjs"],
    dts: { only: true, compilerOptions: { ignoreDeprecations: "6.0", rootDir: "src" } },
  },
]);
