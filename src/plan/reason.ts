import { nameOf } from "../cv/name.js";
import type { Binding } from "./bindings.js";
import type { Need } from "./write.js";

/** How many CVs a reason names. */
const mostNamed = 3;

const needTexts: Readonly<Record<Exclude<Need, "select">, string>> = {
  differs: "its value changes",
  unknown: "its present value is not known",
  asked: "everything is to be written",
  again: "written again with the same value",
  either: "sent to the address that the decoder has if writing CV 1 has cleared bit 5 of CV 29",
  unlock: "opens the decoder lock for the other steps",
  reset: "asks for a factory reset",
};

/** The selection of an index page, and how many of its CVs are written. */
interface Selection {
  readonly page: string;
  readonly count: number;
}

/**
 * Why a step is in a plan, and which rules of order apply to it.
 * @param need What it is needed for.
 * @param bindings The rules that apply.
 * @param others How many other steps the plan has.
 */
export function reasonText(
  need: Exclude<Need, "select"> | Selection,
  bindings: readonly Binding[],
  others: number,
): string {
  const first =
    typeof need === "string"
      ? needTexts[need]
      : `selects index page ${need.page} for ${need.count} CV${need.count === 1 ? "" : "s"}`;
  const rules = bindings.map(({ rule, after, before }) => {
    const places = [
      ...(after.length ? [`after ${stepsText(after, others)}`] : []),
      ...(before.length ? [`before ${stepsText(before, others)}`] : []),
    ];
    return `${places.join(", ")}: ${rule.why} (${rule.source})`;
  });
  return [first, ...(rules.length ? rules : [noRule])].join("; ");
}

const noRule = "no rule of order applies to it";

/** Steps by their CVs: `CV 17 and CV 18`. */
function stepsText(keys: readonly number[], others: number): string {
  if (keys.length === others && others > 1) return "all other steps";
  const different = [...new Set(keys)];
  const names = different.slice(0, mostNamed).map((key) => `CV ${nameOf(key)}`);
  const more = different.length - names.length;
  const last = more > 0 ? `${more} more` : (names.pop() as string);
  return names.length ? `${names.join(", ")} and ${last}` : last;
}
