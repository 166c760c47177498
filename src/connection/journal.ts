import type { PlanLike } from "../plan/outcome.js";
import type { Address } from "../standard/address.js";

/** One line of a journal. */
export type JournalEntry =
  /** A plan begins; `holds` is what the decoder holds, as far as it is known, `reset` whether a reset comes first. */
  | {
      readonly begin: "carry-out";
      readonly plan: PlanLike;
      readonly holds: Readonly<Record<string, number>>;
      readonly reset: boolean;
      readonly address?: Address;
    }
  | { readonly begin: "read-out"; readonly cvs: readonly string[] }
  /** A step of the plan is tried. */
  | {
      readonly step: number;
      readonly attempt: number;
      readonly cv: string;
      readonly value: number;
      readonly mask: number;
      /** The address that it is sent to, on the main. */
      readonly to?: Address;
      /** The decoder's new address, where the step changes it. */
      readonly becomes?: Address | null;
    }
  /** A call of the connection begins. */
  | {
      readonly sent:
        | "open"
        | "close"
        | "page"
        | "reset"
        | "power-cycle"
        | {
            readonly operation: "write" | "verify" | "read";
            readonly cv: string;
            readonly value?: number;
            readonly bit?: number;
            readonly to?: Address;
          };
    }
  /** Its answer; `null` where there is nothing to answer. */
  | { readonly answer: boolean | number | null }
  | { readonly failed: string; readonly reason?: string }
  /** CVs that are proved to hold a value. */
  | { readonly holds: Readonly<Record<string, number>> }
  /** The factory reset is proved. */
  | { readonly reset: "done" }
  /** The decoder is proved to answer at an address. */
  | { readonly answers: Address }
  /** A run ends. */
  | { readonly end: "proved" | "written" | "stopped" };
