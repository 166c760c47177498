import { CvSet } from "cvset";
import {
  type AnyFile,
  type FileResult,
  fileMessage,
  readAny,
  readCvSet,
  readMany,
  readSettings,
  writeCvSet,
} from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readText } from "../../src/files/source.js";

type Source = Parameters<typeof readMany>[0];
type Entry = { readonly line: number; readonly result: FileResult<AnyFile> };

async function entriesOf(source: Source, options?: { maxLength: number }): Promise<Entry[]> {
  const entries: Entry[] = [];
  for await (const entry of readMany(source, options)) entries.push(entry);
  return entries;
}

function cvsOf(result: FileResult<AnyFile> | undefined): Record<string, number> | undefined {
  return result?.value?.kind === "cvs" ? result.value.cvs.toJSON() : undefined;
}

/** Each entry in short: its line, and its content or issues. */
async function short(source: Source, options?: { maxLength: number }): Promise<[number, unknown][]> {
  const entries = await entriesOf(source, options);
  return entries.map(({ line, result }) => [
    line,
    result.ok
      ? (cvsOf(result) ?? result.value.kind)
      : result.issues.map((issue) => fileMessage({ ...issue, file: "f" })),
  ]);
}

async function* inPieces(
  text: string,
  sizes: readonly number[],
  bytes: boolean,
): AsyncGenerator<string | Uint8Array> {
  const whole = bytes ? new TextEncoder().encode(text) : text;
  let at = 0;
  for (const size of sizes) yield whole.slice(at, (at += size));
  yield whole.slice(at);
}

const sizes = fc.array(fc.nat(9));
const sets = fc.array(fc.dictionary(fc.integer({ min: 1, max: 1024 }).map(String), fc.nat(255)), {
  minLength: 1,
  maxLength: 5,
});

