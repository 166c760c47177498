import type { Rule } from "cvset/check";

/** A rule from outside that finds nothing. */
export const clubRule: Rule = {
  name: "club/one",
  severity: "note",
  source: "club rules",
  summary: "One.",
  fix: "Mend it.",
  find: () => [],
};
