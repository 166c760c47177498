import { CvError } from "../cv/index.js";
import { lastCv } from "../cv/name.js";
import { badPattern, checked, type Packet, packetIssue } from "./packet.js";
import { bitData, type Operation } from "./service.js";

/** Functions F0-F28 travel in groups, one instruction each. F0 is the light key, FL. */
export type FunctionGroup = "F0-F4" | "F5-F8" | "F9-F12" | "F13-F20" | "F21-F28";

/** One instruction to a multi-function decoder on the main (S-9.2, July 2004; S-9.2.1, July 2012). */
export type Instruction =
  /** Stop, and forget speed and functions. To all decoders it is the reset packet. */
  | { readonly type: "reset" }
  /** CV 29, 31 and 32 to their defaults, CV 19 to 0. */
  | { readonly type: "hard-reset" }
  /** Sets CV 29 bit 5: whether the extended address is in use. */
  | { readonly type: "extended-addressing"; readonly on: boolean }
  /** Asks for an acknowledgement, or not. */
  | { readonly type: "acknowledge"; readonly on: boolean }
  /** Joins a consist, 1-127, or leaves it with 0. */
  | { readonly type: "consist"; readonly address: number; readonly reversed: boolean }
  /**
   * Speed: step 0 is stop. `code` is the bit that two spellings of a stop differ in (28 steps), and the
   * FL bit in 14 steps.
   */
  | {
      readonly type: "speed";
      readonly steps: 14 | 28 | 128;
      readonly forward: boolean;
      readonly step: number | "emergency-stop";
      readonly code?: 0 | 1;
    }
  /** Limits the speed; `limit` is six bits, coded as in the 28-step speed instruction. */
  | { readonly type: "restricted-speed"; readonly enabled: boolean; readonly limit: number }
  /** The functions of a group: those named in `on` are switched on, the others off. */
  | { readonly type: "functions"; readonly group: FunctionGroup; readonly on: readonly number[] }
  /** A numbered on/off state: 0-127 in the short form, 0-32767 in the long. */
  | {
      readonly type: "binary-state";
      readonly form: "short" | "long";
      readonly number: number;
      readonly on: boolean;
    }
  /** A CV, long form: a whole byte, or one bit when `bit` (0-7) is there; then `value` is 0 or 1. */
  | {
      readonly type: "cv";
      readonly operation: Operation;
      readonly cv: number;
      readonly value: number;
      readonly bit?: number;
    }
  /** CV 23 or 24, short form: one packet is enough. */
  | { readonly type: "cv-short"; readonly cv: 23 | 24; readonly value: number };

const clause = "S-9.2.1 (July 2012), section C";
const speedClause = "S-9.2 (July 2004), speed and direction; S-9.2.1 (July 2012), section C";

interface GroupRow {
  readonly first: number;
  readonly count: number;
  /** The instruction byte: all of it, or its bits above the function bits. */
  readonly head: number;
}

const groups: Readonly<Record<FunctionGroup, GroupRow>> = {
  "F0-F4": { first: 0, count: 5, head: 0x80 },
  "F5-F8": { first: 5, count: 4, head: 0xb0 },
  "F9-F12": { first: 9, count: 4, head: 0xa0 },
  "F13-F20": { first: 13, count: 8, head: 0xde },
  "F21-F28": { first: 21, count: 8, head: 0xdf },
};

