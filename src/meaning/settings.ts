import type { AnyCodec } from "../codec/codec.js";
import { converted } from "../codec/converted.js";
import type { CodecData } from "../codec/data.js";
import { flag } from "../codec/flag.js";
import { need, needIn } from "../cv/argument.js";
import { fault, type Issue, joinPath } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { type AnyDecoder, aDecoder } from "../decoder/decoder.js";
import { keyOf, Lexicon, ofMeaning } from "./lexicon.js";
import { fitsQuantity, unitsOf } from "./quantity.js";
import { isQuantity, type Term } from "./term.js";

const unknownTerm = /* @__PURE__ */ fault("unknown-term", "the vocabulary has no term {found}");
const noSetting = /* @__PURE__ */ fault(
  "option-as-setting",
  "{found} is an option and cannot say what a setting is",
);
const noOption = /* @__PURE__ */ fault(
  "setting-as-option",
  "option {option}: {found} says what a setting is and cannot be an option",
);
const otherChoice = /* @__PURE__ */ fault(
  "option-of-another",
  "option {option}: {found} is an option of {of}, and this setting is {here}",
);
const sameMeaning = /* @__PURE__ */ fault("same-meaning", "options {options} have the same meaning, {found}");
const otherUnit = /* @__PURE__ */ fault(
  "unit-of-term",
  "the unit {found} is none of {term}; its units are {units:list}",
);
const unitMissing = /* @__PURE__ */ fault(
  "unit-missing",
  "a unit is missing; the units of {term} are {units:list}",
);
const unitOfNumber = /* @__PURE__ */ fault(
  "unit-of-number",
  "{term} is a number without a unit, and the unit here is {found}",
);

/** A setting of a decoder and what it means. */
export interface Setting {
  /** Where it is in the settings: `"bell.sound"`. What one bit turns on has its switch at the path of the whole. */
  readonly path: string;
  /** Its codec; for something that one bit turns on and that has parts, `"on"` or `"off"`. */
  readonly codec: AnyCodec;
  /** What it means: its own terms and those of what it is part of, outermost first; empty where it says nothing. */
  readonly terms: readonly Term[];
  /** The term that says what its value is: the last of its own. */
  readonly term: Term | undefined;
  /** The terms of what it is part of. */
  readonly within: readonly Term[];
  /** The number of the output that it belongs to. */
  readonly output: number | undefined;
  /** What people read of the parts of its path. */
  readonly labels: readonly string[];
}

/** Terms besides the vocabulary's. */
export interface MeaningOptions {
  /** Terms of your own; one with the name of a known term takes its place. */
  readonly terms?: readonly Term[];
}

/**
 * All settings of a decoder and what each means in the terms of the {@link vocabulary}. Records are given field by
 * field; something that one bit turns on has a setting for the bit and those of its parts; a variant is one setting.
 * @param decoder The decoder.
 * @param options Terms besides the vocabulary's.
 * @example
 * import { cv, defineDecoder, level, record } from "cvset";
 * import { meaningsOf } from "cvset/meaning";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { whistle: record({ volume: level(cv(63), { means: "sound level" }) }, { means: "whistle" }) },
 * });
 * meaningsOf(decoder).map(({ path, terms }) => `${path}: ${terms.map(({ name }) => name).join(", ")}`); // ["whistle.volume: whistle, sound level"]
 */
export function meaningsOf(decoder: AnyDecoder, options: MeaningOptions = {}): Setting[] {
  need(aDecoder, decoder, "decoder");
  needIn(ofMeaning, options, "options");
  return settingsOf(decoder, new Lexicon(options.terms));
}

/** All settings of a decoder with their meanings in the terms of a lexicon. */
export function settingsOf(decoder: AnyDecoder, lexicon: Lexicon): Setting[] {
  return Object.entries(decoder.features).flatMap(([name, codec]) =>
    walk(codec, { path: name, within: [], labels: [labelOf(codec, name)] }, lexicon),
  );
}

interface At {
  readonly path: string;
  readonly within: readonly Term[];
  readonly labels: readonly string[];
}

function walk(codec: AnyCodec, at: At, lexicon: Lexicon): Setting[] {
  const { data, about } = codec;
  const own = knownTerms(about.means, lexicon);
  const below = (fields: Readonly<Record<string, AnyCodec>>, within: readonly Term[]): Setting[] =>
    Object.entries(fields).flatMap(([name, field]) =>
      walk(
        field,
        { path: joinPath(at.path, name), within, labels: [...at.labels, labelOf(field, name)] },
        lexicon,
      ),
    );
  // What is worked out from other settings is none itself.
  if (data.kind === "derived") return [];
  if (data.kind === "record") return below(data.fields, [...at.within, ...own]);
  if (data.kind === "switched" && data.item.data.kind === "record") {
    const bit = converted(flag(data.place, { inverted: data.inverted }), [
      [true, "on"],
      [false, "off"],
    ]) as AnyCodec;
    const inner = [...at.within, ...own, ...knownTerms(data.item.about.means, lexicon)];
    return [setting(bit, at, own), ...below(data.item.data.fields, inner)];
  }
  const inside = data.kind === "switched" && !about.means ? knownTerms(data.item.about.means, lexicon) : own;
  return [setting(codec, at, inside)];
}

