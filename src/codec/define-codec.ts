import { aFunction, aText, listOf, needIn, objectOf } from "../cv/argument.js";
import { PatchWriter } from "../cv/cvpatch.js";
import type { CvReader, CvWriter } from "../cv/image.js";
import { CvError, fault } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { aPlace, type Place } from "../cv/place.js";
import {
  type About,
  type AnyCodec,
  aCodec,
  anAbout,
  Codec,
  checkValue,
  type InputOf,
  issuesOf,
  type Json,
  ownedOf,
  reportMissing,
  tryRead,
  type ValueOf,
} from "./codec.js";
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

/** What reads and writes the codec that another one is around. */
export interface ItemAccess<Value, Input = Value> {
  /**
   * Reads the inner value. Where `tryDecode` collects what is wrong, it may be a part of the value; where nothing of it
   * can be read, it does not return.
   */
  read(cvs: CvReader): Value;
  /** Writes the inner value. */
  write(cvs: CvWriter, value: Input): void;
}

/** What makes a codec around another one. What is left out is that of the inner codec. */
export interface WrapperSpec<C extends AnyCodec, Value = ValueOf<C>, Input = Value> {
  /** The name of its kind; its errors begin with it. */
  readonly kind: string;
  /** The codec that it is around. */
  readonly item: C;
  /** The bits that it may write besides those of the inner codec. */
  readonly places?: readonly Place[];
  /** What people read of it. */
  readonly about?: About;
  /**
   * Reads the value. Throws where the stored bits stand for no value. What it reads, it must write back
   * unchanged.
   */
  read?(cvs: CvReader, item: ItemAccess<ValueOf<C>, InputOf<C>>): Value;
  /**
   * Writes a value, and throws where it cannot be stored. The value may be of any type: it can come from a
   * file. `whole`: a missing field is an error.
   */
  write?(cvs: CvWriter, value: Input, item: ItemAccess<ValueOf<C>, InputOf<C>>, whole: boolean): void;
  /** The value in words, in one line; without it, the lines of the inner codec. */
  text?(value: Value): string;
  /** The JSON Schema (draft 2020-12) of the value, made of that of the inner one; without it, that of the inner one. */
  schema?(whole: boolean, item: { readonly [key: string]: Json }): Json;
  /**
   * The codec in a decoder description in JSON, made of that of the inner codec; without it, a description in JSON
   * cannot hold it.
   */
  json?(item: { readonly [key: string]: Json }): { readonly [key: string]: Json };
}

const aSpec = /* @__PURE__ */ objectOf({
  kind: aText,
  places: /* @__PURE__ */ listOf(aPlace),
  "about?": anAbout,
  "parts?": someCodecs,
  read: aFunction,
  write: aFunction,
  "text?": aFunction,
  "schema?": aFunction,
  "json?": aFunction,
});

const aWrapper = /* @__PURE__ */ objectOf({
  kind: aText,
  item: aCodec,
  "places?": /* @__PURE__ */ listOf(aPlace),
  "about?": anAbout,
  "read?": aFunction,
  "write?": aFunction,
  "text?": aFunction,
  "schema?": aFunction,
  "json?": aFunction,
});

/**
 * Makes a codec around another one: it may change values, check more, or use bits besides. Lines of explanations, what
 * can be read in spite of an issue, schema, parts and paths of issues stay those of the inner codec.
 * @param spec The inner codec, and what differs from it.
 * @throws `CvError` when the inner codec has a value that is worked out.
 * @example
 * import { CvSet, cv, defineCodec, level, linesOf, record } from "cvset";
 * const pin = cv(130), chime = record({ tones: level(cv(131), { max: 8 }), tempo: level(cv(132)) });
 * const locked = defineCodec({
 *   kind: "locked", item: chime, places: [pin],
 *   read(cvs, item) {
 *     if (pin.read(cvs) !== 77) throw new Error("CV 130 must hold 77");
 *     return item.read(cvs);
 *   },
 *   write(cvs, value, item) { pin.write(cvs, 77); item.write(cvs, value); },
 * });
 * locked.encode({ tones: 3 }).toJSON().cvs; // { "130": 77, "131": 3 }
 * locked.tryDecode(CvSet.from({ 130: 77, 131: 9, 132: 4 })).value; // { tempo: 4 }
 * linesOf(locked, CvSet.from({ 130: 77, 131: 3, 132: 4 })).map(({ path, text }) => `${path}: ${text}`); // ["tones: 3", "tempo: 4"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineCodec<const C extends AnyCodec, Value = ValueOf<C>, Input = InputOf<C>>(
  spec: WrapperSpec<C, Value, Input>,
): Codec<Value, Input>;
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
export function defineCodec<Value, Input = Value>(spec: CodecSpec<Value, Input>): Codec<Value, Input>;
/* @__NO_SIDE_EFFECTS__ */
export function defineCodec(spec: CodecSpec<unknown> | WrapperSpec<AnyCodec, unknown>): Codec<unknown> {
  const wraps = typeof spec === "object" && spec !== null && "item" in spec;
  needIn(wraps ? aWrapper : aSpec, spec, "spec");
  return "item" in spec ? around(spec) : alone(spec);
}

