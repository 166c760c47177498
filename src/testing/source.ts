import type { AnyCodec, Codec, ValueOf } from "../codec/codec.js";
import type { Fields, RecordValue } from "../codec/record.js";
import { CvSet } from "../cv/cvset.js";
import { Decoder } from "../decoder/decoder.js";

/** What can be tested: a codec, or a decoder with all its features. */
export type Source = AnyCodec | Decoder<Fields>;

/** The decoded values of a codec, or the settings of a decoder. */
export type ValueOfSource<S extends Source> =
  S extends Decoder<infer F> ? RecordValue<F> : S extends AnyCodec ? ValueOf<S> : never;

/** The codec of either. */
export function codecOf(source: Source): Codec<unknown, unknown> {
  return source instanceof Decoder ? source.root : source;
}

/** How many bits a codec owns. */
export function ownedBits(codec: AnyCodec): number {
  let count = 0;
  for (const { mask } of codec.bits) for (let rest = mask; rest; rest &= rest - 1) count++;
  return count;
}

/** The set that holds 0 in every CV that a codec owns bits of. */
export function zeros(codec: AnyCodec): CvSet {
  return CvSet.from(codec.bits.map(({ cv }): [string, number] => [cv, 0]));
}

/** Whether two values are the same, however they are nested. */
export function same(a: unknown, b: unknown): boolean {
  if (a === b || Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const keys = Object.keys(a);
  return (
    keys.length === Object.keys(b).length &&
    keys.every(
      (key) =>
        Object.hasOwn(b, key) &&
        same((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]),
    )
  );
}
