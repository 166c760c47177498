import { anObject, aText, need } from "../cv/argument.js";
import type { Issue } from "../cv/issue.js";
import { itemStays, noSuchItem, settingsStay } from "./faults.js";
import { FileIssues, type FileResult } from "./file-issue.js";
import { parseJson } from "./json.js";
import { jsonText, quoted } from "./json-text.js";
import { follow, type JsonMembers, type JsonNode, plain } from "./json-tree.js";
import { afterLineEnd, endOfLine, isLineEnd, SourceText } from "./lines.js";
import { readSettings } from "./read.js";

/**
 * The text of a settings file with some settings changed. Everything else stays as it is, byte for byte: order,
 * layout, remarks. A setting that the file does not have is added behind the others, in the layout of the file.
 * @param text The text of a settings file.
 * @param changes The new values by path, `"front.effect"` or `"speed.levels.3"`; undefined removes the setting.
 * @param options `file`: what the file is called in issues. `maxLength`: the most UTF-16 units that are read.
 * @returns The new text; or everything that is wrong with the file, a path or a value.
 * @example
 * import { editSettings } from "cvset/files";
 * const text = '{ "name": "No. 9",  "settings": { "whistle": "one-note",  "horn": 3 } }\n';
 * editSettings(text, { whistle: "three-chime", "drains.seconds": 8, horn: undefined }).value;
 * // '{ "name": "No. 9",  "settings": { "whistle": "three-chime",  "drains": { "seconds": 8 } } }\n'
 */
/* @__NO_SIDE_EFFECTS__ */
export function editSettings(
  text: string,
  changes: Readonly<Record<string, unknown>>,
  options: { readonly file?: string; readonly maxLength?: number } = {},
): FileResult<string> {
  need(aText, text, "text");
  need(anObject, changes, "changes");
  const file = readSettings(text, options);
  if (!file.ok) return { ok: false, issues: file.issues, notes: file.notes };
  let edited = text;
  const issues = new FileIssues(new SourceText(text, options.file));
  // Additions come before removals, so that an object keeps a member whose layout can be followed.
  const entries = Object.entries(changes).sort(
    (a, b) => Number(a[1] === undefined) - Number(b[1] === undefined),
  );
  for (const [path, value] of entries) {
    const change = changeOf(edited, path, value);
    if (change) {
      if ("code" in change) issues.error(offsetIn(text, path), change);
      else edited = edited.slice(0, change.start) + change.text + edited.slice(change.end);
    }
  }
  return issues.ok ? { ok: true, value: edited, notes: file.notes } : issues.result();
}

