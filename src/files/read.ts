import { need, someIssues } from "../cv/argument.js";
import { CvPatch } from "../cv/cvpatch.js";
import { CvSet } from "../cv/cvset.js";
import { notACv } from "../cv/faults.js";
import { CvError, type Issue, joinPath } from "../cv/issue.js";
import { type CvName, keyOf, nameOf } from "../cv/name.js";
import { nearestNames } from "../cv/nearest.js";
import { Collected } from "./collected.js";
import {
  bothKinds,
  keyAmongCvs,
  noCvs,
  notAFile,
  notAMap,
  notBits,
  notSettings,
  severalLocomotives,
  tooLarge,
  unknownKind,
  unreadKeys,
  wrongKind,
} from "./faults.js";
import { type FileIssue, FileIssues, type FileResult, placed } from "./file-issue.js";
import { type FileHead, headKeys, readHead } from "./head.js";
import { parseJson } from "./json.js";
import { follow, type JsonMembers, type JsonNode, plain, shallow } from "./json-tree.js";
import type { SourceText } from "./lines.js";
import { readList } from "./list.js";
import { maxLengthOf, type ReadOptions } from "./options.js";
import { type Source, withText } from "./source.js";
import { beginning, jsonByte } from "./spelling.js";
import { layoutOf, readTable } from "./table.js";

/** A CV set as a file has it. */
export interface CvSetFile extends FileHead {
  readonly kind: "cvs";
  /** The CVs. */
  readonly cvs: CvSet;
  /** How they are written: as JSON, as a table with cells, as a Markdown table, or as a plain list. */
  readonly format: "json" | "csv" | "markdown" | "list";
  /** The place of a CV in the file; undefined for one that is not there. */
  locate(cv: number | string): { readonly line: number; readonly column: number } | undefined;
  /** Issues about these CVs with their places in the file. */
  at(issues: readonly Issue[]): FileIssue[];
}

/** The settings of a locomotive or accessory, as a file has them. */
export interface SettingsFile extends FileHead {
  readonly kind: "settings";
  /** The settings as plain data, not yet checked against a decoder. Objects have no prototype. */
  readonly settings: Readonly<Record<string, unknown>>;
  /**
   * The place of a setting by its path, `"front.effect"` or `"speed.levels.3"`; of the nearest thing around
   * it where the file does not have it.
   */
  locate(path: string): { readonly line: number; readonly column: number };
  /** Issues about these settings, as `tryEncode` gives them, with their places in the file. */
  at(issues: readonly Issue[]): FileIssue[];
}

/** A file of any kind, by `kind`. */
export type AnyFile =
  | CvSetFile
  | SettingsFile
  | (FileHead & {
      readonly kind: "patch";
      /** Bytes and single bits, to be applied to other CVs. */
      readonly patch: CvPatch;
      /** How they are written. */
      readonly format: "json" | "list";
      /** The place of a CV in the file; undefined for one that is not there. */
      locate(cv: number | string): { readonly line: number; readonly column: number } | undefined;
      /** Issues about these CVs with their places in the file. */
      at(issues: readonly Issue[]): FileIssue[];
    })
  | {
      /** A plan, a decoder description, timed runs, or a report of the command: read by other functions. */
      readonly kind: "plan" | "description" | "measurements" | "report";
      /** The JSON data, not yet checked; of timed runs as CSV, the text. */
      readonly value: unknown;
      /** The place of a value by its path; of the nearest thing around it where the file does not have it. */
      locate(path: string): { readonly line: number; readonly column: number };
      /** Issues about the data with their places in the file. */
      at(issues: readonly Issue[]): FileIssue[];
    };

/** What each kind is called. */
const kindNames: Readonly<Record<AnyFile["kind"], string>> = {
  cvs: "a CV set",
  patch: "a patch of single bits",
  settings: "a settings file",
  plan: "a plan",
  description: "a decoder description",
  measurements: "a file of timed runs",
  report: "a report",
};

