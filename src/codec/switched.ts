import type { Part, Place } from "../cv/place.js";
import {
  type About,
  type AnyCodec,
  Codec,
  checkValue,
  definitionError,
  type InputOf,
  readWhole,
  tellLines,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { checkOverlap } from "./record.js";

/** What {@link switched} may say besides its bit. */
export interface SwitchedOptions extends About {
  /** The bit is 0 for on. */
  readonly inverted?: boolean;
}

/**
 * Something that one bit turns on: `"off"`, or the value of what is turned on. Turning it off leaves the
 * CVs of the value as they are.
 * @param place The enabling bit.
 * @param codec What it enables. On encoding its value must be whole.
 * @param options What it says of itself.
 * @throws `CvError` when the place is not a single bit, the codec owns that bit, or `"off"` is a value of it.
 * @example
 * import { cv, CvSet, level, record, switched } from "cvset";
 * const drains = switched(cv(160).bit(3), record({ seconds: level(cv(161), { unit: "s", min: 1, max: 60 }) }));
 * drains.decode(CvSet.from({ 160: 8, 161: 20 })); // { seconds: 20 }
 * drains.encode("off").toJSON(); // { cvs: {}, bits: [{ cv: "160", mask: 8, value: 0 }] }
 */
/* @__NO_SIDE_EFFECTS__ */
export function switched<C extends AnyCodec>(
  place: Place,
  codec: C,
  options: SwitchedOptions = {},
): Codec<ValueOf<C> | "off", InputOf<C> | "off"> {
  if (place.width !== 1) {
    throw definitionError("what switches is a single bit, such as cv(160).bit(3)", place.bitsOfCvs);
  }
  const { inverted = false, ...about } = options;
  const { key, low } = place.parts[0] as Part;
  const mask = 1 << low;
  const on = inverted ? 0 : mask;
  const bit = new Codec<boolean>({
    kind: "switch",
    places: [place],
    read: (cvs) => (cvs.get(key) & mask) === on,
    write: (cvs, value) => cvs.put(key, mask, value ? on : on ^ mask),
  });
  checkOverlap({ "the enabling bit": bit as AnyCodec, "what it enables": codec });
  if (codec.check("off", { whole: true }).length === 0) {
    throw definitionError(
      '"off" is also a value of what is switched; the two could not be told apart',
      place.bitsOfCvs,
    );
  }
  return new Codec<ValueOf<C> | "off", InputOf<C> | "off">({
    kind: "switched",
    places: [place, ...codec.places],
    about,
    read: (cvs) => ((cvs.get(key) & mask) === on ? codec.spec.read(cvs) : "off"),
    tryRead(cvs, report) {
      const isOn = tryRead(bit, cvs, report);
      return isOn === undefined ? undefined : isOn ? readWhole(codec, cvs, report) : "off";
    },
    write(cvs, value) {
      const isOn = value !== "off";
      cvs.put(key, mask, isOn ? on : on ^ mask);
      if (isOn) codec.spec.write(cvs, value, true);
    },
    check(value, report, how) {
      if (value !== "off") checkValue(codec, value, report, { ...how, whole: true });
    },
    tell(cvs, path) {
      const isOn = tryRead(bit, cvs, () => {});
      if (isOn === undefined) return [];
      const line = { path, text: isOn ? "on" : "off", places: bit.bits };
      return isOn ? [line, ...tellLines(codec, cvs, path)] : [line];
    },
    schema: () => ({ anyOf: [{ const: "off" }, codec.schema(true)] }),
    describe: () => ({ place: place.toJSON(), ...(inverted && { inverted }), item: codec.describe() }),
  });
}