describe("a file of many sets", () => {
  test("gives the same sets, however it is cut up", async () => {
    await fc.assert(
      fc.asyncProperty(
        sets,
        sizes,
        fc.boolean(),
        fc.constantFrom("\n", "\r\n", "\r", "\n\n", "\r\n \r\n"),
        async (maps, cuts, bytes, end) => {
          const text = `\ufeff${maps.map((cvs) => JSON.stringify({ cvs, name: "Nä😀" })).join(end)}${end}`;
          const entries = await entriesOf(inPieces(text, cuts, bytes));
          const perSet = end === "\n\n" || end === "\r\n \r\n" ? 2 : 1;
          expect(entries.map(({ line }) => line)).toEqual(maps.map((_, i) => 1 + i * perSet));
          expect(
            entries.map(({ result }) => result.value?.kind === "cvs" && [cvsOf(result), result.value.name]),
          ).toEqual(maps.map((cvs) => [cvs, "Nä😀"]));
        },
      ),
    );
  });

  test("a wrong line is one entry, with its line number, and the others are read", async () => {
    const text = '\n{"1":3}\n{"1":300}\n{"1":\nhello\nCV1=3\n{"1":3,"1":3}\n\n{"1":4}';
    const value = "expected a value (a number, true, false, null, or a text in double quotes), got";
    expect(await short([text])).toEqual([
      [2, { 1: 3 }],
      [3, ["f:3:6: CV 1: expected a whole number from 0 to 255, got 300"]],
      [4, ["f:4:6: 1: the text ends here, but the } that closes line 4 is missing"]],
      [5, [`f:5:1: ${value} "hello"`]],
      [6, [`f:6:1: ${value} "CV1"`]],
      [7, ['f:7:8: CV 1: the key "1" is given twice, first on line 7; keep one of the two']],
      [9, { 1: 4 }],
    ]);
  });

  test("a wrong first line does not make it one set", async () => {
    expect((await short(['{"1":3,,}\n{"1":4}'])).map(([line]) => line)).toEqual([1, 2]);
    expect((await short(['{"1":300}\n{"1":4}'])).map(([line]) => line)).toEqual([1, 2]);
  });

  test("a CV of a later set is found on its line", async () => {
    const [, second] = await entriesOf(['{"1":3}\n{"1":3,"29":34}']);
    expect(second?.result.value?.locate("29")).toEqual({ line: 2, column: 8 });
  });

  test("sets come as soon as their lines are there", async () => {
    const given: number[] = [];
    async function* source(): AsyncGenerator<string> {
      for (let address = 1; address <= 3; address++) {
        given.push(address);
        yield `{"1":${address}}\n`;
      }
    }
    const entries = readMany(source());
    expect((await entries.next()).value?.line).toBe(1);
    expect(given).toEqual([1]);
  });

  test("a line of 50 MB is one issue, and the next line is read", async () => {
    async function* source(): AsyncGenerator<string> {
      yield '{"1":3}\n{"name":"';
      for (let i = 0; i < 50; i++) yield "x".repeat(1_000_000);
      yield '","cvs":{}}\n{"1":4}\n';
    }
    expect(await short(source())).toEqual([
      [1, { 1: 3 }],
      [2, ["f:2:1: this is longer than 16777216 characters, the most that is read; split the file"]],
      [3, { 1: 4 }],
    ]);
  });

  test.each([[["x".repeat(21), "\n", '{"1":4}']], [[`${"x".repeat(21)}\n{"1":4}`]]])(
    "a first line over the limit",
    async (chunks) => {
      const found = await short(chunks, { maxLength: 20 });
      expect(found.map(([line, what]) => [line, Array.isArray(what)])).toEqual([
        [1, true],
        [2, false],
      ]);
    },
  );

  test("a line exactly at the limit is read", async () => {
    expect(await short(['{"1":3}\n{"1":3}'], { maxLength: 7 })).toEqual([
      [1, { 1: 3 }],
      [2, { 1: 3 }],
    ]);
    expect(
      (await short(['{"1":3}\n{"1":3}'], { maxLength: 6 })).every(([, what]) => Array.isArray(what)),
    ).toBe(true);
  });

  test("a line with bytes that are not UTF-8 is one entry with issues, and the others are read", async () => {
    const encode = (text: string): number[] => [...new TextEncoder().encode(text)];
    const bytes = new Uint8Array([
      ...encode('{"1":3}\r\n{"name":"Z'),
      0xfc,
      0xff,
      ...encode('ge","cvs":{"1":4}}\n{"1":5}'),
    ]);
    expect(await short([bytes.subarray(0, 8), bytes.subarray(8, 9), bytes.subarray(9)])).toEqual([
      [1, { 1: 3 }],
      [2, ["f:2:11: the byte FC is not UTF-8 here; save the file as UTF-8"]],
      [3, { 1: 5 }],
    ]);
  });

  test("good sets before and after a bad byte are delivered, however the file is cut up", async () => {
    const line = fc.oneof(
      fc.nat(255).map((cv) => [...new TextEncoder().encode(`{"1":${cv},"2":0}`)]),
      fc.constant([...new TextEncoder().encode('{"name":"é😀","cvs":{}}')]),
      fc.array(fc.constantFrom(0xff, 0xc3, 0xa9, 0xe2, 0x82, 0xf0, 0x9f, 123, 125, 34, 49), {
        minLength: 1,
        maxLength: 9,
      }),
    );
    const end = fc.constantFrom([10], [13], [13, 10], [10, 10]);
    let bad = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(line, end), { minLength: 1, maxLength: 8 }),
        sizes,
        async (lines, cuts) => {
          const bytes = new Uint8Array([...new TextEncoder().encode('{"1":1}\n'), ...lines.flat(2)]);
          const expected = await short(bytes);
          const chunks: Uint8Array[] = [];
          let at = 0;
          for (const size of cuts) chunks.push(bytes.subarray(at, (at += size)));
          chunks.push(bytes.subarray(at));
          expect(await short(chunks)).toEqual(expected);
          expect(await short([...bytes].map((byte) => new Uint8Array([byte])))).toEqual(expected);
          // Each line stands for itself, whatever the others are.
          let number = 2;
          for (const [content, ending] of lines) {
            const [alone] = await entriesOf(
              new Uint8Array([...new TextEncoder().encode("{}\n"), ...content]),
            ).then((all) => all.slice(1));
            const here = expected.filter(([line]) => line === number);
            const says = JSON.stringify(here.map(([, what]) => what));
            if (alone) expect(Array.isArray(here[0]?.[1])).toBe(!alone.result.ok);
            if (says.includes("is not UTF-8")) bad++;
            number += ending.length === 2 && ending[0] === 10 ? 2 : 1;
          }
        },
      ),
      { numRuns: 300 },
    );
    expect(bad).toBeGreaterThan(100);
  });

  test("settings, plans and patches in it are what they are", async () => {
    expect(
      await short('{"1":3}\n{"settings":{}}\n{"steps":[]}\n{"bits":[{"cv":"29","mask":1,"value":0}]}'),
    ).toEqual([
      [1, { 1: 3 }],
      [2, "settings"],
      [3, "plan"],
      [4, "patch"],
    ]);
  });

  test("each locomotive of a report of match is an entry", async () => {
    const report =
      '{\n "locomotives": [\n  { "name": "A", "cvs": { "1": 3 } },\n  { "cvs": { "1": 300 } }\n ]\n}';
    expect(await short(report)).toEqual([
      [3, { 1: 3 }],
      [4, ["f:4:19: CV 1: expected a whole number from 0 to 255, got 300"]],
    ]);
    expect((await short(report.replaceAll("\n", ""))).map(([line]) => line)).toEqual([1, 1]);
  });
});

