import type { Issue } from "../cv/issue.js";
import { joinPath } from "../cv/issue.js";
import {
  duplicateKey,
  jsonAfter,
  jsonColon,
  jsonComma,
  jsonControl,
  jsonEscape,
  jsonKey,
  jsonLastComma,
  jsonLineBreak,
  jsonNothing,
  jsonNoValue,
  jsonNumber,
  jsonOpen,
  jsonQuotes,
  jsonRemark,
  jsonUnclosed,
  jsonValue,
  jsonWord,
  severalDocuments,
  tooDeep,
} from "./faults.js";
import { FileIssues, type FileResult } from "./file-issue.js";
import { follow, type JsonNode, plain } from "./json-tree.js";
import { byteOrderMark, type Position, SourceText } from "./lines.js";
import { maxLengthOf, type ReadOptions } from "./options.js";

/** A JSON text that was read. */
export interface JsonDocument {
  /** Its value, as plain data: objects without a prototype, so that a key `__proto__` is only a key. */
  readonly value: unknown;
  /**
   * The place of a value by its path, `"speed.levels.3"`; of the nearest thing around it when it is not
   * there.
   */
  locate(path: string): Position;
}

/** How deep lists and objects may be nested. */
export const maxDepth = 100;

/**
 * Reads JSON from untrusted input. It accepts what `JSON.parse` accepts (and a byte-order mark); what is
 * wrong is reported with its place, keys that are there twice too.
 * @param text The text.
 * @param options The name of the file, and how long it may be.
 */
export function readJson(text: string, options: ReadOptions = {}): FileResult<JsonDocument> {
  const source = new SourceText(text, options.file);
  const issues = new FileIssues(source);
  if (!issues.checkText(maxLengthOf(options))) return issues.result();
  const root = parseJson(source, issues);
  return root
    ? issues.result<JsonDocument>({
        get value() {
          return plain(root);
        },
        locate: (path) => source.at(follow(root, path).node.at),
      })
    : issues.result();
}

/**
 * The tree of a JSON text; undefined when it is not JSON.
 * @param source The text.
 * @param issues Where faults are added.
 */
export function parseJson(source: SourceText, issues: FileIssues): JsonNode | undefined {
  const parser = new Parser(source.text, issues);
  try {
    return parser.document();
  } catch (stop) {
    if (!(stop instanceof Stop)) throw stop;
    issues.error(stop.offset, stop.issue);
    return undefined;
  }
}

/** Thrown inside only: reading cannot go on. */
class Stop extends Error {
  constructor(
    readonly offset: number,
    readonly issue: Issue,
  ) {
    super();
  }
}

const numberPattern = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const partOfNumber = /[\w.+-]/;
const shortEscapes: Readonly<Record<string, string>> = {
  '"': '"',
  "\\": "\\",
  "/": "/",
  b: "\b",
  f: "\f",
  n: "\n",
  r: "\r",
  t: "\t",
};
const words = ["true", "false", "null"] as const;
/** How much of a key an issue keeps in its path. */
const longestKey = 80;

class Parser {
  /** The keys that lead to the place of the parser; those beyond `#depth` are left over. */
  readonly #path: (string | number)[] = [];
  #depth = 0;
  #at = 0;

  constructor(
    readonly text: string,
    readonly issues: FileIssues,
  ) {}

