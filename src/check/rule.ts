import { definitionError } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import { type BitsOfCv, type Issue, show } from "../cv/issue.js";
import type { AnyDecoder, DecoderKind } from "../decoder/decoder.js";
import type { Severity } from "./finding.js";

/** What a rule says of itself. */
export interface RuleInfo {
  /** Its name: small letters, digits, hyphens; with the id of a decoder or plug-in and `/` in front. */
  readonly name: string;
  /** How much its findings matter, unless one says otherwise. */
  readonly severity: Severity;
  /** What it finds. */
  readonly summary: string;
  /** Where it is laid down: document, edition, section; or `"common practice"`. */
  readonly source: string;
  /** How to mend what it finds. */
  readonly mend: string;
  /** The kind of decoder that it is for; without it, both. */
  readonly kind?: DecoderKind;
}

/** A rule: data, and a pure function that looks at one CV set. */
export interface Rule extends RuleInfo {
  /** Look after all the others, so as not to repeat what they said: see {@link SetView.spoken}. */
  readonly last?: boolean;
  /** What is the matter with a CV set; an empty list when nothing is. */
  find(set: SetView): readonly Found[];
}

/** What a rule has found. */
export interface Found {
  /** What is the matter, in a sentence. */
  readonly message: string;
  /** The bits that it is about. */
  readonly places: readonly BitsOfCv[];
  /** How much this one matters, where it is not what the rule says. */
  readonly severity?: Severity;
  /** How to mend this one, where it is not what the rule says. */
  readonly mend?: string;
}

/** Within which distance a locomotive has to stop; both are measured on the model. */
export interface StoppingLimit {
  /** The distance, mm. */
  readonly withinMm: number;
  /** The speed at the top speed step, mm/s. */
  readonly topSpeedMmPerS: number;
}

/** What a check may be told besides the CVs. */
export interface CheckTerms {
  /** The set is to be written to a decoder, not only kept. */
  readonly forWriting?: boolean;
  /** The distance that the locomotive has to stop in; without it, momentum is not judged. */
  readonly stopping?: StoppingLimit;
}

/** A CV set as rules see it. */
export interface SetView extends CheckTerms {
  /** The set itself. */
  readonly cvs: CvSet;
  /** The decoder that it is for. */
  readonly decoder: AnyDecoder;
  /** The settings that could be read, by the name of the feature; a feature without any CV in the set has none. */
  readonly settings: Readonly<Record<string, unknown>>;
  /** What could not be read, of features that the set has a CV of which no other feature shares. */
  readonly issues: readonly Issue[];
  /** The features that could be read in part, or not at all. */
  readonly partial: ReadonlySet<string>;
  /** What a pure function of the set gives, worked out once for all rules that ask. */
  remember<T>(work: (set: SetView) => T): T;
  /** Whether another rule has said something about all of these bits; for rules that look last. */
  spoken(places: readonly BitsOfCv[]): boolean;
}

/** What a rule that finds nothing gives back. */
export const nothing: readonly Found[] = [];

/** Whole CVs, as places of a finding. */
export function whole(...cvs: readonly (string | number)[]): BitsOfCv[] {
  return cvs.map((cv) => ({ cv: String(cv), mask: 255 }));
}

/** One bit, as the place of a finding. */
export function bit(cv: number, place: number): BitsOfCv {
  return { cv: String(cv), mask: 1 << place };
}

/**
 * Makes a rule: your own are values like the built-in ones, and are passed to {@link checkSet}.
 * @param rule What it says of itself, and how it looks at a CV set. It must be a pure function.
 * @throws `CvError` when its name or severity cannot be used, or a text is empty.
 * @example
 * import { CvSet } from "cvset";
 * import { checkSet, defineRule } from "cvset/check";
 * const clubAddress = defineRule({
 *   name: "club/address", severity: "warning", source: "club rules, page 2",
 *   summary: "The club's own locomotives have addresses from 50 up.", mend: "Ask for a number.",
 *   find: ({ cvs }) => (cvs.get(1) ?? 99) < 50
 *     ? [{ message: `CV 1 is ${cvs.get(1)}, below 50`, places: [{ cv: "1", mask: 255 }] }] : [],
 * });
 * checkSet(CvSet.from({ 1: 3 }), { rules: [clubAddress] }).map((finding) => finding.message); // ["CV 1 is 3, below 50"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineRule(rule: Rule): Rule {
  if (!/^[a-z0-9]+(-[a-z0-9]+)*(\/[a-z0-9]+(-[a-z0-9]+)*)?$/.test(rule.name)) {
    throw definitionError(`${show(rule.name)} cannot be the name of a rule: write "name" or "owner/name"`);
  }
  if (!["error", "warning", "note"].includes(rule.severity)) {
    throw definitionError(`rule ${rule.name}: "error", "warning" or "note" is needed as its severity`);
  }
  for (const key of ["summary", "source", "mend"] as const) {
    if (typeof rule[key] !== "string" || rule[key].trim() === "") {
      throw definitionError(`rule ${rule.name}: its ${key} is missing`);
    }
  }
  return rule;
}