describe("a file of one set", () => {
  const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7 });

  test.each([
    ["JSON", writeCvSet({ cvs, name: "N" })],
    ["JSON on one line", writeCvSet({ cvs, name: "N" }, "line")],
    ["JSON, its first line closed early", `{"cvs":${JSON.stringify(cvs)}\n,"name":"N"}`],
    ["a list", writeCvSet({ cvs, name: "N" }, "list")],
    ["CSV", writeCvSet({ cvs }, "csv")],
    ["with CR LF", writeCvSet({ cvs }, "list").replaceAll("\n", "\r\n")],
    ["with blank lines first", `\n\r\n${writeCvSet({ cvs }, "list")}`],
  ])("%s", async (_, text) => {
    for (const bytes of [true, false]) {
      const [only, ...more] = await entriesOf(inPieces(text, [1, 5, 0, 7], bytes));
      expect(more).toEqual([]);
      expect([only?.line, cvsOf(only?.result)]).toEqual([1, cvs.toJSON()]);
      const direct = await readCvSet(inPieces(text, [2], bytes));
      expect(direct.ok && direct.value.cvs.equals(cvs)).toBe(true);
    }
  });

  test("has the issues that readAny has", async () => {
    const piece = fc.constantFrom(
      "CV1=3",
      "CV1=300",
      "x",
      "{",
      "}",
      '{"1":3}',
      '"cvs":',
      "\n",
      "\n",
      "\r\n",
      ",",
    );
    await fc.assert(
      fc.asyncProperty(
        fc.array(piece, { maxLength: 8 }),
        sizes,
        fc.boolean(),
        async (pieces, cuts, bytes) => {
          const text = pieces.join("");
          const direct = readAny(text);
          const streamed = await readAny(inPieces(text, cuts, bytes));
          const all = direct.ok ? [] : direct.issues;
          expect(streamed.ok ? [] : streamed.issues).toEqual(all);
          const entries = await entriesOf(inPieces(text, cuts, bytes));
          if (entries.length === 1 && entries[0]?.line === 1) {
            const { result } = entries[0];
            expect(result.ok ? [] : result.issues).toEqual(all);
          }
        },
      ),
      { numRuns: 500 },
    );
  });

  test("nothing at all is one entry that says so", async () => {
    for (const source of [[], [""], ["\n\n"], [new Uint8Array()]]) {
      expect(await short(source)).toEqual([[1, ["f:1:1: the file is empty"]]]);
    }
  });

  test("too long, over many lines", async () => {
    expect(await short(["CV1=3\nCV2=4\n"], { maxLength: 10 })).toEqual([
      [1, ["f:1:1: this is longer than 10 characters, the most that is read; split the file"]],
    ]);
    const direct = await readCvSet(["CV1=3\n", "CV2=4\n"], { maxLength: 10 });
    expect(direct.ok || direct.issues.map(({ code }) => code)).toEqual(["too-long"]);
  });
});

test("a source that breaks off throws its own error, and no part of it passes for the whole", async () => {
  async function* broken(): AsyncGenerator<string> {
    yield "CV1=3\n";
    throw new Error("the line dropped");
  }
  await expect(readCvSet(broken())).rejects.toThrow("the line dropped");
  await expect(readSettings(broken())).rejects.toThrow("the line dropped");
  await expect(entriesOf(broken())).rejects.toThrow("the line dropped");
});

test("settings from a stream", async () => {
  const result = await readSettings(inPieces('{"settings":{"a":"é"}}', [3, 15], true));
  expect(result.ok && result.value.settings).toEqual({ a: "é" });
  const bad = await readSettings([new Uint8Array([0x7b, 0xff, 0x7d, 0x0a])]);
  expect(bad.ok || bad.issues[0]?.code).toBe("encoding-not-utf");
});

test("a text that never ends is read no further than the limit", async () => {
  let given = 0;
  async function* endless(): AsyncGenerator<string> {
    for (;;) {
      given++;
      yield "x".repeat(100_000);
    }
  }
  const result = await readText(endless());
  expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["too-long"]);
  expect(given).toBe(168);
});
