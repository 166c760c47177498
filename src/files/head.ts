import { nearestNames } from "../cv/nearest.js";
import { emptyText, unknownKey, unreadKeys } from "./faults.js";
import type { FileIssues } from "./file-issue.js";
import { type JsonMembers, plain, shallow } from "./json-tree.js";
import { beginning } from "./spelling.js";

/** What a file has besides its CVs or settings. */
export interface FileHead {
  /** The decoder it is for, as `--decoder` would name it. */
  readonly decoder?: string;
  /** The name of the locomotive or decoder. */
  readonly name?: string;
  /** A remark for people; it is not read. */
  readonly note?: string;
  /** Where the JSON Schema of the file is; it is not fetched. */
  readonly schema?: string;
  /** The findings that the file silences, not yet checked: `cvset/check` says what they look like. */
  readonly silence?: unknown;
}

/** The top-level keys that have a text, and their names in {@link FileHead}. */
const headTexts = { decoder: "decoder", name: "name", note: "note", $schema: "schema" } as const;

/** Every key that a file may have besides its CVs or settings, in the order in which they are written. */
export const headKeys = ["$schema", "decoder", "name", "note", "silence"] as const;

/**
 * Keys of the command's JSON output. A file with one of them may have any other key too; they are not read, and a
 * note says so.
 */
const outputKeys: ReadonlySet<string> = /* @__PURE__ */ new Set([
  "within",
  "unreached",
  "lines",
  "issues",
  "report",
]);

/**
 * Reads the top level of a file, and reports every key that does not belong there.
 * @param members The members of the outermost object.
 * @param body The keys of what the file is about: `"cvs"` and `"bits"`, or `"settings"`.
 * @param issues Where faults are added.
 */
export function readHead(members: JsonMembers, body: readonly string[], issues: FileIssues): FileHead {
  const head: { -readonly [Key in keyof FileHead]: FileHead[Key] } = {};
  const isOutput = [...outputKeys].some((key) => members.has(key));
  const unread: string[] = [];
  let firstUnread = 0;
  for (const [key, node] of members) {
    if (body.includes(key)) continue;
    if (key === "silence") head.silence = plain(node);
    else if (isHeadText(key)) {
      if (node.kind === "text" && node.value) head[headTexts[key]] = node.value;
      else issues.error(node.start, emptyText({ found: shallow(node) }, { path: key }));
    } else if (isOutput) {
      if (unread.push(beginning(key)) === 1) firstUnread = node.at;
    } else issues.error(node.at, () => notKnown(key, body));
  }
  if (unread.length) issues.note(firstUnread, unreadKeys({ keys: unread }));
  return head;
}

function isHeadText(key: string): key is keyof typeof headTexts {
  return Object.hasOwn(headTexts, key);
}

function notKnown(key: string, body: readonly string[]) {
  const allowed = [...headKeys, ...body];
  const nearest = nearestNames(key, allowed).slice(0, 1);
  return unknownKey({ key, allowed, ...(nearest.length && { nearest }) });
}
