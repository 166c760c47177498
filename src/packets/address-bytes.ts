import { CvError, fault } from "../cv/issue.js";
import { isAccessoryBroadcast, outputsOfAddress } from "../standard/accessory-output.js";
import type { Address } from "../standard/address.js";
import { type AddressLike, toAddress } from "../standard/address-in-use.js";
import { badPattern } from "./faults.js";
import type { Packet } from "./packet.js";

const reservedFirstByte = /* @__PURE__ */ fault(
  "reserved-first-byte",
  "{byte:text} is a reserved first byte (E8 to FE)",
);
const notAccessory = /* @__PURE__ */ fault(
  "accessory-second-byte",
  "{byte:text} fits no accessory packet: the second byte of a basic one is 1AAACDDD, of an extended one 0AAA0AA1",
);
const isBroadcast = /* @__PURE__ */ fault(
  "broadcast-number",
  '{found} is the address of all accessory decoders; give the kind "broadcast" with to: "accessory"',
);

/** The receiver of a packet on the main: an address, or `"idle"` for the idle packet, which has none. */
export type PacketAddress = Address | { readonly kind: "idle" };

const source = "S-9.2.1 (July 2012), section A";
/** The source of the layout of accessory packets. */
export const accessorySource = "S-9.2.1 (July 2012), accessory packets";
/** The source of what is said of single instructions to multi-function decoders, and of CV access. */
export const mainAccessSource = "S-9.2.1 (July 2012), section C";

/**
 * The receiver that an argument means.
 * @throws `CvError` when it is not an address.
 */
export function toPacketAddress(to: AddressLike | PacketAddress, path: string): PacketAddress {
  return isIdle(to) ? to : toAddress(to, path);
}

function isIdle(to: AddressLike | PacketAddress): to is Extract<PacketAddress, { kind: "idle" }> {
  // Callers in JavaScript may give anything.
  return (to as { kind?: unknown } | null | undefined)?.kind === "idle";
}

/**
 * The address bytes of a packet. In the second byte of a basic accessory address the low four bits, CDDD,
 * are 0.
 * @param address The receiver; its numbers are in range.
 * The address of all accessory decoders is the basic one, 511; an extended packet has 2047 in its place.
 * @param path The name of the address, for the error.
 * @throws `CvError` for the number of the accessory broadcast as the address of one decoder.
 */
export function addressBytes(address: PacketAddress, path: string): number[] {
  switch (address.kind) {
    case "broadcast":
      return address.to === "accessory" ? basicBytes(lastAccessory) : [0];
    case "idle":
      return [255];
    // The address of a consist is sent as a primary one (S-9.2.1, July 2012, consist control).
    case "primary":
    case "consist":
      return [address.number];
    case "extended":
      return [192 + (address.number >> 8), address.number & 255];
    case "accessory":
      return basicBytes(oneDecoder(address, path));
    case "accessory-output":
      return basicBytes(outputsOfAddress(oneDecoder(address, path)).decoder);
    case "extended-accessory":
      return extendedBytes(oneDecoder(address, path));
  }
}

const lastAccessory = 511;
const lastExtended = 2047;

/** The address bytes of an extended packet to all accessory decoders: every bit set (from memory). */
export const extendedBroadcast: readonly number[] = /* @__PURE__ */ extendedBytes(lastExtended);

/** The number of an address of accessory decoders that is not one of all of them. */
function oneDecoder(
  address: Extract<Address, { readonly kind: string; readonly number: number }>,
  path: string,
): number {
  const { number } = address;
  if (!isAccessoryBroadcast(address)) return number;
  throw new CvError([isBroadcast({ found: number }, { path, source: accessorySource })]);
}

/**
 * 10AAAAAA 0AAA0AA1: the high three bits complemented as in the basic packet, then the six of the first byte,
 * then bits 2-1 of the second (S-9.2.1, July 2012, accessory packets).
 */
function extendedBytes(number: number): number[] {
  return [128 | ((number >> 2) & 63), ((~(number >> 8) & 7) << 4) | ((number & 3) << 1) | 1];
}

function basicBytes(decoder: number): number[] {
  return [128 | (decoder & 63), 128 | ((~(decoder >> 6) & 7) << 4)];
}

/**
 * The address at the beginning of a packet, and how many bytes it takes. The output of a basic accessory
 * address is not read.
 * @throws `CvError` for a reserved first byte.
 */
export function parseAddress(packet: Packet): { address: PacketAddress; length: number } {
  const allAccessory = { kind: "broadcast", to: "accessory" } as const;
  const first = packet[0] as number;
  const second = packet[1] as number;
  if (first === 0) return { address: { kind: "broadcast" }, length: 1 };
  if (first < 128) return { address: { kind: "primary", number: first }, length: 1 };
  if (first === 255) return { address: { kind: "idle" }, length: 1 };
  if (first > 231) return badPattern(reservedFirstByte, first, source);
  if (first >= 192) {
    return { address: { kind: "extended", number: ((first - 192) << 8) | second }, length: 2 };
  }
  const high = ~(second >> 4) & 7;
  if (second & 128 || isLegacy(second)) {
    const number = (high << 6) | (first & 63);
    return { address: number === lastAccessory ? allAccessory : { kind: "accessory", number }, length: 2 };
  }
  if ((second & 9) !== 1) return badPattern(notAccessory, second, accessorySource);
  const number = (high << 8) | ((first & 63) << 2) | ((second >> 1) & 3);
  return {
    address: number === lastExtended ? allAccessory : { kind: "extended-accessory", number },
    length: 2,
  };
}

/** Whether a second byte, 0AAA11VV, is that of a CV write in the format of older accessory decoders. */
export function isLegacy(second: number): boolean {
  return (second & 0x8c) === 0x0c;
}
