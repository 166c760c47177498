import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import { beforeEach, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

let folder = "";
beforeEach(() => {
  folder = newFolder();
});
const at = (name: string): string => join(folder, name);
const read = (name: string): string => readFileSync(at(name), "utf8");
const write = (name: string, text: string): string => {
  writeFileSync(at(name), text);
  return at(name);
};
const example = (name: string): string => readFileSync(examples + name, "utf8");

describe("new", () => {
  test.each(["quillback-s8", "dunlin-m6", "nmra", "nmra-accessory"])(
    "%s: every setting, which its schema accepts, which encode, check and decode take",
    async (decoder) => {
      const made = await run(["new", decoder, "--name", "No. 9", "-o", at("no9.json")]);
      expect(made).toEqual({ status: 0, stdout: "", stderr: "" });
      const file = JSON.parse(read("no9.json"));
      expect(Object.keys(file).slice(0, 3)).toEqual(["$schema", "decoder", "name"]);
      expect(file.$schema).toBe(`./${decoder}.schema.json`);
      const validate = new Ajv2020({ allowUnionTypes: true }).compile(
        JSON.parse(read(`${decoder}.schema.json`)),
      );
      expect(validate(file), JSON.stringify(validate.errors)).toBe(true);
      expect((await run(["check", at("no9.json")])).status).toBe(0);
      // The plain standard knows nothing of its reserved bits: they are read from the decoder.
      const isPlain = decoder.startsWith("nmra");
      const bare = await run(["encode", at("no9.json")]);
      expect(bare.status).toBe(isPlain ? 2 : 0);
      if (isPlain) expect(bare.stderr).toMatch(/ not known, .* --base CVS$/m);
      const read28 = write(
        "read.txt",
        "CV12=0\nCV14=0\nCV22=0\nCV27=0\nCV28=0\nCV29=6\nCV540=0\nCV541=128\n",
      );
      const base = isPlain ? ["--base", read28] : [];
      const encoded = await run(["encode", at("no9.json"), ...base, "-o", at("no9.cvs.json")]);
      expect(encoded).toEqual({ status: 0, stdout: "", stderr: "" });
      const decoded = await run(["decode", at("no9.cvs.json"), "--partial"]);
      expect(JSON.parse(decoded.stdout).settings).toMatchObject(file.settings);
    },
  );

  test("has the factory values where a description has them, and the standard's where it has not", async () => {
    const described = JSON.parse((await run(["new", "quillback-s8"])).stdout).settings;
    // Factory values of the demo decoder: CV 3 = 7, CV 218 = 83, CV 252 = 0.
    expect(described).toMatchObject({
      momentum: { acceleration: 6.272 },
      whistle: "three-chime",
      drains: "off",
    });
    const plain = JSON.parse((await run(["new", "nmra"])).stdout).settings;
    // S-9.2.2 (July 2012), CV 1: 3.
    expect(plain.address).toEqual({ kind: "primary", number: 3 });
  });

  test("of a description of one's own, and into a folder", async () => {
    const own = write("own-m6.json", example("dunlin-m6.json").replaceAll("dunlin-m6", "own-m6"));
    expect((await run(["new", own, "--name", "Nº 4 (yard)", "-o", `${folder}/yard/`])).status).toBe(0);
    expect(readdirSync(at("yard")).sort()).toEqual(["no-4-yard.json", "own-m6.schema.json"]);
    // Beside its description, the file is understood as it is.
    const text = readFileSync(at("yard/no-4-yard.json"), "utf8");
    expect((await run(["encode", write("no4.json", text)])).status).toBe(0);
  });

  test("on standard output it says where the schema is to be had", async () => {
    const { status, stdout, stderr } = await run(["new", "quillback-s8"]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).not.toHaveProperty("name");
    expect(stderr).toMatch(/describe quillback-s8 --schema --output quillback-s8\.schema\.json/);
  });

  test("writes over no file that was there", async () => {
    const own = write("quillback-s8.json", example("quillback-s8.json"));
    const ran = await run(["new", "quillback-s8", "-o", own]);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/there is such a file already/);
    expect(read("quillback-s8.json")).toBe(example("quillback-s8.json"));
    write("quillback-s8.schema.json", "my notes");
    expect((await run(["new", "quillback-s8", "-o", at("no9.json")])).stderr).toMatch(/stays as it is/);
    expect(read("quillback-s8.schema.json")).toBe("my notes");
  });

  test("the schema has the labels of options and the units of numbers", async () => {
    const { stdout } = await run(["describe", "quillback-s8", "--schema"]);
    const { whistle, drains, flanges } = JSON.parse(stdout).properties.settings.properties;
    expect(whistle.oneOf).toContainEqual({ const: "three-chime", title: "Three chime, for the valley" });
    expect(JSON.stringify(drains)).toContain('"title":"Open for","description":"In s, in steps of 0.25."');
    expect(JSON.stringify(flanges)).toContain('"description":"In s, in steps of 0.2."');
  });
});

