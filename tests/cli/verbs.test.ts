import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { verbNames } from "../../src/cli/table.js";
import { newFolder } from "../support/folders.js";
import { examples, type Ran, run } from "./run.js";

const example = (name: string): string => readFileSync(examples + name, "utf8");
const scratch = newFolder();
const file = (name: string, content: string | Uint8Array): string => {
  const path = join(scratch, name);
  writeFileSync(path, content);
  return path;
};

/** What every refusal has in common: status 2, nothing written, something said, no stack trace. */
function expectRefusal({ status, stdout, stderr }: Ran): void {
  expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
  expect(stderr).not.toBe("");
  expect(stderr).not.toMatch(/\n\s+at |node:internal|cvset itself failed/);
}

describe("encode and decode", () => {
  test("undo each other, byte for byte", async () => {
    const cvs = await run(["encode", "no9.settings.json"]);
    expect(cvs).toEqual({ status: 0, stdout: example("no9.cvs.json"), stderr: "" });
    const settings = await run(["decode", "-"], { input: cvs.stdout });
    expect(settings).toEqual({ status: 0, stdout: example("no9.settings.json"), stderr: "" });
  });

  test.each(["list", "csv"])("also through the format %s", async (format) => {
    const written = await run(["encode", "no9.settings.json", "--format", format]);
    expect(written.status).toBe(0);
    const back = await run(["decode", "-", "-d", "quillback-s8"], { input: written.stdout });
    expect(back.status).toBe(0);
    expect(JSON.parse(back.stdout).settings).toEqual(JSON.parse(example("no9.settings.json")).settings);
  });

  test("with a base, bits that no named setting owns stay", async () => {
    const settings = file("oil.json", '{"decoder":"quillback-s8","settings":{"fuel":"oil"}}');
    const base = file("base.txt", "CV246 = 0b01111011\nCV900 = 7\n");
    const { status, stdout } = await run(["encode", settings, "--base", base]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout).cvs).toEqual({ "246": 0b00111011, "900": 7 });
  });

  test("a byte whose other bits nobody knows is refused by name", async () => {
    const settings = file("oil.json", '{"decoder":"quillback-s8","settings":{"fuel":"oil"}}');
    const base = file("empty.txt", "# nothing read yet\nCV900 = 7\n");
    const ran = await run(["encode", settings, "--base", base]);
    expectRefusal(ran);
    expect(ran.stderr).toMatch(/CV 246 bits 0-4: not known, .* --base CVS/);
  });

  test("what is missing is listed feature by feature, and --partial writes the rest", async () => {
    const cvs = file("few.txt", "CV218 = 81\nCV246 = 116\nCV252 = 2\n");
    const ran = await run(["decode", cvs, "--decoder", "quillback-s8"]);
    expectRefusal(ran);
    // Many of one kind are one line.
    expect(ran.stderr).toMatch(/^\S+few\.txt: CV 3, .* not in the CV set \(address, consist, /);
    expect(ran.stderr.trimEnd().split("\n")).toHaveLength(2);
    const part = await run(["decode", cvs, "--decoder", "quillback-s8", "--partial"]);
    expect(part.status).toBe(1);
    expect(JSON.parse(part.stdout).settings).toMatchObject({ whistle: "three-chime", fuel: "coal" });
    expect(JSON.parse(part.stdout).settings).not.toHaveProperty("drains");
  });

  test("a CV that no option has is named with its line, and everything else is decoded", async () => {
    const list = await run(["encode", "no9.settings.json", "--format", "list"]);
    const cvs = file("odd.txt", list.stdout.replace("CV218 = 81", "CV218 = 17"));
    const line = list.stdout.split("\n").findIndex((one) => one.startsWith("CV218 ")) + 1;
    const ran = await run(["decode", cvs]);
    expectRefusal(ran);
    expect(ran.stderr).toMatch(
      `odd.txt:${line}:1: whistle: CV 218 bits 4-6: no option has the stored number 1; `,
    );
    const part = await run(["decode", cvs, "--partial"]);
    const { whistle, ...others } = JSON.parse(example("no9.settings.json")).settings;
    expect(JSON.parse(part.stdout).settings).toEqual(others);
    expect(whistle).toBe("three-chime");
  });

  test("CVs that no feature has are named, since settings cannot hold them", async () => {
    const list = await run(["encode", "no9.settings.json", "--format", "list"]);
    const ran = await run(["decode", "-"], { input: `${list.stdout}CV60 = 5\nCV300 = 4\n` });
    expect(ran).toMatchObject({ status: 0, stdout: example("no9.settings.json") });
    expect(ran.stderr).toContain("no feature of Quillback S8 has CV 60, CV 300");
  });

  test("--nearest stores a number between two steps, and without it both are named", async () => {
    const settings = file("slow.json", '{"settings":{"momentum":{"acceleration":10}}}');
    const ran = await run(["encode", settings]);
    expectRefusal(ran);
    expect(ran.stderr).toContain("the nearest are 9.856 s and 10.752 s");
    const near = await run(["encode", settings, "--nearest"]);
    expect(near.status).toBe(0);
    expect(JSON.parse(near.stdout).cvs["3"]).toBe(11);
  });
});

