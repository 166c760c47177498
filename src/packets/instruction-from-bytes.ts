import { fault } from "../cv/issue.js";
import { badAccessCode, badPattern, notABitInstruction, packetError, tooShort } from "./faults.js";
import { functionGroups, type Instruction, type InstructionOf } from "./instruction.js";
import type { Packet } from "./packet.js";

const badControl = /* @__PURE__ */ fault(
  "reserved-decoder-control",
  "{byte:text} is a decoder control that is reserved or not supported",
);
const badConsistControl = /* @__PURE__ */ fault(
  "reserved-consist-control",
  "{byte:text} is a reserved consist control",
);
const badConsistAddress = /* @__PURE__ */ fault(
  "consist-address-byte",
  "{byte:text} is not a consist address: bit 7 must be 0",
);
const badRestriction = /* @__PURE__ */ fault(
  "restricted-speed-byte",
  "{byte:text} has bit 6 set, which must be 0 in restricted speed",
);
const badAdvanced = /* @__PURE__ */ fault(
  "reserved-advanced-operations",
  "{byte:text} is a reserved advanced-operations instruction",
);
const badExpansion = /* @__PURE__ */ fault(
  "reserved-feature-expansion",
  "{byte:text} is a reserved feature-expansion instruction",
);
const badShortAccess = /* @__PURE__ */ fault(
  "reserved-short-access",
  "{byte:text} is a reserved short CV access",
);
const badLockAddress = /* @__PURE__ */ fault(
  "service-lock-byte",
  "{byte:text} is not the address of a decoder lock: bit 7 must be 0",
);
const source = "S-9.2.1 (July 2012), section C";

/**
 * The instruction at an offset of a packet to a multi-function decoder, and how many bytes it takes.
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
    if (at + offset >= end) throw packetError(tooShort, { length: packet.length });
    return packet[at + offset] as number;
  };
  const found = (length: number, instruction: Instruction) => ({ instruction, length });
  switch (first >> 5) {
    case 0:
      if (first < 0x10) return found(1, control(first));
      if (first >> 1 !== 0x12 >> 1) badPattern(badConsistControl, first, source);
      return found(2, consist(first, data(1)));
    case 1:
      if (first === 0x3f) return found(2, speed128(data(1)));
      if (first === 0x3e) {
        const limit = data(1);
        if (limit & 64) badPattern(badRestriction, limit, source);
        return found(2, { kind: "restricted-speed", enabled: limit < 128, limit: limit & 63 });
      }
      if (first === 0x3d) return found(3, { kind: "analog-function", output: data(1), value: data(2) });
      return badPattern(badAdvanced, first, source);
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
        return found(form === "short" ? 2 : 3, { kind: "binary-state", form, number, on: low > 127 });
      }
      return badPattern(badExpansion, first, source);
    default:
      if (first >= 0xf0) {
        if (first === 0xf9) {
          const address = data(1);
          if (address > 127) badPattern(badLockAddress, address, source);
          return found(2, { kind: "service-lock", address });
        }
        if (first !== 0xf2 && first !== 0xf3) badPattern(badShortAccess, first, source);
        return found(2, { kind: "cv-short", cv: first === 0xf2 ? 23 : 24, value: data(1) });
      }
      return found(3, cvAccess(first, data(1), data(2)));
  }
}

function control(first: number): Instruction {
  switch (first) {
    case 0x00:
      return { kind: "reset" };
    case 0x01:
      return { kind: "hard-reset" };
    case 0x0a:
    case 0x0b:
      return { kind: "extended-addressing", on: first === 0x0b };
    case 0x0e:
    case 0x0f:
      return { kind: "acknowledge", on: first === 0x0f };
    default:
      return badPattern(badControl, first, source);
  }
}

function consist(first: number, address: number): Instruction {
  if (address > 127) badPattern(badConsistAddress, address, source);
  return { kind: "consist", address, reversed: first === 0x13 };
}

function speed128(data: number): Instruction {
  const number = data & 127;
  const step = number === 1 ? "emergency-stop" : number === 0 ? 0 : number - 1;
  return { kind: "speed", steps: 128, forward: data > 127, step };
}

function speed14(first: number): Instruction {
  const number = first & 15;
  const step = number === 1 ? "emergency-stop" : number === 0 ? 0 : number - 1;
  return { kind: "speed", steps: 14, forward: (first & 32) !== 0, step, code: first & 16 ? 1 : 0 };
}

/** The 28-step meaning of the low six bits of a speed instruction (S-9.2 (July 2004), baseline packets). */
export function speed28(bits: number): InstructionOf<"speed"> {
  const number = ((bits & 15) << 1) | ((bits >> 4) & 1);
  const forward = (bits & 32) !== 0;
  if (number >= 4) return { kind: "speed", steps: 28, forward, step: number - 3 };
  const step = number < 2 ? 0 : "emergency-stop";
  return { kind: "speed", steps: 28, forward, step, code: number & 1 ? 1 : 0 };
}

function functionsOf(group: InstructionOf<"functions">["group"], bits: number): Instruction {
  const { first, count } = functionGroups[group];
  const on: number[] = [];
  for (let i = 0; i < count; i++) if (bits & (1 << i)) on.push(first + i);
  return { kind: "functions", group, on };
}

function cvAccess(first: number, low: number, data: number): Instruction {
  const cv = ((first & 3) << 8) + low + 1;
  switch (first & 12) {
    case 4:
      return { kind: "cv", operation: "verify", cv, value: data };
    case 12:
      return { kind: "cv", operation: "write", cv, value: data };
    case 8: {
      if (data >> 5 !== 7) badPattern(notABitInstruction, data, source);
      const operation = data & 16 ? "write" : "verify";
      return { kind: "cv", operation, cv, value: (data >> 3) & 1, bit: data & 7 };
    }
    default:
      return badPattern(badAccessCode, first, source);
  }
}
