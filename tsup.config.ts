import { defineConfig } from "tsup";

export default defineConfig({
  entry: { index: "src/index.ts" },
  format: ["esm", "cjs"],
  target: "es2022",
  // Without shared chunks each CJS entry would carry its own CvError, and instanceof would fail across them.
  splitting: true,
  treeshake: false,
  clean: true,
  dts: { compilerOptions: { ignoreDeprecations: "6.0", rootDir: "src" } },
});
