import { CvError, type Issue } from "../cv/index.js";
import { lastCv, nameOf } from "../cv/name.js";
import { addressBytes, type DecoderAddress } from "./address.js";
import { cvBytes } from "./instruction.js";
import { checked, type Packet, packetIssue, withErrorByte } from "./packet.js";
import { type Operation, parseServicePacket, servicePacket } from "./service.js";
import { parseTrackPacket, trackPacket } from "./track.js";

/**
 * How CVs are reached: the four methods of service mode (S-9.2.3, July 2012, section E), or operations
 * mode, on the main (S-9.2.1, July 2012).
 */
export type AccessMode = "direct" | "address-only" | "register" | "paged" | "main";

/**
 * The modes, the most capable of service mode first.
 * @example
 * import { accessModes } from "cvset/plan";
 * accessModes; // ["direct", "paged", "register", "address-only", "main"]
 */
export const accessModes: readonly AccessMode[] = ["direct", "paged", "register", "address-only", "main"];

/** One question to a CV, or one write; a single bit when `bit` (0-7) is there, then `value` is 0 or 1. */
export interface CvAccess {
  /** Whether the CV is changed or asked for. */
  readonly operation: Operation;
  /** 1-1024; a CV of an index page goes by its number once CV 31 and 32 select the page. */
  readonly cv: number;
  /** The byte, 0-255; of a single bit, 0 or 1. */
  readonly value: number;
  /** Which bit, 0-7; the whole byte without it. */
  readonly bit?: number;
}

const clause = "S-9.2.3 (July 2012), section E";

// Register n holds CV registers[n - 1]; 0 is the page register (S-9.2.3, July 2012, section E).
const registers = [1, 2, 3, 4, 29, 0, 7, 8] as const;

/** The register of a CV in physical register mode, or 0. */
export function registerOf(cv: number): number {
  return registers.findIndex((held) => held === cv && held !== 0) + 1;
}

/** The CV of a register while page 1 is set; 0 for the page register. */
export function cvOfRegister(register: number): number {
  return registers[register - 1] ?? 0;
}

/** The page register's value and the register (1-4) of a CV in paged mode (S-9.2.3, section E). */
export function pageAndRegister(cv: number): { page: number; register: number } {
  // A page number is one byte: page 256, CV 1021-1024, is sent as 0 (from memory).
  return { page: (((cv - 1) >> 2) + 1) & 255, register: ((cv - 1) & 3) + 1 };
}

/** Whether a mode reaches a CV (1-1024). */
export function reaches(mode: AccessMode, cv: number): boolean {
  if (mode === "address-only") return cv === 1;
  return mode === "register" ? registerOf(cv) > 0 : true;
}

const reachable: Partial<Record<AccessMode, string>> = {
  "address-only": "CV 1 only",
  register: "CV 1, 2, 3, 4, 7, 8 and 29 only",
};

/** The issue that says that a mode cannot reach a CV. */
export function outOfReach(mode: AccessMode, key: number): Issue {
  return {
    code: "content",
    path: "",
    places: [{ cv: nameOf(key), mask: 255 }],
    expected: `is out of reach: ${mode} mode reaches ${reachable[mode]}; use direct or paged mode`,
    clause,
  };
}

/**
 * The packets of one access to a CV, in the order of sending: two in paged mode (page register, then
 * data register), else one. How often each is repeated is the matter of {@link accessSequence}.
 * @param mode The mode.
 * @param access CV 1-1024, value 0-255, bit 0-7.
 * @param address Whom to talk to; on the main only, and needed there.
 * @throws `CvError` when a number is out of range, the mode cannot reach the CV or cannot handle
 *   single bits, or the address is not there.
 * @example
 * import { accessPackets, packetText } from "cvset/plan";
 * accessPackets("paged", { operation: "write", cv: 65, value: 7 }).map(packetText);
 * // ["7D 11 6C", "78 07 7F"]
 */
