import { aFunction, aText, listOf, need, needIn, objectOf, type Wanted } from "../cv/argument.js";
import { isA } from "../cv/brand.js";
import type { CvReader } from "../cv/image.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { aPlace, aRun, type Place, type Run } from "../cv/place.js";
import { optionIssue } from "./choice.js";
import { type About, type AnyCodec, anAbout, Codec, issuesOf, type Json, reportMissing } from "./codec.js";
import { Derivations, share } from "./derivation.js";

const nothing = /* @__PURE__ */ fault("derived-from-nothing", "a value is worked out from one place or more");
const fromItself = /* @__PURE__ */ fault(
  "derived-from-itself",
  "a value cannot be worked out from the bits that it is stored in",
);
const badStart = /* @__PURE__ */ fault(
  "derived-start",
  "expected a whole number from 0 to {max} to start with, got {found}",
);
const badResult = /* @__PURE__ */ fault(
  "derived-result",
  "what is worked out must be a whole number from 0 to {max}, got {found}",
);
const differs = /* @__PURE__ */ fault(
  "derived-differs",
  "expected {expected}, as worked out from {from:text}; found {found}",
);
const cannotCheck = /* @__PURE__ */ fault(
  "derived-not-checked",
  "not in the CV set, so that the value in {stored:text}, which is worked out from it, cannot be checked",
);
const notASetting = /* @__PURE__ */ fault(
  "derived-given",
  "this is worked out from {from:text} and is no setting: leave it out",
);

/** How the numbers of some places become one: built in are their sum and their exclusive or. */
export type Derive = "sum" | "xor" | ((numbers: readonly number[]) => number);

/** A codec of what is no setting. */
export type DerivedCodec = Codec<undefined> & { readonly "~types": { readonly key: never } };

/** Options of {@link derived}. */
export interface DerivedOptions extends About {
  /** What the value is worked out from: places, and runs of CVs, each CV of which is a number of its own. */
  readonly from: readonly (Place | Run)[];
  /**
   * How: `"sum"` adds the numbers up, without what does not fit the place (of a whole CV, modulo 256); `"xor"` is their
   * exclusive or; a function is given the numbers in the order of `from`, and gives a whole number that fits the place.
   */
  readonly by: Derive;
  /** The number that a sum or an exclusive or begins with; 0 without it. */
  readonly start?: number;
  /** The name of its kind in descriptions in JSON, where a function works it out; `"derived"` without it. */
  readonly kind?: string;
  /** Its keys in a description in JSON, where a function works it out; without it, JSON cannot hold it. */
  readonly json?: () => { readonly [key: string]: Json };
}

const ways: Readonly<Record<string, (one: number, other: number) => number>> = {
  sum: (one, other) => one + other,
  // In JavaScript, ^ is signed.
  xor: (one, other) => (one ^ other) >>> 0,
};

const aPlaceOrRun: Wanted = (value, path, report) => (isA("Run", value) ? aRun : aPlace)(value, path, report);
// How it is worked out, and what it begins with, is looked at below.
const ofDeriving = /* @__PURE__ */ objectOf({
  from: /* @__PURE__ */ listOf(aPlaceOrRun),
  "kind?": aText,
  "json?": aFunction,
});