describe("settings files that are wrong are refused, each for its reason", () => {
  const settings = (text: string): string => `{"decoder":"quillback-s8","settings":{${text}}}`;
  test.each<[string, string | Uint8Array, RegExp]>([
    ["empty", "", /:1:1: the file is empty/],
    ["only blanks", " \n\t ", /:1:1: the file is empty/],
    ["not JSON", "whistle = three-chime", /:1:1: .* is not understood/],
    ["cut off", '{"decoder":"quillback-s8","settings":{"whistle":', /:1:49: .*the text ends here/],
    ["a list", "[]", /:1:1: expected an object with the key "cvs" or "settings", got \[\]/],
    ["a number", "42", /:1:3: CV 42 has no value/],
    ["null", "null", /:1:1: "null" is not understood/],
    [
      "no settings",
      '{"decoder":"quillback-s8"}',
      /it cannot be told what this file is: .*the keys are "decoder"/,
    ],
    [
      "settings that are a list",
      '{"decoder":"quillback-s8","settings":[]}',
      /:1:38: settings: expected an object with the names of settings as keys, got \[\]/,
    ],
    ["timed runs", "level,mph\n20,2\n", /this is a file of timed runs; expected CVs or settings/],
    ["a description", '{"features":{}}', /this is a decoder description; expected CVs or settings/],
    [
      "an unknown top-level key",
      '{"decoder":"quillback-s8","setings":{}}',
      /it cannot be told what this file is: .*the keys are "decoder", "setings"/,
    ],
    [
      "an unknown decoder",
      '{"decoder":"quillbck-s8","settings":{}}',
      /there is no built-in decoder "quillbck-s8".*did you mean "quillback-s8"\?/,
    ],
    [
      "a decoder that is a path",
      '{"decoder":"../../etc/x","settings":{}}',
      /: there is no built-in decoder "\.\.\/\.\.\/etc\/x" \([^)]*\); give/,
    ],
    ["a misspelt feature", settings('"whistel":"one-note"'), /whistel: there is no such name; .*"whistle"/],
    [
      "a misspelt option",
      settings('"whistle":"one-noot"'),
      /whistle: "one-noot" is not an option; the options are "three-chime", "five-chime".*"one-note"/,
    ],
    [
      "an option in capitals",
      settings('"fuel":"Coal"'),
      /fuel: "Coal" is not an option; the options are "slabwood"/,
    ],
    ["a number for an option", settings('"fuel":0'), /fuel: 0 is not an option/],
    ["a text for a number", settings('"slip":"4"'), /slip: expected a number from 0 to 24, got "4"/],
    ["true for a number", settings('"slip":true'), /slip: expected a number from 0 to 24, got true/],
    ["null for a number", settings('"slip":null'), /slip: expected a number from 0 to 24, got null/],
    ["out of range", settings('"slip":25'), /slip: 25 is out of range; allowed is 0 to 24/],
    [
      "below range",
      settings('"drains":{"seconds":0}'),
      /drains.seconds: 0 is out of range; allowed is 1\.5 to 40 s/,
    ],
    [
      "between steps",
      settings('"fade":0.32'),
      /fade: 0.32 cannot be stored exactly; the nearest are 0.3 s and 0.35 s/,
    ],
    ["a huge number", settings('"slip":1e400'), /slip: 1e400 is too large a number to be kept exactly/],
    ["a text for true", settings('"analogue":"yes"'), /analogue: expected true or false, got "yes"/],
    [
      "on for what is switched",
      settings('"drains":"on"'),
      /drains: expected "off", or an object with settings \(seconds\), got "on"/,
    ],
    ["a field missing where all are needed", settings('"drains":{}'), /drains.seconds: a value is needed/],
    [
      "a misspelt field",
      settings('"front":{"efect":"plain"}'),
      /front.efect: there is no such name; the names are shows, effect, forLed/,
    ],
    [
      "an address without its kind",
      settings('"address":{"number":3}'),
      /address.kind: a value is needed; the options are "primary", "extended"/,
    ],
    [
      "an address out of range",
      settings('"address":{"kind":"primary","number":128}'),
      /address.number: 128 is out of range/,
    ],
    [
      "an extended address out of range",
      settings('"address":{"kind":"extended","number":10240}'),
      /10240 is out of range/,
    ],
    [
      "a number for an address",
      settings('"address":3'),
      /address: expected an object with "kind" \(primary, extended\), got 3/,
    ],
    [
      "27 levels",
      settings(`"speed":{"kind":"table","forwardTrim":1,"reverseTrim":1,"levels":[${Array(27).fill(1)}]}`),
      /speed.levels: expected 28 numbers, got 27/,
    ],
    [
      "a level that is none",
      settings(
        `"speed":{"kind":"table","forwardTrim":1,"reverseTrim":1,"levels":[${Array(27).fill(1)},256]}`,
      ),
      /speed.levels.27: 256 is out of range/,
    ],
    [
      "an output twice",
      settings('"functionMap":{"F3":[3,3]}'),
      /functionMap.F3.1: 3 stands twice in the list/,
    ],
    [
      "an output that the key cannot reach",
      settings('"functionMap":{"F3":[9]}'),
      /functionMap.F3.0: 9 is not an option/,
    ],
    ["a text too long", settings('"plate":"No. 9 and more"'), /plate: at most 8 characters/],
    ["a character that cannot be stored", settings('"plate":"Nº 9"'), /plate: only printable ASCII/],
    ["a key twice", settings('"slip":1,"slip":2'), /settings\.slip: the key "slip" is given twice/],
    ["__proto__", settings('"__proto__":{"whistle":"one-note"}'), /__proto__: there is no such name/],
    ["constructor", settings('"constructor":1'), /constructor: there is no such name/],
    [
      "nested deeply",
      `{"settings":${"[".repeat(20_000)}${"]".repeat(20_000)}}`,
      /:1:112: .* more than 100 levels deep/,
    ],
    ["binary", new Uint8Array([0, 1, 2, 255, 254]), /:1:4: the byte FF is not UTF-8 here/],
    ["UTF-16", new Uint8Array([0xff, 0xfe, 123, 0, 125, 0]), /:1:1: this is UTF-16, by its byte-order mark/],
    ["bad UTF-8", new Uint8Array([123, 34, 0xc3, 0x28, 34, 125]), /:1:3: the byte C3 is not UTF-8 here/],
  ])("%s", async (name, content, reason) => {
    const ran = await run(["encode", file(`${name.replaceAll(/\W/g, "-")}.json`, content)]);
    expectRefusal(ran);
    expect(ran.stderr).toMatch(reason);
  });

  test("everything that is wrong is said at once, in the order of the file", async () => {
    const { status, stdout, stderr } = await run(["encode", "misspelt.settings.json"]);
    expect(
      stderr
        .trimEnd()
        .split("\n")
        .map((line) => line.split(": ")[0]),
    ).toEqual(["misspelt.settings.json:5:5", "misspelt.settings.json:6:17"]);
    expect([status, stdout]).toEqual([2, ""]);
  });

  test("a byte-order mark and CRLF are no fault", async () => {
    const text = `\uFEFF${example("no9.settings.json").replaceAll("\n", "\r\n")}`;
    const ran = await run(["encode", file("crlf.json", text)]);
    expect(ran).toEqual({ status: 0, stdout: example("no9.cvs.json"), stderr: "" });
  });
});

