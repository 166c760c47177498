import { CvSet } from "cvset";
import {
  type CvSetEntry,
  fileMessage,
  type ReadCvSetOptions,
  readCvSet,
  readCvSetFrom,
  readCvSets,
  readSettingsFrom,
  readText,
  type Source,
  writeCsv,
  writeCvSet,
  writeCvSetLine,
  writeList,
} from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

async function entriesOf(source: Source, options?: ReadCvSetOptions): Promise<CvSetEntry[]> {
  const entries: CvSetEntry[] = [];
  for await (const entry of readCvSets(source, options)) entries.push(entry);
  return entries;
}

/** Each entry in short: its line, and its CVs or complaints. */
async function short(source: Source, options?: ReadCvSetOptions): Promise<[number, unknown][]> {
  const entries = await entriesOf(source, options);
  return entries.map(({ line, result }) => [
    line,
    result.ok ? result.value.cvs.toJSON() : result.issues.map((issue) => fileMessage("f", issue)),
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
            entries.map(({ result }) => result.ok && [result.value.cvs.toJSON(), result.value.name]),
          ).toEqual(maps.map((cvs) => [cvs, "Nä😀"]));
        },
      ),
    );
  });

  test("a wrong line is one entry, with its line number, and the others are read", async () => {
    const text = '\n{"1":3}\n{"1":300}\n{"1":\nhello\nCV1=3\n{"1":3,"1":3}\n\n{"1":4}';
    expect(await short([text])).toEqual([
      [2, { 1: 3 }],
      [3, ["f:3: CV 1: 300 is not a CV value; it must be a whole number from 0 to 255"]],
      [4, ["f:4: CV 1: the text ends here, but the } that closes line 4 is missing"]],
      [
        5,
        ["f:5: a value must come here (a number, true, false, null, or a text in double quotes), not hello"],
      ],
      [6, ["f:6: a value must come here (a number, true, false, null, or a text in double quotes), not CV1"]],
      [7, ['f:7: CV 1: the key "1" stands twice, first on line 7; keep one of the two']],
      [9, { 1: 4 }],
    ]);
  });

  test("a wrong first line does not make it one set", async () => {
    expect((await short(['{"1":3,,}\n{"1":4}'])).map(([line]) => line)).toEqual([1, 2]);
    expect((await short(['{"1":300}\n{"1":4}'])).map(([line]) => line)).toEqual([1, 2]);
  });

  test("a CV of a later set is found on its line", async () => {
    const [, second] = await entriesOf(['{"1":3}\n{"1":3,"29":34}']);
    expect(second?.result.value?.locate(29)).toEqual({ line: 2, column: 8 });
  });

  test("sets come as soon as their lines are there", async () => {
    const given: number[] = [];
    async function* source(): AsyncGenerator<string> {
      for (let address = 1; address <= 3; address++) {
        given.push(address);
        yield `{"1":${address}}\n`;
      }
    }
    const entries = readCvSets(source());
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
      [
        2,
        [
          "f:2: this is longer than the 16777216 characters that are read at most; split it, or raise the limit",
        ],
      ],
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

  test("bytes that are no text end it, with their line", async () => {
    const bytes = new Uint8Array([...new TextEncoder().encode('{"1":3}\r\n{"1":'), 0xff, 10]);
    const found = await short([bytes.subarray(0, 8), bytes.subarray(8, 9), bytes.subarray(9)]);
    expect(found).toEqual([
      [1, { 1: 3 }],
      [2, ["f:2: the byte FF is not UTF-8 here; save the file as UTF-8"]],
    ]);
  });
});

describe("a file of one set", () => {
  const cvs = CvSet.from({ 1: 3, 29: 34, "300@16.0": 7 });

  test.each([
    ["JSON", writeCvSet({ cvs, name: "N" })],
    ["JSON on one line", writeCvSetLine({ cvs, name: "N" })],
    ["JSON, its first line closed early", `{"cvs":${JSON.stringify(cvs)}\n,"name":"N"}`],
    ["a list", writeList({ cvs, name: "N" })],
    ["CSV", writeCsv(cvs)],
    ["with CR LF", writeList({ cvs }).replaceAll("\n", "\r\n")],
    ["with blank lines first", `\n\r\n${writeList({ cvs })}`],
  ])("%s", async (_, text) => {
    for (const bytes of [true, false]) {
      const [only, ...more] = await entriesOf(inPieces(text, [1, 5, 0, 7], bytes));
      expect(more).toEqual([]);
      expect(only?.line === 1 && only.result.ok && only.result.value.cvs.equals(cvs)).toBe(true);
      const direct = await readCvSetFrom(inPieces(text, [2], bytes));
      expect(direct.ok && direct.value.cvs.equals(cvs)).toBe(true);
    }
  });

  test("has the complaints that readCvSet has", async () => {
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
          const direct = readCvSet(text);
          const streamed = await readCvSetFrom(inPieces(text, cuts, bytes));
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
      expect(await short(source)).toEqual([[1, ["f:1: there is nothing in it; a CV set was expected"]]]);
    }
  });

  test("too long, over many lines", async () => {
    expect(await short(["CV1=3\nCV2=4\n"], { maxLength: 10 })).toEqual([
      [1, ["f:1: this is longer than the 10 characters that are read at most; split it, or raise the limit"]],
    ]);
    const direct = await readCvSetFrom(["CV1=3\n", "CV2=4\n"], { maxLength: 10 });
    expect(direct.ok || direct.issues.map(({ kind }) => kind)).toEqual(["limit"]);
  });
});

test("a source that breaks off throws its own error, and no part of it passes for the whole", async () => {
  async function* broken(): AsyncGenerator<string> {
    yield "CV1=3\n";
    throw new Error("the line dropped");
  }
  await expect(readCvSetFrom(broken())).rejects.toThrow("the line dropped");
  await expect(readSettingsFrom(broken())).rejects.toThrow("the line dropped");
  await expect(entriesOf(broken())).rejects.toThrow("the line dropped");
});

test("settings from a stream", async () => {
  const result = await readSettingsFrom(inPieces('{"settings":{"a":"é"}}', [3, 15], true));
  expect(result.ok && result.value.settings).toEqual({ a: "é" });
  const bad = await readSettingsFrom([new Uint8Array([0x7b, 0xff, 0x7d, 0x0a])]);
  expect(bad.ok || bad.issues[0]?.kind).toBe("encoding");
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
  expect(result.ok || result.issues.map(({ kind }) => kind)).toEqual(["limit"]);
  expect(given).toBe(168);
});
