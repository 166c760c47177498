import type { DecoderKind } from "../decoder/decoder.js";
import { type AccessMode, accessModes } from "../packets/access-mode.js";
import { estimateIn } from "./estimate.js";
import type { PlanJson } from "./plan-json.js";
import { noteJson, type PlanNote } from "./plan-note.js";
import type { PlanStep } from "./plan-step.js";

/** The writes that bring a decoder from one content to another. `JSON.stringify` makes a plan file of it. */
export class Plan {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Plan" {
    return "Plan";
  }
  /** How the decoder is reached. */
  readonly mode: AccessMode;
  /** The kind of decoder. */
  readonly kind: DecoderKind;
  /** The writes, in order. */
  readonly steps: readonly PlanStep[];
  /** What was left out, and what to look out for. */
  readonly notes: readonly PlanNote[];

  /** @internal Use {@link plan}. */
  constructor(mode: AccessMode, kind: DecoderKind, steps: readonly PlanStep[], notes: readonly PlanNote[]) {
    this.mode = mode;
    this.kind = kind;
    this.steps = steps;
    this.notes = notes;
    Object.freeze(this);
  }

  /**
   * Packets, repeats included, and seconds on the track, in each mode that can do all the steps. Pauses of
   * the command station come on top.
   */
  get estimates(): PlanJson["estimates"] {
    const result: { -readonly [Mode in AccessMode]?: { packets: number; seconds: number } } = {};
    for (const mode of accessModes) {
      const estimate = estimateIn(mode, this.steps);
      if (estimate) result[mode] = estimate;
    }
    return result;
  }

  /** The plan as plain data. */
  toJSON(): PlanJson {
    const { mode, kind, steps, notes, estimates } = this;
    return { mode, kind, steps: steps.map((step) => step.toJSON()), notes: notes.map(noteJson), estimates };
  }
}
