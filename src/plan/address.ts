import { badPattern, checked, type Packet } from "./packet.js";

/** Whom a packet on the main is for (S-9.2.1, July 2012, section A). */
export type PacketAddress =
  /** Every multi-function decoder. */
  | { readonly type: "broadcast" }
  /** Nobody: the idle packet. */
  | { readonly type: "idle" }
  | DecoderAddress;

/** The address of one decoder. */
export type DecoderAddress =
  /** A primary address, 1-127. */
  | { readonly type: "short"; readonly number: number }
  /** An extended address, 0-10239. */
  | { readonly type: "long"; readonly number: number }
  /**
   * A basic accessory decoder, 0-511. `output` (0-7) picks one of its outputs; without it a CV access
   * is for the whole decoder.
   */
  | { readonly type: "accessory"; readonly number: number; readonly output?: number }
  /** An extended accessory decoder, 0-2047. */
  | { readonly type: "extended-accessory"; readonly number: number };

const clause = "S-9.2.1 (July 2012), section A";
const accessoryClause = "S-9.2.1 (July 2012), accessory packets";

/**
 * The address that a bare number stands for: 1-127 short, anything above long.
 * @throws `CvError` outside 1-10239.
 */
export function addressOf(address: number | DecoderAddress): DecoderAddress {
  if (typeof address !== "number") return address;
  checked("address", address, 1, 10239, clause);
  return { type: address < 128 ? "short" : "long", number: address };
}

/** The address in words: `long address 1234`. */
export function addressText(address: PacketAddress): string {
  switch (address.type) {
    case "broadcast":
      return "all decoders";
    case "idle":
      return "nobody";
    case "accessory":
      return `accessory decoder ${address.number}${
        address.output === undefined ? "" : `, output ${address.output}`
      }`;
    case "extended-accessory":
      return `extended accessory decoder ${address.number}`;
    default:
      return `${address.type} address ${address.number}`;
  }
}

/** Whether two addresses are the same. */
export function sameAddress(a: PacketAddress, b: PacketAddress): boolean {
  return addressText(a) === addressText(b);
}

/**
 * The address bytes of a packet. A basic accessory decoder's second byte lacks CDDD, its low four bits.
 * @throws `CvError` when the number is out of range.
 */
export function addressBytes(address: PacketAddress): number[] {
  switch (address.type) {
    case "broadcast":
      return [0];
    case "idle":
      return [255];
    case "short":
      return [checked("address", address.number, 1, 127, clause)];
    case "long": {
      const number = checked("address", address.number, 0, 10239, clause);
      return [192 + (number >> 8), number & 255];
    }
    case "accessory": {
      const number = checked("address", address.number, 0, 511, accessoryClause);
      if (address.output !== undefined) checked("output", address.output, 0, 7, accessoryClause);
      return [128 | (number & 63), 128 | ((~(number >> 6) & 7) << 4)];
    }
    case "extended-accessory": {
      // From memory: high three bits complemented as in the basic packet, then the six of the first
      // byte, then bits 2-1 of the second.
      const number = checked("address", address.number, 0, 2047, accessoryClause);
      return [128 | ((number >> 2) & 63), ((~(number >> 8) & 7) << 4) | ((number & 3) << 1) | 1];
    }
  }
}

/**
 * The address at the head of a packet, and how many bytes it takes. The output of a basic accessory
 * decoder is left to the caller.
 * @throws `CvError` for a first byte that nobody has.
 */
export function parseAddress(packet: Packet): { address: PacketAddress; length: number } {
  const first = packet[0] as number;
  const second = packet[1] as number;
  if (first === 0) return { address: { type: "broadcast" }, length: 1 };
  if (first < 128) return { address: { type: "short", number: first }, length: 1 };
  if (first === 255) return { address: { type: "idle" }, length: 1 };
  if (first > 231) return badPattern(first, "is a reserved first byte (232 to 254)", clause);
  if (first >= 192) {
    return { address: { type: "long", number: ((first - 192) << 8) | second }, length: 2 };
  }
  const high = ~(second >> 4) & 7;
  if (second & 128) {
    return { address: { type: "accessory", number: (high << 6) | (first & 63) }, length: 2 };
  }
  if ((second & 9) !== 1) {
    return badPattern(
      second,
      "fits no accessory packet: basic is 1AAACDDD, extended 0AAA0AA1",
      accessoryClause,
    );
  }
  const number = (high << 8) | ((first & 63) << 2) | ((second >> 1) & 3);
  return { address: { type: "extended-accessory", number }, length: 2 };
}

/** A reader that answers -1 for a CV that nobody knows. */
export interface Peek {
  peek(key: number): number;
}

/**
 * The address that a multi-function decoder answers to by its CVs 1, 17, 18 and 29 bit 5 (S-9.2.2,
 * July 2012), or undefined when they do not say, or hold no valid address.
 */
export function ownAddress(cvs: Peek): DecoderAddress | undefined {
  const configuration = cvs.peek(29);
  if (configuration >= 0 && configuration & 32) return longAddress(cvs.peek(17), cvs.peek(18));
  const primary = cvs.peek(1);
  return configuration >= 0 && primary >= 1 && primary <= 127
    ? { type: "short", number: primary }
    : undefined;
}

/** The extended address in CV 17 and 18, or undefined when they hold none (S-9.2.2, CV 17 and 18). */
export function longAddress(high: number, low: number): DecoderAddress | undefined {
  return high >= 192 && high <= 231 && low >= 0
    ? { type: "long", number: ((high - 192) << 8) | low }
    : undefined;
}

/**
 * The address that an accessory decoder answers to by its CVs 1, 9 and 29 bits 5 and 6 (S-9.2.2, July
 * 2012, Table 3), or undefined when they do not say. That four outputs in a row share one decoder address
 * is from memory.
 */
export function accessoryAddress(cvs: Peek): DecoderAddress | undefined {
  const low = cvs.peek(1);
  const high = cvs.peek(9);
  const configuration = cvs.peek(29);
  if (low < 0 || high < 0 || configuration < 0) return undefined;
  const extended = (configuration & 32) !== 0;
  if ((configuration & 64) === 0) {
    const number = ((high & 7) << 6) | (low & 63);
    return extended ? { type: "extended-accessory", number: number << 2 } : { type: "accessory", number };
  }
  const output = low + 256 * high - 1;
  if (output < 0 || output > 2047) return undefined;
  return extended
    ? { type: "extended-accessory", number: output }
    : { type: "accessory", number: output >> 2, output: (output & 3) << 1 };
}
