import type { Json } from "../codec/codec.js";
import type { Fields } from "../codec/record.js";
import { type Issue, joinPath, nearestNames, show } from "../cv/issue.js";

/** A value that a condition compares with. */
export type ConditionValue = string | number | boolean;

/**
 * Something that can be true of a locomotive's settings: the setting at `path` has (`is`) or has not
 * (`not`) a value. For a list of names or numbers `is` means "is among them". A setting that is not
 * there (a field of something that is off, say) neither is nor is not anything.
 */
export type Condition =
  | { readonly path: string; readonly is: ConditionValue }
  | { readonly path: string; readonly not: ConditionValue };

/** What a rule of a decoder description says of itself. */
export interface DecoderRuleHead {
  /** Its name: small letters, digits, hyphens. Findings name it with the decoder's id in front. */
  readonly name: string;
  /** How bad it is when the rule is broken; `"error"` without it. */
  readonly severity?: "error" | "warning" | "note";
  /** Why, for people. */
  readonly why?: string;
  /** How to mend it, for people. */
  readonly mend?: string;
  /** Where it is laid down: a document, a page of the manual. */
  readonly clause?: string;
}

/** This feature needs that one: where `when` holds, `needs` must hold too. */
export interface NeedsRule extends DecoderRuleHead {
  /** The kind of rule. */
  readonly rule: "needs";
  /** Where this holds, */
  readonly when: Condition;
  /** this must hold too. */
  readonly needs: Condition;
}

/** At most one of several conditions may hold. */
export interface AtMostOneRule extends DecoderRuleHead {
  /** The kind of rule. */
  readonly rule: "at-most-one";
  /** The conditions, two or more. */
  readonly of: readonly Condition[];
}

/** These outputs exist, by their numbers, and no others. */
export interface OutputsRule {
  /** The kind of rule. */
  readonly rule: "outputs";
  /** The numbers of the outputs, from 1. */
  readonly outputs: readonly number[];
}

/** A rule that a decoder description carries; `cvset/check` applies them. */
export type DecoderRule = NeedsRule | AtMostOneRule | OutputsRule;

const severities: readonly unknown[] = ["error", "warning", "note"];

/**
 * Everything that is wrong with a description's rules: names, paths that lead to no setting, values that
 * a setting cannot have.
 */
export function rulesIssues(rules: readonly DecoderRule[], features: Fields): Issue[] {
  const issues: Issue[] = [];
  const names = new Set<string>();
  const say = (path: string, expected: string, found?: unknown, nearest: readonly string[] = []): void => {
    issues.push({
      code: "definition",
      path: `rules.${path}`,
      expected: nearest.length ? `${expected}; is ${nearest.map(show).join(" or ")} meant?` : expected,
      ...(found !== undefined && { found }),
    });
  };
  const condition = (path: string, one: Condition): void => {
    const value = "is" in one ? one.is : "not" in one ? one.not : undefined;
    if (value === undefined || ("is" in one && "not" in one)) {
      say(path, 'a condition needs either "is" or "not"', one);
      return;
    }
    const [feature = "", ...rest] = String(one.path).split(".");
    let schemas: readonly Json[] = Object.hasOwn(features, feature)
      ? [features[feature]?.schema(true) ?? {}]
      : [];
    let names = Object.keys(features);
    let at = feature;
    for (const step of rest) {
      if (schemas.length === 0) break;
      names = schemas.flatMap(stepsOf);
      schemas = schemas.flatMap((schema) => inside(schema, step));
      at = joinPath(at, step);
    }
    if (schemas.length === 0) {
      say(`${path}.path`, `there is no setting ${show(at)}`, one.path, nearestNames(at, names));
    } else if (!schemas.some((schema) => allows(schema, value))) {
      const options = schemas.flatMap(optionsOf);
      const hint = options.length ? `; it can be ${options.map(show).join(", ")}` : "";
      say(path, `${one.path} is never ${show(value)}${hint}`);
    }
  };
  rules.forEach((one, i) => {
    const path = String(i);
    if (one.rule === "outputs") {
      if (rules.findIndex(({ rule }) => rule === "outputs") !== i) say(path, "the outputs are given twice");
      const bad = one.outputs.filter((output) => !Number.isInteger(output) || output < 1);
      if (bad.length) say(`${path}.outputs`, "outputs have whole numbers from 1", bad[0]);
      return;
    }
    if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(one.name)) {
      say(`${path}.name`, "small letters, digits and single hyphens are needed", one.name);
    }
    if (names.has(one.name)) say(`${path}.name`, "two rules have this name", one.name);
    names.add(one.name);
    if (one.severity !== undefined && !severities.includes(one.severity)) {
      say(`${path}.severity`, '"error", "warning" or "note" is needed', one.severity);
    }
    if (one.rule === "needs") {
      condition(`${path}.when`, one.when);
      condition(`${path}.needs`, one.needs);
    } else if (one.rule === "at-most-one") {
      if (one.of.length < 2) say(`${path}.of`, "two conditions or more are needed");
      for (const [j, each] of one.of.entries()) condition(`${path}.of.${j}`, each);
    } else {
      const { rule } = one as { readonly rule: unknown };
      say(`${path}.rule`, '"needs", "at-most-one" or "outputs" is needed', rule);
    }
  });
  return issues;
}

// The JSON Schema of a codec tells what a setting can be, for built-in codecs and others alike.

type Schema = { readonly [key: string]: Json };

/** The schemas that one stands for: itself, or each of its alternatives. */
function alternatives(schema: Json): Schema[] {
  if (typeof schema !== "object" || schema === null || Array.isArray(schema)) return [];
  const { anyOf, oneOf } = schema as Schema;
  const several = [anyOf, oneOf].filter((list): list is readonly Json[] => Array.isArray(list)).flat();
  return several.length ? several.flatMap(alternatives) : [schema as Schema];
}

/** The schemas of what a value has under one step of a path. */
function inside(schema: Json, step: string): Json[] {
  return alternatives(schema).flatMap((one) => {
    const { properties, items } = one;
    // Nothing is known of a codec from outside that has no schema.
    if (Object.keys(one).every((key) => key === "title" || key === "description")) return [{}];
    if (typeof properties === "object" && properties !== null && Object.hasOwn(properties, step)) {
      return [(properties as Schema)[step] as Json];
    }
    return items !== undefined && /^\d+$/.test(step) ? [items] : [];
  });
}

function stepsOf(schema: Json): string[] {
  return alternatives(schema).flatMap(({ properties }) => Object.keys(properties ?? {}));
}

/** Whether a value, or a list with it, is possible. */
function allows(schema: Json, value: ConditionValue): boolean {
  return alternatives(schema).some((one) => {
    const { const: only, enum: list, type, items, minimum, maximum } = one;
    if (only !== undefined) return only === value;
    if (Array.isArray(list)) return list.includes(value);
    if (type === "array") return items === undefined || allows(items, value);
    if (type === undefined) return true;
    if (typeof value !== "number") return type === typeof value;
    if (type !== "number" && type !== "integer") return false;
    return !(Number(minimum) > value || Number(maximum) < value);
  });
}

function optionsOf(schema: Json): Json[] {
  return alternatives(schema).flatMap(({ const: only, enum: list, items }) =>
    only !== undefined ? [only] : Array.isArray(list) ? list : items !== undefined ? optionsOf(items) : [],
  );
}
