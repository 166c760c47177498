import { choice, type Option, optionIssue } from "../codec/choice.js";
import { type About, type AnyCodec, aboutOf, type Report } from "../codec/codec.js";
import { converted } from "../codec/converted.js";
import { derived } from "../codec/derived.js";
import { isObject } from "../codec/fields.js";
import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { switched } from "../codec/switched.js";
import { table } from "../codec/table.js";
import { text } from "../codec/text.js";
import { variant } from "../codec/variant.js";
import { notACv } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { nearestNames } from "../cv/nearest.js";
import { type Bit, type BytePlace, cv, type Place, Run } from "../cv/place.js";
import type { CodecKind, CodecKinds, Keys } from "./codec-kind.js";
import { badId, isId } from "./rule.js";
import {
  boolean,
  type Check,
  type Checks,
  listOf,
  made,
  mapOf,
  number,
  object,
  oneOf,
  refuse,
  type Shape,
  string,
} from "./shape.js";

const placeKeys = /* @__PURE__ */ fault(
  "place-keys",
  "a place has one of bit, bits and through, got {found}",
);
const runWith = /* @__PURE__ */ fault(
  "place-run-with",
  "a run of CVs cannot be joined with another place, got {found}",
);
const twoBits = /* @__PURE__ */ fault(
  "place-two-bits",
  "expected two bits, the lowest and the highest, got {found}",
);
const notARun = /* @__PURE__ */ fault("expected-run", 'expected a run of CVs, with "through", got {found}');
const notAPlace = /* @__PURE__ */ fault(
  "expected-place",
  'expected the bits of one value, not a run ("through"), got {found}',
);
const notABitName = /* @__PURE__ */ fault(
  "expected-bit-name",
  "expected a text, a number or null, got {found}",
);
const notAScalar = /* @__PURE__ */ fault(
  "expected-scalar",
  "expected a text, a number, true or false, got {found}",
);
const notAPair = /* @__PURE__ */ fault(
  "expected-pair",
  "expected two values, the stored one and the one that it stands for, got {found}",
);

const cvName: Check<number | string> = (value, report) =>
  typeof value === "number" || typeof value === "string" ? value : refuse(report, notACv({ found: value }));

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
      return refuse(report, placeKeys({ found: Object.keys(json) }));
    }
    if (through !== undefined) return low ? refuse(report, runWith({ found: value })) : byte.through(through);
    const high = bits ? bitsOf(byte, bits, report) : bit === undefined ? byte : byte.bit(bit as Bit);
    return high && low ? high.with(low) : high;
  });
};

function bitsOf(byte: BytePlace, bits: readonly number[], report: Report): Place | undefined {
  if (bits.length !== 2) return refuse(report, twoBits({ found: bits }));
  // BytePlace.bits checks that they are bits.
  return byte.bits(bits[0] as Bit, bits[1] as Bit);
}

const place: Check<Place> = (value, report, depth) => {
  const found = anyPlace(value, report, depth);
  return found instanceof Run ? refuse(report, notAPlace({ found: value })) : found;
};

const run: Check<Run> = (value, report, depth) => {
  const found = anyPlace(value, report, depth);
  return found && !(found instanceof Run) ? refuse(report, notARun({ found: value })) : found;
};

const optionShape = object({ value: number }, { label: string, note: string, means: string });
const option: Check<Option> = (value, report, depth) =>
  typeof value === "number" ? value : optionShape(value, report, depth);

const bitName: Check<string | number | null> = (value, report) =>
  value === null || typeof value === "string" || typeof value === "number"
    ? value
    : refuse(report, notABitName({ found: value }));

type Scalar = string | number | boolean;

/** A text, a number, true or false. */
export const scalar: Check<Scalar> = (value, report) =>
  typeof value === "string" || typeof value === "number" || typeof value === "boolean"
    ? value
    : refuse(report, notAScalar({ found: value }));

