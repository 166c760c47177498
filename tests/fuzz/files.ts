// Mutated and random files, and what must hold for each of them. Run by hand: node tests/fuzz/run.mjs files [count] [seed]
import { messageOf } from "cvset";
import {
  type AnyFile,
  editSettings,
  type FileResult,
  fileMessage,
  readAny,
  readMany,
  writeCvSet,
  writeSettings,
} from "cvset/files";
import { type Random, randomOf } from "./random.js";

/** Valid files of every kind, and some that come close. */
const seeds: readonly string[] = [
  '{\n  "decoder": "quillback-s8",\n  "name": "No. 9",\n  "cvs": {\n    "1": 3,\n    "29": 34,\n    "300@16.0": 7\n  }\n}\n',
  '{"1":3,"29":34,"300":7,"31":16,"32":0}',
  '{"name":"No. 9","cvs":{"1":9}}\n{"cvs":{"1":12}}\r\n\n{"settings":{"a":1}}\n',
  '{ "settings": { "whistle": "three-chime", "front": { "effect": "steady" }, "levels": [4, 8, 12.5] } }\n',
  '{"cvs":{"67":4,"94":255},"bits":[{"cv":"29","mask":16,"value":16}],"within":1.2,"unit":"mph"}',
  '{"locomotives":[{"name":"A","cvs":{"66":128},"bits":[]},{"name":"B","cvs":{"66":120}}],"warnings":[]}',
  '{"id":"x","features":{"a":{"type":"flag","at":{"cv":29,"bit":5}}}}',
  '{"steps":[{"cv":"29","value":34}]}',
  '{"runs":[{"level":20,"mph":3}]}',
  '# No. 9\ndecoder: quillback-s8\nname: "No. 9; #2"\nCV 1: 3\nCV29=34 ; long\n17,196\n18  0xD2 (hex)\nCV#5 = 0b1100\n',
  "CV17 = 196\nCV18 = 210\nCV29 bit 5 = 1  # long address\nCV29 bits 0-2 = 5\n",
  "1;3\n29;34;x\nCV30 - 1\n> CV2 = 4, CV6 = 90\n31 -> 2\n",
  'CV;Value;Remark\n29;34;"long ""address"";\n28 steps"\n300@16.0;0x07;\n',
  "# x\nCV-Nr.\tWert\n29\t34 # x\n",
  '"29","34"\n"1","3"\n',
  "| CV | Value |\n|---|:-:|\n| 29 | **34** |\n| 1 | `3` |\n",
  "level,seconds,seconds\n20,stands,\n60,32.0,31.5\n",
];

/** Pieces that matter to one reader or another. */
const pieces: readonly string[] = [
  ..."{}[]:,;=\"'\\#|@.-+*>()\t\r\n 0123456789abeEnrtu".split(""),
  "\r\n",
  "\ufeff",
  "\u2028",
  "\u0085",
  "\v",
  "\u202e",
  "\u001b[31m",
  "\ud83d",
  "\u{1f600}",
  "\0",
  "CV",
  "cv 29 = ",
  " bit 5",
  " bits 0-2",
  "300@16.0",
  "0x",
  "0b",
  "00000110",
  "1e400",
  "-0",
  '"cvs":',
  '"settings":',
  '"bits":',
  '"__proto__":',
  '"name":""',
  "null",
  "true",
  "name: ",
  "decoder=",
  "CV,Value\n",
  "|",
  "// x",
  "::error::",
  "\ufffd",
];

/** What stands in the place of a word of a file. */
const words: readonly string[] = [
  ...'1e400 "3" 3.0 [] {} null -0 300 12345678901234567890 "cvs" "settings" "name" "bits" "steps" "1" 1'.split(
    " ",
  ),
  ...'"300@16.0" True [[1]] {"a":{"a":1,"a":2}} 0b2 0110 Wert value decoder "" \'x\' "\\u202e"'.split(" "),
];

const encoder = new TextEncoder();

/** One input: a mutated file, or random bytes. */
function inputOf(random: Random): Uint8Array {
  if (random.below(20) === 0) {
    const bytes = new Uint8Array(random.below(60));
    for (let i = 0; i < bytes.length; i++) bytes[i] = random.below(256);
    return bytes;
  }
  let text = random.of(seeds);
  for (let rounds = random.below(4); rounds > 0; rounds--) text = mutated(text, random);
  const bytes = encoder.encode(text);
  if (random.below(6) === 0 && bytes.length) bytes[random.below(bytes.length)] = random.below(256);
  return bytes;
}

