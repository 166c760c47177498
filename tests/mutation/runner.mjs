// A test runner for Stryker that keeps the tests of a folder loaded in one process and runs, for each mutant,
// only the tests that reach it. Starting vitest for each mutant costs seconds; this costs milliseconds, and a
// run of thousands of mutants becomes possible on a small machine. The tests are the same files; `expect` is
// that of vitest; `describe`, `test` and the hooks are the few lines in suite.mjs.
//
// Three things keep the result honest:
// - a mutant that code reaches while a module loads is tried with modules loaded afresh, and with every test;
// - a mutant that seems to survive is tried a second time with modules loaded afresh, because a value kept from
//   before it was switched on may have hidden it;
// - after a kill the test that failed runs once more without the mutant; if it fails then too, something was
//   left behind, and the mutant is tried again with modules loaded afresh.
import { appendFileSync, readFileSync, writeFileSync } from "node:fs";
import { commonTokens, declareClassPlugin, PluginKind } from "@stryker-mutator/api/plugin";
import { determineHitLimitReached } from "@stryker-mutator/api/test-runner";
import { Modules } from "./modules.mjs";
import { Suite } from "./suite.mjs";

/** The name under which mutated code looks for the mutant that is switched on. */
const state = (globalThis["__stryker__"] ??= {});

/** Milliseconds above which a test waits until the quick ones are through. */
const slowTest = 15;

/** Milliseconds after which a test that waits for what never comes is ended, besides twenty times what it took. */
const longestWait = 10_000;

/** In the sandbox: the first run happens in one process, and others read from it what it measured. */
const measuredFile = ".measured.json";

/** How many tests that reach a mutant are remembered, the quickest. */
const mostReaching = 8;

const neverEnded = "the test never ended";

class LoadedTestsRunner {
  static inject = [commonTokens.options];

  #files;
  #only;
  #leftOut;
  #modules;
  #warm;
  /** How often the tests of a file noticed a mutant, so that the likely ones go first. */
  #kills = new Map();
  /** Of the first run: the milliseconds that each test took, and some of the tests that reach each mutant. */
  #measured;

  constructor(options) {
    this.#files = options.loadedTests.files;
    this.#only = options.loadedTests.only;
    this.#leftOut = new RegExp(options.loadedTests.leftOut);
    this.#modules = new Modules(process.cwd());
    process.on("unhandledRejection", () => {});
  }

  capabilities() {
    return { reloadEnvironment: true };
  }

  async init() {
    await this.#modules.init();
  }

  async dryRun() {
    state.activeMutant = undefined;
    state.hitCount = undefined;
    state.mutantCoverage = { static: {}, perTest: {} };
    this.#warm = this.#load();
    const tests = [];
    const times = {};
    for (const file of this.#files) {
      for (const test of await this.#warm.tests(file)) {
        const start = performance.now();
        state.currentTestId = test.id;
        const failure = await this.#warm.run(test);
        state.currentTestId = undefined;
        const timeSpentMs = performance.now() - start;
        const result = { id: test.id, name: test.id, timeSpentMs };
        if (failure === undefined) {
          times[test.id] = timeSpentMs;
          tests.push({ ...result, status: 0 });
        } else this.#leave(test.id, failure);
      }
    }
    const reaching = {};
    for (const [id] of Object.entries(times).sort(([, a], [, b]) => a - b)) {
      for (const mutant of Object.keys(state.mutantCoverage.perTest[id] ?? {})) {
        reaching[mutant] ??= [];
        if (reaching[mutant].length < mostReaching) reaching[mutant].push(id);
      }
    }
    writeFileSync(measuredFile, JSON.stringify({ times, reaching }));
    return { status: "complete", tests, mutantCoverage: state.mutantCoverage };
  }

