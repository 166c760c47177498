import { level } from "../codec/level.js";
import { table } from "../codec/table.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";

/**
 * The drive level at speed step 1, CV 2: 0-255, as n/255 of the available voltage.
 *
 * S-9.2.2 (July 2012), CV 2.
 * @example
 * import { vstart } from "cvset/standard";
 * vstart.encode(8).toJSON().cvs; // { "2": 8 }
 */
export const vstart = /* @__PURE__ */ level(/* @__PURE__ */ cv(2), {
  label: "Vstart",
  note: "Drive level at step 1, n/255 of the available voltage.",
  clause: "S-9.2.2 (July 2012), CV 2",
});

/**
 * The drive level at the top speed step, CV 5: 2-255, as n/255 of the available voltage. With 0 or 1 it
 * is not used in the curve: `"not-used"` is 0, `"not-used-1"` is 1.
 *
 * S-9.2.2 (July 2012), CV 5.
 * @example
 * import { CvSet } from "cvset";
 * import { vhigh } from "cvset/standard";
 * vhigh.decode(CvSet.from({ 5: 200 })); // 200
 * vhigh.decode(CvSet.from({ 5: 0 })); // "not-used"
 */
export const vhigh = /* @__PURE__ */ level(/* @__PURE__ */ cv(5), {
  min: 2,
  names: { "not-used": 0, "not-used-1": 1 },
  label: "Vhigh",
  note: "Drive level at the top step, n/255 of the available voltage.",
  clause: "S-9.2.2 (July 2012), CV 5",
});

/**
 * The drive level at the middle speed step, CV 6: 2-255, as n/255 of the available voltage. With 0 or 1
 * it is not used in the curve: `"not-used"` is 0, `"not-used-1"` is 1.
 *
 * S-9.2.2 (July 2012), CV 6.
 * @example
 * import { vmid } from "cvset/standard";
 * vmid.encode("not-used").toJSON().cvs; // { "6": 0 }
 */
export const vmid = /* @__PURE__ */ level(/* @__PURE__ */ cv(6), {
  min: 2,
  names: { "not-used": 0, "not-used-1": 1 },
  label: "Vmid",
  note: "Drive level at the middle step, n/255 of the available voltage.",
  clause: "S-9.2.2 (July 2012), CV 6",
});

/**
 * The factor on every drive level when running forward, CV 66: n/128, so 1/128 to 255/128; `"none"` is 0,
 * no trim. A trimmed level may pass 255, which is as much as there is.
 *
 * S-9.2.2 (July 2012), CV 66.
 * @example
 * import { CvSet } from "cvset";
 * import { forwardTrim } from "cvset/standard";
 * forwardTrim.decode(CvSet.from({ 66: 96 })); // 0.75
 */
export const forwardTrim = /* @__PURE__ */ level(/* @__PURE__ */ cv(66), {
  min: 0.0078125,
  step: 0.0078125,
  names: { none: 0 },
  label: "Forward trim",
  note: "Factor n/128 on every drive level.",
  clause: "S-9.2.2 (July 2012), CV 66",
});

/**
 * The factor on every drive level when running backward, CV 95: n/128, so 1/128 to 255/128; `"none"` is
 * 0, no trim. A trimmed level may pass 255, which is as much as there is.
 *
 * S-9.2.2 (July 2012), CV 95.
 * @example
 * import { reverseTrim } from "cvset/standard";
 * reverseTrim.encode(1).toJSON().cvs; // { "95": 128 }
 */
export const reverseTrim = /* @__PURE__ */ level(/* @__PURE__ */ cv(95), {
  min: 0.0078125,
  step: 0.0078125,
  names: { none: 0 },
  label: "Reverse trim",
  note: "Factor n/128 on every drive level.",
  clause: "S-9.2.2 (July 2012), CV 95",
});

/**
 * The speed table, CV 67-94: the drive levels of steps 1-28, 0-255 each.
 *
 * S-9.2.2 (July 2012), CV 67-94.
 * @example
 * import { speedTable } from "cvset/standard";
 * const levels = Array.from({ length: 28 }, (_, i) => 9 * i + 4);
 * speedTable.encode(levels).toJSON().cvs[94]; // 247
 */
export const speedTable = /* @__PURE__ */ table(/* @__PURE__ */ cv(67).through(94), {
  label: "Speed table",
  note: "Drive levels of steps 1-28.",
  clause: "S-9.2.2 (July 2012), CV 67-94",
});

/**
 * How speed steps become drive levels, told apart by CV 29 bit 4: from three points (CV 2, 6, 5) or from
 * the speed table with its trims (CV 66-95). What the other kind has in its CVs stays.
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
    clause: "S-9.2.2 (July 2012), CV 29 bit 4, CV 2, 5, 6 and 66-95",
  },
);

/**
 * The kick start, CV 65: extra drive from stop to step 1, 0-255. The standard gives no unit.
 *
 * S-9.2.2 (July 2012), CV 65.
 * @example
 * import { kickStart } from "cvset/standard";
 * kickStart.encode(20).toJSON().cvs; // { "65": 20 }
 */
export const kickStart = /* @__PURE__ */ level(/* @__PURE__ */ cv(65), {
  label: "Kick start",
  clause: "S-9.2.2 (July 2012), CV 65",
});
