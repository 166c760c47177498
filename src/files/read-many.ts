import { need, needIn } from "../cv/argument.js";
import { FileIssues, type FileResult } from "./file-issue.js";
import { parseJson } from "./json.js";
import { afterLineEnd, type BadByte, endOfLine, SourceText } from "./lines.js";
import { aSource, maxLengthOf, ofReading, type ReadOptions } from "./options.js";
import { type AnyFile, type Documents, documentsOf } from "./read.js";
import { type Chunks, failed, Gathered, piecesOf, tooLongIssue, utf16Issue } from "./source.js";
import type { Piece } from "./utf8.js";

/**
 * Reads a file that may have many CV sets or settings, one JSON document a line, in memory that does not grow
 * with the file. A line that is wrong, or longer than the limit, is one entry with issues, and reading goes on
 * with the next line. The locomotives of a report of `match` are entries too. Any other file is one entry, as
 * `readAny` reads it.
 * @param source The text, the bytes of the whole file, or either in chunks: a list, a stream.
 * @param options `file`: what the file is called in issues. `maxLength`: the most UTF-16 units of one document.
 * @returns The entries in the order of the file, each with the line on which it starts.
 * @throws Whatever a source of chunks itself throws.
 * @example
 * import { readMany } from "cvset/files";
 * const found = [];
 * for await (const { line, result } of readMany(['{"1":3}\n{"cvs":', '{"1":12}}\n{"1":-1}\n'])) {
 *   found.push([line, result.ok ? result.value.kind : result.issues[0].line]);
 * }
 * found; // [[1, "cvs"], [2, "cvs"], [3, 3]]
 */
export async function* readMany(
  source: string | Uint8Array | Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
  options: { readonly file?: string; readonly maxLength?: number } = {},
): AsyncGenerator<{ readonly line: number; readonly result: FileResult<AnyFile> }, void> {
  need(aSource, source, "source");
  needIn(ofReading, options, "options");
  const chunks: Chunks = typeof source === "string" || source instanceof Uint8Array ? [source] : source;
  const splitter = new LineSplitter(maxLengthOf(options));
  // Until it is known whether each line is a document: both the text so far and its lines are kept.
  const whole = new Gathered(options);
  let isMany: boolean | undefined;
  for await (const piece of piecesOf(chunks)) {
    if (typeof piece === "string") return yield { line: 1, result: failed(utf16Issue(piece, options)) };
    if (!isMany) whole.add(piece);
    if (isMany !== false) {
      for (const line of splitter.add(piece)) {
        if (isBlank(line)) continue;
        isMany ??= line.isTooLong || isDocument(line.text);
        if (!isMany) break;
        yield* entriesOf(line, options);
      }
    }
    if (isMany === false && whole.isTooLong) break;
  }
  const last = splitter.end();
  if (isMany !== false && !isBlank(last) && (isMany || last.isTooLong || isDocument(last.text))) {
    yield* entriesOf(last, options);
  } else if (!isMany) {
    const text = whole.text();
    if (text instanceof SourceText) yield* entriesIn(documentsOf(text, options));
    else yield { line: 1, result: failed(text) };
  }
}

interface Entry {
  readonly line: number;
  readonly result: FileResult<AnyFile>;
}

/** The files of one line. */
function* entriesOf(line: Line, options: ReadOptions): Generator<Entry, void> {
  if (line.isTooLong) yield { line: line.number, result: failed(tooLongIssue(options, line.number)) };
  else {
    const source = new SourceText(line.text, options.file, line.number, line.bad);
    yield* entriesIn(documentsOf(source, options, true));
  }
}

function* entriesIn({ source, found }: Documents): Generator<Entry, void> {
  for (const { offset, result } of found) yield { line: source.at(offset).line, result };
}

/** Whether a first line is a JSON document of its own, if perhaps a faulty one. */
function isDocument(line: string): boolean {
  const text = line.trim();
  if (!text.startsWith("{") || !text.endsWith("}")) return false;
  const issues = new FileIssues(new SourceText(text));
  parseJson(issues.source, issues);
  const read = issues.result();
  // Braces that are still open at the end of the line are closed on a later one.
  return read.ok || !read.issues.some((issue) => issue.code === "json-open");
}

/** A line of a source; one that is too long is without its text. */
interface Line {
  readonly text: string;
  readonly number: number;
  readonly isTooLong: boolean;
  readonly bad?: BadByte;
}

function isBlank({ text, isTooLong }: Line): boolean {
  return !isTooLong && !/\S/.test(text);
}

/** Splits pieces of text into lines. */
class LineSplitter {
  #texts: string[] = [];
  #length = 0;
  #bad: BadByte | undefined;
  #number = 1;
  #afterCr = false;

  constructor(readonly maxLength: number) {}

  /** The lines that end in the next piece. */
  *add({ text, bad }: Piece): Generator<Line, void> {
    // The CR LF that a line ends with may be cut in two.
    let from = this.#afterCr && text.startsWith("\n") ? 1 : 0;
    if (text) this.#afterCr = text.endsWith("\r");
    let next = 0;
    for (;;) {
      const end = endOfLine(text, from);
      for (let first = bad[next]; first && first.offset < end; first = bad[++next]) {
        this.#bad ??= { ...first, offset: this.#length + first.offset - from };
      }
      this.#keep(text.slice(from, end));
      if (end === text.length) return;
      yield this.end();
      from = afterLineEnd(text, end);
    }
  }

  /** The line that has not ended yet. */
  end(): Line {
    const isTooLong = this.#length > this.maxLength;
    const line: Line = {
      text: this.#texts.join(""),
      number: this.#number++,
      isTooLong,
      ...(this.#bad && { bad: this.#bad }),
    };
    this.#texts = [];
    this.#length = 0;
    this.#bad = undefined;
    return line;
  }

  #keep(text: string): void {
    if (!text) return;
    this.#length += text.length;
    // What is over the limit is counted, not kept.
    if (this.#length > this.maxLength) this.#texts = [];
    else this.#texts.push(text);
  }
}
