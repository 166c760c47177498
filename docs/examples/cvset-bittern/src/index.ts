import { type CodecKinds, decoderFromJson } from "cvset";
import { defineRule, type Rule } from "cvset/check";
import type { Term } from "cvset/meaning";
import description from "../bittern-k2.json" with { type: "json" };
import { bcdClock } from "./bcd-clock.js";
import { crc8Kind } from "./crc8.js";
import { guarded } from "./guarded.js";

// A plug-in is a module with these exports; each can also be given to the function that uses it.

/** Kinds of codec for descriptions in JSON: `decoderFromJson(json, { codecs })`. */
export const codecs: CodecKinds = { "bcd-clock": bcdClock, crc8: crc8Kind, guarded };

/** Rules: `checkSet(cvs, { rules: [...standardRules, ...rules] })`. */
export const rules: readonly Rule[] = [
  defineRule({
    name: "bittern/never-quiet",
    severity: "warning",
    summary: "Quiet hours begin and end at different times.",
    source: "Bittern K2, manual (invented), page 5",
    fix: "Set different times, or turn quiet hours off.",
    find({ decoder, settings }) {
      const { quiet } = settings as { quiet?: "off" | { from: string; to: string } };
      const codec = decoder.features["quiet"];
      if (decoder.id !== "bittern-k2" || !codec || quiet === undefined || quiet === "off") return [];
      if (quiet.from !== quiet.to) return [];
      return [{ message: `quiet hours begin and end at ${quiet.from}, and so never are`, places: codec.bits }];
    },
  }),
];

/** Terms of meaning: `translate(cvs, from, to, { terms })`. */
export const terms: readonly Term[] = [
  { name: "station clock", group: "station", type: "part", definition: "A clock on a platform." },
  { name: "quiet hours", group: "station", type: "part", definition: "When a clock does not strike." },
];

/** The decoder. */
export const bittern = decoderFromJson(description, { codecs });
