import fc, { type Arbitrary } from "fast-check";
import { choice } from "../codec/choice.js";
import type { About, AnyCodec } from "../codec/codec.js";
import { converted } from "../codec/converted.js";
import { derived } from "../codec/derived.js";
import type { Fields } from "../codec/fields.js";
import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { type LevelOptions, level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { Scale, type ScaleOptions } from "../codec/scale.js";
import { switched } from "../codec/switched.js";
import { table } from "../codec/table.js";
import { text } from "../codec/text.js";
import { variant } from "../codec/variant.js";
import { needIn } from "../cv/argument.js";
import { CvError } from "../cv/issue.js";
import { type Bit, type BytePlace, cv, type Place, page, type Run } from "../cv/place.js";
import { type AnyDecoder, Decoder, type DecoderSpec, rootOf } from "../decoder/decoder.js";
import { jsonOf } from "../decoder/json.js";
import { ofDecoders } from "./source.js";

/**
 * An arbitrary of decoder descriptions: features of every built-in kind (but conversions by code, which no
 * description in JSON can hold) in random places, index pages among them.
 * @param options `maxFeatures`: how many features at most; 8 without it. `derived`: some also have a value that is worked
 *   out from others, which random CVs hardly ever have right.
 * @example
 * import fc from "fast-check";
 * import { decoders } from "cvset/testing";
 * fc.sample(decoders({ maxFeatures: 3 }), 20).every((decoder) => Object.keys(decoder.features).length <= 3); // true
 */
export function decoders(
  options: { readonly maxFeatures?: number; readonly derived?: boolean } = {},
): Arbitrary<AnyDecoder> {
  needIn(ofDecoders, options, "options");
  const { maxFeatures = 8, derived: some = false } = options;
  // Made here, since bundlers keep a class with a method of a computed name.
  class RandomDecoder extends Decoder<Readonly<Record<string, unknown>>> {
    /** How fast-check shows a counterexample. */
    [fc.toStringMethod](): string {
      return JSON.stringify(jsonOf(rootOf(this)));
    }
  }
  // The description is made from a list of numbers: fewer or smaller numbers make a simpler decoder, so that
  // counterexamples shrink.
  return fc
    .array(fc.integer({ min: 0, max: 0xffff }), { minLength: 1, maxLength: 40 * maxFeatures, size: "max" })
    .map((numbers) => new RandomDecoder(specFrom(new Tape(numbers), maxFeatures, some)));
}

class Tape {
  #at = 0;
  readonly #numbers: readonly number[];

  constructor(numbers: readonly number[]) {
    this.#numbers = numbers;
  }

  /** The next number, below a limit; 0 behind the end. */
  below(limit: number): number {
    return (this.#numbers[this.#at++] ?? 0) % limit;
  }

  between(low: number, high: number): number {
    return low + this.below(high - low + 1);
  }

  oneOf<T>(first: T, ...others: T[]): T {
    const at = this.below(others.length + 1);
    return at === 0 ? first : (others[at - 1] as T);
  }

  /** Some different numbers from 0 to a top, at least one. */
  some(top: number, atMost: number): number[] {
    const wanted = Math.min(this.between(1, atMost), top + 1);
    const found = new Set<number>();
    while (found.size < wanted) {
      let next = this.below(top + 1);
      while (found.has(next)) next = (next + 1) % (top + 1);
      found.add(next);
    }
    return [...found];
  }
}

/** Gives places that are not in use yet. */
class Room {
  #bytes = 0;
  #runs = 0;
  #low = 8;
  #byte: BytePlace = cv(1);
  readonly #tape: Tape;

  constructor(tape: Tape) {
    this.#tape = tape;
  }

  byte(): BytePlace {
    const n = this.#bytes++ % 255;
    // 7 and 255 have no common factor, so no CV comes twice.
    return this.#tape.below(4) === 3 ? page(16 + (n % 4), n).cv(257 + n) : cv(1 + ((n * 7) % 255));
  }

  bits(width: number): Place {
    if (width > 8) return this.byte().with(this.bits(width - 8));
    const low = this.#low + this.#tape.below(3);
    if (low + width <= 8) return this.#take(low, width);
    this.#byte = this.byte();
    return this.#take(this.#tape.below(9 - width), width);
  }

  run(length: number): Run {
    const first = this.#runs;
    this.#runs += length;
    const onPage = this.#tape.below(4) === 3 && first + length <= 256;
    return onPage
      ? page(200, 9)
          .cv(257 + first)
          .through(256 + first + length)
      : cv(513 + first).through(512 + first + length);
  }

  #take(low: number, width: number): Place {
    this.#low = low + width;
    return width === 8 ? this.#byte : this.#byte.bits(low as Bit, (low + width - 1) as Bit);
  }
}

const featureNames = ["whistle", "a b", "7", "Größe", "x", "front", "kind2", "_", "LED", "drains", "s", "p"];

function specFrom(tape: Tape, maxFeatures: number, withDerived: boolean): DecoderSpec<Fields> {
  const room = new Room(tape);
  const features = fieldsFrom(tape, room, tape.between(1, maxFeatures), 2);
  if (withDerived) {
    const places = Object.values(features).flatMap((codec) => codec.places);
    for (const name of ["sum", "check"].slice(0, tape.below(3))) {
      const from = tape.some(places.length - 1, 6).map((i) => places[i] as Place);
      const place = room.bits(tape.oneOf(8, 4, 12));
      const start = tape.oneOf(0, tape.below(place.max + 1));
      features[name] = derived(place, { from, by: tape.oneOf("sum", "xor"), start }) as AnyCodec;
      // The next one may be worked out from this one.
      places.push(place);
    }
  }
  const factory: Record<string, number> = {};
  for (const codec of Object.values(features)) {
    for (const bits of codec.bits) if (tape.below(3)) factory[bits.cv] = tape.below(256);
  }
  return {
    id: `invented-${tape.below(100)}`,
    name: "Invented",
    kind: tape.oneOf("multifunction", "accessory"),
    features,
    factory,
  };
}

function fieldsFrom(tape: Tape, room: Room, count: number, depth: number): Record<string, AnyCodec> {
  const fields: Record<string, AnyCodec> = {};
  for (let i = 0; i < count; i++) {
    const name = featureNames[i] ?? `feature${i}`;
    const about: About = tape.oneOf({}, { label: `The ${name}` }, { means: "whistle", note: "invented" });
    fields[name] = codecFrom(tape, room, about, depth);
  }
  return fields;
}

function codecFrom(tape: Tape, room: Room, about: About, depth: number): AnyCodec {
  const makers = depth > 0 ? [...simple, ...nested] : simple;
  return (makers[tape.below(makers.length)] as Maker)(tape, room, about, depth);
}

type Maker = (tape: Tape, room: Room, about: About, depth: number) => AnyCodec;

const inverted = (tape: Tape) => tape.oneOf({}, { inverted: true });

const simple: readonly Maker[] = [
  (tape, room, about) => flag(room.bits(1), { ...about, ...inverted(tape) }),
  (tape, room, about) => {
    const place = room.bits(tape.oneOf(1, 2, 3, 4, 8, 12));
    const options = tape.some(place.max, 6).map((value, i) => [`option ${i}`, optionFrom(tape, value)]);
    return choice(place, Object.fromEntries(options), about);
  },
  levelFrom,
  (tape, room, about) => {
    const place = room.bits(tape.between(1, 8));
    const names = Array.from({ length: place.width }, (_, i) =>
      i === 0 ? "first" : tape.oneOf<string | number | null>(`bit ${i}`, i, null),
    );
    return flags(place, names, about);
  },
  (tape, room, about) => {
    const run = room.run(tape.between(1, 8));
    return text(run, { ...about, ...tape.oneOf({}, { pad: 32 }, { pad: 255 }, { pad: 0 }) });
  },
  (tape, room, about) => {
    const run = room.run(tape.oneOf(28, 1, 3, 28));
    return table(run, { ...about, ...tape.oneOf({}, { max: 9 }, scaleFrom(tape, 255)) });
  },
  (tape, room, about) => {
    const place = room.bits(tape.between(1, 8));
    const stored = tape.some(place.max, 4);
    const inWords = tape.oneOf(true, false);
    const pairs = stored.map((n, i): [number, string | number] => [n, inWords ? `word ${i}` : i * 1.5]);
    return converted(level(place), pairs, about);
  },
];

const nested: readonly Maker[] = [
  (tape, room, about, depth) => record(fieldsFrom(tape, room, tape.between(1, 4), depth - 1), about),
  (tape, room, about, depth) => {
    const place = room.bits(tape.between(1, 3));
    const cases = tape.some(place.max, 3).map((value, i) => {
      const fields = fieldsFrom(tape, room, tape.below(3), depth - 1);
      return [`case ${i}`, { value, fields, ...tape.oneOf({}, { label: `Case ${i}` }) }];
    });
    return variant(place, Object.fromEntries(cases), { ...about, ...tape.oneOf({}, { tag: "is" }) });
  },
  (tape, room, about, depth) => {
    const options = { ...about, ...inverted(tape) };
    const place = room.bits(1);
    const inner = codecFrom(tape, room, {}, depth - 1);
    // Some could be "off" themselves, and then the two could not be told apart.
    const hasOff = inner.kind === "text" || inner.kind === "switched";
    return switched(place, hasOff ? record({ inner }) : inner, options);
  },
];

function optionFrom(tape: Tape, value: number) {
  return tape.oneOf<number | { value: number; label?: string; means?: string }>(
    value,
    { value, label: `Number ${value}` },
    { value, means: "bell" },
  );
}

function levelFrom(tape: Tape, room: Room, about: About): AnyCodec {
  const place = room.bits(tape.oneOf(8, 1, 3, 5, 8, 14));
  const scale = scaleFrom(tape, place.max);
  const names: Record<string, number> = {};
  tape.some(place.max, 3).forEach((stored, i) => {
    if (i > 0) names[`name ${i}`] = stored;
  });
  const options: LevelOptions<string> = { ...about, ...scale, ...tape.oneOf({}, { names }) };
  return level(place, options);
}

/** A scale that can be defined for stored numbers from 0 to a top. */
function scaleFrom(tape: Tape, top: number): ScaleOptions {
  const step = tape.oneOf(1, 1, 0.1, 0.896, 100 / 255, 2, -1, -0.1, 0.001, 12.5, 1 / 3);
  const offset = tape.oneOf(0, 0, 0, 1, -20, 0.5, 131, -0.3);
  const decimals = tape.oneOf<number | undefined>(undefined, undefined, 0, 1, 2, 4);
  const unit = tape.oneOf({}, { unit: "s" });
  const scale = {
    ...(step !== 1 && { step }),
    ...(offset !== 0 && { offset }),
    ...(decimals !== undefined && { decimals }),
    ...unit,
  };
  const value = (stored: number): number =>
    Number((offset + step * stored)[decimals === undefined ? "toPrecision" : "toFixed"](decimals ?? 12));
  const [min = 0, max = 0] = [value(tape.below(top + 1)), value(tape.below(top + 1))].sort((a, b) => a - b);
  const ranges: ScaleOptions[] = [{}, { min }, { max }, { min, max }];
  for (const options of [{ ...scale, ...ranges[tape.below(4)] }, scale]) {
    try {
      return new Scale(options, top, []).options;
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
    }
  }
  return unit;
}
