import { several } from "../codec/several.js";
import { cv } from "../cv/place.js";

// Two readings of CV 28 contradict each other, and neither can be told from a byte. Both are here, each
// under the name of its edition; the decoders `nmra` and `nmra-accessory` take the 2012 one, because
// everything else in them is from that edition.

/**
 * Bi-directional communication, CV 28, as the 2012 edition prints it ("under re-evaluation"): unsolicited
 * transmission, broadcast by asymmetrical DCC, broadcast by signal-controlled influence. Bits 3-7 are
 * reserved there. For what decoders made since then do, see {@link biDirectionalLater}.
 *
 * S-9.2.2 (July 2012), CV 28.
 * @example
 * import { CvSet } from "cvset";
 * import { biDirectional2012 } from "cvset/standard";
 * biDirectional2012.decode(CvSet.from({ 28: 3 })); // ["unsolicited", "asymmetrical-broadcast"]
 */
export const biDirectional2012 = /* @__PURE__ */ several(
  /* @__PURE__ */ cv(28).bits(0, 2),
  ["unsolicited", "asymmetrical-broadcast", "signal-controlled-broadcast"],
  { label: "Bi-directional communication (2012)", clause: "S-9.2.2 (July 2012), CV 28" },
);

/**
 * Bi-directional communication, CV 28, as it is used since S-9.3.2 of December 2012 and RCN-217: channel
 * 1, channel 2, channel 1 switches itself off, programming address, high current, automatic logon. Bits 3
 * and 5 are left alone. From memory: the document was not read again.
 *
 * S-9.3.2 (December 2012) and RCN-217, from memory.
 * @example
 * import { CvSet } from "cvset";
 * import { biDirectionalLater } from "cvset/standard";
 * biDirectionalLater.decode(CvSet.from({ 28: 3 })); // ["channel-1", "channel-2"]
 */
export const biDirectionalLater = /* @__PURE__ */ several(
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
    clause: "S-9.3.2 (December 2012) and RCN-217, CV 28, from memory",
  },
);
