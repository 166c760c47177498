import { aList, anyNumber, need, objectOf, oneOf } from "../cv/argument.js";
import { missingValue } from "../cv/faults.js";
import { CvError, fault } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { type AddressLike, toAddress } from "../standard/address-in-use.js";
import {
  type AccessMode,
  aMode,
  cvOfRegister,
  cvOnPage,
  hasBits,
  highestValue,
  pageAndRegister,
  reaches,
  registerOf,
  unreachable,
} from "./access-mode.js";
import { accessoryBytes, isAccessory } from "./accessory-packet.js";
import { addressBytes, mainAccessSource } from "./address-bytes.js";
import { checked, packetError } from "./faults.js";
import { cvBytes } from "./instruction-bytes.js";
import { type Packet, withErrorByte } from "./packet.js";
import { parseServicePacket, type ServiceInstruction, servicePacket } from "./service-packet.js";
import { parseTrackPacket } from "./track-packet.js";

const noBits = /* @__PURE__ */ fault("no-bit-access", "{mode:text} mode has no access to single bits");
const consistAccess = /* @__PURE__ */ fault(
  "consist-access",
  "a decoder obeys no CV access at the address of its consist; give its own address",
);
const accessToAll = /* @__PURE__ */ fault(
  "access-to-all",
  "a CV access goes to one decoder, and this is the address of several; give the decoder's own address",
);
const packetCount = /* @__PURE__ */ fault(
  "packet-count",
  "expected the packets of one access in {mode:text} mode, which are {expected}, got {found}",
);
const notThisMode = /* @__PURE__ */ fault("packet-mode", "this is not a CV access of {mode:text} mode");
const noPageWrite = /* @__PURE__ */ fault(
  "page-write",
  "the first packet must write the page register (register 6)",
);
const noDataRegister = /* @__PURE__ */ fault(
  "data-register",
  "the second packet must use a data register, 1 to 4",
);

/** One write or verify of a CV; of a single bit when `bit` is given, then `value` is 0 or 1. */
export interface CvAccess {
  /** Whether the CV is written, or compared with the value. */
  readonly operation: "write" | "verify";
  /** 1-1024; a CV of an index page by its number, once CV 31 and 32 select the page. */
  readonly cv: number;
  /** The byte, 0-255; of a single bit, 0 or 1. */
  readonly value: number;
  /** Which bit, 0-7; the whole byte without it. */
  readonly bit?: number;
}

const source = "S-9.2.3 (July 2012), section E";

/** Throws for an address at which no decoder obeys a CV access, or more than one could. */
export function refuseShared(address: { readonly kind: string }, path: string): void {
  if (address.kind === "consist") {
    throw new CvError([consistAccess({}, { path, source: mainAccessSource })]);
  }
  if (address.kind === "broadcast") throw new CvError([accessToAll({}, { path })]);
}

/** One access to a CV; its numbers are looked at where the packet is made. */
export const anAccess = /* @__PURE__ */ objectOf({
  operation: /* @__PURE__ */ oneOf("write", "verify"),
  cv: anyNumber,
  value: anyNumber,
  "bit?": anyNumber,
});

/**
 * The packets of one access to a CV, in the order of sending: two in paged mode (page register, then data
 * register), else one. {@link accessSequence} also gives how often each is sent.
 *
 * S-9.2.3 (July 2012), section E; S-9.2.1 (July 2012), section C.
 * @param mode The mode.
 * @param access CV 1-1024, value 0-255, bit 0-7.
 * @param address The decoder's address; only on the main, and needed there.
 * @throws `CvError` when a number is out of range, the mode does not reach the CV or has no access to single
 *   bits, or the address is missing, bad, or that of several decoders.
 * @example
 * import { accessPackets, packetText } from "cvset/packets";
 * accessPackets("paged", { operation: "write", cv: 65, value: 7 }).map(packetText);
 * // ["7D 11 6C", "78 07 7F"]
 */
export function accessPackets(mode: AccessMode, access: CvAccess, address?: AddressLike): Packet[] {
  need(aMode, mode, "mode");
  need(anAccess, access, "access");
  const { operation, value, bit } = access;
  if (mode === "direct") return [servicePacket({ ...access, kind: "direct" })];
  if (mode === "main") {
    if (address === undefined) throw new CvError([missingValue({}, { path: "address" })]);
    const to = toAddress(address);
    refuseShared(to, "address");
    const bytes = addressBytes(to, "address");
    return [
      withErrorByte(
        isAccessory(to)
          ? accessoryBytes(to, bytes, [{ ...access, kind: "cv" }])
          : [...bytes, ...cvBytes(access)],
      ),
    ];
  }
  if (bit !== undefined && !hasBits(mode)) throw packetError(noBits, { mode }, source);
  const cv = checked("cv", access.cv, 1, lastCv, source);
  if (mode === "paged") {
    const { page, register } = pageAndRegister(cv);
    return [
      servicePacket({ kind: "register", operation: "write", register: 6, value: page }),
      servicePacket({ kind: "register", operation, register, value }),
    ];
  }
  const register = reaches(mode, cv) ? registerOf(cv) : undefined;
  if (register === undefined) throw new CvError([unreachable(mode, cv)]);
  checked("value", value, 0, highestValue(mode), source);
  return [servicePacket({ kind: "register", operation, register, value })];
}

/**
 * The access that packets stand for; the reverse of {@link accessPackets}.
 *
 * S-9.2.3 (July 2012), section E; S-9.2.1 (July 2012), section C.
 * @param mode The mode.
 * @param packets The packets of one access.
 * @throws `CvError` when a packet is broken, or is not a CV access of this mode.
 * @example
 * import { parseAccess } from "cvset/packets";
 * parseAccess("paged", [[0x7d, 0x11, 0x6c], [0x78, 0x07, 0x7f]]);
 * // { operation: "write", cv: 65, value: 7 }
 */
export function parseAccess(mode: AccessMode, packets: readonly Packet[]): CvAccess {
  need(aMode, mode, "mode");
  need(aList, packets, "packets");
  const [first, second, ...more] = packets;
  const expected = mode === "paged" ? 2 : 1;
  if (!first || more.length || packets.length !== expected) {
    throw packetError(packetCount, { mode, expected, found: packets.length });
  }
  if (mode === "main") {
    const { instructions } = parseTrackPacket(first);
    const [instruction] = instructions;
    if (instruction?.kind === "cv" && instructions.length === 1) return accessOf(instruction);
    throw packetError(notThisMode, { mode }, mainAccessSource);
  }
  const instruction = parseServicePacket(first);
  if (mode === "direct") {
    if (instruction.kind === "direct") return accessOf(instruction);
  } else if (instruction.kind === "register") {
    if (second) return pagedAccess(instruction, parseServicePacket(second));
    const { operation, register, value } = instruction;
    const cv = cvOfRegister(register);
    if (cv !== undefined && reaches(mode, cv) && value <= highestValue(mode)) {
      return { operation, cv, value };
    }
  }
  throw packetError(notThisMode, { mode }, source);
}

function accessOf({ operation, cv, value, bit }: CvAccess): CvAccess {
  return bit === undefined ? { operation, cv, value } : { operation, cv, value, bit };
}

function pagedAccess(
  page: Extract<ServiceInstruction, { kind: "register" }>,
  data: ServiceInstruction,
): CvAccess {
  if (page.register !== 6 || page.operation !== "write") throw packetError(noPageWrite, {}, source);
  if (data.kind !== "register" || data.register > 4) throw packetError(noDataRegister, {}, source);
  return { operation: data.operation, cv: cvOnPage(page.value, data.register), value: data.value };
}
