import type { AnyCodec } from "../codec/codec.js";
import type { Scale } from "../codec/scale.js";
import type { Place } from "../cv/place.js";
import { placesInWords } from "../cv/places-text.js";
import { textOf } from "../decoder/explain.js";

// What a setting may be, in words: for `describe`, and for `explain` of a CV without a value.

/** What one setting may be. */
export interface Allowed {
  /** Its path: `"front.effect"`. */
  readonly path: string;
  /** Its name for people; empty without one. */
  readonly label: string;
  /** What it may be: options, a range. */
  readonly text: string;
  /** The bits that it is stored in, in words; empty for a heading. */
  readonly place: string;
  readonly codec: AnyCodec;
}

/**
 * The settings of a codec, the parts below it one by one.
 * @param path The path of the codec's own value.
 * @param numbers Whether the stored numbers of options are shown.
 */
export function allowedBy(path: string, codec: AnyCodec, numbers: boolean): Allowed[] {
  const { data, about } = codec;
  const label = about.label ?? "";
  const row = (text: string, place: string, own = path): Allowed => ({
    path: own,
    label,
    text,
    place,
    codec,
  });
  const parts = (fields: Readonly<Record<string, AnyCodec>>): Allowed[] =>
    Object.entries(fields).flatMap(([name, field]) => allowedBy(`${path}.${name}`, field, numbers));
  switch (data.kind) {
    case "record":
      return [row("", ""), ...parts(data.fields)];
    case "variant": {
      const cases = Object.entries(data.cases);
      const options = cases.map(([name, one]) => option(name, one.value, one.label, data.place, numbers));
      const head = row(options.join(", "), data.place.toString(), `${path}.${data.tag}`);
      // The fields of all cases stand below each other, each with its case.
      const fields = cases.flatMap(([name, one]) =>
        parts(one.fields).map((part) => ({
          ...part,
          text: part.text && `${part.text} (${data.tag} ${name})`,
        })),
      );
      return [head, ...fields];
    }
    case "switched": {
      const off = numbers ? ` (adds ${weight(data.place, data.inverted ? 1 : 0)})` : "";
      const [head, ...rest] = allowedBy(path, data.item, numbers) as [Allowed, ...Allowed[]];
      return [row(`off${off}, or`, data.place.toString()), ...(head.text ? [head] : []), ...rest];
    }
    case "custom":
      return Object.keys(data.parts).length
        ? [row("", ""), ...parts(data.parts)]
        : [row(codec.kind, placesInWords(codec.bits))];
    default:
      return [row(valuesText(codec, numbers), placesInWords(codec.bits))];
  }
}

/** What the values of a codec without parts may be. */
function valuesText(codec: AnyCodec, numbers: boolean): string {
  const { data } = codec;
  switch (data.kind) {
    case "flag": {
      if (!numbers) return "true, false";
      const on = weight(data.place, data.inverted ? 0 : 1);
      const off = weight(data.place, data.inverted ? 1 : 0);
      return `true (adds ${on}), false (adds ${off})`;
    }
    case "choice":
      return Object.entries(data.options)
        .map(([name, { value, label }]) => option(name, value, label, data.place, numbers))
        .join(", ");
    case "level": {
      const names = Object.entries(data.names).map(([name, stored]) =>
        option(name, stored, undefined, data.place, numbers),
      );
      return [...names, rangeText(data.scale, numbers)].join(", or ");
    }
    case "flags":
      return `any of ${data.names
        .flatMap((name, bit) => {
          if (name === null) return [];
          return numbers ? `${name} (adds ${weight(data.place, 2 ** bit)})` : `${name}`;
        })
        .join(", ")}`;
    case "text":
      return `a text of up to ${data.run.places.length} ${data.run.places.length === 1 ? "character" : "characters"}`;
    case "table":
      return `${data.run.places.length} numbers, ${rangeText(data.scale, numbers)}`;
    case "derived":
      return `worked out from ${data.from.join(", ")}${data.by ? ` (${data.by === "sum" ? "sum" : "exclusive or"})` : ""}`;
    default:
      return data.kind === "converted" && data.pairs
        ? data.pairs.map(([, value]) => textOf(codec, value)).join(", ")
        : codec.kind;
  }
}

function rangeText(scale: Scale, numbers: boolean): string {
  const { min, max, unit, options } = scale;
  const step = Math.abs(options.step ?? 1);
  const range = `${min} to ${max}${unit}${step === 1 ? "" : `, by ${step}`}`;
  const [low, high] = [scale.exactly(min), scale.exactly(max)];
  return numbers && !scale.plain && low !== undefined && high !== undefined
    ? `${range} (stored as ${low} to ${high})`
    : range;
}

/** An option's name, with its label where that says more, and with the number that it adds to its CV. */
function option(
  name: string,
  value: number,
  label: string | undefined,
  place: Place,
  numbers: boolean,
): string {
  if (!numbers) return name;
  const says = label !== undefined && label.toLowerCase() !== name.toLowerCase() ? `: ${label}` : "";
  return `${name} (${isWhole(place) ? "" : "adds "}${weight(place, value)}${says})`;
}

/**
 * What a stored number adds to its CV: installers add up powers of two by hand. Of a place in several CVs, the
 * number itself.
 */
export function weight(place: Place, value: number): number {
  const [part, second] = place.parts;
  return part && !second ? value * 2 ** part.low : value;
}

function isWhole(place: Place): boolean {
  return place.parts.length > 1 || place.width === 8;
}
