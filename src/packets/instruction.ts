/**
 * One instruction of a packet on the main (S-9.2, July 2004; S-9.2.1, July 2012). All are for
 * multi-function decoders but `output`, `aspect` and `cv-legacy`; `cv` is for both kinds.
 */
export type Instruction =
  /** Stop, and clear speed and functions. Sent to all decoders it is the reset packet. */
  | { readonly kind: "reset" }
  /** CV 29, 31 and 32 to their defaults, CV 19 to 0. */
  | { readonly kind: "hard-reset" }
  /** Sets CV 29 bit 5: whether the extended address is in use. */
  | { readonly kind: "extended-addressing"; readonly on: boolean }
  /** Switches the request for acknowledgement on or off. */
  | { readonly kind: "acknowledge"; readonly on: boolean }
  /** Sets the consist address, 1-127; 0 takes the decoder out of its consist. */
  | { readonly kind: "consist"; readonly address: number; readonly reversed: boolean }
  /**
   * Speed: step 0 is stop. `code` is the bit in which two codes of a stop differ (28 steps), and the FL
   * bit in 14 steps.
   */
  | {
      readonly kind: "speed";
      readonly steps: 14 | 28 | 128;
      readonly forward: boolean;
      readonly step: number | "emergency-stop";
      readonly code?: 0 | 1;
    }
  /** Limits the speed; `limit` is six bits, coded as in the 28-step speed instruction. */
  | { readonly kind: "restricted-speed"; readonly enabled: boolean; readonly limit: number }
  /** Sets an analog output, such as a volume: output 0-255, value 0-255. */
  | { readonly kind: "analog-function"; readonly output: number; readonly value: number }
  /** The functions of a group: those listed in `on` are switched on, the others off. F0 is FL. */
  | {
      readonly kind: "functions";
      readonly group: "F0-F4" | "F5-F8" | "F9-F12" | "F13-F20" | "F21-F28";
      readonly on: readonly number[];
    }
  /** A numbered on/off state: 1-127 in the short form, 1-32767 in the long form; 0 is all of them. */
  | {
      readonly kind: "binary-state";
      readonly form: "short" | "long";
      readonly number: number;
      readonly on: boolean;
    }
  /** A CV, long form: a whole byte, or one bit when `bit` (0-7) is given; then `value` is 0 or 1. */
  | {
      readonly kind: "cv";
      readonly operation: "write" | "verify";
      readonly cv: number;
      readonly value: number;
      readonly bit?: number;
    }
  /** A write to CV 23 or 24, short form: one packet is enough. */
  | { readonly kind: "cv-short"; readonly cv: 23 | 24; readonly value: number }
  /**
   * Service-mode decoder lock: decoders with another primary address, 0-127, ignore service mode. For command
   * stations, sent to all decoders (S-9.2.1 (July 2012), Appendix B; its layout is from memory).
   */
  | { readonly kind: "service-lock"; readonly address: number }
  /**
   * A CV write in the format of older accessory decoders, for a whole decoder (S-9.2.1, July 2012, accessory packets;
   * its layout is from memory).
   */
  | { readonly kind: "cv-legacy"; readonly cv: number; readonly value: number }
  /** Output 0-7 of a basic accessory decoder, on or off. */
  | { readonly kind: "output"; readonly output: number; readonly on: boolean }
  /** The aspect, 0-31, of an extended accessory decoder. */
  | { readonly kind: "aspect"; readonly aspect: number };

/** The instructions of one kind. */
export type InstructionOf<Kind extends Instruction["kind"]> = Extract<Instruction, { kind: Kind }>;

/** The functions of a group: the first, how many, and the instruction byte above the function bits. */
interface FunctionGroup {
  readonly first: number;
  readonly count: number;
  /** The whole instruction byte, or its bits above the function bits. */
  readonly head: number;
}

/** The function groups of S-9.2.1 (July 2012), section C. */
export const functionGroups: Readonly<Record<InstructionOf<"functions">["group"], FunctionGroup>> = {
  "F0-F4": { first: 0, count: 5, head: 0x80 },
  "F5-F8": { first: 5, count: 4, head: 0xb0 },
  "F9-F12": { first: 9, count: 4, head: 0xa0 },
  "F13-F20": { first: 13, count: 8, head: 0xde },
  "F21-F28": { first: 21, count: 8, head: 0xdf },
};
