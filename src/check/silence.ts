import { nearestNames, show } from "../cv/issue.js";
import { keyOf, nameOf } from "../cv/name.js";
import type { Finding } from "./finding.js";
import type { RuleInfo } from "./rule.js";

/** A finding that a file does not want to hear about, and why: an entry of its `"silence"` list. */
export interface Silence {
  /** The name of the rule. */
  readonly rule: string;
  /** Only findings that are about none but these CVs; without it, all findings of the rule. */
  readonly cvs?: readonly string[];
  /** Why; it is needed. */
  readonly reason: string;
}

/** What is said about silencing itself. */
export const silenceRules = {
  bad: {
    name: "silence-unusable",
    severity: "error",
    summary: 'An entry of "silence" is not what it should be; it silences nothing.',
    source: "format of this library's files",
    mend: 'Write { "rule": "name", "cvs": ["29"], "reason": "why" }; "cvs" may be left out, the reason not.',
  },
  unused: {
    name: "silence-unused",
    severity: "note",
    summary: 'An entry of "silence" silences nothing.',
    source: "format of this library's files",
    mend: "Take the entry out.",
  },
} satisfies Record<string, RuleInfo>;

const keys = ["rule", "cvs", "reason"];

/** What is wrong with one entry; undefined when nothing is. */
function faultOf(entry: unknown): string | undefined {
  if (typeof entry !== "object" || entry === null || Array.isArray(entry))
    return `${show(entry)} is not an object`;
  const { rule, cvs, reason } = entry as Readonly<Record<string, unknown>>;
  const other = Object.keys(entry).find((key) => !keys.includes(key));
  if (other !== undefined) return `the key ${show(other)} is not known (${keys.join(", ")})`;
  if (typeof rule !== "string" || rule === "") return `"rule" must be the name of a rule, not ${show(rule)}`;
  if (typeof reason !== "string" || reason.trim() === "") return `"reason" must say why, not ${show(reason)}`;
  if (cvs === undefined) return undefined;
  if (!Array.isArray(cvs) || cvs.length === 0) return `"cvs" must be a list of CVs, not ${show(cvs)}`;
  const bad: unknown = cvs.find(
    (cv: unknown) => !["string", "number"].includes(typeof cv) || keyOf(String(cv)) === 0,
  );
  return bad === undefined ? undefined : `"cvs" has ${show(bad)}, which is no CV`;
}

/** The silence entries of one file, and which of them were of use. */
export class Silencer {
  readonly #entries: { readonly silence: Silence; readonly at: number; used: boolean }[] = [];
  readonly #bad: Finding[] = [];
  readonly #file: string;

  constructor(silence: unknown, file: string) {
    this.#file = file;
    if (silence === undefined) return;
    const list: readonly unknown[] = Array.isArray(silence) ? silence : [];
    if (!Array.isArray(silence))
      this.#say("bad", `"silence" must be a list, not ${show(silence)}`, this.#bad);
    for (const [at, entry] of list.entries()) {
      const fault = faultOf(entry);
      if (fault !== undefined) this.#say("bad", `silence ${at + 1}: ${fault}`, this.#bad);
      else {
        // faultOf() has been through every key.
        const { rule, cvs, reason } = entry as Silence;
        const names = cvs?.map((cv) => nameOf(keyOf(String(cv))));
        this.#entries.push({ silence: { rule, reason, ...(names && { cvs: names }) }, at, used: false });
      }
    }
  }

  /** Whether there is any entry for a rule that is asked about. */
  concerns(which: (rule: string) => boolean): boolean {
    return this.#entries.some(({ silence }) => which(silence.rule));
  }

  /** The finding, silenced where an entry says so. */
  apply(finding: Finding): Finding {
    for (const entry of this.#entries) {
      const { rule, cvs, reason } = entry.silence;
      if (rule !== finding.rule || (cvs && !finding.cvs.every((cv) => cvs.includes(cv)))) continue;
      entry.used = true;
      return { ...finding, silenced: reason };
    }
    return finding;
  }

  /** Entries that could not be used. */
  get unusable(): readonly Finding[] {
    return this.#bad;
  }

  /**
   * Entries that silenced nothing.
   * @param names The rules that there are.
   * @param which The rules that have had their say; entries for others are passed over.
   */
  unused(names: ReadonlySet<string>, which: (rule: string) => boolean): Finding[] {
    const found: Finding[] = [];
    for (const { silence, at, used } of this.#entries) {
      const { rule, cvs } = silence;
      if (used || !which(rule)) continue;
      const [near] = names.has(rule) ? [] : nearestNames(rule, names);
      const message = names.has(rule)
        ? `silence ${at + 1}: rule ${rule} has nothing to say here${cvs ? ` about CV ${cvs.join(", ")} alone` : ""}`
        : `silence ${at + 1}: there is no rule ${show(rule)}${near === undefined ? "" : `; is ${show(near)} meant?`}`;
      this.#say("unused", message, found);
    }
    return found;
  }

  #say(what: keyof typeof silenceRules, message: string, into: Finding[]): void {
    const { name, severity, source, mend } = silenceRules[what];
    into.push({ file: this.#file, rule: name, severity, message, cvs: [], source, mend });
  }
}
