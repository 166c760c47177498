import {
  aBoolean,
  aNumber,
  aText,
  listOf,
  need,
  needIn,
  objectOf,
  oneOf,
  severalOf,
  type Wanted,
} from "../cv/argument.js";
/** One thing that a check has found. */
export interface Finding {
  /** The name of the CV set, such as that of its file. */
  readonly file: string;
  /** The name of the rule. */
  readonly rule: string;
  /** An error will not work, a warning may not be meant, a note is worth knowing. */
  readonly severity: "error" | "warning" | "note";
  /** What was found, in a sentence. */
  readonly message: string;
  /** The CVs that it is about, as text: `"29"` or `"300@16.0"`. */
  readonly cvs: readonly string[];
  /** Where the rule is laid down: document, edition, section; or `"common practice"`. */
  readonly source: string;
  /** How to fix it, in a sentence. */
  readonly fix: string;
  /** The line in the file, from 1, where it is known. */
  readonly line?: number;
  /** The column, from 1. */
  readonly column?: number;
  /** The reason that the file gives for silencing it; only on findings that are silenced. */
  readonly silenced?: string;
}

/** How many findings there are of each severity; silenced findings are counted apart. */
export interface Counts {
  /** Errors that are not silenced. */
  readonly errors: number;
  /** Warnings that are not silenced. */
  readonly warnings: number;
  /** Notes that are not silenced. */
  readonly notes: number;
  /** Silenced findings of every severity. */
  readonly silenced: number;
}

/** A finding, as JSON gives it back too. */
export const aFinding: Wanted = /* @__PURE__ */ objectOf({
  file: aText,
  rule: aText,
  severity: /* @__PURE__ */ oneOf("error", "warning", "note"),
  message: aText,
  cvs: /* @__PURE__ */ listOf(aText),
  source: aText,
  fix: aText,
  "line?": aNumber,
  "column?": aNumber,
  "silenced?": aText,
});

/**
 * Counts findings.
 * @param findings The findings.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, countFindings } from "cvset/check";
 * countFindings(checkSet(CvSet.from({ 1: 120, 29: 6 }))); // { errors: 0, warnings: 2, notes: 0, silenced: 0 }
 */
export function countFindings(findings: Iterable<Finding>): Counts {
  need(severalOf(aFinding), findings, "findings");
  const counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
  for (const { severity, silenced } of findings) {
    if (silenced !== undefined) counts.silenced++;
    else if (severity === "error") counts.errors++;
    else if (severity === "warning") counts.warnings++;
    else counts.notes++;
  }
  return counts;
}

const someCounts = /* @__PURE__ */ objectOf({
  errors: aNumber,
  warnings: aNumber,
  notes: aNumber,
  silenced: aNumber,
});
const ofFailing = /* @__PURE__ */ objectOf({ "strict?": aBoolean });

/**
 * Whether a check has failed: there is an error that is not silenced, or if strict a warning.
 * @param counts The findings, counted by {@link countFindings}.
 * @param options `strict`: warnings make it fail too; default false.
 * @example
 * import { hasFailed } from "cvset/check";
 * const counts = { errors: 0, warnings: 2, notes: 0, silenced: 1 };
 * [hasFailed(counts), hasFailed(counts, { strict: true })]; // [false, true]
 */
export function hasFailed(counts: Counts, options: { readonly strict?: boolean } = {}): boolean {
  need(someCounts, counts, "counts");
  needIn(ofFailing, options, "options");
  return counts.errors > 0 || (options.strict === true && counts.warnings > 0);
}

/** Counts in words, without those that are 0: `2 errors, 1 silenced`. */
export function countsText({ errors, warnings, notes, silenced }: Counts): string {
  const count = (n: number, name: string): string[] => (n ? [`${n} ${name}${n === 1 ? "" : "s"}`] : []);
  const parts = [...count(errors, "error"), ...count(warnings, "warning"), ...count(notes, "note")];
  if (silenced) parts.push(`${silenced} silenced`);
  return parts.join(", ") || "nothing to report";
}