/**
 * Reads a file of any kind: a CV set (JSON, a plain list, a table), a settings file, a patch, a plan, a decoder
 * description, timed runs. The content decides what it is.
 * @param source The text, the bytes of the whole file, or either in chunks: a list, a stream.
 * @param options `file`: what the file is called in issues. `maxLength`: the most UTF-16 units that are read.
 * @returns The file, or everything that is wrong with its place; for chunks, a promise of it.
 * @throws Whatever a source of chunks itself throws.
 * @example
 * import { readAny } from "cvset/files";
 * const result = readAny("CV29 = 34\n");
 * result.ok && result.value.kind; // "cvs"
 * readAny('{ "settings": { "address": 3 } }').value?.kind; // "settings"
 * (await readAny(["CV29 bit", " 5 = 1"])).value?.kind; // "patch"
 */
export function readAny(
  source: string | Uint8Array,
  options?: { readonly file?: string; readonly maxLength?: number },
): FileResult<AnyFile>;
export function readAny(
  source: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
  options?: { readonly file?: string; readonly maxLength?: number },
): Promise<FileResult<AnyFile>>;
export function readAny(
  source: Source,
  options: ReadOptions = {},
): FileResult<AnyFile> | Promise<FileResult<AnyFile>> {
  return withText(source, options, (text) => one(documentsOf(text, options)));
}

/**
 * Reads a CV set: JSON, a plain list, a CSV or Markdown table. Any other kind of file is an error that names it.
 * @param source The text, the bytes of the whole file, or either in chunks: a list, a stream.
 * @param options As for {@link readAny}.
 * @returns The CV set, or everything that is wrong with its place; for chunks, a promise of it.
 * @throws Whatever a source of chunks itself throws.
 * @example
 * import { readCvSet } from "cvset/files";
 * const result = readCvSet("# No. 9\nCV 29: 34 ; long address\n17,0xC4\nCV300@16.0 = 0b111\n");
 * result.ok && result.value.cvs.toJSON(); // { "17": 196, "29": 34, "300@16.0": 7 }
 */
export function readCvSet(
  source: string | Uint8Array,
  options?: { readonly file?: string; readonly maxLength?: number },
): FileResult<CvSetFile>;
export function readCvSet(
  source: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
  options?: { readonly file?: string; readonly maxLength?: number },
): Promise<FileResult<CvSetFile>>;
export function readCvSet(
  source: Source,
  options: ReadOptions = {},
): FileResult<CvSetFile> | Promise<FileResult<CvSetFile>> {
  return withText(source, options, (text) => only("cvs", text, one(documentsOf(text, options))));
}

/**
 * Reads a settings file: `{ "decoder": ..., "name": ..., "settings": { ... } }`. The settings themselves are
 * for the decoder to check; `at` gives its issues their places in the file.
 * @param source The text, the bytes of the whole file, or either in chunks: a list, a stream.
 * @param options As for {@link readAny}.
 * @returns The settings, or everything that is wrong with its place; for chunks, a promise of it.
 * @throws Whatever a source of chunks itself throws.
 * @example
 * import { cv, level } from "cvset";
 * import { fileMessage, readSettings } from "cvset/files";
 * const text = '{\n  "settings": {\n    "fade": 99\n  }\n}\n';
 * const result = readSettings(text, { file: "no9.json" });
 * if (!result.ok) throw new Error(fileMessage(result.issues[0]));
 * const { settings, at } = result.value;
 * const fade = level(cv(239), { unit: "s", step: 0.05, max: 6 }).tryEncode(settings.fade as number);
 * const issues = fade.ok ? [] : at(fade.issues.map((issue) => ({ ...issue, path: "fade" })));
 * fileMessage(issues[0]); // "no9.json:3:5: fade: 99 is out of range; allowed is 0 to 6 s"
 */
export function readSettings(
  source: string | Uint8Array,
  options?: { readonly file?: string; readonly maxLength?: number },
): FileResult<SettingsFile>;
export function readSettings(
  source: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
  options?: { readonly file?: string; readonly maxLength?: number },
): Promise<FileResult<SettingsFile>>;
export function readSettings(
  source: Source,
  options: ReadOptions = {},
): FileResult<SettingsFile> | Promise<FileResult<SettingsFile>> {
  return withText(source, options, (text) => only("settings", text, one(documentsOf(text, options))));
}

/** One file of a text that may have several. */
export interface Document {
  /** Where it starts. */
  readonly offset: number;
  readonly result: FileResult<AnyFile>;
}

/** The files of a text. */
export interface Documents {
  readonly source: SourceText;
  readonly found: readonly Document[];
}

