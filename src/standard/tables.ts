import type { DecoderKind } from "../decoder/decoder.js";
import { table1 } from "./table1.js";
import { table3 } from "./table3.js";

/** What may be done with a CV: it has a meaning, must not be used, is free for makers, or lies on index pages. */
export type CvStatus = "defined" | "reserved" | "manufacturer" | "indexed";

/** A row of Table 1 or Table 3 of S-9.2.2 (July 2012): one CV, or a range of CVs. */
export interface CvRow {
  /** The first and the last CV of the row. */
  readonly cvs: readonly [first: number, last: number];
  /** Its name in the table; empty where it has none. */
  readonly name: string;
  /** Whether a decoder must have it; absent where the table says nothing. */
  readonly requirement?: "mandatory" | "recommended" | "optional";
  /** Its value when the decoder leaves the factory; absent where the table gives none. */
  readonly default?: number;
  /** It cannot be written. */
  readonly readOnly?: true;
  /** Its contents are the same for every maker. */
  readonly uniform?: true;
  /** It changes by itself. */
  readonly volatile?: true;
  /** What may be done with it. */
  readonly status: CvStatus;
  /** Accessory decoders: the first CV of its aliases. */
  readonly alias?: number;
  /** A remark of the table. */
  readonly note?: string;
}

/**
 * Both tables of the standard, row by row, in CV order: every CV from 1 to 1024 is in exactly one row of
 * each.
 *
 * S-9.2.2 (July 2012), Table 1 and Table 3.
 * @example
 * import { catalogue } from "cvset/standard";
 * catalogue.multifunction[0]; // { cvs: [1, 1], name: "Primary Address", requirement: "mandatory", default: 3, uniform: true, status: "defined" }
 */
export const catalogue: Readonly<Record<DecoderKind, readonly CvRow[]>> = {
  multifunction: table1,
  accessory: table3,
};

/** The row of a CV number, 1-1024. */
export function rowOf(number: number, kind: DecoderKind): CvRow {
  // Both tables are complete, so there is one.
  return catalogue[kind].find(({ cvs }) => number <= cvs[1]) as CvRow;
}
