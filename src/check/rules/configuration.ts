import { decoderKindOf } from "../../standard/cv-facts.js";
import { analogue } from "../../standard/cv29.js";
import { isLocked } from "../../standard/lock.js";
import { bit, defineRule, nothing, whole } from "../rule.js";

const kinds = { multifunction: "a multi-function decoder", accessory: "an accessory decoder" } as const;

/** The rules about the kind of decoder, its power source and its lock. */
export const configurationRules = [
  /* @__PURE__ */ defineRule({
    name: "decoder-kind",
    severity: "error",
    summary:
      "CV 29 bit 7 is that of the other kind of decoder: 1 is an accessory decoder, 0 a multi-function one.",
    source: "S-9.2.2 (July 2012), CV 29 bit 7",
    fix: "Check which decoder the set is for; then set or clear CV 29 bit 7.",
    find({ cvs, decoder: { kind, name } }) {
      const found = decoderKindOf(cvs);
      if (found === undefined || found === kind) return nothing;
      const value = found === "accessory" ? 1 : 0;
      const message = `CV 29 bit 7 is ${value}, which means ${kinds[found]}; ${name} is ${kinds[kind]}`;
      return [{ message, places: [bit(29, 7)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "analogue-on",
    severity: "warning",
    summary:
      "CV 29 bit 2 lets the locomotive run from analogue power: after a fault on the track it may run away.",
    source: "S-9.2.2 (July 2012), CV 29 bit 2; that it is a danger is common practice",
    fix: "Clear CV 29 bit 2, unless the locomotive also runs on analogue track.",
    kind: "multifunction",
    find({ cvs }) {
      if (!cvs.has(29) || !analogue.decode(cvs)) return nothing;
      const message =
        "CV 29 bit 2 allows analogue operation: without a DCC signal the locomotive may start by itself";
      return [{ message, places: [bit(29, 2)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "decoder-lock",
    severity: "warning",
    summary: "CV 15 and 16 differ, so the decoder is locked and ignores every CV write.",
    source: "S-9.2.2 (July 2012), CV 15 and 16",
    fix: "Give CV 15 the value of CV 16.",
    kind: "multifunction",
    find({ cvs }) {
      if (!isLocked(cvs)) return nothing;
      const message = `CV 15 is ${cvs.get(15)} and CV 16 is ${cvs.get(16)}: while they differ, the decoder ignores every CV write`;
      return [{ message, places: whole(15, 16) }];
    },
  }),
];
