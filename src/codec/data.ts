import { need } from "../cv/argument.js";
import type { Place, Run } from "../cv/place.js";
import type { Option } from "./choice.js";
import { type AnyCodec, aCodec } from "./codec.js";
import type { Scale } from "./scale.js";
import type { Cases } from "./variant.js";

/** What a codec is made from, told apart by `kind`. */
export type CodecData =
  | {
      /** One bit, as true or false. */
      readonly kind: "flag";
      readonly place: Place;
      /** The bit is 0 for true. */
      readonly inverted: boolean;
    }
  | {
      /** One of several named options. */
      readonly kind: "choice";
      readonly place: Place;
      /** The options by name: the stored number, and what people read of it. */
      readonly options: Readonly<Record<string, Exclude<Option, number>>>;
    }
  | {
      /** A number with its range and unit. */
      readonly kind: "level";
      readonly place: Place;
      /** How numbers are stored; its range and unit. */
      readonly scale: Scale;
      /** Stored numbers that have a name, by name. */
      readonly names: Readonly<Record<string, number>>;
    }
  | {
      /** Any number of named bits. */
      readonly kind: "flags";
      readonly place: Place;
      /** The name of each bit, lowest first; `null` for a bit that is left alone. */
      readonly names: readonly (string | number | null)[];
    }
  | {
      /** A text, one character in each CV. */
      readonly kind: "text";
      readonly run: Run;
      /** The byte that fills what the text leaves over. */
      readonly pad: number;
    }
  | {
      /** A list of numbers, one in each CV. */
      readonly kind: "table";
      readonly run: Run;
      /** How each number is stored; its range and unit. */
      readonly scale: Scale;
    }
  | {
      /** Several settings under one name. */
      readonly kind: "record";
      /** The codec of each setting. */
      readonly fields: Readonly<Record<string, AnyCodec>>;
    }
  | {
      /** Settings that depend on another one. */
      readonly kind: "variant";
      /** The place of the discriminator. */
      readonly place: Place;
      /** The name of the key that tells the cases apart. */
      readonly tag: string;
      /** The cases by name. */
      readonly cases: Cases;
    }
  | {
      /** Something that one bit turns on. */
      readonly kind: "switched";
      /** The enabling bit. */
      readonly place: Place;
      /** The bit is 0 for on. */
      readonly inverted: boolean;
      /** What is turned on. */
      readonly item: AnyCodec;
    }
  | {
      /** Another codec's values in another form. */
      readonly kind: "converted";
      /** The inner codec. */
      readonly item: AnyCodec;
      /** Inner values and what they stand for; absent where two functions convert. */
      readonly pairs?: readonly (readonly [inner: unknown, value: unknown])[];
    }
  | {
      /** A value that is worked out from other CVs. */
      readonly kind: "derived";
      /** Where it is stored. */
      readonly place: Place;
      /** What it is worked out from. */
      readonly from: readonly (Place | Run)[];
      /** How; absent where a function works it out. */
      readonly by?: "sum" | "xor" | undefined;
      /** The number that a sum or an exclusive or begins with. */
      readonly start: number;
    }
  | {
      /** A codec from outside this library. */
      readonly kind: "custom";
      /** Its parts by name, where it has parts. */
      readonly parts: Readonly<Record<string, AnyCodec>>;
      /** The codec that it is around, where there is one. */
      readonly item?: AnyCodec;
    };

/**
 * The parts of a codec by name: the fields of a record, those of every case of a variant, those of what a
 * bit turns on. Two cases may have a field of one name, so each name has a list.
 * @param codec The codec.
 * @example
 * import { cv, flag, partsOf, record } from "cvset";
 * Object.keys(partsOf(record({ lit: flag(cv(216).bit(5)) }))); // ["lit"]
 */
export function partsOf(codec: AnyCodec): Readonly<Record<string, readonly AnyCodec[]>> {
  need(aCodec, codec, "codec");
  const { data } = codec;
  switch (data.kind) {
    case "record":
      return byName([data.fields]);
    case "custom":
      return data.item ? partsOf(data.item) : byName([data.parts]);
    case "variant":
      return byName(Object.values(data.cases).map(({ fields }) => fields));
    case "switched":
      return partsOf(data.item);
    default:
      return {};
  }
}

function byName(
  all: readonly Readonly<Record<string, AnyCodec>>[],
): Readonly<Record<string, readonly AnyCodec[]>> {
  const parts = new Map<string, AnyCodec[]>();
  for (const [name, codec] of all.flatMap((fields) => Object.entries(fields))) {
    const others = parts.get(name);
    if (others) others.push(codec);
    else parts.set(name, [codec]);
  }
  return Object.fromEntries(parts);
}
