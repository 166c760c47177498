import { optionIssue } from "../codec/choice.js";
import { type AnyCodec, at, collect, issuesOf, type Report } from "../codec/codec.js";
import { type Fields, someCodecs } from "../codec/fields.js";
import { mapOf as anyMapOf, needIn, objectOf } from "../cv/argument.js";
import { CvError, fault, type Result } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { type CodecChecks, codecChecks, kindIssues, scalar } from "./codec-from-json.js";
import type { CodecKinds } from "./codec-kind.js";
import { type AnyDecoder, type DecoderSpec, defineDecoder } from "./decoder.js";
import { type Check, listOf, made, mapOf, number, object, oneOf, refuse, string } from "./shape.js";

const noParts = /* @__PURE__ */ fault("description-part", "there is no part {found} here");
const ofReading = /* @__PURE__ */ objectOf({ "parts?": /* @__PURE__ */ anyMapOf(someCodecs) });
const featureTwice = /* @__PURE__ */ fault(
  "feature-twice",
  "the part {part} has a feature of this name already",
);

/** What a description in JSON may name besides what is built in. */
export interface DescriptionOptions {
  /** Sets of features that it may name in its `parts`, such as `{ locomotive }` of `cvset/standard`. */
  readonly parts?: Readonly<Record<string, Fields>>;
  /** Kinds of codec from outside, by the names that it has for them. */
  readonly codecs?: CodecKinds;
}

/**
 * A decoder from its description in JSON, with all the built-in codecs and those that the caller gives. No code runs but
 * that of these.
 * @param json The parsed description. It may be anything: it is checked in full.
 * @param options Sets of features, and kinds of codec from outside, that the description may name.
 * @throws `CvError` with everything that is wrong in it, each with its path.
 * @example
 * import { CvSet, decoderFromJson } from "cvset";
 * const decoder = decoderFromJson({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { fuel: { codec: "choice", place: { cv: 246, bits: [5, 7] }, options: { coal: 3, oil: 1 } } },
 * });
 * decoder.decode(CvSet.from({ 246: 32 })); // { fuel: "oil" }
 */
export function decoderFromJson(json: unknown, options: DescriptionOptions = {}): AnyDecoder {
  const result = tryDecoderFromJson(json, options);
  if (!result.ok) throw new CvError(result.issues);
  return result.value;
}

/**
 * Like {@link decoderFromJson}, without throwing.
 * @param json The parsed description; anything.
 * @param options Sets of features, and kinds of codec from outside, that the description may name.
 * @example
 * import { tryDecoderFromJson } from "cvset";
 * const result = tryDecoderFromJson({ id: "x", name: "X", kind: "multifunction", features: {
 *   bell: { codec: "flag", place: { cv: 29, bit: 8 } } } });
 * result.ok || result.issues[0]?.path; // "features.bell.place"
 */
export function tryDecoderFromJson(json: unknown, options: DescriptionOptions = {}): Result<AnyDecoder> {
  const issues = new IssueList();
  try {
    needIn(ofReading, options, "options");
  } catch (error) {
    return { ok: false, issues: issuesOf(error, "options") };
  }
  const report = collect(issues);
  const { parts = {}, codecs: kinds = {} } = options;
  report(kindIssues(kinds));
  const checked = issues.some ? undefined : description(codecChecks(kinds))(json, report, 0);
  if (checked) {
    const { $schema: _schema, parts: names = [], features: own, ...rest } = checked;
    const features = { ...featuresOf(names, own, parts, report), ...own };
    // The kind is among what defineDecoder checks.
    const spec = { ...rest, features } as object as DecoderSpec<Fields>;
    const decoder = issues.some ? undefined : made(report, () => defineDecoder(spec));
    if (decoder) return { ok: true, value: decoder };
  }
  return { ok: false, issues: issues.done() };
}

/** The features of the parts that a description names. */
function featuresOf(
  names: readonly string[],
  own: Fields,
  known: Readonly<Record<string, Fields>>,
  report: Report,
): Fields {
  const features: Record<string, AnyCodec> = {};
  names.forEach((part, i) => {
    if (!Object.hasOwn(known, part)) {
      const all = Object.keys(known);
      refuse(at(`parts.${i}`, report), all.length ? optionIssue(part, all) : noParts({ found: part }));
      return;
    }
    for (const [name, codec] of Object.entries(known[part] as Fields)) {
      if (Object.hasOwn(features, name) || Object.hasOwn(own, name)) {
        refuse(at(`features.${name}`, report), featureTwice({ part }));
      } else features[name] = codec;
    }
  });
  return features;
}

// Which keys go together, and what their values may be, ruleIssues() checks for all descriptions alike.
const condition = /* @__PURE__ */ object({ path: string }, { is: scalar, not: scalar });
const rule = /* @__PURE__ */ oneOf("rule", () => {
  const about = { severity: string, why: string, fix: string, source: string };
  return new Map<unknown, Check<unknown>>([
    ["needs", object({ rule: string, name: string, when: condition, needs: condition }, about)],
    ["at-most-one", object({ rule: string, name: string, of: /* @__PURE__ */ listOf(condition) }, about)],
    ["outputs", object({ rule: string, outputs: /* @__PURE__ */ listOf(number) }, {})],
  ]);
});

const description = ({ codecs }: CodecChecks) =>
  object(
    { id: string, name: string, kind: string, features: codecs },
    { $schema: string, note: string, parts: listOf(string), factory: mapOf(number), rules: listOf(rule) },
  );
