import { isBare, mapOf, type Wanted } from "../cv/argument.js";
import { missingValue, unknownName } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { Spelling } from "../cv/nearest.js";
import {
  type AnyCodec,
  aCodec,
  at,
  bitsOf,
  type CheckOptions,
  type CodecParts,
  checkValue,
  type InputOf,
  ownedOf,
  type Report,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { type ReadUnit, readUnits } from "./units.js";

// Named settings, one codec each: what a record, a case of a variant and a decoder have in common.

const badName = /* @__PURE__ */ fault(
  "unusable-name",
  "{found} cannot be a name: it must have 1 to {most} characters, no dot, and not be a property of every object",
);
const sameBits = /* @__PURE__ */ fault("same-bits", "{first} and {second} both own the same bits");
const notSettings = /* @__PURE__ */ fault(
  "expected-settings",
  "expected an object with settings ({allowed:list}), got {found}",
);

/** Codecs by name. */
export const someCodecs: Wanted = /* @__PURE__ */ mapOf(aCodec);

/** The longest name of a setting: it stands in the path of everything within. */
export const longestName = 100;

/** Codecs by name. */
export type Fields = Readonly<Record<string, AnyCodec>>;
/** The names of the fields that are settings: what is worked out from others is none. */
export type SettingNames<F extends Fields> = {
  [K in keyof F]: F[K]["~types"]["value"] extends undefined ? never : K;
}[keyof F];
/** The decoded values of a record's fields. */
export type RecordValue<F extends Fields> = { readonly [K in SettingNames<F>]: ValueOf<F[K]> };
/** The values to encode; a field that is left out stays as it is. */
export type RecordInput<F extends Fields> = { readonly [K in SettingNames<F>]?: InputOf<F[K]> };

/** Reading and writing of named settings. */
export function fieldsParts<F extends Fields>(
  fields: F,
): Omit<CodecParts<RecordValue<F>, RecordInput<F>>, "data"> {
  const all = Object.entries<AnyCodec>(fields);
  // What is worked out from other settings is none itself.
  const known = new Map(all.filter(([, { data }]) => data.kind !== "derived"));
  const derived = new Map(all.filter(([, { data }]) => data.kind === "derived"));
  const names = Object.freeze([...known.keys()]);
  const codecs = [...known.values()];
  const within = all.flatMap(([name, { spec }]) =>
    spec.derivations ? [[name, spec.derivations] as const] : [],
  );
  const writers = new Map(names.map((name, i) => [name, (codecs[i] as AnyCodec).spec.write]));
  let readers: readonly ReadUnit[] | undefined;

  return {
    places: all.flatMap(([, codec]) => codec.places),
    ...(within[0] && { derivations: within[0][1].joined(within) }),
    read(cvs) {
      readers ??= readUnits(
        names,
        codecs.map(({ spec }) => spec.read),
      );
      const value = (readers[0] as ReadUnit)(cvs);
      for (let i = 1; i < readers.length; i++) (readers[i] as ReadUnit)(cvs, value);
      if (derived.size) for (const { spec } of derived.values()) spec.read(cvs);
      return value as RecordValue<F>;
    },
    tryRead(cvs, report) {
      const value: Record<string, unknown> = {};
      for (const [name, codec] of known) {
        const field = tryRead(codec, cvs, at(name, report));
        if (field !== undefined) value[name] = field;
      }
      for (const [name, codec] of derived) tryRead(codec, cvs, at(name, report));
      // The fields that can be read; the issues name the others.
      return value as RecordValue<F>;
    },
    write(cvs, value, whole) {
      if (!isObject(value)) throw new CvError([notSettings({ found: value, allowed: names })]);
      const isPlain = isBare(value);
      let written = 0;
      let others = 0;
      // V8 reads what it enumerates several times faster than by a name out of a list.
      const given: Record<string, unknown> = isPlain ? value : withInherited(value, names);
      for (const name in given) {
        const field = given[name];
        const write = writers.get(name);
        if (!write) others++;
        else if (field !== undefined) {
          write(cvs, field, whole);
          written++;
        }
      }
      if (others || !isPlain || (whole && written !== names.length)) {
        const issues = nameIssues(value, known, derived, whole);
        if (issues.length) throw new CvError(issues);
      }
    },
    check: (value, report, options) => checkFields(value, known, derived, report, options),
  };
}

/** The fields of an object of a class, which may inherit them. */
function withInherited(value: Readonly<Record<string, unknown>>, names: readonly string[]) {
  return Object.fromEntries(names.map((name) => [name, value[name]]));
}

/** Reports everything that is wrong with an object of settings. */
function checkFields(
  value: unknown,
  known: ReadonlyMap<string, AnyCodec>,
  derived: ReadonlyMap<string, AnyCodec>,
  report: Report,
  options: CheckOptions,
): void {
  if (!isObject(value)) {
    report([notSettings({ found: value, allowed: [...known.keys()] })]);
    return;
  }
  const issues = nameIssues(value, known, derived, options.whole ?? false);
  if (issues.length) report(issues);
  for (const [name, codec] of known) {
    const field = value[name];
    if (field !== undefined) checkValue(codec, field, at(name, report), options);
  }
}

/** Settings that do not exist, those that are missing, or an object that cannot be meant as settings. */
function nameIssues(
  value: Readonly<Record<string, unknown>>,
  known: ReadonlyMap<string, unknown>,
  derived: ReadonlyMap<string, AnyCodec>,
  whole: boolean,
): Issue[] {
  const names = [...known.keys()];
  const given = Object.keys(value);
  // A date or a Map without any setting is a mistake; a class instance with settings is not.
  if (!isBare(value) && given.length === 0 && names.every((name) => value[name] === undefined)) {
    return [notSettings({ found: value, allowed: names })];
  }
  const issues = new IssueList();
  const spelling = new Spelling();
  for (const found of given) {
    if (known.has(found)) continue;
    const workedOut = derived.get(found)?.spec.derivations?.list[0];
    if (workedOut) {
      if (value[found] !== undefined) issues.add(workedOut.given(value[found], found));
      continue;
    }
    const nearest = spelling.nearest(found, () => names);
    issues.add(unknownName({ found, allowed: names, nearest }, { path: found || '""' }));
  }
  if (whole) {
    for (const path of names) if (value[path] === undefined) issues.add(missingValue({}, { path }));
  }
  return issues.done();
}

/** Refuses names that a path or a JSON file could not carry. */
export function checkNames(names: readonly string[]): void {
  // A name that every object has could not be told from one that is left out.
  const issues = new IssueList();
  for (const found of names) {
    const isUsable =
      found !== "" &&
      [...found.slice(0, 2 * longestName + 1)].length <= longestName &&
      !found.includes(".") &&
      !(found in Object.prototype);
    if (!isUsable) issues.add(badName({ found, most: longestName }));
  }
  if (issues.some) throw new CvError(issues.done());
}

/** Refuses codecs that own the same bit, with both names: each clashes with the first that owns the bit. */
export function checkOverlap(fields: Fields): void {
  const owners = new Map<number, string>();
  const issues = new IssueList();
  for (const [second, codec] of Object.entries(fields)) {
    const clashes = new Map<string, Map<number, number>>();
    for (const [key, mask] of ownedOf(codec)) {
      for (let bit = 0; bit < 8; bit++) {
        if (!(mask & (1 << bit))) continue;
        const first = owners.get(key * 8 + bit);
        if (first === undefined) {
          owners.set(key * 8 + bit, second);
          continue;
        }
        const masks = clashes.get(first) ?? new Map<number, number>();
        clashes.set(first, masks.set(key, (masks.get(key) ?? 0) | (1 << bit)));
      }
    }
    for (const [first, masks] of clashes) issues.add(sameBits({ first, second }, { places: bitsOf(masks) }));
  }
  if (issues.some) throw new CvError(issues.done());
}

/** Whether a value is an object and not a list. */
export function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
