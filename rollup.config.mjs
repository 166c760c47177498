// Makes dist: one file for each folder of src, in dist/lib, that all entry points and the command share; in ESM and in
// CJS. Without shared files each entry point would carry its own classes.
import { chmodSync, copyFileSync, existsSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { fileURLToPath } from "node:url";
import { transform } from "esbuild";
import { dts } from "rollup-plugin-dts";
import ts from "typescript";

const root = dirname(fileURLToPath(import.meta.url));
const src = join(root, "src");
const { version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));

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
const entries = Object.fromEntries([
  ["index", "src/index.ts"],
  ...folders.map((name) => [name, `src/${name}/index.ts`]),
]);
const external = [/^node:/, "fast-check"];

// V8 compiles `object[key] = value` well only where a place in the code always sees the same key, and a page with a
// content security policy forbids making code at run time. So the build takes the file with the function that reads
// eight fields of a record (src/codec/make-reader.ts) several times, and each record takes the next copy.
// tests/bench/codec.mjs measures what that brings: Quillback S8 is decoded in half of the time, the plain job in a
// quarter. Each copy takes some 25 bytes of a compressed bundle. The decoder of the plain standard needs 24 copies,
// Quillback S8 36.
const copies = 48;

/** TypeScript to JavaScript, file by file, with the copies of the reader. */
function typescript() {
  return {
    name: "typescript",
    resolveId(id, importer) {
      if (!importer || !id.startsWith(".")) return null;
      const [path, copy] = id.split("?");
      const file = resolve(dirname(importer.split("?")[0]), path.replace(/\.js$/, ".ts"));
      return { id: copy ? `${file}?${copy}` : file, moduleSideEffects: file.endsWith("bin.ts") };
    },
    async load(id) {
      const [file] = id.split("?");
      const source = readFileSync(file, "utf8");
      if (file.endsWith(".json")) return `export default ${source}`;
      const { code, map } = await transform(
        file === join(src, "codec/units.ts") ? withCopies(source) : source,
        {
          loader: "ts",
          target: "es2022",
          sourcemap: "external",
          sourcefile: file,
          define: { CVSET_VERSION: JSON.stringify(version) },
          tsconfigRaw: { compilerOptions: { verbatimModuleSyntax: true } },
        },
      );
      return { code, map: JSON.parse(map) };
    },
  };
}

/** The file with a list of all copies; everything stays on its line, for the source map. */
function withCopies(source) {
  const names = Array.from({ length: copies }, (_, i) => `makeReader${i}`);
  if (!source.includes("= [makeReader];")) throw new Error("src/codec/units.ts: no list of makeReader");
  const imports = names.map((name, i) => `import { makeReader as ${name} } from "./make-reader.js?${i}";`);
  return imports.join("") + source.replace("= [makeReader];", `= [${names}];`);
}

