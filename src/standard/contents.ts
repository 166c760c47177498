import type { DecoderKind } from "../decoder/decoder.js";
import { accessoryContents } from "./contents-accessory.js";
import { multifunctionContents } from "./contents-multifunction.js";

/** What some bits of a CV mean. */
export interface BitMeaning {
  /** The lowest and the highest bit, 0-7; 0 is the least significant. */
  readonly bits: readonly [low: number, high: number];
  /** What their values mean, in words. */
  readonly text: string;
  /** The standard gives them no meaning: leave them as they are. */
  readonly reserved?: true;
}

/** What the standard says of the contents of one CV, or of each CV of a range. */
export interface CvContents {
  /** The first and the last CV. */
  readonly cvs: readonly [first: number, last: number];
  /** The CV's own name, where its row in the table has only one for several. */
  readonly name?: string;
  /** What its values mean, in words. */
  readonly text: string;
  /** What its bits mean one by one; absent where the byte is one number. */
  readonly bits?: readonly BitMeaning[];
  /** Its value when the decoder leaves the factory, where the text gives one and the table does not. */
  readonly default?: number;
}

/** What the standard says of the contents of a CV; undefined for those that it says nothing of. */
export function contentsOf(number: number, kind: DecoderKind): CvContents | undefined {
  const all = kind === "accessory" ? accessoryContents : multifunctionContents;
  return all.find(({ cvs: [first, last] }) => first <= number && number <= last);
}

/** The mask of the bits of a CV that have no meaning. */
export function reservedBitsOf(contents: CvContents | undefined): number {
  let mask = 0;
  for (const { bits, reserved } of contents?.bits ?? []) {
    if (reserved) for (let bit = bits[0]; bit <= bits[1]; bit++) mask |= 1 << bit;
  }
  return mask;
}
