// Mutated values for everything that takes data from outside: descriptions, settings, CV maps, patches, plans, runs,
// lists of silence, and the reports and lines that come of them. Run by hand: node tests/fuzz/run.mjs values [count] [seed]
import {
  type AnyDecoder,
  CvError,
  CvPatch,
  CvSet,
  describe,
  explain,
  type Issue,
  messageOf,
  tryDecoderFromJson,
} from "cvset";
import {
  type CheckReport,
  checkSet,
  type Finding,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  formatText,
} from "cvset/check";
import { measurementsFromCsv, measurementsFromJson } from "cvset/motion";
import { outcome, plan, resume, tryPlanFromJson, verify } from "cvset/plan";
import { locomotive, nmra, nmraAccessory } from "cvset/standard";
import { documentOf, lineOf, painted } from "../../src/cli/output.js";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { type Random, randomOf } from "./random.js";

type Json = unknown;

/** Characters that a terminal, a page or a CI service might obey, and some that look like parameters. */
const nasty: readonly string[] = [
  ..."\u0000\u0007\b\t\n\r\u001b\u007f\u0085\u009b\u00ad\u200d\u200f\u2028\u2029\u202e\u2066\ufeff\ud800\udfff".split(
    "",
  ),
  "\u{e0001}",
  "\u{1f682}",
  "\u001b[2J",
  "::error::x",
  "\n::set-env name=x::y",
  "##[error]",
  "<script>",
  "]]>",
  "&#x0;",
  "{found}",
  "{0}",
  "%0A",
  "`",
  "|",
];

const words: readonly string[] = [
  ..."a x 1 29 1024 300@16.0 513@1.1 codec flag choice flags level record variant switched table text converted".split(
    " ",
  ),
  ..."place cv bit bits with through options value names fields cases item pairs min max step unit decimals".split(
    " ",
  ),
  ..."rules rule needs when path is not at-most-one of outputs factory parts locomotive kind multifunction".split(
    " ",
  ),
  ..."steps mask mode direct main runs level mph locomotive seconds silence reason cvs same-address __proto__".split(
    " ",
  ),
  ..."constructor toString length address primary number speed table momentum off on".split(" "),
  "",
];

const numbers: readonly number[] = [
  0, 1, 2, 3, 5, 7, 8, 28, 29, 31, 32, 127, 128, 255, 256, 257, 512, 1023, 1024, 1025, 10239, 65535, 65536,
];
const odd: readonly number[] = [
  -1,
  -0,
  0.1,
  1 / 3,
  2 ** 31,
  2 ** 53,
  1e300,
  Number.NaN,
  Number.POSITIVE_INFINITY,
];

const numberOf = (random: Random): number => (random.below(5) ? random.of(numbers) : random.of(odd));

function textOf(random: Random): string {
  let text = random.below(3) ? random.of(words) : "";
  for (let rest = random.below(3); rest > 0; rest--) text += random.of(random.below(2) ? nasty : words);
  return random.below(200) ? text : text.repeat(random.below(2000));
}

/** What getters and proxies throw. */
const thrown = new Error("boom \u001b[31m\n::error::");
const boom = (): never => {
  throw thrown;
};

/** A small value of any kind. */
function pieceOf(random: Random): Json {
  switch (random.below(12)) {
    case 0:
      return null;
    case 1:
      return random.below(2) === 0;
    case 2:
      return [];
    case 3:
      return {};
    case 4:
      return [pieceOf(random), pieceOf(random)];
    case 5:
      return { [textOf(random)]: pieceOf(random) };
    case 6:
      return random.of<Json>([
        undefined,
        7n,
        Symbol("s"),
        boom,
        new Date(0),
        new Map([[1, 2]]),
        new Array(random.below(5)),
      ]);
    case 7:
      return random.of<Json>([
        Object.defineProperty({}, random.of(words), { get: boom, enumerable: true }),
        new Proxy({}, { get: boom, ownKeys: boom, getPrototypeOf: boom }),
        new Proxy([], { get: boom }),
        new Proxy({ cv: 29 }, { ownKeys: boom }),
      ]);
    case 8:
    case 9:
      return textOf(random);
    default:
      return numberOf(random);
  }
}

