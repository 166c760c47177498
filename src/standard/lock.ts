import type { ValueOf } from "../codec/codec.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * The decoder lock, for several decoders in one locomotive: each has a `number` of its own in CV 16
 * (motor 1, sound 2, others from 3), and obeys a CV write only while the `key` in CV 15 is the same.
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
      clause: "S-9.2.2 (July 2012), CV 15",
    }),
    number: /* @__PURE__ */ level(/* @__PURE__ */ cv(16), {
      names: { motor: 1, sound: 2 },
      label: "Lock number",
      clause: "S-9.2.2 (July 2012), CV 16",
    }),
  },
  { label: "Decoder lock", clause: "S-9.2.2 (July 2012), CV 15 and 16" },
);

/**
 * Whether a decoder with this lock obeys CV writes.
 *
 * S-9.2.2 (July 2012), CV 15 and 16.
 * @param value What {@link lock} decodes.
 * @example
 * import { isUnlocked } from "cvset/standard";
 * isUnlocked({ key: "motor", number: "sound" }); // false
 */
export function isUnlocked(value: ValueOf<typeof lock>): boolean {
  return value.key === value.number;
}
