import { CvError, type Issue, messageOf } from "../cv/issue.js";

/**
 * The part of Standard Schema (version 1) that this library implements, so that form libraries and
 * servers can check settings with a codec or a decoder as they are.
 */
export interface StandardSchema<Input, Output = Input> {
  /** What the standard lays down: its version, who implements it, and the check. */
  readonly "~standard": {
    readonly version: 1;
    readonly vendor: "cvset";
    /** Checks a value: it, or what is wrong with it. */
    readonly validate: (value: unknown) => StandardResult<Output>;
    readonly types?: { readonly input: Input; readonly output: Output };
  };
}

/** What a Standard Schema check gives back. */
export type StandardResult<Output> =
  | { readonly value: Output; readonly issues?: undefined }
  | { readonly issues: readonly { readonly message: string; readonly path: readonly PropertyKey[] }[] };

/** Issues as Standard Schema wants them. */
export function standardIssues(issues: readonly Issue[]): StandardResult<never> {
  return {
    issues: issues.map((issue) => ({
      message: messageOf(issue),
      path: issue.path === "" ? [] : issue.path.split("."),
    })),
  };
}

/** What anything that was thrown has to say: the issues of a `CvError`, or one made of its message. */
export function issuesOf(error: unknown, kind: string): readonly Issue[] {
  if (error instanceof CvError) return error.issues;
  const text = error instanceof Error ? error.message : String(error);
  return [{ code: "custom", path: "", expected: `${kind}: ${text}` }];
}
