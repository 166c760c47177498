export { type AccessMode, accessModes, accessPackets, type CvAccess, parseAccess } from "./access.js";
export type { DecoderAddress, PacketAddress } from "./address.js";
export { type Group, groupNames, type OrderRule, orderRules } from "./hazards.js";
export type { FunctionGroup, Instruction } from "./instruction.js";
export type { DecoderLike, DecoderModel, DescribedDecoder } from "./model.js";
export type { PlanOptions } from "./options.js";
export { outcome, type PlanLike, tryPlanFromJson } from "./outcome.js";
export { type Packet, packetFromText, packetText } from "./packet.js";
export type { Index } from "./pages.js";
export { plan } from "./plan.js";
export {
  nextInReading,
  type Reading,
  type ReadingNext,
  type ReadingOptions,
  type ReadStep,
  readByte,
  readingOf,
  readSteps,
} from "./read.js";
export type { RunningState } from "./running.js";
export {
  accessSequence,
  factoryResetSequence,
  mainSequence,
  openingSequence,
  type Purpose,
  type Repeats,
  repeats,
  type Sequence,
  type SequencePart,
} from "./sequence.js";
export {
  factoryResetPacket,
  idlePacket,
  type Operation,
  pagePresetPacket,
  parseServicePacket,
  resetPacket,
  type ServiceInstruction,
  servicePacket,
} from "./service.js";
export { SimulatedDecoder } from "./simulated.js";
export {
  type Pause,
  Plan,
  type PlanJson,
  type PlanNote,
  type PlannedSequence,
  PlanStep,
  type PlanStepJson,
  planSequences,
} from "./step.js";
export type { Estimate } from "./timing.js";
export { type AccessoryInstruction, parseTrackPacket, type TrackPacket, trackPacket } from "./track.js";
export {
  type Mismatch,
  resume,
  type SettingMismatch,
  type Verifiable,
  type Verification,
  verify,
} from "./verify.js";
