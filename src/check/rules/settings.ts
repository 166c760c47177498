import { type Issue, messageOf } from "../../cv/issue.js";
import { keyOf } from "../../cv/name.js";
import { shortened } from "../../cv/show.js";
import { otherDecoder } from "../other-decoder.js";
import { defineRule, type Found, nothing, type SetView, whole } from "../rule.js";

/** The issues of a set about bits that no finding is about. */
function unreported({ issues, isReported }: SetView, which: (issue: Issue) => boolean): readonly Issue[] {
  if (issues.length === 0) return issues;
  return issues.filter((issue) => which(issue) && !(issue.places?.length && isReported(issue.places)));
}

const isMissing = ({ code }: Issue): boolean => code === "missing-cv";
const outOfRange: ReadonlySet<string> = /* @__PURE__ */ new Set([
  "stored-range",
  "stored-range-or-name",
  "stored-steps",
]);
const isOutOfRange = ({ code }: Issue): boolean => outOfRange.has(code);

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

/** The rule about a set of another decoder, in place of a finding for each of its CVs. */
export const otherDecoderRule = /* @__PURE__ */ defineRule({
  name: "other-decoder",
  severity: "error",
  summary:
    "Many CVs of the set hold a number that stands for nothing, or are not in the decoder's description, which has others.",
  source: "description of the decoder",
  fix: "Name the right decoder, or check that the set was read out completely.",
  last: true,
  find({ cvs, decoder, issues }) {
    const names = function* () {
      for (const [cv] of cvs) yield cv;
    };
    const other = otherDecoder(decoder, names(), issues);
    if (!other) return nothing;
    const { message, isSenseless } = other;
    return [{ message, places: whole(...other.cvs), ...(!isSenseless && { severity: "warning" }) }];
  },
});

/** The rules about settings that cannot be read by the decoder's description. */
export const settingRules = [
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
