import type { AnyCodec } from "../codec/codec.js";
import { CvError } from "../cv/issue.js";
import { toAddress } from "../standard/address-in-use.js";

/**
 * What a text on the command line stands for as the value of a setting. What it does not fit stays a text, for
 * the decoder to refuse.
 * @param codec The codec of the setting.
 * @param text What was typed: `12`, `12 s`, `three-chime`, `off`, `[1, 3]`, `1,3`, `{"seconds": 12}`.
 * @param isItem Whether it is one item of a list.
 */
export function typedValue(codec: AnyCodec, text: string, isItem = false): unknown {
  const { data } = codec;
  if (isItem && data.kind === "table") return numberIn(text, data.scale.unit) ?? text;
  if (isItem && data.kind === "flags") return data.names.find((name) => String(name) === text) ?? text;
  switch (data.kind) {
    case "flag":
      return flagWords.get(text.toLowerCase()) ?? text;
    case "choice":
      return optionNamed(data.options, text);
    case "level":
      return Object.hasOwn(data.names, text) ? text : (numberIn(text, data.scale.unit) ?? text);
    case "text":
      return textIn(text);
    case "table":
    case "flags": {
      const json = jsonIn(text);
      if (Array.isArray(json)) return json;
      if (data.kind === "flags" && /^(none|)$/i.test(text)) return [];
      const items = text.split(/\s*,\s*/);
      return data.kind === "table"
        ? items.map((item) => numberIn(item, "") ?? item)
        : items.map((item) => data.names.find((name) => String(name) === item) ?? item);
    }
    case "switched":
      return text === "off" ? text : typedValue(data.item, text);
    case "converted":
      return (
        data.pairs?.map(([, value]) => value).find((value) => String(value) === text) ?? jsonIn(text) ?? text
      );
    case "variant":
      return addressIn(data.cases, text) ?? jsonIn(text) ?? text;
    default:
      return jsonIn(text) ?? text;
  }
}

const flagWords: ReadonlyMap<string, boolean> = new Map([
  ["true", true],
  ["yes", true],
  ["on", true],
  ["1", true],
  ["false", false],
  ["no", false],
  ["off", false],
  ["0", false],
]);

/** An option by its name, or by its label. */
function optionNamed(options: Readonly<Record<string, { readonly label?: string }>>, text: string): string {
  if (Object.hasOwn(options, text)) return text;
  const labelled = Object.entries(options).filter(
    ([, { label }]) => label?.toLowerCase() === text.toLowerCase(),
  );
  return labelled.length === 1 ? (labelled[0]?.[0] ?? text) : text;
}

function numberIn(text: string, unit: string): number | undefined {
  const match = /^([-+]?\d+(?:\.\d+)?)\s*(.*)$/.exec(text);
  if (!match || !["", unit.trim()].includes(match[2] ?? "")) return undefined;
  return Number(match[1]);
}

function textIn(text: string): string {
  const json = jsonIn(text);
  return typeof json === "string" ? json : text;
}

/** `address=1234` is the address of that number. */
function addressIn(cases: object, text: string): unknown {
  if (!/^\d+$/.test(text) || !Object.hasOwn(cases, "extended")) return undefined;
  try {
    return toAddress(Number(text));
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    return undefined;
  }
}

function jsonIn(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
