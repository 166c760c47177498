import { choice, type Option } from "../codec/choice.js";
import { type About, type AnyCodec, aboutOf, type Report } from "../codec/codec.js";
import { converted } from "../codec/converted.js";
import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { switched } from "../codec/switched.js";
import { table } from "../codec/table.js";
import { text } from "../codec/text.js";
import { variant } from "../codec/variant.js";
import { notACv } from "../cv/faults.js";
import { fault } from "../cv/issue.js";
import { type Bit, type BytePlace, cv, type Place, Run } from "../cv/place.js";
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

const scaleKeys = {
  min: number,
  max: number,
  unit: string,
  step: number,
  offset: number,
  decimals: number,
  nearest: boolean,
};

/** A codec of any kind. */
const codec: Check<AnyCodec> = /* @__PURE__ */ oneOf("codec", () => kinds());

/** Codecs by name. */
export const codecs: Check<Record<string, AnyCodec>> = /* @__PURE__ */ mapOf(codec);

const variantCase = object({ value: number, fields: codecs }, { label: string });

/** A codec from its keys, beside those that every codec has. */
function kind<const Needed extends Checks, const Free extends Checks>(
  needed: Needed,
  free: Free,
  make: (json: Shape<Needed, Free>, about: About) => unknown,
): Check<AnyCodec> {
  const aboutKeys = { label: string, note: string, means: string, source: string };
  const shape = object(needed, { ...free, ...aboutKeys, codec: string });
  return (value, report, depth) => {
    const json = shape(value, report, depth);
    // The shape is computed from the same keys; the compiler cannot follow the spread.
    return json && made(report, () => make(json as Shape<Needed, Free>, aboutOf(json as About)) as AnyCodec);
  };
}

// Made when first needed, so that a bundle without descriptions in JSON holds none of this.
let all: ReadonlyMap<string, Check<AnyCodec>> | undefined;
function kinds(): ReadonlyMap<string, Check<AnyCodec>> {
  all ??= new Map(
    Object.entries({
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
    }),
  );
  return all;
}
