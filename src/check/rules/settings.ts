import { type Issue, messageOf } from "../../cv/issue.js";
import { keyOf } from "../../cv/name.js";
import { shortened } from "../../cv/show.js";
import { explain } from "../../decoder/explain.js";
import { otherDecoder } from "../other-decoder.js";
import { defineRule, type Found, nothing, type SetView, whole } from "../rule.js";

/** The issues of a set about bits that no finding is about. */
function unreported({ issues, isReported }: SetView, which: (issue: Issue) => boolean): readonly Issue[] {
  if (issues.length === 0) return issues;
  return issues.filter((issue) => which(issue) && !(issue.places?.length && isReported(issue.places)));
}

const isMissing = ({ code }: Issue): boolean => code === "missing-cv";
const isOutOfRange = ({ code }: Issue): boolean => /^stored-(range|steps)/.test(code);

/** Issues as findings; those with the same complaint become one. */
function findingsOf(issues: readonly Issue[]): readonly Found[] {
  const groups = new Map<string, Issue[]>();
  for (const issue of issues) {
    const key = messageOf({ ...issue, path: "", places: [] });
    const group = groups.get(key);
    if (group) group.push(issue);
    else groups.set(key, [issue]);
  }
  return [...groups.values()].flatMap((group) => {
    const gathered = (cvs: readonly string[]): string => {
      const own = group.filter(({ places }) => places?.some(({ cv }) => cvs.includes(cv)));
      const path = shortened(own.map((issue) => issue.path));
      return messageOf({ ...(own[0] as Issue), path, places: own.flatMap(({ places }) => places ?? []) });
    };
    return group.map((issue) => ({ message: messageOf(issue), places: issue.places ?? [], gathered }));
  });
}

/** The rules about settings that cannot be read by the decoder's description. */
export const settingRules = [
  /* @__PURE__ */ defineRule({
    name: "other-decoder",
    severity: "error",
    summary:
      "Many numbers have no meaning for the decoder's settings: the set looks like that of another decoder. It takes the place of a finding for each of them.",
    source: "description of the decoder",
    fix: "Name the decoder that the set is for; if it is this one, correct the CVs that are named.",
    last: true,
    find(set) {
      const { decoder, cvs } = set;
      const wrong = unreported(set, (issue) => !isMissing(issue));
      // Most sets have none, and need no explanation.
      const other = wrong.length > 0 && otherDecoder(decoder, explain(decoder, cvs).lines, wrong);
      if (!other) return nothing;
      const message = `these look like the numbers of another decoder: ${other.wrong} of ${other.all} settings in the maker's CVs of ${decoder.name} hold a number that has no meaning`;
      return [{ message, places: other.places }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "setting-out-of-range",
    severity: "error",
    summary: "The number in a CV is outside the range of its setting.",
    source: "description of the decoder",
    fix: "Give the CV a number in the range that is named.",
    last: true,
    find: (set) => findingsOf(unreported(set, isOutOfRange)),
  }),
  /* @__PURE__ */ defineRule({
    name: "setting-unreadable",
    severity: "error",
    summary: "The number in a CV has no meaning for its setting.",
    source: "description of the decoder",
    fix: "Give the CV one of the numbers that are named, or check that the decoder is the right one.",
    last: true,
    find: (set) => findingsOf(unreported(set, (issue) => !isMissing(issue) && !isOutOfRange(issue))),
  }),
  /* @__PURE__ */ defineRule({
    name: "setting-incomplete",
    severity: "note",
    summary: "The set has only a part of some settings, so they cannot be read.",
    source: "description of the decoder",
    fix: "Add the CVs that are named, if the set is meant to be whole.",
    last: true,
    find(set) {
      const missing = unreported(set, isMissing);
      if (missing.length === 0) return nothing;
      const all = new Set(missing.flatMap(({ places }) => (places ?? []).map(({ cv }) => cv)));
      const cvs = [...all].sort((a, b) => keyOf(a) - keyOf(b));
      const features = new Set(missing.map(({ path }) => path.split(".", 1)[0]));
      const message = `part of ${[...features].join(", ")} cannot be read, because these CVs are not in the set: ${shortened(cvs)}`;
      return [{ message, places: whole(...cvs) }];
    },
  }),
];
