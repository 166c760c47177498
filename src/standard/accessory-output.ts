import type { Address, KnownCvs } from "./address.js";

/** The decoder address that every basic accessory decoder obeys (S-9.2.1 (July 2012), accessory packets). */
const everyDecoder = 511;

/**
 * The eleven address bits of the packets to an output address: the decoder address in the nine high bits and
 * the number of the pair of outputs in the two low ones. In an extended packet they are the extended address.
 *
 * S-9.2.2 (July 2012), accessory CV 1 and 9, does not settle it. Its formula puts the output address modulo
 * 256 into CV 1 and the output address divided by 256 into CV 9; by itself it would make the output address
 * the eleven bits, and output address 1 the second pair of decoder address 0. The same paragraph says that
 * decoders of either method answer the same packet at CV 1 = 1, CV 9 = 0; by the other method these are
 * decoder address 1. The reading taken here keeps both: the formula gives CV 1 and CV 9, and output address
 * 1 is the first pair of decoder address 1, so the eleven bits are the output address + 3. It is also what
 * command stations commonly do (common practice). That 2045-2047 and 0 go on to decoder address 0 is
 * inferred: there are 2048 patterns for 2048 numbers.
 */
export function outputAddressBits(number: number): number {
  return (number + 3) & 2047;
}

/**
 * The decoder address, 0-511, and the first of the two outputs, 0, 2, 4 or 6, that an output address, 0-2047,
 * stands for, as {@link outputAddressBits} reads it. Four output addresses share a decoder address
 * (S-9.2.1 (July 2012), accessory packets: DDD are eight outputs, in four pairs).
 */
export function outputsOfAddress(number: number): { readonly decoder: number; readonly output: number } {
  const bits = outputAddressBits(number);
  return { decoder: bits >> 2, output: (bits & 3) << 1 };
}

/** Why a packet to an output address may reach another decoder than meant: the end of a note. */
export const outputAddressReading =
  "S-9.2.2 (July 2012), CV 1 and 9, does not settle which decoder an output address is: read here so that output address 1 is the first pair of outputs of decoder address 1; by the formula alone it would be the second pair of decoder address 0";

/** The citation of {@link outputAddressReading}. */
export const outputAddressSource = "S-9.2.2 (July 2012), accessory CV 1 and 9";

/**
 * Whether an address of an accessory decoder is that of all of them: decoder address 511 (S-9.2.1 (July
 * 2012), accessory packets), the output addresses that are decoder address 511, and the extended address with
 * every bit set, 2047 (from memory). By the reading of {@link outputAddressBits} they are 2041-2044, by the
 * formula alone 2044-2047; an address that either of them makes a broadcast counts as one.
 */
export function isAccessoryBroadcast(address: Address): boolean {
  switch (address.kind) {
    case "accessory":
      return address.number === everyDecoder;
    case "accessory-output":
      return (
        outputsOfAddress(address.number).decoder === everyDecoder || address.number >> 2 === everyDecoder
      );
    case "extended-accessory":
      return address.number === 2047;
    case "broadcast":
      return address.to !== "multifunction";
    default:
      return false;
  }
}

/** Whether an address is that of more than one decoder, so that CV access to it is refused. */
export function isBroadcast(address: Address): boolean {
  return address.kind === "broadcast" || isAccessoryBroadcast(address);
}

/** A CV write of the legacy form: see {@link legacyAccess}. */
export interface LegacyAccess {
  /** The decoder address, 0-511. */
  readonly decoder: number;
  /** The CV, 1-1024. */
  readonly cv: number;
  /** The byte that is written. */
  readonly value: number;
}

/**
 * The CV write of the legacy form that a packet to an accessory decoder holds: `10AAAAAA 0AAA11VV VVVVVVVV
 * DDDDDDDD EEEEEEEE`, with the high three address bits complemented and CV - 1 in the ten bits V. It can
 * only write, and only a whole byte. Newer packets to accessory decoders have the form `1110CCVV`. The text
 * keeps the form for decoders that are there already; nothing here sends it.
 *
 * S-9.2.1 (July 2012), accessory decoder CV access, legacy form; the bits are from memory.
 * @param packet The bytes, error byte included.
 * @returns Undefined when the packet is not of this form.
 */
export function legacyAccess(packet: readonly number[]): LegacyAccess | undefined {
  const [first = 0, second = 0, low = 0, value = 0] = packet;
  if (packet.length !== 5 || (first & 0xc0) !== 0x80 || (second & 0x8c) !== 0x0c) return undefined;
  const decoder = ((~(second >> 4) & 7) << 6) | (first & 63);
  return { decoder, cv: (((second & 3) << 8) | low) + 1, value };
}

/**
 * The CVs of an accessory decoder with their aliases: a CV that is not known has the byte of its alias, 512
 * above (S-9.2.2 (July 2012), Table 3). That older decoders have them there only is from memory.
 */
export function withAliasesOf(cvs: KnownCvs): KnownCvs {
  return {
    get: (cv) => cvs.get(cv) ?? (cv <= 9 || cv === 28 || cv === 29 ? cvs.get(cv + 512) : undefined),
  };
}
