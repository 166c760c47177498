import { type AnyCodec, aCodec, type Json } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import { need } from "../cv/argument.js";
import { CvError, fault, joinPath } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { type AnyDecoder, aDecoder, type DecoderKind } from "./decoder.js";
import type { DecoderRule } from "./rule.js";

const holdsCode = /* @__PURE__ */ fault(
  "codec-holds-code",
  "a codec of kind {kind} holds code and cannot be written as JSON",
);

/** A decoder description in JSON. */
export interface DecoderJson {
  /** Its short name in files. */
  readonly id: string;
  /** Its name for people. */
  readonly name: string;
  /** What kind of decoder it is. */
  readonly kind: DecoderKind;
  /** A remark for people. */
  readonly note?: string;
  /** Its factory values, 0-255, by CV. */
  readonly factory?: { readonly [cv: string]: number };
  /** The codec of each feature. */
  readonly features: { readonly [name: string]: Json };
  /** What must hold between its settings. */
  readonly rules?: readonly DecoderRule[];
}

type JsonObject = { readonly [key: string]: Json };

/** Writes a part of a codec; its issues get the path of that part. */
type Write = (part: AnyCodec, path: string) => JsonObject;

type Forms = {
  readonly [Kind in Exclude<CodecData["kind"], "custom">]: (
    data: Extract<CodecData, { readonly kind: Kind }>,
    write: Write,
  ) => JsonObject | undefined;
};

/** The keys of a codec in a description, by its kind; what has its default value is left out. */
const forms: Forms = {
  flag: ({ place, inverted }) => ({ place: place.toJSON(), ...(inverted && { inverted }) }),
  choice: ({ place, options }) => ({
    place: place.toJSON(),
    options: mapped(
      options,
      ({ value, ...about }): Json => (Object.keys(about).length ? { value, ...about } : value),
    ),
  }),
  level: ({ place, scale, names }) => ({
    place: place.toJSON(),
    ...scale.options,
    ...(Object.keys(names).length && { names }),
  }),
  flags: ({ place, names }) => ({ place: place.toJSON(), names }),
  text: ({ run, pad }) => ({ place: run.toJSON(), ...(pad && { pad }) }),
  table: ({ run, scale }) => ({ place: run.toJSON(), ...scale.options }),
  record: ({ fields }, write) => ({ fields: mapped(fields, write) }),
  variant: ({ place, tag, cases }, write) => ({
    place: place.toJSON(),
    ...(tag !== "kind" && { tag }),
    cases: mapped(cases, ({ value, label, fields }) => ({
      value,
      ...(label && { label }),
      fields: mapped(fields, write),
    })),
  }),
  switched: ({ place, inverted, item }, write) => ({
    place: place.toJSON(),
    ...(inverted && { inverted }),
    item: write(item, ""),
  }),
  derived: ({ place, from, by, start }) =>
    by && { place: place.toJSON(), from: from.map((one) => one.toJSON()), by, ...(start && { start }) },
  // Pairs hold texts, numbers, true and false.
  converted: ({ item, pairs }, write) => pairs && { item: write(item, ""), pairs: pairs as Json },
};

function mapped<T>(map: Readonly<Record<string, T>>, change: (item: T, name: string) => Json): JsonObject {
  return Object.fromEntries(Object.entries(map).map(([name, item]) => [name, change(item, name)]));
}

/** The codec in JSON; a part that holds code is an issue, and is left out. */
function jsonInto(codec: AnyCodec, path: string, issues: IssueList): JsonObject {
  const { kind, data, spec, about } = codec;
  const write: Write = (part, name) => jsonInto(part, joinPath(path, name), issues);
  const form =
    data.kind === "custom" || spec.json
      ? spec.json?.(data.kind === "custom" && data.item ? write(data.item, "") : undefined)
      : // The table has the data of each kind under that kind.
        (forms[data.kind] as (data: CodecData, write: Write) => JsonObject | undefined)(data, write);
  if (!form) issues.add(holdsCode({ kind }, { path }));
  return { codec: kind, ...form, ...about };
}

/**
 * A codec in the form in which a decoder description in JSON has it.
 * @param codec The codec.
 * @throws `CvError` with every part that holds code, which JSON cannot.
 * @example
 * import { cv, flag, jsonOf } from "cvset";
 * jsonOf(flag(cv(29).bit(0), { label: "Reversed" })); // { codec: "flag", place: { cv: 29, bit: 0 }, label: "Reversed" }
 */
export function jsonOf(codec: AnyCodec): { readonly [key: string]: Json } {
  need(aCodec, codec, "codec");
  const issues = new IssueList();
  const json = jsonInto(codec, "", issues);
  if (issues.some) throw new CvError(issues.done());
  return json;
}

/**
 * The description of a decoder in JSON: {@link decoderFromJson} makes the same decoder of it again.
 * @param decoder The decoder.
 * @throws `CvError` with every feature that holds code, which JSON cannot.
 * @example
 * import { cv, defineDecoder, describe, flag } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction", features: { reversed: flag(cv(29).bit(0)) },
 * });
 * describe(decoder).features; // { reversed: { codec: "flag", place: { cv: 29, bit: 0 } } }
 */
export function describe(decoder: AnyDecoder): DecoderJson {
  need(aDecoder, decoder, "decoder");
  const { id, name, kind, note, rules } = decoder;
  const factory = decoder.defaults();
  const issues = new IssueList();
  const features = mapped(decoder.features, (codec, feature) =>
    jsonInto(codec, `features.${feature}`, issues),
  );
  if (issues.some) throw new CvError(issues.done());
  return {
    id,
    name,
    kind,
    ...(note && { note }),
    ...(factory.size && { factory: factory.toJSON() }),
    features,
    ...(rules.length && { rules }),
  };
}
