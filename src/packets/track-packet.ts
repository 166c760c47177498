import { aBoolean, aText, listOf, need, needIn, objectOf, oneOf } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import type { AddressLike } from "../standard/address-in-use.js";
import { accessoryBytes, isAccessory, parseAccessoryPacket } from "./accessory-packet.js";
import {
  addressBytes,
  mainAccessSource,
  type PacketAddress,
  parseAddress,
  toPacketAddress,
} from "./address-bytes.js";
import { packetError } from "./faults.js";
import type { Instruction } from "./instruction.js";
import { instructionBytes } from "./instruction-bytes.js";
import { parseInstruction } from "./instruction-from-bytes.js";
import { aPacket, checkPacket, type Packet, withErrorByte } from "./packet.js";

const idleInstruction = /* @__PURE__ */ fault("idle-instructions", "an idle packet has no instruction");
const noInstruction = /* @__PURE__ */ fault("no-instruction", "a packet has at least one instruction");
const tooLong = /* @__PURE__ */ fault(
  "packet-too-long",
  "a packet has at most 6 bytes, error byte included; this one would have {length}",
);
const twoOfAKind = /* @__PURE__ */ fault("two-of-a-kind", "a packet has at most one {kind:text}");
const badIdle = /* @__PURE__ */ fault("idle-packet", "an idle packet is FF 00 FF");
const noRoom = /* @__PURE__ */ fault(
  "no-room",
  "a packet of {length} bytes has no room for an instruction behind this address",
);

/** What one packet on the main says: its receiver and its instructions. An idle packet has none. */
export interface TrackPacket {
  /** The receiver. */
  readonly to: PacketAddress;
  /** The instructions, in the order of their bytes. */
  readonly instructions: readonly Instruction[];
}

const source = "S-9.2.1 (July 2012), section B";

const aWhole = /* @__PURE__ */ objectOf({
  instructions: /* @__PURE__ */ listOf(
    /* @__PURE__ */ objectOf({
      kind: aText,
      "steps?": /* @__PURE__ */ oneOf(14, 28, 128),
      "forward?": aBoolean,
    }),
  ),
});

/**
 * The bytes of a packet on the main.
 *
 * S-9.2 (July 2004); S-9.2.1 (July 2012). The idle packet is `{ to: { kind: "idle" }, instructions: [] }`.
 * @param packet The receiver and the instructions. The receiver can be a decoded address setting, or a number:
 *   1-127 is a primary address, 128-10239 an extended one. A consist is addressed as a primary address. Output
 *   address 1 of an accessory decoder is the first pair of outputs of decoder address 1, which is one of two
 *   readings of S-9.2.2 (July 2012), CV 1: give the decoder address where it is known.
 * @throws `CvError` when a number is out of range, an instruction does not fit the address, the packet would
 *   be longer than 6 bytes, or has two consist controls, two advanced-operations instructions or two CV accesses.
 * @example
 * import { packetText, trackPacket } from "cvset/packets";
 * const packet = trackPacket({
 *   to: { kind: "extended", number: 1234 },
 *   instructions: [{ kind: "cv", operation: "write", cv: 29, value: 34 }],
 * });
 * packetText(packet); // "C4 D2 EC 1C 22 C4"
 */
export function trackPacket(packet: {
  readonly to: AddressLike | PacketAddress;
  readonly instructions: readonly Instruction[];
}): Packet {
  need(aWhole, packet, "packet");
  const { instructions } = packet;
  const to = toPacketAddress(packet.to, "to");
  if (to.kind === "idle") {
    if (instructions.length) throw packetError(idleInstruction, {});
    return [255, 0, 255];
  }
  const bytes = addressBytes(to, "to");
  if (isAccessory(to)) return withErrorByte(accessoryBytes(to, bytes, instructions));
  if (instructions.length === 0) throw packetError(noInstruction, {});
  for (const instruction of instructions) bytes.push(...instructionBytes(instruction));
  onlyOneOfAKind(instructions);
  if (bytes.length > 5) throw packetError(tooLong, { length: bytes.length + 1 }, source);
  return withErrorByte(bytes);
}

// A packet may join several instructions, but only one consist control, one advanced-operations instruction
// and one CV access. A speed in 128 steps and the short form for CV 24 may be together, so that the last two
// count apart (S-9.2.1, July 2012, section C).
const limited: Partial<Record<Instruction["kind"], string>> = {
  consist: "consist control",
  speed: "advanced-operations instruction",
  "restricted-speed": "advanced-operations instruction",
  "analog-function": "advanced-operations instruction",
  cv: "CV access",
  "cv-short": "CV access",
  "service-lock": "CV access",
};

function onlyOneOfAKind(instructions: readonly Instruction[]): void {
  const found = new Set<string>();
  for (const each of instructions) {
    const kind = each.kind === "speed" && each.steps !== 128 ? undefined : limited[each.kind];
    if (kind === undefined) continue;
    if (found.has(kind)) throw packetError(twoOfAKind, { kind }, mainAccessSource);
    found.add(kind);
  }
}

const ofSteps = /* @__PURE__ */ objectOf({ "steps?": /* @__PURE__ */ oneOf(14, 28) });

/**
 * What a packet on the main says; the reverse of {@link trackPacket}.
 *
 * S-9.2 (July 2004); S-9.2.1 (July 2012).
 * @param packet The bytes, error byte included.
 * @param options `steps`: how the receiver reads the one-byte speed instruction, which CV 29 bit 1
 *   selects; 28 unless given.
 * @throws `CvError` for a wrong length, error byte or reserved pattern.
 * @example
 * import { parseTrackPacket } from "cvset/packets";
 * parseTrackPacket([0x03, 0x3f, 0x82, 0xbe]);
 * // { to: { kind: "primary", number: 3 }, instructions: [{ kind: "speed", steps: 128, forward: true, step: 1 }] }
 */
export function parseTrackPacket(packet: Packet, options: { readonly steps?: 14 | 28 } = {}): TrackPacket {
  need(aPacket, packet, "packet");
  checkPacket(packet, 3, 6);
  needIn(ofSteps, options, "options");
  const { address, length } = parseAddress(packet);
  if (address.kind === "idle") {
    if (packet.length !== 3 || packet[1] !== 0)
      throw packetError(badIdle, {}, "S-9.2 (July 2004), idle packet");
    return { to: address, instructions: [] };
  }
  if (isAccessory(address)) return parseAccessoryPacket(packet, address);
  const instructions: Instruction[] = [];
  const end = packet.length - 1;
  let at = length;
  while (at < end) {
    const parsed = parseInstruction(packet, at, options.steps ?? 28);
    instructions.push(parsed.instruction);
    at += parsed.length;
  }
  if (instructions.length === 0) throw packetError(noRoom, { length: packet.length }, source);
  if (instructions.length > 1) onlyOneOfAKind(instructions);
  return { to: address, instructions };
}
