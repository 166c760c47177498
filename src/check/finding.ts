/** How much a finding matters: an error will not work, a warning may not be meant, a note is worth knowing. */
export type Severity = "error" | "warning" | "note";

/** One thing that a check has to say. */
export interface Finding {
  /** What the CV set is called, such as the name of its file. */
  readonly file: string;
  /** The name of the rule that speaks. */
  readonly rule: string;
  /** How much it matters. */
  readonly severity: Severity;
  /** What is the matter, in a sentence. */
  readonly message: string;
  /** The CVs that it is about, as text: `"29"` or `"300@16.0"`. */
  readonly cvs: readonly string[];
  /** Where it is laid down: document, edition, section; or `"common practice"`. */
  readonly source: string;
  /** How to mend it. */
  readonly mend: string;
  /** The line in the file, from 1, where that is known. */
  readonly line?: number;
  /** The column, from 1. */
  readonly column?: number;
  /** Why the file silences it; only on findings that are silenced. */
  readonly silenced?: string;
}

/** How many findings there are of each kind; the silenced ones are counted only as such. */
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

/**
 * Counts findings.
 * @param findings The findings.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, countFindings } from "cvset/check";
 * countFindings(checkSet(CvSet.from({ 1: 120, 29: 6 }))); // { errors: 0, warnings: 2, notes: 0, silenced: 0 }
 */
export function countFindings(findings: Iterable<Finding>): Counts {
  const counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
  for (const { severity, silenced } of findings) {
    if (silenced !== undefined) counts.silenced++;
    else if (severity === "error") counts.errors++;
    else if (severity === "warning") counts.warnings++;
    else counts.notes++;
  }
  return counts;
}

/** What makes a check fail. */
export interface FailOptions {
  /** Warnings make it fail too. */
  readonly strict?: boolean;
}

/**
 * Whether a check has failed: with an error that is not silenced; if strict, with a warning too.
 * @param counts The findings, counted by {@link countFindings}.
 * @param options What makes it fail.
 * @example
 * import { hasFailed } from "cvset/check";
 * const counts = { errors: 0, warnings: 2, notes: 0, silenced: 1 };
 * [hasFailed(counts), hasFailed(counts, { strict: true })]; // [false, true]
 */
export function hasFailed(counts: Counts, options: FailOptions = {}): boolean {
  return counts.errors > 0 || (options.strict === true && counts.warnings > 0);
}

/** Whether a finding alone makes a check fail. */
export function fails({ severity, silenced }: Finding, options: FailOptions = {}): boolean {
  return (
    silenced === undefined && (severity === "error" || (options.strict === true && severity === "warning"))
  );
}

/**
 * Counts in words; what is 0 is left out.
 * @param counts The counts.
 * @example
 * import { countsText } from "cvset/check";
 * countsText({ errors: 2, warnings: 1, notes: 0, silenced: 1 }); // "2 errors, 1 warning, 1 silenced"
 */
export function countsText({ errors, warnings, notes, silenced }: Counts): string {
  const count = (n: number, name: string): string[] => (n ? [`${n} ${name}${n === 1 ? "" : "s"}`] : []);
  const parts = [...count(errors, "error"), ...count(warnings, "warning"), ...count(notes, "note")];
  if (silenced) parts.push(`${silenced} silenced`);
  return parts.join(", ") || "nothing to report";
}
