import { need } from "../cv/argument.js";
import type { AddressLike } from "../standard/address-in-use.js";
import { type AccessMode, aMode } from "./access-mode.js";
import { accessPackets, type CvAccess } from "./cv-access.js";
import { type Packet, packetText } from "./packet.js";
import { factoryResetPacket, pagePresetPacket, resetPacket } from "./service-packet.js";

/** A packet, and how often it is sent without a pause. */
export interface SequencePart {
  /** What it is for. */
  readonly purpose: "power-on" | "reset" | "command" | "recovery" | "confirm";
  /** The packet as text: `"7C 10 C4 A8"`. */
  readonly packet: string;
  /** How many times, at least. */
  readonly times: number;
  /** An acknowledgement here ends the sequence early, after the parts with `onlyAcknowledged`. */
  readonly untilAcknowledged?: true;
  /** Sent only when there was an acknowledgement. */
  readonly onlyAcknowledged?: true;
  /**
   * An acknowledgement of these packets is the answer to the access: the decoder obeyed, or holds the value.
   * In paged mode the write to the page register is acknowledged too, and answers nothing.
   */
  readonly answers?: true;
}

/** Packets to send one after the other. */
export interface Sequence {
  /** One bits before each packet, at least. */
  readonly preambleBits: number;
  /** The packets, in order. */
  readonly parts: readonly SequencePart[];
}

/** How often packets are repeated for one kind of access. */
interface Repeats {
  /** Reset packets before. */
  readonly resets: number;
  /** The packets themselves. */
  readonly commands: number;
  /** Resets of recovery time after a write, or after the acknowledgement of a verify. */
  readonly after: number;
}

/**
 * The least numbers of packets of service mode (S-9.2.3, July 2012, section E). The register modes use the
 * higher of the counts wherever their packets are the same, since a decoder cannot tell them apart.
 */
const repeats = {
  write: { resets: 3, commands: 5, after: 6 },
  writeRegister1: { resets: 3, commands: 5, after: 10 },
  verify: { resets: 3, commands: 5, after: 1 },
  verifyRegister: { resets: 3, commands: 7, after: 1 },
} as const satisfies Record<string, Repeats>;

/** Preamble bits of service mode, at least (S-9.2.3 (July 2012), preamble). */
const servicePreamble = 20;
/** Preamble bits on the main, at least (S-9.2 (July 2004), general packet format). */
const mainPreamble = 14;
/** Packets after power-on before anything else (S-9.2.3 (July 2012), power-on cycle). */
const powerOnPackets = 20;
/** Service mode ends this long after the last reset or service-mode packet (S-9.2.3, July 2012, section C). */
export const serviceTimeoutMilliseconds = 20;

const resetText = /* @__PURE__ */ packetText(resetPacket);

function part(purpose: SequencePart["purpose"], packet: string, times: number): SequencePart {
  return { purpose, packet, times };
}

function writeParts(packet: Packet, counts: Repeats, answers: boolean): SequencePart[] {
  const command = part("command", packetText(packet), counts.commands);
  return [
    part("reset", resetText, counts.resets),
    answers ? { ...command, answers } : command,
    // Command packets would do as well; resets are what a decoder least misreads.
    part("recovery", resetText, counts.after),
  ];
}

function verifyParts(packet: Packet, counts: Repeats): SequencePart[] {
  return [
    part("reset", resetText, counts.resets),
    { ...part("command", packetText(packet), counts.commands), untilAcknowledged: true, answers: true },
    { ...part("confirm", resetText, counts.after), onlyAcknowledged: true },
  ];
}

/** Whether a packet is an access to register 1, which address-only mode shares. */
function isRegister1(packet: Packet): boolean {
  return packet.length === 3 && ((packet[0] as number) & 7) === 0;
}

