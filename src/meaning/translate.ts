import { aList, need, needIn, objectOf } from "../cv/argument.js";
import { type BitChange, CvPatch, PatchWriter } from "../cv/cvpatch.js";
import { type CvSet, type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { CvError, fault } from "../cv/issue.js";
import { toKey } from "../cv/name.js";
import { type AnyDecoder, aDecoder, rootOf } from "../decoder/decoder.js";
import { unownedBits } from "../decoder/explain.js";
import { factsOf } from "../standard/cv-facts.js";
import { type Carried, type Context, carry, decide, type TranslationRow } from "./carry.js";
import { checkDecisions, type Decision, decisionFor } from "./decisions.js";
import { Lexicon, ofMeaning } from "./lexicon.js";
import { outputMap } from "./output-map.js";
import { pairsOf } from "./pairs.js";
import { type MeaningOptions, type Setting, settingsOf } from "./settings.js";
import { isDecodersOwn } from "./standard-cvs.js";

const otherKind = /* @__PURE__ */ fault(
  "other-kind-of-decoder",
  "{from} is a decoder of kind {fromKind}, and {to} is one of kind {toKind}",
);
const noEqual = /* @__PURE__ */ fault("no-equal", "{to} has no setting for {meaning:text}");
const noMeaning = /* @__PURE__ */ fault(
  "no-meaning",
  "the description of {from} gives it no meaning in the vocabulary",
);
const onlyThere = /* @__PURE__ */ fault("only-there", "{from} has no setting for {meaning:text}");
const noMeaningThere = /* @__PURE__ */ fault(
  "no-meaning-there",
  "the description of {to} gives it no meaning in the vocabulary",
);
const several = /* @__PURE__ */ fault(
  "several-settings",
  "several settings have this meaning; it could go to {settings}",
);
const bitsNotKnown = /* @__PURE__ */ fault(
  "base-unknown",
  "the other bits of {cvs:list} are not known; give the decoder's present CVs as the base",
);

/** The CVs for another decoder, and what became of each setting. */
export interface Translation {
  /** The target's CVs. */
  readonly cvs: CvSet;
  /** One row for every setting of both decoders; two that belong together have one row. */
  readonly report: readonly TranslationRow[];
  /** Bits of the source that belong to none of its features; they are not carried to another decoder. */
  readonly unowned: readonly BitChange[];
}

/** Options of {@link translate}. */
export interface TranslateOptions extends MeaningOptions {
  /** Answers to what was left undecided; the first that fits counts. */
  readonly decisions?: readonly Decision[];
  /** The target's present CVs; without it, its factory values. */
  readonly base?: CvsLike;
}

const ofTranslating = /* @__PURE__ */ objectOf({
  "decisions?": aList,
  "base?": someCvs,
});

/**
 * A locomotive's settings for another decoder, carried by what they mean. Amounts go through their units, options
 * through the terms of the vocabulary, keys and outputs by what they work. The CVs of the standard are carried as
 * they are, except what belongs to the decoder itself. Every setting of both decoders is in the report once.
 * @param cvs The source's CVs, whole or in part.
 * @param from The decoder whose CVs they are.
 * @param to The decoder that is to have the settings.
 * @param options Terms of your own, decisions, the target's present CVs.
 * @throws `CvError` when the decoders are of different kinds, or a decision names a setting that does not exist or
 *   a value that cannot be stored.
 * @example
 * import { cv, CvSet, defineDecoder, level } from "cvset";
 * import { translate } from "cvset/meaning";
 * const means = "all sounds, sound level";
 * const one = defineDecoder({
 *   id: "one-x1", name: "One X1", kind: "multifunction", features: { volume: level(cv(63), { max: 15, means }) },
 * });
 * const other = defineDecoder({
 *   id: "other-x2", name: "Other X2", kind: "multifunction", features: { master: level(cv(120), { means }) },
 * });
 * const { cvs, report } = translate(CvSet.from({ 63: 5 }), one, other);
 * cvs.toJSON(); // { "120": 85 }
 * report; // [{ path: "volume", to: "master", result: "carried" }]
 */
export function translate(
  cvs: CvsLike,
  from: AnyDecoder,
  to: AnyDecoder,
  options: TranslateOptions = {},
): Translation {
  const set = toCvSet(cvs);
  need(aDecoder, from, "from");
  need(aDecoder, to, "to");
  needIn(ofMeaning, options, "options");
  needIn(ofTranslating, options, "options");
  if (from.kind !== to.kind) {
    throw new CvError([otherKind({ from: from.name, fromKind: from.kind, to: to.name, toKind: to.kind })]);
  }
  const { terms, decisions = [] } = options;
  const base = options.base === undefined ? toCvSet(to.defaults()) : toCvSet(options.base, "options.base");
  const lexicon = new Lexicon(terms);
  const sources = settingsOf(from, lexicon);
  const targets = settingsOf(to, lexicon);
  checkDecisions(decisions, sources, targets);
  const named = decisions.flatMap((one) => (one.from === undefined ? [] : [{ from: one.from, to: one.to }]));
  const { pairs, rivals } = pairsOf(
    { decoder: from, settings: sources },
    { decoder: to, settings: targets },
    named,
    lexicon,
  );
  const sameDecoder = from.id === to.id;
  const outputOf = outputMap(pairs, sources, to, targets);
  const context: Context = { cvs: set, from, to, lexicon, decisions, sameDecoder, outputOf };

  const bySource = new Map<Setting, Carried>();
  const paired = new Set<Setting>();
  for (const pair of pairs) {
    bySource.set(pair.from, carry(pair, context));
    paired.add(pair.to);
  }
  const done = sources.map((one) => bySource.get(one) ?? { row: lostRow(one, rivals.get(one), from, to) });
  for (const other of targets) if (!paired.has(other)) done.push(unmatched(other, context));
  const { patch, report } = applied(done, base, (cv) =>
    sameDecoder || factsOf(toKey(cv), from.kind).status === "defined" ? set.get(cv) : undefined,
  );
  const unowned = unownedBits(from, set);
  const given = base.apply(patch);
  const { result, rows } = workedOut(to, patch, sameDecoder ? withUnowned(given, unowned) : given);
  const left = sameDecoder ? [] : unowned.filter(({ cv }) => !isDecodersOwn(cv, from.kind));
  return { cvs: result, report: [...report, ...rows], unowned: left };
}

/** A set with the values that are worked out from what a patch has changed, and rows for those that cannot be. */
function workedOut(
  decoder: AnyDecoder,
  patch: CvPatch,
  cvs: CvSet,
): { readonly result: CvSet; readonly rows: readonly TranslationRow[] } {
  const { derivations } = rootOf(decoder).spec;
  if (!derivations) return { result: cvs, rows: [] };
  const writer = new PatchWriter();
  for (const { cv, mask, value } of patch) writer.put(toKey(cv), mask, value);
  const rows: TranslationRow[] = [];
  const collect = (work: () => void): void => {
    try {
      work();
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      for (const issue of error.issues) {
        rows.push({ to: issue.path, result: "undecided", reason: { ...issue, path: "" } });
      }
    }
  };
  let result = cvs;
  collect(() => derivations.finish(writer, cvs, false));
  collect(() => {
    result = cvs.apply(writer.patch());
  });
  return { result, rows };
}

/** The row of a setting that has no equal in the target. */
function lostRow(
  one: Setting,
  rivals: readonly Setting[] | undefined,
  from: AnyDecoder,
  to: AnyDecoder,
): TranslationRow {
  const { path } = one;
  if (rivals) {
    const settings = rivals.map((rival) => rival.path);
    return { path, result: "undecided", reason: several({ settings }), options: settings };
  }
  const meaning = meaningText(one);
  const reason = meaning ? noEqual({ to: to.name, meaning }) : noMeaning({ from: from.name });
  return { path, result: "lost", reason };
}

/** A setting that only the target has. */
function unmatched(other: Setting, { decisions, from, to }: Context): Carried {
  const decision = decisionFor(decisions, other.path, undefined, undefined);
  if (decision) return decide(decision, undefined, other);
  const meaning = meaningText(other);
  const reason = meaning ? onlyThere({ from: from.name, meaning }) : noMeaningThere({ to: to.name });
  return { row: { to: other.path, result: "default", reason } };
}

function meaningText({ terms, output }: Setting): string {
  const names = terms.map(({ name }) => name);
  return [...names, ...(names.length && output !== undefined ? [`output ${output}`] : [])].join(", ");
}

/**
 * The patch of all rows. Of a byte that the base does not hold, the bits that no setting owns are those of the
 * source where it is a CV of the standard. A byte of which some bits stay unknown is left alone, and the settings
 * in it are undecided.
 * @param sourceOf The source's byte of a CV that means the same in both decoders.
 */
function applied(
  done: readonly Carried[],
  base: CvSet,
  sourceOf: (cv: string) => number | undefined,
): { readonly patch: CvPatch; readonly report: readonly TranslationRow[] } {
  const whole = CvPatch.from({ bits: done.flatMap(({ patch }) => [...(patch ?? [])]) });
  const changes: BitChange[] = [];
  const unknown = new Set<string>();
  for (const change of whole) {
    const { cv, mask, value } = change;
    const source = mask === 255 || base.has(cv) ? 0 : sourceOf(cv);
    if (mask === 255 || base.has(cv)) changes.push(change);
    else if (source === undefined) unknown.add(cv);
    else changes.push({ cv, mask: 255, value: (source & ~mask) | value });
  }
  const report = done.map(({ row, patch }): TranslationRow => {
    const cvs = [...(patch ?? [])].filter(({ cv }) => unknown.has(cv)).map(({ cv }) => `CV ${cv}`);
    if (cvs.length === 0) return row;
    const { path, to } = row;
    const names = { ...(path !== undefined && { path }), ...(to !== undefined && { to }) };
    return { ...names, result: "undecided", reason: bitsNotKnown({ cvs }) };
  });
  return { patch: CvPatch.from({ bits: changes }), report };
}

function withUnowned(cvs: CvSet, unowned: readonly BitChange[]): CvSet {
  return unowned.reduce(
    (all, { cv, mask, value }) => all.with(cv, ((all.get(cv) ?? 0) & ~mask) | value),
    cvs,
  );
}
