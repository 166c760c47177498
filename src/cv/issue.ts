import { isInstance } from "./brand.js";
import { type BitsOfCv, isBitsOfCv, placesInWords } from "./places-text.js";
import { shortened, show, showList, visible } from "./show.js";

/** Where an issue is. */
export interface Where {
  /** Where in the settings: `"front.effect"`, `"speed.levels.3"`. */
  readonly path?: string;
  /** Which bits of which CVs. */
  readonly places?: readonly BitsOfCv[];
  /** Where the rule is laid down: document, edition, section. */
  readonly source?: string;
}

/** One thing that is wrong, as data. {@link messageOf} makes the sentence for people. */
export interface Issue extends Where {
  /** What kind of thing is wrong: `"range"`, `"option"`. Programs branch on this. */
  readonly code: string;
  /** Where in the settings: `"front.effect"`; empty where the issue is about no setting. */
  readonly path: string;
  /** The sentence in English, with `{name}` where a parameter stands. */
  readonly text: string;
  /** The parameters of the sentence by name: what was found, what is allowed. */
  readonly params: Readonly<Record<string, unknown>>;
}

/** How a parameter is put into a sentence, where it is not shown as a value or as a list of values. */
type Form = "text" | "list" | "value";

/** The names of the parameters in a sentence. */
type NamesIn<Text extends string> = Text extends `${string}{${infer Name}}${infer Rest}`
  ? (Name extends `${infer Bare}:${Form}` ? Bare : Name) | NamesIn<Rest>
  : never;

/**
 * The parameters of a sentence; `nearest` has the allowed names nearest to a misspelt one, `found` what was
 * there where the path shows it already.
 */
export type ParamsOf<Text extends string> = { readonly [Name in NamesIn<Text>]: unknown } & {
  readonly nearest?: readonly string[];
  readonly found?: unknown;
};

/** Makes the issues of one kind. */
export type Fault<Text extends string> = (params: ParamsOf<Text>, where?: Where) => Issue;

/**
 * A kind of fault: its code, and its sentence. `{name}` shows a parameter: a text in quotes, of a list each
 * value, at most twelve. `{name:text}` puts a text in without quotes, `{name:list}` a list of texts, and
 * `{name:value}` shows a list as one value, in brackets; `{found}` does so without it.
 * @param code Small letters and hyphens; one for each sentence.
 * @param text The sentence in English. Place, path and source are put around it by {@link messageOf}.
 */
/* @__NO_SIDE_EFFECTS__ */
export function fault<const Text extends string>(code: string, text: Text): Fault<Text> {
  return (params, where) => ({ code, path: "", ...where, text, params });
}

/** No issue. */
export const notAnIssue = /* @__PURE__ */ fault(
  "expected-issue",
  "expected an issue, an object with code, text and params, got {found}",
);
const notWording = /* @__PURE__ */ fault(
  "expected-wording",
  "expected an object with a sentence for each code, got {found}",
);
const notIssues = /* @__PURE__ */ fault("expected-issues", "expected a list of issues, got {found}");

/** Whether something has the shape of an issue, as JSON gives it back too. */
export function isIssue(value: unknown): value is Issue {
  if (typeof value !== "object" || value === null) return false;
  const { code, path, text, params, places = [], source = "" } = value as Readonly<Record<string, unknown>>;
  return (
    [code, path, text, source].every((one) => typeof one === "string") &&
    Object.prototype.toString.call(params) === "[object Object]" &&
    Array.isArray(places) &&
    places.every(isBitsOfCv)
  );
}

/**
 * The sentence for people: where, what was wrong, what is allowed. It is safe to print: characters without a
 * visible form are written as `\u` and their number, long values are cut.
 * @param issue One issue.
 * @param wording Sentences of another language by code, with the same parameters; English where a code is
 *   not in it.
 * @example
 * import { cv, level, messageOf } from "cvset";
 * const result = level(cv(239), { unit: "s", min: 2, max: 40 }).tryEncode(99);
 * const [issue] = result.ok ? [] : result.issues;
 * issue && messageOf(issue); // "99 is out of range; allowed is 2 to 40 s"
 * issue && messageOf(issue, { range: "{found} liegt nicht zwischen {min} und {max}" }); // "99 liegt nicht zwischen 2 und 40"
 */
export function messageOf(issue: Issue, wording?: Readonly<Record<string, string>>): string {
  if (!isIssue(issue)) throw new CvError([notAnIssue({ found: issue }, { path: "issue" })]);
  if (
    wording !== undefined &&
    (Object.prototype.toString.call(wording) !== "[object Object]" ||
      !Object.values(wording).every((one) => typeof one === "string"))
  ) {
    throw new CvError([notWording({ found: wording }, { path: "wording" })]);
  }
  const { code, path, places, params, source } = issue;
  const { nearest } = params;
  const translated = wording && Object.hasOwn(wording, code) ? wording[code] : undefined;
  const text = translated ?? visible(issue.text);
  const sentence = text.replace(/\{(\w+)(?::(text|list|value))?\}/g, (whole, name: string, form?: Form) =>
    // A misspelt name in a translation stays as it is, so that it is seen.
    Object.hasOwn(params, name)
      ? paramText(params[name], name === "found" ? (form ?? "value") : form)
      : whole,
  );
  return [
    path && `${visible(path, 120)}: `,
    places?.length ? `${visible(placesInWords(places))}: ` : "",
    sentence,
    Array.isArray(nearest) && nearest.length ? `; nearest: ${showList(nearest)}` : "",
    source ? ` (${visible(source, 200)})` : "",
  ].join("");
}

function paramText(value: unknown, form: Form | undefined): string {
  try {
    if (form === "text") return visible(String(value ?? ""), 1000);
    if (form === "value" || !Array.isArray(value)) return show(value);
    return form === "list" ? shortened(value, (item) => visible(String(item), 60)) : showList(value);
  } catch {
    // A proxy, or a conversion to text that throws.
    return typeof value;
  }
}

/** How many issues the message of an error lists; all of them are in its `issues`. */
const mostListed = 100;

/**
 * The error that everything in this library throws: all that is wrong, as a list of issues. `instanceof` knows it
 * from every copy of this library: thrown by the ESM build, caught by a program that uses the CJS build.
 */
export class CvError extends Error {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "CvError" {
    return "CvError";
  }
  /** Everything that is wrong, never only the first thing. */
  readonly issues: readonly Issue[];
  /**
   * @param issues Everything that is wrong.
   * @example
   * import { CvError, cv, level, CvSet } from "cvset";
   * const seconds = level(cv(239), { unit: "s", min: 2, max: 40 });
   * let message = "";
   * try { seconds.decode(CvSet.from({ 239: 99 })); } catch (e) { if (e instanceof CvError) message = e.message; }
   * message; // "CV 239: the stored number 99 is out of range; allowed is 2 to 40 s"
   */
  constructor(issues: readonly Issue[]) {
    // Here without the checks of arguments, which use this class.
    if (!Array.isArray(issues)) throw new CvError([notIssues({ found: issues }, { path: "issues" })]);
    const lines = issues.slice(0, mostListed).map((issue) => messageOf(issue));
    if (issues.length > mostListed) lines.push(`and ${issues.length - mostListed} more`);
    super(lines.join("\n"));
    this.name = "CvError";
    this.issues = issues;
  }

  /** @internal */
  static override [Symbol.hasInstance](value: unknown): value is CvError {
    // biome-ignore lint/complexity/noThisInStatic: a class that extends this one inherits it.
    return isInstance(this, CvError, "CvError", value);
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