/**
 * The files of a text: one, or the locomotives of a report of `match`.
 * @param source The text.
 * @param options How long it may be.
 * @param isJson Whether it must be JSON.
 */
export function documentsOf(source: SourceText, options: ReadOptions, isJson = false): Documents {
  const issues = new FileIssues(source);
  if (!issues.checkText(maxLengthOf(options)))
    return { source, found: [{ offset: 0, result: issues.result() }] };
  const { text } = source;
  const first = firstThing(text);
  if (isJson || "{[".includes(text.charAt(first))) return { source, found: jsonDocuments(source, issues) };
  return { source, found: [{ offset: 0, result: readPlain(source, first, issues) }] };
}

/** The only file of a text; an error where there are several. */
function one({ source, found }: Documents): FileResult<AnyFile> {
  const [first, second] = found as readonly [Document, Document?];
  if (!second) return first.result;
  const issues = new FileIssues(source);
  const names = found.map(({ result }, i) => {
    const file = result.value;
    return file && "name" in file && file.name !== undefined ? file.name : `number ${i + 1}`;
  });
  issues.error(first.offset, severalLocomotives({ count: found.length, names }));
  return issues.result();
}

/** The file, where it is of a certain kind; else an error that says of which it is. */
function only<Kind extends AnyFile["kind"]>(
  kind: Kind,
  source: SourceText,
  result: FileResult<AnyFile>,
): FileResult<Extract<AnyFile, { kind: Kind }>> {
  type Wanted = Extract<AnyFile, { kind: Kind }>;
  const { value } = result;
  if (value === undefined || value.kind === kind) return result as FileResult<Wanted>;
  const issue = wrongKind({ found: kindNames[value.kind], expected: kindNames[kind] });
  return { ok: false, issues: [placed(source, firstThing(source.text), issue)], notes: [] };
}

/** The offset of the first thing that is neither blank (as a byte-order mark is) nor, outside JSON, a remark. */
function firstThing(text: string): number {
  let first: number | undefined;
  let inRemark = false;
  for (let at = 0; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (code === 10 || code === 13) inRemark = false;
    else if (!inRemark && text.charAt(at).trim()) {
      first ??= at;
      if (code !== 35 && code !== 59) return at;
      inRemark = true;
    }
  }
  return first ?? 0;
}

/** Reads a table or a list. */
function readPlain(source: SourceText, first: number, issues: FileIssues): FileResult<AnyFile> {
  const { text } = source;
  const layout = layoutOf(text, first);
  if (layout && !layout.columns) {
    const locate = () => source.at(first);
    return issues.result<AnyFile>({
      kind: "measurements",
      value: text,
      locate,
      at(all) {
        need(someIssues, all, "issues");
        return all.map((issue) => placed(source, first, issue));
      },
    });
  }
  const { collected, ...head } = layout
    ? { collected: readTable(text, first, layout, issues) }
    : readList(text, issues);
  if (collected.offsets.size === 0 && issues.ok) issues.note(0, noCvs({}));
  const format = layout ? (layout.delimiter === "|" ? "markdown" : "csv") : "list";
  return issues.result(cvsFile(source, 0, collected, format, head));
}

/** The file of collected CVs: a CV set, or a patch where there are single bits. */
function cvsFile(
  source: SourceText,
  start: number,
  collected: Collected,
  format: CvSetFile["format"],
  head: FileHead,
): AnyFile {
  const { image, bits, offsets } = collected;
  collected.noteUnpaged();
  const offsetOf = (cv: CvName): number | undefined => offsets.get(keyOf(String(cv)));
  const cvs = new CvSet(image);
  const about = {
    ...head,
    locate(cv: CvName) {
      const offset = offsetOf(cv);
      return offset === undefined ? undefined : source.at(offset);
    },
    at(issues: readonly Issue[]) {
      need(someIssues, issues, "issues");
      return issues.map((issue) => {
        const offset = issue.places?.map(({ cv }) => offsetOf(cv)).find((found) => found !== undefined);
        return placed(source, offset ?? start, issue);
      });
    },
  };
  if (bits.size === 0) return { kind: "cvs", cvs, format, ...about };
  const single = [...bits].map(([key, change]) => ({ cv: nameOf(key), ...change }));
  const patch = CvPatch.from({ cvs: cvs.toJSON(), bits: single });
  return { kind: "patch", patch, format: format === "json" ? "json" : "list", ...about };
}

