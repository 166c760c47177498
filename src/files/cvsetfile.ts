import { CvSet } from "../cv/cvset.js";
import { CvImage } from "../cv/image.js";
import { nearestNames, show } from "../cv/issue.js";
import { type CvName, keyOf, nameOf, notACv } from "../cv/name.js";
import { checkText, defaultMaxLength } from "./checktext.js";
import { type FileHead, headKeys, readHead } from "./envelope.js";
import { Complaints, type FileIssue, type FileResult } from "./fileissue.js";
import { type JsonLimits, readJsonAt } from "./json.js";
import type { JsonMember, JsonNode } from "./jsonnode.js";
import { byteOrderMark, Lines, type Position } from "./lines.js";
import { readList } from "./list.js";
import { quickCvSet } from "./quick.js";
import { jsonByte } from "./spelling.js";
import { layoutOf, readTable } from "./table.js";

/** How a CV set was written: as JSON, as a table with cells, or as a plain list. */
export type CvSetFormat = "json" | "csv" | "list";

/** A CV set as a file holds it. */
export interface CvSetFile extends FileHead {
  /** The CVs. */
  readonly cvs: CvSet;
  /** How it was written. */
  readonly format: CvSetFormat;
  /** Where a CV stands in the file; undefined for one that does not. */
  locate(cv: CvName): Position | undefined;
}

/** How to read a CV set. */
export interface ReadCvSetOptions extends JsonLimits {
  /** What to call the set when the text does not say. */
  readonly name?: string;
}

/**
 * Reads a CV set: JSON (`{ "cvs": { "29": 34 } }` or the bare map), a CSV table, or a plain list
 * (`CV29 = 34`, `29,34`, ...). Which of them it is, the text says. Everything that is wrong is reported
 * with its line, and nothing is dropped in silence.
 * @param text The text.
 * @param options How to read it.
 * @example
 * import { readCvSet } from "cvset/files";
 * const result = readCvSet("# No. 9\nCV 29: 34 ; long address\n17,0xC4\nCV300@16.0 = 0b111\n");
 * result.ok && result.value.cvs.toJSON(); // { "17": 196, "29": 34, "300@16.0": 7 }
 */
export function readCvSet(text: string, options: ReadCvSetOptions = {}): FileResult<CvSetFile> {
  const lines = new Lines(text);
  return quickFile(lines, options) ?? readOther(lines, options);
}

/** Like {@link readCvSet}, for JSON only, and a text whose first line has any number. */
export function readCvSetLine(
  text: string,
  firstLine: number,
  options: ReadCvSetOptions,
): FileResult<CvSetFile> {
  const lines = new Lines(text, firstLine);
  const complaints = new Complaints(lines);
  return quickFile(lines, options) ?? readJsonCvSet(lines, options, complaints);
}

/** What the quick reader can read; undefined when that is nothing. */
function quickFile(lines: Lines, options: ReadCvSetOptions): FileResult<CvSetFile> | undefined {
  const { maxLength = defaultMaxLength, name } = options;
  if (lines.text.length > maxLength) return undefined;
  const quick = quickCvSet(lines.text, lines.text.startsWith(byteOrderMark) ? 1 : 0);
  if (!quick) return undefined;
  // Nobody asks most sets where their CVs stand, so the full reader waits until someone does.
  let full: FileResult<CvSetFile> | undefined;
  const file: CvSetFile = {
    cvs: new CvSet(quick.image),
    format: "json",
    ...(name === undefined ? undefined : { name }),
    ...quick.head,
    locate(cv) {
      full ??= readJsonCvSet(lines, options, new Complaints(lines));
      return full.value?.locate(cv);
    },
  };
  return { ok: true, value: file, notes: [] };
}

