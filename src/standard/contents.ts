import type { DecoderKind } from "../decoder/decoder.js";
import { accessoryContents } from "./contents-accessory.js";
import { multifunctionContents } from "./contents-multifunction.js";

/** The meaning of some bits of a CV. */
export interface BitMeaning {
  /** The lowest and the highest bit, 0-7; 0 is the least significant. */
  readonly bits: readonly [low: number, high: number];
  /** The meaning of their values, in words. */
  readonly text: string;
  /** They have no meaning and must stay as they are. */
  readonly reserved?: true;
}

/** The meaning of the contents of one CV, or of each CV of a range. */
export interface CvContents {
  /** The first and the last CV. */
  readonly cvs: readonly [first: number, last: number];
  /** The CV's own name, where its row in the table has only one for several. */
  readonly name?: string;
  /** The meaning of its values, in words. */
  readonly text: string;
  /** The meaning of its bits, one by one; absent where the byte is one number. */
  readonly bits?: readonly BitMeaning[];
  /** Where in S-9.2.2 (July 2012) it is laid down, when that is not the paragraph of the CV: `"Table 1"`. */
  readonly source?: string;
  /** Its factory value, where the text gives one and the table does not. */
  readonly factory?: number;
}

/** The meaning of the contents of a CV; undefined where the standard gives none. */
export function contentsOf(number: number, kind: DecoderKind): CvContents | undefined {
  const all = kind === "accessory" ? accessoryContents : multifunctionContents;
  return all.find(({ cvs: [first, last] }) => first <= number && number <= last);
}
