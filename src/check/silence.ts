import { notACv, unreadable } from "../cv/faults.js";
import { fault, type Issue, messageOf } from "../cv/issue.js";
import { keyOf, nameOf } from "../cv/name.js";
import { nearestNames, Spelling } from "../cv/nearest.js";
import { reasonOf } from "../cv/show.js";
import type { Finding } from "./finding.js";
import type { RuleInfo } from "./rule.js";

/** An entry of the `"silence"` list of a file: findings that are known, and the reason. */
interface Silence {
  /** The name of the rule. */
  readonly rule: string;
  /** Only findings whose CVs are all among these; all findings of the rule without it. */
  readonly cvs?: readonly string[];
  /** The reason, which is needed. */
  readonly reason: string;
}

/** The rules about silencing. */
export const silenceRules = {
  unusable: {
    name: "silence-unusable",
    severity: "error",
    summary: 'An entry of "silence" is not in the right form; it silences nothing.',
    source: "format of this library's files",
    fix: 'Write { "rule": "name", "cvs": ["29"], "reason": "why" }; "cvs" may be left out, the reason not.',
  },
  unused: {
    name: "silence-unused",
    severity: "note",
    summary: 'An entry of "silence" silences nothing.',
    source: "format of this library's files",
    fix: "Remove the entry.",
  },
} satisfies Record<string, RuleInfo>;

const keys = ["rule", "cvs", "reason"];

const notAList = /* @__PURE__ */ fault("silence-list", "expected a list of entries, got {found}");
const notAnEntry = /* @__PURE__ */ fault(
  "silence-entry",
  "expected an object with the keys {allowed:list}, got {found}",
);
const unknownKey = /* @__PURE__ */ fault("silence-key", "there is no such key; the keys are {allowed:list}");
const noRule = /* @__PURE__ */ fault("silence-rule", "expected the name of a rule, got {found}");
const noReason = /* @__PURE__ */ fault("silence-reason", "expected the reason as a text, got {found}");
const noCvs = /* @__PURE__ */ fault("silence-cvs", "expected a list of CVs, got {found}");
const noSuchRule = /* @__PURE__ */ fault("silence-unknown-rule", "there is no rule {found}");
const foundNothing = /* @__PURE__ */ fault("silence-unused", "rule {rule:text} found nothing here");
const foundNothingIn = /* @__PURE__ */ fault(
  "silence-unused-cvs",
  "rule {rule:text} found nothing here that is only about CV {cvs:list}",
);

/** The first thing that is wrong with an entry; undefined when it is right. */
function faultOf(entry: unknown, path: string): Issue | undefined {
  if (typeof entry !== "object" || entry === null || Array.isArray(entry)) {
    return notAnEntry({ found: entry, allowed: keys }, { path });
  }
  const { rule, cvs, reason } = entry as Readonly<Record<string, unknown>>;
  const other = Object.keys(entry).find((key) => !keys.includes(key));
  if (other !== undefined) {
    const nearest = nearestNames(other, keys);
    return unknownKey({ allowed: keys, found: other, nearest }, { path: `${path}.${other}` });
  }
  if (typeof rule !== "string" || rule === "") return noRule({ found: rule }, { path: `${path}.rule` });
  if (typeof reason !== "string" || reason.trim() === "") {
    return noReason({ found: reason }, { path: `${path}.reason` });
  }
  if (cvs === undefined) return undefined;
  if (!Array.isArray(cvs) || cvs.length === 0) return noCvs({ found: cvs }, { path: `${path}.cvs` });
  const at = cvs.findIndex(
    (cv: unknown) => !["string", "number"].includes(typeof cv) || keyOf(String(cv)) === 0,
  );
  return at < 0 ? undefined : notACv({ found: cvs[at] }, { path: `${path}.cvs.${at}` });
}

/** The silence entries of one file; it notes which were used. */
export class Silencer {
  readonly #entries: { readonly silence: Silence; readonly path: string; used: boolean }[] = [];
  readonly #unusable: Finding[] = [];
  readonly #file: string;

  constructor(silence: unknown, file: string) {
    this.#file = file;
    try {
      if (silence !== undefined) this.#read(silence);
    } catch (error) {
      // A getter or a proxy of the caller that throws.
      const issue = unreadable({ reason: reasonOf(error) }, { path: "silence" });
      this.#unusable.push(this.#finding("unusable", issue));
    }
  }

  #read(silence: unknown): void {
    if (!Array.isArray(silence)) {
      this.#unusable.push(this.#finding("unusable", notAList({ found: silence }, { path: "silence" })));
      return;
    }
    for (const [i, entry] of silence.entries()) {
      const path = `silence.${i}`;
      const issue = faultOf(entry, path);
      if (issue) this.#unusable.push(this.#finding("unusable", issue));
      else {
        // faultOf() has checked every key.
        const { rule, cvs, reason } = entry as Silence;
        const names = cvs?.map((cv) => nameOf(keyOf(String(cv))));
        this.#entries.push({ silence: { rule, reason, ...(names && { cvs: names }) }, path, used: false });
      }
    }
  }

  /** Whether there is an entry for any of some rules. */
  concerns(which: (rule: string) => boolean): boolean {
    return this.#entries.some(({ silence }) => which(silence.rule));
  }

  /** The finding, silenced where an entry silences it. */
  apply(finding: Finding): Finding {
    for (const entry of this.#entries) {
      const { rule, cvs, reason } = entry.silence;
      if (rule !== finding.rule || (cvs && !finding.cvs.every((cv) => cvs.includes(cv)))) continue;
      entry.used = true;
      return { ...finding, silenced: reason };
    }
    return finding;
  }

  /** The findings about entries in a wrong form. */
  get unusable(): readonly Finding[] {
    return this.#unusable;
  }

  /**
   * The findings about entries that silenced nothing.
   * @param names The names of all rules.
   * @param which The rules that have been applied; entries for others are left out.
   */
  unused(names: ReadonlySet<string>, which: (rule: string) => boolean): Finding[] {
    const findings: Finding[] = [];
    const spelling = new Spelling();
    for (const { silence, path, used } of this.#entries) {
      const { rule, cvs } = silence;
      if (used || !which(rule)) continue;
      const issue = !names.has(rule)
        ? noSuchRule({ found: rule, nearest: spelling.nearest(rule, () => names).slice(0, 1) }, { path })
        : cvs
          ? foundNothingIn({ rule, cvs }, { path })
          : foundNothing({ rule }, { path });
      findings.push(this.#finding("unused", issue));
    }
    return findings;
  }

  #finding(kind: keyof typeof silenceRules, issue: Issue): Finding {
    const { name, severity, source, fix } = silenceRules[kind];
    return { file: this.#file, rule: name, severity, message: messageOf(issue), cvs: [], source, fix };
  }
}
