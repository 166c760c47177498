import type { PacketAddress } from "../packets/address-bytes.js";
import { functionGroups, type Instruction, type InstructionOf } from "../packets/instruction.js";
import { speed28 } from "../packets/instruction-from-bytes.js";
import type { Address, KnownCvs } from "../standard/address.js";
import { consistInUse } from "../standard/address-in-use.js";
import { ignoresOwnSpeed } from "../standard/side-effects.js";

/** What a simulated decoder does at the moment. */
export interface RunningState {
  /** The speed step in use, 0 being stop. */
  readonly step: number;
  /** The speed steps of the last instruction. */
  readonly steps: 14 | 28 | 128;
  /** Whether the last stop was an emergency stop. */
  readonly emergency: boolean;
  /** The direction as seen from the locomotive, after CV 29 bit 0 and a reversed consist. */
  readonly forward: boolean;
  /** The functions that are on, F0-F28, in order. */
  readonly functions: readonly number[];
  /** The binary states that are on, in order. */
  readonly binaryStates: readonly number[];
  /** The values of the analog outputs that were set, by output. */
  readonly analogOutputs: Readonly<Record<number, number>>;
  /** The limit of restricted speed, a step of 28; absent without one. */
  readonly speedLimit?: number;
  /** The outputs of an accessory decoder that are on, in order. */
  readonly outputs: readonly number[];
  /** The aspect of an extended accessory decoder; absent before the first. */
  readonly aspect?: number;
}

/** The state after power-on or a reset. */
export const restingState: RunningState = {
  step: 0,
  steps: 128,
  emergency: false,
  forward: true,
  functions: [],
  binaryStates: [],
  analogOutputs: {},
  outputs: [],
};

/** By which address a decoder receives a packet. */
export type Addressee = "own" | "consist" | "broadcast";

/** By which address a multi-function decoder receives a packet; undefined when the packet is not for it. */
export function addresseeOf(
  to: PacketAddress,
  own: Address | undefined,
  cvs: KnownCvs,
): Addressee | undefined {
  if (to.kind === "broadcast") return to.to === "accessory" ? undefined : "broadcast";
  if (to.kind !== "primary" && to.kind !== "extended") return undefined;
  if (own && own.kind === to.kind && own.number === to.number) return "own";
  return to.kind === "primary" && to.number === consistInUse(cvs)?.number ? "consist" : undefined;
}

/**
 * The state after one instruction that changes no CV (S-9.2.1, July 2012).
 * @param state The state before.
 * @param instruction The instruction.
 * @param addressee By which address the decoder receives it.
 * @param cvs Its CVs.
 */
export function drive(
  state: RunningState,
  instruction: Instruction,
  addressee: Addressee,
  cvs: KnownCvs,
): RunningState {
  switch (instruction.kind) {
    case "speed": {
      const ignored = addressee === "own" && ignoresOwn(cvs);
      const next = ignored ? state : moved(state, instruction, addressee, cvs);
      // In 14 steps the speed instruction has the FL bit (S-9.2 (July 2004), baseline packets; S-9.2.2 (July
      // 2012), CV 29 bit 1).
      return instruction.steps === 14
        ? { ...next, functions: functionsAfter(next, [0], instruction.code === 1 ? [0] : [], addressee, cvs) }
        : next;
    }
    case "restricted-speed": {
      const { speedLimit: _, ...free } = state;
      const limit = speed28(instruction.limit).step;
      return instruction.enabled ? { ...free, speedLimit: limit === "emergency-stop" ? 0 : limit } : free;
    }
    case "functions":
      return {
        ...state,
        functions: functionsAfter(state, numbersOf(instruction.group, cvs), instruction.on, addressee, cvs),
      };
    case "binary-state":
      // CV 21 and 22 name no binary state, so that a consist works none.
      return addressee === "consist" ? state : { ...state, binaryStates: statesAfter(state, instruction) };
    case "analog-function":
      return addressee === "consist"
        ? state
        : { ...state, analogOutputs: { ...state.analogOutputs, [instruction.output]: instruction.value } };
    case "output":
      return { ...state, outputs: switched(state.outputs, instruction.output, instruction.on) };
    case "aspect":
      return { ...state, aspect: instruction.aspect };
    default:
      return state;
  }
}

/** Whether speed and direction to the own address are ignored. A decoder without CV 29 has its primary address. */
function ignoresOwn(cvs: KnownCvs): boolean {
  return ignoresOwnSpeed({ get: (cv) => cvs.get(cv) ?? (cv === 29 ? 0 : undefined) });
}

function moved(
  state: RunningState,
  { step, steps, forward }: InstructionOf<"speed">,
  addressee: Addressee,
  cvs: KnownCvs,
): RunningState {
  const reversed = ((cvs.get(29) ?? 0) & 1) !== 0;
  const turned = addressee === "consist" && (cvs.get(19) ?? 0) > 127;
  return {
    ...state,
    step: step === "emergency-stop" ? 0 : step,
    steps,
    emergency: step === "emergency-stop",
    forward: forward !== (reversed !== turned),
  };
}

/** The functions of a group. FL is in the first only while CV 29 bit 1 is 1. */
function numbersOf(group: InstructionOf<"functions">["group"], cvs: KnownCvs): number[] {
  const { first, count } = functionGroups[group];
  const numbers = Array.from({ length: count }, (_, i) => first + i);
  return numbers.filter((number) => number !== 0 || ((cvs.get(29) ?? 2) & 2) !== 0);
}

/** The functions that are on, when those of `on` are switched on and the others of `numbers` off. */
function functionsAfter(
  state: RunningState,
  numbers: readonly number[],
  on: readonly number[],
  addressee: Addressee,
  cvs: KnownCvs,
): readonly number[] {
  let functions = state.functions;
  for (const number of numbers) {
    if (addressee === "consist" && !consistWorks(number, state.forward, cvs)) continue;
    functions = switched(functions, number, on.includes(number));
  }
  return functions;
}

/**
 * Whether a consist address works a function: CV 21 for F1-F8, CV 22 for FL and F9-F12 (S-9.2.2 (July 2012), CV
 * 21 and 22).
 */
function consistWorks(number: number, forward: boolean, cvs: KnownCvs): boolean {
  const low = cvs.get(21) ?? 0;
  const high = cvs.get(22) ?? 0;
  if (number === 0) return (high & (forward ? 1 : 2)) !== 0;
  if (number <= 8) return (low & (1 << (number - 1))) !== 0;
  return number <= 12 && (high & (1 << (number - 7))) !== 0;
}

/**
 * Binary state 0 sets or clears all (S-9.2.1 (July 2012), binary state control). That these are 1-127 in the
 * short form and 1-32767 in the long one, the numbers that each can name, is inferred.
 */
function statesAfter(
  { binaryStates }: RunningState,
  { form, number, on }: InstructionOf<"binary-state">,
): readonly number[] {
  if (number !== 0) return switched(binaryStates, number, on);
  const last = form === "short" ? 127 : 32767;
  const above = binaryStates.filter((each) => each > last);
  return on ? [...Array.from({ length: last }, (_, i) => i + 1), ...above] : above;
}

function switched(list: readonly number[], number: number, on: boolean): readonly number[] {
  if (list.includes(number) === on) return list;
  return on ? [...list, number].sort((a, b) => a - b) : list.filter((each) => each !== number);
}
