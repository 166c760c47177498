import { choice } from "../codec/choice.js";
import { flag } from "../codec/flag.js";
import { cv } from "../cv/place.js";

// CV 29 of a multi-function decoder, S-9.2.2 (July 2012), bit by bit:
//   0 directionReversed, 1 speedSteps, 2 analogue, 3 biDirectional, 4 speed (speed.ts),
//   5 address (address.ts), 6 reserved, 7 decoderType.
// That of an accessory decoder is in accessory.ts.

/**
 * Whether the locomotive's "forward" is reversed: CV 29 bit 0.
 *
 * S-9.2.2 (July 2012), CV 29 bit 0.
 * @example
 * import { directionReversed } from "cvset/standard";
 * directionReversed.encode(true).toJSON().bits; // [{ "cv": "29", "mask": 1, "value": 1 }]
 */
export const directionReversed = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(0), {
  label: "Direction reversed",
  means: "direction reversed",
  clause: "S-9.2.2 (July 2012), CV 29 bit 0",
});

/**
 * How many speed steps the decoder expects: CV 29 bit 1. With `"14"`, FL comes in the speed instruction;
 * with `"28/128"`, in function group one.
 *
 * S-9.2.2 (July 2012), CV 29 bit 1.
 * @example
 * import { CvSet } from "cvset";
 * import { speedSteps } from "cvset/standard";
 * speedSteps.decode(CvSet.from({ 29: 34 })); // "28/128"
 */
export const speedSteps = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(1),
  { "14": { value: 0, label: "14 speed steps" }, "28/128": { value: 1, label: "28 or 128 speed steps" } },
  { label: "Speed steps", means: "speed steps", clause: "S-9.2.2 (July 2012), CV 29 bit 1" },
);

/**
 * Whether the decoder may also run from another power source than DCC, such as analogue direct current:
 * CV 29 bit 2. CV 12 says which.
 *
 * S-9.2.2 (July 2012), CV 29 bit 2.
 * @example
 * import { analogue } from "cvset/standard";
 * analogue.encode(false).toJSON().bits; // [{ "cv": "29", "mask": 4, "value": 0 }]
 */
export const analogue = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(2), {
  label: "Analogue operation allowed",
  means: "analogue operation",
  clause: "S-9.2.2 (July 2012), CV 29 bit 2",
});

/**
 * Whether the decoder answers by bi-directional communication: CV 29 bit 3. CV 28 says how.
 *
 * S-9.2.2 (July 2012), CV 29 bit 3.
 * @example
 * import { biDirectional } from "cvset/standard";
 * biDirectional.encode(true).toJSON().bits; // [{ "cv": "29", "mask": 8, "value": 8 }]
 */
export const biDirectional = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(3), {
  label: "Bi-directional communication",
  means: "bi-directional communication",
  clause: "S-9.2.2 (July 2012), CV 29 bit 3",
});
