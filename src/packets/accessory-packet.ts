import { CvError, fault } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { legacyAccess, outputsOfAddress } from "../standard/accessory-output.js";
import type { Address } from "../standard/address.js";
import {
  extendedBroadcast,
  isLegacy,
  type PacketAddress,
  accessorySource as source,
} from "./address-bytes.js";
import { badPattern, checked, packetError, unknownInstruction } from "./faults.js";
import type { Instruction } from "./instruction.js";
import { cvBytes } from "./instruction-bytes.js";
import { parseInstruction } from "./instruction-from-bytes.js";
import type { Packet } from "./packet.js";

const oneInstruction = /* @__PURE__ */ fault(
  "accessory-instructions",
  "a packet to an accessory decoder has one instruction, got {count}",
);
const badOutputBits = /* @__PURE__ */ fault(
  "accessory-cddd",
  "{byte:text} has CDDD = 0DDD, which no CV access has: 0000 is the whole decoder, 1DDD one output",
);
const broadcastAccess = /* @__PURE__ */ fault(
  "broadcast-access",
  "a CV access goes to one decoder, and this is the address of all accessory decoders",
);
const notAnAspect = /* @__PURE__ */ fault("aspect-byte", "{byte:text} is not an aspect: bits 5-7 must be 0");
const notACvAccess = /* @__PURE__ */ fault(
  "accessory-cv-access",
  "{byte:text} is not a CV access, and a long accessory packet has no other instruction",
);
const badAccessoryLength = /* @__PURE__ */ fault(
  "accessory-length",
  "the length of {length} bytes fits no accessory packet",
);

/** The address of an accessory decoder, or of all of them. */
export type AccessoryAddress = Extract<
  Address,
  { kind: "accessory" | "accessory-output" | "extended-accessory" | "broadcast" }
>;

/** Whether an address belongs to an accessory decoder, or to all of them. */
export function isAccessory(address: PacketAddress): address is AccessoryAddress {
  const { kind } = address;
  if (kind === "broadcast") return address.to === "accessory";
  return kind === "accessory" || kind === "accessory-output" || kind === "extended-accessory";
}

/**
 * The bytes of a packet to an accessory decoder, without the error byte.
 * @param to The address.
 * @param bytes The address bytes.
 * @param instructions The instruction; exactly one.
 * @throws `CvError` when there is not one instruction, it does not fit the address, a number is out of range, or
 *   it is a CV access to all decoders.
 */
export function accessoryBytes(
  to: AccessoryAddress,
  bytes: readonly number[],
  instructions: readonly Instruction[],
): number[] {
  const [first, second] = bytes as [number, number];
  const [instruction, ...more] = instructions;
  if (!instruction || more.length) {
    throw packetError(oneInstruction, { count: instructions.length }, source);
  }
  const isAll = to.kind === "broadcast";
  const isWhole = isAll || (to.kind === "accessory" && to.output === undefined);
  if (isAll && (instruction.kind === "cv" || instruction.kind === "cv-legacy")) {
    throw new CvError([broadcastAccess({}, { path: "to", source })]);
  }
  if (instruction.kind === "cv-legacy" && isWhole) {
    const cv = checked("cv", instruction.cv, 1, lastCv, source) - 1;
    const value = checked("value", instruction.value, 0, 255, source);
    return [first, (second & 0x70) | 0x0c | (cv >> 8), cv & 255, value];
  }
  if (instruction.kind === "cv") {
    const output =
      to.kind === "accessory-output"
        ? outputsOfAddress(to.number).output
        : to.kind === "accessory"
          ? to.output
          : undefined;
    return [first, output === undefined ? second : second | 8 | output, ...cvBytes(instruction)];
  }
  if (instruction.kind === "output" && isWhole) {
    return [first, second | (instruction.on ? 8 : 0) | checked("output", instruction.output, 0, 7, source)];
  }
  if (instruction.kind === "aspect" && (isAll || to.kind === "extended-accessory")) {
    const address = isAll ? extendedBroadcast : bytes;
    return [...address, checked("aspect", instruction.aspect, 0, 31, source)];
  }
  const receiver = isAll
    ? "all accessory decoders"
    : isWhole
      ? "an accessory decoder address"
      : to.kind === "extended-accessory"
        ? "an extended accessory address"
        : "one output of an accessory decoder";
  const where = { path: "instructions", source };
  throw new CvError([unknownInstruction({ found: instruction.kind, receiver }, where)]);
}

/**
 * The address and the instruction of a packet to an accessory decoder.
 * @param packet The bytes, checked.
 * @param to The address that its first two bytes have, without an output.
 * @throws `CvError` for a wrong length or a reserved pattern.
 */
export function parseAccessoryPacket(
  packet: Packet,
  to: AccessoryAddress,
): { to: PacketAddress; instructions: Instruction[] } {
  const second = packet[1] as number;
  if (to.kind === "broadcast" && packet.length > 4) throw packetError(broadcastAccess, {}, source);
  if (isLegacy(second)) {
    const legacy = legacyAccess(packet);
    if (!legacy) throw packetError(badAccessoryLength, { length: packet.length }, source);
    return { to, instructions: [{ kind: "cv-legacy", cv: legacy.cv, value: legacy.value }] };
  }
  if (second < 128) {
    if (packet.length !== 4) return { to, instructions: [cvAccess(packet)] };
    const aspect = packet[2] as number;
    if (aspect > 31) badPattern(notAnAspect, aspect, source);
    return { to, instructions: [{ kind: "aspect", aspect }] };
  }
  const output = second & 7;
  if (packet.length === 3) {
    return { to, instructions: [{ kind: "output", output, on: (second & 8) !== 0 }] };
  }
  if (to.kind !== "accessory") throw packetError(badAccessoryLength, { length: packet.length }, source);
  if (!(second & 8) && output) badPattern(badOutputBits, second, source);
  const { number } = to;
  return {
    to: second & 8 ? { kind: "accessory", number, output } : { kind: "accessory", number },
    instructions: [cvAccess(packet)],
  };
}

function cvAccess(packet: Packet): Instruction {
  if (packet.length !== 6) throw packetError(badAccessoryLength, { length: packet.length }, source);
  const { instruction } = parseInstruction(packet, 2, 28);
  return instruction.kind === "cv" ? instruction : badPattern(notACvAccess, packet[2] as number, source);
}
