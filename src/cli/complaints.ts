import { type Issue, messageOf } from "../cv/issue.js";
import { type BitsOfCv, placesInWords } from "../cv/places-text.js";
import { shortened } from "../cv/show.js";
import { fileMessage } from "../files/index.js";
import type { GivenCvs } from "./given-cvs.js";
import type { Input } from "./input.js";
import { wording } from "./wording.js";

/** How many issues of one kind are told one by one. */
const most = 3;

/** Kinds of issues that are the same sentence again and again where a base or a whole read-out is missing. */
const gathered: Readonly<Record<string, string>> = {
  "missing-cv": "not in the CV set",
  "unknown-bits":
    "not known, and the other bits of these CVs are to be written: give the present CVs, as in encode --base CVS",
};

/**
 * Issues of a file, a line each; many of one kind become one line.
 * @param locate Finds a CV in the file; without it, the file finds settings by their paths.
 */
export function complaintsOf(input: Input, issues: readonly Issue[], locate?: GivenCvs["locate"]): string[] {
  const one = (issue: Issue): string => {
    if (!locate)
      return input
        .at([issue])
        .map((placed) => fileMessage(placed, wording))
        .join("\n");
    const at = issue.places?.map(({ cv }) => locate(cv)).find((found) => found !== undefined);
    return `${input.title}${at ? `:${at.line}:${at.column}` : ""}: ${messageOf(issue, wording)}`;
  };
  const lines: string[] = [];
  const told = new Set<string>();
  for (const issue of issues) {
    const text = Object.hasOwn(gathered, issue.code) ? gathered[issue.code] : undefined;
    const same = text === undefined ? [] : issues.filter(({ code }) => code === issue.code);
    if (same.length <= most) lines.push(one(issue));
    else if (!told.has(issue.code)) {
      told.add(issue.code);
      const paths = [...new Set(same.map(({ path }) => path.split(".")[0] ?? "").filter(Boolean))];
      const about = paths.length ? ` (${shortened(paths)})` : "";
      lines.push(`${input.title}: ${placesInWords(merged(same))}: ${text}${about}`);
    }
  }
  return lines;
}

/** The bits of issues, a CV once each, in order. */
function merged(issues: readonly Issue[]): BitsOfCv[] {
  const masks = new Map<string, number>();
  for (const { places = [] } of issues)
    for (const { cv, mask } of places) masks.set(cv, (masks.get(cv) ?? 0) | mask);
  const number = (cv: string): number => Number(cv.split("@")[0]) + (cv.includes("@") ? 2000 : 0);
  return [...masks].map(([cv, mask]) => ({ cv, mask })).sort((a, b) => number(a.cv) - number(b.cv));
}
