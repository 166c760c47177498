import { anything, listOf, need, objectOf, severalOf, type Wanted } from "../cv/argument.js";
import { type CvSet, type CvsLike, imageOf, someCvs, toCvSet } from "../cv/cvset.js";
import { fault } from "../cv/issue.js";
import { type CvName, lastCv, toKey } from "../cv/name.js";
import { type AnyDecoder, aDecoder, aDecoderKind, type DecoderKind, rootOf } from "../decoder/decoder.js";
import { factsOf } from "../standard/cv-facts.js";
import { type AccessMode, aMode } from "./access-mode.js";

/** What plans and simulated decoders need to know of a decoder that has no description. */
export interface DecoderModel {
  /** The kind of decoder. */
  readonly kind: DecoderKind;
  /** Its CVs with their values after a factory reset. */
  readonly factory: CvsLike;
  /** Further CVs that it has, whose factory values are not known. */
  readonly cvs?: Iterable<CvName>;
  /** CVs that cannot be written, besides CV 7 and 8. */
  readonly readOnly?: Iterable<CvName>;
  /** CVs whose values are worked out from others, each after those that it is worked out from. */
  readonly derived?: Iterable<{ readonly cv: CvName; readonly from: Iterable<CvName> }>;
  /** The access modes that it supports; all of them unless given. */
  readonly modes?: readonly AccessMode[];
}

/** The facts about one decoder, by key of a CV. */
export interface DecoderFacts {
  readonly kind: DecoderKind;
  readonly factory: CvSet;
  /** The access modes; undefined for all. */
  readonly modes: readonly AccessMode[] | undefined;
  /** Whether it has a CV. */
  has(key: number): boolean;
  /** The keys of its CVs, in no order. */
  keys(): Iterable<number>;
  /** The keys of CVs whose values are worked out from others, in an order to write them, and the keys of these. */
  readonly derived: ReadonlyMap<number, ReadonlySet<number>>;
  /** Whether a CV cannot be written. */
  isReadOnly(key: number): boolean;
}

const aModel = /* @__PURE__ */ objectOf({
  kind: aDecoderKind,
  factory: someCvs,
  "cvs?": /* @__PURE__ */ severalOf(anything),
  "readOnly?": /* @__PURE__ */ severalOf(anything),
  "derived?": /* @__PURE__ */ severalOf(
    /* @__PURE__ */ objectOf({ cv: anything, from: /* @__PURE__ */ severalOf(anything) }),
  ),
  "modes?": /* @__PURE__ */ listOf(aMode),
});

/** A decoder of any copy of this library, or what stands for one. */
export const decoderOrModel: Wanted = (value, path, report) => {
  const isModel = typeof value === "object" && value !== null && "factory" in value;
  (isModel ? aModel : aDecoder)(value, path, report);
};

/**
 * The facts about a decoder from its description or model.
 * @throws `CvError` when the model names something that is not a CV.
 */
export function decoderFacts(decoder: AnyDecoder | DecoderModel): DecoderFacts {
  need(decoderOrModel, decoder, "decoder");
  const model: DecoderModel =
    "factory" in decoder
      ? decoder
      : {
          kind: decoder.kind,
          factory: decoder.defaults(),
          cvs: decoder.bits.map(({ cv }) => cv),
          derived: derivedIn(decoder),
        };
  const { kind, modes } = model;
  const factory = toCvSet(model.factory);
  const keys = new Set(imageOf(factory).keys());
  for (const cv of model.cvs ?? []) keys.add(toKey(cv));
  // Index pages are selected by CV 31 and 32, whether or not the description names these.
  if ([...keys].some((key) => key > lastCv)) keys.add(31).add(32);
  const readOnly = new Set<number>();
  for (const cv of model.readOnly ?? []) readOnly.add(toKey(cv));
  const derived = new Map<number, Set<number>>();
  for (const { cv, from } of model.derived ?? []) {
    const key = toKey(cv);
    derived.set(key, new Set([...(derived.get(key) ?? []), ...[...from].map(toKey)]));
  }
  return {
    kind,
    factory,
    modes,
    derived,
    has: (key) => keys.has(key),
    keys: () => keys,
    isReadOnly: (key) => readOnly.has(key) || factsOf(key, kind).readOnly,
  };
}

/** The CVs that hold values which are worked out, and what these are worked out from. */
function derivedIn(decoder: AnyDecoder): { readonly cv: string; readonly from: readonly string[] }[] {
  return (rootOf(decoder).spec.derivations?.list ?? []).flatMap(({ place, from }) => {
    const names = from.flatMap((one) => one.bitsOfCvs.map(({ cv }) => cv));
    return place.bitsOfCvs.map(({ cv }) => ({ cv, from: names }));
  });
}

/** A CV that the decoder does not have. */
export const noSuchCv = /* @__PURE__ */ fault("not-in-decoder", "this decoder does not have this CV");
