import type { Part, Place } from "../cv/place.js";
import { type About, Codec, definitionError, typeError } from "./codec.js";

/** What a {@link flag} may say besides its place. */
export interface FlagOptions extends About {
  /** The bit is 0 for true. */
  readonly inverted?: boolean;
}

/**
 * One bit, as true or false. The other bits of its CV are not touched.
 * @param place One bit.
 * @param options What it says of itself.
 * @throws `CvError` when the place is not a single bit.
 * @example
 * import { cv, CvSet, flag } from "cvset";
 * const reversed = flag(cv(29).bit(0));
 * reversed.decode(CvSet.from({ 29: 35 })); // true
 * reversed.encode(false).toJSON().bits; // [{ "cv": "29", "mask": 1, "value": 0 }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function flag(place: Place, options: FlagOptions = {}): Codec<boolean> {
  if (place.width !== 1) {
    throw definitionError("a flag needs a single bit, such as cv(29).bit(5)", place.bitsOfCvs);
  }
  const { inverted = false, ...about } = options;
  const { key, low } = place.parts[0] as Part;
  const mask = 1 << low;
  const on = inverted ? 0 : mask;
  return new Codec<boolean>({
    kind: "flag",
    places: [place],
    about,
    read: (cvs) => (cvs.get(key) & mask) === on,
    write(cvs, value) {
      if (typeof value !== "boolean") throw typeError("true or false", value);
      cvs.put(key, mask, value ? on : on ^ mask);
    },
    text: (value) => (value ? "yes" : "no"),
    schema: () => ({ type: "boolean" }),
    describe: () => ({ place: place.toJSON(), ...(inverted && { inverted }) }),
  });
}
