import { notAnOption } from "../cv/faults.js";
import { CvError } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { checked, unknownInstruction } from "./faults.js";
import { functionGroups, type Instruction, type InstructionOf } from "./instruction.js";
import { bitData } from "./service-packet.js";

const source = "S-9.2.1 (July 2012), section C";
const speedSource = "S-9.2 (July 2004), speed and direction; S-9.2.1 (July 2012), section C";

/**
 * The bytes of one instruction to a multi-function decoder.
 * @throws `CvError` when a number is out of its range, or the instruction is not for these decoders.
 */
export function instructionBytes(instruction: Instruction): number[] {
  switch (instruction.kind) {
    case "reset":
      return [0x00];
    case "hard-reset":
      return [0x01];
    case "extended-addressing":
      return [0x0a | Number(instruction.on)];
    case "acknowledge":
      return [0x0e | Number(instruction.on)];
    case "consist":
      return [0x12 | Number(instruction.reversed), checked("address", instruction.address, 0, 127, source)];
    case "speed":
      return speedBytes(instruction);
    case "restricted-speed":
      return [0x3e, (instruction.enabled ? 0 : 128) | checked("limit", instruction.limit, 0, 63, source)];
    case "analog-function":
      return [
        0x3d,
        checked("output", instruction.output, 0, 255, source),
        checked("value", instruction.value, 0, 255, source),
      ];
    case "functions":
      return functionBytes(instruction);
    case "binary-state": {
      const state = Number(instruction.on) << 7;
      if (instruction.form === "short")
        return [0xdd, state | checked("number", instruction.number, 0, 127, source)];
      const number = checked("number", instruction.number, 0, 32767, source);
      return [0xc0, state | (number & 127), number >> 7];
    }
    case "cv":
      return cvBytes(instruction);
    case "cv-short":
      return [
        0xf0 | (checked("cv", instruction.cv, 23, 24, source) - 21),
        checked("value", instruction.value, 0, 255, source),
      ];
    case "service-lock":
      return [0xf9, checked("address", instruction.address, 0, 127, source)];
    default: {
      const found: unknown = (instruction as { kind?: unknown }).kind;
      const where = { path: "instructions", source };
      throw new CvError([unknownInstruction({ found, receiver: "a multi-function decoder" }, where)]);
    }
  }
}

/** The bytes of a CV access, long form (S-9.2.1, July 2012, section C). */
export function cvBytes({ operation, cv, value, bit }: Omit<InstructionOf<"cv">, "kind">): number[] {
  const address = checked("cv", cv, 1, lastCv, source) - 1;
  const write = operation === "write";
  if (bit !== undefined) {
    return [0xe8 | (address >> 8), address & 255, bitData(write ? 0x10 : 0, bit, value, source)];
  }
  return [(write ? 0xec : 0xe4) | (address >> 8), address & 255, checked("value", value, 0, 255, source)];
}

function speedBytes({ steps, forward, step, code }: InstructionOf<"speed">): number[] {
  if (steps === 128) {
    const number =
      step === "emergency-stop" ? 1 : step === 0 ? 0 : checked("step", step, 1, 126, speedSource) + 1;
    return [0x3f, (forward ? 128 : 0) | number];
  }
  const head = forward ? 0x60 : 0x40;
  if (steps === 14) {
    const number =
      step === "emergency-stop" ? 1 : step === 0 ? 0 : checked("step", step, 1, 14, speedSource) + 1;
    return [head | ((code ?? 0) << 4) | number];
  }
  if (step === "emergency-stop") return [head | ((code ?? 0) << 4) | 1];
  if (step === 0) return [head | ((code ?? 0) << 4)];
  // CSSSS counts with C as the lowest bit: 00010 is step 1, 10010 step 2, 00011 step 3 (S-9.2 (July 2004),
  // baseline packets).
  const number = checked("step", step, 1, 28, speedSource) + 3;
  return [head | ((number & 1) << 4) | (number >> 1)];
}

function functionBytes({ group, on }: InstructionOf<"functions">): number[] {
  if (!Object.hasOwn(functionGroups, group)) {
    const allowed = Object.keys(functionGroups);
    throw new CvError([notAnOption({ found: group, allowed }, { path: "group", source })]);
  }
  const { first, count, head } = functionGroups[group];
  let bits = 0;
  for (const number of on) bits |= 1 << (checked("on", number, first, first + count - 1, source) - first);
  if (count === 8) return [head, bits];
  // F0 sits above F1-F4 (S-9.2.1 (July 2012), function group one).
  if (first === 0) bits = (bits >> 1) | ((bits & 1) << 4);
  return [head | bits];
}
