import type { AnyCodec, Json } from "../codec/codec.js";
import { keyOf, lastCv, nameOf } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type CvRow, type CvStatus, catalogue } from "../standard/catalogue.js";
import { contentsOf, reservedBitsOf } from "../standard/contents.js";
import { descriptionRules } from "./description.js";
import type { Rule, SetView } from "./rule.js";

/** A function and the outputs that its CV works, bit by bit. */
export interface KeyRow {
  /** The function, as the description names it: `"FL(f)"`, `"F1"`. */
  readonly name: string;
  /** The CV's key. */
  readonly cv: number;
  /** The output of each bit, bit 0 first; null for a bit that works none. */
  readonly outputs: readonly (number | null)[];
}

/** What the standard says of one CV. */
export interface Standing {
  readonly status: CvStatus;
  readonly readOnly: boolean;
  /** The mask of the bits that it gives no meaning. */
  readonly reservedBits: number;
}

/** A feature, and which CVs tell that a set has it. */
export interface FeatureCvs {
  readonly name: string;
  readonly codec: AnyCodec;
  /** The keys of its CVs. */
  readonly keys: readonly number[];
  /** Those that it shares with no other feature. */
  readonly alone: readonly number[];
}

/** What a check needs to know of a decoder, worked out once. */
export interface Known {
  readonly features: readonly FeatureCvs[];
  /** Its own rules. */
  readonly rules: readonly Rule[];
  /** Which function works which outputs; empty where the description does not say. */
  readonly keys: readonly KeyRow[];
  /** The outputs that exist, where the description says so. */
  readonly outputs: readonly number[] | undefined;
  /** What the standard says of CV n, at [n]. */
  readonly standing: readonly Standing[];
  /** Whether the description has CVs that the standard leaves to makers. */
  readonly describesMaker: boolean;
}

// Only remembers what follows from the decoder alone.
const remembered = /* @__PURE__ */ new WeakMap<AnyDecoder, Known>();

/** What there is to know of a decoder. */
export function knownOf(decoder: AnyDecoder): Known {
  let known = remembered.get(decoder);
  if (!known) {
    const standing = standingByCv(decoder);
    const maker = (key: number): boolean =>
      key > lastCv || ["manufacturer", "indexed"].includes(standing[key]?.status ?? "");
    known = {
      features: featureCvs(decoder),
      rules: descriptionRules(decoder),
      keys: keyRows(decoder),
      outputs: decoder.rules.find((rule) => rule.rule === "outputs")?.outputs,
      standing,
      describesMaker: [...decoder.root.owned.keys()].some(maker),
    };
    remembered.set(decoder, known);
  }
  return known;
}

/** The keys of a set's CVs, in order; several rules go through them, by {@link SetView.remember}. */
export const keysOf = ({ cvs }: SetView): readonly number[] => [...cvs.reader.keys()];

function featureCvs({ features }: AnyDecoder): FeatureCvs[] {
  const owners = new Map<number, number>();
  for (const { owned } of Object.values(features)) {
    for (const key of owned.keys()) owners.set(key, (owners.get(key) ?? 0) + 1);
  }
  return Object.entries(features).map(([name, codec]) => {
    const keys = [...codec.owned.keys()];
    return { name, codec, keys, alone: keys.filter((key) => owners.get(key) === 1) };
  });
}

function standingByCv({ kind }: AnyDecoder): Standing[] {
  const byCv: Standing[] = [];
  const fill = ({ status, readOnly, cvs: [first, last] }: CvRow, shift: number): void => {
    for (let cv = first; cv <= last; cv++) {
      const bits = reservedBitsOf(contentsOf(cv, kind));
      byCv[cv + shift] = { status, readOnly: readOnly === true, reservedBits: bits };
    }
  };
  for (const row of catalogue[kind]) fill(row, 0);
  // The aliases of an accessory decoder lie where makers are free otherwise (S-9.2.2 (July 2012), Table 3).
  for (const row of catalogue[kind]) if (row.alias !== undefined) fill(row, row.alias - row.cvs[0]);
  return byCv;
}

/** The CVs in which the standard keeps the outputs of each function (S-9.2.2, CV 33-46). */
const isKeyCv = (key: number): boolean => key >= 33 && key <= 46;

/** The rows of every feature that says by bits which outputs a function works. */
function keyRows({ features, kind }: AnyDecoder): KeyRow[] {
  if (kind === "accessory") return [];
  return Object.entries(features).flatMap(([name, codec]) => {
    if (![...codec.owned.keys()].some(isKeyCv)) return [];
    try {
      return rowsOf(name, codec.describe());
    } catch {
      // A codec that holds code does not say what its bits are.
      return [];
    }
  });
}

type Described = { readonly [key: string]: Json };

function rowsOf(name: string, json: Json | undefined): KeyRow[] {
  if (typeof json !== "object" || json === null || Array.isArray(json)) return [];
  const { codec, fields, names, place } = json as Described;
  if (codec === "record") {
    return Object.entries(fields as Described).flatMap(([field, one]) => rowsOf(field, one));
  }
  if (codec !== "several" || !Array.isArray(names)) return [];
  if (!names.every((one) => one === null || typeof one === "number")) return [];
  const at = typeof place === "object" ? (place as Described) : { cv: place as Json };
  const low = Number(Array.isArray(at["bits"]) ? at["bits"][0] : (at["bit"] ?? 0));
  const cv = keyOf(String(at["cv"]));
  if (!isKeyCv(cv)) return [];
  return [{ name, cv, outputs: [...new Array<null>(low).fill(null), ...(names as (number | null)[])] }];
}

/** The key that works a function, whichever direction it is for: `"FL"` for `"FL(f)"`. */
export function keyOfRow({ name }: KeyRow): string {
  return name.replace(/\s*\(.*\)$/, "");
}

/** The outputs that a row works, given its byte. */
export function outputsOf({ outputs }: KeyRow, byte: number): readonly number[] {
  const worked: number[] = [];
  for (let i = 0; i < outputs.length; i++) {
    const output = outputs[i];
    if (byte & (1 << i) && typeof output === "number") worked.push(output);
  }
  return worked;
}

/** A row's CV as text. */
export function cvOfRow({ cv }: KeyRow): string {
  return nameOf(cv);
}
