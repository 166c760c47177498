import type { AccessMode, CvAccess } from "./access.js";
import { accessPackets } from "./access.js";
import type { DecoderAddress } from "./address.js";
import { type Packet, packetText } from "./packet.js";
import { factoryResetPacket, pagePresetPacket, resetPacket } from "./service.js";

/** What a part of a sequence is for. */
export type Purpose = "power-on" | "reset" | "command" | "recovery" | "confirm";

/** A packet and how often it is sent, without a pause. */
export interface SequencePart {
  /** What it is for. */
  readonly purpose: Purpose;
  /** The packet: `"7C 10 C4 A8"`. */
  readonly packet: string;
  /** How many times at least. */
  readonly times: number;
  /** An acknowledgement here ends the sequence early, after the parts marked `confirm`. */
  readonly untilAcknowledged?: true;
  /** Sent only when an acknowledgement came. */
  readonly onlyAcknowledged?: true;
}

/** Packets to send one after the other, as data. */
export interface Sequence {
  /** One bits before each packet, at least. */
  readonly preambleBits: number;
  /** The packets, in order. */
  readonly parts: readonly SequencePart[];
}

/** How often packets are repeated for one kind of access. */
export interface Repeats {
  /** Reset packets before. */
  readonly resets: number;
  /** The packets themselves. */
  readonly commands: number;
  /** Packets of recovery time after a write, the command again or reset; or resets after a verify. */
  readonly after: number;
}

/**
 * The least numbers of packets of service mode (S-9.2.3, July 2012, section E): for a write, resets,
 * commands and recovery; for a verify, resets, verifies, and the resets after an acknowledgement. The
 * register modes use the higher of the counts wherever their packets are the same, since a decoder
 * cannot tell them apart.
 * @example
 * import { repeats } from "cvset/plan";
 * repeats.write; // { resets: 3, commands: 5, after: 6 }
 */
export const repeats: Readonly<Record<"write" | "writeRegister1" | "verify" | "verifyRegister", Repeats>> = {
  write: { resets: 3, commands: 5, after: 6 },
  writeRegister1: { resets: 3, commands: 5, after: 10 },
  verify: { resets: 3, commands: 5, after: 1 },
  verifyRegister: { resets: 3, commands: 7, after: 1 },
};

/** Preamble bits of service mode, at least (S-9.2.3, July 2012). */
export const servicePreamble = 20;
/** Preamble bits on the main, at least (S-9.2, July 2004; from memory). */
export const mainPreamble = 14;
/** Packets after power-on before anything else (S-9.2.3, July 2012). */
export const powerOnPackets = 20;
/** Service mode ends this long after the last service-mode packet (S-9.2.3, July 2012). */
export const serviceTimeoutMilliseconds = 20;

const resetText = "00 00 00";

function part(purpose: Purpose, packet: string, times: number): SequencePart {
  return { purpose, packet, times };
}

function writeParts(packet: Packet, counts: Repeats): SequencePart[] {
  const text = packetText(packet);
  return [
    part("reset", resetText, counts.resets),
    part("command", text, counts.commands),
    // Command packets would do as well; resets are what a decoder least misreads.
    part("recovery", resetText, counts.after),
  ];
}

function verifyParts(packet: Packet, counts: Repeats): SequencePart[] {
  return [
    part("reset", resetText, counts.resets),
    { ...part("command", packetText(packet), counts.commands), untilAcknowledged: true },
    { ...part("confirm", resetText, counts.after), onlyAcknowledged: true },
  ];
}

/** Whether a packet is an access to register 1, which address-only mode shares. */
function isRegister1(packet: Packet): boolean {
  return packet.length === 3 && ((packet[0] as number) & 7) === 0;
}

/**
 * Everything to send for one access to a CV: packets with their repeats, preamble and recovery time. On
 * the main two identical packets follow one another, with nothing else to that decoder between them
 * (S-9.2.1, July 2012).
 * @param mode The mode.
 * @param access CV 1-1024, value 0-255, bit 0-7.
 * @param address Whom to talk to; on the main only.
 * @throws `CvError` as {@link accessPackets}.
 * @example
 * import { accessSequence } from "cvset/plan";
 * const { preambleBits, parts } = accessSequence("direct", { operation: "write", cv: 17, value: 196 });
 * [preambleBits, ...parts.map((part) => `${part.times} x ${part.packet}`)];
 * // [20, "3 x 00 00 00", "5 x 7C 10 C4 A8", "6 x 00 00 00"]
 */
export function accessSequence(mode: AccessMode, access: CvAccess, address?: DecoderAddress): Sequence {
  const packets = accessPackets(mode, access, address);
  if (mode === "main") return mainSequence(packets);
  const parts: SequencePart[] = [];
  packets.forEach((packet, i) => {
    const last = i === packets.length - 1;
    const counted = isRegister1(packet);
    if (last && access.operation === "verify") {
      parts.push(...verifyParts(packet, mode === "direct" ? repeats.verify : repeats.verifyRegister));
    } else parts.push(...writeParts(packet, counted ? repeats.writeRegister1 : repeats.write));
  });
  return { preambleBits: servicePreamble, parts };
}

/**
 * Packets on the main, each sent twice in a row, as a CV access needs it (S-9.2.1, July 2012).
 * @param packets The packets, in order.
 * @example
 * import { mainSequence } from "cvset/plan";
 * mainSequence([[0, 0, 0]]);
 * // { preambleBits: 14, parts: [{ purpose: "command", packet: "00 00 00", times: 2 }] }
 */
export function mainSequence(packets: readonly Packet[]): Sequence {
  return {
    preambleBits: mainPreamble,
    parts: packets.map((packet) => part("command", packetText(packet), 2)),
  };
}

/**
 * What comes before the first access of a mode: 20 packets after power-on, and in the register modes the
 * page preset, so that registers 1-4 mean CV 1-4 (S-9.2.3, July 2012, section E; that the page preset
 * belongs here is from memory). Empty on the main.
 * @param mode The mode.
 * @example
 * import { openingSequence } from "cvset/plan";
 * openingSequence("direct").parts; // [{ purpose: "power-on", packet: "00 00 00", times: 20 }]
 */
export function openingSequence(mode: AccessMode): Sequence {
  if (mode === "main") return { preambleBits: mainPreamble, parts: [] };
  const preset = mode === "register" || mode === "address-only";
  return {
    preambleBits: servicePreamble,
    parts: [
      part("power-on", packetText(resetPacket), powerOnPackets),
      ...(preset ? writeParts(pagePresetPacket, repeats.write) : []),
    ],
  };
}

/**
 * The factory reset request of service mode (S-9.2.3, July 2012, section E). Afterwards the decoder needs time,
 * and often a power cycle (common practice).
 * @example
 * import { factoryResetSequence } from "cvset/plan";
 * factoryResetSequence().parts.map(({ times, packet }) => `${times} x ${packet}`);
 * // ["3 x 00 00 00", "5 x 7F 08 77", "6 x 00 00 00"]
 */
export function factoryResetSequence(): Sequence {
  return { preambleBits: servicePreamble, parts: writeParts(factoryResetPacket, repeats.write) };
}
