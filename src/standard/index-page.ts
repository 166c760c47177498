import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/** The lowest value of CV 31 that is not reserved (S-9.2.2 (July 2012), CV 31 and 32). */
export const firstFreePage = 16;

/**
 * The index page that CV 257-512 show: CV 31 (high, 16-255) and CV 32 (low, 0-255). The pages with
 * CV 31 = 0-15 are reserved for the NMRA; such a byte is an error.
 *
 * S-9.2.2 (July 2012), CV 31 and 32.
 * @example
 * import { indexPage } from "cvset/standard";
 * indexPage.encode({ high: 16, low: 0 }).toJSON().cvs; // { "31": 16, "32": 0 }
 */
export const indexPage = /* @__PURE__ */ record(
  {
    high: /* @__PURE__ */ level(/* @__PURE__ */ cv(31), {
      min: firstFreePage,
      max: 255,
      label: "Index high byte",
      note: "0-15 are reserved for the NMRA.",
      source: "S-9.2.2 (July 2012), CV 31",
    }),
    low: /* @__PURE__ */ level(/* @__PURE__ */ cv(32), {
      label: "Index low byte",
      source: "S-9.2.2 (July 2012), CV 32",
    }),
  },
  { label: "Index page", source: "S-9.2.2 (July 2012), CV 31 and 32" },
);
