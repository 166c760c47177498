// Lets only the chosen mutants through: those named, one a line, in the file of CVSET_MUTANTS. Stryker asks it
// before it runs a mutant; what is not chosen counts neither for nor against.
import { readFileSync } from "node:fs";
import { relative } from "node:path";
import { declareClassPlugin, PluginKind } from "@stryker-mutator/api/plugin";

/** A mutant's name: file, place and replacement. The places that Stryker gives here count from 0. */
export const keyOf = (file, { start, end }, replacement) =>
  JSON.stringify([file, start.line, start.column, end.line, end.column, replacement]);

class Chosen {
  #chosen;

  async init() {
    this.#chosen = new Set(readFileSync(process.env["CVSET_MUTANTS"], "utf8").split("\n"));
  }

  async group(mutants) {
    return [mutants.map(({ id }) => id)];
  }

  async check(mutants) {
    return Object.fromEntries(
      mutants.map(({ id, fileName, location, replacement }) => [
        id,
        this.#chosen.has(keyOf(relative(process.cwd(), fileName), location, replacement))
          ? { status: "passed" }
          : { status: "compileError", reason: "not chosen" },
      ]),
    );
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.Checker, "chosen", Chosen)];
