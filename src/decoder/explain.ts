import { type AnyCodec, aCodec, at, collect, ownedOf, tryRead, type ValueOf } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import { aText, need } from "../cv/argument.js";
import type { BitChange } from "../cv/cvpatch.js";
import { type CvSet, type CvsLike, readerOf, toCvSet } from "../cv/cvset.js";
import type { CvReader } from "../cv/image.js";
import { type Issue, joinPath } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { toKey } from "../cv/name.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { show } from "../cv/show.js";
import { type AnyDecoder, aDecoder, type Decoder, rootOf } from "./decoder.js";

/** One line of an explanation. */
export interface Line {
  /** Where in the settings: `"front.effect"`. */
  readonly path: string;
  /** What is set, in words. */
  readonly text: string;
  /** The bits that it is read from. */
  readonly places: readonly BitsOfCv[];
}

/** A CV set in words. */
export interface Explanation<Settings = Readonly<Record<string, unknown>>> {
  /** The settings that can be read. */
  readonly settings: Settings;
  /** What is set, feature by feature. */
  readonly lines: readonly Line[];
  /** What is wrong with features of which the set has a CV. */
  readonly issues: readonly Issue[];
  /** Features of which the set has no CV. */
  readonly absent: readonly string[];
  /** Bits that are in the set and belong to no feature; of shared bytes only those that are set. */
  readonly unowned: readonly BitChange[];
}

/**
 * A CV set, whole or in part, in words.
 * @param decoder The decoder whose CVs they are.
 * @param cvs The CVs.
 * @example
 * import { choice, cv, CvSet, defineDecoder, explain, flag } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { bell: choice(cv(246), { dull: 8 }), lamp: flag(cv(216).bit(7)) },
 * });
 * const explained = explain(decoder, CvSet.from({ 216: 129, 60: 5 }));
 * explained.lines.map((line) => `${line.path}: ${line.text}`); // ["lamp: yes"]
 * explained.absent; // ["bell"]
 * explained.unowned; // [{ cv: "60", mask: 255, value: 5 }, { cv: "216", mask: 1, value: 1 }]
 */
export function explain<Settings, Input>(
  decoder: Decoder<Settings, Input>,
  cvs: CvsLike,
): Explanation<Input> {
  need(aDecoder, decoder, "decoder");
  const set = toCvSet(cvs);
  const settings: Record<string, unknown> = {};
  const lines: Line[] = [];
  const issues = new IssueList();
  const absent: string[] = [];
  const report = collect(issues);
  for (const [name, codec] of Object.entries<AnyCodec>(decoder.features)) {
    if (!codec.bits.some(({ cv }) => set.has(cv))) {
      absent.push(name);
      continue;
    }
    const value = tryRead(codec, readerOf(set), at(name, report));
    if (value !== undefined) settings[name] = value;
    lines.push(...readLines(codec, readerOf(set), name));
  }
  return {
    // Each value came from the codec of its name.
    settings: settings as Input,
    lines,
    issues: issues.done(),
    absent,
    unowned: unownedBits(decoder as object as AnyDecoder, set),
  };
}

/**
 * What a codec reads from a CV set, in words, line by line. What cannot be read has no line.
 * @param codec The codec.
 * @param cvs The CVs.
 * @param path The path of the codec's own value; empty without it.
 * @example
 * import { cv, CvSet, flag, level, linesOf, record } from "cvset";
 * const blower = record({ on: flag(cv(252).bit(3)), seconds: level(cv(249), { unit: "s" }) });
 * linesOf(blower, CvSet.from({ 249: 20, 252: 8 }), "blower").map(({ path, text }) => `${path}: ${text}`); // ["blower.on: yes", "blower.seconds: 20 s"]
 */
export function linesOf(codec: AnyCodec, cvs: CvsLike, path = ""): Line[] {
  need(aCodec, codec, "codec");
  need(aText, path, "path");
  return readLines(codec, readerOf(cvs), path);
}