/**
 * Everything to send for one access to a CV: packets with their repeats, preamble and recovery time. On
 * the main each packet is sent twice, and nothing else to that decoder may come between. The part with
 * `answers` is the one whose acknowledgement is the decoder's answer. In paged mode the page register is left
 * at the page of the CV: {@link closingSequence} sets it back.
 *
 * S-9.2.3 (July 2012), section E; S-9.2.1 (July 2012), section C.
 * @param mode The mode.
 * @param access CV 1-1024, value 0-255, bit 0-7.
 * @param address The decoder's address; only on the main, and needed there.
 * @throws `CvError` as {@link accessPackets}.
 * @example
 * import { accessSequence } from "cvset/packets";
 * const { preambleBits, parts } = accessSequence("direct", { operation: "write", cv: 17, value: 196 });
 * [preambleBits, ...parts.map((part) => `${part.times} x ${part.packet}`)];
 * // [20, "3 x 00 00 00", "5 x 7C 10 C4 A8", "6 x 00 00 00"]
 */
export function accessSequence(mode: AccessMode, access: CvAccess, address?: AddressLike): Sequence {
  const packets = accessPackets(mode, access, address);
  if (mode === "main") {
    const twice = packets.map((packet) => part("command", packetText(packet), 2));
    return { preambleBits: mainPreamble, parts: twice.map((each) => ({ ...each, answers: true })) };
  }
  const parts: SequencePart[] = [];
  packets.forEach((packet, i) => {
    const last = i === packets.length - 1;
    if (last && access.operation === "verify") {
      parts.push(...verifyParts(packet, mode === "direct" ? repeats.verify : repeats.verifyRegister));
    } else {
      parts.push(...writeParts(packet, isRegister1(packet) ? repeats.writeRegister1 : repeats.write, last));
    }
  });
  return { preambleBits: servicePreamble, parts };
}

/**
 * What comes before the first access of a mode: 20 packets after power-on, and in the register modes the
 * page preset, so that registers 1-4 mean CV 1-4. Empty on the main. S-9.2.3 (July 2012) lets direct and paged
 * mode begin with the page preset too; it is left out there, since neither depends on the page before.
 *
 * S-9.2.3 (July 2012), section E.
 * @param mode The mode.
 * @example
 * import { openingSequence } from "cvset/packets";
 * openingSequence("direct").parts; // [{ purpose: "power-on", packet: "00 00 00", times: 20 }]
 */
export function openingSequence(mode: AccessMode): Sequence {
  need(aMode, mode, "mode");
  if (mode === "main") return { preambleBits: mainPreamble, parts: [] };
  const preset = mode === "register" || mode === "address-only";
  return {
    preambleBits: servicePreamble,
    parts: [part("power-on", resetText, powerOnPackets), ...(preset ? pagePreset() : [])],
  };
}

function pagePreset(): SequencePart[] {
  return writeParts(pagePresetPacket, repeats.write, false);
}

/**
 * What comes after the last access of a mode: in paged mode the page preset, since the page register should
 * be left at 1, so that registers 1-4 mean CV 1-4 for whoever comes next. Empty in the other modes.
 *
 * S-9.2.3 (July 2012), section E.
 * @param mode The mode.
 * @example
 * import { closingSequence } from "cvset/packets";
 * closingSequence("paged").parts.map(({ times, packet }) => `${times} x ${packet}`);
 * // ["3 x 00 00 00", "5 x 7D 01 7C", "6 x 00 00 00"]
 */
export function closingSequence(mode: AccessMode): Sequence {
  need(aMode, mode, "mode");
  return {
    preambleBits: mode === "main" ? mainPreamble : servicePreamble,
    parts: mode === "paged" ? pagePreset() : [],
  };
}

/**
 * The request for a factory reset, in service mode, after the page preset. The decoder rewrites its CVs during
 * the power-on cycles that follow, and CV 8 holds 255 until all are back at their factory values: switch the
 * power off and on, and verify CV 8 = 255 until that is no longer acknowledged.
 *
 * S-9.2.3 (July 2012), section E.
 * @example
 * import { factoryResetSequence } from "cvset/packets";
 * factoryResetSequence().parts.map(({ times, packet }) => `${times} x ${packet}`);
 * // ["3 x 00 00 00", "5 x 7D 01 7C", "6 x 00 00 00", "3 x 00 00 00", "5 x 7F 08 77", "6 x 00 00 00"]
 */
export function factoryResetSequence(): Sequence {
  return {
    preambleBits: servicePreamble,
    parts: [...pagePreset(), ...writeParts(factoryResetPacket, repeats.write, true)],
  };
}
