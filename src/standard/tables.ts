import type { DecoderKind } from "../decoder/decoder.js";
import { table1 } from "./table1.js";
import { table3 } from "./table3.js";

/** Whether a CV is defined, reserved (it must not be used), free for makers, or on index pages. */
export type CvStatus = "defined" | "reserved" | "manufacturer" | "indexed";

/** A row of Table 1 or Table 3 of S-9.2.2 (July 2012): one CV, or a range of CVs. */
export interface CvRow {
  /** The first and the last CV of the row. */
  readonly cvs: readonly [first: number, last: number];
  /** Its name in the table; empty where it has none. */
  readonly name: string;
  /** Whether a decoder must have it; absent where the table does not tell. */
  readonly requirement?: "mandatory" | "recommended" | "optional";
  /** Its factory value; absent where the table gives none. */
  readonly factory?: number;
  /** It cannot be written. */
  readonly readOnly?: true;
  /** Its contents are the same for every maker. */
  readonly uniform?: true;
  /** The decoder changes it by itself. */
  readonly volatile?: true;
  /** Whether it is defined, reserved, free for makers, or on index pages. */
  readonly status: CvStatus;
  /** Accessory decoders: the first CV of its aliases. */
  readonly alias?: number;
  /** A remark of the table. */
  readonly note?: string;
}

/**
 * The table of a kind of decoder, in CV order: Table 1 for multi-function decoders, Table 3 for accessory
 * decoders. Every CV from 1 to 1024 is in exactly one row of each.
 */
export function rowsOf(kind: DecoderKind): readonly CvRow[] {
  return kind === "accessory" ? table3 : table1;
}

/** The row of a CV number, 1-1024. */
export function rowOf(number: number, kind: DecoderKind): CvRow {
  // Both tables are complete, so there is one.
  return rowsOf(kind).find(({ cvs }) => number <= cvs[1]) as CvRow;
}
