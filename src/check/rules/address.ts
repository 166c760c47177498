import { addressRanges } from "../../standard/address.js";
import { addressInUse, addressKindOf, extendedAddressOf } from "../../standard/address-in-use.js";
import { bit, defineRule, type Found, nothing, whole } from "../rule.js";

const { primary } = addressRanges;

/** The rules about the address of a multi-function decoder. */
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
      if (value === undefined || (value >= primary.min && value <= primary.max)) return nothing;
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
    summary: "Packets to a primary address from 112 to 127 begin like service-mode packets.",
    source: "S-9.2.1 (July 2012), Digital Decoder Reset; S-9.2.3 (July 2012), C",
    fix: "Use a primary address below 112, or an extended address.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(1) ?? 0;
      if (value < 112 || value > primary.max || addressKindOf(cvs) === "extended") return nothing;
      const message = `primary address ${value}: packets to it begin like service-mode packets, and are held back after a reset`;
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
      if (address?.kind !== "extended" || address.number < 1 || address.number > primary.max) return nothing;
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
];
