import type { AnyCodec } from "../codec/codec.js";
import { partsOf } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import { joinPath } from "../cv/issue.js";

/** A setting that holds the number of a function key: 0 for FL, 1 for F1. */
export interface KeySetting {
  /** Its path: `"keys.whistle"`. */
  readonly path: string;
  readonly codec: AnyCodec;
}

/**
 * The settings that hold the number of a function key: their meaning ends in "key", as in `"whistle key"`.
 * @param fields The features of a decoder.
 */
export function keySettings(fields: Fields): KeySetting[] {
  return Object.entries<AnyCodec>(fields).flatMap(([name, codec]) => settingsIn(name, codec));
}

function settingsIn(path: string, codec: AnyCodec): KeySetting[] {
  const { data, about } = codec;
  const item = data.kind === "switched" ? data.item : codec;
  if (item.data.kind === "level" && /(^| )key$/.test(about.means ?? item.about.means ?? "")) {
    return [{ path, codec: about.label === undefined ? item : codec }];
  }
  return Object.entries(partsOf(codec)).flatMap(([name, codecs]) =>
    codecs.flatMap((part) => settingsIn(joinPath(path, name), part)),
  );
}

/** The name of a function key by its number: `"FL"`, `"F1"`. */
export function keyName(number: number): string {
  return number === 0 ? "FL" : `F${number}`;
}
