// Bytes and text

export { type Packet, packetFromText, packetText } from "./packet.js";

// Packets on the main: speed, functions, consist, CVs, accessories

export type { PacketAddress } from "./address-bytes.js";
export type { Instruction } from "./instruction.js";
export { parseTrackPacket, type TrackPacket, trackPacket } from "./track-packet.js";

// Packets of service mode

export { parseServicePacket, type ServiceInstruction, servicePacket } from "./service-packet.js";

// Access to CVs in any mode

export { type AccessMode, accessModes } from "./access-mode.js";
export { accessPackets, type CvAccess, parseAccess } from "./cv-access.js";

// What to send, and how often

export {
  accessSequence,
  closingSequence,
  factoryResetSequence,
  openingSequence,
  type Sequence,
  type SequencePart,
} from "./sequence.js";

// Reading by verifies

export { directModeTest, nextInReading, type Reading } from "./reading.js";
