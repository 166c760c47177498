import { aBoolean, aFunction, anObject, aText, need, needIn, objectOf } from "../cv/argument.js";
import { type CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { CvError, fault, type Issue, messageOf } from "../cv/issue.js";
import { type CvName, keyOf } from "../cv/name.js";
import { reasonOf, shortened, show, visible } from "../cv/show.js";
import { type AnyDecoder, aDecoder } from "../decoder/decoder.js";
import { nmra } from "../standard/nmra.js";
import type { Finding } from "./finding.js";
import { isFleetRule } from "./fleet-rules.js";
import { knownOf } from "./known.js";
import type { Found, Rule, SetView } from "./rule.js";
import { Silencer } from "./silence.js";
import { standardRules } from "./standard-rules.js";
import { View } from "./view.js";

const nameTwice = /* @__PURE__ */ fault("check-rule-twice", "two rules have the name {found}");
const notRules = /* @__PURE__ */ fault("check-rules", "expected a list of rules, got {found}");
const notARule = /* @__PURE__ */ fault("check-rule", "expected a rule, as defineRule makes it, got {found}");
const badLimit = /* @__PURE__ */ fault("stopping-limit", "expected a number above 0, got {found}");

/** Options of {@link checkSet}. */
export interface CheckSetOptions {
  /** The decoder that the set is for, `nmra` without it. The rules of its description apply too. */
  readonly decoder?: AnyDecoder;
  /** The rules; {@link standardRules} without it. */
  readonly rules?: readonly Rule[];
  /** The set is to be written to a decoder, not only kept. */
  readonly forWriting?: boolean;
  /**
   * The distance in mm that the model must stop in, and its speed in mm/s at the top speed step. Without
   * it, momentum is not judged.
   */
  readonly stopping?: { readonly withinMm: number; readonly topSpeedMmPerS: number };
  /** The `"silence"` entry of the file, as it was read; it is checked here. */
  readonly silence?: unknown;
  /** The name of the set in findings, such as that of its file. */
  readonly file?: string;
  /**
   * Finds the line and column of a CV in the file: `locate` of a CV set file.
   * @param cv The CV.
   */
  readonly locate?: (cv: CvName) => { readonly line: number; readonly column: number } | undefined;
}

/** Options of a check, as far as they are not looked at where they are used. */
export const ofChecking = /* @__PURE__ */ objectOf({
  "decoder?": aDecoder,
  "forWriting?": aBoolean,
  "stopping?": anObject,
  "file?": aText,
  "locate?": aFunction,
});

/**
 * Checks one CV set.
 * @param cvs The CVs, all of a decoder's or a part. Rules about CVs that are not there find nothing.
 * @param options The decoder, the rules, and other options.
 * @returns The findings in CV order, silenced ones included.
 * @throws `CvError` when an argument is not what it should be, two rules have the same name, or the stopping
 *   limit is not above 0; never because of what is in the CV set. A rule that throws is an error among the
 *   findings: about the CVs where it throws a `CvError` that names some, else about the rule.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet } from "cvset/check";
 * const [finding] = checkSet(CvSet.from({ 1: 0 }), { file: "no9.json" });
 * finding?.rule; // "primary-address"
 * finding?.message; // "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names"
 */
export function checkSet(cvs: CvsLike, options: CheckSetOptions = {}): Finding[] {
  const set = toCvSet(cvs);
  needIn(ofChecking, options, "options");
  return findingsOf(judge(set, options, ruleBook(options)));
}

/** Rules in the order in which they are applied, and their names. */
export interface RuleBook {
  readonly rules: readonly Rule[];
  readonly names: ReadonlySet<string>;
}

/** Checks the options, and puts the rules in order. */
export function ruleBook({ rules = standardRules, stopping }: CheckSetOptions): RuleBook {
  // Callers in JavaScript may give anything.
  if (!Array.isArray(rules)) throw new CvError([notRules({ found: rules }, { path: "rules" })]);
  const issues: Issue[] = [];
  const names = new Set<string>();
  for (const [i, rule] of rules.entries()) {
    const { name, find, severity, ...about } = (rule ?? {}) as Readonly<Record<string, unknown>>;
    const isAbout = [about["summary"], about["source"], about["fix"]].every((one) => typeof one === "string");
    const isSeverity = severity === "error" || severity === "warning" || severity === "note";
    if (typeof name !== "string" || typeof find !== "function" || !isSeverity || !isAbout) {
      issues.push(notARule({ found: rule }, { path: `rules.${i}` }));
      continue;
    }
    if (names.has(name)) issues.push(nameTwice({ found: name }, { path: `rules.${i}` }));
    names.add(name);
  }
  if (stopping) {
    const { withinMm, topSpeedMmPerS } = stopping;
    for (const [key, found] of Object.entries({ withinMm, topSpeedMmPerS })) {
      if (Number.isFinite(found) && found > 0) continue;
      issues.push(badLimit({ found }, { path: `stopping.${key}` }));
    }
  }
  if (issues.length) throw new CvError(issues);
  return { rules: [...rules.filter(({ last }) => !last), ...rules.filter(({ last }) => last)], names };
}

/** The result of one set's check. */
export interface Judged {
  readonly findings: Finding[];
  readonly silencer: Silencer;
  /** The names of the rules for this set. */
  readonly names: ReadonlySet<string>;
}

/** The findings about one set alone. */
export function findingsOf({ findings, silencer, names }: Judged): Finding[] {
  // Entries for rules across files may be used later.
  findings.push(...silencer.unused(names, (rule) => !isFleetRule(rule)));
  return findings;
}

/** Checks one set; the caller reports entries of silence that were not used. */
export function judge(cvs: CvSet, options: CheckSetOptions, book: RuleBook): Judged {
  const { decoder = nmra, file = "CV set", silence, locate } = options;
  need(aDecoder, decoder, "decoder");
  const own = knownOf(decoder).rules;
  const view = new View(cvs, decoder, options);
  const silencer = new Silencer(silence, file);
  const findings: Finding[] = [...silencer.unusable];
  const apply = (rule: Rule): void => {
    if (rule.kind && rule.kind !== decoder.kind) return;
    const all = findBy(rule, view);
    if (all.length === 0) return;
    const made = all.map((found) => {
      view.report(found);
      return silencer.apply(findingOf(rule, found, file, locate));
    });
    for (const finding of gathered(made, all)) findings.push(finding);
  };
  // The rules of the description go before the rules that are applied last.
  for (const rule of book.rules) if (!rule.last) apply(rule);
  for (const rule of own) apply(rule);
  for (const rule of book.rules) if (rule.last) apply(rule);
  if (findings.length > 1) sortByCv(findings);
  const names = own.length ? new Set([...book.names, ...own.map(({ name }) => name)]) : book.names;
  return { findings, silencer, names };
}

/** The results of a rule; where it fails, that is its result. */
function findBy(rule: Rule, view: SetView): readonly Found[] {
  try {
    const all: unknown = rule.find(view);
    if (Array.isArray(all) && all.every(isFound)) return all;
    return [failed(`the rule gives what is no list of findings: ${show(all)}`)];
  } catch (error) {
    // A rule that decodes a setting fails where the set does not hold one.
    if (error instanceof CvError) {
      const places = error.issues.flatMap((issue) => issue.places ?? []);
      const message = `the rule cannot be applied to this set: ${shortened(error.issues, (issue) => messageOf(issue))}`;
      const fix = "Correct or add the CVs that are named; if the set is right, tell the author of the rule.";
      return [{ message, places, severity: "error", fix }];
    }
    return [failed(`the rule failed: ${visible(reasonOf(error), 1000)}`)];
  }
}

function failed(message: string): Found {
  return { message, places: [], severity: "error", fix: "Report this to the author of the rule." };
}

function isFound(one: unknown): one is Found {
  if (typeof one !== "object" || one === null) return false;
  const { message, places } = one as Readonly<Record<string, unknown>>;
  return typeof message === "string" && Array.isArray(places);
}

/** The findings of one rule, with those that belong together made into one. */
function gathered(findings: readonly Finding[], all: readonly Found[]): readonly Finding[] {
  if (findings.length < 2) return findings;
  const groups: { readonly first: Finding; readonly together: Found["gathered"]; readonly cvs: string[] }[] =
    [];
  for (const [i, finding] of findings.entries()) {
    const together = all[i]?.gathered;
    const { severity, fix, silenced } = finding;
    const group =
      together &&
      groups.find(
        ({ first, together: other }) =>
          other === together &&
          first.severity === severity &&
          first.fix === fix &&
          first.silenced === silenced,
      );
    if (group) group.cvs.push(...finding.cvs);
    else groups.push({ first: finding, together, cvs: [...finding.cvs] });
  }
  return groups.map(({ first, together, cvs: all }) => {
    const cvs = [...new Set(all)];
    // A group of one is as it was.
    return !together || cvs.length === first.cvs.length ? first : { ...first, message: together(cvs), cvs };
  });
}

function findingOf(
  rule: Rule,
  { message, places, severity = rule.severity, fix = rule.fix }: Found,
  file: string,
  locate: CheckSetOptions["locate"],
): Finding {
  const cvs = [...new Set(places.map(({ cv }) => cv))];
  const finding = { file, rule: rule.name, severity, message, cvs, source: rule.source, fix };
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