/** The bytes of one instruction. @throws `CvError` when a number is out of its range. */
export function instructionBytes(instruction: Instruction): number[] {
  switch (instruction.type) {
    case "reset":
      return [0x00];
    case "hard-reset":
      return [0x01];
    case "extended-addressing":
      return [0x0a | Number(instruction.on)];
    case "acknowledge":
      return [0x0e | Number(instruction.on)];
    case "consist":
      return [0x12 | Number(instruction.reversed), checked("address", instruction.address, 0, 127, clause)];
    case "speed":
      return speedBytes(instruction);
    case "restricted-speed":
      return [0x3e, (instruction.enabled ? 0 : 128) | checked("limit", instruction.limit, 0, 63, clause)];
    case "functions":
      return functionBytes(groups[instruction.group], instruction.on);
    case "binary-state": {
      const state = Number(instruction.on) << 7;
      if (instruction.form === "short")
        return [0xdd, state | checked("number", instruction.number, 0, 127, clause)];
      const number = checked("number", instruction.number, 0, 32767, clause);
      return [0xc0, state | (number & 127), number >> 7];
    }
    case "cv":
      return cvBytes(instruction);
    case "cv-short":
      return [
        0xf0 | (checked("cv", instruction.cv, 23, 24, clause) - 21),
        checked("value", instruction.value, 0, 255, clause),
      ];
  }
}

/** The bytes of a CV access, long form (S-9.2.1, July 2012, section C). */
export function cvBytes(access: Extract<Instruction, { type: "cv" }>): number[] {
  const address = checked("cv", access.cv, 1, lastCv, clause) - 1;
  const write = access.operation === "write";
  const { bit, value } = access;
  if (bit !== undefined) {
    return [0xe8 | (address >> 8), address & 255, bitData(write ? 0x10 : 0, bit, value, clause)];
  }
  return [(write ? 0xec : 0xe4) | (address >> 8), address & 255, checked("value", value, 0, 255, clause)];
}

function speedBytes({ steps, forward, step, code }: Extract<Instruction, { type: "speed" }>): number[] {
  if (steps === 128) {
    const number =
      step === "emergency-stop" ? 1 : step === 0 ? 0 : checked("step", step, 1, 126, speedClause) + 1;
    return [0x3f, (forward ? 128 : 0) | number];
  }
  const head = forward ? 0x60 : 0x40;
  if (steps === 14) {
    const number =
      step === "emergency-stop" ? 1 : step === 0 ? 0 : checked("step", step, 1, 14, speedClause) + 1;
    return [head | ((code ?? 0) << 4) | number];
  }
  if (step === "emergency-stop") return [head | ((code ?? 0) << 4) | 1];
  if (step === 0) return [head | ((code ?? 0) << 4)];
  // CSSSS counts with C as the lowest bit: 00010 is step 1, 10010 step 2, 00011 step 3 (S-9.2).
  const number = checked("step", step, 1, 28, speedClause) + 3;
  return [head | ((number & 1) << 4) | (number >> 1)];
}

function functionBytes({ first, count, head }: GroupRow, on: readonly number[]): number[] {
  let bits = 0;
  for (const number of on) bits |= 1 << (checked("on", number, first, first + count - 1, clause) - first);
  if (count === 8) return [head, bits];
  // F0 sits above F1-F4 (S-9.2.1, function group one).
  if (first === 0) bits = (bits >> 1) | ((bits & 1) << 4);
  return [head | bits];
}

/**
 * The instruction at an offset of a packet, and how many bytes it takes.
 * @throws `CvError` for a reserved pattern, or when the packet ends too early.
 */
