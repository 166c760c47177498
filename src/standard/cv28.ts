import { flags } from "../codec/flags.js";
import { cv } from "../cv/place.js";

// CV 28 has two meanings that contradict each other, and a byte does not show which one applies. Both are
// here, each under the name of its edition. The decoders `nmra` and `nmra-accessory` use the 2012 one,
// because everything else in them is from that edition.

/**
 * Bi-directional communication, CV 28, as the 2012 edition prints it ("under re-evaluation"): unsolicited
 * transmission, broadcast by asymmetrical DCC, broadcast by signal-controlled influence. Bits 3-7 are
 * reserved there and are not touched. For decoders made later see {@link biDirectionalLater}.
 *
 * S-9.2.2 (July 2012), CV 28.
 * @example
 * import { CvSet } from "cvset";
 * import { biDirectional2012 } from "cvset/standard";
 * biDirectional2012.decode(CvSet.from({ 28: 3 })); // ["unsolicited", "asymmetrical-broadcast"]
 */
export const biDirectional2012 = /* @__PURE__ */ flags(
  /* @__PURE__ */ cv(28).bits(0, 2),
  ["unsolicited", "asymmetrical-broadcast", "signal-controlled-broadcast"],
  { label: "Bi-directional communication (2012)", source: "S-9.2.2 (July 2012), CV 28" },
);

/**
 * Bi-directional communication, CV 28, as it is used since S-9.3.2 (December 2012) and RCN-217 (from memory): channel
 * 1, channel 2, channel 1 switches itself off, programming address, high current, automatic logon. Bits 3
 * and 5 are not touched. From memory: the document was not read again.
 *
 * S-9.3.2 (December 2012) and RCN-217, from memory.
 * @example
 * import { CvSet } from "cvset";
 * import { biDirectionalLater } from "cvset/standard";
 * biDirectionalLater.decode(CvSet.from({ 28: 3 })); // ["channel-1", "channel-2"]
 */
export const biDirectionalLater = /* @__PURE__ */ flags(
  /* @__PURE__ */ cv(28),
  [
    "channel-1",
    "channel-2",
    "channel-1-auto-off",
    null,
    "programming-address",
    null,
    "high-current",
    "automatic-logon",
  ],
  {
    label: "Bi-directional communication (later practice)",
    source: "S-9.3.2 (December 2012) and RCN-217, CV 28, from memory",
  },
);
