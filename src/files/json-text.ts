import { type Issue, joinPath } from "../cv/issue.js";
import { visible } from "../cv/show.js";
import { circular, nestedTooDeep, notJson } from "./faults.js";
import { maxDepth } from "./json.js";

/** Pairs of an object whose keys keep their order, also where they are numbers. */
export class Ordered {
  constructor(readonly pairs: readonly (readonly [key: string, value: unknown])[]) {}
}

/** How JSON is laid out: one member a line, all on one line, or the same without blanks. */
export type Spread = "lines" | "blanks" | "none";

/**
 * The JSON text of a value. Lists of numbers and texts are on one line. Characters that have no visible form
 * are escaped, so that the text can be printed.
 * @param value The value.
 * @param path Its path, for issues.
 * @param spread How it is laid out.
 * @param issues Where what JSON does not have is added.
 */
export function jsonText(value: unknown, path: string, spread: Spread, issues: Issue[]): string {
  return new Writer(spread, issues).of(value, path, "");
}

/** A text as JSON, in visible characters only. */
export function quoted(text: string): string {
  return JSON.stringify(text).replace(/[^ -~]/gu, (character) =>
    visible(character) === character ? character : character.split("").map(escaped).join(""),
  );
}

function escaped(unit: string): string {
  return `\\u${unit.charCodeAt(0).toString(16).padStart(4, "0")}`;
}

class Writer {
  /** The lists and objects around the present value. */
  readonly #around = new Set<unknown>();

  constructor(
    readonly spread: Spread,
    readonly issues: Issue[],
  ) {}

  of(value: unknown, path: string, indent: string): string {
    if (typeof value === "string") return quoted(value);
    if (typeof value === "boolean" || value === null) return String(value);
    if (typeof value === "number" && Number.isFinite(value))
      return Object.is(value, -0) ? "-0" : String(value);
    const wrong = this.#wrong(value, path);
    if (wrong) {
      this.issues.push(wrong);
      return "null";
    }
    this.#around.add(value);
    const text = this.#inside(value as object, path, indent);
    this.#around.delete(value);
    return text;
  }

  #wrong(value: unknown, path: string): Issue | undefined {
    if (typeof value !== "object" || value === null) return notJson({ found: value }, { path });
    if (this.#around.has(value)) return circular({}, { path });
    if (this.#around.size >= maxDepth) return nestedTooDeep({ max: maxDepth }, { path });
    if (Array.isArray(value) || value instanceof Ordered) return undefined;
    const prototype: unknown = Object.getPrototypeOf(value);
    const isPlain = prototype === null || Object.getPrototypeOf(prototype) === null;
    return isPlain ? undefined : notJson({ found: value }, { path });
  }

  #inside(value: object, path: string, indent: string): string {
    const inner = this.spread === "lines" ? `${indent}  ` : "";
    if (Array.isArray(value)) {
      const isFlat = value.every((item) => typeof item !== "object" || item === null);
      const items = Array.from(value, (item, i) => this.of(item, joinPath(path, String(i)), inner));
      if (this.spread === "none") return `[${items.join()}]`;
      return isFlat || this.spread === "blanks"
        ? `[${items.join(", ")}]`
        : this.#lines("[", items, "]", indent);
    }
    const pairs = value instanceof Ordered ? value.pairs : Object.entries(value);
    const colon = this.spread === "none" ? ":" : ": ";
    const members = pairs.map(
      ([key, member]) => quoted(key) + colon + this.of(member, joinPath(path, key), inner),
    );
    return this.#lines("{", members, "}", indent);
  }

  #lines(open: string, items: readonly string[], close: string, indent: string): string {
    if (items.length === 0 || this.spread === "none") return open + items.join() + close;
    if (this.spread === "blanks") return `${open} ${items.join(", ")} ${close}`;
    return `${open}\n${indent}  ${items.join(`,\n${indent}  `)}\n${indent}${close}`;
  }
}
