import { anyNumber, need } from "../cv/argument.js";
import { outOfRange } from "../cv/faults.js";
import { CvError, fault, type Issue, type Where } from "../cv/issue.js";
import { byteText } from "./packet.js";

// What several files of this folder check and throw.

const notAWholeNumber = /* @__PURE__ */ fault(
  "expected-packet-number",
  "expected a whole number from {min} to {max}, got {found}",
);
/** An instruction that is of no known kind. */
export const unknownInstruction = /* @__PURE__ */ fault(
  "instruction",
  "{found} is not a kind of instruction for {receiver:text}",
);
/** CC = 00 in a CV access. */
export const badAccessCode = /* @__PURE__ */ fault(
  "reserved-access-code",
  "{byte:text} has the instruction code CC = 00, which is reserved",
);
/** The data byte of an access to one bit. */
export const notABitInstruction = /* @__PURE__ */ fault(
  "bit-instruction",
  "{byte:text} is not a bit instruction: bits 5-7 must be 1",
);
/** The packet ends before its instruction does. */
export const tooShort = /* @__PURE__ */ fault(
  "packet-too-short",
  "a packet of {length} bytes is too short for this instruction",
);

/**
 * A number that goes into a packet, checked.
 * @param path The name of the number, for the error.
 * @throws `CvError` when it is not a whole number from `min` to `max`.
 */
export function checked(path: string, found: number, min: number, max: number, source: string): number {
  need(anyNumber, found, path);
  if (found >= min && found <= max && Number.isInteger(found)) return found;
  const issue = Number.isInteger(found)
    ? outOfRange({ found, min, max, unit: "" }, { path, source })
    : notAWholeNumber({ found, min, max }, { path, source });
  throw new CvError([issue]);
}

/** The error of a packet. */
export function packetError<Params>(
  fault: (params: Params, where: Where) => Issue,
  params: Params,
  source?: string,
): CvError {
  return new CvError([fault(params, source === undefined ? { path: "packet" } : { path: "packet", source })]);
}

/** Throws the fault of a byte that has a reserved or unknown pattern. */
export function badPattern(
  fault: (params: { readonly byte: string }, where: Where) => Issue,
  byte: number,
  source: string,
): never {
  throw packetError(fault, { byte: byteText(byte) }, source);
}
