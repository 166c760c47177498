import { aText, need, objectOf, oneOf } from "../cv/argument.js";
import { notAnOption } from "../cv/faults.js";
import { CvError, fault } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { badAccessCode, badPattern, checked, notABitInstruction } from "./faults.js";
import { aPacket, checkPacket, type Packet } from "./packet.js";

const notService = /* @__PURE__ */ fault(
  "service-first-byte",
  "{byte:text} begins no service-mode packet; they begin with 70 to 7F, and the reset packet is 00 00 00",
);

/** One instruction of service mode (S-9.2.3, July 2012, section E). */
export type ServiceInstruction =
  /** The reset packet: all decoders stop, and clear speed and functions. It opens service mode. */
  | { readonly kind: "reset" }
  /** Direct mode: a whole byte, or one bit when `bit` (0-7) is given; then `value` is 0 or 1. */
  | {
      readonly kind: "direct";
      readonly operation: "write" | "verify";
      readonly cv: number;
      readonly value: number;
      readonly bit?: number;
    }
  /** Physical register 1-8. Address-only mode and paged mode use registers too. */
  | {
      readonly kind: "register";
      readonly operation: "write" | "verify";
      readonly register: number;
      readonly value: number;
    };

const source = "S-9.2.3 (July 2012), section E";

/** Reset packet (S-9.2.3 (July 2012), section E; S-9.2 (July 2004), reset packet). */
export const resetPacket: Packet = /* @__PURE__ */ Object.freeze([0, 0, 0]);
/** Page preset: writes page 1 to the page register (S-9.2.3, July 2012, section E). */
export const pagePresetPacket: Packet = /* @__PURE__ */ Object.freeze([0x7d, 0x01, 0x7c]);
/** Factory reset: writes 8 to register 8, which is CV 8 (S-9.2.3, July 2012, section E). */
export const factoryResetPacket: Packet = /* @__PURE__ */ Object.freeze([0x7f, 0x08, 0x77]);

const anInstruction = /* @__PURE__ */ objectOf({
  kind: aText,
  "operation?": /* @__PURE__ */ oneOf("write", "verify"),
});

/**
 * The packet of a service-mode instruction.
 *
 * S-9.2.3 (July 2012), section E. The reset packet is `{ kind: "reset" }`; page preset and factory reset are
 * register writes.
 * @param instruction CV 1-1024, register 1-8, value 0-255, bit 0-7.
 * @throws `CvError` when a number is out of its range.
 * @example
 * import { packetText, servicePacket } from "cvset/packets";
 * packetText(servicePacket({ kind: "direct", operation: "write", cv: 17, value: 196 })); // "7C 10 C4 A8"
 * packetText(servicePacket({ kind: "reset" })); // "00 00 00"
 */
export function servicePacket(instruction: ServiceInstruction): Packet {
  need(anInstruction, instruction, "instruction");
  if (instruction.kind === "reset") return resetPacket;
  const { operation, value } = instruction;
  const write = operation === "write";
  if (instruction.kind === "register") {
    const register = checked("register", instruction.register, 1, 8, source);
    const first = 0x70 | (write ? 8 : 0) | (register - 1);
    checked("value", value, 0, 255, source);
    return [first, value, first ^ value];
  }
  if (instruction.kind !== "direct") {
    const { kind } = instruction as { kind: unknown };
    throw new CvError([
      notAnOption({ found: kind, allowed: ["reset", "direct", "register"] }, { path: "kind" }),
    ]);
  }
  const address = checked("cv", instruction.cv, 1, lastCv, source) - 1;
  const { bit } = instruction;
  const code = bit === undefined ? (write ? 0x7c : 0x74) : 0x78;
  const data =
    bit === undefined
      ? checked("value", value, 0, 255, source)
      : bitData(write ? 0x10 : 0, bit, value, source);
  const first = code | (address >> 8);
  const second = address & 255;
  return [first, second, data, first ^ second ^ data];
}

/** The data byte of a bit instruction: 111KDBBB, K being `command` (0 or 16). */
export function bitData(command: number, bit: number, value: number, source: string): number {
  return 0xe0 | command | (checked("value", value, 0, 1, source) << 3) | checked("bit", bit, 0, 7, source);
}

/**
 * The instruction of a service-mode packet; the reverse of {@link servicePacket}. An address-only packet has
 * the bytes of an access to register 1, and is read as one.
 *
 * S-9.2.3 (July 2012), section E.
 * @param packet The bytes, error byte included.
 * @throws `CvError` for a wrong length, error byte or reserved pattern.
 * @example
 * import { parseServicePacket } from "cvset/packets";
 * parseServicePacket([0x7c, 0x10, 0xc4, 0xa8]);
 * // { kind: "direct", operation: "write", cv: 17, value: 196 }
 */
export function parseServicePacket(packet: Packet): ServiceInstruction {
  need(aPacket, packet, "packet");
  checkPacket(packet, 3, 4);
  const first = packet[0] as number;
  const second = packet[1] as number;
  if (first === 0 && second === 0 && packet.length === 3) return { kind: "reset" };
  if (first >> 4 !== 7) badPattern(notService, first, source);
  if (packet.length === 3) {
    return {
      kind: "register",
      operation: first & 8 ? "write" : "verify",
      register: (first & 7) + 1,
      value: second,
    };
  }
  const cv = ((first & 3) << 8) + second + 1;
  const data = packet[2] as number;
  switch (first & 12) {
    case 4:
      return { kind: "direct", operation: "verify", cv, value: data };
    case 12:
      return { kind: "direct", operation: "write", cv, value: data };
    case 8: {
      if (data >> 5 !== 7) badPattern(notABitInstruction, data, source);
      const operation = data & 16 ? "write" : "verify";
      return { kind: "direct", operation, cv, value: (data >> 3) & 1, bit: data & 7 };
    }
    default:
      return badPattern(badAccessCode, first, source);
  }
}

/** Whether a packet opens or continues service mode by its first byte, 0111xxxx. */
export function looksLikeService(packet: Packet): boolean {
  return (packet[0] as number) >> 4 === 7 && (packet.length === 3 || packet.length === 4);
}
