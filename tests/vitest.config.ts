import { fileURLToPath } from "node:url";
import { defineConfig, type ViteUserConfig } from "vitest/config";
import packageJson from "../package.json" with { type: "json" };

const src = fileURLToPath(new URL("../src/", import.meta.url));

/** These count how often each block of the sources runs, which needs sources that were not loaded before. */
const counted = ["tests/growth.test.ts", "tests/files/growth.test.ts"];

const config: ViteUserConfig = defineConfig({
  define: { CVSET_VERSION: JSON.stringify(packageJson.version) },
  resolve: {
    alias: [
      { find: /^cvset$/, replacement: `${src}index.ts` },
      { find: /^cvset\/(\w+)$/, replacement: `${src}$1/index.ts` },
    ],
  },
  test: {
    root: fileURLToPath(new URL("..", import.meta.url)),
    maxWorkers: "100%",
    projects: [
      {
        extends: true,
        test: {
          name: "tests",
          include: ["tests/**/*.test.ts"],
          exclude: counted,
          globalSetup: ["tests/whole-run.ts"],
          setupFiles: ["tests/setup.ts"],
          // The sources are loaded once in each worker and not for each file: nothing in them remembers a call.
          isolate: false,
          testTimeout: 60_000,
          typecheck: {
            enabled: true,
            include: ["tests/**/*.test-d.ts"],
            tsconfig: "./tests/types/tsconfig.json",
          },
        },
      },
      {
        extends: true,
        test: {
          name: "counts",
          include: counted,
          setupFiles: ["tests/setup.ts"],
          testTimeout: 60_000,
        },
      },
    ],
  },
});
export default config;
