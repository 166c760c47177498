import fc from "fast-check";
import type { CvSet } from "../cv/cvset.js";
import { joinPath } from "../cv/issue.js";
import { isMap } from "./json-schema.js";
import { same } from "./source.js";

// What a broken law shows: short enough to be read.

/** How many letters of a value are shown, how many CVs, how many settings that differ. */
const most = { letters: 300, cvs: 24, settings: 6 };

/** A value, short. */
export function short(value: unknown): string {
  const text = fc.stringify(value);
  return text.length <= most.letters
    ? text
    : `${text.slice(0, most.letters)}... (${text.length - most.letters} more letters)`;
}

/** The CVs of a set that matter, short. */
export function shortCvs(cvs: CvSet, matters: (cv: string) => boolean): string {
  const all = [...cvs].filter(([cv]) => matters(cv));
  const shown = all.slice(0, most.cvs).map(([cv, value]) => `"${cv}": ${value}`);
  const more = all.length - shown.length;
  return `{ ${shown.join(", ")}${more > 0 ? `, ... (${more} more)` : ""} }`;
}

/** What differs between two values, setting by setting. */
export function differences(expected: unknown, found: unknown): string {
  const all = differing(expected, found, "");
  const shown = all
    .slice(0, most.settings)
    .map(({ path, was, is }) => `${path ? `${path}: ` : ""}${short(was)} came back as ${short(is)}`);
  const more = all.length - shown.length;
  return `${shown.join("\n")}${more > 0 ? `\nand ${more} more` : ""}`;
}

interface Differing {
  readonly path: string;
  readonly was: unknown;
  readonly is: unknown;
}

function differing(was: unknown, is: unknown, path: string): Differing[] {
  if (same(was, is)) return [];
  if (!isMap(was) || !isMap(is)) return [{ path, was, is }];
  const names = [...new Set([...Object.keys(was), ...Object.keys(is)])];
  return names.flatMap((name) => differing(was[name], is[name], joinPath(path, name)));
}

/** The CVs that differ between two sets. */
export function changes(before: CvSet, after: CvSet): string {
  const names = new Set([...before, ...after].map(([cv]) => cv));
  const all = [...names].filter((cv) => before.get(cv) !== after.get(cv));
  const shown = all
    .slice(0, most.cvs)
    .map((cv) => `CV ${cv} went from ${before.get(cv) ?? "absent"} to ${after.get(cv) ?? "absent"}`);
  const more = all.length - shown.length;
  return `${shown.join(", ")}${more > 0 ? ` and ${more} more` : ""}`;
}
