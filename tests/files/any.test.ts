import { type AnyFile, fileMessage, readAny, readCvSet, readSettings, writeCvSet } from "cvset/files";
import { describe, expect, test } from "vitest";
import { readText } from "../../src/files/source.js";

const issue = { code: "x", path: "", text: "no", params: {} };

describe("what a file is, by its content", () => {
  const files: [text: string, kind: AnyFile["kind"], name: string][] = [
    ['{"cvs":{"1":3}}', "cvs", "a CV set"],
    ['{"1":3}', "cvs", "a CV set"],
    ["{}", "cvs", "a CV set"],
    ["CV1 = 3", "cvs", "a CV set"],
    ["CV,Value\n1,3", "cvs", "a CV set"],
    ["|CV|Value|\n|1|3|", "cvs", "a CV set"],
    ['{"bits":[{"cv":"29","mask":1,"value":1}]}', "patch", "a patch of single bits"],
    ["CV29 bit 0 = 1", "patch", "a patch of single bits"],
    ['{"settings":{}}', "settings", "a settings file"],
    ['{"steps":[]}', "plan", "a plan"],
    ['{"id":"x","features":{}}', "description", "a decoder description"],
    ['{"runs":[]}', "measurements", "a file of timed runs"],
    ['[{"step":1,"mph":3}]', "measurements", "a file of timed runs"],
    ["# at the club\nlevel;seconds\n20;31,5", "measurements", "a file of timed runs"],
    ["Step,km/h\n1,3", "measurements", "a file of timed runs"],
    ['{"files":1,"findings":[]}', "report", "a report"],
    ['{"changes":[]}', "report", "a report"],
    ['{"ok":true,"mismatches":[]}', "report", "a report"],
  ];
  test.each(files)("%j is %s", async (text, kind, name) => {
    for (const source of [text, `\ufeff\n ${text}`, new TextEncoder().encode(text)]) {
      expect(readAny(source).value?.kind).toBe(kind);
    }
    expect((await readAny([text])).value?.kind).toBe(kind);
    const others: [AnyFile["kind"], string, typeof readCvSet | typeof readSettings][] = [
      ["cvs", "a CV set", readCvSet],
      ["settings", "a settings file", readSettings],
    ];
    for (const [wanted, expected, read] of others) {
      const result = read(text, { file: "f" });
      expect(result.ok).toBe(kind === wanted);
      if (result.ok) continue;
      const line = text.startsWith("#") ? 2 : 1;
      expect(result.issues.map((issue) => fileMessage(issue))).toEqual([
        `f:${line}:1: this is ${name}; expected ${expected}`,
      ]);
    }
  });
});

test("data of other kinds has places", () => {
  const plan = readAny('{ "steps": [\n { "cv": "29" } ] }', { file: "plan.json" }).value;
  if (plan?.kind !== "plan") throw new Error("not a plan");
  expect(JSON.stringify(plan.value)).toBe('{"steps":[{"cv":"29"}]}');
  expect(plan.locate("steps.0.cv")).toEqual({ line: 2, column: 4 });
  expect(plan.at([{ ...issue, path: "steps.0.value" }]).map((one) => fileMessage(one))).toEqual([
    "plan.json:2:2: steps.0.value: no",
  ]);
  const runs = readAny("# x\nlevel,seconds\n20,3", { file: "runs.csv" }).value;
  if (runs?.kind !== "measurements") throw new Error("not measurements");
  expect(runs.value).toBe("# x\nlevel,seconds\n20,3");
  expect(runs.locate("")).toEqual({ line: 2, column: 1 });
  expect(runs.at([issue]).map((one) => fileMessage(one))).toEqual(["runs.csv:2:1: no"]);
});

test("a patch has places", () => {
  const patch = readAny("CV1 = 3\nCV29 bit 5 = 1").value;
  if (patch?.kind !== "patch") throw new Error("not a patch");
  expect(patch.locate(29)).toEqual({ line: 2, column: 1 });
  expect(patch.locate("30")).toBe(undefined);
  expect(patch.at([{ ...issue, places: [{ cv: "29", mask: 32 }] }])[0]).toMatchObject({ line: 2, column: 1 });
});

test("every format is turned into every other, and the CVs stay the same", () => {
  const first = readCvSet("name: No. 9\nCV1 = 3\nCV29 = 34\nCV300@16.0 = 7\n").value;
  if (!first) throw new Error("not read");
  const formats = ["json", "line", "list", "csv"] as const;
  for (const from of formats) {
    for (const to of formats) {
      const file = readCvSet(writeCvSet(first, from)).value;
      const again = file && readCvSet(writeCvSet(file, to)).value;
      expect(again?.cvs.equals(first.cvs)).toBe(true);
      if (from !== "csv" && to !== "csv") expect(again?.name).toBe("No. 9");
    }
  }
});

test("a text of any source", async () => {
  const bytes = new TextEncoder().encode("\ufeffé");
  expect(readText(bytes).value).toBe("é");
  expect((await readText([bytes.subarray(0, 4), "x", bytes.subarray(3)])).value).toBe("\ufffdxé");
  const utf16 = await readText([new Uint8Array([0xff, 0xfe]), new Uint8Array([67, 0])], { file: "f" });
  expect(utf16.ok || utf16.issues.map((issue) => fileMessage(issue))).toEqual([
    "f:1:1: this is UTF-16, by its byte-order mark; save the file as UTF-8",
  ]);
  expect((await readText([new Uint8Array([0xfe, 0xff])])).ok).toBe(false);
});

test("sources break off with their own error", async () => {
  async function* source(): AsyncGenerator<string> {
    yield "CV1 = 3";
    throw new Error("the line dropped");
  }
  await expect(readAny(source())).rejects.toThrow("the line dropped");
});