/** A copy with some changes: a part is replaced, left out, doubled, renamed, or another one's. */
function mutated(value: Json, random: Random, other: Json): Json {
  if (random.below(6) === 0 || typeof value !== "object" || value === null) {
    if (typeof value === "number" && random.below(2)) return numberOf(random);
    if (typeof value === "string" && random.below(2)) return textOf(random);
    return random.below(4) ? pieceOf(random) : other;
  }
  if (Array.isArray(value)) {
    const items: Json[] = [...value];
    const at = random.below(items.length + 1);
    if (random.below(3) === 0) items.splice(at, random.below(2), items[random.below(items.length || 1)]);
    else items[at] = mutated(items[at], random, other);
    return items;
  }
  const entries: [string, Json][] = Object.entries(value);
  const at = random.below(entries.length || 1);
  const [key = textOf(random), item] = entries[at] ?? [];
  switch (random.below(8)) {
    case 0:
      entries.splice(at, 1);
      break;
    case 1:
      entries[at] = [random.below(2) ? textOf(random) : random.of(words), item];
      break;
    case 2:
      entries.push([textOf(random), pieceOf(random)]);
      break;
    default:
      entries[at] = [key, mutated(item, random, other)];
  }
  return Object.fromEntries(entries);
}

const flagAt = (bit: number): Json => ({ codec: "flag", place: { cv: 150, bit } });

const descriptions: readonly Json[] = [
  describe(dunlin),
  {
    id: "x",
    name: "X",
    kind: "multifunction",
    features: {
      a: flagAt(0),
      b: {
        codec: "choice",
        place: { cv: 151, bits: [0, 2] },
        options: { one: 1, two: { value: 2, label: "Two" } },
      },
      c: { codec: "level", place: 152, unit: "s", step: 0.25, min: 0.25, max: 40, names: { off: 0 } },
      d: { codec: "flags", place: 153, names: ["p", null, 3] },
      e: {
        codec: "switched",
        place: { cv: 154, bit: 1 },
        item: { codec: "record", fields: { f: flagAt(7) } },
      },
      g: {
        codec: "variant",
        place: 155,
        cases: { v: { value: 1, fields: {} }, w: { value: 2, fields: { h: flagAt(6) } } },
      },
      i: {
        codec: "converted",
        item: flagAt(5),
        pairs: [
          [true, "yes"],
          [false, "no"],
        ],
      },
      j: { codec: "table", place: { cv: 160, through: 165 }, max: 99 },
      k: { codec: "text", place: { cv: 170, through: 175 } },
      l: { codec: "level", place: { cv: "300@16.0", with: { cv: 176 } }, step: 1 / 3, decimals: 3 },
    },
    factory: { 150: 1, 151: 2, "300@16.0": 4 },
    rules: [
      { rule: "needs", name: "r", when: { path: "a", is: true }, needs: { path: "b", is: "one" }, why: "so" },
      {
        rule: "at-most-one",
        name: "s",
        severity: "warning",
        of: [
          { path: "e.f", is: true },
          { path: "g.kind", not: "v" },
        ],
      },
      { rule: "outputs", outputs: [1, 2] },
    ],
  },
  { id: "y", name: "Y", kind: "accessory", features: { q: flagAt(1) }, note: "n" },
  { id: "z", name: "Z", kind: "multifunction", parts: ["locomotive"], features: { q: flagAt(1) } },
];

const sets: readonly CvSet[] = [
  quillback.defaults(),
  dunlin.defaults(),
  CvSet.from({ 1: 3, 17: 192, 18: 3, 29: 34, 2: 1, 5: 200, 6: 90, 67: 1, 94: 255, 3: 5, 4: 5, 19: 130 }),
  CvSet.from({ 1: 0, 15: 1, 16: 2, 25: 200, 29: 255, 31: 16, 32: 0, 300: 5, "300@16.0": 6 }),
  CvSet.empty,
];

const settings: readonly Json[] = sets
  .map((cvs) => nmra.tryDecode(cvs).value)
  .concat(quillback.tryDecode(sets[0] as CvSet).value as never);