  document(): JsonNode {
    if (this.text.startsWith(byteOrderMark)) this.#at = 1;
    this.#space();
    const root = this.#value(-1);
    this.#space();
    if (this.#at < this.text.length) throw this.#stop(this.#behind(root));
    return root;
  }

  /** The value at this place. `key` is the offset of its key, or -1. */
  #value(key: number): JsonNode {
    const { text } = this;
    const start = this.#at;
    const at = key < 0 ? start : key;
    const first = text.charCodeAt(start);
    if (first === 34) return { kind: "text", value: this.#string(), start, end: this.#at, at };
    if (first === 45 || (first >= 48 && first <= 57))
      return { kind: "number", value: this.#number(first), start, end: this.#at, at };
    if (first === 123 || first === 91) {
      if (this.#depth >= maxDepth) throw new Stop(start, tooDeep({ max: maxDepth }));
      return first === 123 ? this.#object(at) : this.#list(at);
    }
    const word = words.find((one) => text.startsWith(one, start));
    if (!word || /[\w$]/.test(text.charAt(start + word.length))) throw this.#stop(this.#notAValue());
    const end = (this.#at += word.length);
    return word === "null"
      ? { kind: "null", value: null, start, end, at }
      : { kind: "boolean", value: word === "true", start, end, at };
  }

  #object(at: number): JsonNode {
    const { text } = this;
    const start = this.#at++;
    const members = new Map<string, JsonNode>();
    const level = this.#depth++;
    this.#space();
    while (!(members.size === 0 && this.#skip(125))) {
      const keyStart = this.#at;
      if (text.charCodeAt(keyStart) !== 34) {
        this.#depth = level;
        const found = text.charCodeAt(keyStart) === 125 ? jsonLastComma({ bracket: "}" }) : undefined;
        throw this.#stop(this.#ended(start, "}") ?? found ?? this.#seen(jsonKey));
      }
      const key = this.#key(level);
      this.#path[level] = key;
      this.#space();
      if (!this.#skip(58)) {
        const found = this.#ended(start, "}") ?? this.#seen((params) => jsonColon({ ...params, key }));
        throw this.#stop(found);
      }
      this.#space();
      if (this.#at >= text.length) throw this.#stop(this.#ended(start, "}") as Issue);
      const value = this.#value(keyStart);
      const first = members.get(key);
      if (first) this.#twice(key, first, keyStart);
      members.set(key, value);
      this.#space();
      if (this.#skip(125)) break;
      if (!this.#skip(44)) {
        this.#depth = level;
        throw this.#stop(
          this.#ended(start, "}") ?? this.#seen((params) => jsonComma({ ...params, bracket: "}" })),
        );
      }
      this.#space();
    }
    this.#depth = level;
    return { kind: "object", value: members, start, end: this.#at, at };
  }

  #key(level: number): string {
    // The path of a wrong key is that of its object.
    this.#depth = level;
    const key = this.#string();
    this.#depth = level + 1;
    return key;
  }

  #twice(key: string, first: JsonNode, again: number): void {
    this.issues.error(again, () =>
      duplicateKey({ key, line: this.issues.source.at(first.at).line }, { path: this.#pathText() }),
    );
  }

  #list(at: number): JsonNode {
    const start = this.#at++;
    const items: JsonNode[] = [];
    const level = this.#depth++;
    this.#space();
    while (!(items.length === 0 && this.#skip(93))) {
      this.#path[level] = items.length;
      if (this.#at >= this.text.length) throw this.#stop(this.#ended(start, "]") as Issue);
      if (items.length && this.text.charCodeAt(this.#at) === 93)
        throw this.#stop(jsonLastComma({ bracket: "]" }));
      items.push(this.#value(-1));
      this.#space();
      if (this.#skip(93)) break;
      if (!this.#skip(44)) {
        this.#depth = level;
        throw this.#stop(
          this.#ended(start, "]") ?? this.#seen((params) => jsonComma({ ...params, bracket: "]" })),
        );
      }
      this.#space();
    }
    this.#depth = level;
    return { kind: "list", value: items, start, end: this.#at, at };
  }

  #number(first: number): number {
    const { text } = this;
    const start = this.#at;
    // Most numbers are a few digits.
    let value = first - 48;
    let end = start + 1;
    let code = text.charCodeAt(end);
    if (first >= 49) {
      while (code >= 48 && code <= 57 && end - start < 15) {
        value = value * 10 + code - 48;
        code = text.charCodeAt(++end);
      }
    }
    if (first === 45 || isPartOfNumber(code)) {
      numberPattern.lastIndex = start;
      const source = numberPattern.exec(text)?.[0] ?? "";
      end = start + source.length;
      if (!source || partOfNumber.test(text.charAt(end))) throw this.#stop(this.#seen(jsonNumber));
      value = Number(source);
    }
    this.#at = end;
    return value;
  }

  /** The string at this place; afterwards the place is behind its closing quote. */
  #string(): string {
    const { text } = this;
    const open = this.#at;
    let at = open + 1;
    let from = at;
    let value = "";
    for (;;) {
      const code = text.charCodeAt(at);
      if (code === 34) {
        this.#at = at + 1;
        return value + text.slice(from, at);
      }
      if (code >= 32 && code !== 92) {
        at++;
      } else if (code === 92) {
        value += text.slice(from, at);
        const [character, length] = this.#escape(at);
        value += character;
        from = at += length;
      } else {
        this.#at = open;
        if (at >= text.length) throw this.#stop(jsonUnclosed({}));
        if (code === 10 || code === 13) throw this.#stop(jsonLineBreak({}));
        this.#at = at;
        const hex = code.toString(16).padStart(4, "0");
        throw this.#stop(jsonControl({ character: `U+${hex.toUpperCase()}`, escape: `\\u${hex}` }));
      }
    }
  }

  #escape(at: number): [character: string, length: number] {
    const letter = this.text.charAt(at + 1);
    const short = Object.hasOwn(shortEscapes, letter) ? shortEscapes[letter] : undefined;
    if (short !== undefined) return [short, 2];
    const hex = this.text.slice(at + 2, at + 6);
    if (letter === "u" && /^[\da-fA-F]{4}$/.test(hex))
      return [String.fromCharCode(Number.parseInt(hex, 16)), 6];
    this.#at = at;
    throw this.#stop(jsonEscape({}));
  }

  #space(): void {
    for (;;) {
      const code = this.text.charCodeAt(this.#at);
      if (code !== 32 && code !== 10 && code !== 13 && code !== 9) return;
      this.#at++;
    }
  }

  #skip(code: number): boolean {
    if (this.text.charCodeAt(this.#at) !== code) return false;
    this.#at++;
    return true;
  }

  #stop(issue: Issue): Stop {
    return new Stop(this.#at, { ...issue, path: this.#pathText() });
  }

  #pathText(): string {
    return this.#path
      .slice(0, this.#depth)
      .map((key) => (typeof key === "number" ? String(key) : shortKey(key)))
      .reduce(joinPath, "");
  }

  /** An issue that says what is at this place. */
  #seen(expected: (params: { found: unknown }) => Issue): Issue {
    if (/#|\/[/*]/y.test(this.text.slice(this.#at, this.#at + 2))) return jsonRemark({});
    const word = /[\w$.+-]{1,20}|[\s\S]?/uy;
    word.lastIndex = this.#at;
    return expected({ found: (word.exec(this.text) as RegExpExecArray)[0] });
  }

  /** What is wrong when the text ends before the bracket that was opened at `start` is closed. */
  #ended(start: number, bracket: string): Issue | undefined {
    if (this.#at < this.text.length) return undefined;
    return jsonOpen({ bracket, line: this.issues.source.at(start).line });
  }

  #behind(root: JsonNode): Issue {
    const { line } = this.issues.source.at(root.end);
    const further = this.text.charAt(this.#at) === "{" && this.issues.source.at(this.#at).line > line;
    return further ? severalDocuments({}) : this.#seen((params) => jsonAfter({ ...params, kind: root.kind }));
  }

  #notAValue(): Issue {
    const next = this.text.charAt(this.#at);
    if (!next) return jsonNothing({});
    if (next === "'" || next === "\u201C") return jsonQuotes({});
    if (next === "," || next === "}" || next === "]") return jsonNoValue({ found: next });
    const name = /[\w$]{1,10}/y;
    name.lastIndex = this.#at;
    const word = name.exec(this.text)?.[0].toLowerCase();
    return words.some((one) => one === word) ? jsonWord({ word }) : this.#seen(jsonValue);
  }
}

function isPartOfNumber(code: number): boolean {
  // Digits, the point, signs and letters; most often it is a comma, a bracket or a line break.
  return (
    code >= 43 && code !== 44 && code !== 93 && code !== 125 && partOfNumber.test(String.fromCharCode(code))
  );
}

/** The beginning of a key that is too long for a path. */
function shortKey(key: string): string {
  return key.length > longestKey ? `${key.slice(0, longestKey - 3)}...` : key;
}
