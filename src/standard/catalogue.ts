import { type CvName, nameOf, numberOf, pageOf, toKey } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { aliasOf, originalOf } from "./aliases.js";
import { type BitMeaning, contentsOf, reservedBitsOf } from "./contents.js";
import { type CvRow, type CvStatus, rowOf } from "./tables.js";

export { type CvRow, type CvStatus, catalogue } from "./tables.js";

/** What the standard says of one CV. */
export interface CvHelp {
  /** The CV as text: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** Its number, 1-1024. */
  readonly number: number;
  /** The kind of decoder that this is about. */
  readonly kind: DecoderKind;
  /** Its name; `"Reserved"` for a CV that has none. */
  readonly name: string;
  /** Whether a decoder must have it; null where the standard says nothing. */
  readonly requirement: "mandatory" | "recommended" | "optional" | null;
  /** Its value when the decoder leaves the factory; null where the standard gives none. */
  readonly default: number | null;
  /** It cannot be written. */
  readonly readOnly: boolean;
  /** Its contents are the same for every maker. */
  readonly uniform: boolean;
  /** It changes by itself. */
  readonly volatile: boolean;
  /** What may be done with it. */
  readonly status: CvStatus;
  /** What its values mean, in words. */
  readonly text: string;
  /** What its bits mean one by one, the lowest first; empty where the byte is one number. */
  readonly bits: readonly BitMeaning[];
  /** The mask of the bits that the standard gives no meaning. */
  readonly reservedBits: number;
  /** A remark; empty without one. */
  readonly note: string;
  /** Accessory decoders: the CV that may show the same byte a second time; null where there is none. */
  readonly alias: number | null;
  /** Accessory decoders: the CV that this one may be an alias of; null where there is none. */
  readonly aliasOf: number | null;
  /** Where it is laid down. */
  readonly clause: string;
}

/**
 * What the standard says of a CV: its name, whether decoders must have it, its factory value, what each
 * bit means, and where that is laid down. An alias of an accessory CV is described as what it shows.
 *
 * S-9.2.2 (July 2012), Table 1 and Table 3.
 * @param cv The CV: its number, or `"300@16.0"` for one of an index page.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { describeCv } from "cvset/standard";
 * const help = describeCv(29);
 * help.name; // "Configuration Data #1"
 * help.bits[5]?.text; // "0: short address in CV 1, 1: long address in CV 17 and 18"
 * describeCv(29, "accessory").reservedBits; // 23
 */
export function describeCv(cv: CvName, kind: DecoderKind = "multifunction"): CvHelp {
  const key = toKey(cv);
  const number = numberOf(key);
  const shown = kind === "accessory" ? originalOf(number) : null;
  const row = rowOf(shown ?? number, kind);
  const contents = contentsOf(shown ?? number, kind);
  const table = kind === "accessory" ? 3 : 1;
  return {
    cv: nameOf(key),
    number,
    kind,
    name: contents?.name ?? (row.name || "Reserved"),
    requirement: row.requirement ?? null,
    default: row.default ?? contents?.default ?? null,
    readOnly: row.readOnly ?? false,
    uniform: row.uniform ?? false,
    volatile: row.volatile ?? false,
    status: row.status,
    text: contents?.text ?? textOf(row),
    bits: contents?.bits ?? [],
    reservedBits: reservedBitsOf(contents),
    note: noteOf(row, key, shown),
    alias: kind === "accessory" ? aliasOf(number) : null,
    aliasOf: shown,
    clause: `S-9.2.2 (July 2012), ${contents && kind === "multifunction" ? `CV ${number}` : `Table ${table}`}`,
  };
}

function textOf({ status }: CvRow): string {
  if (status === "reserved") return "reserved: it must not be used";
  if (status === "manufacturer") return "free for the maker: see the decoder's manual";
  return "a CV of an index page";
}

function noteOf(row: CvRow, key: number, shown: number | null): string {
  const notes = row.note ? [row.note] : [];
  const page = pageOf(key);
  if (page >= 0) {
    const reserved = page < 4096 ? ", which is reserved for the NMRA" : "";
    notes.push(`on page ${page >> 8}.${page & 255}${reserved}`);
  }
  if (shown !== null) notes.push(`an optional alias of CV ${shown}`);
  return notes.join("; ");
}