export function accessPackets(mode: AccessMode, access: CvAccess, address?: DecoderAddress): Packet[] {
  const { operation, value, bit } = access;
  if (mode === "direct") return [servicePacket({ type: "direct", ...access })];
  if (mode === "main") {
    if (!address) throw new CvError([packetIssue("a packet on the main needs an address")]);
    if (address.type === "short" || address.type === "long") {
      // Nothing to check but the numbers: this is the road that every plan takes.
      const bytes = addressBytes(address);
      bytes.push(...cvBytes({ type: "cv", ...access }));
      return [withErrorByte(bytes)];
    }
    return [trackPacket({ to: address, instructions: [{ type: "cv", ...access }] })];
  }
  if (bit !== undefined) {
    throw new CvError([packetIssue(`${mode} mode has no single-bit access`, undefined, clause)]);
  }
  const cv = checked("cv", access.cv, 1, lastCv, clause);
  if (mode === "paged") {
    const { page, register } = pageAndRegister(cv);
    return [
      servicePacket({ type: "register", operation: "write", register: 6, value: page }),
      servicePacket({ type: "register", operation, register, value }),
    ];
  }
  if (!reaches(mode, cv)) throw new CvError([outOfReach(mode, cv)]);
  if (mode === "address-only") checked("value", value, 0, 127, clause);
  return [servicePacket({ type: "register", operation, register: registerOf(cv), value })];
}

/**
 * The access that packets stand for; undoes {@link accessPackets}.
 * @param mode The mode.
 * @param packets The packets of one access.
 * @throws `CvError` when a packet is broken, or is none of this mode.
 * @example
 * import { parseAccess } from "cvset/plan";
 * parseAccess("paged", [[0x7d, 0x11, 0x6c], [0x78, 0x07, 0x7f]]);
 * // { operation: "write", cv: 65, value: 7 }
 */
export function parseAccess(mode: AccessMode, packets: readonly Packet[]): CvAccess {
  const [first, second, ...more] = packets;
  if (!first || more.length || (second !== undefined) !== (mode === "paged")) {
    throw new CvError([packetIssue(`an access in ${mode} mode has ${mode === "paged" ? 2 : 1} packets`)]);
  }
  if (mode === "main") {
    const { instructions } = parseTrackPacket(first);
    const [instruction] = instructions;
    if (instruction?.type === "cv" && instructions.length === 1) return accessOf(instruction);
    throw new CvError([packetIssue("this is no long-form CV access")]);
  }
  const instruction = parseServicePacket(first);
  if (mode === "direct") {
    if (instruction.type === "direct") return accessOf(instruction);
  } else if (instruction.type === "register") {
    if (second) return pagedAccess(instruction, parseServicePacket(second));
    const cv = mode === "address-only" && instruction.register > 1 ? 0 : cvOfRegister(instruction.register);
    if (cv > 0 && !(mode === "address-only" && instruction.value > 127)) {
      return { operation: instruction.operation, cv, value: instruction.value };
    }
  }
  throw new CvError([packetIssue(`this is no CV access of ${mode} mode`, undefined, clause)]);
}

function accessOf({ operation, cv, value, bit }: CvAccess): CvAccess {
  return bit === undefined ? { operation, cv, value } : { operation, cv, value, bit };
}

function pagedAccess(
  page: Extract<ReturnType<typeof parseServicePacket>, { type: "register" }>,
  data: ReturnType<typeof parseServicePacket>,
): CvAccess {
  if (page.register !== 6 || page.operation !== "write") {
    throw new CvError([
      packetIssue("the first packet must write the page register (register 6)", undefined, clause),
    ]);
  }
  if (data.type !== "register" || data.register > 4) {
    throw new CvError([packetIssue("the second packet must use a data register, 1 to 4", undefined, clause)]);
  }
  return { operation: data.operation, cv: cvOnPage(page.value, data.register), value: data.value };
}

/** The CV behind a data register (1-4) while the page register holds `page`. */
export function cvOnPage(page: number, register: number): number {
  return ((page === 0 ? 256 : page) - 1) * 4 + register;
}
