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

/** Issues of a value in the form of Standard Schema: the path is beside the sentence, and not in it. */
export function standardIssues(issues: readonly Issue[], value: unknown) {
  return {
    issues: issues.map((issue) => ({
      message: messageOf({ ...issue, path: "" }),
      path: keysOf(issue.path, value),
    })),
  };
}

/** The keys of a path, one for each step into the value: of a list, numbers. */
function keysOf(path: string, value: unknown): PropertyKey[] {
  if (path === "") return [];
  const [first, ...rest] = path.split(".") as [string, ...string[]];
  try {
    const inside = Object(value) as Record<string, unknown>;
    if (Array.isArray(value)) return [Number(first), ...keysOf(rest.join("."), inside[first])];
    // A name that does not exist may have dots in it, and be empty.
    if (Object.hasOwn(inside, path)) return [path];
    if (path === '""' && Object.hasOwn(inside, "")) return [""];
    return [first, ...keysOf(rest.join("."), inside[first])];
  } catch {
    // A getter or a proxy that throws.
    return [first, ...rest];
  }
}
