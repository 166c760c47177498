import type { CvSet } from "../cv/cvset.js";
import { CvError, type Issue, joinPath } from "../cv/issue.js";
import type { FileHead } from "./envelope.js";
import { defaultMaxDepth } from "./json.js";

/** What is written of a CV set: the CVs, and what {@link FileHead} says of them. */
export interface CvSetContent extends FileHead {
  /** The CVs. */
  readonly cvs: CvSet;
}

/** What is written of settings: the settings, and what {@link FileHead} says of them. */
export interface SettingsContent extends FileHead {
  /** The settings. */
  readonly settings: object;
}

/**
 * A CV set as a JSON file: keys in a fixed order, one CV a line in CV order, index pages last, a line
 * break at the end. Reading it and writing it again gives the same bytes.
 * @param file The set; what `readCvSet` gives will do.
 * @throws `CvError` when `silence` holds something that JSON cannot say.
 * @example
 * import { CvSet } from "cvset";
 * import { writeCvSet } from "cvset/files";
 * writeCvSet({ cvs: CvSet.from({ 29: 34, 1: 3 }), name: "No. 9" });
 * // '{\n  "name": "No. 9",\n  "cvs": {\n    "1": 3,\n    "29": 34\n  }\n}\n'
 */
export function writeCvSet(file: CvSetContent): string {
  return `${layOut([...headOf(file), ["cvs", mapOf(file.cvs)]], "", true)}\n`;
}

/**
 * A CV set as one line of JSON, for files that hold many: one document a line.
 * @param file The set; what `readCvSet` gives will do.
 * @throws `CvError` when `silence` holds something that JSON cannot say.
 * @example
 * import { CvSet } from "cvset";
 * import { writeCvSetLine } from "cvset/files";
 * writeCvSetLine({ cvs: CvSet.from({ 29: 34, 1: 3 }), name: "No. 9" });
 * // '{"name":"No. 9","cvs":{"1":3,"29":34}}\n'
 */
export function writeCvSetLine(file: CvSetContent): string {
  return `${layOut([...headOf(file), ["cvs", mapOf(file.cvs)]], "", false)}\n`;
}

/**
 * Settings as a JSON file: keys in a fixed order at the top, the settings in their own order, lists of
 * numbers or texts on one line, a line break at the end. Reading it and writing it again gives the same
 * bytes.
 * @param file The settings; what `readSettings` gives will do.
 * @throws `CvError` with everything in it that JSON cannot say: NaN, undefined, functions.
 * @example
 * import { writeSettings } from "cvset/files";
 * writeSettings({ decoder: "quillback-s8", settings: { speed: [4, 20, 60] } });
 * // '{\n  "decoder": "quillback-s8",\n  "settings": {\n    "speed": [4, 20, 60]\n  }\n}\n'
 */
export function writeSettings(file: SettingsContent): string {
  return `${layOut([...headOf(file), ["settings", file.settings]], "", true)}\n`;
}

/**
 * A CV set as CSV with a header, which `readCvSet` reads back to the same set.
 * @param cvs The set.
 * @example
 * import { CvSet } from "cvset";
 * import { writeCsv } from "cvset/files";
 * writeCsv(CvSet.from({ 29: 34, "300@16.0": 7 })); // "CV,Value\n29,34\n300@16.0,7\n"
 */
export function writeCsv(cvs: CvSet): string {
  let text = "CV,Value\n";
  for (const [cv, value] of cvs) text += `${cv},${value}\n`;
  return text;
}

/**
 * A CV set as a plain list, which `readCvSet` reads back to the same set, decoder and name.
 * @param file The set; what `readCvSet` gives will do. Its note, schema and silenced findings have no
 * place in a list.
 * @example
 * import { CvSet } from "cvset";
 * import { writeList } from "cvset/files";
 * writeList({ cvs: CvSet.from({ 29: 34, "300@16.0": 7 }), name: "No. 9" });
 * // "name: No. 9\nCV29 = 34\nCV300@16.0 = 7\n"
 */
export function writeList(file: Pick<CvSetContent, "cvs" | "decoder" | "name">): string {
  headOf(file);
  let text = "";
  for (const key of ["decoder", "name"] as const) {
    const value = file[key];
    if (value !== undefined) text += `${key}: ${bareText.test(value) ? value : JSON.stringify(value)}\n`;
  }
  for (const [cv, value] of file.cvs) text += `CV${cv} = ${value}\n`;
  return text || "# no CVs\n";
}

