// A decoder without a locomotive, for tests

export type { DecoderModel } from "../packets/decoder-model.js";
export type { RunningState } from "./running-state.js";
export { SimulatedDecoder } from "./simulated-decoder.js";
