import { type AnyCodec, ownedOf } from "../codec/codec.js";
import { imageOf } from "../cv/cvset.js";
import { lastCv, nameOf } from "../cv/name.js";
import type { Part } from "../cv/place.js";
import { type AnyDecoder, rootOf } from "../decoder/decoder.js";
import { factsOf } from "../standard/cv-facts.js";
import { functionMap } from "../standard/function-map.js";
import { descriptionRules } from "./description.js";
import type { Rule, SetView } from "./rule.js";

/** A function and the outputs that its CV switches, bit by bit. */
export interface KeyRow {
  /** The function, as the description names it: `"FL(f)"`, `"F1"`. */
  readonly name: string;
  /** The CV's key. */
  readonly cv: number;
  /** The output of each bit, bit 0 first; null for a bit without one. */
  readonly outputs: readonly (number | null)[];
}

/** A feature and its CVs. */
export interface FeatureCvs {
  readonly name: string;
  readonly codec: AnyCodec;
  /** The keys of its CVs. */
  readonly keys: readonly number[];
  /** Those that it shares with no other feature. */
  readonly alone: readonly number[];
}

/** What checks need of a decoder, worked out once. */
export interface Known {
  readonly features: readonly FeatureCvs[];
  /** The mask of each CV that the description has bits of, by key. */
  readonly owned: ReadonlyMap<number, number>;
  /** The rules of its description. */
  readonly rules: readonly Rule[];
  /** The functions and their outputs; empty where the description has none. */
  readonly keys: readonly KeyRow[];
  /** The outputs that exist; undefined where the description does not list them. */
  readonly outputs: readonly number[] | undefined;
  /** Whether the description has CVs that the standard leaves to makers. */
  readonly describesMaker: boolean;
}

// A cache of what follows from the decoder alone.
const remembered = /* @__PURE__ */ new WeakMap<AnyDecoder, Known>();

/** What checks need of a decoder. */
export function knownOf(decoder: AnyDecoder): Known {
  let known = remembered.get(decoder);
  if (!known) {
    const owned = ownedOf(rootOf(decoder));
    known = {
      features: featureCvs(decoder),
      owned,
      rules: descriptionRules(decoder),
      keys: keyRows(decoder),
      outputs: decoder.rules.find((rule) => rule.rule === "outputs")?.outputs,
      describesMaker: [...owned.keys()].some((key) => isMakers(key, decoder)),
    };
    remembered.set(decoder, known);
  }
  return known;
}

/** Whether the standard leaves a CV to makers. */
export function isMakers(key: number, { kind }: AnyDecoder): boolean {
  return key > lastCv || ["manufacturer", "indexed"].includes(factsOf(key, kind).status);
}

/** The keys of a set's CVs, in order; for {@link SetView.remember}, since several rules go through them. */
export const keysOf = ({ cvs }: SetView): readonly number[] => [...imageOf(cvs).keys()];

function featureCvs({ features }: AnyDecoder): FeatureCvs[] {
  const owners = new Map<number, number>();
  for (const codec of Object.values(features)) {
    for (const key of ownedOf(codec).keys()) owners.set(key, (owners.get(key) ?? 0) + 1);
  }
  return Object.entries(features).map(([name, codec]) => {
    const keys = [...ownedOf(codec).keys()];
    return { name, codec, keys, alone: keys.filter((key) => owners.get(key) === 1) };
  });
}

/** The functions and outputs of every feature in the CVs of the standard's function map. */
function keyRows({ features, kind }: AnyDecoder): KeyRow[] {
  if (kind === "accessory") return [];
  return Object.entries(features).flatMap(([name, codec]) => rowsOf(name, codec));
}

function rowsOf(name: string, { data }: AnyCodec): KeyRow[] {
  if (data.kind === "record" || data.kind === "custom") {
    const parts = data.kind === "record" ? data.fields : data.parts;
    return Object.entries(parts).flatMap(([field, codec]) => rowsOf(field, codec));
  }
  if (data.kind !== "flags") return [];
  // Flags are one run of bits of one CV.
  const { key, low } = data.place.parts[0] as Part;
  const outputs = data.names.filter((one) => typeof one !== "string");
  if (outputs.length < data.names.length || !ownedOf(functionMap).has(key)) return [];
  return [{ name, cv: key, outputs: [...new Array<null>(low).fill(null), ...outputs] }];
}

/** The function key of a row, for both directions: `"FL"` for `"FL(f)"`. */
export function keyOfRow({ name }: KeyRow): string {
  return name.replace(/\s*\(.*\)$/, "");
}

/** The outputs that a row switches with a byte in its CV. */
export function outputsOf({ outputs }: KeyRow, byte: number): readonly number[] {
  const switched: number[] = [];
  for (let i = 0; i < outputs.length; i++) {
    const output = outputs[i];
    if (byte & (1 << i) && typeof output === "number") switched.push(output);
  }
  return switched;
}

/** A row's CV as text. */
export function cvOfRow({ cv }: KeyRow): string {
  return nameOf(cv);
}