function readOther(lines: Lines, options: ReadCvSetOptions): FileResult<CvSetFile> {
  const { maxLength = defaultMaxLength, name } = options;
  const { text } = lines;
  const complaints = new Complaints(lines);
  if (!checkText(complaints, maxLength, "a CV set")) return complaints.result();
  const first = firstThing(text);
  if ("{[".includes(text.charAt(first))) return readJsonCvSet(lines, options, complaints);
  const layout = layoutOf(text, first);
  const list = layout ? { gathered: readTable(text, first, layout, complaints) } : readList(text, complaints);
  const { gathered, ...head } = list;
  const cvs = new CvSet(gathered.image);
  if (cvs.size === 0 && complaints.ok) complaints.note(0, "content", "there is no CV in it");
  return complaints.result<CvSetFile>({
    cvs,
    format: layout ? "csv" : "list",
    ...(name === undefined ? {} : { name }),
    ...head,
    locate(cv) {
      const offset = gathered.offsets.get(keyOf(String(cv)));
      return offset === undefined ? undefined : lines.at(offset);
    },
  });
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

/** Reads a CV set from JSON with the full reader. */
export function readJsonCvSet(
  lines: Lines,
  options: ReadCvSetOptions,
  complaints: Complaints,
): FileResult<CvSetFile> {
  const json = readJsonAt(lines, options);
  complaints.adopt(json, inCvs);
  const root = json.value?.root;
  if (!root) return complaints.result();
  const read = cvsOf(root, complaints);
  if (!read) return complaints.result();
  const { body, head } = read;
  const image = new CvImage();
  for (const [cv, { start, value }] of body) {
    const key = keyOf(cv);
    if (key === 0) {
      complaints.error(start, "content", notACv(cv));
      continue;
    }
    const byte = jsonByte(key, value);
    if (typeof byte === "number") image.set(key, byte);
    else complaints.error(value.start, "content", byte);
  }
  return complaints.result<CvSetFile>({
    cvs: new CvSet(image),
    format: "json",
    ...(options.name === undefined ? {} : { name: options.name }),
    ...head,
    locate(cv) {
      const member = body.get(nameOf(keyOf(String(cv))));
      return member && lines.at(member.start);
    },
  });
}

/** An issue about the JSON of a CV, as an issue about that CV. */
function inCvs(issue: FileIssue): FileIssue {
  const cv = issue.path.replace(/^cvs\./, "");
  return keyOf(cv) === 0 ? issue : { ...issue, path: "", places: [{ cv, mask: 255 }] };
}

type Members = ReadonlyMap<string, JsonMember>;

/** What else a JSON file may be, by the key that shows it. */
const otherFiles = [
  ["settings", "a settings file"],
  ["features", "a decoder description"],
  ["steps", "a plan"],
] as const;

/** The map of CVs in either shape, and what stands around it. */
function cvsOf(root: JsonNode, complaints: Complaints): { body: Members; head: FileHead } | undefined {
  if (root.kind !== "object") {
    complaints.say(
      root.start,
      "content",
      'a CV set is an object, as in { "cvs": { "29": 34 } }, and not a list',
    );
    return undefined;
  }
  const { members } = root;
  const cvs = members.get("cvs");
  if (cvs) {
    const head = readHead(members, "cvs", complaints);
    if (cvs.value.kind === "object") return { body: cvs.value.members, head };
    complaints.say(cvs.value.start, "content", '"cvs" must be an object, as in "cvs": { "29": 34 }');
    return undefined;
  }
  for (const [key, what] of otherFiles) {
    const member = members.get(key);
    if (!member) continue;
    complaints.say(member.start, "content", `this is ${what}; a CV set has "cvs" instead`);
    return undefined;
  }
  for (const [key, { start }] of members) {
    if (keyOf(key) !== 0) continue;
    if (nearestNames(key, [...headKeys, "cvs"]).length === 0) continue;
    else
      complaints.say(
        start,
        "content",
        `${show(key)} is no CV; put the CVs under "cvs": { "cvs": { "29": 34 } }`,
      );
    return undefined;
  }
  return { body: members, head: {} };
}
