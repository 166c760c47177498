import type { BitsOfCv } from "../cv/places-text.js";
import { show } from "../cv/show.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { linesOf } from "../decoder/explain.js";
import type { AtMostOneRule, Condition, NeedsRule } from "../decoder/rule.js";
import { defineRule, type Found, nothing, type Rule, type SetView } from "./rule.js";

/** The rules of a decoder description, as rules like all others. */
export function descriptionRules(decoder: AnyDecoder): Rule[] {
  return decoder.rules.flatMap((rule) => {
    if (rule.rule === "outputs") return [];
    const { name, severity = "error", why, fix, source } = rule;
    const summary = rule.rule === "needs" ? needsText(rule) : atMostOneText(rule);
    return [
      defineRule({
        name: `${decoder.id}/${name}`,
        severity,
        summary: why ?? summary,
        source: source ?? `description of ${decoder.name}`,
        fix: fix ?? "Change one of the settings.",
        find: (set) => (rule.rule === "needs" ? needs(rule, set, why) : atMostOne(rule, set, why)),
      }),
    ];
  });
}

function needs(rule: NeedsRule, set: SetView, why: string | undefined): readonly Found[] {
  if (holds(rule.when, set) !== true || holds(rule.needs, set) !== false) return nothing;
  const message = because(`${textOf(rule.when)}, which needs ${textOf(rule.needs)}`, why);
  return [{ message, places: placesOf([rule.when, rule.needs], set) }];
}

function atMostOne(rule: AtMostOneRule, set: SetView, why: string | undefined): readonly Found[] {
  const holding = rule.of.filter((one) => holds(one, set));
  if (holding.length < 2) return nothing;
  const message = because(`${holding.map(textOf).join(" and ")}: at most one of these is allowed`, why);
  return [{ message, places: placesOf(holding, set) }];
}

function because(text: string, why: string | undefined): string {
  return why ? `${text} (${why})` : text;
}

function needsText({ when, needs }: NeedsRule): string {
  return `Where ${textOf(when)}, ${textOf(needs)} is needed.`;
}

function atMostOneText({ of }: AtMostOneRule): string {
  return `At most one of these is allowed: ${of.map(textOf).join("; ")}.`;
}

function textOf(condition: Condition): string {
  const { path } = condition;
  return "is" in condition ? `${path} is ${show(condition.is)}` : `${path} is not ${show(condition.not)}`;
}

/** Whether a condition holds; undefined where the set does not have the CVs for it. */
function holds(condition: Condition, { settings, partial }: SetView): boolean | undefined {
  const [feature = "", ...steps] = condition.path.split(".");
  if (!Object.hasOwn(settings, feature)) return undefined;
  let value = settings[feature];
  for (const step of steps) {
    if (typeof value !== "object" || value === null || !Object.hasOwn(value, step)) {
      // Either the setting does not exist at the moment, or it could not be read.
      return partial.has(feature) ? undefined : false;
    }
    value = (value as Readonly<Record<string, unknown>>)[step];
  }
  const has = (expected: unknown): boolean =>
    Array.isArray(value) ? value.includes(expected) : value === expected;
  return "is" in condition ? has(condition.is) : !has(condition.not);
}

/** The bits that settings live in: of the setting, or where it cannot be read of its whole feature. */
function placesOf(conditions: readonly Condition[], { cvs, decoder }: SetView): BitsOfCv[] {
  const masks = new Map<string, number>();
  for (const { path } of conditions) {
    const feature = path.split(".", 1)[0] as string;
    const codec = decoder.features[feature];
    if (!codec) continue;
    const lines = linesOf(codec, cvs, feature);
    const own = lines.filter((line) => line.path === path || line.path.startsWith(`${path}.`));
    const places = own.length ? own.flatMap((line) => line.places) : codec.bits;
    for (const { cv, mask } of places) if (cvs.has(cv)) masks.set(cv, (masks.get(cv) ?? 0) | mask);
  }
  return [...masks].map(([cv, mask]) => ({ cv, mask }));
}