/**
 * A value that is worked out from other CVs, such as a checksum. It is no setting: nobody gives it, and decoded
 * settings do not have it. Where what it is worked out from is written, it is written last; where it is read, it is
 * checked. It can be a feature of a decoder or a field of a record.
 * @param place Where it is stored.
 * @param options What it is worked out from, and how; label, note, meaning, source.
 * @throws `CvError` when it is worked out from nothing or from its own bits, or the start does not fit.
 * @example
 * import { CvSet, cv, defineDecoder, derived, level, messageOf } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: {
 *     pitch: level(cv(120)), volume: level(cv(121)),
 *     checksum: derived(cv(122), { from: [cv(120).through(121)], by: "sum" }),
 *   },
 * });
 * decoder.encode({ pitch: 200, volume: 100 }).toJSON(); // { "120": 200, "121": 100, "122": 44 }
 * decoder.decode(CvSet.from({ 120: 200, 121: 100, 122: 44 })); // { pitch: 200, volume: 100 }
 * const read = decoder.tryDecode(CvSet.from({ 120: 200, 121: 101, 122: 44 }));
 * read.ok || read.issues.map((issue) => messageOf(issue)); // ["checksum: CV 122: expected 45, as worked out from CV 120-121; found 44"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function derived(place: Place, options: DerivedOptions): DerivedCodec {
  need(aPlace, place, "place");
  needIn(ofDeriving, options, "options");
  needIn(anAbout, options, "options");
  const { by, start = 0, kind, json } = options;
  const where = { places: place.bitsOfCvs };
  const given = Object.freeze([...options.from]);
  const from = Object.freeze(given.flatMap((one) => ("places" in one ? [...one.places] : [one])));
  if (from.length === 0) throw new CvError([nothing({}, where)]);
  if (share(place, from)) throw new CvError([fromItself({}, where)]);
  if (!Number.isInteger(start) || start < 0 || start > place.max) {
    throw new CvError([badStart({ max: place.max, found: start }, where)]);
  }
  if (typeof by !== "function" && !Object.hasOwn(ways, by)) {
    throw new CvError([optionIssue(by, Object.keys(ways), "by")]);
  }
  const way =
    typeof by === "function" ? by : inRow(ways[by] as (one: number, other: number) => number, start, place);
  const size = place.max + 1;
  const source = given.join(", ");

  const workOut = (cvs: CvReader): number => {
    const numbers = from.map((one) => one.read(cvs));
    let found: unknown;
    try {
      found = way(numbers);
    } catch (error) {
      throw new CvError(issuesOf(error, kind ?? "derived"));
    }
    if (typeof found !== "number" || !Number.isInteger(found) || found < 0 || found >= size) {
      throw new CvError([badResult({ max: place.max, found }, where)]);
    }
    return found;
  };
  const differing = (cvs: CvReader): Issue[] => {
    const [found, expected] = [place.read(cvs), workOut(cvs)];
    return found === expected ? [] : [differs({ found, expected, from: source }, where)];
  };
  const codec: Codec<undefined> = new Codec<undefined>({
    kind,
    data: { kind: "derived", place, from: given, by: typeof by === "function" ? undefined : by, start },
    places: [place],
    about: options,
    derivations: new Derivations([
      {
        path: "",
        place,
        from,
        workOut,
        given: (found, path) => notASetting({ from: source, found }, { path }),
      },
    ]),
    read(cvs) {
      const issues = differing(cvs);
      if (issues.length) throw new CvError(issues);
      return undefined;
    },
    tryRead(cvs, report) {
      if (reportMissing(codec as AnyCodec, cvs, report)) return undefined;
      try {
        const absent = from.filter((one) => !isThere(one, cvs));
        const places = [...new Set(absent.flatMap(({ parts }) => parts.map(({ key }) => key)))]
          .filter((key) => !isKeyThere(key, cvs))
          .map((key) => ({ cv: nameOf(key), mask: 255 }));
        const issues = places.length ? [cannotCheck({ stored: String(place) }, { places })] : differing(cvs);
        if (issues.length) report(issues);
      } catch (error) {
        report(issuesOf(error, codec.kind));
      }
      return undefined;
    },
    write(_, value) {
      if (value !== undefined) throw new CvError([notASetting({ from: source, found: value })]);
    },
    ...(json && { json }),
  });
  // The key is for the compiler only.
  return codec as DerivedCodec;
}

function inRow(way: (one: number, other: number) => number, start: number, { width }: Place) {
  return (numbers: readonly number[]): number => numbers.reduce(way, start) % 2 ** width;
}

function isThere({ parts }: Place, cvs: CvReader): boolean {
  return parts.every(({ key }) => isKeyThere(key, cvs));
}

function isKeyThere(key: number, cvs: CvReader): boolean {
  try {
    cvs.get(key);
    return true;
  } catch {
    return false;
  }
}