/**
 * The sets of many files as lines of JSON, one at a time, so that any number fits into memory.
 * @param files The sets.
 * @example
 * import { CvSet } from "cvset";
 * import { writeCvSets } from "cvset/files";
 * let text = "";
 * for await (const line of writeCvSets([{ cvs: CvSet.from({ 1: 3 }) }, { cvs: CvSet.from({ 1: 4 }) }])) text += line;
 * text; // '{"cvs":{"1":3}}\n{"cvs":{"1":4}}\n'
 */
export async function* writeCvSets(
  files: Iterable<CvSetContent> | AsyncIterable<CvSetContent>,
): AsyncGenerator<string, void> {
  for await (const file of files) yield writeCvSetLine(file);
}

// A text that a list may hold without quotes.
const bareText = /^[\p{L}\p{N}.,()/+-]+(?: [\p{L}\p{N}.,()/+-]+)*$/u;

type Pairs = [key: string, value: unknown][];

/** Marks a list of pairs as an object whose keys keep their order. */
class Ordered {
  constructor(readonly pairs: Pairs) {}
}

function mapOf(cvs: CvSet): Ordered {
  return new Ordered([...cvs]);
}

function headOf({ schema, decoder, name, note, silence }: FileHead): Pairs {
  const pairs: Pairs = [
    ["$schema", schema],
    ["decoder", decoder],
    ["name", name],
    ["note", note],
    ["silence", silence],
  ];
  const issues: Issue[] = [];
  for (const [key, value] of pairs) {
    if (value !== "" || key === "silence") continue;
    issues.push({ code: "type", path: key, expected: "a text; leave it out, or write one", found: value });
  }
  if (issues.length) throw new CvError(issues);
  return pairs.filter(([, value]) => value !== undefined);
}

function layOut(pairs: Pairs, path: string, spread: boolean): string {
  const issues: Issue[] = [];
  const text = new Layout(spread, issues).of(new Ordered(pairs), path, "");
  if (issues.length) throw new CvError(issues);
  return text;
}

class Layout {
  /** The lists and objects around the value at hand. */
  readonly #around = new Set<unknown>();

  constructor(
    readonly spread: boolean,
    readonly issues: Issue[],
  ) {}

  of(value: unknown, path: string, indent: string): string {
    if (typeof value === "string" || typeof value === "boolean" || value === null)
      return JSON.stringify(value);
    if (typeof value === "number" && Number.isFinite(value))
      return Object.is(value, -0) ? "-0" : String(value);
    const wrong = this.#wrong(value);
    if (wrong) {
      this.issues.push({ code: "type", path, expected: wrong, found: value });
      return "null";
    }
    this.#around.add(value);
    const text = this.#inside(value as object, path, indent);
    this.#around.delete(value);
    return text;
  }

  #wrong(value: unknown): string | undefined {
    const allowed = "a number, a text, true, false, null, a list or a plain object";
    if (typeof value !== "object" || value === null) return allowed;
    if (this.#around.has(value)) return "free of itself: it stands within itself";
    if (this.#around.size >= defaultMaxDepth) return `nested at most ${defaultMaxDepth} levels deep`;
    if (Array.isArray(value) || value instanceof Ordered) return undefined;
    const prototype: unknown = Object.getPrototypeOf(value);
    const isPlain = prototype === null || Object.getPrototypeOf(prototype) === null;
    return isPlain ? undefined : allowed;
  }

  #inside(value: object, path: string, indent: string): string {
    const inner = this.spread ? `${indent}  ` : "";
    if (Array.isArray(value)) {
      const onOneLine = value.every((item) => typeof item !== "object" || item === null);
      const items = Array.from(value, (item, i) => this.of(item, joinPath(path, String(i)), inner));
      if (onOneLine && this.spread) return `[${items.join(", ")}]`;
      return this.#lines("[", items, "]", indent);
    }
    const pairs = value instanceof Ordered ? value.pairs : Object.entries(value);
    const colon = this.spread ? ": " : ":";
    const members = pairs.map(
      ([key, member]) => JSON.stringify(key) + colon + this.of(member, joinPath(path, key), inner),
    );
    return this.#lines("{", members, "}", indent);
  }

  #lines(open: string, items: readonly string[], close: string, indent: string): string {
    if (items.length === 0 || !this.spread) return open + items.join(",") + close;
    return `${open}\n${indent}  ${items.join(`,\n${indent}  `)}\n${indent}${close}`;
  }
}
