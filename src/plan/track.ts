import { CvError } from "../cv/index.js";
import { addressBytes, type PacketAddress, parseAddress } from "./address.js";
import { type Instruction, instructionBytes, parseInstruction } from "./instruction.js";
import { badPattern, checked, checkPacket, type Packet, packetIssue, withErrorByte } from "./packet.js";

/** One instruction to an accessory decoder (S-9.2.1, July 2012). */
export type AccessoryInstruction =
  /** Output 0-7 of a basic accessory decoder, on or off. */
  | { readonly type: "output"; readonly output: number; readonly on: boolean }
  /** The aspect, 0-31, of an extended accessory decoder. */
  | { readonly type: "aspect"; readonly aspect: number };

/** What one packet on the main says: whom it is for, and its instructions. Idle packets have none. */
export interface TrackPacket {
  readonly to: PacketAddress;
  readonly instructions: readonly (Instruction | AccessoryInstruction)[];
}

const clause = "S-9.2.1 (July 2012), section B";
const accessoryClause = "S-9.2.1 (July 2012), accessory packets";

/**
 * The bytes of a packet on the main (S-9.2, July 2004; S-9.2.1, July 2012).
 * @param packet Whom it is for and what it says.
 * @throws `CvError` when a number is out of range, an instruction does not suit the address, the
 *   packet would pass 6 bytes, or has two CV accesses.
 * @example
 * import { packetText, trackPacket } from "cvset/plan";
 * const packet = trackPacket({
 *   to: { type: "long", number: 1234 },
 *   instructions: [{ type: "cv", operation: "write", cv: 29, value: 34 }],
 * });
 * packetText(packet); // "C4 D2 EC 1C 22 C4"
 */
export function trackPacket({ to, instructions }: TrackPacket): Packet {
  const bytes = addressBytes(to);
  if (to.type === "idle") {
    if (instructions.length) throw new CvError([packetIssue("an idle packet has no instruction")]);
    return [255, 0, 255];
  }
  if (to.type === "accessory" || to.type === "extended-accessory") {
    return withErrorByte(accessoryBytes(to, bytes, instructions));
  }
  if (instructions.length === 0) throw new CvError([packetIssue("a packet has at least one instruction")]);
  for (const instruction of instructions) {
    if (instruction.type === "output" || instruction.type === "aspect") {
      throw new CvError([packetIssue(`${instruction.type} is an instruction for accessory decoders`)]);
    }
    for (const byte of instructionBytes(instruction)) bytes.push(byte);
  }
  onlyOneOfAKind(instructions);
  if (bytes.length > 5) {
    throw new CvError([
      packetIssue("a packet has at most 6 bytes, error byte included", bytes.length + 1, clause),
    ]);
  }
  return withErrorByte(bytes);
}

function accessoryBytes(
  to: Extract<PacketAddress, { type: "accessory" | "extended-accessory" }>,
  bytes: number[],
  [instruction, ...more]: TrackPacket["instructions"],
): number[] {
  if (!instruction || more.length) {
    throw new CvError([packetIssue("an accessory packet has one instruction", undefined, accessoryClause)]);
  }
  if (instruction.type === "cv") {
    const [first, second] = bytes as [number, number];
    const output = to.type === "accessory" && to.output !== undefined ? 8 | to.output : 0;
    return [first, second | output, ...instructionBytes(instruction)];
  }
  if (to.type === "accessory" && instruction.type === "output" && to.output === undefined) {
    const output = checked("output", instruction.output, 0, 7, accessoryClause);
    return [bytes[0] as number, (bytes[1] as number) | (instruction.on ? 8 : 0) | output];
  }
  if (to.type === "extended-accessory" && instruction.type === "aspect") {
    return [...bytes, checked("aspect", instruction.aspect, 0, 31, accessoryClause)];
  }
  throw new CvError([
    packetIssue(
      `${instruction.type} is no instruction for this address (${to.type})`,
      undefined,
      accessoryClause,
    ),
  ]);
}

