import fc, { type Arbitrary } from "fast-check";
import type { AnyCodec } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import type { Scale } from "../codec/scale.js";
import { needIn } from "../cv/argument.js";
import { joinPath } from "../cv/issue.js";
import { schemaOf } from "../decoder/schema.js";
import { fromSchema, isOf } from "./from-schema.js";
import { codecOf, everySet, ofValues, ownedBits, type Source, setWith } from "./source.js";

/** Options of {@link valuesOf}. */
export interface ValuesOptions {
  /** Values by path, for codecs that hold code: `{ "front.ratio": fc.constant([1, 2]) }`. */
  readonly at?: Readonly<Record<string, Arbitrary<unknown>>>;
  /** Leave out any of the features of a decoder, or of the fields of a record. */
  readonly partial?: boolean;
}

/**
 * An arbitrary of valid values of a codec, or of settings of a decoder: complete ones, or with `partial`
 * such as people write them, in which any feature may be left out. A codec that holds code is tried with
 * patterns of its bits, then with values of its schema, of which `pattern`, `minLength` and `maxLength` are followed.
 * @param source A codec or a decoder.
 * @param options Values by path; whether the settings are partial.
 * @throws Error when no way to values of a codec that holds code works, and none are given for it: with the
 *   reason, and what to give.
 * @example
 * import fc from "fast-check";
 * import { choice, cv, defineDecoder } from "cvset";
 * import { valuesOf } from "cvset/testing";
 * const fuel = choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 });
 * new Set(fc.sample(valuesOf(fuel), 100)).size; // 3
 * const decoder = defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features: { fuel } });
 * const some = fc.sample(valuesOf(decoder, { partial: true }), 100);
 * new Set(some.map((settings) => settings.fuel)).size; // 4
 */
export function valuesOf<S extends Source>(
  source: S,
  options: ValuesOptions & { readonly partial: true },
): Arbitrary<S["~types"]["input"]>;
export function valuesOf<S extends Source>(
  source: S,
  options?: ValuesOptions,
): Arbitrary<S["~types"]["value"]>;
export function valuesOf(source: Source, options: ValuesOptions = {}): Arbitrary<unknown> {
  needIn(ofValues, options, "options");
  const { at = {}, partial = false } = options;
  const codec = codecOf(source);
  if (partial && codec.data.kind === "record") return object(codec.data.fields, "", at, { requiredKeys: [] });
  return values(codec, "", at);
}

type At = Readonly<Record<string, Arbitrary<unknown>>>;

/** The most bits of which all patterns are tried; fewer where there is another way to values. */
const mostTried = { alone: 16, otherwise: 12 };
/** The most numbers of a level that are listed one by one. */
const mostListed = 4096;

function values(codec: AnyCodec, path: string, at: At): Arbitrary<unknown> {
  const given = at[path];
  if (given) return given;
  const { data } = codec;
  switch (data.kind) {
    case "flag":
      return fc.boolean();
    case "choice":
      return fc.constantFrom(...Object.keys(data.options));
    case "level":
      return amounts(data.scale, data.names);
    case "flags":
      // In the order of the bits, which is the order in which they are decoded.
      return fc.subarray(data.names.filter((name) => name !== null));
    case "text":
      return texts(data);
    case "table": {
      const length = data.run.places.length;
      return fc.array(amounts(data.scale), { minLength: length, maxLength: length });
    }
    case "record":
      return object(data.fields, path, at);
    case "variant":
      return fc.oneof(
        ...Object.entries(data.cases).map(([name, { fields }]) =>
          object(fields, path, at).map((others) => ({ [data.tag]: name, ...others })),
        ),
      );
    case "switched":
      return fc.oneof(fc.constant("off"), values(data.item, path, at));
    case "converted":
      return data.pairs
        ? fc.constantFrom(...data.pairs.map(([, value]) => value))
        : decodable(codec, path, at);
    case "derived":
      // It is no setting.
      return fc.constant(undefined);
    case "custom":
      return decodable(codec, path, at);
  }
}

function object(
  fields: Fields,
  path: string,
  at: At,
  options: { readonly requiredKeys?: [] } = {},
): Arbitrary<Record<string, unknown>> {
  const given = Object.entries(fields).filter(([, { data }]) => data.kind !== "derived");
  const each = given.map(([name, codec]) => [name, values(codec, joinPath(path, name), at)]);
  return fc.record(Object.fromEntries(each), { ...options, noNullPrototype: true });
}

