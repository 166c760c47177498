import { defineConfig, type ViteUserConfig } from "vitest/config";
import base from "../vitest.config.js";

// For `npm run mutate -- --vitest`: the test files that run.mjs chose, and no others.
const config: ViteUserConfig = defineConfig({
  ...base,
  test: {
    ...base.test,
    include: process.env["CVSET_TESTS"]?.split(" ") ?? [],
    typecheck: { enabled: false },
  },
});
export default config;
