import { lastCv } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { originalOf } from "./aliases.js";
import { contentsOf } from "./contents.js";

// Apart from cv-facts.ts, so that what needs no meanings of bits does not carry them.

const known: Readonly<Record<DecoderKind, (number | undefined)[]>> = { multifunction: [], accessory: [] };

/** The mask of the bits of the CV with a key that have no meaning; 0 on index pages, and for whole CVs. */
export function reservedBitsOf(key: number, kind: DecoderKind): number {
  if (key > lastCv) return 0;
  // A cache of what follows from the tables alone.
  return (known[kind][key] ??= maskOf((kind === "accessory" ? originalOf(key) : undefined) ?? key, kind));
}

function maskOf(number: number, kind: DecoderKind): number {
  let mask = 0;
  for (const { bits, reserved } of contentsOf(number, kind)?.bits ?? []) {
    if (reserved) for (let bit = bits[0]; bit <= bits[1]; bit++) mask |= 1 << bit;
  }
  return mask;
}