/** The values of the stored numbers in range, and the names of others. */
function amounts(scale: Scale, names: Readonly<Record<string, number>> = {}): Arbitrary<number | string> {
  const ends = [scale.exactly(scale.min) ?? 0, scale.exactly(scale.max) ?? 0];
  const [first, last] = [Math.min(...ends), Math.max(...ends)];
  const named = new Set(Object.values(names));
  const arbitraries: Arbitrary<number | string>[] = [];
  if (last - first < mostListed) {
    const listed = Array.from({ length: last - first + 1 }, (_, i) => first + i);
    const stored = listed.filter((number) => !named.has(number)).map((number) => scale.valueOf(number));
    if (stored.length) arbitraries.push(fc.constantFrom(...stored));
  } else {
    // A number with a name is written by it; of those that follow, one has none.
    const stored = fc.integer({ min: first, max: last }).map((number) => {
      let free = number;
      while (named.has(free)) free = free < last ? free + 1 : first;
      return free;
    });
    if (named.size <= last - first) arbitraries.push(stored.map((number) => scale.valueOf(number)));
  }
  if (named.size) arbitraries.push(fc.constantFrom(...Object.keys(names)));
  return fc.oneof(...arbitraries);
}

function texts({ run, pad }: Extract<CodecData, { readonly kind: "text" }>): Arbitrary<string> {
  const fill = String.fromCharCode(pad);
  return fc.string({ unit: "grapheme-ascii", maxLength: run.places.length }).map((text) => {
    let end = text.length;
    while (text[end - 1] === fill) end--;
    return text.slice(0, end);
  });
}

/** What a try at a value gave: it can be encoded, or not. */
type Tried = { readonly ok: true; readonly value: unknown } | { readonly ok: false };

/** How many tries tell whether a way of making values is good, and how many of them must be. */
const tries = 300;
// A twentieth of the tries.
const enough = 15;

/**
 * The values of a codec that holds code: what all patterns of its bits decode to where they are few, else what random
 * ones do; else values of the codec that it is around, or of its schema.
 */
function decodable(codec: AnyCodec, path: string, at: At): Arbitrary<unknown> {
  const { data, spec } = codec;
  const hasOtherWay = spec.schema !== undefined || (data.kind === "custom" && data.item !== undefined);
  if (ownedBits(codec) <= (hasOtherWay ? mostTried.otherwise : mostTried.alone)) {
    const decoded = allValues(codec);
    if (decoded.length) return fc.constantFrom(...decoded);
    throw new Error(`no bits of a codec of kind "${codec.kind}" stand for a value`);
  }
  const reasons: string[] = [];
  for (const way of [fromBits, fromItem, fromItsSchema]) {
    try {
      const tried = way(codec, path, at);
      const good = tried && goodOnes(tried);
      if (good) return bounded(tried, good);
      if (tried && way === fromItsSchema)
        reasons.push("hardly any value that its schema allows can be encoded");
    } catch (error) {
      reasons.push(error instanceof Error ? error.message : String(error));
    }
  }
  const why = reasons.map((reason) => `; ${reason}`).join("");
  throw new Error(
    `hardly any bits of a codec of kind "${codec.kind}" stand for a value${why}; give an arbitrary in "at" for ${JSON.stringify(path)}, such as { at: { ${JSON.stringify(path)}: fc.constantFrom(...) } }`,
  );
}

// A decoder's laws ask for them again and again.
const remembered = new WeakMap<AnyCodec, readonly unknown[]>();

/** What all patterns of the bits of a codec decode to. */
function allValues(codec: AnyCodec): readonly unknown[] {
  let all = remembered.get(codec);
  if (!all) {
    const results = [...everySet(codec)].map((cvs) => codec.tryDecode(cvs));
    remembered.set(codec, (all = results.flatMap((result) => (result.ok ? [result.value] : []))));
  }
  return all;
}

function fromBits(codec: AnyCodec): Arbitrary<Tried> {
  const count = ownedBits(codec);
  return fc.array(fc.nat({ max: 1 }), { minLength: count, maxLength: count, size: "max" }).map((bits) => {
    let next = 0;
    return codec.tryDecode(setWith(codec, () => bits[next++] ?? 0)) as Tried;
  });
}

function fromItem(codec: AnyCodec, path: string, at: At): Arbitrary<Tried> | undefined {
  if (codec.data.kind !== "custom" || !codec.data.item) return undefined;
  return values(codec.data.item, path, at).map((value): Tried => ({ ok: codec.tryEncode(value).ok, value }));
}

function fromItsSchema(codec: AnyCodec): Arbitrary<Tried> | undefined {
  if (!codec.spec.schema) return undefined;
  const schema = schemaOf(codec, true);
  return fromSchema(schema).map(
    (value): Tried => ({ ok: isOf(schema, value) && codec.tryEncode(value).ok, value }),
  );
}

/** The values of a way that is good enough. */
function goodOnes(tried: Arbitrary<Tried>): unknown[] | undefined {
  const good = fc.sample(tried, { numRuns: tries, seed: 1 }).flatMap((one) => (one.ok ? [one.value] : []));
  return good.length < enough ? undefined : good;
}

/** What a way gives; where a try is not good, one of some good values: a filter might go on without end. */
function bounded(tried: Arbitrary<Tried>, good: readonly unknown[]): Arbitrary<unknown> {
  return fc.tuple(tried, fc.constantFrom(...good)).map(([one, other]) => (one.ok ? one.value : other));
}
