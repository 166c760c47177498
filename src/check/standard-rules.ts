import { frozenCopy } from "../cv/frozen.js";
import type { Rule } from "./rule.js";
import { addressRules } from "./rules/address.js";
import { configurationRules } from "./rules/configuration.js";
import { consistRules } from "./rules/consist.js";
import { functionRules } from "./rules/functions.js";
import { otherDecoderRule, settingRules } from "./rules/settings.js";
import { spaceRules } from "./rules/space.js";
import { speedRules } from "./rules/speed.js";

/**
 * The built-in rules about one CV set. To add rules, pass `[...standardRules, yours]`; to leave some out,
 * filter the list.
 * @example
 * import { standardRules } from "cvset/check";
 * standardRules.find((rule) => rule.name === "primary-address")?.source; // "S-9.2.2 (July 2012), CV 1"
 */
export const standardRules: readonly Rule[] = /* @__PURE__ */ allRules();

// Bundlers drop a call that is marked as pure, but no list with a spread.
function allRules(): readonly Rule[] {
  return frozenCopy<readonly Rule[]>([
    otherDecoderRule,
    ...addressRules,
    ...configurationRules,
    ...speedRules,
    ...consistRules,
    ...functionRules,
    ...spaceRules,
    ...settingRules,
  ]);
}