  async mutantRun({ activeMutant, mutantActivation, testFilter, hitLimit }) {
    const wanted = testFilter && new Set(testFilter);
    state.hitLimit = hitLimit;
    try {
      if (mutantActivation === "static")
        return await this.#afresh(activeMutant.id, undefined, this.#near(Number(activeMutant.id)));
      if (this.#warm === undefined) await this.#warmUp();
      const result = await this.#tried(this.#warm, activeMutant.id, wanted);
      if (result.status === "killed" && (await this.#holds(result.killedBy[0]))) return result;
      if (result.status === "timeout") this.#warm = undefined;
      return result.status === "timeout" ? result : await this.#afresh(activeMutant.id, wanted);
    } finally {
      state.activeMutant = undefined;
      state.hitCount = undefined;
    }
  }

  async dispose() {
    await this.#warm?.end();
    await this.#modules.end();
  }

  #load() {
    return new Suite(this.#modules.fresh(), this.#leftOut, this.#only);
  }

  async #warmUp() {
    state.activeMutant = undefined;
    this.#warm = this.#load();
    for (const file of this.#files) await this.#warm.tests(file);
  }

  /** Whether the test that killed a mutant passes again without it. */
  async #holds(id) {
    state.activeMutant = undefined;
    state.hitCount = undefined;
    const test = this.#warm.byId(id);
    if (test !== undefined && (await this.#warm.run(test)) === undefined) return true;
    await this.#warm.end();
    this.#warm = undefined;
    return false;
  }

  async #afresh(id, wanted, first) {
    const suite = this.#load();
    try {
      return await this.#tried(suite, id, wanted, first);
    } finally {
      state.activeMutant = undefined;
      await suite.end();
    }
  }

  /** Those to try first, quick tests file by file, then the slow ones, until one fails. */
  async #tried(suite, id, wanted, first = new Set()) {
    state.hitCount = 0;
    state.activeMutant = id;
    let count = 0;
    const failed = (file, test, failure) => {
      this.#kills.set(file, (this.#kills.get(file) ?? 0) + 1);
      const stopped =
        failure === neverEnded
          ? { status: "timeout", reason: failure }
          : determineHitLimitReached(state.hitCount, state.hitLimit);
      return stopped ?? { status: "killed", killedBy: [test], failureMessage: failure, nrOfTests: count };
    };
    const [early, quick, slow] = [[], [], []];
    for (const file of this.#inOrder(wanted)) {
      let tests;
      try {
        tests = await suite.tests(file);
      } catch (error) {
        return failed(file, file, String(error));
      }
      for (const test of tests) {
        if (wanted !== undefined && !wanted.has(test.id)) continue;
        const time = this.#timeOf(test.id);
        if (time === undefined) continue;
        (first.has(test.id) ? early : time > slowTest ? slow : quick).push({ file, test, time });
      }
    }
    slow.sort((a, b) => a.time - b.time);
    for (const { file, test } of [...early, ...quick, ...slow]) {
      count += 1;
      const failure = await this.#run(suite, test);
      if (failure !== undefined) return failed(file, test.id, failure);
    }
    return { status: "survived", nrOfTests: count };
  }

  /** Runs a test: undefined, or the text of what failed; `neverEnded` where it waits for what never comes. */
  async #run(suite, test) {
    let timer;
    const late = new Promise((resolve) => {
      timer = setTimeout(resolve, longestWait + 20 * this.#timeOf(test.id), neverEnded);
    });
    try {
      return await Promise.race([suite.run(test), late]);
    } finally {
      clearTimeout(timer);
    }
  }

  /** A test that fails without a mutant can tell nothing: it is left out, and run.mjs names it. */
  #leave(id, failure) {
    appendFileSync(`${process.env["CVSET_MUTANTS"]}.failed`, `${JSON.stringify([id, failure])}\n`);
  }

  get #first() {
    this.#measured ??= JSON.parse(readFileSync(measuredFile, "utf8"));
    return this.#measured;
  }

  /** Milliseconds of a test in the first run; undefined for one that failed in it. */
  #timeOf(id) {
    return this.#first.times[id];
  }

  /** Tests that reach the mutants beside one that every test could notice: they do most often. */
  #near(id) {
    const { reaching } = this.#first;
    const found = new Set();
    for (let distance = 1; distance < 200 && found.size < 4 * mostReaching; distance++) {
      for (const beside of [id + distance, id - distance])
        for (const test of reaching[beside] ?? []) found.add(test);
    }
    return found;
  }

  /** The files with a wanted test, those that noticed the most mutants first. */
  #inOrder(wanted) {
    const some = wanted && new Set([...wanted].map((id) => id.slice(0, id.indexOf("#"))));
    const kills = (file) => this.#kills.get(file) ?? 0;
    return this.#files
      .filter((file) => some === undefined || some.has(file))
      .sort((a, b) => kills(b) - kills(a));
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.TestRunner, "loaded-tests", LoadedTestsRunner)];
