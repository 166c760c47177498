import { bit, defineRule, nothing, whole } from "../rule.js";
import { bitOf } from "../standing.js";

/** The rules about what the decoder is and which power it runs from. */
export const configurationRules = [
  /* @__PURE__ */ defineRule({
    name: "decoder-kind",
    severity: "error",
    summary: "CV 29 bit 7 says the other kind of decoder: 1 is an accessory decoder, 0 a multi-function one.",
    source: "S-9.2.2 (July 2012), CV 29 bit 7",
    mend: "Check which decoder the set is for; then set or clear CV 29 bit 7 to fit.",
    find({ cvs, decoder: { kind, name } }) {
      const value = bitOf(cvs, 29, 7);
      if (value === undefined || value === (kind === "accessory" ? 1 : 0)) return nothing;
      const kinds = ["a multi-function decoder", "an accessory decoder"];
      const message = `CV 29 bit 7 is ${value}, which says ${kinds[value]}; ${name} is ${kinds[1 - value]}`;
      return [{ message, places: [bit(29, 7)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "analogue-on",
    severity: "warning",
    summary:
      "CV 29 bit 2 lets the locomotive run from analogue power: after a fault on the track it may run away.",
    source: "S-9.2.2 (July 2012), CV 29 bit 2; that it is a danger is common practice",
    mend: "Clear CV 29 bit 2, unless the locomotive also runs on analogue track.",
    kind: "multifunction",
    find({ cvs }) {
      if (bitOf(cvs, 29, 2) !== 1) return nothing;
      const message =
        "CV 29 bit 2 allows analogue operation: without a DCC signal the locomotive may start by itself";
      return [{ message, places: [bit(29, 2)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "decoder-lock",
    severity: "warning",
    summary: "CV 15 and 16 differ, so the decoder is locked and obeys no CV write.",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
    mend: "Give CV 15 the value of CV 16.",
    kind: "multifunction",
    find({ cvs }) {
      const [key, number] = [cvs.get(15), cvs.get(16)];
      if (key === undefined || number === undefined || key === number) return nothing;
      const message = `CV 15 is ${key} and CV 16 is ${number}: while they differ, the decoder obeys no CV write`;
      return [{ message, places: whole(15, 16) }];
    },
  }),
];
