import { choice } from "../codec/choice.js";
import { flag } from "../codec/flag.js";
import { cv } from "../cv/place.js";

// CV 29 of a multi-function decoder, S-9.2.2 (July 2012), bit by bit:
//   0 directionReversed, 1 speedSteps, 2 analogue, 3 biDirectional, 4 speed (speed.ts),
//   5 address (address.ts), 6 reserved, 7 decoderType (decoder-type.ts).
// For CV 29 of an accessory decoder see accessory.ts.

/**
 * Whether the locomotive's direction of travel is reversed: CV 29 bit 0.
 *
 * S-9.2.2 (July 2012), CV 29 bit 0.
 * @example
 * import { locomotive } from "cvset/standard";
 * locomotive.directionReversed.encode(true).toJSON().bits; // [{ "cv": "29", "mask": 1, "value": 1 }]
 */
export const directionReversed = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(0), {
  label: "Direction reversed",
  means: "direction reversed",
  source: "S-9.2.2 (July 2012), CV 29 bit 0",
});

/**
 * The number of speed steps that the decoder expects: CV 29 bit 1. With `"14"`, FL is in the speed
 * instruction; with `"28/128"`, it is in function group one.
 *
 * S-9.2.2 (July 2012), CV 29 bit 1.
 * @example
 * import { CvSet } from "cvset";
 * import { locomotive } from "cvset/standard";
 * locomotive.speedSteps.decode(CvSet.from({ 29: 34 })); // "28/128"
 */
export const speedSteps = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(1),
  { "14": { value: 0, label: "14 speed steps" }, "28/128": { value: 1, label: "28 or 128 speed steps" } },
  { label: "Speed steps", means: "speed steps", source: "S-9.2.2 (July 2012), CV 29 bit 1" },
);

/**
 * Whether the decoder may also run from another power source than DCC, such as analogue direct current:
 * CV 29 bit 2. CV 12 chooses the power sources.
 *
 * S-9.2.2 (July 2012), CV 29 bit 2.
 * @example
 * import { locomotive } from "cvset/standard";
 * locomotive.analogue.encode(false).toJSON().bits; // [{ "cv": "29", "mask": 4, "value": 0 }]
 */
export const analogue = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(2), {
  label: "Analogue operation allowed",
  means: "analogue operation",
  source: "S-9.2.2 (July 2012), CV 29 bit 2",
});

/**
 * Whether the decoder uses bi-directional communication: CV 29 bit 3. CV 28 chooses how.
 *
 * S-9.2.2 (July 2012), CV 29 bit 3.
 * @example
 * import { locomotive } from "cvset/standard";
 * locomotive.biDirectional.encode(true).toJSON().bits; // [{ "cv": "29", "mask": 8, "value": 8 }]
 */
export const biDirectional = /* @__PURE__ */ flag(/* @__PURE__ */ cv(29).bit(3), {
  label: "Bi-directional communication",
  means: "bi-directional communication",
  source: "S-9.2.2 (July 2012), CV 29 bit 3",
});
