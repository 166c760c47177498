import { copyFileSync, existsSync } from "node:fs";
import { defineConfig, type Options } from "tsup";
import packageJson from "./package.json" with { type: "json" };

const folders = ["standard", "motion", "check", "packets", "plan", "simulator", "files", "testing"];
const entries = [["index", "src/index.ts"], ...folders.map((name) => [name, `src/${name}/index.ts`])].filter(
  ([, f]) => existsSync(f as string),
);

const shared: Options = {
  target: "es2022",
  // Without shared chunks each CJS entry would carry its own CvError, and instanceof would fail across them.
  splitting: true,
  minifySyntax: true,
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
