import { type Issue, joinPath } from "../cv/issue.js";
import { checkText, defaultMaxLength } from "./checktext.js";
import { type FileHead, readHead, shallow } from "./envelope.js";
import { Complaints, type FileIssue, type FileResult } from "./fileissue.js";
import { type JsonLimits, readJsonAt } from "./json.js";
import { find, type JsonNode, plain } from "./jsonnode.js";
import { Lines, type Position } from "./lines.js";

/** The settings of a locomotive or accessory, as a file holds them. */
export interface SettingsFile extends FileHead {
  /**
   * The settings, as plain data that is not yet checked against any decoder. Objects have no prototype.
   */
  readonly settings: Readonly<Record<string, unknown>>;
  /**
   * The place of a setting by its path, `"front.effect"` or `"speed.levels.3"`; of the nearest thing
   * around it where the file does not have it.
   */
  locate(path: string): Position;
  /**
   * Issues that a codec or decoder found in these settings, with their places in the file.
   * @param issues What `tryEncode` or `encode` complained about.
   */
  at(issues: readonly Issue[]): FileIssue[];
}

/**
 * Reads a settings file: `{ "decoder": ..., "name": ..., "settings": { ... } }`. The settings themselves
 * are given as they are, for the decoder to check; whatever it says about them can be traced to a line.
 * @param text The text, JSON.
 * @param limits What bounds the work.
 * @example
 * import { fileMessage, readSettings } from "cvset/files";
 * const result = readSettings('{\n  "decoder": "quillback-s8",\n  "settings": {\n    "whistle": "kazoo"\n  }\n}\n');
 * if (!result.ok) throw new Error(fileMessage("no9.json", result.issues[0]));
 * const issue = { code: "option" as const, path: "whistle", expected: "one-note, three-chime", found: "kazoo" };
 * fileMessage("no9.json", result.value.at([issue])[0]);
 * // 'no9.json:4: whistle: "kazoo" is not an option, allowed is one-note, three-chime'
 */
export function readSettings(text: string, limits: JsonLimits = {}): FileResult<SettingsFile> {
  const lines = new Lines(text);
  const complaints = new Complaints(lines);
  const { maxLength = defaultMaxLength } = limits;
  if (!checkText(complaints, maxLength, "a settings file")) return complaints.result();
  const json = readJsonAt(lines, limits);
  complaints.adopt(json);
  const root = json.value?.root;
  if (!root) return complaints.result();
  const shape = 'a settings file is an object, as in { "settings": { "address": 3 } }';
  if (root.kind !== "object") {
    complaints.say(root.start, "content", shape);
    return complaints.result();
  }
  const settings = root.members.get("settings");
  if (!settings && root.members.has("cvs")) {
    const start = root.members.get("cvs")?.start ?? 0;
    complaints.say(start, "content", 'this is a CV set; a settings file has "settings" instead of "cvs"');
    return complaints.result();
  }
  const head = readHead(root.members, "settings", complaints);
  if (!settings) {
    complaints.say(root.start, "content", `"settings" is missing; ${shape}`);
    return complaints.result();
  }
  const body = settings.value;
  if (body.kind !== "object") {
    complaints.error(body.start, "content", {
      code: "type",
      path: "settings",
      expected: 'an object, as in "settings": { "address": 3 }',
      found: shallow(body),
    });
    return complaints.result();
  }
  numbers(body, "", complaints);
  const locate = (path: string): Position => lines.at(path ? find(body, path) : settings.start);
  return complaints.result<SettingsFile>({
    ...head,
    settings: plain(body) as Record<string, unknown>,
    locate,
    at: (issues) =>
      issues.map((issue) => ({ ...issue, kind: "content", severity: "error", ...locate(issue.path) })),
  });
}

/** Reports the numbers that JavaScript would change in silence. */
function numbers(node: JsonNode, path: string, complaints: Complaints): void {
  if (node.kind === "object") {
    for (const [key, { value }] of node.members) numbers(value, joinPath(path, key), complaints);
  } else if (node.kind === "array") {
    for (const [index, item] of node.items.entries())
      numbers(item, joinPath(path, String(index)), complaints);
  } else if (node.kind === "number") {
    const whole = /^-?\d+$/.test(node.source);
    if (whole ? Number.isSafeInteger(node.value) : Number.isFinite(node.value)) return;
    complaints.error(node.start, "content", {
      code: "content",
      path,
      expected: `${node.source.slice(0, 40)} is too large a number to be kept exactly`,
    });
  }
}
