import { need } from "../cv/argument.js";
import { CvError, fault } from "../cv/issue.js";
import type { Place } from "../cv/place.js";
import {
  type AnyCodec,
  aCodec,
  Codec,
  checkIssues,
  checkValue,
  type InputOf,
  readWhole,
  tryRead,
  type ValueOf,
} from "./codec.js";
import { checkOverlap, isObject } from "./fields.js";
import { type FlagOptions, flag, needFlagOptions, singleBit } from "./flag.js";

const offIsAValue = /* @__PURE__ */ fault(
  "off-is-a-value",
  '"off" is also a value of what is switched; the two could not be told apart',
);
const notOffOrSettings = /* @__PURE__ */ fault(
  "expected-off-or-settings",
  'expected "off", or an object with settings ({allowed:list}), got {found}',
);

/**
 * Something that one bit turns on: `"off"`, or the value of what is turned on. Turning it off leaves the
 * CVs of the value as they are.
 * @param place The enabling bit.
 * @param codec What it enables. On encoding its value must be whole.
 * @param options Whether the bit is inverted; label, note, meaning, source.
 * @throws `CvError` when the place is not a single bit, the codec owns that bit, or `"off"` is a value of it.
 * @example
 * import { cv, CvSet, level, page, record, switched } from "cvset";
 * const seconds = level(page(73, 9).cv(389), { unit: "s", step: 0.25, min: 1.5, max: 40 });
 * const drains = switched(cv(252).bit(1), record({ seconds }));
 * drains.decode(CvSet.from({ 252: 2, "389@73.9": 50 })); // { seconds: 12.5 }
 * drains.encode("off").toJSON(); // { cvs: {}, bits: [{ cv: "252", mask: 2, value: 0 }] }
 */
/* @__NO_SIDE_EFFECTS__ */
export function switched<C extends AnyCodec>(
  place: Place,
  codec: C,
  options: FlagOptions = {},
): Codec<ValueOf<C> | "off", InputOf<C> | "off"> {
  needFlagOptions(options);
  need(aCodec, codec, "codec");
  const { inverted = false } = options;
  const { key, mask, on } = singleBit(place, inverted);
  const bit = flag(place, { inverted });
  codec.spec.derivations?.refuse("switched");
  checkOverlap({ "the enabling bit": bit as AnyCodec, "what it enables": codec });
  if (checkIssues(codec, "off", { whole: true }).length === 0) {
    throw new CvError([offIsAValue({}, { places: place.bitsOfCvs })]);
  }
  return new Codec<ValueOf<C> | "off", InputOf<C> | "off">({
    data: { kind: "switched", place, inverted, item: codec },
    places: [place, ...codec.places],
    about: options,
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
      if (value === "off") return;
      const { data } = codec;
      if (data.kind === "record" && !isObject(value))
        report([notOffOrSettings({ allowed: Object.keys(data.fields), found: value })]);
      else checkValue(codec, value, report, { ...how, whole: true });
    },
  });
}
