import { type AnyCodec, aCodec } from "../codec/codec.js";
import { aBoolean, aFunction, aNumber, anObject, need, objectOf } from "../cv/argument.js";
import { isA } from "../cv/brand.js";
import { CvSet } from "../cv/cvset.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { type AnyDecoder, rootOf } from "../decoder/decoder.js";

/** What can be tested: a codec, or a decoder with all its features. */
export type Source = AnyCodec | AnyDecoder;

/** The codec of either. */
export function codecOf(source: Source): AnyCodec {
  if (!isA("Decoder", source)) need(aCodec, source, "source");
  return isA("Decoder", source) ? rootOf(source as AnyDecoder) : (source as AnyCodec);
}

/** The bits that a codec's values are worked out from, besides its own. */
export function neededBy({ spec }: AnyCodec): readonly BitsOfCv[] {
  return (spec.derivations?.list ?? []).flatMap(({ from }) => from.flatMap((place) => place.bitsOfCvs));
}

/** How many bits a codec owns. */
export function ownedBits(codec: AnyCodec): number {
  let count = 0;
  for (const { mask } of codec.bits) for (let rest = mask; rest; rest &= rest - 1) count++;
  return count;
}

/** A CV set for each pattern of a codec's bits; all other bits are 0. */
export function* everySet(codec: AnyCodec): Generator<CvSet, void> {
  for (let pattern = 0; pattern < 2 ** ownedBits(codec); pattern++) {
    let rest = pattern;
    yield setWith(codec, () => {
      const bit = rest & 1;
      rest >>>= 1;
      return bit;
    });
  }
}

/** A CV set in which each bit that a codec owns is what a function gives, lowest CV and bit first. */
export function setWith(codec: AnyCodec, nextBit: () => number): CvSet {
  return CvSet.from(
    codec.bits.map(({ cv, mask }): [string, number] => {
      let byte = 0;
      for (let bit = 0; bit < 8; bit++) if (mask & (1 << bit) && nextBit()) byte |= 1 << bit;
      return [cv, byte];
    }),
  );
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

/** Options of values. */
export const ofValues = /* @__PURE__ */ objectOf({ "at?": anObject, "partial?": aBoolean, "raw?": aBoolean });
/** Options of the laws. */
export const ofLaws = /* @__PURE__ */ objectOf({
  "at?": anObject,
  "runs?": aNumber,
  "seed?": aNumber,
  "equal?": aFunction,
});
/** Options of random decoders. */
export const ofDecoders = /* @__PURE__ */ objectOf({ "maxFeatures?": aNumber, "derived?": aBoolean });
