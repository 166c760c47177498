import { lastCv } from "../cv/name.js";
import { badPattern, checked, checkPacket, type Packet } from "./packet.js";

/** Whether a CV is changed or asked for. */
export type Operation = "write" | "verify";

/** One instruction of service mode (S-9.2.3, July 2012, section E). */
export type ServiceInstruction =
  /** All decoders stop and forget; it also opens service mode. */
  | { readonly type: "reset" }
  /** Direct mode: a whole byte, or one bit when `bit` (0-7) is there; then `value` is 0 or 1. */
  | {
      readonly type: "direct";
      readonly operation: Operation;
      readonly cv: number;
      readonly value: number;
      readonly bit?: number;
    }
  /** Physical register 1-8; address-only mode and paged mode are made of these too. */
  | {
      readonly type: "register";
      readonly operation: Operation;
      readonly register: number;
      readonly value: number;
    };

const clause = "S-9.2.3 (July 2012), section E";

/**
 * Reset packet (S-9.2.3, July 2012; S-9.2, July 2004).
 * @example
 * import { resetPacket, packetText } from "cvset/plan";
 * packetText(resetPacket); // "00 00 00"
 */
export const resetPacket: Packet = [0, 0, 0];
/**
 * Idle packet (S-9.2, July 2004).
 * @example
 * import { idlePacket, packetText } from "cvset/plan";
 * packetText(idlePacket); // "FF 00 FF"
 */
export const idlePacket: Packet = [0xff, 0, 0xff];
/**
 * Page preset: writes page 1 to the page register (S-9.2.3, July 2012, section E).
 * @example
 * import { pagePresetPacket, packetText } from "cvset/plan";
 * packetText(pagePresetPacket); // "7D 01 7C"
 */
export const pagePresetPacket: Packet = [0x7d, 0x01, 0x7c];
/**
 * Factory reset: writes 8 to register 8, which is CV 8 (S-9.2.3, July 2012, section E).
 * @example
 * import { factoryResetPacket, packetText } from "cvset/plan";
 * packetText(factoryResetPacket); // "7F 08 77"
 */
export const factoryResetPacket: Packet = [0x7f, 0x08, 0x77];

/**
 * The packet of a service-mode instruction (S-9.2.3, July 2012, section E).
 * @param instruction What to say; CV 1-1024, register 1-8, value 0-255, bit 0-7.
 * @throws `CvError` when a number is out of its range.
 * @example
 * import { packetText, servicePacket } from "cvset/plan";
 * packetText(servicePacket({ type: "direct", operation: "write", cv: 17, value: 196 })); // "7C 10 C4 A8"
 */
export function servicePacket(instruction: ServiceInstruction): Packet {
  if (instruction.type === "reset") return resetPacket;
  const { operation, value, type } = instruction;
  const write = operation === "write";
  if (type === "register") {
    const register = checked("register", instruction.register, 1, 8, clause);
    const first = 0x70 | (write ? 8 : 0) | (register - 1);
    checked("value", value, 0, 255, clause);
    return [first, value, first ^ value];
  }
  const address = checked("cv", instruction.cv, 1, lastCv, clause) - 1;
  const bit = instruction.bit;
  const code = bit === undefined ? (write ? 0x7c : 0x74) : 0x78;
  const data =
    bit === undefined
      ? checked("value", value, 0, 255, clause)
      : bitData(write ? 0x10 : 0, bit, value, clause);
  const first = code | (address >> 8);
  const second = address & 255;
  return [first, second, data, first ^ second ^ data];
}

/** The data byte of a bit instruction: 111KDBBB, K being `command` (0 or 16). */
export function bitData(command: number, bit: number, value: number, where: string): number {
  return 0xe0 | command | (checked("value", value, 0, 1, where) << 3) | checked("bit", bit, 0, 7, where);
}

/**
 * The instruction of a service-mode packet; undoes {@link servicePacket}. The factory reset and page
 * preset packets are register writes, and come out as such. An address-only packet has the bytes of an
 * access to register 1.
 * @param packet The bytes, error byte included.
 * @throws `CvError` for a wrong length, error byte or reserved pattern; it says which.
 * @example
 * import { parseServicePacket } from "cvset/plan";
 * parseServicePacket([0x7c, 0x10, 0xc4, 0xa8]);
 * // { type: "direct", operation: "write", cv: 17, value: 196 }
 */
export function parseServicePacket(packet: Packet): ServiceInstruction {
  checkPacket(packet, 3, 4);
  const first = packet[0] as number;
  const second = packet[1] as number;
  if (first === 0 && second === 0 && packet.length === 3) return { type: "reset" };
  if (first >> 4 !== 7) {
    badPattern(
      first,
      "begins no service-mode packet; those begin with 70 to 7F, or are the reset packet",
      clause,
    );
  }
  if (packet.length === 3) {
    return {
      type: "register",
      operation: first & 8 ? "write" : "verify",
      register: (first & 7) + 1,
      value: second,
    };
  }
  const cv = ((first & 3) << 8) + second + 1;
  const data = packet[2] as number;
  switch (first & 12) {
    case 4:
      return { type: "direct", operation: "verify", cv, value: data };
    case 12:
      return { type: "direct", operation: "write", cv, value: data };
    case 8: {
      if (data >> 5 !== 7) badPattern(data, "is no bit instruction; those are 111KDBBB", clause);
      const operation = data & 16 ? "write" : "verify";
      return { type: "direct", operation, cv, value: (data >> 3) & 1, bit: data & 7 };
    }
    default:
      return badPattern(first, "has the instruction code CC = 00, which is reserved", clause);
  }
}

/** Whether a packet opens or continues service mode by its first byte, 0111xxxx. */
export function looksLikeService(packet: Packet): boolean {
  return (packet[0] as number) >> 4 === 7 && (packet.length === 3 || packet.length === 4);
}
