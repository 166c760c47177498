// A connection to a decoder, and what is done over it

export {
  type CarryOutOptions,
  type CarryOutResult,
  carryOut,
  type StepOutcome,
} from "./carry-out.js";
export type { Connection, CvConnection, PacketConnection, Permission } from "./connection.js";
export { type ReadOutOptions, type ReadOutResult, readOut } from "./read-out.js";
export { type TakeUpOptions, takeUp } from "./take-up.js";

// A simulated decoder in place of a real one

export { type SimulatedFaults, simulatedConnection, simulatedStation } from "./simulated-connection.js";
