import { defineRule, type Found, nothing, whole } from "../rule.js";
import { addressOf, bitOf } from "../standing.js";

/** The rules about the address that a multi-function decoder answers to. */
export const addressRules = [
  /* @__PURE__ */ defineRule({
    name: "primary-address",
    severity: "error",
    summary: "CV 1 is 0, which takes the decoder out of digital mode, or above 127, which is no address.",
    source: "S-9.2.2 (July 2012), CV 1",
    mend: "Give CV 1 an address from 1 to 127.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(1);
      if (value === undefined || (value >= 1 && value <= 127)) return nothing;
      const message =
        value === 0
          ? "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names"
          : `CV 1 is ${value}, which is no address: it goes from 1 to 127, and bit 7 must be 0`;
      return [{ message, places: whole(1) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "service-mode-address",
    severity: "warning",
    summary: "A short address from 112 to 127 looks like the beginning of a service-mode packet.",
    source: "S-9.2.1 (July 2012), Digital Decoder Reset; S-9.2.3 (July 2012), C",
    mend: "Take a short address below 112, or a long one.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(1) ?? 0;
      if (value < 112 || value > 127 || bitOf(cvs, 29, 5) === 1) return nothing;
      const message = `short address ${value}: packets to it begin like service-mode packets, and are held back after a reset`;
      return [{ message, places: whole(1) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address",
    severity: "error",
    summary:
      "CV 17 is outside 192 to 231, so CV 17 and 18 hold no long address; or the long address in use is 0.",
    source: "S-9.2.2 (July 2012), CV 17 and 18; for address 0 common practice",
    mend: "Work out CV 17 and 18 anew from the address: CV 17 = 192 + address / 256, CV 18 the rest.",
    kind: "multifunction",
    find({ cvs }) {
      const high = cvs.get(17);
      if (high === undefined) return nothing;
      const inUse = bitOf(cvs, 29, 5) === 1;
      if (high < 192 || high > 231) {
        const message = `CV 17 is ${high}, outside 192 to 231: CV 17 and 18 hold no long address${
          inUse ? "" : " (CV 29 bit 5 does not call for one)"
        }`;
        // What is not in use does no harm yet.
        const found: Found = { message, places: whole(17, ...(cvs.has(18) ? [18] : [])) };
        return [inUse ? found : { ...found, severity: "note" }];
      }
      if (!inUse || high !== 192 || cvs.get(18) !== 0) return nothing;
      return [{ message: "the long address is 0, which nothing can call", places: whole(17, 18) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address-low",
    severity: "warning",
    summary: "A long address from 1 to 127, which many systems can only send as a short one.",
    source: "common practice",
    mend: "Use it as the short address (CV 1, CV 29 bit 5 = 0), or take a long address from 128 up.",
    kind: "multifunction",
    find({ cvs }) {
      const address = addressOf(cvs);
      if (address?.kind !== "long" || address.number < 1 || address.number > 127) return nothing;
      const message = `long address ${address.number}: many systems send addresses up to 127 only as short ones`;
      return [{ message, places: whole(17, 18) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "extended-address-missing",
    severity: "error",
    summary: "CV 29 bit 5 calls for the long address, and CV 17 or 18 is not in the set.",
    source: "S-9.2.2 (July 2012), CV 29 bit 5, CV 17 and 18",
    mend: "Add CV 17 and 18, or clear CV 29 bit 5 to use the short address.",
    kind: "multifunction",
    find({ cvs }) {
      if (bitOf(cvs, 29, 5) !== 1) return nothing;
      const missing = [17, 18].filter((cv) => !cvs.has(cv));
      if (missing.length === 0) return nothing;
      const message = `CV 29 bit 5 calls for the long address, but the set lacks CV ${missing.join(" and ")}`;
      return [{ message, places: [{ cv: "29", mask: 32 }, ...whole(...missing)] }];
    },
  }),
];
