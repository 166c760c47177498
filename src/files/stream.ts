import { Utf8 } from "./bytes.js";
import { defaultMaxLength, tooLong } from "./checktext.js";
import { type CvSetFile, type ReadCvSetOptions, readCvSet, readCvSetLine } from "./cvsetfile.js";
import type { FileIssue, FileResult } from "./fileissue.js";
import { type JsonLimits, readJson } from "./json.js";
import { readSettings, type SettingsFile } from "./settingsfile.js";

/** Text or bytes in pieces: a file stream, the body of a response, a list of strings. */
export type Source = AsyncIterable<string | Uint8Array> | Iterable<string | Uint8Array>;

/** One CV set of a file that may hold many. */
export interface CvSetEntry {
  /** The line on which it starts. */
  readonly line: number;
  /** The set, or what is wrong with it; its lines are counted from the start of the file. */
  readonly result: FileResult<CvSetFile>;
}

/**
 * The whole text of a source, checked to be UTF-8 and not too long.
 * @param source Where it comes from.
 * @param limits How long it may be.
 * @throws Whatever the source itself throws, when it breaks off.
 * @example
 * import { readText } from "cvset/files";
 * const result = await readText([new Uint8Array([0x4e, 0x6f, 0x2e, 0xc2]), new Uint8Array([0xa0, 0x39])]);
 * result.ok && result.value; // "No.\u00a09"
 */
export async function readText(source: Source, limits: JsonLimits = {}): Promise<FileResult<string>> {
  const { maxLength = defaultMaxLength } = limits;
  const chunks: string[] = [];
  let length = 0;
  for await (const piece of textOf(source)) {
    if (typeof piece !== "string") return failed(piece);
    length += piece.length;
    if (length > maxLength) return failed(limitIssue(1, maxLength));
    chunks.push(piece);
  }
  return { ok: true, value: chunks.join(""), notes: [] };
}

/**
 * Reads one CV set from a stream; else like `readCvSet`.
 * @param source Where the text comes from.
 * @param options How to read it.
 * @throws Whatever the source itself throws, when it breaks off.
 * @example
 * import { readCvSetFrom } from "cvset/files";
 * const result = await readCvSetFrom(["CV1 =", " 3\nCV29", " = 6\n"]);
 * result.ok && result.value.cvs.toJSON(); // { "1": 3, "29": 6 }
 */
export async function readCvSetFrom(
  source: Source,
  options: ReadCvSetOptions = {},
): Promise<FileResult<CvSetFile>> {
  const text = await readText(source, options);
  return text.ok ? readCvSet(text.value, options) : { ok: false, issues: text.issues, notes: [] };
}

/**
 * Reads settings from a stream; else like `readSettings`.
 * @param source Where the text comes from.
 * @param limits What bounds the work.
 * @throws Whatever the source itself throws, when it breaks off.
 * @example
 * import { readSettingsFrom } from "cvset/files";
 * const result = await readSettingsFrom(['{ "settings": ', '{ "address": 9 } }']);
 * result.ok && result.value.settings.address; // 9
 */
export async function readSettingsFrom(
  source: Source,
  limits: JsonLimits = {},
): Promise<FileResult<SettingsFile>> {
  const text = await readText(source, limits);
  return text.ok ? readSettings(text.value, limits) : { ok: false, issues: text.issues, notes: [] };
}

/**
 * Reads a file that may hold many CV sets, one JSON document a line, in memory that does not grow with
 * the file. A line that is wrong, or longer than the limit, is one entry with issues, and reading goes
 * on. A file whose first line is not a whole JSON document is read as one set in any format.
 * @param source Where the text comes from.
 * @param options How to read each set; `maxLength` holds for each of them.
 * @throws Whatever the source itself throws, when it breaks off.
 * @example
 * import { readCvSets } from "cvset/files";
 * const addresses = [];
 * for await (const { line, result } of readCvSets(['{"1":3}\n{"cvs":', '{"1":12}}\n{"1":-1}\n'])) {
 *   addresses.push([line, result.ok ? result.value.cvs.get(1) : result.issues[0].line]);
 * }
 * addresses; // [[1, 3], [2, 12], [3, 3]]
 */
