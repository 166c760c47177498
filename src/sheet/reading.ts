import type { AnyCodec } from "../codec/codec.js";
import { type CvSet, readerOf } from "../cv/cvset.js";
import { type Issue, joinPath, messageOf } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { linesOf, numberIn, textOf } from "../decoder/explain.js";
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
    const why = messageOf(read.issues[0] as Issue);
    return [{ setting, value: undefined, text: `cannot be read: ${oneLine(why)}` }];
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
  const labels = labelsIn(codec, cvs, "");
  const more = rest.map(({ path, text }) => {
    const label = labels.get(path)?.at(-1);
    return path && label ? `${label} ${text}` : text;
  });
  return [first.text, ...more].join(", ");
}

/** The labels of a codec and of its parts that are in use, from the outside in, by path. */
export function labelsIn(
  codec: AnyCodec,
  cvs: CvSet,
  path: string,
  before: readonly string[] = [],
): Map<string, readonly string[]> {
  const own = codec.about.label ?? path.split(".").at(-1);
  const labels = own ? [...before, own] : before;
  const all = new Map([[path, labels]]);
  const below = (fields: Readonly<Record<string, AnyCodec>>): void => {
    for (const [name, field] of Object.entries(fields)) {
      for (const [at, texts] of labelsIn(field, cvs, joinPath(path, name), labels)) all.set(at, texts);
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
    case "variant": {
      all.set(joinPath(path, data.tag), labels);
      // Another case may have a field of the same name in the same bits.
      const stored = numberIn(data.place, readerOf(cvs));
      below(Object.values(data.cases).find(({ value }) => value === stored)?.fields ?? {});
      break;
    }
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
