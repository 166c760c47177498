import { type BitsOfCv, CvError, joinPath, nearestNames, show } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import {
  type About,
  type AnyCodec,
  at,
  Codec,
  checkValue,
  definitionError,
  type InputOf,
  type Json,
  type Line,
  tellLines,
  tryRead,
  typeError,
  type ValueOf,
} from "./codec.js";
import { issuesOf } from "./standard-schema.js";
import { type ReadUnit, readUnits, writeUnits } from "./unit.js";

/** Codecs by name. */
export type Fields = Readonly<Record<string, AnyCodec>>;
/** The decoded values of a record's fields. */
export type RecordValue<F extends Fields> = { readonly [K in keyof F]: ValueOf<F[K]> };
/** The values to encode; a field that is left out stays as it is. */
export type RecordInput<F extends Fields> = { readonly [K in keyof F]?: InputOf<F[K]> };

/**
 * Several settings under one name. On encoding, a field that is left out stays as it is.
 * @param fields The codec of each.
 * @param about What it says of itself.
 * @throws `CvError` when two fields own the same bit, or a name is empty, has a dot or is a property of every object.
 * @example
 * import { choice, cv, CvSet, flag, record } from "cvset";
 * const front = record({
 *   effect: choice(cv(171).bits(0, 4), { steady: 0, flicker: 5 }),
 *   ledCorrection: flag(cv(171).bit(7)),
 * });
 * front.decode(CvSet.from({ 171: 133 })); // { effect: "flicker", ledCorrection: true }
 * front.encode({ ledCorrection: false }).toJSON().bits; // [{ "cv": "171", "mask": 128, "value": 0 }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function record<const F extends Fields>(
  fields: F,
  about: About = {},
): Codec<RecordValue<F>, RecordInput<F>> {
  checkNames(Object.keys(fields));
  checkOverlap(fields);
  return fieldsCodec("record", fields, about);
}

/** The codec of named fields; a decoder is one of these too. */
export function fieldsCodec<F extends Fields>(
  kind: string,
  fields: F,
  about: About,
): Codec<RecordValue<F>, RecordInput<F>> {
  const names = Object.keys(fields);
  const codecs = names.map((name) => fields[name] as AnyCodec);
  const known = new Map(names.map((name, i) => [name, codecs[i] as AnyCodec]));
  const readers = readUnits(
    names,
    codecs.map(({ spec }) => spec.read),
  );
  const [firstReader = () => ({})] = readers;
  const writers = writeUnits(
    names,
    codecs.map(({ spec }) => spec.write),
  );
  const count = names.length;

  return new Codec<RecordValue<F>, RecordInput<F>>({
    kind,
    places: codecs.flatMap((codec) => codec.places),
    about,
    read(cvs) {
      const value = firstReader(cvs);
      for (let i = 1; i < readers.length; i++) (readers[i] as ReadUnit)(cvs, value);
      return value as RecordValue<F>;
    },
    tryRead(cvs, report) {
      const value: Record<string, unknown> = {};
      for (const [name, codec] of known) {
        const field = tryRead(codec, cvs, at(name, report));
        if (field !== undefined) value[name] = field;
      }
      // What could be read is more use than nothing; that something is missing, the issues say.
      return value as RecordValue<F>;
    },
    write(cvs, value, whole) {
      if (!isPlainObject(value)) throw typeError(settingsOf(names), value);
      let written = 0;
      for (let i = 0; i < writers.length; i++)
        written += (writers[i] as (typeof writers)[0])(cvs, value, whole);
      let given = 0;
      for (const _ in value) given++;
      if (given !== written || !isBare(value)) {
        // What an object of a class inherits is read, but not counted.
        rejectOthers(value, known);
        if (!isSettings(value, names)) throw typeError(settingsOf(names), value);
      }
      if (whole && written !== count) rejectMissing(value, names);
    },
    check(value, report, options) {
      if (!isPlainObject(value) || !isSettings(value, names)) {
        report([{ code: "type", path: "", expected: settingsOf(names), found: value }]);
        return;
      }
      for (const rejects of [
        () => rejectOthers(value, known),
        () => options.whole && rejectMissing(value, names),
      ]) {
        try {
          rejects();
        } catch (error) {
          report(issuesOf(error, kind));
        }
      }
      for (const [name, codec] of known) {
        if (value[name] !== undefined) checkValue(codec, value[name], at(name, report), options);
      }
    },
    tell: (cvs, path): Line[] =>
      [...known].flatMap(([name, codec]) => tellLines(codec, cvs, joinPath(path, name))),
    schema: (whole) => fieldsSchema(fields, whole),
    describe: () => ({ fields: describeFields(fields) }),
  });
}

