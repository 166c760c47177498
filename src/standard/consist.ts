import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";
import { addressRanges } from "./address.js";

/**
 * The consist, CV 19: its address (1-127, or `"none"`), and whether the unit runs in it opposite to its
 * normal direction. While there is a consist address, the decoder ignores speed and direction sent to its
 * own address, unless that is the consist address too (S-9.2.1 (July 2012), Consist Control).
 *
 * S-9.2.2 (July 2012), CV 19.
 * @example
 * import { consist } from "cvset/standard";
 * consist.encode({ address: 32, reversed: true }).toJSON().cvs; // { "19": 160 }
 */
export const consist = /* @__PURE__ */ consistCodec();

/**
 * The functions that also work from the consist address: `f1ToF8` in CV 21, `flF9ToF12` in CV 22. Bits 6
 * and 7 of CV 22 are not assigned and are not touched.
 *
 * S-9.2.2 (July 2012), CV 21 and 22.
 * @example
 * import { locomotive } from "cvset/standard";
 * locomotive.consistFunctions.encode({ f1ToF8: ["F1", "F8"] }).toJSON().cvs; // { "21": 129 }
 */
export const consistFunctions = /* @__PURE__ */ record(
  {
    f1ToF8: /* @__PURE__ */ flags(/* @__PURE__ */ cv(21), ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8"], {
      label: "Consist address works F1-F8",
      source: "S-9.2.2 (July 2012), CV 21",
    }),
    flF9ToF12: /* @__PURE__ */ flags(
      /* @__PURE__ */ cv(22).bits(0, 5),
      ["FL(f)", "FL(r)", "F9", "F10", "F11", "F12"],
      { label: "Consist address works FL, F9-F12", source: "S-9.2.2 (July 2012), CV 22" },
    ),
  },
  {
    label: "Functions in a consist",
    means: "functions in a consist",
    source: "S-9.2.2 (July 2012), CV 21 and 22",
  },
);

// Bundlers drop a call that is marked as pure, but not one with a spread among its arguments.
/* @__NO_SIDE_EFFECTS__ */
function consistCodec() {
  return record(
    {
      address: level(cv(19).bits(0, 6), {
        ...addressRanges.consist,
        names: { none: 0 },
        label: "Consist address",
        source: "S-9.2.2 (July 2012), CV 19 bits 0-6",
      }),
      reversed: flag(cv(19).bit(7), {
        label: "Runs reversed in the consist",
        source: "S-9.2.2 (July 2012), CV 19 bit 7",
      }),
    },
    { label: "Consist", means: "consist", source: "S-9.2.2 (July 2012), CV 19" },
  );
}
