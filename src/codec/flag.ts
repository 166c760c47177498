import { aBoolean, need, needIn, objectOf } from "../cv/argument.js";
import { notABoolean } from "../cv/faults.js";
import { CvError, fault } from "../cv/issue.js";
import { aPlace, type Part, type Place } from "../cv/place.js";
import { type About, anAbout, Codec } from "./codec.js";

const notASingleBit = /* @__PURE__ */ fault(
  "not-a-single-bit",
  "a single bit is needed, such as cv(29).bit(5)",
);

/** Options of {@link flag} and {@link switched}. */
export interface FlagOptions extends About {
  /** The bit is 0 for true, or for on. */
  readonly inverted?: boolean;
}

/**
 * One bit, as true or false. The other bits of its CV are not touched.
 * @param place One bit.
 * @param options Whether it is inverted; label, note, meaning, source.
 * @throws `CvError` when the place is not a single bit.
 * @example
 * import { cv, CvSet, flag } from "cvset";
 * const reversed = flag(cv(29).bit(0));
 * reversed.decode(CvSet.from({ 29: 35 })); // true
 * reversed.encode(false).toJSON().bits; // [{ "cv": "29", "mask": 1, "value": 0 }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function flag(place: Place, options: FlagOptions = {}): Codec<boolean> {
  needFlagOptions(options);
  const { inverted = false } = options;
  const { key, mask, on } = singleBit(place, inverted);
  return new Codec<boolean>({
    data: { kind: "flag", place, inverted },
    places: [place],
    about: options,
    read: (cvs) => (cvs.get(key) & mask) === on,
    write(cvs, value) {
      if (typeof value !== "boolean") throw new CvError([notABoolean({ found: value })]);
      cvs.put(key, mask, value ? on : on ^ mask);
    },
  });
}

/**
 * The key, the mask, and the value for on of a single bit.
 * @throws `CvError` when the place has more than one bit.
 */
export function singleBit(place: Place, inverted: boolean) {
  need(aPlace, place, "place");
  if (place.width !== 1) throw new CvError([notASingleBit({}, { places: place.bitsOfCvs })]);
  const { key, low } = place.parts[0] as Part;
  const mask = 1 << low;
  return { key, mask, on: inverted ? 0 : mask };
}

const aSwitch = /* @__PURE__ */ objectOf({ "inverted?": aBoolean });

/** Refuses options of a flag, or of what a bit turns on, that are none. */
export function needFlagOptions(options: FlagOptions): void {
  needIn(anAbout, options, "options");
  needIn(aSwitch, options, "options");
}
