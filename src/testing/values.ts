import fc, { type Arbitrary } from "fast-check";
import type { AnyCodec, Json } from "../codec/codec.js";
import { CvSet } from "../cv/cvset.js";
import { joinPath } from "../cv/issue.js";
import { codecOf, ownedBits, type Source, type ValueOfSource, zeros } from "./source.js";

/** What {@link valuesOf} cannot know by itself. */
export interface ValuesOptions {
  /** Values by path, for codecs that do not say what theirs look like: `{ "front.ratio": fc.constant([1, 2]) }`. */
  readonly at?: Readonly<Record<string, Arbitrary<unknown>>>;
}

type Schema = Readonly<Record<string, Json>>;

const enumerable = 16;

/**
 * An arbitrary of valid values of a codec, or of complete settings of a decoder. They are made from the
 * JSON Schema that every codec gives; a codec without one is tried with all patterns of its bits, when
 * those are 16 at most.
 * @param source A codec or a decoder.
 * @param options Values for the parts that say too little of themselves.
 * @throws Error when a codec of more than 16 bits has no schema and no values were given for it.
 * @example
 * import fc from "fast-check";
 * import { choice, cv } from "cvset";
 * import { valuesOf } from "cvset/testing";
 * const firing = choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 });
 * new Set(fc.sample(valuesOf(firing), 100)).size; // 3
 */
export function valuesOf<S extends Source>(
  source: S,
  options: ValuesOptions = {},
): Arbitrary<ValueOfSource<S>> {
  const codec = codecOf(source);
  const given = options.at?.[""];
  if (given) return given as Arbitrary<ValueOfSource<S>>;
  const opaque: string[] = [];
  const drawn = fromSchema(codec.schema(true) as Schema, "", options.at ?? {}, opaque);
  if (opaque.length === 0) {
    const base = zeros(codec);
    return drawn
      .map((value) => onStep(codec, value, base))
      .filter((value) => value !== undefined) as Arbitrary<ValueOfSource<S>>;
  }
  if (ownedBits(codec) > enumerable) {
    const paths = opaque.map((path) => JSON.stringify(path)).join(", ");
    throw new Error(
      `a codec of kind "${codec.kind}" does not say what its values are; give an arbitrary in "at" for ${paths}`,
    );
  }
  const values = everyValue(codec);
  if (values.length === 0) throw new Error(`no bits of a codec of kind "${codec.kind}" stand for a value`);
  return fc.constantFrom(...values) as Arbitrary<ValueOfSource<S>>;
}

/** The value itself when it can be stored; else the nearest that can; undefined when there is none. */
function onStep(codec: AnyCodec, value: unknown, base: CvSet): unknown {
  if (codec.check(value, { whole: true }).length === 0) return value;
  const patch = codec.tryEncode(value, { nearest: true });
  if (!patch.ok) return undefined;
  const result = codec.tryDecode(base.apply(patch.value));
  return result.ok ? result.value : undefined;
}

/** What each pattern of a codec's bits stands for, where it stands for anything. */
function everyValue(codec: AnyCodec): unknown[] {
  const values: unknown[] = [];
  for (const cvs of everySet(codec)) {
    const result = codec.tryDecode(cvs);
    if (result.ok) values.push(result.value);
  }
  return values;
}

/** A CV set for each pattern of a codec's bits; all other bits are 0. */
export function* everySet(codec: AnyCodec): Generator<CvSet, void> {
  const bits = codec.bits.flatMap(({ cv, mask }) =>
    [0, 1, 2, 3, 4, 5, 6, 7].filter((bit) => mask & (1 << bit)).map((bit) => [cv, 1 << bit] as const),
  );
  for (let pattern = 0; pattern < 2 ** bits.length; pattern++) {
    const bytes = new Map(codec.bits.map(({ cv }) => [cv, 0]));
    bits.forEach(([cv, bit], i) => {
      if (pattern & (1 << i)) bytes.set(cv, (bytes.get(cv) ?? 0) | bit);
    });
    yield CvSet.from(bytes);
  }
}

function fromSchema(
  schema: Schema,
  path: string,
  at: Readonly<Record<string, Arbitrary<unknown>>>,
  opaque: string[],
): Arbitrary<unknown> {
  const given = at[path];
  if (given) return given;
  const inner = (one: Json | undefined, step = ""): Arbitrary<unknown> =>
    fromSchema(one as Schema, joinPath(path, step), at, opaque);
  if ("const" in schema) return fc.constant(schema["const"]);
  const options = schema["enum"] as readonly Json[] | undefined;
  if (options) return fc.constantFrom(...options);
  const either = (schema["anyOf"] ?? schema["oneOf"]) as readonly Json[] | undefined;
  if (either) return fc.oneof(...either.map((one) => inner(one)));
  const { minimum: min, maximum: max } = schema as { minimum?: number; maximum?: number };
  switch (schema["type"]) {
    case "boolean":
      return fc.boolean();
    case "integer":
      return fc.integer({ ...(min !== undefined && { min }), ...(max !== undefined && { max }) });
    case "number":
      return between(min, max);
    case "string":
      return fc.string({ unit: "grapheme-ascii", maxLength: (schema["maxLength"] as number) ?? 20 });
    case "array":
      return arrayFrom(schema, inner);
    case "object":
      return objectFrom(schema, inner);
    default:
      opaque.push(path);
      return fc.constant(undefined);
  }
}

/** Numbers from end to end, in 12 digits and without -0, since that is how decoded numbers come. */
function between(min = -1e6, max = 1e6): Arbitrary<number> {
  const parts = 1 << 16;
  return fc
    .integer({ min: 0, max: parts })
    .map((part) => (part === parts ? max : Number((min + ((max - min) * part) / parts).toPrecision(12)) + 0));
}

type Inner = (schema: Json | undefined, step?: string) => Arbitrary<unknown>;

function arrayFrom(schema: Schema, inner: Inner): Arbitrary<unknown> {
  const { items, minItems = 0, maxItems = 8, uniqueItems } = schema;
  const names = (items as Schema | undefined)?.["enum"] as readonly Json[] | undefined;
  // In the order of the schema, which is the order in which they are decoded.
  if (uniqueItems && names) return fc.subarray([...names]);
  return fc.array(inner(items, "0"), { minLength: minItems as number, maxLength: maxItems as number });
}

function objectFrom(schema: Schema, inner: Inner): Arbitrary<unknown> {
  const fields = Object.entries((schema["properties"] ?? {}) as Schema);
  return fc.record(Object.fromEntries(fields.map(([name, field]) => [name, inner(field, name)])), {
    noNullPrototype: true,
  });
}
