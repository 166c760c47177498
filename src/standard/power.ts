import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";

/**
 * Settings of what happens without packets or on other power than DCC, as features to spread into a
 * description or to take one by one.
 *
 * S-9.2.2 (July 2012), CV 11-14 and 27.
 * @example
 * import { CvSet } from "cvset";
 * import { power } from "cvset/standard";
 * power.packetTimeout.encode(10).toJSON().cvs; // { "11": 10 }
 * power.powerSources.decode(CvSet.from({ 12: 5 })); // ["analogue", "older-system-4"]
 * power.alternateModeFunctions.encode({ flF9ToF12: ["FL(f)", "FL(r)"] }).toJSON().bits; // [{ "cv": "14", "mask": 63, "value": 3 }]
 * power.automaticStopping.encode(["asymmetrical-right", "forward-dc"]).toJSON().bits; // [{ "cv": "27", "mask": 55, "value": 33 }]
 */
export const power = /* @__PURE__ */ Object.freeze({
  /**
   * How long the decoder keeps its speed without a packet for it, CV 11: 0-255. The standard gives no unit.
   *
   * S-9.2.2 (July 2012), CV 11.
   */
  packetTimeout: /* @__PURE__ */ level(/* @__PURE__ */ cv(11), {
    label: "Packet time-out",
    source: "S-9.2.2 (July 2012), CV 11",
  }),
  /**
   * The power sources other than DCC that the decoder may run from, CV 12: one bit each. Bits 2-5 are
   * systems that came before DCC, named here by the value of their bit. Bits 6 and 7 are not assigned and
   * are not touched.
   *
   * S-9.2.2 (July 2012), CV 12.
   */
  powerSources: /* @__PURE__ */ flags(
    /* @__PURE__ */ cv(12).bits(0, 5),
    ["analogue", "radio", "older-system-4", "older-system-8", "older-system-16", "older-system-32"],
    { label: "Other power sources", source: "S-9.2.2 (July 2012), CV 12" },
  ),
  /**
   * The functions that are on while the decoder runs from another power source: `f1ToF8` in CV 13,
   * `flF9ToF12` in CV 14. Bits 6 and 7 of CV 14 are not assigned and are not touched.
   *
   * S-9.2.2 (July 2012), CV 13 and 14.
   */
  alternateModeFunctions: /* @__PURE__ */ record(
    {
      f1ToF8: /* @__PURE__ */ flags(
        /* @__PURE__ */ cv(13),
        ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8"],
        { label: "F1-F8 that are on", source: "S-9.2.2 (July 2012), CV 13" },
      ),
      flF9ToF12: /* @__PURE__ */ flags(
        /* @__PURE__ */ cv(14).bits(0, 5),
        ["FL(f)", "FL(r)", "F9", "F10", "F11", "F12"],
        { label: "FL, F9-F12 that are on", source: "S-9.2.2 (July 2012), CV 14" },
      ),
    },
    { label: "Functions in alternate mode", source: "S-9.2.2 (July 2012), CV 13 and 14" },
  ),
  /**
   * The track signals that stop the locomotive, CV 27: asymmetrical DCC with the right or the left rail
   * more positive, the cutout of signal-controlled influence, or direct current of reverse or forward
   * polarity. Bits 3, 6 and 7 are reserved and are not touched.
   *
   * S-9.2.2 (July 2012), CV 27.
   */
  automaticStopping: /* @__PURE__ */ flags(
    /* @__PURE__ */ cv(27).bits(0, 5),
    ["asymmetrical-right", "asymmetrical-left", "signal-controlled", null, "reverse-dc", "forward-dc"],
    { label: "Automatic stopping", source: "S-9.2.2 (July 2012), CV 27" },
  ),
});
