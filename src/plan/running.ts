import type { PacketAddress } from "./address.js";
import { type Instruction, speed28 } from "./instruction.js";
import type { CvStore } from "./store.js";
import type { AccessoryInstruction } from "./track.js";

/** What a simulated decoder does at the moment. */
export interface RunningState {
  /** The speed step in use, 0 being stop; of 14, 28 or 128. */
  readonly step: number;
  readonly steps: 14 | 28 | 128;
  /** Whether the last stop was an emergency stop. */
  readonly emergency: boolean;
  /** The direction as the locomotive sees it: CV 29 bit 0 and a reversed consist are accounted for. */
  readonly forward: boolean;
  /** The functions that are on, F0-F28, in order. */
  readonly functions: readonly number[];
  /** The binary states that are on, in order. */
  readonly binaryStates: readonly number[];
  /** The speed limit set by restricted speed, a step of 28; undefined without one. */
  readonly speedLimit?: number;
  /** The outputs of an accessory decoder that are on, in order. */
  readonly outputs: readonly number[];
  /** The aspect of an extended accessory decoder. */
  readonly aspect?: number;
}

const atRest: RunningState = {
  step: 0,
  steps: 128,
  emergency: false,
  forward: true,
  functions: [],
  binaryStates: [],
  outputs: [],
};

/** The state after power-on or a reset. */
export const restingState: RunningState = atRest;

/** For whom a packet was that a decoder heard. */
export type Hearing = "own" | "consist" | "broadcast";

/** Whether a multi-function decoder hears a packet, and as whom. */
export function hearing(
  to: PacketAddress,
  own: PacketAddress | undefined,
  consist: number,
): Hearing | undefined {
  if (to.type === "broadcast") return "broadcast";
  if (own && to.type === own.type && "number" in to && "number" in own && to.number === own.number)
    return "own";
  return to.type === "short" && consist > 0 && to.number === (consist & 127) ? "consist" : undefined;
}

/**
 * The state after one instruction that drives, that is, touches no CV (S-9.2.1, July 2012).
 * @param state The state before.
 * @param instruction The instruction.
 * @param heard As whom the decoder heard it.
 * @param cvs Its CVs.
 */
export function drive(
  state: RunningState,
  instruction: Instruction | AccessoryInstruction,
  heard: Hearing,
  cvs: CvStore,
): RunningState {
  const consist = Math.max(0, cvs.peek(19));
  switch (instruction.type) {
    case "speed":
      // While in a consist, speed and direction to the own address are ignored (S-9.2.1, consist control).
      if (heard === "own" && (consist & 127) > 0) return state;
      return moved(state, instruction, heard, consist, Math.max(0, cvs.peek(29)));
    case "restricted-speed": {
      const { speedLimit: _, ...free } = state;
      const limit = speed28(instruction.limit).step;
      return instruction.enabled ? { ...free, speedLimit: limit === "emergency-stop" ? 0 : limit } : free;
    }
    case "functions":
      return { ...state, functions: functionsAfter(state, instruction, heard, cvs) };
    case "binary-state":
      return { ...state, binaryStates: switched(state.binaryStates, instruction.number, instruction.on) };
    case "output":
      return { ...state, outputs: switched(state.outputs, instruction.output, instruction.on) };
    case "aspect":
      return { ...state, aspect: instruction.aspect };
    default:
      return state;
  }
}

function moved(
  state: RunningState,
  { step, steps, forward, code }: Extract<Instruction, { type: "speed" }>,
  heard: Hearing,
  consist: number,
  configuration: number,
): RunningState {
  const reversed = (configuration & 1) !== 0;
  const turned = heard === "consist" && consist > 127;
  const next: RunningState = {
    ...state,
    step: step === "emergency-stop" ? 0 : step,
    steps,
    emergency: step === "emergency-stop",
    forward: forward !== (reversed !== turned),
  };
  // In 14 steps the speed instruction carries FL (S-9.2, July 2004; S-9.2.2, CV 29 bit 1).
  return steps === 14 ? { ...next, functions: switched(state.functions, 0, code === 1) } : next;
}

function functionsAfter(
  state: RunningState,
  { group, on }: Extract<Instruction, { type: "functions" }>,
  heard: Hearing,
  cvs: CvStore,
): readonly number[] {
  const [first, last] = group.split("-").map((name) => Number(name.slice(1))) as [number, number];
  let functions = state.functions;
  for (let number = first; number <= last; number++) {
    // FL is in this instruction only where CV 29 bit 1 says so.
    if (number === 0 && !(cvs.peek(29) & 2)) continue;
    if (heard === "consist" && !consistWorks(number, state.forward, cvs)) continue;
    functions = switched(functions, number, on.includes(number));
  }
  return functions;
}

/** Whether a consist address works a function: CV 21 for F1-F8, CV 22 for FL and F9-F12 (S-9.2.2). */
function consistWorks(number: number, forward: boolean, cvs: CvStore): boolean {
  const low = Math.max(0, cvs.peek(21));
  const high = Math.max(0, cvs.peek(22));
  if (number === 0) return (high & (forward ? 1 : 2)) !== 0;
  if (number <= 8) return (low & (1 << (number - 1))) !== 0;
  return number <= 12 && (high & (1 << (number - 7))) !== 0;
}

function switched(list: readonly number[], number: number, on: boolean): readonly number[] {
  if (list.includes(number) === on) return list;
  return on ? [...list, number].sort((a, b) => a - b) : list.filter((each) => each !== number);
}
