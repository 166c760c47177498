import { fileURLToPath } from "node:url";
import { defineConfig, type ViteUserConfig } from "vitest/config";
import packageJson from "../package.json" with { type: "json" };

const src = fileURLToPath(new URL("../src/", import.meta.url));

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
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/whole-run.ts"],
    setupFiles: ["tests/setup.ts"],
    maxWorkers: "100%",
    // The sources are loaded once in each worker and not for each file: nothing in them remembers a call.
    isolate: false,
    typecheck: { enabled: true, include: ["tests/**/*.test-d.ts"], tsconfig: "./tests/types/tsconfig.json" },
    testTimeout: 60_000,
  },
});
export default config;