/** A piece of a text, and what comes in its place. */
interface Change {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

/** The tree of a text that is known to be a settings file. */
function settingsIn(text: string): { root: JsonNode; body: JsonNode } {
  const root = parseJson(new SourceText(text), new FileIssues(new SourceText(text))) as JsonNode;
  return { root, body: (root.value as JsonMembers).get("settings") as JsonNode };
}

function offsetIn(text: string, path: string): number {
  return follow(settingsIn(text).body, path).node.at;
}

/** How one setting is changed; undefined where it is as it should be. */
function changeOf(text: string, path: string, value: unknown): Change | Issue | undefined {
  const { root, body } = settingsIn(text);
  const { node, parent, rest } = follow(body, path);
  if (path === "") return settingsStay({ found: path });
  if (value === undefined) return rest ? undefined : removal(parent as JsonNode, node, path);
  const style = styleOf(text, root);
  const issues: Issue[] = [];
  const write = (what: unknown, around: JsonNode): string => {
    if (!isSpread(text, around)) return jsonText(what, path, style.isTight ? "none" : "blanks", issues);
    const { at } = around === node ? (lastOf(node) as JsonNode) : node;
    return laidOut(jsonText(what, path, "lines", issues), indentOf(text, at), style);
  };
  const keys = rest.split(".");
  const wrapped = (from: number): unknown =>
    keys.slice(from).reduceRight((inner, key) => ({ [key]: inner }), value);
  let change: Change | Issue;
  if (!rest || (node.kind !== "object" && node.kind !== "list")) {
    const next = rest ? wrapped(0) : value;
    if (JSON.stringify(plain(node)) === stringify(next)) return undefined;
    change = { start: node.start, end: node.end, text: write(next, parent ?? node) };
  } else if (node.kind === "list") {
    const count = node.value.length;
    if (keys[0] !== String(count)) return noSuchItem({ count, item: keys[0] }, { path });
    change = addition(text, node, write(wrapped(1), node), style);
  } else if (node.value.size === 0) {
    const lines = isSpread(text, root);
    const next = jsonText(wrapped(0), path, lines ? "lines" : style.isTight ? "none" : "blanks", issues);
    change = { start: node.start, end: node.end, text: laidOut(next, indentOf(text, node.at), style) };
  } else {
    const colon = style.isTight ? ":" : ": ";
    const member = quoted(keys[0] as string) + colon + write(wrapped(1), node);
    change = addition(text, node, member, style);
  }
  return issues[0] ?? change;
}

function stringify(value: unknown): string | undefined {
  try {
    return JSON.stringify(value);
  } catch {
    // Circular, or with a big integer; the writer says so.
    return undefined;
  }
}

/** The change that takes a member out, with one of the commas around it. */
function removal(parent: JsonNode, node: JsonNode, path: string): Change | Issue {
  if (parent.kind !== "object") return itemStays({}, { path });
  const members = [...parent.value.values()];
  const index = members.indexOf(node);
  const [before, next] = [members[index - 1], members[index + 1]];
  if (next) return { start: node.at, end: next.at, text: "" };
  if (before) return { start: before.end, end: node.end, text: "" };
  return { start: parent.start, end: parent.end, text: "{}" };
}

/** The change that adds a member or an item behind the last one. */
function addition(text: string, parent: JsonNode, item: string, style: Style): Change {
  const last = lastOf(parent);
  if (!last) return { start: parent.start + 1, end: parent.start + 1, text: item };
  const gap = isSpread(text, parent) ? style.lineEnd + indentOf(text, last.at) : style.isTight ? "" : " ";
  return { start: last.end, end: last.end, text: `,${gap}${item}` };
}

interface Style {
  readonly lineEnd: string;
  /** By what members are indented. */
  readonly unit: string;
  /** Whether there are no blanks after colons. */
  readonly isTight: boolean;
}

/** How a text is laid out. */
function styleOf(text: string, root: JsonNode): Style {
  const end = endOfLine(text, 0);
  const lineEnd = end < text.length ? text.slice(end, afterLineEnd(text, end)) : "\n";
  const [first] = (root.value as JsonMembers).values();
  const indent = isSpread(text, root) && first ? indentOf(text, first.at) : "";
  const key = first ? text.slice(first.at, first.start) : "";
  return { lineEnd, unit: indent || "  ", isTight: key.endsWith(":") };
}

/** Whether an object or a list goes over several lines. */
function isSpread(text: string, node: JsonNode): boolean {
  const last = lastOf(node);
  return last !== undefined && endOfLine(text, node.start) < last.at;
}

/** The last member of an object, or item of a list. */
function lastOf(node: JsonNode): JsonNode | undefined {
  if (node.kind === "list") return node.value.at(-1);
  return node.kind === "object" ? [...node.value.values()].at(-1) : undefined;
}

/** The blanks at the start of the line of an offset. */
function indentOf(text: string, offset: number): string {
  let start = offset;
  while (start > 0 && !isLineEnd(text.charCodeAt(start - 1))) start--;
  let end = start;
  while (text.charAt(end) === " " || text.charAt(end) === "\t") end++;
  return text.slice(start, end);
}

/** A JSON text of several lines with the indentation and line ends of another one. */
function laidOut(json: string, indent: string, { lineEnd, unit }: Style): string {
  return json.replace(/\n( *)/g, (_, blanks: string) => lineEnd + indent + unit.repeat(blanks.length / 2));
}