const plans: readonly Json[] = [
  {
    mode: "direct",
    steps: [
      { cv: "1", value: 3, reason: "r" },
      { cv: "300@16.0", value: 7, mask: 15 },
    ],
  },
  JSON.parse(
    JSON.stringify(
      plan(CvSet.from({ 1: 3, 29: 6, 15: 0, 16: 0 }), CvSet.from({ 1: 5, 29: 34, 17: 196, 18: 210 })),
    ),
  ),
];

const silences: readonly Json[] = [
  [
    { rule: "same-address", reason: "two decoders" },
    { rule: "primary-address", cvs: ["1"], reason: "x" },
  ],
  [{ rule: "curve", cvs: [67, "94"], reason: "y" }],
];

const runs: readonly Json[] = [
  {
    locomotive: "A",
    scale: "H0",
    runs: [
      { level: 20, mph: 3 },
      { level: 200, mph: 40 },
      { level: 90, seconds: 30, m: 2 },
    ],
  },
  {
    runs: [
      { locomotive: "A", direction: "forward", level: 20, kmh: 3 },
      { level: 255, kmh: 70, scale: "1:32" },
    ],
  },
];
const tables: readonly string[] = [
  "locomotive,level,mph\nA,20,3\nA,200,40\nB,30,stands\n",
  "level,seconds,seconds\n20,stands,\n60,32.0,31.5\n",
  "# H0\nstep;kmh\n1;3\n28;70,5\n",
];

const maps: readonly Json[] = [
  { 1: 3, 29: 34, "300@16.0": 7 },
  [
    [1, 3],
    ["29", 34],
  ],
  { cvs: { 29: 34 }, bits: [{ cv: "29", mask: 16, value: 16 }] },
];

const unsafe = /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/u;

function must(holds: boolean, what: string): void {
  if (!holds) throw new Error(what);
}

function mustBeSafe(text: string): void {
  must(!unsafe.test(text), `not safe to print: ${JSON.stringify(text.slice(0, 500))}`);
}

function mustTell(issues: readonly Issue[]): void {
  must(issues.length > 0, "refused without an issue");
  must(issues.length <= 1001, `${issues.length} issues`);
  for (const issue of issues) {
    const message = messageOf(issue);
    mustBeSafe(message);
    must(message !== "" && message.length < 3000, `${message.length} characters of a message`);
  }
}

/** Calls what may throw a `CvError`, or what its input throws, and nothing else. */
function called<Value>(call: () => Value): Value | undefined {
  try {
    return call();
  } catch (error) {
    if (error === thrown) return undefined;
    if (!(error instanceof CvError)) throw error;
    mustTell(error.issues);
    return undefined;
  }
}

/** What holds for a decoder that a description makes. */
function checkDecoder(decoder: AnyDecoder, random: Random): void {
  const json = describe(decoder);
  const again = tryDecoderFromJson(JSON.parse(JSON.stringify(json)));
  must(again.ok && JSON.stringify(describe(again.value)) === JSON.stringify(json), "described otherwise");
  const bytes = decoder.bits.map(({ cv }): [string, number] => [cv, random.below(256)]);
  const cvs = CvSet.from(random.below(4) ? bytes : bytes.slice(1));
  const read = decoder.tryDecode(cvs);
  if (read.ok) must(decoder.encode(read.value, cvs).equals(cvs), "what is decoded is encoded otherwise");
  else mustTell(read.issues);
  const { lines } = explain(decoder, cvs);
  for (const { path, text } of lines)
    must(typeof path === "string" && typeof text === "string", "explained by nothing");
  checkReports(cvs, decoder, undefined, random);
}

/** What holds for the findings about a set, and for the five reports of them. */
function checkReports(cvs: CvSet, decoder: AnyDecoder, silence: Json, random: Random): void {
  const file = textOf(random);
  const findings: Finding[] = checkSet(cvs, { decoder, silence, file, forWriting: random.below(2) === 0 });
  const report: CheckReport = { files: [file], findings, strict: random.below(2) === 0 };
  for (const line of formatText(report).split("\n")) mustBeSafe(line);
  for (const text of [formatJson(report), formatSarif(report)]) JSON.parse(text);
  const commands = formatGithub(report).trimEnd().split("\n");
  const last = commands.pop() ?? "";
  must(/^1 file checked/.test(last), "no last line");
  for (const line of commands)
    must(
      /^::(error|warning|notice) (file|title)=[^:]*::[^\r\n]*$/.test(line),
      `a command: ${JSON.stringify(line)}`,
    );
  // A document that XML 1.0 allows has none of these, and no markup but its own.
  const xml = formatJunit(report);
  must(!/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/u.test(xml), "not XML");
  must(
    !/<(?!\/?(testsuites?|testcase|properties|property|failure|system-out|system-err)\b|\?xml)/.test(xml),
    "strange markup",
  );
}