describe("files that cannot be read", () => {
  test.each([
    ["no such file", "nowhere.json", "there is no such file"],
    ["a folder", ".", "this is a folder"],
  ])("%s", async (_, path, reason) => {
    for (const verb of ["encode", "decode", "explain"]) {
      const ran = await run([verb, path]);
      expectRefusal(ran);
      expect(ran.stderr).toContain(`${path}: ${reason}`);
    }
  });
});

describe("explain", () => {
  test("a bare value, with the plain standard", async () => {
    // S-9.2.2 (July 2012), CV 29: 34 is a long address and 28/128 steps, nothing else.
    const { status, stdout } = await run(["explain", "CV29=34", "--json"]);
    expect(status).toBe(0);
    const { lines, settings } = JSON.parse(stdout);
    const said = Object.fromEntries(
      lines.map(({ path, text }: { path: string; text: string }) => [path, text]),
    );
    expect(said).toMatchObject({
      "address.kind": "extended (long)",
      directionReversed: "no",
      speedSteps: "28 or 128 speed steps",
      analogue: "no",
      biDirectional: "no",
      "speed.kind": "three points",
    });
    expect(settings).toMatchObject({ speedSteps: "28/128", analogue: false });
    expect(lines.every(({ cvs }: { cvs: string[] }) => cvs.includes("29"))).toBe(true);
  });

  test("several values on the command line", async () => {
    const { stdout } = await run(["explain", "CV29=34, CV17=196, CV18=210"]);
    // S-9.2.2 (July 2012), CV 17 and 18: 196, 210 is address 1234.
    expect(stdout).toMatch(/Extended address +1234 +CV 17, CV 18/);
  });

  test("a value that stands for nothing is a finding: status 1", async () => {
    const ran = await run(["explain", "CV218=17", "--decoder", "quillback-s8"]);
    expect(ran.status).toBe(1);
    expect(ran.stdout).toContain("whistle: CV 218 bits 4-6: no option has the stored number 1");
  });

  test("a few CVs are shown with what the standard says of them, bit by bit", async () => {
    const { stdout } = await run(["explain", "CV29=98"]);
    expect(stdout).toContain("CV 29 = 98 (0x62, 0b01100010): Configuration Data #1");
    expect(stdout).toContain("(S-9.2.2 (July 2012), CV 29)");
    expect(stdout).toMatch(/bit 5 = 1 {2}0: primary address in CV 1, 1: extended address in CV 17 and 18/);
    // Bit 6 of CV 29 is reserved: S-9.2.2 (July 2012), CV 29.
    expect(stdout).toMatch(/bit 6 = 1 {2}reserved, and set all the same/);
    expect((await run(["explain", "CV20=3"])).stdout).toContain("CV 20 = 3 (0x03, 0b00000011): Reserved");
    expect((await run(["explain", "CV3=10"])).stdout).toMatch(
      /Acceleration, stop to full speed +8\.96 s +CV 3/,
    );
  });

  test("CVs that no feature has are shown, not dropped", async () => {
    const { stdout } = await run(["explain", "CV60=5, CV300=4", "--decoder", "quillback-s8"]);
    expect(stdout).toMatch(/CV 60 = 5/);
    expect(stdout).toMatch(/CV 300 = 4: an indexed CV without its page; write it as "300@16\.0"/);
  });

  test("what is no CV is refused", async () => {
    expectRefusal(await run(["explain", "CV29=300"]));
    expectRefusal(await run(["explain", "CV1025=3"]));
  });
});