function mutated(text: string, random: Random): string {
  const from = random.below(text.length + 1);
  const to = Math.min(text.length, from + random.below(random.below(4) === 0 ? 40 : 4));
  const part = text.slice(from, to);
  switch (random.below(8)) {
    case 0:
      return text.slice(0, from) + text.slice(to);
    case 1:
      return text.slice(0, from) + part.repeat(1 + random.below(4)) + text.slice(to);
    case 2:
      return text.slice(0, from);
    case 3: {
      const other = random.of(seeds);
      return text.slice(0, from) + other.slice(random.below(other.length));
    }
    case 4:
    case 5: {
      const found = [...text.matchAll(/"[^"\n]*"|[\w.-]+/g)];
      const { 0: word = "", index = 0 } = found.length ? random.of(found) : {};
      return text.slice(0, index) + random.of(words) + text.slice(index + word.length);
    }
    default:
      return text.slice(0, from) + random.of(pieces) + text.slice(to);
  }
}

const unsafe = /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/u;

function must(holds: boolean, what: string): void {
  if (!holds) throw new Error(what);
}

/** A result as plain data, for comparing. */
function plainly(result: FileResult<AnyFile>): string {
  const { value } = result;
  return JSON.stringify([result.ok, result.ok ? [] : result.issues, result.notes, value]);
}

/** What holds for every result. */
function checkResult(result: FileResult<AnyFile>, lines: readonly string[]): void {
  must(result.ok || result.issues.length > 0, "refused without an issue");
  for (const issue of [...(result.ok ? [] : result.issues), ...result.notes]) {
    const line = lines[issue.line - 1];
    must(line !== undefined, `line ${issue.line} of ${lines.length}`);
    must(
      issue.column >= 1 && issue.column <= (line as string).length + 1,
      `column ${issue.column}: ${issue.code}`,
    );
    for (const message of [fileMessage(issue), messageOf(issue)]) {
      must(!unsafe.test(message), `not safe to print: ${JSON.stringify(message)}`);
      must(message.length < 1000, `${message.length} characters of a message`);
      must(!/\{\w+/.test(issue.text.replace(/\{\w+(:(text|list|value))?\}/g, "")), issue.text);
    }
    must(
      [...issue.text.matchAll(/\{(\w+)/g)].every(([, name = ""]) => Object.hasOwn(issue.params, name)),
      `${issue.code} lacks a parameter`,
    );
  }
}

/** What holds for a file that was accepted. */
function checkFile(file: AnyFile, text: string, random: Random): void {
  if (file.kind === "cvs") {
    for (const format of ["json", "line", "list", "csv"] as const) {
      const written = writeCvSet(file, format);
      const again = readAny(written);
      must(
        again.ok && again.value.kind === "cvs" && again.value.cvs.equals(file.cvs),
        `${format} is not read back`,
      );
      must(
        !again.ok || again.value.kind !== "cvs" || writeCvSet(again.value, format) === written,
        `${format} differs`,
      );
    }
    for (const [cv] of file.cvs) must(file.locate(cv) !== undefined, `CV ${cv} has no place`);
    if (file.format === "json") {
      const parsed = JSON.parse(text.replace(/^\ufeff/, ""));
      // The report of match has its only locomotive further in.
      const [only = parsed] = parsed.locomotives ?? [];
      const map = only.cvs ?? (only.bits ? {} : only);
      const bits = only.bits
        ? Object.fromEntries(only.bits.map((bit: { cv: string; value: number }) => [bit.cv, bit.value]))
        : {};
      must(
        Object.entries({ ...bits, ...map }).every(([cv, value]) => file.cvs.get(cv) === value),
        "JSON.parse differs",
      );
    }
  } else if (file.kind === "settings") {
    const again = readAny(writeSettings(file));
    const same = again.ok && again.value.kind === "settings";
    must(
      same && JSON.stringify(again.value.settings) === JSON.stringify(file.settings),
      "settings are not read back",
    );
    const path = random.of(["whistle", "front.effect", "levels.1", "new", "new.x.y", "a.b"]);
    const value = random.of([7, "x", null, { a: [1] }, undefined]);
    const edited = editSettings(text, { [path]: value });
    if (edited.ok) {
      const changed = readAny(edited.value);
      must(changed.ok && changed.value.kind === "settings", `${path} makes it unreadable`);
      must(editSettings(edited.value, { [path]: value }).value === edited.value, `${path} changes it twice`);
    } else must(/^(no-such-item|list-item-stays)$/.test(edited.issues[0]?.code ?? ""), "not edited");
  }
}

/** Tries one input. */
async function tryOne(random: Random): Promise<void> {
  const bytes = inputOf(random);
  const text = new TextDecoder("utf-8", { ignoreBOM: true }).decode(bytes);
  const lines = text.replace(/^\ufeff/, "").split(/\r\n|\r|\n/);
  const result = readAny(bytes);
  checkResult(result, lines);
  if (result.ok) checkFile(result.value, text, random);
  if (random.below(8) > 0) return;
  const chunks: Uint8Array[] = [];
  for (let at = 0; at < bytes.length; ) chunks.push(bytes.subarray(at, (at += 1 + random.below(12))));
  must(plainly(await readAny(chunks)) === plainly(result), "chunks differ");
  let last = 1;
  const found: string[] = [];
  for await (const { line, result } of readMany(chunks)) {
    must(line >= last, "lines go back");
    last = line;
    checkResult(result, lines);
    found.push(plainly(result));
  }
  must(found.length > 0, "no entry");
  const whole: string[] = [];
  for await (const { result } of readMany(bytes)) whole.push(plainly(result));
  must(found.join() === whole.join(), "chunks of many differ");
}

/**
 * Tries many inputs.
 * @param count How many.
 * @param seed Which ones; the same seed tries the same.
 * @throws With the number and the text of the first input for which something does not hold.
 */
export async function fuzzFiles(count: number, seed: number): Promise<void> {
  for (let i = 0; i < count; i++) {
    try {
      await tryOne(randomOf(seed, i));
    } catch (error) {
      const input = inputOf(randomOf(seed, i));
      const text = JSON.stringify(new TextDecoder().decode(input));
      throw new Error(`seed ${seed}, input ${i}: ${(error as Error).message}\n${text}\n[${input.join()}]`, {
        cause: error,
      });
    }
  }
}