/** One of the things to try. */
const tries: readonly ((random: Random, mutate: (values: readonly Json[]) => Json) => void)[] = [
  (random, mutate) => {
    const made = tryDecoderFromJson(mutate(descriptions), { parts: { locomotive } });
    if (made.ok) checkDecoder(made.value, random);
    else mustTell(made.issues);
  },
  (random, mutate) => {
    const decoder = random.of<AnyDecoder>([nmra, nmraAccessory, quillback, dunlin]);
    const value = mutate(settings);
    const base = random.of(sets);
    const encoded = decoder.tryEncode(value, base, { nearest: random.below(2) === 0 });
    if (!encoded.ok) return mustTell(encoded.issues);
    const again = decoder.tryEncode(value, encoded.value, { nearest: true });
    must(again.ok && again.value.equals(encoded.value), "encoded twice is another set");
  },
  (_, mutate) => {
    const value = mutate(maps);
    const made = CvSet.tryFrom(value);
    if (!made.ok) mustTell(made.issues);
    else must(CvSet.from(made.value.toJSON()).equals(made.value), "read back otherwise");
    called(() => CvPatch.from(value as never));
  },
  (random, mutate) => {
    const read = tryPlanFromJson(mutate(plans));
    if (!read.ok) return mustTell(read.issues);
    const cvs = random.of(sets);
    called(() => verify(read.value, cvs));
    called(() => outcome(read.value));
    called(() => resume(read.value as never, cvs));
  },
  (random, mutate) => {
    const text = `${random.of(tables)}${textOf(random)},${textOf(random)}\n`;
    for (const result of [measurementsFromJson(mutate(runs)), measurementsFromCsv(text)]) {
      if (!result.ok) mustTell(result.issues);
    }
  },
  (random, mutate) => {
    const cvs = random.of(sets).with(1 + random.below(1024), random.below(256));
    checkReports(cvs, random.of([nmra, nmraAccessory, quillback]), mutate(silences), random);
  },
  (random) => {
    let text = "";
    for (let i = random.below(6); i > 0; i--)
      text += textOf(random) + (random.below(3) ? "" : painted(textOf(random), "error"));
    const line = lineOf(text, false);
    mustBeSafe(line);
    must(!/^\s*::|##\w*\[/.test(line), `a command: ${line}`);
    for (const kind of ["json", "markup", "text", "commands"] as const) {
      const shown = documentOf(text, kind).replaceAll(/[\t\n]/g, "");
      mustBeSafe(shown);
      must(!/##\w*\[/.test(shown), `a command: ${shown}`);
    }
    must(
      JSON.parse(documentOf(JSON.stringify({ text }), "json")).text === text,
      "JSON is read back otherwise",
    );
  },
];

/**
 * Tries many inputs.
 * @param count How many.
 * @param seed Which ones; the same seed tries the same.
 * @throws With the number of the first input for which something does not hold.
 */
export function fuzzValues(count: number, seed: number): void {
  for (let i = 0; i < count; i++) {
    const random = randomOf(seed, i);
    try {
      const mutate = (values: readonly Json[]): Json => {
        let value = random.of(values);
        try {
          for (let rounds = random.below(4); rounds > 0; rounds--)
            value = mutated(value, random, random.of(values));
        } catch (error) {
          // A part that throws is not changed further.
          if (error !== thrown) throw error;
        }
        return value;
      };
      random.of(tries)(random, mutate);
    } catch (error) {
      throw new Error(`seed ${seed}, input ${i}: ${(error as Error).message}`, { cause: error });
    }
  }
}
