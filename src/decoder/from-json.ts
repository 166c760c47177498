import { optionIssue } from "../codec/choice.js";
import { type AnyCodec, at, collect, issuesOf, type Report } from "../codec/codec.js";
import { type Fields, someCodecs } from "../codec/fields.js";
import { mapOf as anyMapOf, needIn, objectOf } from "../cv/argument.js";
import { CvError, fault, type Result } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { codecs, scalar } from "./codec-from-json.js";
import { type AnyDecoder, type DecoderSpec, defineDecoder } from "./decoder.js";
import { type Check, listOf, made, mapOf, number, object, oneOf, refuse, string } from "./shape.js";

const noParts = /* @__PURE__ */ fault("description-part", "there is no part {found} here");
const ofReading = /* @__PURE__ */ objectOf({ "parts?": anyMapOf(someCodecs) });
const featureTwice = /* @__PURE__ */ fault(
  "feature-twice",
  "the part {part} has a feature of this name already",
);

/**
 * A decoder from its description in JSON, with all the built-in codecs; no code runs.
 * @param json The parsed description. It may be anything: it is checked in full.
 * @param options `parts`: sets of features that the description may name in its `parts`, such as
 *   `{ locomotive }` of `cvset/standard`.
 * @throws `CvError` with everything that is wrong in it, each with its path.
 * @example
 * import { CvSet, decoderFromJson } from "cvset";
 * const decoder = decoderFromJson({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { firing: { codec: "choice", place: { cv: 152, bits: [0, 1] }, options: { coal: 0, oil: 2 } } },
 * });
 * decoder.decode(CvSet.from({ 152: 2 })); // { firing: "oil" }
 */
export function decoderFromJson(
  json: unknown,
  options: { readonly parts?: Readonly<Record<string, Fields>> } = {},
): AnyDecoder {
  const result = tryDecoderFromJson(json, options);
  if (!result.ok) throw new CvError(result.issues);
  return result.value;
}

/**
 * Like {@link decoderFromJson}, without throwing.
 * @param json The parsed description; anything.
 * @param options `parts`: sets of features that the description may name in its `parts`.
 * @example
 * import { tryDecoderFromJson } from "cvset";
 * const result = tryDecoderFromJson({ id: "x", name: "X", kind: "multifunction", features: {
 *   bell: { codec: "flag", place: { cv: 29, bit: 8 } } } });
 * result.ok || result.issues[0]?.path; // "features.bell.place"
 */
export function tryDecoderFromJson(
  json: unknown,
  options: { readonly parts?: Readonly<Record<string, Fields>> } = {},
): Result<AnyDecoder> {
  const issues = new IssueList();
  try {
    needIn(ofReading, options, "options");
  } catch (error) {
    return { ok: false, issues: issuesOf(error, "options") };
  }
  const report = collect(issues);
  const checked = description(json, report, 0);
  if (checked) {
    const { $schema: _schema, parts: names = [], features: own, ...rest } = checked;
    const features = { ...featuresOf(names, own, options.parts ?? {}, report), ...own };
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
    ["at-most-one", object({ rule: string, name: string, of: listOf(condition) }, about)],
    ["outputs", object({ rule: string, outputs: listOf(number) }, {})],
  ]);
});

const description = object(
  { id: string, name: string, kind: string, features: codecs },
  { $schema: string, note: string, parts: listOf(string), factory: mapOf(number), rules: listOf(rule) },
);
