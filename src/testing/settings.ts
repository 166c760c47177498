import fc, { type Arbitrary } from "fast-check";
import type { AnyCodec } from "../codec/codec.js";
import type { Fields, RecordInput } from "../codec/record.js";
import type { Decoder } from "../decoder/decoder.js";
import { type ValuesOptions, valuesOf } from "./values.js";

/**
 * An arbitrary of settings of a decoder as people write them: any of its features, each with a valid
 * value; those that are left out are to stay as they are. {@link valuesOf} gives complete ones.
 * @param decoder The decoder.
 * @param options Values by path, for codecs that do not say what theirs look like.
 * @throws Error as {@link valuesOf}.
 * @example
 * import fc from "fast-check";
 * import { cv, defineDecoder, flag } from "cvset";
 * import { settingsOf } from "cvset/testing";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction", features: { reversed: flag(cv(29).bit(0)) },
 * });
 * const seen = fc.sample(settingsOf(decoder), 100).map((settings) => settings.reversed);
 * new Set(seen).size; // 3
 */
export function settingsOf<F extends Fields>(
  decoder: Decoder<F>,
  options: ValuesOptions = {},
): Arbitrary<RecordInput<F>> {
  const features = Object.entries<AnyCodec>(decoder.features).map(
    ([name, codec]): [string, Arbitrary<unknown>] => [name, valuesOf(codec, within(name, options))],
  );
  return fc.record(Object.fromEntries(features), { requiredKeys: [], noNullPrototype: true }) as Arbitrary<
    RecordInput<F>
  >;
}

/** The part of the options that is about one feature. */
function within(name: string, { at = {} }: ValuesOptions): ValuesOptions {
  const inner = Object.entries(at).flatMap(([path, values]): [string, Arbitrary<unknown>][] =>
    path === name
      ? [["", values]]
      : path.startsWith(`${name}.`)
        ? [[path.slice(name.length + 1), values]]
        : [],
  );
  return { at: Object.fromEntries(inner) };
}