export function parseInstruction(
  packet: Packet,
  at: number,
  steps: 14 | 28,
): { instruction: Instruction; length: number } {
  const first = packet[at] as number;
  const end = packet.length - 1;
  const data = (offset: number): number => {
    if (at + offset >= end) {
      throw new CvError([packetIssue("the length is too short for this instruction", packet.length)]);
    }
    return packet[at + offset] as number;
  };
  const found = (length: number, instruction: Instruction) => ({ instruction, length });
  switch (first >> 5) {
    case 0:
      if (first < 0x10) return found(1, control(first));
      if (first >> 1 !== 0x12 >> 1) badPattern(first, "is a reserved consist control", clause);
      return consist(first, data(1));
    case 1:
      if (first === 0x3f) return found(2, speed128(data(1)));
      if (first === 0x3e) {
        const limit = data(1);
        if (limit & 64) badPattern(limit, "has bit 6 set, which restricted speed leaves 0", clause);
        return found(2, { type: "restricted-speed", enabled: limit < 128, limit: limit & 63 });
      }
      return badPattern(first, "is a reserved advanced-operations instruction", clause);
    case 2:
    case 3:
      return found(1, steps === 14 ? speed14(first) : speed28(first));
    case 4:
      return found(1, functionsOf("F0-F4", ((first & 15) << 1) | ((first >> 4) & 1)));
    case 5:
      return found(1, functionsOf(first & 16 ? "F5-F8" : "F9-F12", first & 15));
    case 6:
      if (first === 0xde) return found(2, functionsOf("F13-F20", data(1)));
      if (first === 0xdf) return found(2, functionsOf("F21-F28", data(1)));
      if (first === 0xdd || first === 0xc0) {
        const form = first === 0xdd ? "short" : "long";
        const low = data(1);
        const number = (low & 127) | (form === "long" ? data(2) << 7 : 0);
        return found(form === "short" ? 2 : 3, { type: "binary-state", form, number, on: low > 127 });
      }
      return badPattern(first, "is a reserved feature-expansion instruction", clause);
    default:
      if (first >= 0xf0) {
        if (first !== 0xf2 && first !== 0xf3) badPattern(first, "is a reserved short CV access", clause);
        return found(2, { type: "cv-short", cv: first === 0xf2 ? 23 : 24, value: data(1) });
      }
      return found(3, cvAccess(first, data(1), data(2)));
  }
}

function control(first: number): Instruction {
  switch (first) {
    case 0x00:
      return { type: "reset" };
    case 0x01:
      return { type: "hard-reset" };
    case 0x0a:
    case 0x0b:
      return { type: "extended-addressing", on: first === 0x0b };
    case 0x0e:
    case 0x0f:
      return { type: "acknowledge", on: first === 0x0f };
    default:
      return badPattern(first, "is a decoder control that is reserved or not covered here", clause);
  }
}

function consist(first: number, address: number): { instruction: Instruction; length: number } {
  if (address > 127) badPattern(address, "is no consist address; bit 7 is 0 here", clause);
  return { instruction: { type: "consist", address, reversed: first === 0x13 }, length: 2 };
}

function speed128(data: number): Instruction {
  const number = data & 127;
  const step = number === 1 ? "emergency-stop" : number === 0 ? 0 : number - 1;
  return { type: "speed", steps: 128, forward: data > 127, step };
}

function speed14(first: number): Instruction {
  const number = first & 15;
  const step = number === 1 ? "emergency-stop" : number === 0 ? 0 : number - 1;
  return { type: "speed", steps: 14, forward: (first & 32) !== 0, step, code: first & 16 ? 1 : 0 };
}

/** The 28-step meaning of the low six bits of a speed instruction (S-9.2, July 2004). */
export function speed28(bits: number): Extract<Instruction, { type: "speed" }> {
  const number = ((bits & 15) << 1) | ((bits >> 4) & 1);
  const forward = (bits & 32) !== 0;
  if (number >= 4) return { type: "speed", steps: 28, forward, step: number - 3 };
  const step = number < 2 ? 0 : "emergency-stop";
  return { type: "speed", steps: 28, forward, step, code: number & 1 ? 1 : 0 };
}

function functionsOf(group: FunctionGroup, bits: number): Instruction {
  const { first, count } = groups[group];
  const on: number[] = [];
  for (let i = 0; i < count; i++) if (bits & (1 << i)) on.push(first + i);
  return { type: "functions", group, on };
}

function cvAccess(first: number, low: number, data: number): Instruction {
  const cv = ((first & 3) << 8) + low + 1;
  switch (first & 12) {
    case 4:
      return { type: "cv", operation: "verify", cv, value: data };
    case 12:
      return { type: "cv", operation: "write", cv, value: data };
    case 8: {
      if (data >> 5 !== 7) badPattern(data, "is no bit instruction; those are 111CDBBB", clause);
      const operation = data & 16 ? "write" : "verify";
      return { type: "cv", operation, cv, value: (data >> 3) & 1, bit: data & 7 };
    }
    default:
      return badPattern(first, "has the instruction code CC = 00, which is reserved", clause);
  }
}
