import type { DecoderKind } from "../decoder/decoder.js";
import type { AccessMode } from "../packets/access-mode.js";
import type { CvAccess } from "../packets/cv-access.js";
import type { Address } from "../standard/address.js";

/** A plan as JSON. */
export interface PlanJson {
  /** How the decoder is reached. */
  readonly mode: AccessMode;
  /** The kind of decoder. */
  readonly kind: DecoderKind;
  /**
   * The writes, in order: the CV and its byte; `mask`: which bits, where it is not the whole byte; `was`: what
   * the decoder holds before, where that is known; `packets`: what to send, each packet as text. On the main,
   * `address`: the receiver; `answersTo`: the decoder's new address, where the step changes it, `null` when it
   * cannot be known.
   */
  readonly steps: readonly {
    readonly cv: string;
    readonly value: number;
    readonly mask?: number;
    readonly was?: number;
    readonly reason: string;
    readonly packets: readonly string[];
    readonly address?: Address;
    readonly answersTo?: Address | null;
    readonly pause?: {
      readonly seconds: number;
      readonly powerCycle: boolean;
      readonly busy: CvAccess;
      readonly warning: string;
    };
  }[];
  /** What was left out, and what to look out for; `rule` is the code of a note. */
  readonly notes: readonly {
    readonly rule: string;
    readonly severity: "warning" | "note";
    readonly message: string;
    readonly cvs: readonly string[];
    readonly source?: string;
  }[];
  /** Packets, repeats included, and seconds on the track, in each mode that can do all the steps. */
  readonly estimates: Readonly<
    Partial<Record<AccessMode, { readonly packets: number; readonly seconds: number }>>
  >;
}
