import { CvError, joinPath, show } from "../cv/issue.js";
import type { Place } from "../cv/place.js";
import { notAnOption } from "./choice.js";
import {
  type About,
  at,
  Codec,
  checkValue,
  definitionError,
  type Json,
  readWhole,
  tellLines,
  tryRead,
  typeError,
} from "./codec.js";
import {
  checkNames,
  checkOverlap,
  describeFields,
  type Fields,
  fieldsCodec,
  fieldsSchema,
  type RecordInput,
  type RecordValue,
} from "./record.js";
import { issuesOf } from "./standard-schema.js";

/** One case of a {@link variant}: the discriminator's number, and the settings that there are then. */
export interface Case {
  /** The number in the discriminator's place. */
  readonly value: number;
  /** The settings of this case. */
  readonly fields: Fields;
  /** Its name for people. */
  readonly label?: string;
}

/** The cases of a variant by name. */
export type Cases = Readonly<Record<string, Case>>;

/** The decoded values: one object type a case, told apart by the tag. */
export type VariantValue<C extends Cases, Tag extends string> = {
  readonly [K in keyof C & string]: { readonly [T in Tag]: K } & RecordValue<C[K]["fields"]>;
}[keyof C & string];

/** The values to encode: every field of the case is needed. */
export type VariantInput<C extends Cases, Tag extends string> = {
  readonly [K in keyof C & string]: { readonly [T in Tag]: K } & Required<RecordInput<C[K]["fields"]>>;
}[keyof C & string];

/** What a {@link variant} may say besides its cases. */
export interface VariantOptions<Tag extends string> extends About {
  /** The name of the key that tells the cases apart; `"kind"` without it. */
  readonly tag?: Tag;
}

/**
 * Settings that depend on another one: a discriminator in one place says which of several sets of fields
 * there is. Only the fields of the case at hand are read and written; what the other cases have in their
 * CVs stays.
 * @param place The place of the discriminator.
 * @param cases The cases; they may use the same CVs.
 * @param options The name of the tag.
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
): Codec<VariantValue<C, Tag>, VariantInput<C, Tag>> {
  type Value = VariantValue<C, Tag>;
  const { tag = "kind", ...about } = options;
  checkNames([tag, ...Object.keys(cases)]);
  const selector = stepCodec(place);
  const byName = new Map<
    unknown,
    { readonly stored: number; readonly codec: Codec<unknown>; readonly label: string }
  >();
  const byNumber = new Map<number, Codec<unknown>>();
  for (const [name, { value: stored, fields, label }] of Object.entries(cases)) {
    if (!Number.isInteger(stored) || stored < 0 || stored > place.max || byNumber.has(stored)) {
      throw definitionError(
        `case ${show(name)} needs a number of its own, 0 to ${place.max}, not ${show(stored)}`,
        place.bitsOfCvs,
      );
    }
    if (Object.hasOwn(fields, tag)) {
      throw definitionError(`case ${show(name)} has a field with the name of the tag, ${show(tag)}`);
    }
    checkNames(Object.keys(fields));
    checkOverlap({ "the discriminator": selector as Codec<unknown>, ...fields });
    const codec = fieldsCodec("case", { [tag]: constant(name), ...fields }, {}) as Codec<unknown>;
    byName.set(name, { stored, codec, label: label ?? name });
    byNumber.set(stored, codec);
  }
  if (byName.size === 0) throw definitionError("a variant needs a case", place.bitsOfCvs);

  const noCase = (found: number): CvError =>
    new CvError([
      {
        code: "stored",
        path: tag,
        places: place.bitsOfCvs,
        expected: [...byName].map(([name, { stored }]) => `${stored} ${name}`).join(", "),
        found,
      },
    ]);
  const caseOf = (value: unknown) => {
    if (typeof value !== "object" || value === null || Array.isArray(value)) {
      throw typeError(`an object with "${tag}", one of ${[...byName.keys()].join(", ")}`, value);
    }
    const name = (value as Record<string, unknown>)[tag];
    const found = byName.get(name);
    if (!found) {
      const names = [...byName.keys()].map(String);
      const absent = { code: "missing", path: tag, expected: `one of ${names.join(", ")}` } as const;
      throw new CvError([name === undefined ? absent : { ...notAnOption(name, names), path: tag }]);
    }
    return found;
  };

  return new Codec<Value, VariantInput<C, Tag>>({
    kind: "variant",
    places: [place, ...[...byName.values()].flatMap(({ codec }) => codec.places)],
    about,
    read(cvs) {
      const stored = place.read(cvs);
      const codec = byNumber.get(stored);
      if (!codec) throw noCase(stored);
      return codec.spec.read(cvs) as Value;
    },
    tryRead(cvs, report) {
      const stored = tryRead(selector, cvs, at(tag, report));
      if (stored === undefined) return undefined;
      const codec = byNumber.get(stored);
      if (codec) return readWhole(codec, cvs, report) as Value | undefined;
      report(noCase(stored).issues);
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
    tell(cvs, path) {
      const stored = tryRead(selector, cvs, () => {});
      const named = [...byName.values()].find((one) => one.stored === stored);
      if (!named) return [];
      const tagPath = joinPath(path, tag);
      const fields = tellLines(named.codec, cvs, path).filter((line) => line.path !== tagPath);
      return [{ path: tagPath, text: named.label, places: selector.bits }, ...fields];
    },
    schema: () => ({
      oneOf: Object.entries(cases).map(([name, { fields }]) =>
        fieldsSchema({ [tag]: constant(name), ...fields }, true),
      ),
    }),
    describe: () => ({
      place: place.toJSON(),
      ...(options.tag !== undefined && { tag }),
      cases: Object.fromEntries(
        Object.entries(cases).map(([name, { value, fields, label }]): [string, Json] => [
          name,
          { value, ...(label && { label }), fields: describeFields(fields) },
        ]),
      ),
    }),
  });
}

/** The number in a place, as it is. */
function stepCodec(place: Place): Codec<number> {
  return new Codec<number>({
    kind: "discriminator",
    places: [place],
    read: (cvs) => place.read(cvs),
    write: (cvs, value) => place.write(cvs, value),
  });
}

/** A field that always has the same value and lives in no CV. */
function constant(name: string): Codec<unknown> {
  return new Codec<unknown>({
    kind: "constant",
    places: [],
    read: () => name,
    write(_cvs, value) {
      if (value !== name) throw typeError(show(name), value);
    },
    schema: () => ({ const: name }),
  });
}
