import { choice, type Option } from "../codec/choice.js";
import { type About, type AnyCodec, aboutOf, collect, type Report } from "../codec/codec.js";
import { converted, type Scalar } from "../codec/converted.js";
import { flag } from "../codec/flag.js";
import { level } from "../codec/level.js";
import { type Fields, record } from "../codec/record.js";
import { type BitName, several } from "../codec/several.js";
import { issuesOf } from "../codec/standard-schema.js";
import { switched } from "../codec/switched.js";
import { table } from "../codec/table.js";
import { text } from "../codec/text.js";
import { variant } from "../codec/variant.js";
import { CvError, type Issue, nearestNames, type Result, show } from "../cv/issue.js";
import { type Bit, type BytePlace, cv, Place, Run } from "../cv/place.js";
import { type AnyDecoder, type DecoderSpec, defineDecoder } from "./decoder.js";
import type { Condition, DecoderRule } from "./rule.js";
import {
  boolean,
  type Check,
  type Checks as Keys,
  listOf,
  mapOf,
  number,
  object,
  type Shape,
  string,
  wrong,
} from "./shape.js";

/** What {@link decoderFromJson} may be given besides the description. */
export interface FromJsonOptions {
  /** Sets of features that a description may take over by name, such as `{ locomotive }` of `cvset/standard`. */
  readonly parts?: Readonly<Record<string, Fields>>;
}

/**
 * A decoder from its description in JSON, with all the built-in codecs; no code runs.
 * @param json The parsed description. It may be anything: it is checked in full.
 * @param options Sets of features that the description may name in its `parts`.
 * @throws `CvError` with everything that is wrong in it, each with its path.
 * @example
 * import { CvSet, decoderFromJson } from "cvset";
 * const decoder = decoderFromJson({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { firing: { codec: "choice", place: { cv: 152, bits: [0, 1] }, options: { coal: 0, oil: 2 } } },
 * });
 * decoder.decode(CvSet.from({ 152: 2 })); // { firing: "oil" }
 */
export function decoderFromJson(json: unknown, options: FromJsonOptions = {}): AnyDecoder {
  const result = tryDecoderFromJson(json, options);
  if (!result.ok) throw new CvError(result.issues);
  return result.value;
}

/**
 * Like {@link decoderFromJson}, without throwing.
 * @param json The parsed description; anything.
 * @param options Sets of features that the description may name in its `parts`.
 * @example
 * import { tryDecoderFromJson } from "cvset";
 * const result = tryDecoderFromJson({ id: "x", name: "X", kind: "multifunction", features: {
 *   bell: { codec: "flag", place: { cv: 29, bit: 8 } } } });
 * result.ok || result.issues[0]?.path; // "features.bell.place"
 */
export function tryDecoderFromJson(json: unknown, options: FromJsonOptions = {}): Result<AnyDecoder> {
  const issues: Issue[] = [];
  const report = collect(issues);
  const checked = description(json, report, 0);
  const parts = checked && partsOf(checked, options.parts ?? {}, report);
  if (checked && parts && issues.length === 0) {
    const { $schema: _schema, parts: _parts, features, ...rest } = checked;
    try {
      // The kind is among what defineDecoder checks.
      const spec = { ...rest, features: { ...parts, ...features } } as DecoderSpec<Fields>;
      return { ok: true, value: defineDecoder(spec) };
    } catch (error) {
      report(issuesOf(error, "decoder"));
    }
  }
  return { ok: false, issues };
}

function partsOf(
  json: { readonly parts?: string[]; readonly features: Fields },
  known: Readonly<Record<string, Fields>>,
  report: Report,
): Fields | undefined {
  const features: Record<string, AnyCodec> = {};
  let whole = true;
  const say = (issue: Omit<Issue, "path">, path: string): void => {
    whole = false;
    report([{ path: "", ...issue }], path);
  };
  json.parts?.forEach((name, i) => {
    if (!Object.hasOwn(known, name)) {
      const expected = Object.keys(known).join(", ") || "none here";
      const nearest = nearestNames(name, Object.keys(known));
      say({ code: "option", expected, found: name, nearest }, `parts.${i}`);
      return;
    }
    for (const [feature, codec] of Object.entries(known[name] as Fields)) {
      if (Object.hasOwn(features, feature) || Object.hasOwn(json.features, feature)) {
        const expected = `the part ${show(name)} has a feature of this name already`;
        say({ code: "definition", expected }, `features.${feature}`);
      } else features[feature] = codec;
    }
  });
  return whole ? features : undefined;
}

