import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * The maker's version number, CV 7: 0-255. A decoder never lets it be written.
 *
 * S-9.2.2 (July 2012), CV 7.
 * @example
 * import { CvSet } from "cvset";
 * import { version } from "cvset/standard";
 * version.decode(CvSet.from({ 7: 12 })); // 12
 */
export const version = /* @__PURE__ */ level(/* @__PURE__ */ cv(7), {
  label: "Maker's version number",
  note: "Read-only.",
  clause: "S-9.2.2 (July 2012), CV 7",
});

/**
 * The maker's number, CV 8: 0-255; `"expanded"` is 238, when CV 107 and 108 hold the number. A decoder
 * never lets it be written, and takes writing 8 as a request to reset (S-9.2.3 (July 2012)).
 *
 * S-9.2.2 (July 2012), CV 8.
 * @example
 * import { CvSet } from "cvset";
 * import { manufacturer } from "cvset/standard";
 * manufacturer.decode(CvSet.from({ 8: 13 })); // 13
 */
export const manufacturer = /* @__PURE__ */ level(/* @__PURE__ */ cv(8), {
  names: { expanded: 238 },
  label: "Maker's number",
  note: "Read-only.",
  clause: "S-9.2.2 (July 2012), CV 8",
});

/**
 * The maker's number in two bytes, CV 107 (high) and 108: 0-65535. Only with CV 8 = 238 is it one;
 * otherwise both CVs are reserved. Which byte is the high one is from memory.
 *
 * S-9.2.2 (July 2012), Table 1, CV 107-108.
 * @example
 * import { CvSet } from "cvset";
 * import { expandedManufacturer } from "cvset/standard";
 * expandedManufacturer.decode(CvSet.from({ 107: 1, 108: 2 })); // 258
 */
export const expandedManufacturer = /* @__PURE__ */ level(
  /* @__PURE__ */ cv(107).with(/* @__PURE__ */ cv(108)),
  {
    label: "Expanded maker's number",
    note: "Only with CV 8 = 238.",
    clause: "S-9.2.2 (July 2012), CV 107-108",
  },
);

/**
 * Two numbers for the owner's own use, CV 105 and 106: 0-255 each.
 *
 * S-9.2.2 (July 2012), CV 105 and 106.
 * @example
 * import { userIdentification } from "cvset/standard";
 * userIdentification.encode({ first: 9, second: 1 }).toJSON().cvs; // { "105": 9, "106": 1 }
 */
export const userIdentification = /* @__PURE__ */ record(
  {
    first: /* @__PURE__ */ level(/* @__PURE__ */ cv(105), {
      label: "User identification #1",
      clause: "S-9.2.2 (July 2012), CV 105",
    }),
    second: /* @__PURE__ */ level(/* @__PURE__ */ cv(106), {
      label: "User identification #2",
      clause: "S-9.2.2 (July 2012), CV 106",
    }),
  },
  { label: "User identification", clause: "S-9.2.2 (July 2012), CV 105 and 106" },
);
