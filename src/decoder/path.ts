import { choice } from "../codec/choice.js";
import type { AnyCodec } from "../codec/codec.js";
import { partsOf } from "../codec/data.js";
import type { Fields } from "../codec/fields.js";
import { joinPath } from "../cv/issue.js";

/** What a path leads to. */
export interface Found {
  /** The codecs at the path; several where cases of a variant have a field of one name. */
  readonly codecs: readonly AnyCodec[];
  /** The path, or the part of it up to the first name that does not exist. */
  readonly path: string;
  /** The names that there are in place of the last one of `path`. */
  readonly names: readonly string[];
}

/**
 * The codecs that a path leads to. The tag of a variant counts as a choice; a position in a list
 * (`levels.3`) leads to the codec of the list.
 * @param fields The settings at the beginning of the path.
 * @param path A path such as `"front.effect"`.
 */
export function codecsAt(fields: Fields, path: string): Found {
  const [first = "", ...rest] = path.split(".");
  let around: () => string[] = () => Object.keys(fields);
  let at = first;
  let codecs = Object.hasOwn(fields, first) ? [fields[first] as AnyCodec] : [];
  for (const step of rest) {
    if (codecs.length === 0) break;
    const before = codecs;
    around = () => before.flatMap((codec) => Object.keys(settingsIn(codec)));
    codecs = codecs.flatMap((codec) => inside(codec, step));
    at = joinPath(at, step);
  }
  return {
    codecs,
    path: at,
    // Only a misspelt path needs them.
    get names() {
      return around();
    },
  };
}

function inside(codec: AnyCodec, step: string): readonly AnyCodec[] {
  const parts = settingsIn(codec);
  if (Object.hasOwn(parts, step)) return parts[step] as readonly AnyCodec[];
  const { data } = codec;
  if (data.kind === "switched" || (data.kind === "custom" && data.item)) {
    return inside(data.item as AnyCodec, step);
  }
  const isList = data.kind === "table" || data.kind === "flags";
  return (isList && /^\d+$/.test(step)) || isOpaque(codec) ? [codec] : [];
}

type Parts = Readonly<Record<string, readonly AnyCodec[]>>;
const remembered = /* @__PURE__ */ new WeakMap<AnyCodec, Parts>();

/** The parts of a codec by name, the tag of a variant among them. */
function settingsIn(codec: AnyCodec): Parts {
  let parts = remembered.get(codec);
  if (!parts) remembered.set(codec, (parts = Object.freeze(allParts(codec))));
  return parts;
}

function allParts(codec: AnyCodec): Parts {
  const { data } = codec;
  if (data.kind === "switched" || (data.kind === "custom" && data.item)) {
    return settingsIn(data.item as AnyCodec);
  }
  if (data.kind !== "variant") return partsOf(codec);
  return { [data.tag]: [choice(data.place, data.cases) as AnyCodec], ...partsOf(codec) };
}

/** Whether nothing can be known of a codec's values but by trying: it holds code, and has no schema. */
export function isOpaque({ data, spec }: AnyCodec): boolean {
  if (data.kind === "custom") {
    return !spec.schema && (data.item ? isOpaque(data.item) : Object.keys(data.parts).length === 0);
  }
  return data.kind === "converted" && !data.pairs;
}
