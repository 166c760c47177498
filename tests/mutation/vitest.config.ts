import { defineConfig, mergeConfig } from "vitest/config";
import base from "../vitest.config.js";

// For `npm run mutate -- --vitest`: the test files that run.mjs chose.
export default mergeConfig(
  base,
  defineConfig({
    test: { include: process.env["CVSET_TESTS"]?.split(" ") ?? [], typecheck: { enabled: false } },
  }),
);
