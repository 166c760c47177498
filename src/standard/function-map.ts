import { flags } from "../codec/flags.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * The outputs that each function switches, CV 33-46, as lists of output numbers. CV 33-37 (FL, F1-F3) reach
 * outputs 1-8, CV 38-42 (F4-F8) outputs 4-11, CV 43-46 (F9-F12) outputs 7-14.
 *
 * S-9.2.2 (July 2012), CV 33-46.
 * @example
 * import { functionMap } from "cvset/standard";
 * functionMap.encode({ "FL(f)": [1, 3], F4: [7] }).toJSON().cvs; // { "33": 5, "38": 8 }
 */
export const functionMap = /* @__PURE__ */ record(
  {
    "FL(f)": /* @__PURE__ */ flags(/* @__PURE__ */ cv(33), [1, 2, 3, 4, 5, 6, 7, 8], {
      label: "Outputs of FL(f)",
      source: "S-9.2.2 (July 2012), CV 33",
    }),
    "FL(r)": /* @__PURE__ */ flags(/* @__PURE__ */ cv(34), [1, 2, 3, 4, 5, 6, 7, 8], {
      label: "Outputs of FL(r)",
      source: "S-9.2.2 (July 2012), CV 34",
    }),
    F1: /* @__PURE__ */ flags(/* @__PURE__ */ cv(35), [1, 2, 3, 4, 5, 6, 7, 8], {
      label: "Outputs of F1",
      source: "S-9.2.2 (July 2012), CV 35",
    }),
    F2: /* @__PURE__ */ flags(/* @__PURE__ */ cv(36), [1, 2, 3, 4, 5, 6, 7, 8], {
      label: "Outputs of F2",
      source: "S-9.2.2 (July 2012), CV 36",
    }),
    F3: /* @__PURE__ */ flags(/* @__PURE__ */ cv(37), [1, 2, 3, 4, 5, 6, 7, 8], {
      label: "Outputs of F3",
      source: "S-9.2.2 (July 2012), CV 37",
    }),
    F4: /* @__PURE__ */ flags(/* @__PURE__ */ cv(38), [4, 5, 6, 7, 8, 9, 10, 11], {
      label: "Outputs of F4",
      source: "S-9.2.2 (July 2012), CV 38",
    }),
    F5: /* @__PURE__ */ flags(/* @__PURE__ */ cv(39), [4, 5, 6, 7, 8, 9, 10, 11], {
      label: "Outputs of F5",
      source: "S-9.2.2 (July 2012), CV 39",
    }),
    F6: /* @__PURE__ */ flags(/* @__PURE__ */ cv(40), [4, 5, 6, 7, 8, 9, 10, 11], {
      label: "Outputs of F6",
      source: "S-9.2.2 (July 2012), CV 40",
    }),
    F7: /* @__PURE__ */ flags(/* @__PURE__ */ cv(41), [4, 5, 6, 7, 8, 9, 10, 11], {
      label: "Outputs of F7",
      source: "S-9.2.2 (July 2012), CV 41",
    }),
    F8: /* @__PURE__ */ flags(/* @__PURE__ */ cv(42), [4, 5, 6, 7, 8, 9, 10, 11], {
      label: "Outputs of F8",
      source: "S-9.2.2 (July 2012), CV 42",
    }),
    F9: /* @__PURE__ */ flags(/* @__PURE__ */ cv(43), [7, 8, 9, 10, 11, 12, 13, 14], {
      label: "Outputs of F9",
      source: "S-9.2.2 (July 2012), CV 43",
    }),
    F10: /* @__PURE__ */ flags(/* @__PURE__ */ cv(44), [7, 8, 9, 10, 11, 12, 13, 14], {
      label: "Outputs of F10",
      source: "S-9.2.2 (July 2012), CV 44",
    }),
    F11: /* @__PURE__ */ flags(/* @__PURE__ */ cv(45), [7, 8, 9, 10, 11, 12, 13, 14], {
      label: "Outputs of F11",
      source: "S-9.2.2 (July 2012), CV 45",
    }),
    F12: /* @__PURE__ */ flags(/* @__PURE__ */ cv(46), [7, 8, 9, 10, 11, 12, 13, 14], {
      label: "Outputs of F12",
      source: "S-9.2.2 (July 2012), CV 46",
    }),
  },
  { label: "Outputs of each function", means: "function outputs", source: "S-9.2.2 (July 2012), CV 33-46" },
);
