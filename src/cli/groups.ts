import { type AnyCodec, ownedOf } from "../codec/codec.js";
import { placesInWords } from "../cv/places-text.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import type { Line } from "../decoder/explain.js";
import { keyName, keySettings } from "../decoder/function-keys.js";
import { codecsAt } from "../decoder/path.js";
import { locomotive } from "../standard/locomotive.js";
import { motor } from "../standard/motor.js";
import { nmra } from "../standard/nmra.js";

// A locomotive in words, by what its owner asks: its address, how it runs, what each key does, what each
// output does, its sounds.

/** One line of an explanation. */
export interface Row {
  /** The name for people. */
  readonly label: string;
  /** What is set, in words. */
  readonly text: string;
  /** The setting's path. */
  readonly path: string;
  /** The bits that it is read from, in words. */
  readonly place: string;
}

/** Lines about one thing. */
export interface Group {
  readonly title: string;
  readonly rows: readonly Row[];
}

const titles = {
  address: "Address",
  running: "How it runs",
  keys: "What the keys do",
  outputs: "What the outputs do",
  sounds: "Sounds, effects and levels",
  decoder: "The decoder itself",
} as const;

type Title = keyof typeof titles;

/**
 * The lines of an explanation by group.
 * @param one Whether the parts of a setting stand on one line together.
 */
export function groupsOf(decoder: AnyDecoder, lines: readonly Line[], one: boolean): Group[] {
  const rows = new Map<Title, Row[]>(Object.keys(titles).map((title) => [title as Title, []]));
  const ofKeys = one ? keyRows(decoder, lines) : undefined;
  if (ofKeys) rows.get("keys")?.push(...ofKeys);
  for (const [feature, own] of byFeature(lines)) {
    const title = titleOf(decoder, feature);
    if (title === "keys" && ofKeys) continue;
    const all = own.map((line) => rowOf(decoder, line));
    const joined = one ? together(decoder, feature, own, all) : undefined;
    rows.get(title)?.push(...(joined ? [joined] : all));
  }
  return [...rows]
    .filter(([, own]) => own.length > 0)
    .map(([title, own]) => ({ title: titles[title], rows: own }));
}

function byFeature(lines: readonly Line[]): Map<string, Line[]> {
  const features = new Map<string, Line[]>();
  for (const line of lines) {
    const feature = line.path.split(".")[0] as string;
    const own = features.get(feature);
    if (own) own.push(line);
    else features.set(feature, [line]);
  }
  return features;
}

function rowOf(decoder: AnyDecoder, { path, text, places }: Line): Row {
  return { label: labelAt(decoder, path, placesInWords(places)), text, path, place: placesInWords(places) };
}

/** What a line is about, for people. */
export function labelOf(decoder: AnyDecoder, { path, places }: Line): string {
  return labelAt(decoder, path, placesInWords(places));
}

/** The label of a setting; of the tag of a variant, that of the variant; else its name. */
function labelAt(decoder: AnyDecoder, path: string, place: string): string {
  const { codecs } = codecsAt(decoder.features, path);
  const codec = codecs.find((one) => placesInWords(one.bits) === place) ?? codecs[0];
  if (codec?.about.label) return codec.about.label;
  const steps = path.split(".");
  const name = steps.pop() ?? "";
  if (steps.length === 0) return name;
  const [around] = codecsAt(decoder.features, steps.join(".")).codecs;
  return around?.data.kind === "variant" ? (around.about.label ?? steps.at(-1) ?? name) : name;
}

/** A feature with a label whose parts fit on one line. */
function together(
  decoder: AnyDecoder,
  feature: string,
  lines: readonly Line[],
  rows: readonly Row[],
): Row | undefined {
  const codec = decoder.features[feature] as AnyCodec;
  const label = codec.about.label;
  const kind = codec.data.kind === "switched" ? codec.data.item.data.kind : codec.data.kind;
  if (label === undefined || kind !== "record" || lines.length < 2 || lines.length > 4) return undefined;
  const parts = rows.map((row) => (row.path === feature ? row.text : `${row.label}: ${row.text}`));
  const places = lines.flatMap(({ places: own }) => own);
  return { label, text: parts.join("; "), path: feature, place: placesInWords(places) };
}

