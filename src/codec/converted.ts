import { CvError, show } from "../cv/issue.js";
import { notAnOption } from "./choice.js";
import {
  type About,
  type AnyCodec,
  at,
  Codec,
  checkValue,
  definitionError,
  type InputOf,
  type Json,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { issuesOf } from "./standard-schema.js";

/** A conversion by code: both ways, each the reverse of the other. */
export interface Conversion<Inner, InnerInput, Value> {
  /** From what the inner codec decodes to the value. Throws where there is none. */
  readonly decode: (inner: Inner) => Value;
  /** From a value, which may be of any type when it comes from a file, to what the inner codec encodes. */
  readonly encode: (value: Value) => InnerInput;
}

/** A conversion by a list of pairs: what the inner codec decodes, and the value that it stands for. */
export type Pairs<Inner, Value> = readonly (readonly [inner: Inner, value: Value])[];

/** A value that pairs can hold. */
export type Scalar = string | number | boolean;

/**
 * Another codec's values, said in another way: by a list of pairs, which a description in JSON can hold, or
 * by two functions. What is decoded must encode to the same again; where it does not, decoding is an
 * error, since writing it back would change the CV.
 * @param codec The inner codec.
 * @param conversion Pairs, or two functions.
 * @param about What it says of itself.
 * @throws `CvError` when a pair is not a value of the inner codec, or either side is there twice.
 * @example
 * import { converted, cv, CvSet, level } from "cvset";
 * const load = converted(level(cv(90), { max: 3 }), [[0, "empty"], [1, "half"], [3, "full"]]);
 * load.encode("full").toJSON().cvs; // { "90": 3 }
 * const tonnes = converted(level(cv(91)), { decode: (n) => n * n, encode: (t) => Math.sqrt(t) });
 * tonnes.decode(CvSet.from({ 91: 12 })); // 144
 */
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, const Value extends Scalar>(
  codec: C,
  conversion: Pairs<ValueOf<C>, Value>,
  about?: About,
): Codec<Value>;
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, Value>(
  codec: C,
  conversion: Conversion<ValueOf<C>, InputOf<C>, Value>,
  about?: About,
): Codec<Value>;
/* @__NO_SIDE_EFFECTS__ */
export function converted<C extends AnyCodec, Value>(
  codec: C,
  conversion: Pairs<ValueOf<C>, Value> | Conversion<ValueOf<C>, InputOf<C>, Value>,
  about: About = {},
): Codec<Value> {
  const pairs = "decode" in conversion ? undefined : conversion;
  const { decode, encode } = "decode" in conversion ? conversion : byPairs(codec, conversion);
  const back = (inner: ValueOf<C>): Value => {
    const value = decode(inner);
    const again: unknown = encode(value);
    // Objects cannot be compared cheaply; for those the law is the author's, and cvset/testing checks it.
    if (typeof inner !== "object" && !Object.is(again, inner)) {
      throw new CvError([
        {
          code: "stored",
          path: "",
          places: codec.bits,
          expected: `${show(value)} would be stored as ${show(again)}`,
          found: inner,
        },
      ]);
    }
    return value;
  };
  return new Codec<Value>({
    kind: "converted",
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
    write: (cvs, value, whole) => codec.spec.write(cvs, encode(value), whole),
    check(value, report, how) {
      try {
        checkValue(codec, encode(value as Value), at("", report), how);
      } catch (error) {
        report(issuesOf(error, "converted"));
      }
    },
    schema: () => (pairs ? { enum: pairs.map(([, value]) => value as Json) } : {}),
    ...(pairs && {
      text: String,
      describe: () => ({
        item: codec.describe(),
        pairs: pairs.map(([inner, value]) => [inner, value] as Json),
      }),
    }),
  });
}

function byPairs<C extends AnyCodec, Value>(
  codec: C,
  pairs: Pairs<ValueOf<C>, Value>,
): Conversion<ValueOf<C>, InputOf<C>, Value> {
  const forth = new Map(pairs);
  const back = new Map<unknown, ValueOf<C>>(pairs.map(([inner, value]) => [value, inner]));
  if (pairs.length === 0 || forth.size !== pairs.length || back.size !== pairs.length) {
    throw definitionError("pairs are needed, with each side only once", codec.bits);
  }
  for (const inner of forth.keys()) {
    const [issue] = codec.check(inner, { whole: true });
    if (issue)
      throw new CvError([
        { ...issue, expected: `a pair cannot be stored: ${issue.expected}`, code: "definition" },
      ]);
  }
  return {
    decode(inner) {
      if (!forth.has(inner)) {
        const expected = pairs.map(([stored, value]) => `${show(stored)} ${show(value)}`).join(", ");
        throw new CvError([{ code: "stored", path: "", places: codec.bits, expected, found: inner }]);
      }
      return forth.get(inner) as Value;
    },
    encode(value) {
      const inner = back.get(value);
      if (inner === undefined) throw new CvError([notAnOption(value, back.keys())]);
      return inner;
    },
  };
}