describe("address", () => {
  test.each([
    // S-9.2.2 (July 2012), CV 1, 17, 18, 29 bit 5.
    [["1234"], { cvs: { "17": 196, "18": 210 }, bits: [{ cv: "29", mask: 32, value: 32 }] }],
    [["3"], { cvs: { "1": 3 }, bits: [{ cv: "29", mask: 32, value: 0 }] }],
    [["127"], { cvs: { "1": 127 }, bits: [{ cv: "29", mask: 32, value: 0 }] }],
    [["128"], { cvs: { "17": 192, "18": 128 }, bits: [{ cv: "29", mask: 32, value: 32 }] }],
    [["3", "--long"], { cvs: { "17": 192, "18": 3 }, bits: [{ cv: "29", mask: 32, value: 32 }] }],
    [["10239"], { cvs: { "17": 231, "18": 255 }, bits: [{ cv: "29", mask: 32, value: 32 }] }],
  ])("%j", async (args, patch) => {
    const { status, stdout, stderr } = await run(["address", ...args, "--json"]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    expect(JSON.parse(stdout)).toEqual(patch);
  });

  test.each(["0", "-1", "10240", "3.5", "1e2", "0x10", "", "three"])("%j is refused", async (text) => {
    expectRefusal(await run(["address", text]));
  });

  test("doubtful addresses are stored and remarked on", async () => {
    expect(await run(["address", "112"])).toEqual({
      status: 0,
      stdout: "CV 1 = 112\nCV 29 bit 5 = 0\n",
      stderr: expect.stringMatching(/^note: 112 to 127 begin like service-mode packets/),
    });
    expect(await run(["address", "3", "--long"])).toEqual({
      status: 0,
      stdout: "CV 17 = 192\nCV 18 = 3\nCV 29 bit 5 = 1\n",
      stderr: "note: many systems take 1 to 127 for primary addresses only (common practice)\n",
    });
    expect(await run(["address", "111"])).toEqual({
      status: 0,
      stdout: "CV 1 = 111\nCV 29 bit 5 = 0\n",
      stderr: "",
    });
  });
});

describe("diff", () => {
  test("no difference", async () => {
    expect(await run(["diff", "no9.cvs.json", "no9.cvs.json"])).toEqual({
      status: 0,
      stdout: "No difference.\n",
      stderr: "",
    });
  });

  test("a difference in words and CVs", async () => {
    const changed = file(
      "changed.json",
      example("no9.cvs.json").replace('"246": 116', '"246": 52').replace('    "389@73.9": 48,\n', ""),
    );
    const { status, stdout } = await run(["diff", "no9.cvs.json", changed, "--json"]);
    expect(status).toBe(1);
    expect(JSON.parse(stdout).changes).toMatchObject([
      {
        cv: "246",
        from: 116,
        to: 52,
        paths: ["fuel"],
        words: [{ path: "fuel", from: "Coal", to: "Oil" }],
      },
      { cv: "389@73.9", from: 48, to: null, paths: ["drains.seconds"] },
    ]);
    expect((await run(["diff", "no9.cvs.json", changed])).stdout).toContain("fuel: Coal -> Oil");
  });
});

describe("describe", () => {
  test("the description as JSON is one that --decoder takes", async () => {
    const described = await run(["describe", "dunlin-m6", "--json"]);
    expect(described.stdout).toBe(example("dunlin-m6.json"));
    const path = file("own.json", described.stdout.replaceAll("dunlin-m6", "own-m6"));
    const settings = file("own.settings.json", '{"settings":{"burns":"oil"}}');
    const { status, stdout } = await run(["encode", settings, "-d", path]);
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ decoder: "own-m6", cvs: { "127": 32 } });
    // A description beside the file, by the name that the file gives.
    const named = file("named.settings.json", '{"decoder":"own","settings":{"burns":"oil"}}');
    expect((await run(["encode", named])).status).toBe(0);
  });

  test("lists features with what they allow and where they live", async () => {
    const { stdout } = await run(["describe", "quillback-s8"]);
    expect(stdout).toMatch(/fuel +Fuel: slabwood, coal, oil +CV 246 bits 5-7/);
    expect(stdout).toMatch(/drains\.seconds +Open for: 1\.5 to 40 s, by 0\.25 +CV 389@73\.9/);
    expect(stdout).toMatch(/flanges\.above .*CV 350@73\.22/);
  });

  test("a description that is wrong is refused with its lines", async () => {
    const path = file(
      "wrong.json",
      '{\n  "id": "x", "name": "X", "kind": "multifunction",\n  "features": {\n    "a": { "codec": "flag", "place": 29 },\n    "b": { "codec": "chioce" }\n  }\n}',
    );
    const ran = await run(["describe", path]);
    expectRefusal(ran);
    expect(ran.stderr).toMatch(/wrong\.json:4:5: features\.a: .*single bit/);
    expect(ran.stderr).toMatch(
      /wrong\.json:5:12: features\.b\.codec: there is no kind of codec "chioce"; .*nearest: "choice"/,
    );
  });
});

