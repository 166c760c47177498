/** What kind of thing is wrong. Programs branch on this; people read {@link messageOf}. */
export type IssueCode =
  /** Not the name of a CV. */
  | "cv"
  /** Not a byte: a whole number from 0 to 255. */
  | "byte"
  /** The set lacks a CV, or the settings lack a field that is needed. */
  | "missing"
  /** Some bits of a CV would be written while nobody knows the others. */
  | "unknown-bits"
  /** A CV holds a number that stands for nothing. */
  | "stored"
  /** A setting has the wrong type. */
  | "type"
  /** A setting names an option that does not exist. */
  | "option"
  /** A setting names a feature or field that does not exist. */
  | "name"
  /** A number is out of range. */
  | "range"
  /** A number lies between two that can be stored. */
  | "between"
  /** A list or text has the wrong length or order, or a text has a character that cannot be stored. */
  | "content"
  /** Two things claim the same bits, or a definition contradicts itself. */
  | "definition"
  /** Whatever a codec from outside says. */
  | "custom";

/** The bits of one CV: bit n of `mask` is bit n of the CV. */
export interface BitsOfCv {
  /** The CV as text: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** Which bits, 1-255. */
  readonly mask: number;
}

/**
 * One thing that is wrong, as data. The sentence for people is made from it by {@link messageOf}.
 */
export interface Issue {
  /** What kind of thing is wrong. */
  readonly code: IssueCode;
  /** Where in the settings: `"front.effect"`, `"speed.levels.3"`; empty where it is about no setting. */
  readonly path: string;
  /** Which bits of which CVs. */
  readonly places?: readonly BitsOfCv[];
  /** What is allowed, in words. */
  readonly expected: string;
  /** What was there instead; absent where nothing was. */
  readonly found?: unknown;
  /** The nearest allowed names, the best first. */
  readonly nearest?: readonly string[];
  /** Where the rule stands: document, edition, section. */
  readonly clause?: string;
}

/** The error that everything in this library throws: all that is wrong, as a list of issues. */
export class CvError extends Error {
  /** Everything that is wrong, never only the first thing. */
  readonly issues: readonly Issue[];
  /**
   * @param issues Everything that is wrong.
   * @example
   * import { CvError, cv, level, CvSet } from "cvset";
   * const seconds = level(cv(161), { unit: "s", min: 1, max: 60 });
   * let message = "";
   * try { seconds.decode(CvSet.from({ 161: 99 })); } catch (e) { if (e instanceof CvError) message = e.message; }
   * message; // "CV 161 holds 99, allowed is 1 to 60 s"
   */
  constructor(issues: readonly Issue[]) {
    super(issues.map(messageOf).join("\n"));
    this.name = "CvError";
    this.issues = issues;
  }
}

/**
 * Bits as people say them: `CV 29 bit 5`, `CV 152 bits 0-1`, `CV 17, CV 67-94`.
 * @param places The bits, CV by CV.
 * @example
 * import { placesText } from "cvset";
 * placesText([{ cv: "29", mask: 32 }, { cv: "152", mask: 3 }]); // "CV 29 bit 5, CV 152 bits 0-1"
 */
export function placesText(places: readonly BitsOfCv[]): string {
  const texts: string[] = [];
  for (let i = 0; i < places.length; i++) {
    const { cv, mask } = places[i] as BitsOfCv;
    let last = i;
    while (mask === 255 && follows(places[last], places[last + 1])) last++;
    // Two in a row are easier to read one by one.
    if (last > i + 1) texts.push(`CV ${cv}-${places[((i = last))]?.cv}`);
    else texts.push(`CV ${cv}${bitsText(mask)}`);
  }
  return texts.join(", ");
}

function follows(one: BitsOfCv | undefined, next: BitsOfCv | undefined): boolean {
  const [number, page] = one?.cv.split("@") ?? [];
  const [nextNumber, nextPage] = next?.cv.split("@") ?? [];
  return next?.mask === 255 && page === nextPage && Number(nextNumber) === Number(number) + 1;
}

function bitsText(mask: number): string {
  if (mask === 255) return "";
  const runs: string[] = [];
  for (let bit = 0; bit < 8; bit++) {
    if (!(mask & (1 << bit))) continue;
    const low = bit;
    while (mask & (1 << (bit + 1))) bit++;
    runs.push(low === bit ? `${low}` : `${low}-${bit}`);
  }
  return ` bit${runs.length === 1 && !runs[0]?.includes("-") ? "" : "s"} ${runs.join(", ")}`;
}