/** Reads the files of a JSON text. */
function jsonDocuments(source: SourceText, issues: FileIssues): Document[] {
  const root = parseJson(source, issues);
  if (!root) return [{ offset: 0, result: issues.result() }];
  const locomotives = root.kind === "object" ? root.value.get("locomotives") : undefined;
  if (locomotives?.kind !== "list" || !locomotives.value.some(hasCvs))
    return [{ offset: root.start, result: readRoot(root, source, issues) }];
  const others = [...(root.value as JsonMembers).keys()].filter((key) => key !== "locomotives");
  if (others.length)
    issues.note(root.start, unreadKeys({ keys: others.slice(0, mostCompared).map(beginning) }));
  return locomotives.value.map((node, i) => {
    // What is wrong with the text as a whole is an issue of the first.
    const own = i === 0 ? issues : new FileIssues(source);
    return { offset: node.start, result: readRoot(node, source, own) };
  });
}

/** Whether a locomotive of a report has CVs. */
function hasCvs(node: JsonNode): boolean {
  return node.kind === "object" && (node.value.has("cvs") || node.value.has("bits"));
}

function readRoot(root: JsonNode, source: SourceText, issues: FileIssues): FileResult<AnyFile> {
  if (root.kind === "list" && isOfRuns(root)) return issues.result(dataFile("measurements", root, source));
  if (root.kind !== "object") {
    issues.error(root.start, notAFile({ found: shallow(root) }));
    return issues.result();
  }
  const { value: members } = root;
  const has = (key: string): boolean => members.has(key);
  if (has("cvs") && has("settings")) {
    issues.error(root.start, bothKinds({}));
    return issues.result();
  }
  if (has("settings")) return issues.result(readSettingsBody(root, members, source, issues));
  if (has("cvs") || has("bits")) return issues.result(readCvs(root, members, source, issues));
  const kind = dataKindOf(has);
  if (kind) return issues.result(dataFile(kind, root, source));
  return issues.result(readBareMap(root, members, source, issues));
}

/** What a JSON file without CVs and settings is, by the keys that show it. */
function dataKindOf(
  has: (key: string) => boolean,
): "plan" | "description" | "measurements" | "report" | undefined {
  if (has("features")) return "description";
  if (has("steps")) return "plan";
  if (has("runs")) return "measurements";
  return has("findings") || has("changes") || has("mismatches") || has("locomotives") ? "report" : undefined;
}

function isOfRuns({ value }: JsonNode & { readonly kind: "list" }): boolean {
  const [first] = value;
  return first?.kind === "object" && (first.value.has("level") || first.value.has("step"));
}

function dataFile(
  kind: "plan" | "description" | "measurements" | "report",
  root: JsonNode,
  source: SourceText,
): AnyFile {
  return {
    kind,
    get value() {
      return plain(root);
    },
    locate: (path) => source.at(follow(root, path).node.at),
    at(issues) {
      need(someIssues, issues, "issues");
      return issues.map((issue) => placed(source, follow(root, issue.path).node.at, issue));
    },
  };
}

/** Reads `{ "cvs": ..., "bits": ... }`; undefined when there are no CVs to speak of. */
function readCvs(
  root: JsonNode,
  members: JsonMembers,
  source: SourceText,
  issues: FileIssues,
): AnyFile | undefined {
  issues.restate((issue) => inCvs(issue, "cvs."));
  const head = readHead(members, ["cvs", "bits"], issues);
  const cvs = members.get("cvs");
  const bits = members.get("bits");
  const collected = new Collected(issues);
  if (cvs?.kind === "object") readMap(cvs.value, collected, source.text);
  else if (cvs) issues.error(cvs.start, notAMap({ found: shallow(cvs) }, { path: "cvs" }));
  if (bits) readBits(bits, collected);
  return cvs && cvs.kind !== "object" ? undefined : cvsFile(source, root.start, collected, "json", head);
}

/** How many keys that are no CVs are compared with the keys of a file. */
const mostCompared = 100;

