import type { AnyCodec, Json } from "../codec/codec.js";
import { toKey } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { jsonOf } from "../decoder/json.js";
import { factsOf } from "../standard/cv-facts.js";
import { keyOf, type Lexicon } from "./lexicon.js";
import type { Setting } from "./settings.js";

/** Two settings that mean the same, one of each decoder. */
export interface Pair {
  readonly from: Setting;
  readonly to: Setting;
  /** Both store the same values as the same bits of the same CVs. */
  readonly sameForm: boolean;
}

/** Which settings of two decoders belong together. */
export interface Pairing {
  readonly pairs: readonly Pair[];
  /** Settings of the source that could go to several of the target, or share one of the target with others. */
  readonly rivals: ReadonlyMap<Setting, readonly Setting[]>;
}

/**
 * Finds the pairs: settings of one form at one path; then those that decisions name; settings of the standard; the
 * same meaning at the same output; the same meaning where there is one left on each side; a wider or narrower
 * meaning at the same output. No setting is in two pairs.
 * @param named Paths of the source for paths of the target, or for the beginnings of paths.
 */
export function pairsOf(
  from: { readonly decoder: AnyDecoder; readonly settings: readonly Setting[] },
  to: { readonly decoder: AnyDecoder; readonly settings: readonly Setting[] },
  named: readonly { readonly from: string; readonly to: string }[],
  lexicon: Lexicon,
): Pairing {
  const left = new Set(from.settings);
  const free = new Set(to.settings);
  const pairs: Pair[] = [];
  const rivals = new Map<Setting, readonly Setting[]>();
  const forms = new Forms();
  const join = (one: Setting, other: Setting): void => {
    left.delete(one);
    free.delete(other);
    pairs.push({ from: one, to: other, sameForm: forms.same(one.codec, other.codec) });
  };
  const joinWhere = (fits: (one: Setting, other: Setting) => boolean): void => {
    for (const one of [...left]) {
      const others = [...free].filter((other) => fits(one, other));
      const [first] = others;
      if (first && others.length === 1 && [...left].filter((rival) => fits(rival, first)).length === 1) {
        join(one, first);
      }
    }
  };

  for (const { from: source, to: target } of named) {
    joinWhere((one, other) => {
      const [rest, otherRest] = [restOf(one.path, source), restOf(other.path, target)];
      if (rest === undefined || otherRest === undefined) return false;
      return rest === otherRest || (one.terms.length > 0 && ownMeaning(one) === ownMeaning(other));
    });
  }
  joinWhere((one, other) => one.path === other.path && forms.same(one.codec, other.codec));
  const standard = new Set(from.settings.filter((one) => isStandard(one, from.decoder)));
  joinWhere((one, other) => standard.has(one) && forms.same(one.codec, other.codec));
  const meanings = new Map([...from.settings, ...to.settings].map((one) => [one, meaningOf(one)]));
  const same = (one: Setting, other: Setting): boolean =>
    one.terms.length > 0 && meanings.get(one) === meanings.get(other);
  joinWhere((one, other) => same(one, other) && one.output === other.output);
  joinWhere(same);
  joinWhere((one, other) => one.output === other.output && related(one, other, lexicon));
  for (const one of left) {
    const others = [...free].filter((other) => same(one, other));
    if (others.length) rivals.set(one, others);
  }
  return { pairs, rivals };
}

/** The terms of a setting, whatever their order. */
function meaningOf({ terms }: Setting): string {
  return terms
    .map(({ name }) => keyOf(name))
    .sort()
    .join(", ");
}

/** What is left of a path behind a beginning; undefined where it does not begin so. */
function restOf(path: string, beginning: string): string | undefined {
  if (path === beginning) return "";
  return path.startsWith(`${beginning}.`) ? path.slice(beginning.length + 1) : undefined;
}

/** What a setting means besides what it is part of. */
function ownMeaning({ terms, within }: Setting): string {
  const outer = new Set(within.map(({ name }) => name));
  return terms
    .map(({ name }) => name)
    .filter((name) => !outer.has(name))
    .join(", ");
}

/** Whether each term of one setting is the same as, wider or narrower than one of the other. */
function related(one: Setting, other: Setting, lexicon: Lexicon): boolean {
  if (one.terms.length === 0 || one.terms.length !== other.terms.length) return false;
  const rest = [...other.terms];
  return one.terms.every(({ name }) => {
    const at = rest.findIndex(
      (term) =>
        lexicon.distanceUp(name, term.name) !== undefined ||
        lexicon.distanceUp(term.name, name) !== undefined,
    );
    return at >= 0 && rest.splice(at, 1).length > 0;
  });
}

/** Whether every CV of a setting is one that the standard defines. */
function isStandard({ codec }: Setting, { kind }: AnyDecoder): boolean {
  return codec.bits.every(({ cv }) => factsOf(toKey(cv), kind).status === "defined");
}

/** The forms of codecs as texts, each worked out once. */
class Forms {
  readonly #texts = new Map<AnyCodec, string | undefined>();

  /** Whether two codecs store the same values as the same bits of the same CVs, and mean the same. */
  same(one: AnyCodec, other: AnyCodec): boolean {
    if (one === other) return true;
    const text = this.#textOf(one);
    return text !== undefined && text === this.#textOf(other);
  }

  #textOf(codec: AnyCodec): string | undefined {
    if (!this.#texts.has(codec)) this.#texts.set(codec, formOf(codec));
    return this.#texts.get(codec);
  }
}

/** The form of a codec; undefined where it holds code, which can only be compared with itself. */
function formOf(codec: AnyCodec): string | undefined {
  try {
    return JSON.stringify(bare(jsonOf(codec)));
  } catch {
    return undefined;
  }
}

/** A codec in JSON without what only people read. */
function bare(json: Json): Json {
  if (Array.isArray(json)) return json.map((one: Json) => bare(one));
  if (typeof json !== "object" || json === null) return json;
  const forPeople = new Set(["label", "note", "source"]);
  return Object.fromEntries(
    Object.entries(json)
      .filter(([name, value]) => !(forPeople.has(name) && typeof value === "string"))
      .map(([name, value]) => [name, bare(value as Json)]),
  );
}
