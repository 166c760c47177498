import { fileURLToPath } from "node:url";
import { defineConfig, type ViteUserConfig } from "vitest/config";

const src = fileURLToPath(new URL("../src/", import.meta.url));

const config: ViteUserConfig = defineConfig({
  resolve: {
    alias: [
      { find: /^cvset$/, replacement: `${src}index.ts` },
      { find: /^cvset\/(\w+)$/, replacement: `${src}$1/index.ts` },
    ],
  },
  test: {
    root: fileURLToPath(new URL("..", import.meta.url)),
    include: ["tests/**/*.test.ts"],
    setupFiles: ["tests/setup.ts"],
    typecheck: { enabled: true, include: ["tests/**/*.test-d.ts"], tsconfig: "./tsconfig.json" },
    testTimeout: 60_000,
  },
});
export default config;