/** Reads a bare map of CVs. */
function readBareMap(
  root: JsonNode,
  members: JsonMembers,
  source: SourceText,
  issues: FileIssues,
): AnyFile | undefined {
  const keys = [...members.keys()];
  if (keys.length && !keys.some((key) => /^\s*(?:cv)?\s*\d/i.test(key.slice(0, 20)))) {
    const shown = keys.slice(0, mostCompared).map(beginning);
    const own = keys.find((key) => !headKeys.some((one) => one === key)) ?? "";
    const nearest = nearestNames(own, ["cvs", "settings", "features", "steps"]).slice(0, 1);
    issues.error(root.start, unknownKind({ keys: shown, ...(nearest.length && { nearest }) }));
    return undefined;
  }
  const others = keys.filter((key) => keyOf(key) === 0).slice(0, mostCompared);
  const stray = others.find((key) => nearestNames(key, [...headKeys, "cvs"]).length > 0);
  if (stray !== undefined) {
    issues.error((members.get(stray) as JsonNode).at, keyAmongCvs({ key: stray }));
    return undefined;
  }
  issues.restate((issue) => inCvs(issue, ""));
  const collected = new Collected(issues);
  readMap(members, collected, source.text);
  return cvsFile(source, root.start, collected, "json", {});
}

function readMap(members: JsonMembers, collected: Collected, text: string): void {
  const { issues } = collected;
  for (const [cv, node] of members) {
    const key = keyOf(cv);
    if (key === 0) issues.error(node.at, () => notACv({ found: beginning(cv) }));
    else {
      const byte = jsonByte(key, node, text);
      if (typeof byte === "number") collected.add(key, byte, node.at);
      else issues.error(node.start, byte);
    }
  }
}

/** Reads `[{ "cv": "29", "mask": 32, "value": 32 }]`. */
function readBits(bits: JsonNode, collected: Collected): void {
  const { issues } = collected;
  if (bits.kind !== "list") {
    issues.error(bits.start, notBits({ found: shallow(bits) }, { path: "bits" }));
    return;
  }
  for (const [i, node] of bits.value.entries()) {
    const path = `bits.${i}`;
    try {
      const change = plain(node) as { cv: CvName; mask: number; value: number };
      for (const { cv, mask, value } of CvPatch.from({ bits: [change] })) {
        collected.addBits(keyOf(cv), mask, value, node.start);
      }
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      for (const issue of error.issues) issues.error(node.start, { ...issue, path });
    }
  }
}

/** An issue about the JSON of a CV, as an issue about that CV. */
function inCvs(issue: FileIssue, prefix: string): FileIssue {
  const cv = issue.path.startsWith(prefix) ? issue.path.slice(prefix.length) : "";
  return keyOf(cv) === 0 ? issue : { ...issue, path: "", places: [{ cv, mask: 255 }] };
}

/** Reads `{ "settings": { ... } }`; undefined when the settings are not an object. */
function readSettingsBody(
  root: JsonNode,
  members: JsonMembers,
  source: SourceText,
  issues: FileIssues,
): AnyFile | undefined {
  const head = readHead(members, ["settings"], issues);
  const body = members.get("settings") ?? root;
  if (body.kind !== "object") {
    issues.error(body.start, notSettings({ found: shallow(body) }, { path: "settings" }));
    return undefined;
  }
  checkNumbers(body, "", issues);
  const offsetOf = (path: string): number => (path ? follow(body, path).node.at : body.at);
  return {
    kind: "settings",
    ...head,
    settings: plain(body) as Record<string, unknown>,
    locate: (path) => source.at(offsetOf(path)),
    at(all) {
      need(someIssues, all, "issues");
      return all.map((issue) => placed(source, offsetOf(issue.path), issue));
    },
  };
}

/** Reports the numbers that JavaScript would change in silence. */
function checkNumbers(node: JsonNode, path: string, issues: FileIssues): void {
  if (node.kind === "object") {
    for (const [key, member] of node.value) checkNumbers(member, joinPath(path, beginning(key)), issues);
  } else if (node.kind === "list") {
    for (const [i, item] of node.value.entries()) checkNumbers(item, joinPath(path, String(i)), issues);
  } else if (node.kind === "number") {
    const number = issues.source.text.slice(node.start, node.end);
    const isWhole = /^-?\d+$/.test(number);
    if (isWhole ? Number.isSafeInteger(node.value) : Number.isFinite(node.value)) return;
    issues.error(node.start, () => tooLarge({ number: beginning(number) }, { path }));
  }
}
