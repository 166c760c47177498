import { aFunction, aText, listOf, needIn, objectOf } from "../cv/argument.js";
import type { CvReader, CvWriter } from "../cv/image.js";
import { CvError, fault } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { aPlace, type Place } from "../cv/place.js";
import { type About, type AnyCodec, anAbout, Codec, type Json, ownedOf } from "./codec.js";
import { someCodecs } from "./fields.js";

const noPlace = /* @__PURE__ */ fault("codec-without-place", "a codec of kind {kind} needs a place");
const foreignBits = /* @__PURE__ */ fault(
  "foreign-bits",
  "a codec of kind {kind} writes bits that it does not own",
);
const doNotFit = /* @__PURE__ */ fault(
  "bits-do-not-fit",
  "a codec of kind {kind} writes {found}, which does not fit its bits",
);

/** What makes a codec from outside: where its value lives, and the way there and back. */
export interface CodecSpec<Value, Input = Value> {
  /** The name of its kind; its errors begin with it. */
  readonly kind: string;
  /** Every bit that it may ever write. A write outside is refused. */
  readonly places: readonly Place[];
  /** What people read of it. */
  readonly about?: About;
  /** Its parts by name, for codecs made of codecs. */
  readonly parts?: Readonly<Record<string, AnyCodec>>;
  /**
   * Reads the value. Throws where the stored bits stand for no value. What it reads, it must write back
   * unchanged.
   */
  read(cvs: CvReader): Value;
  /**
   * Writes a value, and throws where it cannot be stored. The value may be of any type: it can come from a
   * file. `whole`: a missing field is an error.
   */
  write(cvs: CvWriter, value: Input, whole: boolean): void;
  /** The value in words; without it, the value as JSON. */
  text?(value: Value): string;
  /** The JSON Schema (draft 2020-12) of the value; without it, any value. */
  schema?(whole: boolean): Json;
  /** The codec in a decoder description in JSON; without it, a description in JSON cannot hold it. */
  json?(): { readonly [key: string]: Json };
}

const aSpec = /* @__PURE__ */ objectOf({
  kind: aText,
  places: listOf(aPlace),
  "about?": anAbout,
  "parts?": someCodecs,
  read: aFunction,
  write: aFunction,
  "text?": aFunction,
  "schema?": aFunction,
  "json?": aFunction,
});

/**
 * Makes a codec from outside this library, with the same face as the built-in ones.
 * @param spec Where its value lives, and the way there and back. Read and write through the places:
 *   they check every number.
 * @throws `CvError` when it has no place.
 * @example
 * import { cv, CvSet, defineCodec } from "cvset";
 * const upper = cv(50).bits(4, 7), lower = cv(50).bits(0, 3);
 * const ratio = defineCodec<[number, number]>({
 *   kind: "ratio",
 *   places: [upper, lower],
 *   read: (cvs) => [upper.read(cvs), lower.read(cvs)],
 *   write: (cvs, [up, low]) => { upper.write(cvs, up); lower.write(cvs, low); },
 * });
 * ratio.encode([3, 2]).toJSON().cvs; // { "50": 50 }
 * ratio.decode(CvSet.from({ 50: 50 })); // [3, 2]
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineCodec<Value, Input = Value>(spec: CodecSpec<Value, Input>): Codec<Value, Input> {
  needIn(aSpec, spec, "spec");
  const { kind } = spec;
  if (spec.places.length === 0) throw new CvError([noPlace({ kind })]);
  // Taken now: what is put into the spec afterwards must not change the codec.
  const read = spec.read.bind(spec);
  const write = spec.write.bind(spec);
  const codec: Codec<Value, Input> = new Codec<Value, Input>({
    kind,
    places: [...spec.places],
    about: spec.about,
    data: { kind: "custom", parts: Object.freeze({ ...spec.parts }) },
    read: (cvs) => read(readOnly(cvs)),
    write: (cvs, value, whole) => write(guarded(cvs, codec), value, whole),
    ...(spec.text && { text: spec.text.bind(spec) }),
    ...(spec.schema && { schema: spec.schema.bind(spec) }),
    ...(spec.json && { json: spec.json.bind(spec) }),
  });
  return codec;
}

/** A reader and nothing else: what a set holds cannot be changed through it. */
function readOnly(cvs: CvReader): CvReader {
  return { get: (key) => cvs.get(key) };
}

/** A writer that refuses bits that the codec does not own. */
function guarded(cvs: CvWriter, codec: AnyCodec): CvWriter {
  const { kind } = codec;
  return {
    nearest: cvs.nearest,
    put(key, mask, bits) {
      // No bit at all; a change without a bit must not get into a patch.
      if (mask === 0 && bits === 0) return;
      const owned = ownedOf(codec).get(key) ?? 0;
      const foreign = mask & ~owned;
      // Compared, not only masked: masking would hide fractions and NaN.
      if ((mask & owned) !== mask || (bits & mask) !== bits) {
        const places = [{ cv: nameOf(key), mask: foreign || 255 }];
        throw new CvError([
          foreign ? foreignBits({ kind }, { places }) : doNotFit({ kind, found: bits }, { places }),
        ]);
      }
      // Without a fraction, but -0 is possible.
      cvs.put(key, mask, bits | 0);
    },
  };
}
