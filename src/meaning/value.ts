import type { AnyCodec } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import { keyOf, type Lexicon } from "./lexicon.js";
import { toCommon } from "./quantity.js";
import { optionTerm, type Setting } from "./settings.js";
import { isQuantity, type Quantity, type Term } from "./term.js";

/** A value apart from the way in which one decoder stores it. */
export type Neutral =
  /** An option of a choice, or the name of a number; the term is what it means. */
  | { readonly kind: "option"; readonly name: string; readonly term: Term | undefined }
  /** An amount in the unit in which its quantity is compared. */
  | { readonly kind: "amount"; readonly value: number; readonly quantity: Quantity }
  | { readonly kind: "switch"; readonly on: boolean }
  /** A text, a list, a table, or what only its own decoder can read. */
  | { readonly kind: "other"; readonly value: unknown };

/** What a setting can hold, in neutral form, with the value that stores it. */
export interface Candidate {
  readonly value: unknown;
  readonly neutral: Neutral;
}

/** The quantity of a setting's numbers; undefined where they count nothing that the vocabulary knows. */
export function quantityOf({ term }: Setting): Quantity | undefined {
  return term && isQuantity(term.type) ? term.type : undefined;
}

/** A decoded value in neutral form. */
export function neutralOf(setting: Setting, codec: AnyCodec, value: unknown, lexicon: Lexicon): Neutral {
  const { data } = codec;
  switch (data.kind) {
    case "flag":
      return { kind: "switch", on: value === true };
    case "choice": {
      const name = String(value);
      return optionOf(setting, name, data.options[name]?.means, lexicon);
    }
    case "level":
      return typeof value === "number"
        ? amountOf(setting, data, value)
        : optionOf(setting, String(value), undefined, lexicon);
    case "switched":
      return value === "off" ? { kind: "switch", on: false } : neutralOf(setting, data.item, value, lexicon);
    case "converted":
      return data.pairs ? scalar(setting, value, lexicon) : { kind: "other", value };
    default:
      return { kind: "other", value };
  }
}

function scalar(setting: Setting, value: unknown, lexicon: Lexicon): Neutral {
  if (typeof value === "boolean") return { kind: "switch", on: value };
  if (value === "on" || value === "off") return { kind: "switch", on: value === "on" };
  if (typeof value === "string") return optionOf(setting, value, undefined, lexicon);
  const quantity = quantityOf(setting);
  return quantity && typeof value === "number"
    ? { kind: "amount", value, quantity }
    : { kind: "other", value };
}

function optionOf(setting: Setting, name: string, means: string | undefined, lexicon: Lexicon): Neutral {
  const term = optionTerm(name, means, setting.term, lexicon);
  const quantity = quantityOf(setting);
  if (term?.amount !== undefined && quantity && Number.isFinite(term.amount)) {
    return { kind: "amount", value: term.amount, quantity };
  }
  return { kind: "option", name: keyOf(name.replaceAll("-", " ")), term };
}

function amountOf(
  setting: Setting,
  { scale }: Extract<CodecData, { kind: "level" }>,
  value: number,
): Neutral {
  const quantity = quantityOf(setting);
  const { min, max } = scale;
  const common = quantity && toCommon(value, quantity, { unit: scale.options.unit, min, max });
  return quantity && common !== undefined
    ? { kind: "amount", value: common, quantity }
    : { kind: "other", value };
}

/** The values of a choice, and the named ones of a level, with what they mean. */
export function candidatesOf(setting: Setting, codec: AnyCodec, lexicon: Lexicon): Candidate[] {
  const { data } = codec;
  const of = (value: unknown): Candidate => ({ value, neutral: neutralOf(setting, codec, value, lexicon) });
  switch (data.kind) {
    case "flag":
      return [of(true), of(false)];
    case "choice":
      return Object.keys(data.options).map(of);
    case "level":
      return Object.keys(data.names).map(of);
    case "converted":
      return (data.pairs ?? []).map(([, value]) => of(value));
    case "switched":
      return [
        { value: "off", neutral: { kind: "switch", on: false } },
        ...candidatesOf(setting, data.item, lexicon),
      ];
    default:
      return [];
  }
}
