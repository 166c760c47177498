import type { AnyCodec } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import { joinPath, messageOf } from "../cv/issue.js";
import { placesInWords } from "../cv/places-text.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { linesOf, textOf } from "../decoder/explain.js";
import { type MeaningOptions, meaningsOf, type Setting } from "../meaning/settings.js";
import { joined, oneLine } from "./words.js";

/** A setting of the locomotive with its value in words. */
export interface Reading {
  readonly setting: Setting;
  /** The value; undefined where it cannot be read. */
  readonly value: unknown;
  /** The value in words, or why it cannot be read. */
  readonly text: string;
}

/** The settings that the set holds, in the order of the description. */
export function readingsOf(decoder: AnyDecoder, cvs: CvSet, options: MeaningOptions): Reading[] {
  return meaningsOf(decoder, options).flatMap((setting): Reading[] => {
    const { codec } = setting;
    // What is not in the set is no news to its owner.
    if (!codec.bits.some(({ cv }) => cvs.has(cv))) return [];
    const read = codec.tryDecode(cvs);
    if (read.ok) return [{ setting, value: read.value, text: oneLine(valueText(setting, cvs, read.value)) }];
    const [issue] = read.issues;
    return [{ setting, value: undefined, text: `cannot be read: ${oneLine(issue ? messageOf(issue) : "")}` }];
  });
}

function valueText({ codec, term }: Setting, cvs: CvSet, value: unknown): string {
  const { data } = codec;
  if (typeof value === "string" && data.kind === "text") return value;
  if (
    typeof value === "number" &&
    data.kind === "level" &&
    term?.type === "share" &&
    !data.scale.options.unit
  ) {
    return `${value} of ${data.scale.max}`;
  }
  if (data.kind !== "variant" && data.kind !== "switched" && data.kind !== "custom")
    return textOf(codec, value);
  // Long lists have a picture or the list of CVs.
  const [first, ...rest] = linesOf(codec, cvs).filter(({ places }) => places.length <= 4);
  if (!first) return textOf(codec, value);
  const labels = labelsIn(codec, "");
  const more = rest.map(({ path, text }) => {
    const label = labels.get(path)?.at(-1);
    return path && label ? `${label} ${text}` : text;
  });
  return [first.text, ...more].join(", ");
}

/** The labels of a codec and of its parts, from the outside in: by path, and by path and bits. */
export function labelsIn(
  codec: AnyCodec,
  path: string,
  before: readonly string[] = [],
): Map<string, readonly string[]> {
  const own = codec.about.label ?? path.split(".").at(-1);
  const labels = own ? [...before, own] : before;
  // Two cases of a variant may have a field of one name, which only their bits tell apart.
  const all = new Map([
    [path, labels],
    [`${path} ${placesInWords(codec.bits)}`, labels],
  ]);
  const below = (fields: Readonly<Record<string, AnyCodec>>): void => {
    for (const [name, field] of Object.entries(fields)) {
      for (const [at, texts] of labelsIn(field, joinPath(path, name), labels)) all.set(at, texts);
    }
  };
  const { data } = codec;
  switch (data.kind) {
    case "record":
      below(data.fields);
      break;
    case "custom":
      below(data.parts);
      break;
    case "variant":
      all.set(joinPath(path, data.tag), labels);
      for (const { fields } of Object.values(data.cases)) below(fields);
      break;
    case "switched":
      if (data.item.data.kind === "record") below(data.item.data.fields);
  }
  return all;
}

/** What people read before a value: `Brake squeal: For at most`. */
export function nameOfReading({ setting: { labels } }: Reading): string {
  return joined(labels);
}

/** The terms of a setting that say what thing it is about. */
export function subjectOf({ setting: { terms, term } }: Reading): Setting["terms"][number] | undefined {
  return terms.find(({ group }) => group !== "aspects") ?? term;
}
