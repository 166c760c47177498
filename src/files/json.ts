import { show } from "../cv/issue.js";
import { defaultMaxLength, tooLong } from "./checktext.js";
import { Complaints, type FileResult } from "./fileissue.js";
import { find, type JsonMember, type JsonNode, plain } from "./jsonnode.js";
import { byteOrderMark, Lines, type Position } from "./lines.js";

/** A JSON text that was read. */
export interface JsonDocument {
  /** Its value, as a tree of places. */
  readonly root: JsonNode;
  /** Its value as plain data: objects without a prototype, so that a key `__proto__` is only a key. */
  readonly value: unknown;
  /**
   * The place of a value by its path, `"speed.levels.3"`; of the nearest thing around it when it is not
   * there.
   */
  locate(path: string): Position;
}

/** What bounds the work of a reader. */
export interface JsonLimits {
  /** The most UTF-16 units that a text may have; 16,777,216 if not given. */
  readonly maxLength?: number;
  /** How deep arrays and objects may be nested, at most 1000; 100 if not given. */
  readonly maxDepth?: number;
}

/** How deep arrays and objects may be nested. */
export const defaultMaxDepth = 100;
// Each level is one call; this leaves most of the stack to the caller.
const deepest = 1000;

/**
 * Reads JSON that nobody vouches for. It accepts what `JSON.parse` accepts (and a byte-order mark), but
 * says where and in words what is wrong, reports keys that stand twice, keeps how numbers were written,
 * and stops at a stated depth and length.
 * @param text The text.
 * @param limits What bounds the work.
 * @example
 * import { readJson } from "cvset/files";
 * const result = readJson('{ "29": 6,\n  "29": 34 }');
 * result.ok ? [] : result.issues.map(({ line, kind, path }) => [line, kind, path]);
 * // [[2, "duplicate", "29"]]
 */
export function readJson(text: string, limits: JsonLimits = {}): FileResult<JsonDocument> {
  return readJsonAt(new Lines(text), limits);
}

/** Like {@link readJson}, for a text whose first line has any number. */
export function readJsonAt(lines: Lines, limits: JsonLimits = {}): FileResult<JsonDocument> {
  const { text } = lines;
  const complaints = new Complaints(lines);
  const { maxLength = defaultMaxLength, maxDepth = defaultMaxDepth } = limits;
  if (text.length > maxLength) {
    complaints.say(0, "limit", tooLong(maxLength));
    return complaints.result();
  }
  const reader = new Reader(text, complaints, Math.min(maxDepth, deepest));
  try {
    const root = reader.document();
    return complaints.result<JsonDocument>({
      root,
      get value() {
        return plain(root);
      },
      locate: (path) => lines.at(find(root, path)),
    });
  } catch (stop) {
    if (!(stop instanceof Stop)) throw stop;
    complaints.error(stop.offset, stop.kind, {
      code: "content",
      // So deep that its path would hide what is said of it.
      path: stop.kind === "limit" ? "" : reader.path.join("."),
      expected: stop.message,
    });
    return complaints.result();
  }
}

/** Thrown inside only: reading cannot go on. */
class Stop extends Error {
  constructor(
    readonly offset: number,
    readonly kind: "syntax" | "limit",
    message: string,
  ) {
    super(message);
  }
}

const numberSpelling = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const partOfNumber = /[\w.+-]/;
const escapes: ReadonlyMap<string, string> = /* @__PURE__ */ new Map([
  ['"', '"'],
  ["\\", "\\"],
  ["/", "/"],
  ["b", "\b"],
  ["f", "\f"],
  ["n", "\n"],
  ["r", "\r"],
  ["t", "\t"],
]);

class Reader {
  /** Where the reader is, as keys. */
  readonly path: (string | number)[] = [];
  #at = 0;

  constructor(
    readonly text: string,
    readonly complaints: Complaints,
    readonly maxDepth: number,
  ) {}

  document(): JsonNode {
    if (this.text.startsWith(byteOrderMark)) this.#at = 1;
    this.#space();
    const root = this.#value(0);
    this.#space();
    if (this.#at < this.text.length) {
      throw this.#stop(`nothing may follow the end of the ${root.kind}, but here is ${this.#seen()}`);
    }
    return root;
  }

  #value(depth: number): JsonNode {
    const start = this.#at;
    const first = this.text.charCodeAt(start);
    if (first === 34) {
      const value = this.#string();
      return { kind: "string", value, start, end: this.#at };
    }
    if (first === 123 || first === 91) {
      if (depth >= this.maxDepth) {
        throw this.#stop(`lists and objects are nested more than ${this.maxDepth} levels deep here`, "limit");
      }
      return first === 123 ? this.#object(depth + 1) : this.#array(depth + 1);
    }
    if (first === 45 || (first >= 48 && first <= 57)) return this.#number();
    const word = /[\w$]*/y;
    word.lastIndex = start;
    const name = word.exec(this.text)?.[0] ?? "";
    const end = start + name.length;
    if (name === "true" || name === "false") {
      this.#at = end;
      return { kind: "boolean", value: name === "true", start, end };
    }
    if (name === "null") {
      this.#at = end;
      return { kind: "null", value: null, start, end };
    }
    throw this.#stop(this.#notAValue(name));
  }

