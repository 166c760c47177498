import fc, { type Arbitrary } from "fast-check";
import type { AnyCodec } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import type { Scale } from "../codec/scale.js";
import { needIn } from "../cv/argument.js";
import { joinPath } from "../cv/issue.js";
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
 * patterns of its bits.
 * @param source A codec or a decoder.
 * @param options Values by path; whether the settings are partial.
 * @throws Error when hardly any pattern of the bits of a codec that holds code can be decoded, and no values
 *   are given for it.
 * @example
 * import fc from "fast-check";
 * import { choice, cv, defineDecoder } from "cvset";
 * import { valuesOf } from "cvset/testing";
 * const firing = choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 });
 * new Set(fc.sample(valuesOf(firing), 100)).size; // 3
 * const decoder = defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features: { firing } });
 * const some = fc.sample(valuesOf(decoder, { partial: true }), 100);
 * new Set(some.map((settings) => settings.firing)).size; // 4
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

/** The most bits of which all patterns are tried. */
const mostTried = 16;
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
      return data.pairs ? fc.constantFrom(...data.pairs.map(([, value]) => value)) : decodable(codec, path);
    case "custom":
      return decodable(codec, path);
  }
}

function object(
  fields: Fields,
  path: string,
  at: At,
  options: { readonly requiredKeys?: [] } = {},
): Arbitrary<Record<string, unknown>> {
  const each = Object.entries(fields).map(([name, codec]) => [name, values(codec, joinPath(path, name), at)]);
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
    const stored = fc.integer({ min: first, max: last }).filter((number) => !named.has(number));
    arbitraries.push(stored.map((number) => scale.valueOf(number)));
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

/** What the patterns of a codec's bits decode to: of all patterns where they are few, else of random ones. */
function decodable(codec: AnyCodec, path: string): Arbitrary<unknown> {
  if (ownedBits(codec) <= mostTried) {
    const results = [...everySet(codec)].map((cvs) => codec.tryDecode(cvs));
    const decoded = results.flatMap((result) => (result.ok ? [result.value] : []));
    if (decoded.length) return fc.constantFrom(...decoded);
    throw new Error(`no bits of a codec of kind "${codec.kind}" stand for a value`);
  }
  const count = ownedBits(codec);
  const results = fc
    .array(fc.nat({ max: 1 }), { minLength: count, maxLength: count, size: "max" })
    .map((bits) => {
      let next = 0;
      return codec.tryDecode(setWith(codec, () => bits[next++] ?? 0));
    });
  const tried = fc.sample(results, { numRuns: 200, seed: 1 });
  if (tried.filter(({ ok }) => ok).length < tried.length / 20) {
    throw new Error(
      `hardly any bits of a codec of kind "${codec.kind}" stand for a value; give an arbitrary in "at" for ${JSON.stringify(path)}`,
    );
  }
  return results.filter(({ ok }) => ok).map(({ value }) => value);
}