const pair: Check<readonly [Scalar, Scalar]> = (value, report, depth) => {
  const items = listOf(scalar)(value, report, depth);
  if (items && items.length !== 2) return refuse(report, notAPair({ found: value }));
  return items as readonly [Scalar, Scalar] | undefined;
};

const ways: readonly ("sum" | "xor")[] = ["sum", "xor"];
const way: Check<"sum" | "xor"> = (value, report) =>
  ways.find((one) => one === value) ?? refuse(report, optionIssue(value, ways));

const noSuchKind = /* @__PURE__ */ fault(
  "codec-kind",
  "there is no kind of codec {found}; the kinds are {allowed}. Other kinds come from plug-ins, which the caller gives",
);
const notKinds = /* @__PURE__ */ fault("codec-kinds", "expected kinds of codec by name, got {found}");
const kindTaken = /* @__PURE__ */ fault(
  "codec-kind-taken",
  "the kind of codec {found} is built in: give the other one another name",
);
const notAKind = /* @__PURE__ */ fault(
  "not-a-codec-kind",
  "expected a kind of codec, as defineCodecKind makes it, got {found}",
);
const noCodec = /* @__PURE__ */ fault(
  "codec-kind-result",
  "the kind {kind} has to make a codec, and made {found}",
);
const otherKind = /* @__PURE__ */ fault(
  "codec-kind-differs",
  "the kind {kind} makes a codec of kind {found}, which could not be read again: give both the same name",
);

const scaleKeys = {
  min: number,
  max: number,
  unit: string,
  step: number,
  offset: number,
  decimals: number,
  nearest: boolean,
};

/** The checks of codecs in a description, of which the built-in ones are not all. */
export interface CodecChecks {
  /** A codec of any kind. */
  readonly codec: Check<AnyCodec>;
  /** Codecs by name. */
  readonly codecs: Check<Record<string, AnyCodec>>;
}

let withoutOthers: CodecChecks | undefined;

/**
 * The checks of codecs in a description.
 * @param others The kinds of codec from outside.
 */
export function codecChecks(others: CodecKinds): CodecChecks {
  const names = Object.keys(others);
  if (names.length === 0 && withoutOthers) return withoutOthers;
  // Made when first needed, so that a bundle without descriptions in JSON holds none of this.
  let all: ReadonlyMap<unknown, Check<AnyCodec>> | undefined;
  const codec = oneOf(
    "codec",
    () => (all ??= new Map<unknown, Check<AnyCodec>>([...builtIn(checks), ...outside(others, checks)])),
    (found, allowed) => noSuchKind({ found, allowed, nearest: nearestNames(String(found), allowed) }),
  );
  const checks: CodecChecks = { codec, codecs: mapOf(codec) };
  if (names.length === 0) withoutOthers = checks;
  return checks;
}

/** Everything that is wrong with kinds of codec from outside: names that are taken or cannot be used, and what is no kind. */
export function kindIssues(others: unknown): Issue[] {
  const issues = new IssueList();
  const kinds = others instanceof Object ? Object.entries(others) : [];
  if (!isObject(others)) issues.add(notKinds({ found: others }, { path: "codecs" }));
  const taken = new Map(builtIn(codecChecks({})));
  for (const [name, kind] of kinds) {
    const where = { path: `codecs.${name}` };
    if (!isId(name)) issues.add(badId({ found: name }, where));
    else if (taken.has(name)) issues.add(kindTaken({ found: name }, where));
    if (!isKind(kind)) issues.add(notAKind({ found: kind }, where));
  }
  return issues.done();
}

function isKind(kind: unknown): kind is CodecKind {
  return (
    isObject(kind) &&
    typeof kind["make"] === "function" &&
    isObject(kind["needs"]) &&
    isObject(kind["may"]) &&
    isObject(kind["schema"])
  );
}

