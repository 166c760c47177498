import { optionIssue } from "../codec/choice.js";
import { type AnyCodec, checkIssues } from "../codec/codec.js";
import type { Fields } from "../codec/fields.js";
import { aList, aText, listOf, objectOf, oneOf, type Wanted } from "../cv/argument.js";
import { fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { Spelling } from "../cv/nearest.js";
import { codecsAt, isOpaque } from "./path.js";

/** Not usable as a short name in files. */
export const badId = /* @__PURE__ */ fault(
  "unusable-id",
  "expected small letters, digits and single hyphens, got {found}",
);
const nameTwice = /* @__PURE__ */ fault("rule-name-twice", "two rules have the name {found}");
const tooFew = /* @__PURE__ */ fault("rule-conditions", "two conditions or more are needed, got {count}");
const badCondition = /* @__PURE__ */ fault(
  "condition",
  'a condition needs either "is" or "not", got {found}',
);
const noSetting = /* @__PURE__ */ fault("condition-path", "there is no setting {found}");
const neverIs = /* @__PURE__ */ fault("condition-value", "{setting} is never {found}");
const neverIsOf = /* @__PURE__ */ fault(
  "condition-option",
  "{setting} is never {found}; it can be {allowed}",
);
const outputsTwice = /* @__PURE__ */ fault("outputs-twice", "the outputs are given twice");
const badOutput = /* @__PURE__ */ fault("output-number", "an output has a whole number from 1, got {found}");

const aCondition = /* @__PURE__ */ objectOf({ path: aText });
const aRule: Wanted = (value, path, report) => {
  const shape = shapes[(value as { rule?: keyof typeof shapes } | undefined)?.rule ?? "none"] ?? shapes.none;
  shape(value, path, report);
};
const shapes = {
  none: /* @__PURE__ */ objectOf({ rule: /* @__PURE__ */ oneOf("needs", "at-most-one", "outputs") }),
  needs: /* @__PURE__ */ objectOf({ when: aCondition, needs: aCondition }),
  "at-most-one": /* @__PURE__ */ objectOf({ of: /* @__PURE__ */ listOf(aCondition) }),
  outputs: /* @__PURE__ */ objectOf({ outputs: aList }),
};
/** Rules of a description, as far as the checks of what is in them need it. */
export const someRules: Wanted = /* @__PURE__ */ listOf(aRule);

/**
 * Something that can be true of a locomotive's settings: the setting at `path` has (`is`) or has not
 * (`not`) a value. For a list of names or numbers `is` means "is among them". For a setting that does not
 * exist at the moment (a field of something that is off, say) neither is true.
 */
export type Condition =
  | { readonly path: string; readonly is: string | number | boolean }
  | { readonly path: string; readonly not: string | number | boolean };

/**
 * A rule of a decoder description; `cvset/check` applies it. `needs`: where one condition holds, another must
 * hold too. `at-most-one`: at most one of several conditions may hold. `outputs`: the outputs that exist.
 */
export type DecoderRule =
  | ({
      /** Its name: small letters, digits, hyphens. Findings name it with the decoder's id in front. */
      readonly name: string;
      /** How bad it is when the rule is broken; `"error"` without it. */
      readonly severity?: "error" | "warning" | "note";
      /** The reason for the rule, for people. */
      readonly why?: string;
      /** What to do when it is broken, for people. */
      readonly fix?: string;
      /** Where it is laid down: a document, a page of the manual. */
      readonly source?: string;
    } & (
      | {
          readonly rule: "needs";
          /** Where this holds, */
          readonly when: Condition;
          /** this must hold too. */
          readonly needs: Condition;
        }
      | {
          readonly rule: "at-most-one";
          /** The conditions, two or more. */
          readonly of: readonly Condition[];
        }
    ))
  | {
      readonly rule: "outputs";
      /** The numbers of the outputs, from 1. */
      readonly outputs: readonly number[];
    };

/** A rule of the kind `needs`. */
export type NeedsRule = Extract<DecoderRule, { readonly rule: "needs" }>;
/** A rule of the kind `at-most-one`. */
export type AtMostOneRule = Extract<DecoderRule, { readonly rule: "at-most-one" }>;

const severities = ["error", "warning", "note"];
const idPattern = /^[a-z0-9]+(-[a-z0-9]+)*$/;

/** Whether a value can be a short name in files. */
export const isId = (value: unknown): value is string => typeof value === "string" && idPattern.test(value);

/**
 * Everything that is wrong with a description's rules: names, paths that lead to no setting, values that
 * a setting cannot have.
 */
export function ruleIssues(rules: readonly DecoderRule[], features: Fields): Issue[] {
  const issues = new IssueList();
  const names = new Set<string>();
  const spelling = new Spelling();
  const checkAll = (one: Condition, path: string) => checkCondition(one, path, features, issues, spelling);
  rules.forEach((one, i) => {
    const at = (rest = "") => ({ path: `rules.${i}${rest}` });
    if (one.rule === "outputs") {
      if (rules.findIndex(({ rule }) => rule === "outputs") !== i) issues.add(outputsTwice({}, at()));
      const found = one.outputs.find((output) => !Number.isInteger(output) || output < 1);
      if (found !== undefined) issues.add(badOutput({ found }, at(".outputs")));
      return;
    }
    const { rule, name, severity } = one;
    if (!isId(name)) issues.add(badId({ found: name }, at(".name")));
    if (names.has(name)) issues.add(nameTwice({ found: name }, at(".name")));
    names.add(name);
    if (severity !== undefined && !severities.includes(severity)) {
      issues.add(optionIssue(severity, severities, at(".severity").path));
    }
    if (rule === "needs") {
      checkAll(one.when, at(".when").path);
      checkAll(one.needs, at(".needs").path);
    } else {
      const count = one.of.length;
      if (count < 2) issues.add(tooFew({ count }, at(".of")));
      for (const [j, each] of one.of.entries()) checkAll(each, at(`.of.${j}`).path);
    }
  });
  return issues.done();
}

function checkCondition(
  one: Condition,
  path: string,
  features: Fields,
  issues: IssueList,
  spelling: Spelling,
): void {
  const found = "is" in one ? one.is : "not" in one ? one.not : undefined;
  if (found === undefined || ("is" in one && "not" in one)) {
    issues.add(badCondition({ found: one }, { path }));
    return;
  }
  const led = codecsAt(features, `${one.path}`);
  const { codecs, path: setting } = led;
  if (codecs.length === 0) {
    const last = setting.slice(setting.lastIndexOf(".") + 1);
    const before = setting.slice(0, setting.length - last.length);
    const nearest = spelling.nearest(last, () => led.names).map((name) => `${before}${name}`);
    issues.add(noSetting({ found: setting, nearest }, { path: `${path}.path` }));
    return;
  }
  if (codecs.some((codec) => allows(codec, found))) return;
  // One list for all issues about a setting: there may be thousands of both.
  const [only] = codecs;
  const allowed = only && codecs.length === 1 ? optionsOf(only) : codecs.flatMap(optionsOf);
  const params = { setting: one.path, found };
  issues.add(allowed.length ? neverIsOf({ ...params, allowed }, { path }) : neverIs(params, { path }));
}

/** Whether a setting can have a value, or be a list with it. */
function allows(codec: AnyCodec, value: unknown): boolean {
  const { data } = codec;
  if (data.kind === "switched") return value === "off" || allows(data.item, value);
  // Where the options are known, a wrong one needs no issue that names them all.
  const isListed = data.kind === "choice" || (data.kind === "converted" && data.pairs !== undefined);
  const options = isListed || typeof value === "string" ? optionsOf(codec) : [];
  if (isListed || options.length) return options.includes(value);
  const list = Array(data.kind === "table" ? data.run.places.length : 1).fill(value);
  return isOpaque(codec) || [value, list].some((one) => checkIssues(codec, one, {}).length === 0);
}

const remembered = /* @__PURE__ */ new WeakMap<AnyCodec, readonly unknown[]>();

/** The names that a setting can have as its value; empty where it is a number, a text, true or false. */
function optionsOf(codec: AnyCodec): readonly unknown[] {
  let options = remembered.get(codec);
  if (!options) remembered.set(codec, (options = Object.freeze(allOptions(codec))));
  return options;
}

function allOptions({ data }: AnyCodec): readonly unknown[] {
  switch (data.kind) {
    case "choice":
      return Object.keys(data.options);
    case "level":
      return Object.keys(data.names);
    case "flags":
      return data.names.filter((name) => name !== null);
    case "converted":
      return data.pairs?.map(([, value]) => value) ?? [];
    case "switched":
      return ["off", ...optionsOf(data.item)];
    default:
      return [];
  }
}
