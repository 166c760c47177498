import { type AccessMode, hasBits, highestValue, reaches } from "../packets/access-mode.js";
import { packetFromText } from "../packets/packet.js";
import type { Sequence } from "../packets/sequence.js";
import { sequencesIn } from "./plan-sequences.js";
import type { PlanStep } from "./plan-step.js";

/** How much there is to send. */
export interface Estimate {
  /** Packets, repeats included. */
  readonly packets: number;
  /** Seconds on the track; pauses of the command station come on top. */
  readonly seconds: number;
}

// Two half bits of at least 58 us make a one, of at least 100 us a zero (S-9.1; from memory).
const oneMicroseconds = 116;
const zeroMicroseconds = 200;

/**
 * How long a packet takes: preamble, a start bit before each byte, the bits, the end bit (S-9.2 (July 2004),
 * general packet format).
 */
export function packetMicroseconds(packet: readonly number[], preambleBits: number): number {
  let ones = preambleBits + 1;
  let zeros = packet.length;
  for (const byte of packet) {
    for (let bit = 0; bit < 8; bit++) byte & (1 << bit) ? ones++ : zeros++;
  }
  return ones * oneMicroseconds + zeros * zeroMicroseconds;
}

/** Packets and time of a list of sequences. */
export function estimateOf(sequences: Iterable<Sequence>): Estimate {
  let packets = 0;
  let microseconds = 0;
  for (const { parts, preambleBits } of sequences) {
    for (const { packet, times } of parts) {
      packets += times;
      microseconds += times * packetMicroseconds(packetFromText(packet), preambleBits);
    }
  }
  return { packets, seconds: Math.round(microseconds / 1000) / 1000 };
}

// The length of packets counts, and not which address they have.
const anyAddress = 3;

/** The estimate for steps in a mode; undefined when the mode cannot do all of them. */
export function estimateIn(mode: AccessMode, steps: readonly PlanStep[]): Estimate | undefined {
  // Only on the main can a decoder have one of two addresses, so that a write is sent to both.
  const sent = mode === "main" ? steps : steps.filter(({ need }) => need !== "either");
  return sent.every((step) => canDo(mode, step))
    ? estimateOf(sequencesIn(mode, sent, anyAddress))
    : undefined;
}

function canDo(mode: AccessMode, { need, mask, value, key }: PlanStep): boolean {
  if (need === "reset") return mode !== "main";
  if (mask !== 255 && !hasBits(mode)) return false;
  return value <= highestValue(mode) && reaches(mode, key);
}
