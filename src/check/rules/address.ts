import { isAccessoryBroadcast } from "../../standard/accessory-output.js";
import { addressRanges } from "../../standard/address.js";
import {
  accessoryAddressInUse,
  addressInUse,
  addressKindOf,
  addressText,
  extendedAddressOf,
} from "../../standard/address-in-use.js";
import { heldBackAfterReset, serviceModeFirstBytes } from "../../standard/side-effects.js";
import { bit, defineRule, type Found, nothing, whole } from "../rule.js";

/** The rules about the address. */
export const addressRules = [
  /* @__PURE__ */ defineRule({
    name: "primary-address",
    severity: "error",
    summary: "CV 1 is 0, which takes the decoder out of digital mode, or above 127, which is not an address.",
    source: "S-9.2.2 (July 2012), CV 1",
    fix: "Give CV 1 an address from 1 to 127.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(1);
      if (value === undefined || (value >= addressRanges.primary.min && value <= addressRanges.primary.max))
        return nothing;
      const message =
        value === 0
          ? "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names"
          : `CV 1 is ${value}, which is not an address: addresses are 1 to 127, and bit 7 must be 0`;
      return [{ message, places: whole(1) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "service-mode-address",
    severity: "warning",
    summary:
      "Packets to a primary address from 112 to 127 begin like service-mode packets. A note from 100 on: after a reset packet, packets to these addresses are held back.",
    source: "S-9.2 (July 2004), reset packet, for 100-127; S-9.2.3 (July 2012), C, for 112-127",
    fix: "Use a primary address below 100, or an extended address.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(1) ?? 0;
      const { min, max } = heldBackAfterReset;
      if (value < min || value > max || addressKindOf(cvs) === "extended") return nothing;
      const heldBack = "held back for a while after a reset packet";
      if (value < serviceModeFirstBytes.min) {
        const message = `primary address ${value}: packets to it are ${heldBack}`;
        return [{ message, places: whole(1), severity: "note" }];
      }
      const message = `primary address ${value}: packets to it begin like service-mode packets, and are ${heldBack}`;
      return [{ message, places: whole(1) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address",
    severity: "error",
    summary:
      "CV 17 is outside 192 to 231, so CV 17 and 18 hold no extended address; or the extended address in use is 0.",
    source: "S-9.2.2 (July 2012), CV 17 and 18; for address 0 common practice",
    fix: "Work out CV 17 and 18 from the address: CV 17 = 192 + address / 256, CV 18 the rest.",
    kind: "multifunction",
    find({ cvs }) {
      const high = cvs.get(17);
      if (high === undefined) return nothing;
      const isInUse = addressKindOf(cvs) === "extended";
      // Whether CV 17 is in range does not depend on CV 18.
      if (!extendedAddressOf(high, 0)) {
        const message = `CV 17 is ${high}, outside 192 to 231: CV 17 and 18 hold no extended address${
          isInUse ? "" : " (CV 29 bit 5 does not select one)"
        }`;
        // An address that is not in use does no harm yet.
        const found: Found = { message, places: whole(17, ...(cvs.has(18) ? [18] : [])) };
        return [isInUse ? found : { ...found, severity: "note" }];
      }
      const address = addressInUse(cvs);
      if (address?.kind !== "extended" || address.number !== 0) return nothing;
      return [{ message: "the extended address is 0, which cannot be called", places: whole(17, 18) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address-low",
    severity: "warning",
    summary: "An extended address from 1 to 127, which many systems can only send as a primary one.",
    source: "common practice",
    fix: "Use it as the primary address (CV 1, CV 29 bit 5 = 0), or use an extended address from 128 up.",
    kind: "multifunction",
    find({ cvs }) {
      const address = addressInUse(cvs);
      if (address?.kind !== "extended" || address.number < 1 || address.number > addressRanges.primary.max)
        return nothing;
      const message = `extended address ${address.number}: many systems send addresses up to 127 only as primary ones`;
      return [{ message, places: whole(17, 18) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address-missing",
    severity: "error",
    summary: "CV 29 bit 5 selects the extended address, and CV 17 or 18 is not in the set.",
    source: "S-9.2.2 (July 2012), CV 29 bit 5, CV 17 and 18",
    fix: "Add CV 17 and 18, or clear CV 29 bit 5 to use the primary address.",
    kind: "multifunction",
    find({ cvs }) {
      if (addressKindOf(cvs) !== "extended") return nothing;
      const missing = [17, 18].filter((cv) => !cvs.has(cv));
      if (missing.length === 0) return nothing;
      const message = `CV 29 bit 5 selects the extended address, but the set lacks CV ${missing.join(" and ")}`;
      return [{ message, places: [bit(29, 5), ...whole(...missing)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "broadcast-address",
    severity: "error",
    summary: "The address of an accessory decoder is the one that all accessory decoders obey.",
    source: "S-9.2.1 (July 2012), accessory packets; for extended packets from memory",
    fix: "Give the decoder an address of its own.",
    kind: "accessory",
    find({ cvs }) {
      const address = accessoryAddressInUse(cvs);
      if (!address || !isAccessoryBroadcast(address)) return nothing;
      const message = `${addressText(address)} is the address of all accessory decoders`;
      const places = whole(...[1, 9, 513, 521].filter((cv) => cvs.has(cv)));
      // Either of two readings makes it one.
      const unclear = address.kind === "accessory-output" && address.number > 2044;
      return [
        unclear
          ? { message: `${message} by one reading of S-9.2.2 (July 2012)`, places, severity: "warning" }
          : { message, places },
      ];
    },
  }),
];
