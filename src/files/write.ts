import { anObject, aText, need, objectOf } from "../cv/argument.js";
import { type CvSet, type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { notAnOption } from "../cv/faults.js";
import { CvError, type Issue } from "../cv/issue.js";
import { emptyHead } from "./faults.js";
import type { FileHead } from "./head.js";
import { jsonText, Ordered, quoted, type Spread } from "./json-text.js";

const aHead = /* @__PURE__ */ objectOf({
  "decoder?": aText,
  "name?": aText,
  "note?": aText,
  "schema?": aText,
});
const withCvs = /* @__PURE__ */ objectOf({ cvs: someCvs });
const withSettings = /* @__PURE__ */ objectOf({ settings: anObject });

/**
 * A CV set as a file. `readCvSet` reads each format back to the same set; writing that again gives the same
 * text.
 * @param file The set, and what else the file has; what `readCvSet` gives will do.
 * @param format `"json"`: keys in a fixed order, one CV a line in CV order, index pages last. `"line"`: the same
 * on one line, for files of many sets. `"list"`: `CV29 = 34`, with decoder and name, without note, schema and
 * silenced findings. `"csv"`: a header and one CV a line, and nothing else.
 * @returns The text, with a line break at the end.
 * @throws `CvError` when a text of the head is empty, when `silence` has something that JSON does not have, or
 * when there is no such format.
 * @example
 * import { CvSet } from "cvset";
 * import { writeCvSet } from "cvset/files";
 * const file = { cvs: CvSet.from({ 29: 34, 1: 3, "300@16.0": 7 }), name: "No. 9" };
 * writeCvSet(file);
 * // '{\n  "name": "No. 9",\n  "cvs": {\n    "1": 3,\n    "29": 34,\n    "300@16.0": 7\n  }\n}\n'
 * writeCvSet(file, "line"); // '{"name":"No. 9","cvs":{"1":3,"29":34,"300@16.0":7}}\n'
 * writeCvSet(file, "list"); // "name: No. 9\nCV1 = 3\nCV29 = 34\nCV300@16.0 = 7\n"
 * writeCvSet(file, "csv"); // "CV,Value\n1,3\n29,34\n300@16.0,7\n"
 */
/* @__NO_SIDE_EFFECTS__ */
export function writeCvSet(
  file: FileHead & { readonly cvs: CvsLike },
  format: "json" | "line" | "list" | "csv" = "json",
): string {
  need(aHead, file, "file");
  need(withCvs, file, "file");
  const head = headOf(file);
  const cvs = toCvSet(file.cvs);
  if (format === "list") return listOf({ ...file, cvs });
  if (format === "csv") return `CV,Value\n${[...cvs].map((pair) => `${pair.join()}\n`).join("")}`;
  if (format === "json" || format === "line") {
    return jsonFile([...head, ["cvs", new Ordered([...cvs])]], format === "json" ? "lines" : "none");
  }
  throw new CvError([
    notAnOption({ found: format, allowed: ["json", "line", "list", "csv"] }, { path: "format" }),
  ]);
}

/**
 * Settings as a JSON file: keys in a fixed order at the top, the settings in their own order, lists of
 * numbers or texts on one line. Reading it and writing it again gives the same text.
 * @param file The settings, and what else the file has; what `readSettings` gives will do.
 * @returns The text, with a line break at the end.
 * @throws `CvError` with everything in it that JSON does not have: NaN, undefined, functions.
 * @example
 * import { writeSettings } from "cvset/files";
 * writeSettings({ decoder: "quillback-s8", settings: { speed: [4, 20, 60] } });
 * // '{\n  "decoder": "quillback-s8",\n  "settings": {\n    "speed": [4, 20, 60]\n  }\n}\n'
 */
/* @__NO_SIDE_EFFECTS__ */
export function writeSettings(file: FileHead & { readonly settings: object }): string {
  need(aHead, file, "file");
  need(withSettings, file, "file");
  return jsonFile([...headOf(file), ["settings", file.settings]], "lines");
}

function listOf({ cvs, decoder, name }: FileHead & { readonly cvs: CvSet }): string {
  let text = "";
  for (const [label, value] of Object.entries({ decoder, name })) {
    if (value !== undefined) text += `${label}: ${bareText.test(value) ? value : quoted(value)}\n`;
  }
  for (const [cv, value] of cvs) text += `CV${cv} = ${value}\n`;
  return text || "# no CVs\n";
}

// A text that a list may have without quotes.
const bareText = /^[\p{L}\p{N}.,()/+-]+(?: [\p{L}\p{N}.,()/+-]+)*$/u;

type Pairs = [key: string, value: unknown][];

function headOf({ schema, decoder, name, note, silence }: FileHead): Pairs {
  const pairs: Pairs = [
    ["$schema", schema],
    ["decoder", decoder],
    ["name", name],
    ["note", note],
    ["silence", silence],
  ];
  const empty = pairs.filter(([key, value]) => value === "" && key !== "silence");
  if (empty.length) throw new CvError(empty.map(([path]) => emptyHead({}, { path })));
  return pairs.filter(([, value]) => value !== undefined);
}

function jsonFile(pairs: Pairs, spread: Spread): string {
  const issues: Issue[] = [];
  const text = jsonText(new Ordered(pairs), "", spread, issues);
  if (issues.length) throw new CvError(issues);
  return `${text}\n`;
}