/** A codec from its keys, beside those that every codec has. */
function kind<const Needed extends Checks, const Free extends Checks>(
  needed: Needed,
  free: Free,
  make: (json: Shape<Needed, Free>, about: About) => unknown,
  name = "definition",
): Check<AnyCodec> {
  const aboutKeys = { label: string, note: string, means: string, source: string };
  const shape = object(needed, { ...free, ...aboutKeys, codec: string });
  return (value, report, depth) => {
    const json = shape(value, report, depth);
    // The shape is computed from the same keys; the compiler cannot follow the spread.
    return (
      json && made(report, () => make(json as Shape<Needed, Free>, aboutOf(json as About)) as AnyCodec, name)
    );
  };
}

/** The kinds of codec from outside, by name. */
function outside(others: CodecKinds, checks: CodecChecks): [string, Check<AnyCodec>][] {
  const byType: Readonly<Record<string, Check<unknown>>> = {
    place,
    run,
    places: listOf(anyPlace),
    codec: checks.codec,
    codecs: checks.codecs,
    number,
    text: string,
    boolean,
    numbers: listOf(number),
    texts: listOf(string),
    json: (value) => value,
  };
  const checksOf = (keys: Keys): Checks =>
    Object.fromEntries(Object.entries(keys).map(([key, type]) => [key, byType[type] as Check<unknown>]));
  return Object.entries(others).map(([name, { needs, may, make }]) => [
    name,
    kind(
      checksOf(needs),
      checksOf(may),
      ({ codec: _, label: _l, note: _n, means: _m, source: _s, ...keys }: Record<string, unknown>, about) => {
        const codec = make(keys, about);
        if (!isObject(codec) || !isObject(codec["spec"]))
          throw new CvError([noCodec({ kind: name, found: codec })]);
        // `describe` writes the kind of the codec, and is to write what can be read again.
        const { kind: found } = codec;
        if (found !== name && !isBuiltIn(codec)) throw new CvError([otherKind({ kind: name, found })]);
        return codec;
      },
      name,
    ),
  ]);
}

function isBuiltIn({ data, spec, kind: name }: AnyCodec): boolean {
  return data.kind !== "custom" && data.kind === name && !spec.json;
}

/** The built-in kinds of codec, by name. */
function builtIn({ codec, codecs }: CodecChecks): [string, Check<AnyCodec>][] {
  const variantCase = object({ value: number, fields: codecs }, { label: string });
  return Object.entries({
    flag: kind({ place }, { inverted: boolean }, ({ place, inverted = false }, about) =>
      flag(place, { inverted, ...about }),
    ),
    choice: kind({ place, options: mapOf(option) }, {}, ({ place, options }, about) =>
      choice(place, options, about),
    ),
    level: kind({ place }, { ...scaleKeys, names: mapOf(number) }, ({ place, ...rest }, about) =>
      level<string>(place, { ...rest, ...about }),
    ),
    flags: kind({ place, names: listOf(bitName) }, {}, ({ place, names }, about) =>
      flags(place, names, about),
    ),
    table: kind({ place: run }, scaleKeys, ({ place, ...rest }, about) =>
      table(place, { ...rest, ...about }),
    ),
    text: kind({ place: run }, { pad: number }, ({ place, pad = 0 }, about) =>
      text(place, { pad, ...about }),
    ),
    record: kind({ fields: codecs }, {}, ({ fields }, about) => record(fields, about)),
    variant: kind(
      { place, cases: mapOf(variantCase) },
      { tag: string },
      ({ place, cases, tag = "kind" }, about) => variant(place, cases, { tag, ...about }),
    ),
    switched: kind(
      { place, item: codec },
      { inverted: boolean },
      ({ place, item, inverted = false }, about) => switched(place, item, { inverted, ...about }),
    ),
    converted: kind({ item: codec, pairs: listOf(pair) }, {}, ({ item, pairs }, about) =>
      converted(item, pairs, about),
    ),
    derived: kind(
      { place, from: listOf(anyPlace), by: way },
      { start: number },
      ({ place, from, by, start = 0 }, about) => derived(place, { from, by, start, ...about }),
    ),
  });
}
