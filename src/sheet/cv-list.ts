import type { AnyCodec } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import { numberOf, toKey } from "../cv/name.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { linesOf } from "../decoder/explain.js";
import { describeCv } from "../standard/catalogue.js";
import { speedTableCvs } from "../standard/curve-in-use.js";
import { labelsIn } from "./reading.js";
import type { SheetSection } from "./sheet.js";
import { joined, oneLine } from "./words.js";

/** The whole list of CVs, with the words for each and the factory's values where they differ. */
export function cvSection(decoder: AnyDecoder, cvs: CvSet): SheetSection {
  const words = wordsOf(decoder, cvs);
  const factory = decoder.defaults();
  const marked: number[] = [];
  const rows = [...cvs].map(([cv, value], i) => {
    const standard = factory.get(cv);
    const differs = standard !== undefined && standard !== value;
    if (differs) marked.push(i);
    return [
      cv,
      String(value),
      value.toString(16).toUpperCase().padStart(2, "0"),
      value.toString(2).padStart(8, "0"),
      differs ? String(standard) : "",
      words.get(cv)?.join("; ") ?? otherWords(cv, decoder),
    ];
  });
  const columns = ["CV", "Dec.", "Hex", "Bits 7\u20130", "Factory", "Meaning"];
  return {
    id: "cvs",
    title: "All CVs",
    wide: true,
    blocks: [{ kind: "table", columns, rows, marked, dense: true }],
  };
}

/** How many CVs differ from the factory's values, and of how many these are known. */
export function differences(
  decoder: AnyDecoder,
  cvs: CvSet,
): { readonly differ: number; readonly known: number } {
  const factory = decoder.defaults();
  const both = [...cvs].filter(([cv]) => factory.has(cv));
  return { differ: both.filter(([cv, value]) => factory.get(cv) !== value).length, known: both.length };
}

/** The words for a CV of no feature. */
function otherWords(cv: string, { kind }: AnyDecoder): string {
  const { name, status } = describeCv(cv, kind);
  if (status === "defined") return name;
  return status === "reserved" ? "reserved in the standard" : "not in the description";
}

/** The words for each CV. */
function wordsOf(decoder: AnyDecoder, cvs: CvSet): Map<string, string[]> {
  const words = new Map<string, string[]>();
  const add = (cv: string, text: string): void => {
    words.set(cv, [...(words.get(cv) ?? []), oneLine(text, 160)]);
  };
  for (const [name, codec] of Object.entries<AnyCodec>(decoder.features)) {
    const labels = labelsIn(codec, cvs, name);
    const told = new Set<string>();
    // A label that the line before begins with is not repeated in one CV.
    const begun = new Map<string, string>();
    for (const { path, text, places } of linesOf(codec, cvs, name)) {
      const own = labels.get(path) ?? [path];
      const label = joined(own);
      const items = itemsOf(text, places.length);
      const isSpeedTable = places[0]?.cv === String(speedTableCvs[0]);
      places.forEach(({ cv }, i) => {
        told.add(cv);
        const outer = own[0] as string;
        const short = begun.get(cv) === outer && own.length > 1 ? joined(own.slice(1)) : label;
        begun.set(cv, outer);
        if (items) add(cv, `${label}, ${isSpeedTable ? "step " : ""}${i + 1}: ${items[i]}`);
        else if (i === 0) add(cv, `${short}: ${text}`);
        else add(cv, `${short}, with CV ${places[0]?.cv}`);
      });
    }
    const read = codec.tryDecode(cvs);
    const wrong = new Set(
      read.ok ? [] : read.issues.flatMap(({ places = [] }) => places.map(({ cv }) => cv)),
    );
    for (const { cv } of codec.bits) {
      if (told.has(cv) || !cvs.has(cv)) continue;
      const what = nameIn(cv, decoder, codec.about.label ?? name);
      add(cv, wrong.has(cv) ? `${what}: stands for nothing` : `${what}, not in use`);
    }
  }
  return words;
}

/** The single values of a long list, one for each of its CVs. */
function itemsOf(text: string, count: number): string[] | undefined {
  if (count < 4) return undefined;
  const items = text.split(", ");
  return items.length === count ? items : undefined;
}

/** What a CV that is not in use would be. */
function nameIn(cv: string, { kind }: AnyDecoder, label: string): string {
  const key = toKey(cv);
  const isStandard = numberOf(key) === key && describeCv(cv, kind).status === "defined";
  return isStandard ? describeCv(cv, kind).name : label;
}
