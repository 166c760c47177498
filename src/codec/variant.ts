import { anything, aText, mapOf, need, needIn, objectOf } from "../cv/argument.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { aPlace, type Place } from "../cv/place.js";
import { optionIssue } from "./choice.js";
import {
  type About,
  type AnyCodec,
  anAbout,
  at,
  Codec,
  checkValue,
  type InputOf,
  issuesOf,
  readWhole,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { checkNames, checkOverlap, type Fields, fieldsParts, isObject, someCodecs } from "./fields.js";
import { level } from "./level.js";

const badNumber = /* @__PURE__ */ fault(
  "case-number",
  "case {name} needs a whole number of its own, 0 to {max}, got {found}",
);
const tagIsField = /* @__PURE__ */ fault(
  "case-field-is-tag",
  "case {name} has a field with the name of the tag, {tag}",
);
const noCase = /* @__PURE__ */ fault("variant-without-case", "a variant needs a case");
const missingCase = /* @__PURE__ */ fault("missing-case", "a value is needed; the options are {allowed}");
const notACase = /* @__PURE__ */ fault(
  "expected-case",
  "expected an object with {tag} ({allowed:list}), got {found}",
);
const noSuchNumber = /* @__PURE__ */ fault(
  "stored-case",
  "no case has the stored number {found}; the cases are {options:list}",
);

/** The cases of a {@link variant} by name. */
export type Cases = Readonly<
  Record<
    string,
    {
      /** The number in the discriminator's place. */
      readonly value: number;
      /** The settings of this case. */
      readonly fields: Fields;
      /** Its name for people. */
      readonly label?: string;
    }
  >
>;

/** Options of {@link variant}. */
export interface VariantOptions<Tag extends string> extends About {
  /** The name of the key that tells the cases apart; `"kind"` without it. */
  readonly tag?: Tag;
}

const someCases = /* @__PURE__ */ mapOf(
  /* @__PURE__ */ objectOf({ value: anything, fields: someCodecs, "label?": aText }),
);
const variantOptions = /* @__PURE__ */ objectOf({ "tag?": aText });

/**
 * Settings that depend on another one: a discriminator in one place selects one of several sets of fields.
 * Only the fields of the case at hand are read and written; what the other cases have in their CVs stays.
 * @param place The place of the discriminator.
 * @param cases The cases; they may use the same CVs.
 * @param options The name of the tag; label, note, meaning, source.
 * @throws `CvError` when two cases have the same number, one does not fit, or a case uses a bit twice.
 * @example
 * import { cv, CvSet, level, variant } from "cvset";
 * const blow = variant(cv(130).bit(7), {
 *   timed: { value: 0, fields: { seconds: level(cv(131), { unit: "s" }) } },
 *   counted: { value: 1, fields: { times: level(cv(131), { max: 9 }) } },
 * });
 * blow.decode(CvSet.from({ 130: 128, 131: 4 })); // { kind: "counted", times: 4 }
 * blow.encode({ kind: "timed", seconds: 20 }).toJSON(); // { cvs: { "131": 20 }, bits: [{ cv: "130", mask: 128, value: 0 }] }
 */
/* @__NO_SIDE_EFFECTS__ */
export function variant<const C extends Cases, const Tag extends string = "kind">(
  place: Place,
  cases: C,
  options: VariantOptions<Tag> = {},
): Codec<
  // Written out, so that an editor shows the object of each case and not the name of a type.
  {
    readonly [K in keyof C & string]: {
      readonly [P in Tag | keyof C[K]["fields"]]: P extends keyof C[K]["fields"]
        ? ValueOf<C[K]["fields"][P]>
        : K;
    };
  }[keyof C & string],
  {
    readonly [K in keyof C & string]: {
      readonly [P in Tag | keyof C[K]["fields"]]: P extends keyof C[K]["fields"]
        ? InputOf<C[K]["fields"][P]>
        : K;
    };
  }[keyof C & string]
> {
  type Value = {
    readonly [K in keyof C & string]: {
      readonly [P in Tag | keyof C[K]["fields"]]: P extends keyof C[K]["fields"]
        ? ValueOf<C[K]["fields"][P]>
        : K;
    };
  }[keyof C & string];
  need(aPlace, place, "place");
  need(someCases, cases, "cases");
  needIn(variantOptions, options, "options");
  needIn(anAbout, options, "options");
  const { tag = "kind" } = options;
  const where = { places: place.bitsOfCvs };
  checkNames([tag, ...Object.keys(cases)]);
  const selector = level(place);
  const byName = new Map<unknown, { readonly stored: number; readonly codec: AnyCodec }>();
  const byNumber = new Map<number, AnyCodec>();
  const issues: Issue[] = [];
  const own: [string, Cases[string]][] = [];
  for (const [name, one] of Object.entries(cases)) {
    const { value: stored, fields } = one;
    if (!Number.isInteger(stored) || stored < 0 || stored > place.max || byNumber.has(stored)) {
      issues.push(badNumber({ name, max: place.max, found: stored }, where));
      continue;
    }
    if (Object.hasOwn(fields, tag)) {
      issues.push(tagIsField({ name, tag }));
      continue;
    }
    checkNames(Object.keys(fields));
    for (const { spec } of Object.values(fields)) spec.derivations?.refuse("variant");
    checkOverlap({ "the discriminator": selector as AnyCodec, ...fields });
    const codec = caseCodec(tag, name, fields);
    byName.set(name, { stored, codec });
    byNumber.set(stored, codec);
    own.push([name, Object.freeze({ ...one, fields: Object.freeze({ ...fields }) })]);
  }
  if (Object.keys(cases).length === 0) issues.push(noCase({}, where));
  if (issues.length) throw new CvError(issues);
  const names = Object.freeze([...byName.keys()]);

  const badStored = (found: number): Issue => {
    const known = [...byName].map(([name, { stored }]) => `${stored} ${name}`);
    return noSuchNumber({ found, options: known }, { ...where, path: tag });
  };
  const caseOf = (value: unknown) => {
    if (!isObject(value)) throw new CvError([notACase({ tag, allowed: names, found: value })]);
    const name = value[tag];
    const found = byName.get(name);
    if (found) return found;
    throw new CvError([
      name === undefined ? missingCase({ allowed: names }, { path: tag }) : optionIssue(name, names, tag),
    ]);
  };

  return new Codec({
    data: { kind: "variant", place, tag, cases: Object.freeze(Object.fromEntries(own)) },
    places: [place, ...[...byName.values()].flatMap(({ codec }) => codec.places)],
    about: options,
    read(cvs) {
      const stored = place.read(cvs);
      const codec = byNumber.get(stored);
      if (!codec) throw new CvError([badStored(stored)]);
      return codec.spec.read(cvs) as Value;
    },
    tryRead(cvs, report) {
      const stored = tryRead(selector, cvs, at(tag, report));
      if (stored === undefined) return undefined;
      const codec = byNumber.get(stored);
      if (codec) return readWhole(codec, cvs, report) as Value | undefined;
      report([badStored(stored)]);
      return undefined;
    },
    write(cvs, value) {
      const { stored, codec } = caseOf(value);
      place.write(cvs, stored);
      codec.spec.write(cvs, value, true);
    },
    check(value, report, how) {
      try {
        checkValue(caseOf(value).codec, value, report, { ...how, whole: true });
      } catch (error) {
        report(issuesOf(error, "variant"));
      }
    },
  });
}

/** The codec of one case: its fields, and the tag, which lives in no CV. */
function caseCodec(tag: string, name: string, fields: Fields): AnyCodec {
  const constant = new Codec<unknown>({
    data: { kind: "custom", parts: {} },
    places: [],
    read: () => name,
    write() {},
  });
  const all = { [tag]: constant, ...fields };
  return new Codec({ ...fieldsParts(all), data: { kind: "record", fields: all } }) as AnyCodec;
}
