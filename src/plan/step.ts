import { nameOf, numberOf } from "../cv/name.js";
import { type AccessMode, accessModes, accessPackets, type CvAccess, reaches } from "./access.js";
import type { DecoderAddress } from "./address.js";
import { packetText } from "./packet.js";
import { accessSequence, factoryResetSequence, openingSequence, type Sequence } from "./sequence.js";
import { factoryResetPacket } from "./service.js";
import { type Estimate, estimateOf } from "./timing.js";

/** What has to happen after a step before the next one. */
export interface Pause {
  /** How long to wait, at least. */
  readonly seconds: number;
  /** Whether power goes off and on again after that. */
  readonly powerCycle: boolean;
  /** What to mind, in words. */
  readonly warning: string;
}

/** Something that a plan has to say and that is no step. */
export interface PlanNote {
  /** Its kind: `"volatile"`, `"read-only"`, `"address"` ... */
  readonly rule: string;
  readonly severity: "warning" | "note";
  readonly message: string;
  /** The CVs that it is about. */
  readonly cvs: readonly string[];
  /** Where the rule stands, when there is a source. */
  readonly source?: string;
}

/** A step as JSON. */
export interface PlanStepJson {
  readonly cv: string;
  readonly value: number;
  /** Which bits are written, where it is not the whole byte: one packet for each. */
  readonly mask?: number;
  /** What the decoder holds before, where that is known. */
  readonly was?: number;
  readonly reason: string;
  /** What to send, each packet as text; how often is said by {@link planSequences}. */
  readonly packets: readonly string[];
  /** Whom the packets are for; on the main only. */
  readonly address?: DecoderAddress;
  /** Whom the decoder answers as from here on, when this step changes that; `null` when nobody knows. */
  readonly answersTo?: DecoderAddress | null;
  readonly pause?: Pause;
}

/** A plan as JSON. */
export interface PlanJson {
  readonly mode: AccessMode;
  readonly kind: "multifunction" | "accessory";
  readonly steps: readonly PlanStepJson[];
  readonly notes: readonly PlanNote[];
  readonly estimates: Readonly<Partial<Record<AccessMode, Estimate>>>;
}

/** One write, and why it stands where it stands. */
export class PlanStep {
  /** @internal The CV's key. */
  readonly key: number;
  /** The byte, or, with a mask, its bits in place. */
  readonly value: number;
  /** Which bits are written; 255 is the whole byte. */
  readonly mask: number;
  /** What the decoder holds before, or undefined when nobody knows. */
  readonly was: number | undefined;
  readonly reason: string;
  readonly mode: AccessMode;
  /** Whom to talk to; on the main only. */
  readonly address: DecoderAddress | undefined;
  /** The new address, when this step changes it; `null` when nobody can know it. */
  readonly answersTo: DecoderAddress | null | undefined;
  readonly pause: Pause | undefined;

  /** @internal Use {@link plan}. */
  constructor(
    key: number,
    value: number,
    mask: number,
    was: number,
    reason: string,
    mode: AccessMode,
    address?: DecoderAddress,
    answersTo?: DecoderAddress | null,
    pause?: Pause,
  ) {
    this.key = key;
    this.value = value;
    this.mask = mask;
    this.was = was < 0 ? undefined : was;
    this.reason = reason;
    this.mode = mode;
    this.address = address;
    this.answersTo = answersTo;
    this.pause = pause;
  }

  /** The CV: `"29"` or `"300@16.0"`. */
  get cv(): string {
    return nameOf(this.key);
  }

  /** What to send, each packet as text. */
  get packets(): string[] {
    if (isFactoryReset(this)) return [packetText(factoryResetPacket)];
    return accessesOf(this).flatMap((access) =>
      accessPackets(this.mode, access, this.address).map(packetText),
    );
  }

  /** The step as plain data. */
  toJSON(): PlanStepJson {
    const { cv, value, mask, was, reason, packets, address, answersTo, pause } = this;
    return {
      cv,
      value,
      ...(mask === 255 ? {} : { mask }),
      ...(was === undefined ? {} : { was }),
      reason,
      packets,
      ...(address ? { address } : {}),
      ...(answersTo === undefined ? {} : { answersTo }),
      ...(pause ? { pause } : {}),
    };
  }
}