function readLines(codec: AnyCodec, cvs: CvReader, path: string): Line[] {
  const { data, spec } = codec;
  const fieldLines = (fields: Fields): Line[] =>
    Object.entries(fields).flatMap(([name, field]) => readLines(field, cvs, joinPath(path, name)));
  switch (data.kind) {
    case "record":
      return fieldLines(data.fields);
    case "custom":
      if (spec.text) break;
      if (data.item) return readLines(data.item, cvs, path);
      if (Object.keys(data.parts).length === 0) break;
      return fieldLines(data.parts);
    case "derived": {
      const stored = numberIn(data.place, cvs);
      let isRight = true;
      tryRead(codec, cvs, () => {
        isRight = false;
      });
      if (stored === undefined || !isRight) return [];
      const text = `${stored}, worked out from ${data.from.join(", ")}`;
      return [{ path, text, places: codec.bits }];
    }
    case "variant": {
      const stored = numberIn(data.place, cvs);
      const found = Object.entries(data.cases).find(([, { value }]) => value === stored);
      if (!found) return [];
      const [name, { fields }] = found;
      const line = { path: joinPath(path, data.tag), text: nameIn(data.cases, name) };
      return [{ ...line, places: data.place.bitsOfCvs }, ...fieldLines(fields)];
    }
    case "switched": {
      const stored = numberIn(data.place, cvs);
      if (stored === undefined) return [];
      const isOn = (stored === 1) !== data.inverted;
      const line = { path, text: isOn ? "on" : "off", places: data.place.bitsOfCvs };
      return isOn ? [line, ...readLines(data.item, cvs, path)] : [line];
    }
  }
  let failed = false;
  const value = tryRead(codec, cvs, () => {
    failed = true;
  });
  return failed ? [] : [{ path, text: textOf(codec, value), places: codec.bits }];
}

/** The number that is stored in a place; undefined where a CV is absent. */
export function numberIn(place: { read(cvs: CvReader): number }, cvs: CvReader): number | undefined {
  try {
    return place.read(cvs);
  } catch {
    return undefined;
  }
}

type Texts = {
  readonly [Kind in CodecData["kind"]]?: (
    data: Extract<CodecData, { readonly kind: Kind }>,
    value: unknown,
  ) => string;
};

/** The words for a value, by the kind of codec; every other value is shown as JSON. */
const texts: Texts = {
  flag: (_, value) => (value ? "yes" : "no"),
  choice: ({ options }, value) => nameIn(options, `${value}`),
  level: ({ scale }, value) => (typeof value === "number" ? `${value}${scale.unit}` : `${value}`),
  flags: (_, value) => (value as readonly unknown[]).join(", ") || "none",
  table: ({ scale }, value) => `${(value as readonly unknown[]).join(", ")}${scale.unit}`,
  switched: ({ item }, value) => (value === "off" ? "off" : textOf(item, value)),
  converted: ({ pairs }, value) => (pairs ? `${value}` : show(value)),
};

/** The label of an option or case; its name where it has none, and behind a label that several have. */
function nameIn(all: Readonly<Record<string, { readonly label?: string }>>, name: string): string {
  const label = all[name]?.label;
  if (label === undefined) return name;
  return Object.values(all).some((one) => one !== all[name] && one.label === label)
    ? `${label} (${name})`
    : label;
}

/**
 * A decoded value in words: the label of an option, a number with its unit.
 * @param codec The codec that decoded it.
 * @param value The value.
 * @example
 * import { cv, level, textOf } from "cvset";
 * textOf(level(cv(249), { unit: "s" }), 20); // "20 s"
 */
export function textOf<C extends AnyCodec>(codec: C, value: ValueOf<C>): string {
  need(aCodec, codec, "codec");
  const { data, spec } = codec;
  if (spec.text) return spec.text(value);
  if (data.kind === "custom" && data.item) return textOf(data.item, value);
  // The table has the data of each kind under that kind.
  const text = texts[data.kind] as ((data: CodecData, value: unknown) => string) | undefined;
  try {
    return text ? text(data, value) : show(value);
  } catch {
    // No value of this codec: a symbol, or an object that has no text.
    return show(value);
  }
}

/** The bits that are in a set and belong to no feature; of shared bytes only those that are set. */
export function unownedBits(decoder: AnyDecoder, cvs: CvSet): BitChange[] {
  const owned = ownedOf(rootOf(decoder));
  const changes: BitChange[] = [];
  for (const [cv, value] of cvs) {
    const mine = owned.get(toKey(cv)) ?? 0;
    const rest = value & ~mine;
    if (mine === 0) changes.push({ cv, mask: 255, value });
    else if (rest) changes.push({ cv, mask: rest, value: rest });
  }
  return changes;
}
