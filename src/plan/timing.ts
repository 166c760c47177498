import { packetFromText } from "./packet.js";
import type { Sequence } from "./sequence.js";

/** How much there is to send. */
export interface Estimate {
  /** Packets, repeats included. */
  readonly packets: number;
  /** Seconds on the track; a command station's own pauses and your hands come on top. */
  readonly seconds: number;
}

// Two half bits of at least 58 us make a one, of at least 100 us a zero (S-9.1; from memory).
const oneMicroseconds = 116;
const zeroMicroseconds = 200;

/**
 * How long a packet takes: preamble, a start bit before each byte, the bits, the end bit (S-9.2, July
 * 2004).
 */
export function packetMicroseconds(packet: readonly number[], preambleBits: number): number {
  let ones = preambleBits + 1;
  let zeros = packet.length;
  for (const byte of packet) {
    for (let bit = 0; bit < 8; bit++) byte & (1 << bit) ? ones++ : zeros++;
  }
  return ones * oneMicroseconds + zeros * zeroMicroseconds;
}

/** What a list of sequences comes to. */
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
