import { afterAll, expect, test } from "vitest";
import { endCounting, expectInProportion, startCounting } from "../support/blocks.js";

// How the work grows with the input, measured by counting: V8 counts how often each block of the sources runs.
// What runs inside regular expressions is not counted, so where these are used the time is looked at too where CVSET_RUNS
// is set, with a limit so wide that only a square gets over it.

// Only what is compiled from here on is counted block by block.
await startCounting();
const { editSettings, fileMessage, readAny, readMany, readSettings } = await import("cvset/files");

afterAll(endCounting);

/** The time of some work, ms: the best of three, or the first that is short enough. */
async function timeOf(work: () => unknown, enough: number): Promise<number> {
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round < 3 && best > enough; round++) {
    const start = performance.now();
    await work();
    best = Math.min(best, performance.now() - start);
  }
  return best;
}

/** Reads a file, and makes all of its messages. */
function read(text: string | Uint8Array): number {
  const result = readAny(text, { file: "f" });
  const issues = [...(result.ok ? [] : result.issues), ...result.notes];
  return issues.reduce((sum, issue) => sum + fileMessage(issue).length, 0);
}

async function readAll(source: string | Uint8Array | Iterable<string | Uint8Array>): Promise<number> {
  let length = 0;
  for await (const { result } of readMany(source)) {
    length += result.ok ? 1 : result.issues.reduce((sum, issue) => sum + fileMessage(issue).length, 0);
  }
  return length;
}

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const keys = (count: number, key: (i: number) => string, value = "1"): string =>
  Array.from({ length: count }, (_, i) => `"${key(i)}":${value}`).join();

const plainTexts: [what: string, work: (n: number) => unknown][] = [
  ["a name with many marks", (n) => read(`name:${" #".repeat(n)}\u2028`)],
  ["a name with many backslashes", (n) => read(`name: "${"\\".repeat(n)}`)],
  ["a name with many quotes", (n) => read(`name: ${'"'.repeat(n)}`)],
  ["blanks behind a value", (n) => read(`CV1=3${" ".repeat(n)}x`)],
  ["blanks behind a CV", (n) => read(`CV1${" ".repeat(n)}x`)],
  ["blanks before a bit", (n) => read(`CV1${" ".repeat(n)}bit${" ".repeat(n)}x`)],
  ["blanks in a heading", (n) => read(`cv${" ".repeat(n)}value${" ".repeat(n)}x`)],
  ["brackets behind a value", (n) => read(`CV1=3 ${"(x)".repeat(n)}(`)],
  ["open brackets", (n) => read(`CV1=3 ${"(".repeat(n)}`)],
  ["CVs on one line", (n) => read("CV1=3 ".repeat(n))],
  ["commas", (n) => read(",".repeat(n))],
  ["semicolons", (n) => read(`29${";".repeat(n)}`)],
  ["digits", (n) => read(`CV${"1".repeat(n)} = ${"1".repeat(n)}`)],
  ["zeros and ones", (n) => read(`CV1 = ${"01".repeat(n)}`)],
  ["wrong lines", (n) => read("x = \u202e\n".repeat(n))],
  ["lines that end with CR", (n) => read("CV1 = x\r".repeat(n))],
  ["lines with separators", (n) => read("# a\u2028b\n".repeat(n))],
  ["separators on one line", (n) => read(`CV1 = 3 # ${"a\u2028".repeat(n)}`)],
  ["columns", (n) => read(`CV,Value,${"x,".repeat(n)}\n1,3`)],
  ["columns twice", (n) => read(`CV,Value,${"Value,".repeat(n)}\n1,3`)],
  ["columns without a header", (n) => read(`1,${"3,".repeat(n)}`)],
  ["cells of a row", (n) => read(`CV,Value\n1,3${",x".repeat(n)}`)],
  ["rows", (n) => read(`CV,Value\n${"1,x\n".repeat(n)}`)],
  ["quotes in a table", (n) => read(`CV,Value\n1,${'"'.repeat(n)}`)],
  ["bars", (n) => read(`|CV|Value|${"|".repeat(n)}\n${"|1".repeat(n)}`)],
  ["stars in a Markdown table", (n) => read(`|CV|Value|\n|1|3${"a*".repeat(n)}${"*".repeat(n)}b|`)],
  ["backslashes in a Markdown table", (n) => read(`|CV|Value|\n|1|${"\\".repeat(n)}`)],
  ["one long line without a bar", (n) => read("x".repeat(n))],
];

