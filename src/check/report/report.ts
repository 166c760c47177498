import type { FailOptions, Finding } from "../finding.js";
import type { RuleInfo } from "../rule.js";

/** What a check has come to, to be written in one format or another. */
export interface Report extends FailOptions {
  /** Every file that was checked, those without a finding too. */
  readonly files: readonly string[];
  /** What there is to say. */
  readonly findings: readonly Finding[];
  /** The rules that findings may name; see {@link ruleList}. Formats that list them do without it too. */
  readonly rules?: readonly RuleInfo[];
  /** The version of the program that checked. */
  readonly version?: string;
}

/** Text for a terminal or a log: control characters, which could do anything there, made visible. */
export function visible(text: string): string {
  return text.replace(
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what it is about.
    /[\u0000-\u001f\u007f-\u009f\u2028\u2029]/g,
    (character) => `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}
