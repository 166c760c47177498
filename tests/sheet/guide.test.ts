// The guide for describing a decoder, followed word by word: its blocks of JSON make the file, its commands are run.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type AnyDecoder, CvSet, decoderFromJson } from "cvset";
import { meaningNotes, translate } from "cvset/meaning";
import { locomotive } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { run } from "../cli/run.js";
import { newFolder } from "../support/folders.js";

const guide = readFileSync(new URL("../../docs/describe-your-decoder.md", import.meta.url), "utf8");
const blocks = [...guide.matchAll(/^```(json my-dunlin\.json|sh)\n([\s\S]*?)^```/gm)].map(
  ([, kind = "", text = ""]) => ({ isJson: kind !== "sh", text }),
);

type Tree = { [key: string]: unknown };

const isTree = (value: unknown): value is Tree =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** What a reader does: what is new goes beside what is there; an option that was a number becomes an object. */
function merged(old: Tree, more: Tree): Tree {
  const result = { ...old };
  for (const [key, value] of Object.entries(more)) {
    const before = result[key];
    result[key] = isTree(before) && isTree(value) ? merged(before, value) : value;
  }
  return result;
}

describe("the guide", () => {
  const files: Tree[] = [];
  for (const { isJson, text } of blocks) {
    if (isJson) files.push(merged(files.at(-1) ?? {}, JSON.parse(text) as Tree));
  }
  const decoders = files.map((file): AnyDecoder => decoderFromJson(file, { parts: { locomotive } }));
  const decoder = decoders.at(-1) as AnyDecoder;

  test("gives a description that can be used after every step", () => {
    expect(decoders.length).toBe(6);
    expect(meaningNotes(decoder)).toEqual([]);
  });

  test("describes the invented decoder: both read the same CVs in the same way", () => {
    const settings = {
      whistleSound: "deep",
      burns: "coal",
      volume: 75,
      drainCocks: { time: 7.2 },
      whistleKey: 5,
      lampFront: { effect: "flame", direction: "forward-only" },
    } as const;
    const cvs = dunlin.encode(settings);
    expect(decoder.tryDecode(cvs).value).toMatchObject({
      whistle: "deep",
      burns: "coal",
      volume: 9,
      drainCocks: { time: 7.2 },
      whistleKey: 5,
      front: { effect: "flame", lit: "forward" },
    });
    const { report } = translate(cvs, dunlin, decoder);
    expect(report.filter(({ to, result }) => to !== undefined && result !== "carried")).toEqual([]);
    expect([...decoder.defaults()].filter(([cv]) => !dunlin.defaults().has(cv))).toEqual([]);
    expect(CvSet.from(decoder.defaults()).size).toBeGreaterThan(20);
  });

  test("has commands that work, in their order, in one folder", async () => {
    const cwd = newFolder();
    let step = -1;
    for (const { isJson, text } of blocks) {
      if (isJson) {
        writeFileSync(join(cwd, "my-dunlin.json"), JSON.stringify(files[++step], null, 2));
        continue;
      }
      for (const line of text.trim().split("\n")) {
        const [, ...args] = [...line.matchAll(/"([^"]*)"|(\S+)/g)].map(
          ([, quoted, bare]) => quoted ?? bare ?? "",
        );
        const { status, stderr } = await run(args, { cwd });
        expect([line, status, stderr.includes("failed")]).toEqual([line, 0, false]);
      }
    }
    const html = readFileSync(join(cwd, "no5.html"), "utf8");
    for (const text of ["No. 5", "Deep, three notes", "on, open for 12 s", "Output 1, white", "Front lamp"]) {
      expect(html).toContain(text);
    }
  });
});