const cvName: Check<number | string> = (value, report) =>
  typeof value === "number" || typeof value === "string" ? value : wrong(report, "a CV", value);

const placeShape = object(
  { cv: cvName },
  {
    bit: number,
    bits: listOf(number),
    through: number,
    with: (value, report, depth) => place(value, report, depth),
  },
);

const anyPlace: Check<Place | Run> = (value, report, depth) => {
  if (typeof value === "number" || typeof value === "string") return made(report, () => cv(value));
  const json = placeShape(value, report, depth);
  if (!json) return undefined;
  return made(report, () => {
    const byte = cv(json.cv);
    const { bit, bits, through, with: low } = json;
    if ([bit, bits, through].filter((one) => one !== undefined).length > 1) {
      return wrong(report, "one of bit, bits and through", Object.keys(json).join(", "));
    }
    if (through !== undefined) {
      return low
        ? wrong(report, "a run, which cannot be joined with another place", value)
        : byte.through(through);
    }
    const high = bits ? bitsOf(byte, bits, report) : bit === undefined ? byte : byte.bit(bit as Bit);
    return high && low ? high.with(low) : high;
  });
};

function bitsOf(byte: BytePlace, bits: readonly number[], report: Report): Place | undefined {
  if (bits.length !== 2) return wrong(report, "two bits, the lowest and the highest", bits);
  // BytePlace.bits checks that they are bits.
  return byte.bits(bits[0] as Bit, bits[1] as Bit);
}

const place: Check<Place> = (value, report, depth) => {
  const found = anyPlace(value, report, depth);
  return found instanceof Run ? wrong(report, 'bits of one value, not a run ("through")', value) : found;
};

const run: Check<Run> = (value, report, depth) => {
  const found = anyPlace(value, report, depth);
  return found instanceof Place ? wrong(report, 'a run of CVs, with "through"', value) : found;
};

const aboutKeys = { label: string, note: string, means: string, clause: string };
const scaleKeys = {
  min: number,
  max: number,
  unit: string,
  step: number,
  offset: number,
  decimals: number,
  nearest: boolean,
};

const optionShape = object({ value: number }, { label: string, note: string, means: string });
const option: Check<Option> = (value, report, depth) =>
  typeof value === "number" ? value : optionShape(value, report, depth);

const bitName: Check<{ readonly name: BitName }> = (value, report) =>
  value === null || typeof value === "string" || typeof value === "number"
    ? { name: value }
    : wrong(report, "a name, a number, or null", value);

const scalar: Check<Scalar> = (value, report) =>
  typeof value === "string" || typeof value === "number" || typeof value === "boolean"
    ? value
    : wrong(report, "a text, a number, true or false", value);

const pair: Check<readonly [Scalar, Scalar]> = (value, report, depth) => {
  const items = listOf(scalar)(value, report, depth);
  if (items && items.length !== 2)
    return wrong(report, "two values: what is stored, what it stands for", value);
  return items as readonly [Scalar, Scalar] | undefined;
};

const codec: Check<AnyCodec> = (value, report, depth) => {
  const kind =
    typeof value === "object" && value !== null ? (value as Record<string, unknown>)["codec"] : undefined;
  const build = typeof kind === "string" ? makers().get(kind) : undefined;
  if (build) return build(value, report, depth);
  if (typeof value !== "object" || value === null || Array.isArray(value))
    return wrong(report, "an object", value);
  const names = [...makers().keys()];
  const nearest = typeof kind === "string" ? nearestNames(kind, names) : [];
  report([{ code: "option", path: "", expected: names.join(", "), found: kind, nearest }], "codec");
  return undefined;
};

const fields = mapOf(codec);
const variantCase = object({ value: number, fields }, { label: string });

// Which keys go together, and what their values may be, rulesIssues() checks for all descriptions alike.
const conditionShape = object({ path: string }, { is: scalar, not: scalar });
const condition: Check<Condition> = (value, report, depth) =>
  conditionShape(value, report, depth) as Condition | undefined;
