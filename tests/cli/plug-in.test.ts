import { existsSync, mkdirSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { root } from "../support/tree.js";
import { run, runProcess } from "./run.js";

// Plug-ins of the command: what they add, that only the option brings them in, and what is said of a file that is
// none. A module is loaded once in a process, so that every plug-in here has a name of its own.

let folder = "";
const at = (name: string) => join(folder, name);
const put = (name: string, text: string) => writeFileSync(at(name), text);
const cvset = (...args: string[]) => run(args, { cwd: folder });

const plugIn = `
import { defineCodec, defineCodecKind, derived, flag, cv } from "cvset";
import { defineRule } from "cvset/check";

export const codecs = {
  bcd: defineCodecKind({
    needs: { place: "place" },
    make: ({ place }, about) => defineCodec({
      kind: "bcd", places: [place], about,
      read(cvs) {
        const n = Number(place.read(cvs).toString(16));
        if (Number.isNaN(n)) throw new Error("no two decimal digits");
        return n;
      },
      write(cvs, n) {
        if (!Number.isInteger(n) || n < 0 || n > 99) throw new Error("expected 0 to 99");
        place.write(cvs, Number.parseInt(String(n), 16));
      },
      schema: () => ({ type: "integer", minimum: 0, maximum: 99 }),
      json: () => ({ place: place.toJSON() }),
    }),
  }),
  ones: defineCodecKind({
    needs: { place: "place", from: "places" },
    make: ({ place, from }, about) => derived(place, {
      ...about, from, kind: "ones",
      by: (numbers) => numbers.reduce((sum, n) => sum + n.toString(2).replaceAll("0", "").length, 0),
      json: () => ({ place: place.toJSON(), from: from.map((one) => one.toJSON()) }),
    }),
  }),
};
export const parts = { lamps: { porch: flag(cv(140).bit(0)) } };
export const rules = [defineRule({
  name: "station/late", severity: "warning", summary: "The clock does not strike at night.",
  source: "common practice", fix: "Set an earlier hour.",
  find: ({ settings }) => settings.hour > 22 ? [{ message: "strikes at " + settings.hour, places: [{ cv: "120", mask: 255 }] }] : [],
})];
export const terms = [{ name: "station clock", group: "station", type: "part", definition: "A clock on a platform." }];
`;

const description = {
  id: "heron-c1",
  name: "Heron C1",
  kind: "accessory",
  parts: ["lamps"],
  features: {
    hour: { codec: "bcd", place: 120, label: "Hour", means: "station clock" },
    check: { codec: "ones", place: 121, from: [120] },
  },
  factory: { 120: 0x12, 121: 2, 140: 0 },
};

beforeAll(() => {
  folder = newFolder();
  mkdirSync(at("node_modules"));
  symlinkSync(root, at("node_modules/cvset"), "dir");
  put("station.mjs", plugIn);
  put("heron-c1.json", JSON.stringify(description));
  put("one.settings.json", JSON.stringify({ decoder: "heron-c1", settings: { hour: 23, porch: true } }));
});

describe("a plug-in that the option names", () => {
  const plugin = ["--plugin", "station.mjs"];

  test("encodes, decodes, explains, with values that are worked out", async () => {
    const made = await cvset("encode", "one.settings.json", ...plugin, "--format", "list");
    expect(made).toMatchObject({ status: 0, stderr: "" });
    expect(made.stdout).toContain("CV120 = 35\nCV121 = 3\nCV140 = 1\n");
    expect(
      await runProcess(["encode", "one.settings.json", ...plugin, "--format", "list"], { cwd: folder }),
    ).toEqual(made);
    put("one.txt", made.stdout);
    const back = await cvset("decode", "one.txt", ...plugin);
    expect(JSON.parse(back.stdout)).toMatchObject({
      decoder: "heron-c1",
      settings: { porch: true, hour: 23 },
    });
    expect(JSON.parse(back.stdout).settings).not.toHaveProperty("check");
    const said = await cvset("explain", "one.txt", ...plugin);
    expect(said.stdout).toMatch(/Hour +23 /);
    expect(said.stdout).toMatch(/check +3, worked out from CV 120/);
    const changed = await cvset(
      "set",
      "one.settings.json",
      "hour=7",
      ...plugin,
      "--output",
      "two.settings.json",
    );
    expect(changed.stderr).toMatch(/^CV 120: 35 -> 7 .*\n$/);
    const steps = await cvset("plan", "one.txt", "two.settings.json", ...plugin, "--json");
    expect(JSON.parse(steps.stdout).steps.map(({ cv }: { cv: string }) => cv)).toEqual(["120"]);
    put("bad.txt", "decoder: heron-c1\nCV120=35\nCV121=4\nCV140=0\n");
    const wrong = await cvset("decode", "bad.txt", ...plugin);
    expect(wrong).toMatchObject({ status: 2, stdout: "" });
    expect(wrong.stderr).toContain("expected 3, as worked out from CV 120; found 4");
  });

  test("check applies its rules, and lists them", async () => {
    const found = await cvset("check", "one.settings.json", ...plugin, "--json");
    expect(JSON.parse(found.stdout).findings).toContainEqual(
      expect.objectContaining({ rule: "station/late", message: "strikes at 23", severity: "warning" }),
    );
    expect((await cvset("check", "--rules", ...plugin)).stdout).toContain("station/late (warning)");
    const plain = await cvset("check", "--rules");
    expect(plain.stdout).toContain("address-");
    expect(plain.stdout).not.toContain("station/late");
    expect(await cvset("check", "heron-c1.json", ...plugin)).toMatchObject({ status: 0 });
  });

  test("describe knows its kinds: the description comes back, and its schema is that with the kinds", async () => {
    const json = await cvset("describe", "heron-c1.json", "--json", ...plugin);
    expect(JSON.parse(json.stdout).features).toMatchObject(description.features);
    const schema = JSON.parse((await cvset("describe", "--schema", ...plugin)).stdout);
    expect(schema.$defs.codec.properties.codec.enum.slice(-2)).toEqual(["bcd", "ones"]);
    const plain = JSON.parse((await cvset("describe", "--schema")).stdout);
    expect(plain.$defs.codec.properties.codec.enum.at(-1)).toBe("derived");
  });

  test("describe tells where its kinds live; new leaves out what has no usual value", async () => {
    const { stdout } = await cvset("describe", "heron-c1.json", "--numbers", ...plugin);
    expect(stdout).toBe(`Heron C1 (heron-c1), accessory

  porch  true (adds 1), false (adds 0); factory: no                  CV 140 bit 0
  hour   Hour: bcd; factory: 12                                      CV 120
  check  worked out from CV 120; factory: 2, worked out from CV 120  CV 121
`);
    put("heron-c4.json", JSON.stringify({ ...description, id: "heron-c4", factory: { 120: 255, 140: 0 } }));
    const { stdout: made, stderr } = await cvset("new", "heron-c4.json", ...plugin);
    expect(JSON.parse(made).settings).toEqual({ porch: false });
    expect(stderr).toContain("note: left out, for there is no usual value: hour\n");
  });

  test("its terms are known to translate, its codecs to the sheet", async () => {
    const unknown = {
      ...description,
      id: "heron-c2",
      parts: [],
      features: { hour: { codec: "flag", place: { cv: 1, bit: 0 }, means: "station clock" } },
    };
    put("heron-c2.json", JSON.stringify(unknown));
    const args = ["translate", "one.txt", "--to", "heron-c2.json"];
    const known = await cvset(...args, ...plugin);
    // The hour cannot be carried over, which is a question: status 1.
    expect(known).toMatchObject({ status: 1, stderr: "" });
    put("points.txt", "decoder: nmra-accessory\nCV1 = 5\n");
    const plain = await cvset("translate", "points.txt", "--to", "heron-c2.json");
    expect(plain.stderr).toContain('the vocabulary has no term "station clock"');
    const sheet = await cvset("sheet", "one.txt", ...plugin);
    expect(sheet).toMatchObject({ status: 0, stderr: "" });
    expect(sheet.stdout).toContain("Hour");
  });

  test("two of them, which must not have a kind of one name", async () => {
    put(
      "more.mjs",
      `import { defineCodecKind, level } from "cvset";
export default { codecs: { percent: defineCodecKind({ needs: { place: "place" }, make: ({ place }) => level(place, { max: 100, unit: "%" }) }) } };`,
    );
    put(
      "heron-c3.json",
      JSON.stringify({
        ...description,
        id: "heron-c3",
        features: { ...description.features, dim: { codec: "percent", place: 150 } },
      }),
    );
    const both = await cvset("describe", "heron-c3.json", "--plugin", "more.mjs", "--plugin=station.mjs");
    expect(both).toMatchObject({ status: 0, stderr: "" });
    expect(both.stdout).toContain("0 to 100 %");
    const twice = await cvset("describe", "heron-c3.json", "--plugin", "more.mjs", "--plugin", "more.mjs");
    expect(twice).toMatchObject({
      status: 2,
      stdout: "",
      stderr: 'more.mjs: there is a kind of codec "percent" already\n',
    });
  });
});

describe("without the option, nothing runs", () => {
  const tell = `import { writeFileSync } from "node:fs"; writeFileSync(${JSON.stringify("ran")}, "x"); export const codecs = {};`;

  test.each<[string, object]>([
    ["a description", { ...description, plugin: "./tell.mjs" }],
    ["a description, in a list", { ...description, plugins: ["./tell.mjs"] }],
    ["a description, as its codecs", { ...description, codecs: "./tell.mjs" }],
    ["settings", { decoder: "nmra", plugin: "./tell.mjs", settings: {} }],
    ["settings, as their schema", { $schema: "./tell.mjs", decoder: "nmra", settings: {} }],
    ["settings, as their decoder", { decoder: "tell.mjs", settings: {} }],
  ])("%s cannot name one", async (_, file) => {
    put("tell.mjs", tell);
    put("names.json", JSON.stringify(file));
    for (const verb of ["explain", "check"]) await cvset(verb, "names.json");
    expect(existsSync(at("ran"))).toBe(false);
  });

  test("with it, the same file runs", async () => {
    put("told.mjs", tell.replace('"ran"', '"ran-as-asked"'));
    expect(await cvset("explain", "CV29=34", "--plugin", "told.mjs")).toMatchObject({ status: 0 });
    expect(existsSync(at("ran-as-asked"))).toBe(true);
  });

  test("a description with its kinds is refused, with the line and the kinds that there are", async () => {
    const { status, stdout, stderr } = await cvset("describe", "heron-c1.json");
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(/^heron-c1\.json:1:\d+: /);
    expect(stderr).toContain('there is no kind of codec "bcd"; the kinds are "flag", "choice"');
  });
});

describe("the help of every verb with a decoder", () => {
  test.each([
    "encode",
    "decode",
    "explain",
    "check",
    "diff",
    "plan",
    "verify",
    "translate",
    "sheet",
    "describe",
    "new",
    "set",
  ])("%s says that code is run", async (verb) => {
    const { stdout } = await cvset(verb, "--help");
    expect(stdout.replaceAll(/\s+/g, " ")).toMatch(/--plugin FILE .*ITS CODE IS RUN/);
  });

  test.each(["address", "curve", "match", "completion"])("%s has no such option", async (verb) => {
    const { stdout } = await cvset(verb, "--help");
    expect(stdout).toContain(`cvset ${verb}`);
    expect(stdout).not.toContain("--plugin");
  });
});

describe("what is wrong with a plug-in is said in words, and nothing is written", () => {
  const none = "this is no plug-in: it exports none of codecs, parts, rules, terms";
  const noRules = "rules: expected a list of rules, as defineRule makes them";
  const noTerms = "terms: expected a list of terms";
  const noParts = "parts: expected sets of features by name";
  const kind = "{ needs: {}, may: {}, schema: {}, make: () => 1 }";

  test.each<[title: string, text: string, ...words: string[]]>([
    ["code that throws", "throw new Error('no luck');", "the plug-in cannot be loaded: Error: no luck"],
    ["code that throws something odd", "throw undefined;", "the plug-in cannot be loaded: undefined"],
    ["code that throws two lines", "throw 'one\\ntwo';", "the plug-in cannot be loaded: one"],
    ["no export", "const a = 1;", none],
    ["other exports", "export const codec = {};", none],
    ["a default export of something else", "export default { codec: {} };", none],
    [
      "codecs that are none",
      "export const codecs = { a: 3 };",
      "codecs.a: expected a kind of codec, as defineCodecKind makes it, got 3",
    ],
    ["no object of codecs", "export const codecs = 3;", "codecs: expected kinds of codec by name, got 3"],
    [
      "the name of a built-in kind",
      `export const codecs = { flag: ${kind} };`,
      'codecs.flag: the kind of codec "flag" is built in: give the other one another name',
    ],
    [
      "a bad key",
      'import { defineCodecKind } from "cvset"; defineCodecKind({ needs: { label: "text" }, make: () => 1 });',
      'the plug-in cannot be loaded: CvError: every codec of a description has the key "label" already: give this one another name',
    ],
    ["rules that are none", "export const rules = [{ name: 'x' }];", noRules],
    ["a rule that is no object", "export const rules = [null];", noRules],
    ["one rule in place of a list", "export const rules = { name: 'x', find: () => [] };", noRules],
    [
      "a rule without words",
      "export const rules = [{ name: 'a/b', severity: 'note', find: () => [] }];",
      "rules: summary: expected a sentence, got undefined",
      "rules: source: expected a sentence, got undefined",
      "rules: fix: expected a sentence, got undefined",
    ],
    ["parts that are a list", "export const parts = [1];", noParts],
    ["a part that is none", "export const parts = { lamps: {}, porch: 3 };", noParts],
    [
      "the name of a built-in part",
      "export const parts = { locomotive: {} };",
      'there is a part "locomotive" already',
    ],
    ["terms that are a text", "export const terms = 'clock';", noTerms],
    ["a term that is none", "export const terms = ['clock'];", noTerms],
    ["a term without a name", "export const terms = [{ group: 'station' }];", noTerms],
    [
      "several things at once, and in a default export",
      "export default { codecs: { a: 3 }, parts: 1, rules: 2, terms: 4 };",
      "codecs.a: expected a kind of codec, as defineCodecKind makes it, got 3",
      noParts,
      noRules,
      noTerms,
    ],
  ])("%s", async (title, text, ...words) => {
    const file = `${title.replaceAll(/\W+/g, "-")}.mjs`;
    put(file, text);
    const result = await cvset("encode", "one.settings.json", "--plugin", file, "--output", "never.json");
    expect(result).toEqual({
      status: 2,
      stdout: "",
      stderr: words.map((one) => `${file}: ${one}\n`).join(""),
    });
    expect(existsSync(at("never.json"))).toBe(false);
  });

  test("a file that is not there, and a package that is not there", async () => {
    expect(await cvset("encode", "one.settings.json", "--plugin", "absent.mjs")).toEqual({
      status: 2,
      stdout: "",
      stderr: "absent.mjs: there is no such file\n",
    });
    put("needy.mjs", 'import "nowhere-at-all";');
    const { status, stderr } = await cvset("encode", "one.settings.json", "--plugin", "needy.mjs");
    expect(status).toBe(2);
    expect(stderr).toMatch(
      /^needy\.mjs: the plug-in cannot be loaded: .*nowhere-at-all(?!.*npm install cvset)/,
    );
  });

  // Node's own words, so in a process.
  test("a slip of the pen; and where cvset is not installed beside it, how to", async () => {
    put("slip.mjs", "export const codecs = {");
    const slip = await runProcess(["new", "nmra", "--plugin", "slip.mjs"], { cwd: folder });
    expect(slip).toMatchObject({ status: 2, stdout: "" });
    expect(slip.stderr).toMatch(/^slip\.mjs: the plug-in cannot be loaded: SyntaxError: .*\n$/);
    const lone = newFolder();
    writeFileSync(join(lone, "lone.mjs"), 'import { flag } from "cvset"; export const codecs = { flag };');
    const { status, stderr } = await runProcess(["new", "nmra", "--plugin", "lone.mjs"], { cwd: lone });
    expect(status).toBe(2);
    expect(stderr).toMatch(
      /^lone\.mjs: the plug-in cannot be loaded: .*'cvset'.*; install cvset in its folder: npm install cvset\n$/,
    );
  });

  test("two plug-ins with a kind or a part of one name", async () => {
    put(
      "first.mjs",
      `export const codecs = { bcd: ${kind}, bin: ${kind} }, parts = { lamps: {}, yard: {} };`,
    );
    put("second.mjs", `export const codecs = { bcd: ${kind} }, parts = { lamps: {} };`);
    const both = ["--plugin", "first.mjs", "--plugin", "second.mjs"];
    expect(await cvset("new", "nmra", ...both)).toEqual({
      status: 2,
      stdout: "",
      stderr:
        'second.mjs: there is a kind of codec "bcd" already\nsecond.mjs: there is a part "lamps" already\n',
    });
  });

  test("a codec that throws is an issue of its setting; words that throw are said to come from the plug-in", async () => {
    const result = await cvset(
      "set",
      "one.settings.json",
      "hour=100",
      "--plugin",
      "station.mjs",
      "--output",
      "never.json",
    );
    expect(result.status).toBe(2);
    expect(result.stderr).toContain("hour: bcd: expected 0 to 99");
    expect(existsSync(at("never.json"))).toBe(false);
    put(
      "mute.mjs",
      plugIn.replace("json: () => ({ place: place.toJSON() }),", 'text() { throw new Error("no words"); },'),
    );
    const mute = await cvset("explain", "one.txt", "--plugin", "mute.mjs");
    expect(mute).toMatchObject({
      status: 2,
      stderr: "a plug-in (mute.mjs), or cvset itself, failed: Error: no words\n",
    });
  });

  test("the option needs a value", async () => {
    const ran = await cvset("encode", "one.settings.json", "--plugin");
    expect([ran.status, ran.stdout]).toEqual([2, ""]);
    expect(ran.stderr).toContain("--plugin needs a value");
  });
});
