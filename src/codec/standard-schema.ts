import { type Issue, messageOf } from "../cv/issue.js";

/**
 * The part of Standard Schema (version 1) that this library implements, so that form libraries and
 * servers can check settings with a codec or a decoder as they are.
 */
export interface StandardSchema<Input, Output = Input> {
  /** What the standard lays down: its version, who implements it, and the check. */
  readonly "~standard": {
    readonly version: 1;
    readonly vendor: "cvset";
    /** Checks a value: the value, or what is wrong with it. */
    readonly validate: (
      value: unknown,
    ) =>
      | { readonly value: Output; readonly issues?: undefined }
      | { readonly issues: readonly { readonly message: string; readonly path: readonly PropertyKey[] }[] };
    readonly types?: { readonly input: Input; readonly output: Output };
  };
}

/** Issues in the form of Standard Schema. */
export function standardIssues(issues: readonly Issue[]) {
  return {
    issues: issues.map((issue) => ({
      message: messageOf(issue),
      path: issue.path === "" ? [] : issue.path.split("."),
    })),
  };
}
