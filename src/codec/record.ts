import { need } from "../cv/argument.js";
import { type About, anAbout, Codec, type InputOf, type ValueOf } from "./codec.js";
import {
  checkNames,
  checkOverlap,
  type Fields,
  fieldsParts,
  type SettingNames,
  someCodecs,
} from "./fields.js";

/**
 * Several settings under one name. On encoding, a field that is left out stays as it is.
 * @param fields The codec of each.
 * @param about Label, note, meaning, source.
 * @throws `CvError` when two fields own the same bit, or a name is empty, has a dot or is a property of every object.
 * @example
 * import { choice, cv, CvSet, flag, record } from "cvset";
 * const front = record({
 *   effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: 2 }),
 *   forLed: flag(cv(243).bit(7), { inverted: true }),
 * });
 * front.decode(CvSet.from({ 216: 4, 243: 127 })); // { effect: "flickers", forLed: true }
 * front.encode({ forLed: false }).toJSON().bits; // [{ "cv": "243", "mask": 128, "value": 128 }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function record<const F extends Fields>(
  fields: F,
  about: About = {},
): Codec<
  // Written out, so that an editor shows the object and not the name of a type.
  { readonly [K in SettingNames<F>]: ValueOf<F[K]> },
  { readonly [K in SettingNames<F>]?: InputOf<F[K]> }
> {
  need(someCodecs, fields, "fields");
  need(anAbout, about, "about");
  checkNames(Object.keys(fields));
  checkOverlap(fields);
  const own = Object.freeze({ ...fields });
  return new Codec({ ...fieldsParts<F>(own), data: { kind: "record", fields: own }, about });
}
