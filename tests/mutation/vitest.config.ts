import { defineConfig, type ViteUserConfig } from "vitest/config";
import base from "../vitest.config.js";

// For `npm run mutate -- --vitest`: the test files that run.mjs chose, and no others.
const config: ViteUserConfig = defineConfig({
  ...base,
  test: {
    root: base.test?.root ?? "",
    globalSetup: ["tests/whole-run.ts"],
    setupFiles: ["tests/setup.ts"],
    testTimeout: 60_000,
    include: process.env["CVSET_TESTS"]?.split(" ") ?? [],
    typecheck: { enabled: false },
  },
});
export default config;
