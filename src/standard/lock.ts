import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";
import type { KnownCvs } from "./address.js";

/**
 * The decoder lock, for several decoders in one locomotive: each has its own `number` in CV 16 (motor 1,
 * sound 2, others from 3). It obeys a CV write only while the `key` in CV 15 equals its number.
 *
 * S-9.2.2 (July 2012), CV 15 and 16.
 * @example
 * import { CvSet } from "cvset";
 * import { lock } from "cvset/standard";
 * lock.decode(CvSet.from({ 15: 7, 16: 2 })); // { key: 7, number: "sound" }
 */
export const lock = /* @__PURE__ */ record(
  {
    key: /* @__PURE__ */ level(/* @__PURE__ */ cv(15), {
      names: { motor: 1, sound: 2 },
      label: "Lock key",
      source: "S-9.2.2 (July 2012), CV 15",
    }),
    number: /* @__PURE__ */ level(/* @__PURE__ */ cv(16), {
      names: { motor: 1, sound: 2 },
      label: "Lock number",
      source: "S-9.2.2 (July 2012), CV 16",
    }),
  },
  { label: "Decoder lock", source: "S-9.2.2 (July 2012), CV 15 and 16" },
);

/**
 * Whether a decoder ignores CV writes: CV 15 and CV 16 differ. A decoder without one of them has no lock
 * (S-9.2.2 (July 2012), CV 15 and 16).
 */
export function isLocked(cvs: KnownCvs): boolean {
  const [key, number] = [cvs.get(15), cvs.get(16)];
  return key !== undefined && number !== undefined && key !== number;
}