const ruleHead = { rule: string, name: string };
const ruleAbout = { severity: string, why: string, mend: string, clause: string };
const ruleShapes: ReadonlyMap<unknown, Check<unknown>> = /* @__PURE__ */ new Map<unknown, Check<unknown>>([
  ["needs", object({ ...ruleHead, when: condition, needs: condition }, ruleAbout)],
  ["at-most-one", object({ ...ruleHead, of: listOf(condition) }, ruleAbout)],
  ["outputs", object({ rule: string, outputs: listOf(number) }, {})],
]);

const rule: Check<DecoderRule> = (value, report, depth) => {
  if (typeof value !== "object" || value === null || Array.isArray(value))
    return wrong(report, "an object", value);
  const { rule: kind } = value as Readonly<Record<string, unknown>>;
  const shape = ruleShapes.get(kind);
  if (shape) return shape(value, report, depth) as DecoderRule | undefined;
  const names = [...ruleShapes.keys()].map(String);
  const nearest = typeof kind === "string" ? nearestNames(kind, names) : [];
  report([{ code: "option", path: "", expected: names.join(", "), found: kind, nearest }], "rule");
  return undefined;
};

type Maker = (value: unknown, report: Report, depth: number) => AnyCodec | undefined;

/** A check that reads a shape, beside the keys that every codec has, and makes a codec of it. */
function kind<const Needed extends Keys, const Free extends Keys>(
  needed: Needed,
  free: Free,
  make: (json: Shape<Needed, Free>, about: About) => unknown,
): Maker {
  const shape = object(needed, { ...free, ...aboutKeys, codec: string });
  return (value, report, depth) => {
    const json = shape(value, report, depth);
    // Shape is computed from the same keys; the compiler cannot follow the spread.
    return json && made(report, () => make(json as Shape<Needed, Free>, aboutOf(json as About)) as AnyCodec);
  };
}

// Made when first needed, so that a bundle without descriptions in JSON holds none of this.
let kinds: ReadonlyMap<string, Maker> | undefined;
function makers(): ReadonlyMap<string, Maker> {
  kinds ??= new Map([
    [
      "flag",
      kind({ place }, { inverted: boolean }, ({ place, inverted }, about) =>
        flag(place, { ...(inverted && { inverted }), ...about }),
      ),
    ],
    [
      "choice",
      kind({ place, options: mapOf(option) }, {}, ({ place, options }, about) =>
        choice(place, options, about),
      ),
    ],
    [
      "level",
      kind({ place }, { ...scaleKeys, names: mapOf(number) }, ({ place, ...rest }, about) =>
        level<string>(place, { ...rest, ...about }),
      ),
    ],
    [
      "several",
      kind({ place, names: listOf(bitName) }, {}, ({ place, names }, about) =>
        several(
          place,
          names.map(({ name }) => name),
          about,
        ),
      ),
    ],
    [
      "table",
      kind({ place: run }, scaleKeys, ({ place, ...rest }, about) => table(place, { ...rest, ...about })),
    ],
    [
      "text",
      kind({ place: run }, { pad: number }, ({ place, pad }, about) =>
        text(place, { ...(pad !== undefined && { pad }), ...about }),
      ),
    ],
    ["record", kind({ fields }, {}, ({ fields }, about) => record(fields, about))],
    [
      "variant",
      kind({ place, cases: mapOf(variantCase) }, { tag: string }, ({ place, cases, tag }, about) =>
        variant(place, cases, { ...(tag !== undefined && { tag }), ...about }),
      ),
    ],
    [
      "switched",
      kind({ place, item: codec }, { inverted: boolean }, ({ place, item, inverted }, about) =>
        switched(place, item, { ...(inverted && { inverted }), ...about }),
      ),
    ],
    [
      "converted",
      kind({ item: codec, pairs: listOf(pair) }, {}, ({ item, pairs }, about) =>
        converted(item, pairs, about),
      ),
    ],
  ]);
  return kinds;
}

const description = object(
  { id: string, name: string, kind: string, features: fields },
  { $schema: string, note: string, parts: listOf(string), factory: mapOf(number), rules: listOf(rule) },
);

function made<T>(report: Report, make: () => T): T | undefined {
  try {
    return make();
  } catch (error) {
    report(issuesOf(error, "definition"));
    return undefined;
  }
}
