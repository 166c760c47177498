import { aText, listOf, need, objectOf, severalOf } from "../cv/argument.js";
import { type AnyDecoder, aDecoder, aDecoderKind } from "../decoder/decoder.js";
import { fleetRules } from "./fleet-rules.js";
import { knownOf } from "./known.js";
import { readingRules } from "./reading.js";
import type { Rule, RuleInfo } from "./rule.js";
import { silenceRules } from "./silence.js";
import { standardRules } from "./standard-rules.js";

const someRules = /* @__PURE__ */ listOf(
  /* @__PURE__ */ objectOf({
    name: aText,
    severity: aText,
    summary: aText,
    source: aText,
    fix: aText,
    "kind?": aDecoderKind,
  }),
);

/**
 * All rules that findings can name: those given, those of decoder descriptions, and those about fleets,
 * reading and silencing.
 * @param rules The rules about one set.
 * @param decoders The decoders whose descriptions have rules.
 * @example
 * import { ruleList } from "cvset/check";
 * ruleList().filter((rule) => rule.name === "same-address").length; // 1
 */
export function ruleList(
  rules: readonly Rule[] = standardRules,
  decoders: Iterable<AnyDecoder> = [],
): RuleInfo[] {
  need(someRules, rules, "rules");
  need(severalOf(aDecoder), decoders, "decoders");
  const own = [...new Set(decoders)].flatMap((decoder) => knownOf(decoder).rules);
  const others = [fleetRules, readingRules, silenceRules].flatMap((one): RuleInfo[] => Object.values(one));
  return [...rules, ...own, ...others].map(({ name, severity, summary, source, fix, kind }) => ({
    name,
    severity,
    summary,
    source,
    fix,
    ...(kind && { kind }),
  }));
}
