import { level } from "../codec/level.js";
import { table } from "../codec/table.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";

// Drive levels are n/255 of the available voltage.

/** Vstart, CV 2 (S-9.2.2 (July 2012), CV 2). */
const vstart = /* @__PURE__ */ level(/* @__PURE__ */ cv(2), {
  label: "Vstart",
  note: "Drive level at step 1, n/255 of the available voltage.",
  source: "S-9.2.2 (July 2012), CV 2",
});

/** Vhigh, CV 5; with 0 and 1 it is not used in the curve (S-9.2.2 (July 2012), CV 5). */
const vhigh = /* @__PURE__ */ level(/* @__PURE__ */ cv(5), {
  min: 2,
  names: { "not-used": 0, "not-used-1": 1 },
  label: "Vhigh",
  note: "Drive level at the top step, n/255 of the available voltage.",
  source: "S-9.2.2 (July 2012), CV 5",
});

/** Vmid, CV 6; with 0 and 1 it is not used in the curve (S-9.2.2 (July 2012), CV 6). */
const vmid = /* @__PURE__ */ level(/* @__PURE__ */ cv(6), {
  min: 2,
  names: { "not-used": 0, "not-used-1": 1 },
  label: "Vmid",
  note: "Drive level at the middle step, n/255 of the available voltage.",
  source: "S-9.2.2 (July 2012), CV 6",
});

/** The forward trim, CV 66; 0 is no trim (S-9.2.2 (July 2012), CV 66). */
const forwardTrim = /* @__PURE__ */ level(/* @__PURE__ */ cv(66), {
  min: 0.0078125,
  step: 0.0078125,
  names: { none: 0 },
  label: "Forward trim",
  note: "Factor n/128 on every drive level.",
  source: "S-9.2.2 (July 2012), CV 66",
});

/** The reverse trim, CV 95; 0 is no trim (S-9.2.2 (July 2012), CV 95). */
const reverseTrim = /* @__PURE__ */ level(/* @__PURE__ */ cv(95), {
  min: 0.0078125,
  step: 0.0078125,
  names: { none: 0 },
  label: "Reverse trim",
  note: "Factor n/128 on every drive level.",
  source: "S-9.2.2 (July 2012), CV 95",
});

/** The speed table, CV 67-94: the drive levels of steps 1-28, 0-255 (S-9.2.2 (July 2012), CV 67-94). */
const speedTable = /* @__PURE__ */ table(/* @__PURE__ */ cv(67).through(94), {
  label: "Speed table",
  note: "Drive levels of steps 1-28.",
  source: "S-9.2.2 (July 2012), CV 67-94",
});

/**
 * The speed curve. CV 29 bit 4 chooses three points or the speed table; the CVs of the other one are not
 * touched.
 *
 * - `three-point`: `vstart` in CV 2, 0-255; `vmid` in CV 6 and `vhigh` in CV 5, 2-255. They are drive
 *   levels, n/255 of the available voltage, at step 1, the middle step and the top step. With 0
 *   (`"not-used"`) or 1 (`"not-used-1"`) Vmid or Vhigh is not used in the curve.
 * - `table`: `levels` in CV 67-94, the drive levels of steps 1-28, 0-255; `forwardTrim` in CV 66 and
 *   `reverseTrim` in CV 95, a factor on every level, 1/128 to 255/128, or `"none"`. A trimmed level above
 *   255 is taken as 255.
 *
 * S-9.2.2 (July 2012), CV 29 bit 4, CV 2, 5, 6 and 66-95.
 * @example
 * import { CvSet } from "cvset";
 * import { speed } from "cvset/standard";
 * speed.decode(CvSet.from({ 2: 6, 5: 220, 6: 90, 29: 2 })); // { kind: "three-point", vstart: 6, vmid: 90, vhigh: 220 }
 */
export const speed = /* @__PURE__ */ variant(
  /* @__PURE__ */ cv(29).bit(4),
  {
    "three-point": { value: 0, fields: { vstart, vmid, vhigh }, label: "three points" },
    table: { value: 1, fields: { forwardTrim, levels: speedTable, reverseTrim }, label: "speed table" },
  },
  {
    label: "Speed curve",
    means: "speed curve",
    source: "S-9.2.2 (July 2012), CV 29 bit 4, CV 2, 5, 6 and 66-95",
  },
);