describe("set", () => {
  const no9 = (): string => write("no9.json", example("no9.settings.json"));

  test("changes settings in place; order and layout stay, and the bits that change are told", async () => {
    const path = no9();
    const { status, stdout, stderr } = await run(["set", path, "fuel=oil", "drains.seconds=20"]);
    expect({ status, stdout }).toEqual({ status: 0, stdout: "" });
    expect(stderr.split("\n")).toEqual([
      "CV 246: 116 -> 52 (bit 6: 1 -> 0)  fuel: Coal -> Oil",
      "CV 389@73.9: 48 -> 80 (bit 6: 0 -> 1, bit 5: 1 -> 0)  drains.seconds: 12 s -> 20 s",
      "",
    ]);
    const before = example("no9.settings.json");
    expect(read("no9.json")).toBe(
      before.replace('"fuel": "coal"', '"fuel": "oil"').replace('"seconds": 12', '"seconds": 20'),
    );
  });

  test.each<[string, string, unknown]>([
    ["address=1235", "address", { kind: "extended", number: 1235 }],
    ["address=5", "address", { kind: "primary", number: 5 }],
    ["address.number=77", "address", { kind: "extended", number: 77 }],
    ["front.effect=half-light", "front", { shows: "forward", effect: "half-light", forLed: true }],
    ["front.forLed=no", "front", { shows: "forward", effect: "brightens-slowly", forLed: false }],
    ["whistle=Five chime", "whistle", "five-chime"],
    ["drains=off", "drains", "off"],
    ['drains={"seconds":3}', "drains", { seconds: 3 }],
    ["drains.seconds=3 s", "drains", { seconds: 3 }],
    ["keys.mute=none", "keys.mute", "none"],
    ["functionMap.F3=3,4", "functionMap.F3", [3, 4]],
    ["functionMap.F3=none", "functionMap.F3", []],
    ["functionMap.F3=[4]", "functionMap.F3", [4]],
    ["speed.levels.27=255", "speed.levels.27", 255],
    ["plate=No. 10", "plate", "No. 10"],
    ["speedSteps=14", "speedSteps", "14"],
    ["analogue=yes", "analogue", true],
  ])("%s", async (change, name, value) => {
    const path = no9();
    const ran = await run(["set", path, change]);
    expect(ran.status, ran.stderr).toBe(0);
    let found = JSON.parse(read("no9.json")).settings;
    for (const step of name.split(".")) found = found[step];
    expect(found).toEqual(value);
  });

  test.each<[string, string[], RegExp]>([
    [
      "a setting that does not exist",
      ["whistel=dim"],
      /"whistel=dim": Quillback S8 has no setting "whistel"; did you mean "whistle"\?/,
    ],
    ["a part that does not exist", ["front.efect=dim"], /no setting "front\.efect"; did you mean "effect"\?/],
    [
      "an option that does not exist",
      ["fuel=gas"],
      /^fuel: "gas" is not an option; the options are "slabwood"/,
    ],
    [
      "a number out of range",
      ["drains.seconds=90"],
      /^drains\.seconds: 90 is out of range; allowed is 1\.5 to 40 s/,
    ],
    [
      "a number between two steps",
      ["fade=0.32"],
      /^fade: 0\.32 cannot be stored exactly; the nearest are 0\.3 s and 0\.35 s/,
    ],
    ["no value", ["fuel"], /"fuel": write a setting and its value, as in fuel=oil/],
    ["a setting twice", ["fuel=oil", "fuel=coal"], /fuel is given twice/],
    ["nothing", [], /expected a settings file and settings with values, got 1 argument/],
  ])("%s is refused, and the file stays", async (_, changes, reason) => {
    const path = no9();
    const { status, stdout, stderr } = await run(["set", path, ...changes]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(reason);
    expect(read("no9.json")).toBe(example("no9.settings.json"));
    expect(readdirSync(folder)).toEqual(["no9.json"]);
  });

  test("with --output or from standard input, the file stays", async () => {
    const path = no9();
    expect(await run(["set", path, "fuel=oil", "-o", at("oil.json")])).toMatchObject({
      status: 0,
      stdout: "",
    });
    expect(read("no9.json")).toBe(example("no9.settings.json"));
    expect(JSON.parse(read("oil.json")).settings.fuel).toBe("oil");
    const piped = await run(["set", "-", "fuel=oil"], { input: example("no9.settings.json") });
    expect(piped.stdout).toBe(read("oil.json"));
  });

  test("nothing after = takes a setting out; what is as it should be changes nothing", async () => {
    const path = no9();
    expect((await run(["set", path, "plate="])).status).toBe(0);
    expect(JSON.parse(read("no9.json")).settings).not.toHaveProperty("plate");
    const before = read("no9.json");
    expect((await run(["set", path, "fuel=coal"])).stderr).toMatch(/nothing changes/);
    expect(read("no9.json")).toBe(before);
  });

  test("a CV set in JSON is changed as well; a list is not, since its remarks would be lost", async () => {
    const set = write("set.json", example("no9.cvs.json"));
    expect((await run(["set", set, "fuel=oil"])).status).toBe(0);
    expect(read("set.json")).toBe(example("no9.cvs.json").replace('"246": 116', '"246": 52'));
    const list = write("list.txt", "decoder: quillback-s8\nCV246 = 116 # coal\n");
    expect(await run(["set", list, "fuel=oil"])).toMatchObject({ status: 2, stdout: "" });
    expect(read("list.txt")).toContain("# coal");
  });

  test("a file with another fault can still be changed", async () => {
    const path = write("odd.json", '{"decoder":"quillback-s8","settings":{"whistle":"hron","fuel":"coal"}}');
    const { status, stderr } = await run(["set", path, "fuel=oil"]);
    expect(status).toBe(0);
    expect(stderr).toMatch(/note: whistle: "hron" is not an option/);
    expect(read("odd.json")).toBe('{"decoder":"quillback-s8","settings":{"whistle":"hron","fuel":"oil"}}');
  });
});

describe("decode --into", () => {
  test("puts a read-out into a settings file: what differs is changed, what is new is added", async () => {
    const text = `{
  "decoder": "quillback-s8",
  "name": "No. 9",
  "settings": { "fuel": "coal",   "whistle": "two-note",
    "drains": { "seconds": 8 } }
}
`;
    const path = write("no9.json", text);
    const { status, stdout } = await run(["decode", "no9.cvs.json", "--into", path]);
    expect({ status, stdout }).toEqual({ status: 0, stdout: "" });
    const merged = read("no9.json");
    expect(merged.startsWith(text.slice(0, text.indexOf("two-note")))).toBe(true);
    expect(merged).toContain('"whistle": "three-chime"');
    expect(merged).toContain('"drains": { "seconds": 12 }');
    const { settings } = JSON.parse(merged);
    expect(settings.address).toEqual({ kind: "extended", number: 1234 });
    // As it is from the factory, so the file need not say it.
    expect(settings).not.toHaveProperty("biDirectional");
    expect(await run(["diff", path, "no9.cvs.json"])).toMatchObject({
      status: 0,
      stdout: "No difference.\n",
    });
  });

  test("with --output the file stays; what cannot be read is refused, or told with --partial", async () => {
    const path = write("no9.json", example("no9.settings.json"));
    const odd = write(
      "odd.txt",
      (await run(["encode", "no9.settings.json", "-f", "list"])).stdout
        .replace("CV218 = 81", "CV218 = 17")
        .replace("CV246 = 116", "CV246 = 52"),
    );
    expect(await run(["decode", odd, "--into", path])).toMatchObject({ status: 2, stdout: "" });
    const ran = await run(["decode", odd, "--into", path, "--partial", "-o", at("new.json")]);
    expect(ran.status).toBe(1);
    expect(read("no9.json")).toBe(example("no9.settings.json"));
    expect(JSON.parse(read("new.json")).settings).toMatchObject({ whistle: "three-chime", fuel: "oil" });
  });
});

describe("a description beside the file", () => {
  test("is found by the name that the file gives, which encode and decode keep", async () => {
    write("mine.json", example("dunlin-m6.json").replaceAll('"dunlin-m6"', '"other-id"'));
    const settings = write("no9.json", '{"decoder":"mine","settings":{"burns":"oil"}}');
    expect((await run(["encode", settings, "-o", at("no9.cvs.json")])).status).toBe(0);
    expect(JSON.parse(read("no9.cvs.json")).decoder).toBe("mine");
    const decoded = await run(["decode", at("no9.cvs.json"), "--partial"]);
    expect(JSON.parse(decoded.stdout)).toMatchObject({ decoder: "mine", settings: { burns: "oil" } });
  });

  test("that is broken fails a check of the folder, once in full", async () => {
    write(
      "mine.json",
      '{"id":"mine","name":"Mine","kind":"multifunction","features":{"a":{"codec":"chioce"}}}',
    );
    for (const n of [1, 2, 3]) write(`no${n}.json`, `{"decoder":"mine","cvs":{"1":${n}}}`);
    const { status, stdout } = await run(["check", folder]);
    expect(status).toBe(1);
    expect(stdout).toMatch(
      /mine\.json:1:\d+: error: features\.a\.codec: there is no kind of codec "chioce".*\[description-unusable\]/,
    );
    expect(stdout.match(/error: the decoder cannot be used: /g)).toHaveLength(3);
    expect(existsSync(at("mine.json"))).toBe(true);
  });
});

test("without a decoder, it is said that the plain standard is assumed", async () => {
  const input = '{"settings":{"momentum":{"acceleration":8.96}}}';
  const { status, stdout, stderr } = await run(["encode", "-"], { input });
  expect([status, JSON.parse(stdout).cvs["3"]]).toEqual([0, 10]);
  expect(stderr).toMatch(/standard input names no decoder; its settings are read as those of nmra/);
});

test("each letter stands for one option, whatever the verb", async () => {
  const letters = new Map<string, string>();
  const { stdout } = await run(["--help"]);
  for (const [, verb = ""] of stdout.matchAll(/^ {2}(\w+) {2}/gm)) {
    const help = await run([verb, "--help"]);
    for (const [, letter = "", name = ""] of help.stdout.matchAll(/^ {2}-(\w), (--[\w-]+)/gm)) {
      expect([verb, letter, letters.get(letter) ?? name]).toEqual([verb, letter, name]);
      letters.set(letter, name);
    }
  }
  expect([letters.get("d"), letters.get("o")]).toEqual(["--decoder", "--output"]);
});
