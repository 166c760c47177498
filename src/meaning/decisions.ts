import { unknownName } from "../cv/faults.js";
import { CvError, fault, type Issue, under } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { nearestNames } from "../cv/nearest.js";
import type { Setting } from "./settings.js";

const badDecision = /* @__PURE__ */ fault(
  "decision",
  'a decision needs the setting of the target in "to", got {found}',
);

const severalInOne = /* @__PURE__ */ fault(
  "decision-for-several",
  "a value is for one setting, and {found} has several: {settings}",
);

/** An answer to what a translation leaves undecided. It can be kept, and used for the next locomotive. */
export interface Decision {
  /** The setting of the target: `"fuel"`; without `use` also the beginning of several: `"lamp5"`. */
  readonly to: string;
  /** The setting of the source that it is taken from, or the beginning of several. */
  readonly from?: string;
  /** The decision counts only while the source's setting has this value. */
  readonly when?: unknown;
  /** The value to set. Without `from` and `use` the target's setting keeps its value. */
  readonly use?: unknown;
}

/**
 * Checks decisions from outside.
 * @throws `CvError` with everything that is wrong.
 */
export function checkDecisions(
  decisions: readonly Decision[],
  from: readonly Setting[],
  to: readonly Setting[],
): void {
  const issues = new IssueList();
  decisions.forEach((decision, i) => {
    const path = `decisions.${i}`;
    if (typeof decision !== "object" || decision === null || typeof decision.to !== "string") {
      issues.add(badDecision({ found: decision }, { path }));
      return;
    }
    issues.addAll(nameIssues(decision.to, to), `${path}.to`);
    if (decision.from !== undefined) issues.addAll(nameIssues(decision.from, from), `${path}.from`);
    if (decision.use === undefined) return;
    const setting = to.find((one) => one.path === decision.to);
    if (setting) {
      const result = setting.codec.tryEncode(decision.use);
      if (!result.ok) issues.addAll(under("use", result.issues), path);
    } else {
      const settings = to.map((one) => one.path).filter((one) => one.startsWith(`${decision.to}.`));
      if (settings.length) issues.add(severalInOne({ found: decision.to, settings }, { path: `${path}.to` }));
    }
  });
  if (issues.some) throw new CvError(issues.done());
}

function nameIssues(found: unknown, settings: readonly Setting[]): Issue[] {
  const allowed = settings.map(({ path }) => path);
  if (allowed.some((path) => path === found || path.startsWith(`${found}.`))) return [];
  return [unknownName({ found, allowed, nearest: nearestNames(String(found), allowed) })];
}

/** The first decision that counts for a setting of the target; one that only names the source decides no value. */
export function decisionFor(
  decisions: readonly Decision[],
  to: string,
  from: string | undefined,
  value: unknown,
): Decision | undefined {
  return decisions.find(
    (one) =>
      (one.to === to || (one.use === undefined && one.from === undefined && to.startsWith(`${one.to}.`))) &&
      (one.from === undefined || (one.from === from && one.use !== undefined)) &&
      (one.when === undefined || (from !== undefined && JSON.stringify(one.when) === JSON.stringify(value))),
  );
}