function setting(codec: AnyCodec, at: At, own: readonly Term[]): Setting {
  const all = [...at.within, ...own];
  const outputs = all.filter(({ type }) => type === "output");
  const words = unique(all.filter(({ type }) => type !== "output"));
  const mine = own.filter(({ type }) => type !== "output");
  const number = outputs.at(-1)?.name.replace(/\D/g, "");
  return {
    path: at.path,
    codec,
    terms: mine.length ? words : [],
    term: mine.at(-1),
    within: at.within,
    output: number ? Number(number) : undefined,
    labels: at.labels,
  };
}

function unique(terms: readonly Term[]): Term[] {
  const seen = new Set<string>();
  return terms.filter(({ name }) => !seen.has(keyOf(name)) && seen.add(keyOf(name)));
}

/** The terms of a meaning. One with a word that is not known has none: what it says besides is not known either. */
function knownTerms(means: string | undefined, lexicon: Lexicon): readonly Term[] {
  if (!means) return [];
  const { terms, unknown } = lexicon.parse(means);
  return unknown.length || terms.some(({ type }) => type === "option") ? [] : terms;
}

function labelOf(codec: AnyCodec, name: string): string {
  return codec.about.label ?? name;
}

/** The term of an option: what it `means`, or its own name where that is a term of its choice. */
export function optionTerm(
  name: string,
  means: string | undefined,
  of: Term | undefined,
  lexicon: Lexicon,
): Term | undefined {
  const term = lexicon.get(means ?? name.replaceAll("-", " "));
  if (term?.type !== "option") return undefined;
  if (means !== undefined || term.of === undefined) return term;
  return of && keyOf(term.of) === keyOf(of.name) ? term : undefined;
}

/**
 * What is questionable about the meanings in a description: terms that the vocabulary does not have, with the
 * nearest ones; options in the place of settings; units that do not fit. Nothing of it is an error: a setting
 * without a known meaning is not carried to other decoders, that is all.
 * @param decoder The decoder.
 * @param options Terms besides the vocabulary's.
 * @example
 * import { choice, cv, defineDecoder, messageOf } from "cvset";
 * import { meaningNotes } from "cvset/meaning";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { whistle: choice(cv(218), { low: 2 }, { means: "whistel" }) },
 * });
 * meaningNotes(decoder).map((note) => messageOf(note)); // ['whistle: the vocabulary has no term "whistel"; nearest: "whistle"']
 */
export function meaningNotes(decoder: AnyDecoder, options: MeaningOptions = {}): Issue[] {
  need(aDecoder, decoder, "decoder");
  needIn(ofMeaning, options, "options");
  const lexicon = new Lexicon(options.terms);
  const notes = new IssueList();
  for (const [name, codec] of Object.entries(decoder.features)) check(codec, name, undefined, lexicon, notes);
  return notes.done();
}

function check(
  codec: AnyCodec,
  path: string,
  above: Term | undefined,
  lexicon: Lexicon,
  notes: IssueList,
): void {
  const { data, about } = codec;
  const { terms, unknown } = about.means ? lexicon.parse(about.means) : { terms: [], unknown: [] };
  for (const found of unknown) notes.add(unknownTerm({ found, nearest: lexicon.nearest(found) }, { path }));
  for (const { type, name } of terms) if (type === "option") notes.add(noSetting({ found: name }, { path }));
  const term = terms.filter(({ type }) => type !== "output").at(-1) ?? above;
  checkData(data, path, term, lexicon, notes);
  for (const [name, part] of partsIn(data)) {
    // A part may go by the name of what it is part of, as the amount of something switched does.
    const inherited = data.kind === "switched" ? term : undefined;
    check(part, joinPath(path, name), inherited, lexicon, notes);
  }
}

function partsIn(data: CodecData): [name: string, codec: AnyCodec][] {
  switch (data.kind) {
    case "record":
      return Object.entries(data.fields);
    case "variant":
      return Object.values(data.cases).flatMap(({ fields }) => Object.entries(fields));
    case "switched":
    case "converted":
      return [["", data.item]];
    case "custom":
      return Object.entries(data.parts);
    default:
      return [];
  }
}

function checkData(
  data: CodecData,
  path: string,
  term: Term | undefined,
  lexicon: Lexicon,
  notes: IssueList,
): void {
  if ((data.kind === "level" || data.kind === "table") && term && isQuantity(term.type)) {
    const { unit } = data.scale.options;
    if (!fitsQuantity(term.type, unit)) {
      const units = unitsOf(term.type);
      const wrong = units.length === 0 ? unitOfNumber : unit ? otherUnit : unitMissing;
      notes.add(wrong({ found: unit, term: term.name, units }, { path }));
    }
  }
  if (data.kind !== "choice") return;
  const byMeaning = new Map<string, string[]>();
  for (const [option, { means }] of Object.entries(data.options)) {
    const found = lexicon.get(means ?? "");
    if (means === undefined) continue;
    if (!found) {
      notes.add(
        unknownTerm({ found: means, nearest: lexicon.nearest(means) }, { path: joinPath(path, option) }),
      );
    } else if (found.type !== "option") notes.add(noOption({ option, found: found.name }, { path }));
    else if (found.of && term && keyOf(found.of) !== keyOf(term.name)) {
      notes.add(otherChoice({ option, found: found.name, of: found.of, here: term.name }, { path }));
    }
    if (found) byMeaning.set(found.name, [...(byMeaning.get(found.name) ?? []), option]);
  }
  for (const [found, options] of byMeaning) {
    if (options.length > 1) notes.add(sameMeaning({ options, found }, { path }));
  }
}