describe("the command line itself", () => {
  test("--help lists the verbs, and each has help with an example", async () => {
    const { status, stdout } = await run(["--help"]);
    expect(status).toBe(0);
    expect([...stdout.matchAll(/^ {2}(\w+) {2}/gm)].map(([, verb]) => verb)).toEqual(verbNames);
    for (const verb of verbNames) {
      expect(stdout).toMatch(new RegExp(`^  ${verb} `, "m"));
      for (const args of [
        [verb, "--help"],
        ["help", verb],
      ]) {
        const help = await run(args);
        expect(help.status).toBe(0);
        expect(help.stdout).toMatch(/^Usage: cvset /);
        expect(help.stdout).toMatch(new RegExp(`Examples?:\n  cvset ${verb}`));
      }
    }
  });

  test("--version is the version of the package", async () => {
    const { version } = JSON.parse(readFileSync(`${examples}../../package.json`, "utf8"));
    expect((await run(["--version"])).stdout).toBe(`${version}\n`);
  });

  test.each([
    ["no verb", [], /Usage/],
    ["an unknown verb", ["encod"], /did you mean "encode"\?/],
    ["an unknown option", ["encode", "x.json", "--bases", "y"], /--bases/],
    ["an option without its value", ["encode", "x.json", "--base"], /--base/],
    [
      "too few arguments",
      ["diff", "a.json"],
      /expected a CV set, settings or a plan and another, got 1 argument \(cvset diff A B\)/,
    ],
    ["too many arguments", ["diff", "a", "b", "c"], /got 3 arguments/],
    ["an unknown format", ["encode", "no9.settings.json", "--format", "xml"], /json, list, csv/],
    ["an unknown decoder", ["decode", "no9.cvs.json", "-d", "quilback-s8"], /did you mean "quillback-s8"\?/],
    ["a verb that every object has", ["constructor"], /no verb/],
  ])("%s", async (_, args, reason) => {
    const ran = await run(args);
    expectRefusal(ran);
    expect(ran.stderr).toMatch(reason);
  });

  test("the demo goes from words to CVs and back", async () => {
    const { status, stdout } = await run(["demo"]);
    expect(status).toBe(0);
    expect(stdout).toContain("17=196 18=210");
    expect(stdout).toContain("The same settings, byte for byte.");
    expect(stdout).toMatch(/invented/);
    expect(stdout).toMatch(/series resistor/);
  });
});
