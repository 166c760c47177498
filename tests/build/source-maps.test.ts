// What the build leaves in dist: maps that lead into the sources, which are in the package, and no file without code.
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, isAbsolute, join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";

const root = fileURLToPath(new URL("../..", import.meta.url));
const dist = join(root, "dist");
const files = readdirSync(dist, { recursive: true, encoding: "utf8" }).map((file) => join(dist, file));
const named = (end: RegExp) => files.filter((file) => end.test(file));

describe("source maps", () => {
  test("name sources that are in the package, and are there for every file", () => {
    const { files: packed } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
      files: string[];
    };
    expect(packed).toContain("src");
    const scripts = named(/(?<!\.d)\.c?js$/);
    expect(scripts.length).toBeGreaterThan(24);
    let found = 0;
    for (const script of scripts) {
      const map = readFileSync(script, "utf8").match(/\/\/# sourceMappingURL=(\S+)\s*$/)?.[1] ?? "";
      expect(map, script).not.toBe("");
      const { sources } = JSON.parse(readFileSync(resolve(dirname(script), map), "utf8")) as {
        sources: string[];
      };
      // A file that only hands on the exports of others has no source.
      found += sources.length;
      const missing = sources.filter((source) => {
        const path = resolve(dirname(script), source);
        // What making CJS adds comes from the file itself.
        if (path === script) return isAbsolute(source);
        return !existsSync(path) || !/^(src|docs.examples)/.test(relative(root, path));
      });
      expect(missing, script).toEqual([]);
    }
    expect(found).toBeGreaterThan(100);
  });

  test.each([
    ["an ESM program", "module", `import { CvSet } from "./dist/index.js";`],
    ["a CJS program", "commonjs", `const { CvSet } = require("./dist/index.cjs");`],
  ])("%s: a stack trace shows the source and the right line", (_, type, load) => {
    const program = `${load} try { CvSet.from({ 1: 300 }); } catch (error) { console.log(error.stack); }`;
    const args = ["--enable-source-maps", `--input-type=${type}`, "--eval", program];
    const { stdout, stderr } = spawnSync(process.execPath, args, { cwd: root, encoding: "utf8" });
    expect(stderr).toBe("");
    const [, file = "", line = "0"] =
      /\((?:file:\/\/)?(\S*src\/cv\/cvset\.ts):(\d+):\d+\)/.exec(stdout) ?? [];
    expect(file, stdout).not.toBe("");
    expect(readFileSync(file, "utf8").split("\n")[Number(line) - 1]).toContain("throw new CvError(");
  });
});

test("no file is without code, and none is loaded that is not there", () => {
  for (const file of named(/(?<!\.d)\.c?js$/)) {
    const text = readFileSync(file, "utf8");
    expect(text.replace(/^(\/\/.*|"use strict";|#!.*)?$/gm, "").trim(), file).not.toBe("");
    for (const [, path = ""] of text.matchAll(/(?:from|import|require\() ?["'](\.[^"']+)["']/g)) {
      expect(existsSync(resolve(dirname(file), path)), `${file}: ${path}`).toBe(true);
    }
  }
});

test("the declarations have no private and no internal member", () => {
  const declarations = named(/\.d\.c?ts$/);
  expect(declarations.length).toBeGreaterThan(23);
  for (const file of declarations) {
    expect(readFileSync(file, "utf8"), file).not.toMatch(
      /^\s+(#private|private )|^\s+(\/\*\*|\*) @internal/m,
    );
  }
});