/** A value of any kind, short enough for one line. */
export function show(value: unknown): string {
  let text: string | undefined;
  if (typeof value === "number") text = Object.is(value, -0) ? "-0" : String(value);
  else if (typeof value === "bigint") text = `${value}n`;
  else {
    try {
      text = JSON.stringify(value);
    } catch {
      // Circular, or nested too deeply to print: its type says enough.
    }
  }
  text ??= typeof value;
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

/**
 * The sentence for people: what was wrong, where, what is allowed.
 * @param issue One issue.
 * @example
 * import { messageOf } from "cvset";
 * messageOf({ code: "range", path: "drains.seconds", expected: "1 to 60 s", found: 99 });
 * // "drains.seconds: 99 is out of range, allowed is 1 to 60 s"
 */
export function messageOf(issue: Issue): string {
  const { code, path, expected, nearest } = issue;
  const where = path && `${path}: `;
  const at = issue.places ? placesText(issue.places) : "";
  const [holds, is] = /, | bits |\d-\d/.test(at) ? ["hold", "are"] : ["holds", "is"];
  const found = show(issue.found);
  const clause = issue.clause ? ` (${issue.clause})` : "";
  const near = nearest?.length ? `; nearest: ${nearest.map(show).join(", ")}` : "";
  const allowed = `${near}${expected && `${near ? ";" : ","} allowed is ${expected}`}`;
  const last = path.slice(path.lastIndexOf(".") + 1);
  switch (code) {
    case "cv":
      return `${where}${found} is not a CV; write ${expected}${clause}`;
    case "byte":
      return `${where}${at ? `${at}: ` : ""}${found} is not a CV value; it must be ${expected}${clause}`;
    case "missing":
      return at
        ? `${where}${at} ${is} not in the CV set${clause}`
        : `${where}${expected} is needed here${clause}`;
    case "unknown-bits":
      return `${where}${at} ${expected}${clause}`;
    case "stored":
      return `${where}${at} ${holds} ${found}, ${last ? `which no ${last} has` : "which stands for nothing"}${
        expected && ` (${expected})`
      }${clause}`;
    case "type":
      return `${where}${found} is not ${expected}${clause}`;
    case "option":
      return `${where}${found} is not an option${allowed}${clause}`;
    case "name":
      return `${where}there is no such setting${allowed}${clause}`;
    case "range":
      return at
        ? `${where}${at} ${holds} ${found}, allowed is ${expected}${clause}`
        : `${where}${found} is out of range, allowed is ${expected}${clause}`;
    case "between":
      return `${where}${found} cannot be stored exactly; the nearest are ${expected}${clause}`;
    case "content":
    case "definition":
    case "custom":
      return `${where}${at ? `${at}: ` : ""}${expected}${issue.found === undefined ? "" : `, not ${found}`}${clause}`;
  }
}

/** The issues with `path` put before their own. */
export function under(path: string, issues: readonly Issue[]): Issue[] {
  return issues.map((issue) => ({ ...issue, path: joinPath(path, issue.path) }));
}

/** Two pieces of a path, joined. */
export function joinPath(path: string, rest: string): string {
  return path && rest ? `${path}.${rest}` : path || rest;
}

/**
 * The names nearest to a misspelt one, the best first, at most three.
 * @param name What was written.
 * @param names What is allowed.
 * @example
 * import { nearestNames } from "cvset";
 * nearestNames("wisle", ["whistle", "bell", "firing"]); // ["whistle"]
 */
export function nearestNames(name: string, names: Iterable<string>): string[] {
  const wanted = name.slice(0, 64).toLowerCase();
  const scored: [number, string][] = [];
  for (const candidate of names) {
    const edits = editDistance(wanted, candidate.toLowerCase());
    // More than half of the letters wrong is no longer a misspelling.
    if (edits <= Math.max(1, candidate.length / 2)) scored.push([edits, candidate]);
  }
  return scored
    .sort((a, b) => a[0] - b[0])
    .slice(0, 3)
    .map(([, candidate]) => candidate);
}

function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}

/** What a check that does not throw gives back. */
export type Result<Value, Part = Value> =
  | { readonly ok: true; readonly value: Value }
  | {
      readonly ok: false;
      /** Everything that is wrong. */
      readonly issues: readonly Issue[];
      /** What could be read in spite of it, where something could. */
      readonly value?: Part;
    };