  #object(depth: number): JsonNode {
    const start = this.#at++;
    const members = new Map<string, JsonMember>();
    const level = this.path.length;
    this.#space();
    if (this.#skip(125)) return { kind: "object", members, start, end: this.#at };
    for (;;) {
      const keyStart = this.#at;
      if (this.text.charCodeAt(keyStart) !== 34) {
        throw this.#stop(
          this.#ended(start, "}") ??
            (this.text.charCodeAt(keyStart) === 125
              ? "there is a comma before this closing }; take it out"
              : `a key in double quotes must come here, as in "29": 34, not ${this.#seen()}`),
        );
      }
      const key = this.#string();
      this.path.push(key);
      this.#space();
      if (!this.#skip(58)) {
        throw this.#stop(
          this.#ended(start, "}") ??
            `a colon must come between the key ${show(key)} and its value, not ${this.#seen()}`,
        );
      }
      this.#space();
      if (this.#at >= this.text.length) throw this.#stop(this.#ended(start, "}") ?? "");
      const value = this.#value(depth);
      const first = members.get(key);
      if (first) this.#twice(key, first, keyStart);
      members.set(key, { start: keyStart, value });
      this.path.length = level;
      this.#space();
      if (this.#skip(125)) return { kind: "object", members, start, end: this.#at };
      if (!this.#skip(44)) {
        throw this.#stop(
          this.#ended(start, "}") ?? `a comma or a closing } must come here, not ${this.#seen()}`,
        );
      }
      this.#space();
    }
  }

  #twice(key: string, first: JsonMember, again: number): void {
    const line = this.complaints.lines.at(first.start).line;
    this.complaints.error(again, "duplicate", {
      code: "content",
      path: this.path.join("."),
      expected: `the key ${show(key)} stands twice, first on line ${line}; keep one of the two`,
    });
  }

  #array(depth: number): JsonNode {
    const start = this.#at++;
    const items: JsonNode[] = [];
    const level = this.path.length;
    this.#space();
    if (this.#skip(93)) return { kind: "array", items, start, end: this.#at };
    for (;;) {
      this.path.push(items.length);
      if (this.#at >= this.text.length) throw this.#stop(this.#ended(start, "]") ?? "");
      if (items.length && this.text.charCodeAt(this.#at) === 93) {
        throw this.#stop("there is a comma before this closing ]; take it out");
      }
      items.push(this.#value(depth));
      this.path.length = level;
      this.#space();
      if (this.#skip(93)) return { kind: "array", items, start, end: this.#at };
      if (!this.#skip(44)) {
        throw this.#stop(
          this.#ended(start, "]") ?? `a comma or a closing ] must come here, not ${this.#seen()}`,
        );
      }
      this.#space();
    }
  }

  #number(): JsonNode {
    const start = this.#at;
    numberSpelling.lastIndex = start;
    const source = numberSpelling.exec(this.text)?.[0] ?? "";
    const end = start + source.length;
    if (!source || partOfNumber.test(this.text.charAt(end))) {
      throw this.#stop(
        `${this.#seen()} is not a number as JSON writes it: digits, no zero or + in front, no hex`,
      );
    }
    this.#at = end;
    return { kind: "number", value: Number(source), source, start, end };
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
        if (at >= text.length) throw this.#stop("the closing double quote of this text is missing");
        if (code === 10 || code === 13) {
          throw this.#stop(
            'the closing double quote is missing on this line (a line break in a text is "\\n")',
          );
        }
        this.#at = at;
        const hex = code.toString(16).padStart(4, "0");
        throw this.#stop(
          `a control character (U+${hex.toUpperCase()}) in a text must be written "\\u${hex}"`,
        );
      }
    }
  }

  #escape(at: number): [character: string, length: number] {
    const letter = this.text.charAt(at + 1);
    const short = escapes.get(letter);
    if (short !== undefined) return [short, 2];
    const hex = this.text.slice(at + 2, at + 6);
    if (letter === "u" && /^[\da-fA-F]{4}$/.test(hex))
      return [String.fromCharCode(Number.parseInt(hex, 16)), 6];
    this.#at = at;
    throw this.#stop(
      'a backslash starts a special character (\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u0041); for the backslash itself write \\\\',
    );
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

  #stop(message: string, kind: "syntax" | "limit" = "syntax"): Stop {
    return new Stop(this.#at, kind, message);
  }

  /** What is at this place, short enough to be shown. */
  #seen(): string {
    if (this.#at >= this.text.length) return "the end of the text";
    if (/#|\/[/*]/y.test(this.text.slice(this.#at, this.#at + 2))) {
      return 'a remark (JSON has none; use the key "note")';
    }
    const word = /[\w$.+-]{1,20}|[\s\S]/uy;
    word.lastIndex = this.#at;
    return word.exec(this.text)?.[0].trim() || "a line break or space";
  }

  /** What to say when the text ends before the bracket that was opened at `start` is closed. */
  #ended(start: number, bracket: string): string | undefined {
    if (this.#at < this.text.length) return undefined;
    const line = this.complaints.lines.at(start).line;
    return `the text ends here, but the ${bracket} that closes line ${line} is missing`;
  }

  #notAValue(word: string): string {
    const next = this.text.charAt(this.#at);
    if (!next) return "a value must come here, but the text ends";
    if (next === "'" || next === "\u201C") return 'texts go in straight double quotes: "like this"';
    if (next === "," || next === "}" || next === "]") return `a value is missing before this ${next}`;
    const lower = word.toLowerCase();
    if (word && ["true", "false", "null"].includes(lower)) return `write ${lower} in small letters`;
    return `a value must come here (a number, true, false, null, or a text in double quotes), not ${this.#seen()}`;
  }
}
