import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * Momentum when speeding up, CV 3, in seconds from stop to full speed: CV * 0.896 s (0 to 228.48 s),
 * whatever the number of speed steps. The standard gives it per step: CV * 0.896 s / steps in use.
 *
 * S-9.2.2 (July 2012), CV 3.
 * @example
 * import { CvSet } from "cvset";
 * import { acceleration } from "cvset/standard";
 * acceleration.decode(CvSet.from({ 3: 2 })); // 1.792
 */
export const acceleration = /* @__PURE__ */ level(/* @__PURE__ */ cv(3), {
  unit: "s",
  step: 0.896,
  decimals: 3,
  label: "Acceleration, stop to full speed",
  clause: "S-9.2.2 (July 2012), CV 3",
});

/**
 * Momentum when slowing down, CV 4, in seconds from full speed to stop: CV * 0.896 s (0 to 228.48 s),
 * whatever the number of speed steps.
 *
 * S-9.2.2 (July 2012), CV 4.
 * @example
 * import { deceleration } from "cvset/standard";
 * deceleration.encode(10, { nearest: true }).toJSON().cvs; // { "4": 11 }
 */
export const deceleration = /* @__PURE__ */ level(/* @__PURE__ */ cv(4), {
  unit: "s",
  step: 0.896,
  decimals: 3,
  label: "Deceleration, full speed to stop",
  clause: "S-9.2.2 (July 2012), CV 4",
});

/**
 * Momentum both ways, CV 3 and 4, in seconds between stop and full speed; 0 is none.
 *
 * S-9.2.2 (July 2012), CV 3 and 4.
 * @example
 * import { momentum } from "cvset/standard";
 * momentum.encode({ acceleration: 8.96, deceleration: 0 }).toJSON().cvs; // { "3": 10, "4": 0 }
 */
export const momentum = /* @__PURE__ */ record(
  { acceleration, deceleration },
  { label: "Momentum", clause: "S-9.2.2 (July 2012), CV 3 and 4" },
);
