import { need } from "../cv/argument.js";
import { frozenCopy } from "../cv/frozen.js";
import { type CvName, nameOf, numberOf, pageOf, toKey } from "../cv/name.js";
import { aDecoderKind, type DecoderKind } from "../decoder/decoder.js";
import { aliasOf, originalOf } from "./aliases.js";
import { type BitMeaning, type CvContents, contentsOf } from "./contents.js";
import { factsOf } from "./cv-facts.js";
import { firstFreePage } from "./index-page.js";
import { reservedBitsOf } from "./reserved-bits.js";
import { type CvRow, type CvStatus, rowOf } from "./tables.js";

/** The facts of the standard about one CV. */
export interface CvHelp {
  /** The CV as text: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** Its number, 1-1024. */
  readonly number: number;
  /** The kind of decoder. */
  readonly kind: DecoderKind;
  /** Its name; `"Reserved"` for a CV without one. */
  readonly name: string;
  /** Whether a decoder must have it; absent where the standard does not tell. */
  readonly requirement?: "mandatory" | "recommended" | "optional";
  /** Its factory value; absent where the standard gives none. */
  readonly factory?: number;
  /** It cannot be written. */
  readonly readOnly: boolean;
  /** Its contents are the same for every maker. */
  readonly uniform: boolean;
  /** The decoder changes it by itself. */
  readonly volatile: boolean;
  /** Whether it is defined, reserved, free for makers, or on index pages. */
  readonly status: CvStatus;
  /** The meaning of its values, in words. */
  readonly text: string;
  /** The meaning of its bits, the lowest first; empty where the byte is one number. */
  readonly bits: readonly BitMeaning[];
  /** The mask of the bits that have no meaning. */
  readonly reservedBits: number;
  /** A remark; absent without one. */
  readonly note?: string;
  /** Accessory decoders: the CV that may show the same byte a second time; absent where there is none. */
  readonly alias?: number;
  /** Accessory decoders: the CV whose alias it may be; absent where there is none. */
  readonly aliasOf?: number;
  /** Where it is laid down: document, edition, section. */
  readonly source: string;
}

/**
 * The facts of the standard about a CV: its name, whether decoders must have it, its factory value, the
 * meaning of each bit. An alias of an accessory CV has the facts of that CV.
 *
 * S-9.2.2 (July 2012), Table 1 and Table 3.
 * @param cv The CV: its number, or `"300@16.0"` for one of an index page.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { describeCv } from "cvset/standard";
 * const help = describeCv(29);
 * help.name; // "Configuration Data #1"
 * help.bits[5]?.text; // "0: primary address in CV 1, 1: extended address in CV 17 and 18"
 * describeCv(29, "accessory").reservedBits; // 23
 * describeCv(8).readOnly; // true
 * describeCv(894).volatile; // true
 */
export function describeCv(cv: CvName, kind: DecoderKind = "multifunction"): CvHelp {
  need(aDecoderKind, kind, "kind");
  const key = toKey(cv);
  const number = numberOf(key);
  const isAccessory = kind === "accessory";
  const original = isAccessory ? originalOf(number) : undefined;
  const alias = isAccessory ? aliasOf(number) : undefined;
  const row = rowOf(original ?? number, kind);
  const contents = contentsOf(original ?? number, kind);
  const { status, readOnly, volatile } = factsOf(key, kind);
  const factory = row.factory ?? contents?.factory;
  const note = noteOf(row, key, original);
  return {
    cv: nameOf(key),
    number,
    kind,
    name: contents?.name ?? (row.name || "Reserved"),
    ...(row.requirement && { requirement: row.requirement }),
    ...(factory !== undefined && { factory }),
    readOnly,
    uniform: row.uniform ?? false,
    volatile,
    status,
    text: contents?.text ?? textOf(row),
    bits: frozenCopy(contents?.bits ?? []),
    reservedBits: reservedBitsOf(key, kind),
    ...(note && { note }),
    ...(alias !== undefined && { alias }),
    ...(original !== undefined && { aliasOf: original }),
    source: `S-9.2.2 (July 2012), ${sourceOf(contents, original ?? number, kind)}`,
  };
}

function sourceOf(contents: CvContents | undefined, number: number, kind: DecoderKind): string {
  if (!contents) return kind === "accessory" ? "Table 3" : "Table 1";
  return contents.source ?? (kind === "accessory" ? `Table 3; accessory CV ${number}` : `CV ${number}`);
}

function textOf({ status }: CvRow): string {
  if (status === "reserved") return "reserved: it must not be used";
  if (status === "manufacturer") return "free for the maker: see the decoder's manual";
  return "a CV of an index page";
}

function noteOf(row: CvRow, key: number, original: number | undefined): string {
  const notes = row.note ? [row.note] : [];
  const page = pageOf(key);
  if (page >= 0) {
    const reserved = page < 256 * firstFreePage ? ", which is reserved for the NMRA" : "";
    notes.push(`on page ${page >> 8}.${page & 255}${reserved}`);
  }
  if (original !== undefined) notes.push(`an optional alias of CV ${original}`);
  return notes.join("; ");
}