function titleOf(decoder: AnyDecoder, feature: string): Title {
  const codec = decoder.features[feature] as AnyCodec;
  if (keySettings({ [feature]: codec }).length) return "keys";
  if (decoder.kind === "multifunction")
    for (const [title, all] of standardGroups) if (all.some((one) => overlap(one, codec))) return title;
  if (outputOf(codec) !== undefined) return "outputs";
  return "sounds";
}

// A description need not use the codecs of the standard, but what it says of the standard's CVs is of the same kind.
const { address, consist, consistFunctions, functionMap, ...running } = locomotive;
const standardGroups: readonly (readonly [Title, readonly AnyCodec[]])[] = [
  ["address", [address, consist, consistFunctions]],
  ["keys", [functionMap]],
  ["running", [...Object.values(running), ...Object.values(motor)]],
  ["decoder", Object.values(nmra.features)],
];

function overlap(one: AnyCodec, other: AnyCodec): boolean {
  return [...ownedOf(one)].some(([key, mask]) => (mask & (ownedOf(other).get(key) ?? 0)) !== 0);
}

/** The output that a feature sets up: the number in its meaning, else in its label. */
export function outputOf({ about }: AnyCodec): number | undefined {
  const number = /\boutput (\d+)/i.exec([about.means, about.label].join(", "))?.[1];
  return number === undefined ? undefined : Number(number);
}

/** What each function key does, forwards and in reverse: outputs, and sounds. */
function keyRows(decoder: AnyDecoder, lines: readonly Line[]): Row[] | undefined {
  const map = Object.entries(decoder.features).find(([, { about }]) => about.means === "function outputs");
  if (!map) return undefined;
  const [mapName, mapCodec] = map;
  if (mapCodec.data.kind !== "record") return undefined;
  const outputs = new Map<number, string>();
  const sounds = new Map<string, { readonly what: string; readonly path: string }[]>();
  for (const [feature, codec] of Object.entries(decoder.features)) {
    const number = outputOf(codec);
    if (number !== undefined) outputs.set(number, shortLabel(codec.about.label ?? feature));
  }
  for (const { path, codec } of keySettings(decoder.features)) {
    const line = lines.find((one) => one.path === path);
    if (!line || !/^\d+$/.test(line.text)) continue;
    const key = keyName(Number(line.text));
    const what = (codec.about.label ?? path).replace(/ key$/i, "");
    sounds.set(key, [...(sounds.get(key) ?? []), { what, path }]);
  }
  const rows: Row[] = [];
  const idle: string[] = [];
  const held = lines.filter(({ path }) => path.startsWith(`${mapName}.`));
  if (held.length === 0) return undefined;
  const names = new Set(held.map(({ path }) => path.slice(mapName.length + 1)));
  for (const key of sounds.keys()) if (!names.has(key) && key !== "FL") names.add(key);
  for (const name of names) {
    const key = /^FL/.test(name) ? "FL" : name;
    const line = held.find(({ path }) => path === `${mapName}.${name}`);
    const worked = line && line.text !== "none" ? line.text.split(", ").map(Number) : [];
    const own = sounds.get(key) ?? [];
    const does = [...worked.map((n) => outputs.get(n) ?? `Output ${n}`), ...own.map(({ what }) => what)];
    const place = line ? placesInWords(line.places) : "";
    const paths = [...(worked.length && line ? [line.path] : []), ...own.map(({ path }) => path)];
    const path = paths.join(", ");
    if (does.length) rows.push({ label: keyLabel(name), text: does.join(", "), path, place });
    else idle.push(keyLabel(name));
  }
  if (idle.length) rows.push({ label: idle.join(", "), text: "nothing", path: mapName, place: "" });
  return rows;
}

function keyLabel(name: string): string {
  return name.replace("(f)", " forwards").replace("(r)", " in reverse");
}

/** A label without the wire: "Front lamp (output 1, white wire)" is enough with its output. */
function shortLabel(label: string): string {
  return label.replace(/, [\w ]+ wire/, "");
}