/** Refuses names that a path or a JSON file could not carry. */
export function checkNames(names: readonly string[]): void {
  // A name that every object has could not be told from one that is left out.
  const bad = names.filter((name) => name === "" || name.includes(".") || name in Object.prototype);
  if (bad.length) {
    throw definitionError(
      `${bad.map(show).join(", ")} cannot be a name: it must not be empty, have a dot or be a property of every object`,
    );
  }
}

/** Refuses codecs that own the same bit, with both names. */
export function checkOverlap(fields: Fields): void {
  const owners = new Map<number, { readonly name: string; readonly mask: number }[]>();
  const clashes = new Map<string, BitsOfCv[]>();
  for (const [name, codec] of Object.entries(fields)) {
    for (const [key, mask] of codec.owned) {
      const others = owners.get(key) ?? [];
      for (const other of others) {
        const shared = other.mask & mask;
        if (!shared) continue;
        const pair = `${show(other.name)} and ${show(name)} both own the same bits`;
        clashes.set(pair, [...(clashes.get(pair) ?? []), { cv: nameOf(key), mask: shared }]);
      }
      owners.set(key, [...others, { name, mask }]);
    }
  }
  if (clashes.size === 0) return;
  throw new CvError(
    [...clashes].map(([expected, places]) => ({ code: "definition", path: "", expected, places })),
  );
}

/** The JSON Schema of an object with these fields; `whole` makes every field required. */
export function fieldsSchema(fields: Fields, whole = false): { readonly [key: string]: Json } {
  return {
    type: "object",
    properties: Object.fromEntries(
      Object.entries(fields).map(([name, codec]) => [name, codec.schema(whole)]),
    ),
    ...(whole && { required: Object.keys(fields) }),
    additionalProperties: false,
  };
}

/** Fields as a decoder description in JSON writes them. */
export function describeFields(fields: Fields): { readonly [key: string]: Json } {
  return Object.fromEntries(
    Object.entries(fields).map(([name, codec]) => {
      try {
        return [name, codec.describe()];
      } catch (error) {
        if (!(error instanceof CvError)) throw error;
        throw new CvError(error.issues.map((issue) => ({ ...issue, path: joinPath(name, issue.path) })));
      }
    }),
  );
}

function isPlainObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** Whether an object is of no class; a frame or worker has an Object.prototype of its own. */
function isBare(value: object): boolean {
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null || Object.getPrototypeOf(prototype) === null;
}

/** Whether an object can be meant as settings: a date or a Map without any of them is a mistake. */
function isSettings(value: Readonly<Record<string, unknown>>, names: readonly string[]): boolean {
  return isBare(value) || Object.keys(value).length > 0 || names.some((name) => value[name] !== undefined);
}

function settingsOf(names: readonly string[]): string {
  const some = names.length > 8 ? [...names.slice(0, 8), "..."] : names;
  return `an object with settings (${some.join(", ")})`;
}

function rejectOthers(value: Readonly<Record<string, unknown>>, known: ReadonlyMap<string, unknown>): void {
  const others = Object.keys(value).filter((name) => !known.has(name));
  if (others.length === 0) return;
  throw new CvError(
    others.map((name, i) => {
      // A file with thousands of them has another trouble than spelling.
      const nearest = i < 20 ? nearestNames(name, known.keys()) : [];
      return {
        code: "name",
        path: name,
        expected: [...known.keys()].join(", "),
        found: name,
        ...(nearest.length && { nearest }),
      };
    }),
  );
}

function rejectMissing(value: Readonly<Record<string, unknown>>, names: readonly string[]): void {
  const missing = names.filter((name) => value[name] === undefined);
  if (missing.length === 0) return;
  throw new CvError(missing.map((name) => ({ code: "missing", path: name, expected: "a value" })));
}
