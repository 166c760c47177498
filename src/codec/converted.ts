import { aFunction, aList, isBare, listOf, need, objectOf } from "../cv/argument.js";
import { CvSet } from "../cv/cvset.js";
import { CvError, fault } from "../cv/issue.js";
import { show } from "../cv/show.js";
import { optionIssue } from "./choice.js";
import {
  type About,
  type AnyCodec,
  aCodec,
  anAbout,
  Codec,
  checkIssues,
  checkValue,
  type InputOf,
  issuesOf,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { clean } from "./scale.js";

const storedOtherwise = /* @__PURE__ */ fault(
  "stored-not-reversible",
  "{found} stands for {value:value}, which would be stored as {again:value}",
);
const readOtherwise = /* @__PURE__ */ fault(
  "not-reversible",
  "{found} would be stored as {inner:value}, which stands for {again:value}",
);
const badPairs = /* @__PURE__ */ fault("pairs", "pairs are needed, with each side only once");
const badPair = /* @__PURE__ */ fault("pair-value", "the pair of {found} cannot be stored");
const pairChanges = /* @__PURE__ */ fault(
  "pair-not-reversible",
  "{found} of a pair would be read back as {again:value}",
);
const noPair = /* @__PURE__ */ fault(
  "stored-pair",
  "no pair has the stored value {found}; the pairs are {pairs:list}",
);

const somePairs = /* @__PURE__ */ listOf(aList);
const twoWays = /* @__PURE__ */ objectOf({ decode: aFunction, encode: aFunction });

type Conversion<Inner, InnerInput, Value> = {
  readonly decode: (inner: Inner) => Value;
  readonly encode: (value: Value) => InnerInput;
};
type Pairs<Inner, Value> = readonly (readonly [inner: Inner, value: Value])[];

/**
 * Another codec's values in another form: by a list of pairs, which a description in JSON can hold, or by two
 * functions. What is decoded must encode to the same again, and what is encoded must decode to the same; where
 * it does not, it is an error, since a value would change on its way there and back.
 * @param codec The inner codec.
 * @param conversion Pairs of an inner value and the value that it stands for; or two functions, each the reverse of
 *   the other: `decode` from an inner value, `encode` back to it. Both throw where there is no value; what `encode`
 *   is given may be of any type, since it can come from a file.
 * @param about Label, note, meaning, source.
 * @throws `CvError` when a pair is not a value of the inner codec, or either side is there twice.
 * @example
 * import { converted, cv, CvSet, level } from "cvset";
 * const load = converted(level(cv(90), { max: 3 }), [[0, "empty"], [1, "half"], [3, "full"]]);
 * load.encode("full").toJSON().cvs; // { "90": 3 }
 * const tonnes = converted(level(cv(91)), { decode: (n) => n * n, encode: (t) => Math.sqrt(t) });
 * tonnes.decode(CvSet.from({ 91: 12 })); // 144
 */
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, const Value extends string | number | boolean>(
  codec: C,
  conversion: readonly (readonly [inner: ValueOf<C>, value: Value])[],
  about?: About,
): Codec<Value>;
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, Value>(
  codec: C,
  conversion: {
    readonly decode: (inner: ValueOf<C>) => Value;
    readonly encode: (value: Value) => InputOf<C>;
  },
  about?: About,
): Codec<Value>;
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, Value>(
  codec: C,
  conversion: Pairs<ValueOf<C>, Value> | Conversion<ValueOf<C>, InputOf<C>, Value>,
  about: About = {},
): Codec<Value> {
  need(aCodec, codec, "codec");
  need(Array.isArray(conversion) ? somePairs : twoWays, conversion, "conversion");
  need(anAbout, about, "about");
  codec.spec.derivations?.refuse("converted");
  // A copy: the caller may change the list afterwards.
  const pairs = "decode" in conversion ? undefined : frozenPairs(conversion);
  const { decode, encode } = "decode" in conversion ? conversion : byPairs(codec, pairs ?? []);
  const where = { places: codec.bits };
  const back = (inner: ValueOf<C>): Value => {
    const value = decode(inner);
    const again: unknown = encode(value);
    if (!same(again, inner)) throw new CvError([storedOtherwise({ found: inner, value, again }, where)]);
    return value;
  };
  const checkBack = (value: Value, inner: InputOf<C>, nearest: boolean): void => {
    // Of pairs each side is there only once.
    if (pairs) return;
    const again: unknown = decode(inner as ValueOf<C>);
    if (!same(value, again, nearest)) throw new CvError([readOtherwise({ found: value, inner, again })]);
  };
  return new Codec<Value>({
    data: { kind: "converted", item: codec, ...(pairs && { pairs }) },
    places: codec.places,
    about,
    read: (cvs) => back(codec.spec.read(cvs) as ValueOf<C>),
    tryRead(cvs, report) {
      let failed = false;
      const inner = tryRead(codec, cvs, (issues, path) => {
        failed = true;
        report(issues, path);
      }) as ValueOf<C>;
      if (failed) return undefined;
      try {
        return back(inner);
      } catch (error) {
        report(issuesOf(error, "converted"));
        return undefined;
      }
    },
    write(cvs, value, whole) {
      const inner = encode(value);
      codec.spec.write(cvs, inner, whole);
      checkBack(value, inner, cvs.nearest);
    },
    check(value, report, how) {
      try {
        const inner = encode(value as Value);
        let failed = false;
        checkValue(
          codec,
          inner,
          (issues, path) => {
            failed = true;
            report(issues, path);
          },
          how,
        );
        if (!failed) checkBack(value as Value, inner, how.nearest ?? false);
      } catch (error) {
        report(issuesOf(error, "converted"));
      }
    },
  });
}

/**
 * Whether what is to be encoded is what is decoded; a key that is left out is left as it is.
 * @param nearest Numbers may differ: they are stored as the nearest step.
 */
function same(input: unknown, value: unknown, nearest = false): boolean {
  if (typeof input === "number" && typeof value === "number") {
    return nearest || Object.is(input, value) || clean(input) === clean(value);
  }
  if (typeof input !== "object" || typeof value !== "object" || input === null || value === null) {
    return Object.is(input, value);
  }
  if (Array.isArray(input) || Array.isArray(value)) {
    if (!Array.isArray(input) || !Array.isArray(value) || input.length !== value.length) return false;
    return value.every((one, i) => same(input[i], one, nearest));
  }
  if (!isBare(value)) return sameObjects(input, value, nearest);
  // An object of a class may inherit what it holds, but a number in an object is not a number, and a list not an object.
  const given = isBare(input) ? input : pick(input, Object.keys(value));
  if (given !== input && Object.values(given).every((one) => one === undefined)) return false;
  return sameEntries(given, value, nearest);
}

/** Whether an object is what was decoded to an object of a class, such as a Date. */
function sameObjects(input: object, value: object, nearest: boolean): boolean {
  // What a file holds has no class.
  if (isBare(input)) return Object.keys(input).length > 0 && sameEntries(input, value, nearest);
  if (Object.getPrototypeOf(input) !== Object.getPrototypeOf(value)) return false;
  const [one, other]: unknown[] = [input.valueOf(), value.valueOf()];
  if (one !== input || other !== value) return same(one, other, nearest);
  if (Symbol.iterator in input && Symbol.iterator in value) {
    const lists = [input, value].map((items) => Array.from(items as Iterable<unknown>));
    if (!same(lists[0], lists[1], nearest)) return false;
  }
  return sameEntries(input, value, nearest);
}

function sameEntries(input: object, value: object, nearest: boolean): boolean {
  return Object.entries(input).every(
    ([key, one]) => one === undefined || same(one, (value as Record<string, unknown>)[key], nearest),
  );
}

function pick(from: object, names: readonly string[]): Record<string, unknown> {
  return Object.fromEntries(names.map((name) => [name, (from as Record<string, unknown>)[name]]));
}

function frozenPairs<Inner, Value>(pairs: Pairs<Inner, Value>): Pairs<Inner, Value> {
  return Object.freeze(pairs.map(([inner, value]) => Object.freeze([inner, value] as const)));
}

function byPairs<C extends AnyCodec, Value>(
  codec: C,
  pairs: Pairs<ValueOf<C>, Value>,
): Conversion<ValueOf<C>, InputOf<C>, Value> {
  const forth = new Map(pairs);
  const back = new Map<unknown, ValueOf<C>>(pairs.map(([inner, value]) => [value, inner]));
  const where = { places: codec.bits };
  if (pairs.length === 0 || forth.size !== pairs.length || back.size !== pairs.length) {
    throw new CvError([badPairs({}, where)]);
  }
  const blank = CvSet.from(codec.bits.map(({ cv }): [string, number] => [cv, 0]));
  for (const inner of forth.keys()) {
    const issues = checkIssues(codec, inner, { whole: true });
    if (issues.length) throw new CvError([badPair({ found: inner }, where), ...issues]);
    // What is stored inexactly would be another value; lists and objects are compared by identity.
    const again = codec.decode(blank.apply(codec.encode(inner as InputOf<C>)));
    if (again !== inner) throw new CvError([pairChanges({ found: inner, again }, where)]);
  }
  return {
    decode(inner) {
      if (!forth.has(inner)) {
        const known = pairs.map(([stored, value]) => `${show(stored)} ${show(value)}`);
        throw new CvError([noPair({ found: inner, pairs: known }, where)]);
      }
      return forth.get(inner) as Value;
    },
    encode(value) {
      const inner = back.get(value);
      if (inner === undefined) throw new CvError([optionIssue(value, back.keys())]);
      return inner;
    },
  };
}
