// The part of vitest's face that the tests use to declare themselves: describe, test, it, their `each`, `skipIf`
// and `runIf`, and the hooks. Tests are collected file by file, and each can be run as often as wanted.
export class Suite {
  #modules;
  #leftOut;
  #only;
  #files = new Map();
  #ids = new Map();
  #groups = [];
  /** The group of tests that is being declared. */
  #now;
  #waiting = [];

  /** Without the tests whose titles match `leftOut`; of a file in `only`, those whose titles begin with its words. */
  constructor(modules, leftOut, only = {}) {
    this.#modules = modules;
    this.#leftOut = leftOut;
    this.#only = only;
    const describe = this.#declarer((name, body) => this.#describe(name, body));
    const test = this.#declarer((name, body) => this.#test(name, body));
    const hook = (kind) => (body) => this.#now[kind].push(body);
    Object.assign(modules.vitest, {
      expect: modules.expect,
      expectTypeOf: modules.expectTypeOf,
      describe,
      test,
      it: test,
      vi: { setConfig() {} },
      beforeAll: hook("beforeAll"),
      afterAll: hook("afterAll"),
      beforeEach: hook("beforeEach"),
      afterEach: hook("afterEach"),
    });
    // Hooks of the set-up are for whole files, and of no use here.
    this.#now = this.#group(undefined, "", []);
    modules.load("tests/setup.ts");
  }

  /** The tests of a file; it is loaded when it was not yet. */
  async tests(file) {
    let tests = this.#files.get(file);
    if (tests !== undefined) return tests;
    tests = [];
    this.#now = this.#group(undefined, file, tests);
    this.#modules.load(file);
    while (this.#waiting.length > 0) {
      const { group, body } = this.#waiting.shift();
      this.#now = group;
      await body();
    }
    this.#files.set(file, tests);
    return tests;
  }

  byId(id) {
    return this.#ids.get(id);
  }

  /** Runs one test: undefined, or the text of what failed. */
  async run({ group, body }) {
    const groups = [];
    for (let at = group; at !== undefined; at = at.parent) groups.unshift(at);
    try {
      for (const each of groups) {
        if (each.begun) continue;
        each.begun = true;
        for (const hook of each.beforeAll) await hook();
      }
      for (const each of groups) for (const hook of each.beforeEach) await hook();
      try {
        await body();
      } finally {
        for (const each of groups.reverse()) for (const hook of each.afterEach) await hook();
      }
      return undefined;
    } catch (error) {
      return String(error?.message ?? error);
    }
  }

  /** Runs what tests left to be done at the end. */
  async end() {
    for (const group of this.#groups) {
      if (!group.begun) continue;
      try {
        for (const hook of group.afterAll) await hook();
      } catch {
        // A mutant may have broken what the hook cleans up.
      }
    }
  }

  #group(parent, name, tests) {
    const group = {
      parent,
      name,
      tests,
      begun: false,
      beforeAll: [],
      afterAll: [],
      beforeEach: [],
      afterEach: [],
    };
    this.#groups.push(group);
    return group;
  }

  #describe(name, body) {
    const parent = this.#now;
    const group = this.#group(parent, `${parent.name}${parent.parent ? " > " : "#"}${name}`, parent.tests);
    this.#waiting.push({ group, body });
  }

  #test(name, body) {
    const group = this.#now;
    const title = `${group.name}${group.parent ? " > " : "#"}${name}`;
    const file = title.slice(0, title.indexOf("#"));
    const only = this.#only[file] ?? "";
    if (this.#leftOut.test(title) || !title.startsWith(`${file}#${only}`)) return;
    let id = title;
    for (let again = 2; this.#ids.has(id); again++) id = `${title} (${again})`;
    const test = { id, group, body };
    this.#ids.set(id, test);
    group.tests.push(test);
  }

  /** Declares a test or a group: with its body before or after the options, for each row of a table, or not at all. */
  #declarer(add) {
    const body = (given) => given.find((one) => typeof one === "function");
    const one = (name, ...given) => add(name, body(given));
    const none = () => {};
    none.each = () => none;
    one.each =
      (rows) =>
      (name, ...given) => {
        // As in vitest: rows are lists of arguments when all of them are lists.
        const lists = rows.every(Array.isArray);
        rows.forEach((row, index) => {
          const values = lists ? row : [row];
          let at = 0;
          // Texts alone: other values need not have one.
          const title = name.replace(/%s/g, (mark) => {
            const value = values[at++];
            return typeof value === "string" ? value : mark;
          });
          add(`${title} [${index}]`, () => body(given)(...values));
        });
      };
    one.skip = none;
    one.todo = none;
    one.skipIf = (condition) => (condition ? none : one);
    one.runIf = (condition) => (condition ? one : none);
    return one;
  }
}
