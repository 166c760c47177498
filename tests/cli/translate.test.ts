import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

let folder = "";
beforeAll(() => {
  folder = newFolder();
});

const at = (name: string): string => join(folder, name);
const no9 = join(examples, "no9.cvs.json");

interface Row {
  readonly path: string | null;
  readonly to: string | null;
  readonly result: string;
  readonly reason: string | null;
  readonly error: number | null;
  readonly options?: readonly unknown[];
}

async function reported(
  args: readonly string[],
): Promise<{ cvs: Record<string, number>; report: Row[]; status: number | null }> {
  const { stdout, status } = await run(["translate", ...args, "--json"]);
  return { ...(JSON.parse(stdout) as { cvs: Record<string, number>; report: Row[] }), status };
}

describe("cvset translate", () => {
  test("writes the CVs and the report, which every verb reads again", async () => {
    const { cvs, report, status } = await reported([no9, "--to", "dunlin-m6"]);
    expect(status).toBe(0);
    expect(cvs["133"]).toBe(8 + 32);
    expect(report).toContainEqual({
      path: "loudness.all",
      to: "volume",
      result: "approximated",
      reason: "65 % cannot be stored; 66.7 % is the nearest",
      error: 1.7,
      unit: "%",
    });
    expect(report).toContainEqual({
      path: "stack",
      to: null,
      result: "lost",
      reason: '"Dunlin M6" has no setting for exhaust',
      error: null,
    });
    expect(
      report.every((row) =>
        ["path", "to", "result", "reason", "error"].every((key) => Object.hasOwn(row, key)),
      ),
    ).toBe(true);

    const made = await run([
      "translate",
      no9,
      "--to",
      "dunlin-m6",
      "--json",
      "--output",
      at("dunlin.cvs.json"),
    ]);
    expect([made.status, made.stdout]).toEqual([0, ""]);
    const decoded = await run(["decode", at("dunlin.cvs.json")]);
    expect(decoded.status).toBe(0);
    expect(JSON.parse(decoded.stdout)).toMatchObject({
      decoder: "dunlin-m6",
      name: "No. 9",
      settings: { whistleSound: "deep", drainCocks: { time: 12 } },
    });
  });

  test("tells it in words", async () => {
    const { stdout, status } = await run(["translate", no9, "--to", "dunlin-m6"]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^No\. 9: Quillback S8 to Dunlin M6\n\nApproximated \(4\)\n/);
    expect(stdout).toMatch(/\n\nLost \(\d+\)\n/);
    expect(stdout).toContain("loudness.all \u2192 volume");
    expect(stdout).toContain("Carried, with a remark (1)");
  });

  test("reads settings, standard input, and bits of no feature, which it names", async () => {
    const settings = await reported([join(examples, "no9.settings.json"), "--to", "dunlin-m6"]);
    expect(settings.cvs["127"]).toBe(3 + 32);
    const { stdout } = await run(
      ["translate", "-", "--decoder", "quillback-s8", "--to", "dunlin-m6", "--json"],
      { input: "CV218=81\nCV250=7\n" },
    );
    expect((JSON.parse(stdout) as { report: Row[] }).report).toContainEqual({
      path: null,
      to: null,
      result: "lost",
      reason: "it belongs to no feature of Quillback S8",
      error: null,
      cv: "250",
      mask: 255,
      value: 7,
    });
  });

  test("puts the result on top of what is in the other decoder", async () => {
    writeFileSync(at("now.txt"), "CV112=9\nCV116=5\n");
    const { cvs } = await reported([no9, "--to", "dunlin-m6", "--base", at("now.txt")]);
    // Of CV 116 the bits that are carried are those without a base, and bit 0 is that of the base.
    const alone = await reported([no9, "--to", "dunlin-m6"]);
    expect([cvs["112"], cvs["116"], alone.cvs["116"]]).toEqual([9, 136 + 1, 136]);
  });

  test("asks for decisions, keeps them in a file, and uses them for the next locomotive", async () => {
    const wood = { decoder: "quillback-s8", name: "No. 12", settings: { fuel: "slabwood" } };
    writeFileSync(at("wood.json"), JSON.stringify(wood));
    const args = ["translate", at("wood.json"), "--to", "dunlin-m6", "--decisions", at("decisions.json")];
    const first = await run(args);
    expect(first.status).toBe(1);
    expect(first.stdout).toContain('none of the options is "wood" or near to it: oil, coal');
    expect(first.stderr).toContain("1 question was added");
    const file = () =>
      JSON.parse(readFileSync(at("decisions.json"), "utf8")) as { decisions: Record<string, unknown>[] };
    expect(file()).toEqual({
      from: "quillback-s8",
      to: "dunlin-m6",
      decisions: [{ to: "burns", when: "slabwood", use: null, options: ["oil", "coal"] }],
    });
    // Asked once more, the question is not there twice.
    expect((await run(args)).status).toBe(1);
    expect(file().decisions.length).toBe(1);

    writeFileSync(at("decisions.json"), readFileSync(at("decisions.json"), "utf8").replace("null", '"oil"'));
    const answered = await run([...args, "--json"]);
    expect([answered.status, answered.stderr]).toEqual([0, ""]);
    expect(
      (JSON.parse(answered.stdout) as { report: Row[] }).report.find(({ to }) => to === "burns"),
    ).toMatchObject({
      result: "approximated",
      reason: 'decided: "oil"',
    });
    writeFileSync(at("coal.json"), JSON.stringify({ ...wood, settings: { fuel: "coal" } }));
    const other = await reported([at("coal.json"), "--to", "dunlin-m6", "--decisions", at("decisions.json")]);
    expect(other.report.find(({ to }) => to === "burns")?.result).toBe("carried");
  });

  test.each([
    [
      '{ "decisions": [{ "to": "burns", "use": null }, { "to": "brns", "use": "oil" }] }',
      /wrong\.json:1:\d+: decisions\.1\.to: there is no such name/,
    ],
    [
      '{ "decisions": [{ "to": "burns", "use": "gas" }] }',
      /decisions\.0\.use: "gas" is not an option; the options are "oil", "coal"/,
    ],
    [
      '{ "to": "quillback-s8", "decisions": [] }',
      /these are decisions "to" quillback-s8, and here it is dunlin-m6/,
    ],
    ['{ "choices": [] }', /this is no file of decisions/],
    ["[1", /wrong\.json:1/],
  ])("refuses a file of decisions that cannot be used: %s", async (text, message) => {
    writeFileSync(at("wrong.json"), text);
    const { status, stderr } = await run([
      "translate",
      no9,
      "--to",
      "dunlin-m6",
      "--decisions",
      at("wrong.json"),
    ]);
    expect(status).toBe(2);
    expect(stderr).toMatch(message);
    expect(readFileSync(at("wrong.json"), "utf8")).toBe(text);
  });

  test("names what is questionable in a description", async () => {
    const description = {
      id: "odd-x1",
      name: "Odd X1",
      kind: "multifunction",
      features: { whistle: { codec: "choice", place: 120, options: { a: 1 }, means: "wistle" } },
    };
    writeFileSync(at("odd-x1.json"), JSON.stringify(description));
    const { stderr, status } = await run(["translate", no9, "--to", at("odd-x1.json")]);
    expect(status).toBe(0);
    expect(stderr).toContain(
      'note: odd-x1: whistle: the vocabulary has no term "wistle"; nearest: "whistle"',
    );
  });

  test.each([
    [[no9], /--to DECODER/],
    [[no9, "--to", "dunlin"], /there is no built-in decoder "dunlin"/],
    [[no9, "--to", "nmra-accessory"], /is one of kind "accessory"/],
    [["--to", "dunlin-m6"], /CVS/],
  ])("refuses what it cannot do: %j", async (args, message) => {
    const { status, stdout, stderr } = await run(["translate", ...args]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toMatch(message);
  });
});
