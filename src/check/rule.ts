import { aBoolean, aFunction, aText, needIn, objectOf } from "../cv/argument.js";
import type { CvSet } from "../cv/cvset.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { shortened } from "../cv/show.js";
import { type AnyDecoder, aDecoderKind, type DecoderKind } from "../decoder/decoder.js";
import type { Finding } from "./finding.js";

const badName = /* @__PURE__ */ fault(
  "check-rule-name",
  'expected a name such as "name" or "owner/name", in small letters, digits and single hyphens, got {found}',
);
const badSeverity = /* @__PURE__ */ fault(
  "check-rule-severity",
  'expected "error", "warning" or "note", got {found}',
);
const noText = /* @__PURE__ */ fault("check-rule-text", "expected a sentence, got {found}");

/** The facts about a rule, as data. */
export interface RuleInfo {
  /** Its name: small letters, digits, hyphens; rules from outside have an owner and `/` in front. */
  readonly name: string;
  /** The severity of its findings, unless one has its own. */
  readonly severity: Finding["severity"];
  /** What it finds, in a sentence. */
  readonly summary: string;
  /** Where it is laid down: document, edition, section; or `"common practice"`. */
  readonly source: string;
  /** How to fix what it finds, in a sentence. */
  readonly fix: string;
  /** The kind of decoder that it applies to; both kinds without it. */
  readonly kind?: DecoderKind;
}

/** A rule: data, and a pure function that looks at one CV set. */
export interface Rule extends RuleInfo {
  /** The rule is applied after all others, so that it can leave out what they found; see {@link SetView}. */
  readonly last?: boolean;
  /** Looks at a CV set; an empty list when there is nothing to report. */
  find(set: SetView): readonly Found[];
}

/** What a rule has found. */
export interface Found {
  /** What was found, in a sentence. */
  readonly message: string;
  /** The bits that it is about. */
  readonly places: readonly BitsOfCv[];
  /** The severity, where it differs from the rule's. */
  readonly severity?: Finding["severity"];
  /** How to fix it, where that differs from the rule's. */
  readonly fix?: string;
  /**
   * The message for several of them: what a rule finds in one set with one and the same function here becomes
   * one finding. What a file silences stays apart from what it does not.
   * @param cvs All their CVs.
   */
  readonly gathered?: (cvs: readonly string[]) => string;
}

/** A CV set as rules see it. */
export interface SetView {
  /** The CVs. */
  readonly cvs: CvSet;
  /** The decoder that they are for. */
  readonly decoder: AnyDecoder;
  /** The set is to be written to a decoder, not only kept. */
  readonly forWriting?: boolean;
  /** The distance in mm that the model must stop in, and its speed in mm/s at the top speed step. */
  readonly stopping?: { readonly withinMm: number; readonly topSpeedMmPerS: number };
  /** The settings that could be read, by feature. A feature of which the set has no CV is absent. */
  readonly settings: Readonly<Record<string, unknown>>;
  /** What could not be read. */
  readonly issues: readonly Issue[];
  /** The features that could be read only in part, or not at all. */
  readonly partial: ReadonlySet<string>;
  /**
   * The result of a pure function of the set, worked out once for all rules.
   * @param work The function.
   */
  remember<T>(work: (set: SetView) => T): T;
  /**
   * Whether the findings of earlier rules are about all of these bits.
   * @param places The bits.
   */
  isReported(places: readonly BitsOfCv[]): boolean;
}

/** The result of a rule that finds nothing. */
export const nothing: readonly Found[] = [];

/** Whole CVs, as the places of a finding. */
export function whole(...cvs: readonly (string | number)[]): BitsOfCv[] {
  return cvs.map((cv) => ({ cv: String(cv), mask: 255 }));
}

/** CVs in words, runs joined: `CV 20, 96-104`; of more than twelve pieces the rest is counted. */
export function cvsText(cvs: readonly string[]): string {
  const texts: string[] = [];
  for (let i = 0; i < cvs.length; i++) {
    const first = Number(cvs[i]);
    let next = i + 1;
    while (Number(cvs[next]) === first + next - i) next++;
    // Two are no run.
    if (next - i < 3) texts.push(cvs[i] as string);
    else {
      texts.push(`${first}-${cvs[next - 1]}`);
      i = next - 1;
    }
  }
  return `CV ${shortened(texts)}`;
}

/** One bit, as the place of a finding. */
export function bit(cv: number, place: number): BitsOfCv {
  return { cv: String(cv), mask: 1 << place };
}

// Its name, severity and texts are looked at below.
const aRule = /* @__PURE__ */ objectOf({
  name: aText,
  "kind?": aDecoderKind,
  "last?": aBoolean,
  find: aFunction,
});

/**
 * Makes a rule. Rules from outside are values like the built-in ones, and are passed to {@link checkSet}.
 * @param rule Its facts, and a pure function that looks at a CV set.
 * @throws `CvError` when its name or severity cannot be used, or a sentence is missing.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, defineRule } from "cvset/check";
 * const clubAddress = defineRule({
 *   name: "club/address", severity: "warning", source: "club rules, page 2",
 *   summary: "The club's own locomotives have addresses from 50 up.", fix: "Ask for a number.",
 *   find: ({ cvs }) => (cvs.get(1) ?? 99) < 50
 *     ? [{ message: `CV 1 is ${cvs.get(1)}, below 50`, places: [{ cv: "1", mask: 255 }] }] : [],
 * });
 * checkSet(CvSet.from({ 1: 3 }), { rules: [clubAddress] }).map((finding) => finding.message); // ["CV 1 is 3, below 50"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineRule(rule: Rule): Rule {
  needIn(aRule, rule, "rule");
  const issues: Issue[] = [];
  const { name, severity } = rule;
  if (!/^[a-z0-9]+(-[a-z0-9]+)*(\/[a-z0-9]+(-[a-z0-9]+)*)?$/.test(name)) {
    issues.push(badName({ found: name }, { path: "name" }));
  }
  if (!["error", "warning", "note"].includes(severity)) {
    issues.push(badSeverity({ found: severity }, { path: "severity" }));
  }
  for (const path of ["summary", "source", "fix"] as const) {
    const found: unknown = rule[path];
    if (typeof found !== "string" || found.trim() === "") issues.push(noText({ found }, { path }));
  }
  if (issues.length) throw new CvError(issues);
  return rule;
}
