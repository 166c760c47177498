import { consistInUse } from "../../standard/address-in-use.js";
import { ignoresOwnSpeed } from "../../standard/side-effects.js";
import { defineRule, nothing, whole } from "../rule.js";

/** The rules about consists. */
export const consistRules = [
  /* @__PURE__ */ defineRule({
    name: "consist-address",
    severity: "warning",
    summary:
      "A consist address is in CV 19: the locomotive ignores speed and direction sent to its own address. A note where it is the own address, which it goes on obeying.",
    source: "S-9.2.1 (July 2012), Consist Control; S-9.2.2 (July 2012), CV 19",
    fix: "Set CV 19 to 0, unless the locomotive is meant to stay in this consist.",
    kind: "multifunction",
    find({ cvs }) {
      const consist = consistInUse(cvs);
      if (!consist) return nothing;
      if (!ignoresOwnSpeed(cvs)) {
        const message = `CV 19 holds consist address ${consist.number}, which is the own address too: the locomotive goes on obeying it`;
        return [{ message, places: whole(19), severity: "note" }];
      }
      const message = `CV 19 holds consist address ${consist.number}: at its own address the locomotive does not run`;
      return [{ message, places: whole(19) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "consist-functions",
    severity: "warning",
    summary: "CV 21 or 22 gives functions to the consist address, and CV 19 has none.",
    source: "S-9.2.2 (July 2012), CV 19, 21 and 22",
    fix: "Set CV 21 and 22 to 0, or give CV 19 the consist address.",
    kind: "multifunction",
    find({ cvs }) {
      if (!cvs.has(19) || consistInUse(cvs)) return nothing;
      const set = [21, 22].filter((cv) => cvs.get(cv));
      if (set.length === 0) return nothing;
      const message = `CV ${set.join(" and ")} ${set.length > 1 ? "give" : "gives"} functions to the consist address, but CV 19 has none`;
      return [{ message, places: whole(...set) }];
    },
  }),
];