export async function* readCvSets(
  source: Source,
  options: ReadCvSetOptions = {},
): AsyncGenerator<CvSetEntry, void> {
  const { maxLength = defaultMaxLength } = options;
  let document: string[] | undefined;
  let length = 0;
  let started = false;
  for await (const { text, ended, line, issue } of linesOf(source, maxLength)) {
    if (document) {
      // One document over many lines.
      if (issue && issue.kind !== "limit") return yield { line: 1, result: failed(issue) };
      length += text.length + 1;
      if (issue || length > maxLength) return yield { line: 1, result: failed(limitIssue(1, maxLength)) };
      document.push(text, ended ? "\n" : "");
    } else if (issue) {
      started = true;
      yield { line, result: failed(issue) };
    } else if (started ? /\S/.test(text) : isDocument(text)) {
      started = true;
      yield { line, result: readCvSetLine(text, line, options) };
    } else if (!started && /\S/.test(text)) {
      // Blank lines before it keep its lines counted from the top.
      document = ["\n".repeat(line - 1), text, ended ? "\n" : ""];
      length = text.length;
    }
  }
  if (document) yield { line: 1, result: readCvSet(document.join(""), options) };
  else if (!started) yield { line: 1, result: readCvSet("", options) };
}

/** Whether a first line is a JSON document of its own, if perhaps a faulty one. */
function isDocument(line: string): boolean {
  const text = line.trim();
  if (!text.startsWith("{") || !text.endsWith("}")) return false;
  const read = readJson(text, { maxLength: Number.POSITIVE_INFINITY });
  // Braces that are still open at the end of the line are closed on a later one.
  return read.ok || !read.issues.some((issue) => issue.kind === "syntax" && issue.column > text.length);
}

interface Piece {
  readonly text: string;
  /** Whether a line break follows. */
  readonly ended: boolean;
  readonly line: number;
  readonly issue?: FileIssue;
}

/** The lines of a source; a line that is too long comes as an issue, and without its text. */
async function* linesOf(source: Source, maxLength: number): AsyncGenerator<Piece, void> {
  let rest: string[] = [];
  let length = 0;
  let line = 1;
  let afterCr = false;
  const finish = (tail: string, ended: boolean): Piece => {
    const whole = length + tail.length;
    const piece =
      whole > maxLength
        ? { text: "", ended, line, issue: limitIssue(line, maxLength) }
        : { text: rest.join("") + tail, ended, line };
    rest = [];
    length = 0;
    line++;
    return piece;
  };
  for await (const chunk of textOf(source)) {
    if (typeof chunk !== "string") return yield { text: "", ended: false, line, issue: chunk };
    let from = 0;
    // The CR LF that a line ends with may be cut in two.
    if (afterCr && chunk.startsWith("\n")) from = 1;
    if (chunk) afterCr = chunk.endsWith("\r");
    let lf = chunk.indexOf("\n", from);
    let cr = chunk.indexOf("\r", from);
    while (lf >= 0 || cr >= 0) {
      const end = cr < 0 || (lf >= 0 && lf < cr) ? lf : cr;
      yield finish(chunk.slice(from, end), true);
      from = chunk.startsWith("\r\n", end) ? end + 2 : end + 1;
      // Each is looked for anew only when it was passed, or one search a line would go to the chunk's end.
      if (lf >= 0 && lf < from) lf = chunk.indexOf("\n", from);
      if (cr >= 0 && cr < from) cr = chunk.indexOf("\r", from);
    }
    const tail = chunk.slice(from);
    length += tail.length;
    // What is over the limit is counted, not kept.
    if (length <= maxLength && tail) rest.push(tail);
    else if (length > maxLength) rest = [];
  }
  if (length) yield finish("", false);
}

/** The texts of a source; an issue, and nothing after it, where its bytes are not text. */
async function* textOf(source: Source): AsyncGenerator<string | FileIssue, void> {
  const utf8 = new Utf8();
  let bytes = false;
  for await (const chunk of source) {
    if (typeof chunk === "string") {
      yield chunk;
      continue;
    }
    bytes = true;
    const text = utf8.add(chunk);
    if (utf8.issue) return yield utf8.issue;
    if (text) yield text;
  }
  if (!bytes) return;
  const text = utf8.end();
  if (utf8.issue) yield utf8.issue;
  else if (text) yield text;
}

function limitIssue(line: number, maxLength: number): FileIssue {
  return {
    code: "content",
    path: "",
    expected: tooLong(maxLength),
    kind: "limit",
    severity: "error",
    line,
    column: 1,
  };
}

function failed(issue: FileIssue): FileResult<never> {
  return { ok: false, issues: [issue], notes: [] };
}
