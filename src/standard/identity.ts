import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * The numbers of the maker and of the owner, as features to spread into a description or to take one by
 * one.
 *
 * S-9.2.2 (July 2012), CV 7, 8 and 105-108.
 * @example
 * import { CvSet } from "cvset";
 * import { identity } from "cvset/standard";
 * identity.version.decode(CvSet.from({ 7: 12 })); // 12
 * identity.manufacturer.decode(CvSet.from({ 8: 13 })); // 13
 * identity.expandedManufacturer.decode(CvSet.from({ 107: 1, 108: 2 })); // 258
 * identity.userIdentification.encode({ first: 9, second: 1 }).toJSON().cvs; // { "105": 9, "106": 1 }
 */
export const identity = /* @__PURE__ */ Object.freeze({
  /**
   * The maker's version number, CV 7: 0-255. It cannot be written.
   *
   * S-9.2.2 (July 2012), CV 7.
   */
  version: /* @__PURE__ */ level(/* @__PURE__ */ cv(7), {
    label: "Maker's version number",
    note: "Read-only.",
    source: "S-9.2.2 (July 2012), CV 7",
  }),
  /**
   * The maker's number, CV 8: 0-255. 238 is `"expanded"`: CV 107 and 108 hold the number. It cannot be
   * written; a write of 8 to CV 8 asks for a factory reset, and CV 8 reads 255 until that is done (S-9.2.3
   * (July 2012), Decoder Factory Reset).
   *
   * S-9.2.2 (July 2012), CV 8; Table 1, CV 107-108, for 238.
   */
  manufacturer: /* @__PURE__ */ level(/* @__PURE__ */ cv(8), {
    names: { expanded: 238 },
    label: "Maker's number",
    note: "Read-only.",
    source: "S-9.2.2 (July 2012), CV 8; Table 1, CV 107-108, for 238",
  }),
  /**
   * The maker's number in two bytes, CV 107 (high) and 108: 0-65535. It is in use while CV 8 = 238;
   * otherwise both CVs are reserved. Which byte is the high one is from memory.
   *
   * S-9.2.2 (July 2012), Table 1, CV 107-108.
   */
  expandedManufacturer: /* @__PURE__ */ level(/* @__PURE__ */ cv(107).with(/* @__PURE__ */ cv(108)), {
    label: "Expanded maker's number",
    note: "In use while CV 8 = 238.",
    source: "S-9.2.2 (July 2012), Table 1, CV 107-108",
  }),
  /**
   * Two numbers for the owner's own use, CV 105 and 106: 0-255 each.
   *
   * S-9.2.2 (July 2012), Table 1, CV 105-106.
   */
  userIdentification: /* @__PURE__ */ record(
    {
      first: /* @__PURE__ */ level(/* @__PURE__ */ cv(105), {
        label: "User identification #1",
        source: "S-9.2.2 (July 2012), Table 1, CV 105-106",
      }),
      second: /* @__PURE__ */ level(/* @__PURE__ */ cv(106), {
        label: "User identification #2",
        source: "S-9.2.2 (July 2012), Table 1, CV 105-106",
      }),
    },
    { label: "User identification", source: "S-9.2.2 (July 2012), Table 1, CV 105-106" },
  ),
});
