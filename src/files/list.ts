import { show } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import type { Complaints } from "./fileissue.js";
import { Gathered } from "./gather.js";
import { cvSpelling, keyOfMatch, listByteIssue, listCvIssue, listNumber } from "./spelling.js";

/** What a plain list holds besides its CVs. */
export interface ListContent {
  readonly gathered: Gathered;
  readonly decoder?: string;
  readonly name?: string;
}

const example = "write one CV a line, as in CV29 = 34; remarks start with # or ;";
const lead = /[\s>]*(?:[-*•]\s+)?/y;
const headings = /cv(?:\s*[=:,]\s*|\s+)value\s*$/iy;
const label = /(decoder|name)\s*[=:]\s*/iy;
const cvToken = /* @__PURE__ */ new RegExp(cvSpelling, "iy");
const link = /\s*[=:,]\s*|\s+/y;
const valueToken = /[^\s,;#()=:]+/y;
const bracketed = /\s*\([^()]*\)/y;
const quotedText = /"(?:[^"\\]|\\.)*"/y;
const lastComma = /\s*,(?=\s*(?:$|[#;]))/y;
const toNext = /* @__PURE__ */ new RegExp(`\\s*,?\\s*(?=cv|${cvSpelling}\\s*[=:])`, "iy");
const another = /* @__PURE__ */ new RegExp(`;\\s*${cvSpelling}\\s*[=:,]`, "iy");

/** Reads a plain list, line by line. */
export function readList(text: string, complaints: Complaints): ListContent {
  const labels = new Map<string, string>();
  const gathered = new Gathered(complaints);
  let first = true;
  for (let at = 0; at < text.length; ) {
    let end = at;
    while (end < text.length && text.charCodeAt(end) !== 10 && text.charCodeAt(end) !== 13) end++;
    const line = new Line(text.slice(at, end), at, gathered, labels);
    if (line.read(first)) first = false;
    at = end + 1;
  }
  const decoder = labels.get("decoder");
  const name = labels.get("name");
  return {
    gathered,
    ...(decoder === undefined ? {} : { decoder }),
    ...(name === undefined ? {} : { name }),
  };
}

class Line {
  #at = 0;
  readonly #complaints: Complaints;

  constructor(
    readonly text: string,
    readonly offset: number,
    readonly gathered: Gathered,
    readonly labels: Map<string, string>,
  ) {
    this.#complaints = gathered.complaints;
  }

  /** Reads the line; false when there is nothing on it but blanks and remarks. */
  read(first: boolean): boolean {
    this.#take(lead);
    if (this.#remark()) return false;
    if (first && this.#take(headings)) return true;
    const named = this.#take(label)?.[1]?.toLowerCase();
    const wrong = named ? this.#label(named) : this.#assignments();
    if (wrong) this.#complaints.say(this.offset + this.#at, "syntax", wrong);
    return true;
  }

  /** Reads `CV29 = 34` and what follows it; gives what is wrong, in words. */
  #assignments(): string | undefined {
    do {
      const start = this.#at;
      const cv = this.#take(cvToken);
      if (!cv) return `${this.#rest()} is not understood; ${example}`;
      const written = cv[0].replace(/^cv[\s#]*/i, "");
      const key = keyOfMatch(cv);
      if (key === 0) this.#complaints.error(this.offset + start, "content", listCvIssue(written));
      const name = key ? nameOf(key) : written;
      const linked = this.#take(link);
      if (this.#remark()) {
        const semicolon = this.text.charAt(this.#at) === ";" ? "; what follows the ; is a remark" : "";
        return `CV ${name} has no value${semicolon}; ${example}`;
      }
      if (!linked) return `${this.#rest()} is not understood after CV ${name}; ${example}`;
      const valueStart = this.#at;
      const value = this.#take(valueToken)?.[0];
      if (value === undefined) return `${this.#rest()} is not understood after CV ${name}; ${example}`;
      if (key) {
        const number = listNumber(value);
        const issue = listByteIssue(key, value, number);
        if (issue) this.#complaints.error(this.offset + valueStart, "content", issue);
        else this.gathered.add(key, number, this.offset + start);
      }
      while (this.#take(bracketed));
      this.#take(lastComma);
      if (this.#remark()) {
        return this.#take(another)
          ? "what follows a ; is a remark, but this looks like a CV; give it a line of its own"
          : undefined;
      }
      if (!this.#take(toNext)) {
        return `${this.#rest()} is not understood after CV ${name} and its value; ${example}`;
      }
    } while (this.#at < this.text.length);
    return undefined;
  }

  /** Reads what stands after `decoder:` or `name:`; gives what is wrong, in words. */
  #label(which: string): string | undefined {
    const start = this.#at;
    let value = this.text
      .slice(start)
      .replace(/(?:^|\s)[#;].*$/, "")
      .trim();
    if (this.text.charAt(start) === '"') {
      try {
        value = JSON.parse(this.#take(quotedText)?.[0] ?? "");
      } catch {
        return `the text after ${which} does not end with a double quote, or has a wrong \\`;
      }
      if (!this.#remark()) return `${this.#rest()} is not understood after the ${which}`;
    }
    if (!value) return `the ${which} is empty; write it, or take the line out`;
    const before = this.labels.get(which);
    if (before === undefined) this.labels.set(which, value);
    else if (before === value) this.#complaints.note(this.offset, "duplicate", `the ${which} stands twice`);
    else {
      const both = `${show(before)} and ${show(value)}`;
      this.#complaints.say(
        this.offset,
        "duplicate",
        `the ${which} stands twice, ${both}; keep one of the two`,
      );
    }
    return undefined;
  }

  /** Goes on to the next thing, and says whether only a remark, or nothing, is left. */
  #remark(): boolean {
    this.#take(/\s*/y);
    return this.#at >= this.text.length || "#;".includes(this.text.charAt(this.#at));
  }

  #rest(): string {
    const rest = this.text.slice(this.#at).trim();
    return rest ? show(rest) : "the line ends";
  }

  #take(pattern: RegExp): RegExpExecArray | null {
    pattern.lastIndex = this.#at;
    const match = pattern.exec(this.text);
    if (match) this.#at = pattern.lastIndex;
    return match;
  }
}
