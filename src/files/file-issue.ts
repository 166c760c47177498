import { aNumber, aText, need, objectOf, oneOf } from "../cv/argument.js";
import { type Issue, messageOf } from "../cv/issue.js";
import { mostIssues } from "../cv/issue-list.js";
import { visible } from "../cv/show.js";
import { emptyFile, moreErrors, moreNotes, notText, notUtf8, tooLong } from "./faults.js";
import type { SourceText } from "./lines.js";

/** One thing that is wrong in a file, or worth knowing of it, with its place. */
export interface FileIssue extends Issue {
  /** A note is worth knowing; an error means that the file must not be used as it is. */
  readonly severity: "error" | "note";
  /** What the file is called, where the reader was told. */
  readonly file?: string;
  /** The line, from 1. CR LF, LF and CR alone each end a line, and nothing else does. */
  readonly line: number;
  /** The column, from 1, in UTF-16 units (as JavaScript counts the characters of a string). */
  readonly column: number;
}

/** What a reader returns: the value, or everything that is wrong; and in both cases the notes. */
export type FileResult<Value> =
  | { readonly ok: true; readonly value: Value; readonly notes: readonly FileIssue[] }
  | {
      readonly ok: false;
      /** Everything that is wrong, in the order of the file. */
      readonly issues: readonly FileIssue[];
      /** What is worth knowing besides. */
      readonly notes: readonly FileIssue[];
      /** What could be read in spite of it, where something could; not for programming a decoder. */
      readonly value?: Value;
    };

const aFileIssue = /* @__PURE__ */ objectOf({
  severity: /* @__PURE__ */ oneOf("error", "note"),
  "file?": aText,
  line: aNumber,
  column: aNumber,
});

/**
 * The sentence for people, with file, line and column in front. It is safe to print, whatever the file or its
 * name holds.
 * @param issue An issue of a file.
 * @param wording Sentences of another language by code, as `messageOf` takes them.
 * @example
 * import { fileMessage, readCvSet } from "cvset/files";
 * const result = readCvSet("CV1 = 3\nCV29 = 300", { file: "no9.txt" });
 * result.ok ? [] : result.issues.map((issue) => fileMessage(issue));
 * // ["no9.txt:2:8: CV 29: expected a whole number from 0 to 255, got 300"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function fileMessage(issue: FileIssue, wording?: Readonly<Record<string, string>>): string {
  need(aFileIssue, issue, "issue");
  const { file, line, column, severity } = issue;
  const place = file === undefined ? `line ${line}, column ${column}` : `${visible(file)}:${line}:${column}`;
  return `${place}: ${severity === "note" ? "note: " : ""}${messageOf(issue, wording)}`;
}

/** An issue with its place in a text. */
export function placed(
  source: SourceText,
  offset: number,
  issue: Issue,
  severity: "error" | "note" = "error",
): FileIssue {
  const { file } = source;
  return { ...issue, severity, ...(file !== undefined && { file }), ...source.at(offset) };
}

/** Collects the issues of one text. */
export class FileIssues {
  readonly #errors: FileIssue[] = [];
  readonly #notes: FileIssue[] = [];
  #moreErrors = 0;
  #moreNotes = 0;

  /** @param source The text. A byte of it that is not UTF-8 is the first issue. */
  constructor(readonly source: SourceText) {
    const { bad } = source;
    if (bad) this.error(bad.offset, notUtf8({ byte: hex(bad.byte) }));
  }

  /** Whether nothing is wrong so far. */
  get ok(): boolean {
    return this.#errors.length === 0;
  }

  /** How many errors there are so far. */
  get errors(): number {
    return this.#errors.length + this.#moreErrors;
  }

  /** Adds an error at an offset of the text. A function is called only where the error is kept. */
  error(offset: number, issue: Issue | (() => Issue)): void {
    if (this.#errors.length >= mostIssues) this.#moreErrors++;
    else this.#errors.push(placed(this.source, offset, typeof issue === "function" ? issue() : issue));
  }

  /** Adds a note, as {@link error} does. */
  note(offset: number, issue: Issue | (() => Issue)): void {
    if (this.#notes.length >= mostIssues) this.#moreNotes++;
    else this.#notes.push(placed(this.source, offset, typeof issue === "function" ? issue() : issue, "note"));
  }

  /** Takes all errors after the first `keep` out, and counts them no more. */
  keepErrors(keep: number): void {
    this.#errors.length = Math.min(keep, this.#errors.length);
    this.#moreErrors = 0;
  }

  /** Puts other issues in the place of some errors. */
  restate(change: (issue: FileIssue) => FileIssue): void {
    for (const [i, issue] of this.#errors.entries()) this.#errors[i] = change(issue);
  }

  /**
   * Reports a text that is not worth reading further: too long, binary or empty.
   * @param maxLength How long it may be.
   */
  checkText(maxLength: number): boolean {
    const { text } = this.source;
    const nul = text.length > maxLength ? -1 : text.indexOf("\0");
    if (text.length > maxLength) this.error(0, tooLong({ max: maxLength }));
    else if (nul >= 0) this.error(nul, notText({}));
    else if (!/\S/.test(text)) this.error(0, emptyFile({}));
    else return true;
    return false;
  }

  /** The errors without those of a line that is not UTF-8: what is said of its U+FFFD would lead astray. */
  #withoutBadLine(): FileIssue[] {
    const [first, ...others] = this.#errors;
    if (!this.source.bad || !first) return this.#errors;
    return [first, ...others.filter(({ line }) => line !== first.line)];
  }

  /** The value, if nothing is wrong; else everything that is. */
  result<Value>(value?: Value): FileResult<Value> {
    // In the order of the file, whatever order they were found in.
    const order = (a: FileIssue, b: FileIssue): number => a.line - b.line || a.column - b.column;
    const notes = ended(this.#notes.sort(order), moreNotes, this.#moreNotes);
    if (this.ok) return { ok: true, value: value as Value, notes };
    const issues = ended(this.#withoutBadLine().sort(order), moreErrors, this.#moreErrors);
    return value === undefined ? { ok: false, issues, notes } : { ok: false, issues, notes, value };
  }
}

/** The issues, and at their end how many more there are. */
function ended(issues: FileIssue[], more: typeof moreErrors | typeof moreNotes, count: number): FileIssue[] {
  const last = issues.at(-1);
  if (count && last) {
    const { places: _, source: __, ...place } = last;
    issues.push({ ...place, ...more({ count, kept: issues.length }) });
  }
  return issues;
}

/** A byte as two hexadecimal digits. */
function hex(byte: number): string {
  return byte.toString(16).toUpperCase().padStart(2, "0");
}
