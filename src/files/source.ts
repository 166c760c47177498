import { need, needIn } from "../cv/argument.js";
import { tooLong, utf16, utf16Bare } from "./faults.js";
import { type FileIssue, FileIssues, type FileResult, placed } from "./file-issue.js";
import { type BadByte, byteOrderMark, SourceText } from "./lines.js";
import { aSource, maxLengthOf, ofReading, type ReadOptions, someBytes } from "./options.js";
import { type Piece, Utf8, type Utf16 } from "./utf8.js";

/** Text or bytes in pieces: a file stream, the body of a response, a list of strings. */
export type Chunks = Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>;
/** What is read: a text, the bytes of a whole file, or either in pieces. */
export type Source = string | Uint8Array | Chunks;

/** A text, or the issue that keeps it from being read. */
type Text = SourceText | FileIssue;

/**
 * Reads a text and hands it on: at once where the source is there as a whole, else when it has ended.
 * @param source Where the text comes from.
 * @param options Its name, and how long it may be.
 * @param read What is done with it.
 * @throws Whatever the source itself throws, when it breaks off.
 */
export function withText<Value>(
  source: Source,
  options: ReadOptions,
  read: (text: SourceText) => FileResult<Value>,
): FileResult<Value> | Promise<FileResult<Value>> {
  need(aSource, source, "source");
  needIn(ofReading, options, "options");
  const then = (text: Text): FileResult<Value> => (text instanceof SourceText ? read(text) : failed(text));
  if (typeof source === "string") return then(new SourceText(source, options.file));
  if (source instanceof Uint8Array) {
    const utf8 = new Utf8();
    const gathered = new Gathered(options);
    gathered.add(utf8.add(source));
    gathered.add(utf8.end());
    return then(utf8.utf16 ? utf16Issue(utf8.utf16, options) : gathered.text());
  }
  return gather(source, options).then(then);
}

/**
 * The whole text of a source, without a byte-order mark.
 * @param source Where it comes from.
 * @param options Its name, and how long it may be.
 * @throws Whatever the source itself throws, when it breaks off.
 */
export function readText(source: string | Uint8Array, options?: ReadOptions): FileResult<string>;
export function readText(source: Chunks, options?: ReadOptions): Promise<FileResult<string>>;
export function readText(
  source: Source,
  options: ReadOptions = {},
): FileResult<string> | Promise<FileResult<string>> {
  return withText(source, options, (text) => {
    const issues = new FileIssues(text);
    if (!issues.checkText(maxLengthOf(options))) return issues.result();
    return issues.result(text.text.startsWith(byteOrderMark) ? text.text.slice(1) : text.text);
  });
}

async function gather(source: Chunks, options: ReadOptions): Promise<Text> {
  const gathered = new Gathered(options);
  for await (const piece of piecesOf(source)) {
    if (typeof piece === "string") return utf16Issue(piece, options);
    gathered.add(piece);
    if (gathered.isTooLong) break;
  }
  return gathered.text();
}

/** Puts the pieces of a text together, up to the longest that is read. */
export class Gathered {
  readonly #texts: string[] = [];
  #length = 0;
  #bad: BadByte | undefined;

  constructor(readonly options: ReadOptions) {}

  /** Whether there is more than is read. */
  get isTooLong(): boolean {
    return this.#length > maxLengthOf(this.options);
  }

  /** Adds a piece. */
  add({ text, bad }: Piece): void {
    const [first] = bad;
    if (first) this.#bad ??= { ...first, offset: this.#length + first.offset };
    this.#length += text.length;
    if (!this.isTooLong) this.#texts.push(text);
  }

  /** The whole text. */
  text(): Text {
    if (this.isTooLong) return tooLongIssue(this.options, 1);
    return new SourceText(this.#texts.join(""), this.options.file, 1, this.#bad);
  }
}

/** The pieces of a source, decoded; the kind of UTF-16, and nothing after it, where it is that. */
export async function* piecesOf(source: Chunks): AsyncGenerator<Piece | Utf16, void> {
  let utf8: Utf8 | undefined;
  for await (const chunk of source) {
    if (typeof chunk !== "string") {
      need(someBytes, chunk, "source");
      utf8 ??= new Utf8();
      yield utf8.add(chunk);
    } else {
      if (utf8) yield utf8.end();
      yield { text: chunk, bad: [] };
    }
    if (utf8?.utf16) return yield utf8.utf16;
  }
  if (!utf8) return;
  yield utf8.end();
  if (utf8.utf16) yield utf8.utf16;
}

/** The issue of a text in UTF-16. */
export function utf16Issue(kind: Utf16, options: ReadOptions): FileIssue {
  const issue = kind === "marked" ? utf16({}) : utf16Bare({});
  return placed(new SourceText("", options.file), 0, issue);
}

/** The issue of a text that is too long, or of a line that is. */
export function tooLongIssue(options: ReadOptions, line: number): FileIssue {
  return placed(new SourceText("", options.file, line), 0, tooLong({ max: maxLengthOf(options) }));
}

/** The result of a text that cannot be read. */
export function failed(issue: FileIssue): FileResult<never> {
  return { ok: false, issues: [issue], notes: [] };
}
