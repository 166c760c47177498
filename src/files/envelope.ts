import { nearestNames, show } from "../cv/issue.js";
import type { Complaints } from "./fileissue.js";
import { type JsonMember, type JsonNode, plain } from "./jsonnode.js";

/** What a file says about itself, besides its CVs or settings. */
export interface FileHead {
  /** The decoder it is for, as `--decoder` would name it. */
  readonly decoder?: string;
  /** What the locomotive or decoder is called. */
  readonly name?: string;
  /** A remark for people; nothing reads it. */
  readonly note?: string;
  /** Where the JSON Schema of the file is; nothing follows it. */
  readonly schema?: string;
  /** The findings that the file silences, not yet checked: `cvset/check` says what they look like. */
  readonly silence?: unknown;
}

/** The top-level keys that hold a text, and what they are called inside. */
export const headTexts = { decoder: "decoder", name: "name", note: "note", $schema: "schema" } as const;

/** A key of {@link headTexts}. */
export type HeadText = keyof typeof headTexts;

/** Every key that a file may have at its top level, in the order in which they are written. */
export const headKeys = ["$schema", "decoder", "name", "note", "silence"] as const;

/**
 * Reads the top level of a file, and reports every key that does not belong there.
 * @param members The members of the outermost object.
 * @param body The key of what the file is about: `"cvs"` or `"settings"`.
 */
export function readHead(
  members: ReadonlyMap<string, JsonMember>,
  body: string,
  complaints: Complaints,
): FileHead {
  const head: { -readonly [Key in keyof FileHead]: FileHead[Key] } = {};
  for (const [key, { start, value }] of members) {
    if (key === body) continue;
    if (key === "silence") head.silence = plain(value);
    else if (isHeadText(key)) {
      const text = textOf(value);
      if (text) head[headTexts[key]] = text;
      else {
        complaints.error(value.start, "content", {
          code: "type",
          path: key,
          expected: "a text in double quotes, and not empty",
          found: shallow(value),
        });
      }
    } else {
      const known = [...headKeys, body];
      const near = nearestNames(key, known)[0];
      const most = `a file may have ${known.map(show).join(", ")}`;
      complaints.error(start, "content", {
        code: "content",
        path: "",
        expected: `the key ${show(key)} is not known${near ? `; is ${show(near)} meant?` : ""} (${most})`,
      });
    }
  }
  return head;
}

/** Whether a top-level key holds a text. */
export function isHeadText(key: string): key is HeadText {
  return Object.hasOwn(headTexts, key);
}

/** A value, or an empty one in place of a list or object. */
export function shallow(node: JsonNode): unknown {
  return node.kind === "object" ? {} : node.kind === "array" ? [] : node.value;
}

function textOf(node: JsonNode): string {
  return node.kind === "string" ? node.value : "";
}