const others: [what: string, work: (n: number) => unknown][] = [
  ["keys twice under a long key", (n) => read(`{"${"k".repeat(10 * n)}":{${'"a":1,'.repeat(n)}"a":1}}`)],
  [
    "large numbers under a long key",
    (n) => read(`{"settings":{"${"k".repeat(10 * n)}":[${"1e999,".repeat(n)}1]}}`),
  ],
  ["long keys that are not known", (n) => read(`{"settings":{},${keys(n, (i) => `${i}${"k".repeat(20)}`)}}`)],
  ["keys that are no CVs", (n) => read(`{"1":3,${keys(n, (i) => `nam${i}`)}}`)],
  ["keys of CVs that do not exist", (n) => read(`{"cvs":{${keys(n, (i) => `${i + 2000}`)}}}`)],
  [
    "values that are no bytes",
    (n) => read(`{"cvs":{${keys(n, (i) => `${257 + (i % 256)}@16.${i >> 8}`, '"x"')}}}`),
  ],
  [
    "bits",
    (n) => read(`{"bits":[${'{"cv":"29","mask":1,"value":0},'.repeat(n)}{"cv":"29","mask":1,"value":1}]}`),
  ],
  ["wrong bits", (n) => read(`{"bits":[${"5,".repeat(n)}5]}`)],
  ["locomotives", (n) => read(`{"locomotives":[${'{"cvs":{"1":300}},'.repeat(n)}{"cvs":{}}]}`)],
  ["escapes", (n) => read(`{"settings":{"a":"${"\\u0041".repeat(n)}"}}`)],
  ["a text without an end", (n) => read(`{"settings":"${"x".repeat(n)}`)],
  ["blanks in JSON", (n) => read(`{${" ".repeat(n)}"a"${" ".repeat(n)}}`)],
  ["open lists", (n) => read("[".repeat(n))],
  ["bytes that are not UTF-8 on one line", (n) => read(new Uint8Array(n).fill(0xff))],
  [
    "lines that are not UTF-8",
    (n) => read(bytesOf("a\ufffd\n".repeat(n)).map((byte) => (byte === 0xbf ? 0xff : byte))),
  ],
  ["JSON lines", (n) => readAll('{"1":3}\n'.repeat(n))],
  [
    "JSON lines that are not UTF-8",
    (n) => readAll(bytesOf('{"\ufffd":3}\n'.repeat(n)).map((byte) => (byte === 0xbf ? 0xff : byte))),
  ],
  [
    "one line in chunks of one byte",
    (n) => readAll(Array.from(bytesOf(`{"name":"${"é".repeat(n)}"}`), (byte) => new Uint8Array([byte]))),
  ],
  ["a list in chunks of one character", (n) => readAll("CV1 = 3\r\n".repeat(n >> 3))],
  ["a path of many dots", (n) => readSettings('{"settings":{"a":{"a":{}}}}').value?.locate("a.".repeat(n))],
  [
    "a setting with many dots",
    (n) => {
      const file = readSettings(`{"settings":{"${"a.".repeat(n)}":1}}`).value;
      return file?.at([{ code: "x", path: "a.".repeat(n), text: "x", params: {} }]);
    },
  ],
  [
    "a settings file that is edited",
    (n) => editSettings(`{"settings":{${keys(n, (i) => `k${i}`)}}}`, { k1: 5, new: 1, k2: undefined }),
  ],
];

test.each([...plainTexts, ...others])("the work grows in proportion to the input: %s", async (_, work) => {
  await work(250);
  await expectInProportion(/\/src\/(files|cv)\//, (times) => () => work(250 * times));
});

// Time is looked at only when it is asked for: a busy machine must not fail a change.
test.runIf(process.env["CVSET_RUNS"]).each(plainTexts)(
  "the time does not grow with the square of the input: %s",
  async (_, work) => {
    const short = await timeOf(() => work(1000), 0);
    // 64 times the input takes 64 times as long, or less; a square would take 4096 times.
    const most = 300 + 500 * short;
    const long = await timeOf(() => work(64_000), most);
    expect(long, `${short} ms and ${long} ms`).toBeLessThan(most);
  },
);

test("what is kept and said of 450 kB keys is small", () => {
  for (const text of [
    `{"${"k".repeat(250_000)}":{${'"a":1,'.repeat(80_000)}"a":1}}`,
    `{"settings":{"${"k".repeat(450_000)}":[${"1e999,".repeat(80_000)}1]}}`,
    `CV,Value,${"x,".repeat(80_000)}\n1,3`,
    `name:${" #".repeat(100_000)}`,
  ]) {
    const result = readAny(text);
    const issues = [...(result.ok ? [] : result.issues), ...result.notes];
    expect(issues.length).toBeLessThanOrEqual(1001);
    expect(issues.reduce((sum, issue) => sum + fileMessage(issue).length, 0)).toBeLessThan(400_000);
  }
});
