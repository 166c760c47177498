import { type Issue, messageOf } from "../../cv/issue.js";
import { keyOf } from "../../cv/name.js";
import { defineRule, type Found, nothing, type SetView, whole } from "../rule.js";

/** The issues of a set that nobody has spoken about yet. */
function unsaid({ issues, spoken }: SetView, which: (issue: Issue) => boolean): readonly Issue[] {
  if (issues.length === 0) return issues;
  return issues.filter((issue) => which(issue) && !(issue.places?.length && spoken(issue.places)));
}

const found = (issue: Issue): Found => ({ message: messageOf(issue), places: issue.places ?? [] });

/** The rules about what the decoder's description can make of a set. */
export const settingRules = [
  /* @__PURE__ */ defineRule({
    name: "setting-out-of-range",
    severity: "error",
    summary: "A CV holds a number outside the range of its setting.",
    source: "description of the decoder",
    mend: "Give the CV a number in the range that is named.",
    last: true,
    find: (set) => unsaid(set, ({ code }) => code === "range").map(found),
  }),
  /* @__PURE__ */ defineRule({
    name: "setting-unreadable",
    severity: "error",
    summary: "A CV holds a number that stands for nothing.",
    source: "description of the decoder",
    mend: "Give the CV one of the numbers that are named, or check that the decoder is the right one.",
    last: true,
    find: (set) => unsaid(set, ({ code }) => code !== "range" && code !== "missing").map(found),
  }),
  /* @__PURE__ */ defineRule({
    name: "setting-incomplete",
    severity: "note",
    summary: "Of some settings the set has only a part, so they cannot be told.",
    source: "description of the decoder",
    mend: "Add the CVs that are named, if the set is meant to be whole.",
    last: true,
    find(set) {
      const missing = unsaid(set, ({ code }) => code === "missing");
      if (missing.length === 0) return nothing;
      const all = new Set(missing.flatMap(({ places }) => (places ?? []).map(({ cv }) => cv)));
      const cvs = [...all].sort((a, b) => keyOf(a) - keyOf(b));
      const features = new Set(missing.map(({ path }) => path.split(".", 1)[0]));
      const message = `part of ${[...features].join(", ")} cannot be told, for these CVs are not in the set: ${list(cvs)}`;
      return [{ message, places: whole(...cvs) }];
    },
  }),
];

function list(cvs: readonly string[]): string {
  return cvs.length > 20 ? `${cvs.slice(0, 20).join(", ")} and ${cvs.length - 20} more` : cvs.join(", ");
}
