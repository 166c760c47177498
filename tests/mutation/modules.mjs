// Loads TypeScript modules of one folder tree, and loads them anew as often as wanted: each is compiled once and
// evaluated once for each set of modules. What is loaded by `import("./name.js")` is loaded at once: what runs when it
// loads belongs to no test then, and not to the one that happened to be the first.
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { compileFunction } from "node:vm";
import { stop, transformSync } from "esbuild";

export class Modules {
  #root;
  #changed;
  #compiled = new Map();
  #outside;
  #vitest;
  #version;

  /** `changed`: texts of files that stand for what is on the disk, by path. */
  constructor(root, changed = {}) {
    this.#root = root;
    this.#changed = changed;
    this.#outside = createRequire(join(root, "package.json"));
    this.#version = JSON.stringify(this.#outside("./package.json").version);
  }

  async init() {
    this.#vitest = await import(
      pathToFileURL(this.#outside.resolve("vitest/package.json")).href.replace(
        /package\.json$/,
        "dist/index.js",
      )
    );
  }

  end() {
    return stop();
  }

  /** A new set of modules: `load(file)` evaluates one of them, with what stands for `vitest` in it. */
  fresh() {
    const loaded = new Map();
    const waiting = [];
    const set = {
      root: this.#root,
      expect: this.#vitest.expect,
      expectTypeOf: this.#vitest.expectTypeOf,
      vitest: {},
    };
    const load = (path) => {
      const known = loaded.get(path);
      if (known !== undefined) return known.exports;
      const module = { exports: {} };
      loaded.set(path, module);
      try {
        const { run, later } = this.#compile(path);
        const from = dirname(path);
        run(
          module.exports,
          (name) => find(name, from),
          module,
          async (name) => {
            if (name.startsWith("file:")) return import(name);
            const found = find(name, from);
            return found.__esModule ? found : { ...found, default: found };
          },
        );
        waiting.push(...later.map((name) => () => find(name, from)));
      } catch (error) {
        loaded.delete(path);
        throw error;
      }
      return module.exports;
    };
    const find = (name, from) => {
      if (name === "vitest") return { __esModule: true, ...set.vitest };
      if (name === "cvset") return load(join(this.#root, "src/index.ts"));
      if (name.startsWith("cvset/")) return load(join(this.#root, "src", name.slice(6), "index.ts"));
      if (!name.startsWith(".")) return this.#outside(name);
      const path = resolve(from, name);
      const source = path.replace(/\.js$/, ".ts");
      if (path.endsWith(".json")) return JSON.parse(readFileSync(path, "utf8"));
      return source !== path && existsSync(source) ? load(source) : this.#outside(path);
    };
    set.load = (file) => {
      const exports = load(join(this.#root, file));
      while (waiting.length > 0) waiting.shift()();
      return exports;
    };
    return set;
  }

  #compile(path) {
    let compiled = this.#compiled.get(path);
    if (compiled === undefined) {
      const { code } = transformSync(this.#changed[path] ?? readFileSync(path, "utf8"), {
        loader: "ts",
        format: "cjs",
        target: "node20",
        sourcefile: path,
        define: {
          "import.meta.url": JSON.stringify(pathToFileURL(path).href),
          CVSET_VERSION: this.#version,
        },
      });
      const body = code.replaceAll(/\bimport\(/g, "importing(");
      const run = compileFunction(`"use strict";${body}`, ["exports", "require", "module", "importing"], {
        filename: path,
      });
      const later = [...body.matchAll(/\bimporting\("(\.[^"]*)"/g)].map(([, name]) => name);
      compiled = { run, later };
      this.#compiled.set(path, compiled);
    }
    return compiled;
  }
}
