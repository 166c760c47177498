import { type Issue, messageOf } from "../cv/issue.js";
import type { Lines } from "./lines.js";

/**
 * What kind of thing is wrong with a file: `"encoding"` it is not UTF-8 text; `"limit"` it is longer or
 * nested deeper than is read; `"syntax"` a line or a piece of JSON is not understood; `"duplicate"` the
 * same thing stands twice; `"content"` it was understood, but is not allowed.
 */
export type FileIssueKind = "encoding" | "limit" | "syntax" | "duplicate" | "content";

/** One thing to say about a file, with its place in it. */
export interface FileIssue extends Issue {
  /** The kind of problem. */
  readonly kind: FileIssueKind;
  /** A note is worth knowing; an error means that the file must not be used as it is. */
  readonly severity: "error" | "note";
  /** The line, from 1. CR LF, LF and CR alone each end a line. */
  readonly line: number;
  /** The column, from 1, in UTF-16 units (as JavaScript counts the characters of a string). */
  readonly column: number;
}

/** What a reader gives back: the value, or everything that is wrong; and in both cases the notes. */
export type FileResult<Value> =
  | { readonly ok: true; readonly value: Value; readonly notes: readonly FileIssue[] }
  | {
      readonly ok: false;
      /** Everything that is wrong. */
      readonly issues: readonly FileIssue[];
      /** What is worth knowing besides. */
      readonly notes: readonly FileIssue[];
      /** What could be read in spite of it, where something could. */
      readonly value?: Value;
    };

/**
 * The sentence for people, with the file and the line in front, as compilers write it.
 * @param fileName What to call the file.
 * @param issue An issue from a file, or any other: that one has no line.
 * @example
 * import { fileMessage, readCvSet } from "cvset/files";
 * const result = readCvSet("CV1 = 3\nCV29 = 300");
 * result.ok ? [] : result.issues.map((issue) => fileMessage("no9.txt", issue));
 * // ["no9.txt:2: CV 29: 300 is not a CV value; it must be a whole number from 0 to 255"]
 */
export function fileMessage(fileName: string, issue: Issue | FileIssue): string {
  const line = "line" in issue ? `:${issue.line}` : "";
  const note = "severity" in issue && issue.severity === "note" ? "note: " : "";
  return `${fileName}${line}: ${note}${messageOf(issue)}`;
}

/** How many issues of one file are kept; the last one then says how many more there were. */
export const mostIssues = 1000;

/** Collects what is wrong with one text. */
export class Complaints {
  readonly notes: FileIssue[] = [];
  readonly #issues: FileIssue[] = [];
  #more = 0;

  constructor(readonly lines: Lines) {}

  /** Whether nothing is wrong so far. */
  get ok(): boolean {
    return this.#issues.length === 0;
  }

  /** Adds an error at an offset of the text. */
  error(offset: number, kind: FileIssueKind, issue: Issue): void {
    if (this.#issues.length >= mostIssues) this.#more++;
    else this.#issues.push({ ...issue, kind, severity: "error", ...this.lines.at(offset) });
  }

  /** Adds an error that is just a sentence. */
  say(offset: number, kind: FileIssueKind, expected: string): void {
    this.error(offset, kind, { code: "content", path: "", expected });
  }

  /** Adds a note. */
  note(offset: number, kind: FileIssueKind, expected: string): void {
    if (this.notes.length >= mostIssues) return;
    const more = this.notes.length === mostIssues - 1 ? "; further notes are left out" : "";
    this.notes.push({
      code: "content",
      path: "",
      expected: expected + more,
      kind,
      severity: "note",
      ...this.lines.at(offset),
    });
  }

  /** Takes over what another reader had to say about the same text, put in other terms. */
  adopt(result: FileResult<unknown>, terms: (issue: FileIssue) => FileIssue = (issue) => issue): void {
    this.notes.push(...result.notes.map(terms));
    if (!result.ok) this.#issues.push(...result.issues.map(terms));
  }

  /** The value, if nothing is wrong; else everything that is. */
  result<Value>(value?: Value): FileResult<Value> {
    // In the order of the file, whatever order they were found in.
    const order = (a: FileIssue, b: FileIssue): number => a.line - b.line || a.column - b.column;
    const notes = this.notes.sort(order);
    if (this.#issues.length === 0) return { ok: true, value: value as Value, notes };
    const issues = this.#issues.sort(order);
    const last = issues.at(-1) as FileIssue;
    if (this.#more) {
      const expected = `${this.#more} more things are wrong after this line; only ${mostIssues} are listed`;
      const { line, column } = last;
      issues.push({ code: "content", path: "", expected, kind: "limit", severity: "error", line, column });
    }
    return value === undefined ? { ok: false, issues, notes } : { ok: false, issues, notes, value };
  }
}