// A packet may join several instructions, but only one CV access or one advanced-operations
// instruction (S-9.2.1, July 2012, section B).
function onlyOneOfAKind(instructions: TrackPacket["instructions"]): void {
  const counted = instructions.filter(
    ({ type, ...rest }) =>
      type === "cv" ||
      type === "cv-short" ||
      type === "restricted-speed" ||
      (type === "speed" && "steps" in rest && rest.steps === 128),
  );
  if (counted.length > 1) {
    throw new CvError([
      packetIssue("a packet has at most one CV access or advanced-operations instruction", undefined, clause),
    ]);
  }
}

/**
 * What a packet on the main says; undoes {@link trackPacket}.
 * @param packet The bytes, error byte included.
 * @param options `steps`: how the receiver reads the one-byte speed instruction, which CV 29 bit 1
 *   decides; 28 unless given.
 * @throws `CvError` for a wrong length, error byte or reserved pattern; it says which.
 * @example
 * import { parseTrackPacket } from "cvset/plan";
 * parseTrackPacket([0x03, 0x3f, 0x82, 0xbe]);
 * // { to: { type: "short", number: 3 }, instructions: [{ type: "speed", steps: 128, forward: true, step: 1 }] }
 */
export function parseTrackPacket(packet: Packet, options: { readonly steps?: 14 | 28 } = {}): TrackPacket {
  checkPacket(packet, 3, 6);
  const { address, length } = parseAddress(packet);
  if (address.type === "idle") {
    if (packet.length !== 3 || packet[1] !== 0) {
      throw new CvError([packetIssue("an idle packet is FF 00 FF", undefined, "S-9.2 (July 2004)")]);
    }
    return { to: address, instructions: [] };
  }
  if (address.type === "accessory") return parseAccessory(packet, address.number);
  if (address.type === "extended-accessory") return parseExtended(packet, address);
  const instructions: Instruction[] = [];
  const end = packet.length - 1;
  let at = length;
  while (at < end) {
    const parsed = parseInstruction(packet, at, options.steps ?? 28);
    instructions.push(parsed.instruction);
    at += parsed.length;
  }
  if (instructions.length === 0) {
    throw new CvError([packetIssue("the length leaves no room for an instruction", packet.length, clause)]);
  }
  if (instructions.length > 1) onlyOneOfAKind(instructions);
  return { to: address, instructions };
}

function parseAccessory(packet: Packet, number: number): TrackPacket {
  const second = packet[1] as number;
  const output = second & 7;
  if (packet.length === 3) {
    return {
      to: { type: "accessory", number },
      instructions: [{ type: "output", output, on: (second & 8) !== 0 }],
    };
  }
  // CDDD = 0000 is the whole decoder, 1DDD one output; the rest is not defined for a CV access.
  if (!(second & 8) && output) badPattern(second, "has CDDD = 0DDD, which no CV access has", accessoryClause);
  const to: PacketAddress =
    second & 8 ? { type: "accessory", number, output } : { type: "accessory", number };
  return { to, instructions: [accessoryCv(packet)] };
}

function parseExtended(packet: Packet, to: PacketAddress): TrackPacket {
  if (packet.length !== 4) return { to, instructions: [accessoryCv(packet)] };
  const aspect = packet[2] as number;
  if (aspect > 31) badPattern(aspect, "is no aspect; those are 000XXXXX", accessoryClause);
  return { to, instructions: [{ type: "aspect", aspect }] };
}

function accessoryCv(packet: Packet): Instruction {
  if (packet.length !== 6) {
    throw new CvError([packetIssue("the length fits no accessory packet", packet.length, accessoryClause)]);
  }
  const { instruction } = parseInstruction(packet, 2, 28);
  if (instruction.type !== "cv") {
    return badPattern(
      packet[2] as number,
      "is no CV access, the only long accessory packet",
      accessoryClause,
    );
  }
  return instruction;
}
