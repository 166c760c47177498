import { CvError, fault } from "../cv/issue.js";
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
const accessoryBroadcast = /* @__PURE__ */ fault(
  "accessory-broadcast",
  "packets to all accessory decoders are not supported",
);

/** The receiver of a packet on the main: an address, or `"idle"` for the idle packet, which has none. */
export type PacketAddress = Address | { readonly kind: "idle" };

const source = "S-9.2.1 (July 2012), section A";
/** The source of the layout of accessory packets. */
export const accessorySource = "S-9.2.1 (July 2012), accessory packets";

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
 * The decoder and the first of the two outputs that an output address (0-2047) stands for. Four output
 * addresses in a row share a basic accessory address (from memory).
 */
export function outputPair(number: number): { readonly decoder: number; readonly output: number } {
  return { decoder: number >> 2, output: (number & 3) << 1 };
}

/**
 * The address bytes of a packet. In the second byte of a basic accessory address the low four bits, CDDD,
 * are 0.
 * @param address The receiver; its numbers are in range.
 * @throws `CvError` for all accessory decoders.
 */
export function addressBytes(address: PacketAddress): number[] {
  switch (address.kind) {
    case "broadcast":
      if (address.to === "accessory") throw new CvError([accessoryBroadcast({}, { path: "to" })]);
      return [0];
    case "idle":
      return [255];
    // The address of a consist is sent as a primary one (S-9.2.1, July 2012, consist control).
    case "primary":
    case "consist":
      return [address.number];
    case "extended":
      return [192 + (address.number >> 8), address.number & 255];
    case "accessory":
      return accessoryBytes(address.number);
    case "accessory-output":
      return accessoryBytes(outputPair(address.number).decoder);
    case "extended-accessory": {
      // From memory: high three bits complemented as in the basic packet, then the six of the first
      // byte, then bits 2-1 of the second.
      const { number } = address;
      return [128 | ((number >> 2) & 63), ((~(number >> 8) & 7) << 4) | ((number & 3) << 1) | 1];
    }
  }
}

function accessoryBytes(decoder: number): number[] {
  return [128 | (decoder & 63), 128 | ((~(decoder >> 6) & 7) << 4)];
}

/**
 * The address at the beginning of a packet, and how many bytes it takes. The output of a basic accessory
 * address is not read.
 * @throws `CvError` for a reserved first byte.
 */
export function parseAddress(packet: Packet): { address: PacketAddress; length: number } {
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
  if (second & 128) {
    return { address: { kind: "accessory", number: (high << 6) | (first & 63) }, length: 2 };
  }
  if ((second & 9) !== 1) return badPattern(notAccessory, second, accessorySource);
  const number = (high << 8) | ((first & 63) << 2) | ((second >> 1) & 3);
  return { address: { kind: "extended-accessory", number }, length: 2 };
}