function alone(spec: CodecSpec<unknown>): Codec<unknown> {
  const { kind } = spec;
  if (spec.places.length === 0) throw new CvError([noPlace({ kind })]);
  // Taken now: what is put into the spec afterwards must not change the codec.
  const read = spec.read.bind(spec);
  const write = spec.write.bind(spec);
  for (const part of Object.values(spec.parts ?? {})) part.spec.derivations?.refuse(kind);
  const codec: Codec<unknown> = new Codec<unknown>({
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

type Access = ItemAccess<unknown, unknown>;

function around(spec: WrapperSpec<AnyCodec, unknown>): Codec<unknown> {
  const { kind, item } = spec;
  item.spec.derivations?.refuse(kind);
  const read = spec.read?.bind(spec) ?? ((cvs: CvReader, inner: Access) => inner.read(cvs));
  const write =
    spec.write?.bind(spec) ?? ((cvs: CvWriter, value: unknown, inner: Access) => inner.write(cvs, value));
  const schema = spec.schema?.bind(spec);
  const json = spec.json?.bind(spec);
  const access = (whole: boolean): Access => ({
    read: (cvs) => item.spec.read(cvs),
    write: (cvs, value) => item.spec.write(cvs, value, whole),
  });
  const forReading = access(false);
  const codec: Codec<unknown> = new Codec<unknown>({
    kind,
    places: [...item.places, ...(spec.places ?? [])],
    about: { ...item.about, ...spec.about },
    data: { kind: "custom", parts: fieldsOf(item), item },
    read: (cvs) => read(readOnly(cvs), forReading),
    tryRead(cvs, report) {
      let failed = false;
      const inner: Access = {
        ...forReading,
        read(from) {
          const value = tryRead(item, from, (issues, path) => {
            failed = true;
            report(issues, path);
          });
          // Its issues are reported; without a part of the value there is nothing to go on with.
          if (failed && value === undefined) throw new CvError([]);
          return value;
        },
      };
      try {
        return read(readOnly(cvs), inner);
      } catch (error) {
        // What a part of a value leads to is no issue of its own.
        if (failed) return undefined;
        const issues = issuesOf(error, kind);
        if (issues[0]?.code !== "missing-cv" || !reportMissing(codec, cvs, report)) report(issues);
        return undefined;
      }
    },
    write: (cvs, value, whole) => write(guarded(cvs, codec), value, access(whole), whole),
    check(value, report, options) {
      const whole = options.whole ?? false;
      let failed = false;
      const inner: Access = {
        ...forReading,
        write(cvs, one) {
          let good = true;
          checkValue(
            item,
            one,
            (issues, path) => {
              good = false;
              report(issues, path);
            },
            options,
          );
          failed ||= !good;
          if (good) item.spec.write(cvs, one, whole);
        },
      };
      try {
        write(guarded(new PatchWriter(options.nearest), codec), value, inner, whole);
      } catch (error) {
        if (!failed) report(issuesOf(error, kind));
      }
    },
    ...(spec.text && { text: spec.text.bind(spec) }),
    ...(schema && { schema: (whole, inner = {}) => schema(whole, inner) }),
    ...(json && { json: (inner = {}) => json(inner) }),
  });
  return codec;
}

/** The fields of a codec that is a record, or something around one. */
function fieldsOf({ data }: AnyCodec): Readonly<Record<string, AnyCodec>> {
  if (data.kind === "record") return data.fields;
  if (data.kind === "switched") return fieldsOf(data.item);
  return data.kind === "custom" ? data.parts : Object.freeze({});
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