/** Whether a step asks for a factory reset: no plan writes CV 8 for any other purpose. */
export function isFactoryReset(step: { readonly cv: string }): boolean {
  return step.cv === "8";
}

/** The accesses that a step is made of: one for a whole byte, one a bit otherwise. */
export function accessesOf(step: PlanStep): CvAccess[] {
  const { value, mask, key } = step;
  const cv = numberOf(key);
  if (mask === 255) return [{ operation: "write", cv, value }];
  const accesses: CvAccess[] = [];
  for (let bit = 0; bit < 8; bit++) {
    if (mask & (1 << bit)) accesses.push({ operation: "write", cv, value: (value >> bit) & 1, bit });
  }
  return accesses;
}

/** The writes that bring a decoder from one content to another. It is plain data once it is JSON. */
export class Plan {
  readonly mode: AccessMode;
  readonly kind: "multifunction" | "accessory";
  readonly steps: readonly PlanStep[];
  /** What was left out, and what to mind. */
  readonly notes: readonly PlanNote[];

  /** @internal Use {@link plan}. */
  constructor(
    mode: AccessMode,
    kind: "multifunction" | "accessory",
    steps: readonly PlanStep[],
    notes: readonly PlanNote[],
  ) {
    this.mode = mode;
    this.kind = kind;
    this.steps = steps;
    this.notes = notes;
  }

  /** Packets and seconds on the track, in each mode that could do all the steps. */
  get estimates(): Partial<Record<AccessMode, Estimate>> {
    const result: Partial<Record<AccessMode, Estimate>> = {};
    for (const mode of accessModes) {
      if (this.steps.every((step) => canDo(mode, step))) {
        result[mode] = estimateOf(sequencesIn(mode, this.steps));
      }
    }
    return result;
  }

  /** The plan as plain data. */
  toJSON(): PlanJson {
    const { mode, kind, steps, notes, estimates } = this;
    return { mode, kind, steps: steps.map((step) => step.toJSON()), notes, estimates };
  }
}

function canDo(mode: AccessMode, step: PlanStep): boolean {
  if (isFactoryReset(step)) return mode !== "main";
  if (step.mask !== 255 && mode !== "direct" && mode !== "main") return false;
  if (mode === "address-only" && step.value > 127) return false;
  return step.key > 1024 ? mode !== "register" && mode !== "address-only" : reaches(mode, step.key);
}

// Any address will do where only the length of the packets counts.
const someAddress: DecoderAddress = { type: "short", number: 3 };

function* sequencesIn(mode: AccessMode, steps: readonly PlanStep[]): Generator<Sequence, void> {
  if (steps.length) yield openingSequence(mode);
  for (const step of steps) {
    if (isFactoryReset(step)) yield factoryResetSequence();
    else
      for (const access of accessesOf(step)) yield accessSequence(mode, access, step.address ?? someAddress);
  }
}

/** A sequence, and the step that it belongs to. */
export interface PlannedSequence extends Sequence {
  /** The step's place in the plan, from 0; -1 for the packets that come before them all. */
  readonly step: number;
  /** What has to happen after it. */
  readonly pause?: Pause;
}

/**
 * Everything that a plan sends, in order: the opening packets, then each step with its repeats and
 * recovery time.
 * @param plan The plan.
 * @example
 * import { CvSet } from "cvset";
 * import { plan, planSequences } from "cvset/plan";
 * const sequences = planSequences(plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 })));
 * sequences.map(({ step, parts }) => [step, parts.length]); // [[-1, 1], [0, 3]]
 */
export function planSequences(plan: Plan): PlannedSequence[] {
  const { mode, steps } = plan;
  const result: PlannedSequence[] = [];
  const opening = openingSequence(mode);
  if (steps.length && opening.parts.length) result.push({ step: -1, ...opening });
  steps.forEach((step, at) => {
    const sequences = isFactoryReset(step)
      ? [factoryResetSequence()]
      : accessesOf(step).map((access) => accessSequence(mode, access, step.address));
    for (const sequence of sequences) {
      result.push({ step: at, ...sequence, ...(step.pause ? { pause: step.pause } : {}) });
    }
    // Power was off: the decoder needs its opening packets again.
    if (step.pause?.powerCycle && at < steps.length - 1) result.push({ step: at, ...opening });
  });
  return result;
}