/** What else belongs to a build: no map for a file that has no code of its own, and the command can be run. */
function finish() {
  return {
    name: "finish",
    generateBundle(_, bundle) {
      for (const chunk of Object.values(bundle)) {
        if (chunk.type !== "chunk" || chunk.map?.mappings.replaceAll(";", "")) continue;
        chunk.code = chunk.code.replace(/\n\/\/# sourceMappingURL=.*\n?$/, "\n");
        delete bundle[chunk.sourcemapFileName];
      }
    },
    writeBundle({ dir }) {
      copyFileSync("src/decoder/decoder.schema.json", join(dir, "decoder.schema.json"));
      if (existsSync(join(dir, "cli/cli.js"))) chmodSync(join(dir, "cli/cli.js"), 0o755);
    },
  };
}

/**
 * Takes what is internal out of the declarations: private members, by which TypeScript tells classes of ESM and of CJS
 * apart although they are the same, and members marked as internal, which would be offered on completion. A class whose
 * constructor is internal is not made with `new`.
 */
function publicFace() {
  return {
    name: "public-face",
    renderChunk(code) {
      const file = ts.createSourceFile("a.d.ts", code, ts.ScriptTarget.ES2022, true);
      const cuts = [];
      for (const statement of file.statements) {
        if (ts.isClassDeclaration(statement))
          for (const member of statement.members) cuts.push(...cutOf(member));
      }
      let text = code;
      for (const { from, to, put } of cuts.reverse()) text = text.slice(0, from) + put + text.slice(to);
      return { code: text, map: null };
    },
  };
}

/** What is to be cut out for one member of a class. */
function cutOf(member) {
  const cut = { from: member.getFullStart(), to: member.end };
  const isInternal = ts.getJSDocTags(member).some(({ tagName }) => tagName.text === "internal");
  if (isInternal && ts.isConstructorDeclaration(member)) {
    // Not private, since classes of the declarations extend others.
    return [{ ...cut, put: "\n    protected constructor();" }];
  }
  const isPrivate =
    ts.isPrivateIdentifier(member.name ?? member) || ts.getModifiers(member)?.some(isPrivateKeyword);
  return isInternal || isPrivate ? [{ ...cut, put: "" }] : [];
}

const isPrivateKeyword = ({ kind }) => kind === ts.SyntaxKind.PrivateKeyword;

/** Which file a module goes into: that of its folder, the three lowest layers together. */
function chunkOf(id, { getModuleInfo }) {
  const [folder, ...rest] = relative(src, id.split("?")[0]).split(sep);
  if (rest.length === 0 || folder === "..") return undefined;
  if (folder === "cli")
    return rest[0] === "verbs" || startOf(getModuleInfo).has(id) ? undefined : "cli/shared";
  if (folder === "demo") return undefined;
  // Apart, so that `cvset address` starts without making all codecs of the standard.
  if (folder === "standard" && rest[0] === "address.ts") return "lib/address";
  return ["cv", "codec", "decoder"].includes(folder) ? "lib/core" : `lib/${folder}`;
}

/** The modules that the command loads at its start, whatever the verb. */
let start;
function startOf(getModuleInfo) {
  if (start) return start;
  start = new Set();
  const add = (id) => {
    if (start.has(id)) return;
    start.add(id);
    for (const next of getModuleInfo(id)?.importedIds ?? []) add(next);
  };
  add(join(src, "cli/bin.ts"));
  return start;
}

/** Nothing is wrong that is only a warning: an import that does not resolve, a cycle. */
function onwarn({ message }) {
  throw new Error(message);
}

const output = {
  dir: "dist",
  manualChunks: chunkOf,
  onlyExplicitManualChunks: true,
  // Nothing is loaded before it is needed.
  hoistTransitiveImports: false,
  sourcemap: true,
  // The sources are in the package.
  sourcemapExcludeSources: true,
  banner: ({ name }) => (name === "cli/cli" ? "#!/usr/bin/env node" : ""),
};

const names = (extension) => ({
  entryFileNames: `[name].${extension}`,
  chunkFileNames: ({ name }) => `${name.includes("/") ? name : `cli/${name}`}.${extension}`,
});

/** ESM, with the command. */
const esm = {
  input: { ...entries, "cli/cli": "src/cli/bin.ts" },
  external,
  onwarn,
  plugins: [typescript(), finish()],
  output: { ...output, ...names("js"), format: "es" },
};

/** CJS. */
const cjs = {
  input: entries,
  external,
  onwarn,
  plugins: [typescript(), finish()],
  output: { ...output, ...names("cjs"), format: "cjs", exports: "named", interop: "auto", esModule: true },
};

/** The declarations of both. */
const declarations = {
  input: entries,
  external,
  onwarn,
  plugins: [
    dts({ tsconfig: "tsconfig.json", compilerOptions: { noEmit: false, rootDir: "src" } }),
    publicFace(),
  ],
  output: ["d.ts", "d.cts"].map((extension) => ({
    dir: "dist",
    manualChunks: chunkOf,
    onlyExplicitManualChunks: true,
    format: "es",
    ...names(extension),
  })),
};

export default [esm, cjs, declarations];
