import { definitionError } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import { show } from "../cv/issue.js";
import { type CvName, keyOf } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { nmra } from "../standard/nmra.js";
import type { Finding } from "./finding.js";
import { acrossFiles } from "./fleet-rules.js";
import { knownOf } from "./known.js";
import type { CheckTerms, Found, Rule } from "./rule.js";
import { Silencer } from "./silence.js";
import { standardRules } from "./standard-rules.js";
import { View } from "./view.js";

/** What a check of one CV set may be told. */
export interface CheckSetOptions extends CheckTerms {
  /** The decoder that the set is for; the plain standard without it. Its own rules apply too. */
  readonly decoder?: AnyDecoder;
  /** The rules; {@link standardRules} without it. */
  readonly rules?: readonly Rule[];
  /** The `"silence"` entry of the file, as it was read: it is checked here. */
  readonly silence?: unknown;
  /** What the set is called in findings: the name of its file. */
  readonly file?: string;
  /** Where a CV stands in the file: `locate` of a CV set file. */
  readonly locate?: (cv: CvName) => { readonly line: number; readonly column: number } | undefined;
}

/**
 * Checks one CV set.
 * @param cvs The CVs; a part of a decoder's is enough. What is not there is not judged.
 * @param options The decoder, the rules, and what else a check may be told.
 * @returns Everything that there is to say, in CV order; silenced findings too.
 * @throws `CvError` when two rules have the same name, or the stopping limit is no limit. Never for
 *   any CV set: a rule that throws is itself an error among the findings.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet } from "cvset/check";
 * const [finding] = checkSet(CvSet.from({ 1: 0 }), { file: "no9.json" });
 * finding?.rule; // "primary-address"
 * finding?.message; // "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names"
 */
export function checkSet(cvs: CvSet, options: CheckSetOptions = {}): Finding[] {
  return findingsOf(judge(cvs, options, ruleBook(options)));
}

/** Rules in the order in which they look, and their names. */
export interface RuleBook {
  readonly rules: readonly Rule[];
  readonly names: ReadonlySet<string>;
}

/** Checks what a check is told, and puts its rules in order. */
export function ruleBook({ rules = standardRules, stopping }: CheckSetOptions): RuleBook {
  const names = new Set<string>();
  for (const { name } of rules) {
    if (names.has(name)) throw definitionError(`two rules have the name ${show(name)}`);
    names.add(name);
  }
  for (const [key, value] of Object.entries(stopping ?? {})) {
    if (Number.isFinite(value) && Number(value) > 0) continue;
    throw definitionError(`the stopping limit's ${key} must be a number above 0, not ${show(value)}`);
  }
  return { rules: [...rules.filter(({ last }) => !last), ...rules.filter(({ last }) => last)], names };
}

/** What one set's check came to. */
export interface Judged {
  readonly findings: Finding[];
  readonly silencer: Silencer;
  /** The rules that there are for this set. */
  readonly names: ReadonlySet<string>;
}

/** All that there is to say about one set alone. */
export function findingsOf({ findings, silencer, names }: Judged): Finding[] {
  // Entries for rules across files may still be of use.
  findings.push(...silencer.unused(names, (rule) => !acrossFiles(rule)));
  return findings;
}

/** Checks one set; entries of silence that were of no use are left to the caller. */
export function judge(cvs: CvSet, options: CheckSetOptions, book: RuleBook): Judged {
  const { decoder = nmra, file = "CV set", silence, locate } = options;
  const own = knownOf(decoder).rules;
  const view = new View(cvs, decoder, options);
  const silencer = new Silencer(silence, file);
  const findings: Finding[] = [...silencer.unusable];
  const look = (rule: Rule): void => {
    if (rule.kind && rule.kind !== decoder.kind) return;
    for (const found of findBy(rule, view)) {
      view.speak(found);
      findings.push(silencer.apply(findingOf(rule, found, file, locate)));
    }
  };
  // What the description says itself goes before the rules that look last.
  for (const rule of book.rules) if (!rule.last) look(rule);
  for (const rule of own) look(rule);
  for (const rule of book.rules) if (rule.last) look(rule);
  if (findings.length > 1) sortByCv(findings);
  const names = own.length ? new Set([...book.names, ...own.map(({ name }) => name)]) : book.names;
  return { findings, silencer, names };
}

/** What a rule finds; a rule from outside that throws has found something all the same: its own fault. */
function findBy(rule: Rule, view: View): readonly Found[] {
  try {
    return rule.find(view);
  } catch (error) {
    const message = `the rule itself failed: ${error instanceof Error ? error.message : show(error)}`;
    return [{ message, places: [], severity: "error", mend: "Tell the author of the rule." }];
  }
}

function findingOf(
  rule: Rule,
  { message, places, severity = rule.severity, mend = rule.mend }: Found,
  file: string,
  locate: CheckSetOptions["locate"],
): Finding {
  const cvs = [...new Set(places.map(({ cv }) => cv))];
  const finding = { file, rule: rule.name, severity, message, cvs, source: rule.source, mend };
  if (!locate) return finding;
  for (const cv of cvs) {
    const at = locate(cv);
    if (at) return { ...finding, line: at.line, column: at.column };
  }
  return finding;
}

function sortByCv(findings: Finding[]): void {
  const first = ({ cvs: [cv] }: Finding): number => (cv === undefined ? 0 : keyOf(cv));
  findings.sort((a, b) => first(a) - first(b));
}
