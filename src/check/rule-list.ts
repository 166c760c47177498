import type { AnyDecoder } from "../decoder/decoder.js";
import { fleetRules } from "./fleet-rules.js";
import { knownOf } from "./known.js";
import { readingRules } from "./reading.js";
import type { Rule, RuleInfo } from "./rule.js";
import { silenceRules } from "./silence.js";
import { standardRules } from "./standard-rules.js";

/**
 * Everything that can stand as the `rule` of a finding: the rules given, those of decoders, those across
 * files, and what is said about reading and silencing.
 * @param rules The rules that look at one set.
 * @param decoders The decoders whose own rules apply.
 * @example
 * import { ruleList } from "cvset/check";
 * ruleList().filter((rule) => rule.name === "same-address").length; // 1
 */
export function ruleList(
  rules: readonly Rule[] = standardRules,
  decoders: Iterable<AnyDecoder> = [],
): RuleInfo[] {
  const own = [...new Set(decoders)].flatMap((decoder) => knownOf(decoder).rules);
  const all: RuleInfo[] = [
    ...rules,
    ...own,
    ...fleetRules,
    ...Object.values(readingRules),
    ...Object.values(silenceRules),
  ];
  return all.map(({ name, severity, summary, source, mend, kind }) => ({
    name,
    severity,
    summary,
    source,
    mend,
    ...(kind && { kind }),
  }));
}
