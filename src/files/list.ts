import type { Issue } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { Collected } from "./collected.js";
import {
  badBits,
  badBitsValue,
  badLabel,
  cvInRemark,
  emptyLabel,
  labelAgain,
  labelTwice,
  looksLikeLineEnd,
  notAListOfCvs,
  notUnderstood,
  notUnderstoodAfter,
  noValue,
  noValueButRemark,
} from "./faults.js";
import type { FileIssues } from "./file-issue.js";
import { isHeadingLine } from "./headings.js";
import { afterLineEnd, endOfLine, lookAlike } from "./lines.js";
import { badListCv, beginning, cvPattern, keyOfMatch, listByte, listNumber } from "./spelling.js";

/** What a plain list has. */
export interface ListContent {
  readonly collected: Collected;
  readonly decoder?: string;
  readonly name?: string;
}

// All of these are tried at one place of a line, and take time in proportion to what they match.
const lead = /[\s>]*(?:[-*•]\s+)?/y;
const label = /(decoder|name)\s*[=:]\s*/iy;
const cvToken = /* @__PURE__ */ cvPattern("", "", "iy");
const bitsToken = /\s+bits?\s+(\d+)(?:\s*-\s*(\d+))?/iy;
const link = /\s*(?:[-=]>|[=:,→])\s*|\s+[-–—]\s+|\s+/y;
const semicolon = /\s*;\s*(?=(?:0x[\da-f]+|0b[01]+|\d+)\s*(?:[;#(]|$))/iy;
const valueToken = /[^\s,;#()=:]+/y;
const bracketed = /\s*\([^()]*\)/y;
const lastComma = /\s*,(?=\s*(?:$|[#;]))/y;
const toNext = /* @__PURE__ */ cvPattern(",?\\s*(?=cv|", "\\s*[=:])", "iy");
const another = /* @__PURE__ */ cvPattern(";\\s*", "\\s*[=:,]", "iy");

/** How many lines there must be, and none of them like a CV, before the file is taken for something else. */
const linesInDoubt = 4;

/** Reads a plain list, line by line. */
export function readList(text: string, issues: FileIssues): ListContent {
  const labels = new Map<string, string>();
  const collected = new Collected(issues);
  const before = issues.errors;
  let lines = 0;
  let unclear = 0;
  for (let at = 0; at < text.length; ) {
    const end = endOfLine(text, at);
    const line = new Line(text.slice(at, end), at, collected, labels);
    if (line.read(lines === 0)) lines++;
    if (line.isUnclear) unclear++;
    at = afterLineEnd(text, end);
  }
  if (lines >= linesInDoubt && unclear === lines) {
    issues.keepErrors(before + 1);
    issues.error(0, notAListOfCvs({ lines, brace: "{" }));
  }
  const decoder = labels.get("decoder");
  const name = labels.get("name");
  return { collected, ...(decoder !== undefined && { decoder }), ...(name !== undefined && { name }) };
}

/**
 * Reports the first character of a line that looks like a line break, where it stands between other
 * characters.
 * @param line The line.
 * @param offset The offset of the line in the text.
 * @param issues Where the fault is added.
 */
export function checkLookAlike(line: string, offset: number, issues: FileIssues): void {
  const at = line.trimEnd().search(lookAlike);
  if (at < 0 || !line.slice(0, at).trim()) return;
  const code = line.charCodeAt(at).toString(16).toUpperCase().padStart(4, "0");
  issues.error(offset + at, looksLikeLineEnd({ character: `U+${code}` }));
}

/** A CV of a line, whole or some of its bits. */
interface Target {
  /** The key of the CV; 0 when there is no such CV. */
  readonly key: number;
  readonly mask: number;
  readonly low: number;
  /** What it is called in messages. */
  readonly name: string;
}

class Line {
  /** Whether nothing on it looks like a CV. */
  isUnclear = false;
  #at = 0;
  readonly #issues: FileIssues;

  constructor(
    readonly text: string,
    readonly offset: number,
    readonly collected: Collected,
    readonly labels: Map<string, string>,
  ) {
    this.#issues = collected.issues;
  }

  /** Reads the line; false when there is nothing on it but blanks and remarks. */
  read(first: boolean): boolean {
    checkLookAlike(this.text, this.offset, this.#issues);
    this.#take(lead);
    if (this.#remark()) return false;
    if (first && isHeadingLine(this.text.slice(this.#at))) return true;
    const named = this.#take(label)?.[1]?.toLowerCase();
    const wrong = named ? this.#label(named) : this.#assignments();
    if (wrong) this.#error(this.#at, wrong);
    return true;
  }

  /** Reads `CV29 = 34` and what follows it; returns what is wrong at the place that was reached. */
  #assignments(): Issue | undefined {
    const lineStart = this.#at;
    for (;;) {
      const start = this.#at;
      const target = this.#target();
      if (!target) {
        this.isUnclear = start === lineStart;
        return notUnderstood({ found: this.#rest() });
      }
      const { name } = target;
      const linked = this.#take(semicolon) ?? this.#take(link);
      if (this.#remark()) return (this.#isAt(";") ? noValueButRemark : noValue)({ cv: name });
      if (!linked) return this.#after(name);
      const valueStart = this.#at;
      const value = this.#take(valueToken)?.[0];
      if (value === undefined) return this.#after(name);
      if (target.key) this.#assign(target, value, start, valueStart);
      while (this.#take(bracketed));
      this.#take(lastComma);
      if (this.#remark()) return this.#take(another) ? cvInRemark({}) : undefined;
      if (!this.#take(toNext)) return this.#after(`${name} and its value`);
    }
  }

  /** Reads `CV29` or `CV29 bit 5`; undefined when it is neither. */
  #target(): Target | undefined {
    const start = this.#at;
    const cv = this.#take(cvToken);
    if (!cv) return undefined;
    const key = keyOfMatch(cv);
    if (key === 0) this.#error(start, badListCv(cv[0].replace(/^cv[\s#]*/i, "")));
    const name = key ? `CV ${nameOf(key)}` : "the CV";
    const bits = this.#take(bitsToken);
    if (!bits) return { key, mask: 255, low: 0, name };
    const [written, lowText = "", highText = lowText] = bits;
    const low = listNumber(lowText);
    const high = listNumber(highText);
    const good = low <= high && high <= 7;
    if (!good) this.#error(start, badBits({ found: beginning(written.trim()) }));
    const mask = good ? (2 << high) - (1 << low) : 255;
    return { key: good ? key : 0, mask, low, name: `${name} ${beginning(written.trim())}` };
  }

  #assign({ key, mask, low }: Target, value: string, start: number, valueStart: number): void {
    if (mask === 255) {
      const byte = listByte(key, value);
      if (typeof byte === "number") this.collected.add(key, byte, this.offset + start);
      else this.#error(valueStart, byte);
      return;
    }
    const number = listNumber(value);
    const max = mask >> low;
    if (number <= max) this.collected.addBits(key, mask, number << low, this.offset + start);
    else {
      const places = [{ cv: nameOf(key), mask }];
      this.#error(valueStart, badBitsValue({ max, found: beginning(value) }, { places }));
    }
  }

  /** Reads what is behind `decoder:` or `name:`; returns what is wrong at the place that was reached. */
  #label(which: string): Issue | undefined {
    const start = this.#at;
    const value = this.text.charAt(start) === '"' ? this.#quoted() : this.#unquoted();
    if (value === undefined) return badLabel({ label: which });
    if (!value) return emptyLabel({ label: which });
    if (!this.#remark()) return this.#after(`the ${which}`);
    const before = this.labels.get(which);
    if (before === undefined) this.labels.set(which, value);
    else if (before === value) this.#issues.note(this.offset, labelAgain({ label: which }));
    else this.#error(0, labelTwice({ label: which, before, value }));
    return undefined;
  }

  /** The text up to the remark, which starts with # or ; behind a blank. */
  #unquoted(): string {
    const start = this.#at;
    let end = start;
    while (end < this.text.length) {
      const isMark = "#;".includes(this.text.charAt(end));
      if (isMark && (end === start || /\s/.test(this.text.charAt(end - 1)))) break;
      end++;
    }
    this.#at = end;
    return this.text.slice(start, end).trim();
  }

  /** The text in double quotes, with the escapes of JSON; undefined when it is wrong. */
  #quoted(): string | undefined {
    const start = this.#at;
    let end = start + 1;
    while (end < this.text.length && this.text.charAt(end) !== '"') {
      end += this.text.charAt(end) === "\\" ? 2 : 1;
    }
    try {
      const value: unknown = JSON.parse(this.text.slice(start, end + 1));
      this.#at = end + 1;
      return String(value);
    } catch {
      return undefined;
    }
  }

  /** Goes on to the next thing; whether only a remark, or nothing, is left. */
  #remark(): boolean {
    this.#take(/\s*/y);
    return this.#at >= this.text.length || "#;".includes(this.text.charAt(this.#at));
  }

  #isAt(character: string): boolean {
    return this.text.charAt(this.#at) === character;
  }

  /** The issue of what is at this place, behind something. */
  #after(what: string): Issue {
    return notUnderstoodAfter({ found: this.#rest(), what });
  }

  #rest(): string {
    return beginning(this.text.slice(this.#at).trim());
  }

  #error(at: number, issue: Issue): void {
    this.#issues.error(this.offset + at, issue);
  }

  #take(pattern: RegExp): RegExpExecArray | null {
    pattern.lastIndex = this.#at;
    const match = pattern.exec(this.text);
    if (match) this.#at = pattern.lastIndex;
    return match;
  }
}
