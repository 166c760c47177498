import { aBoolean, aNumber, need, needIn, objectOf } from "../cv/argument.js";
import { isByte } from "../cv/cvpatch.js";
import { type AccessMode, aMode } from "../packets/access-mode.js";
import { type Packet, packetFromText } from "../packets/packet.js";
import { accessSequence, type Sequence } from "../packets/sequence.js";
import { aSimulatedDecoder, type SimulatedDecoder } from "../simulator/simulated-decoder.js";
import type { Address } from "../standard/address.js";
import { type Access, accessBy } from "./access.js";
import { Calls } from "./calls.js";
import type { CvConnection, PacketConnection } from "./connection.js";

/** What goes wrong between a simulated decoder and the program that is tested; all of it from a seed. */
export interface SimulatedFaults {
  /** The seed of the random numbers; 1 unless given. */
  readonly seed?: number;
  /** The share, 0-1, of acknowledgements that are not heard. */
  readonly lostAcknowledgements?: number;
  /** The share, 0-1, of acknowledgements that are heard where there was none. */
  readonly falseAcknowledgements?: number;
  /**
   * The most acknowledgements that are lost in a row, and the most that are false in a row for one packet; 2 unless given.
   */
  readonly inARow?: number;
  /** The share, 0-1, of packets that a dirty track loses. */
  readonly lostPackets?: number;
  /** Whether the decoder acts on the third of three identical packets, and not on the second. */
  readonly threeRepeats?: boolean;
  /** The sequence, from 0, in the middle of which the power fails; it stays off. */
  readonly powerCutAt?: number;
  /** What CV 15 is set to before the start: a lock that somebody else left. */
  readonly lockKey?: number;
  /** What the page register is set to before the start. */
  readonly pageRegister?: number;
}

const someFaults = /* @__PURE__ */ objectOf({
  "seed?": aNumber,
  "lostAcknowledgements?": aNumber,
  "falseAcknowledgements?": aNumber,
  "inARow?": aNumber,
  "lostPackets?": aNumber,
  "threeRepeats?": aBoolean,
  "powerCutAt?": aNumber,
  "lockKey?": aNumber,
  "pageRegister?": aNumber,
});
const ofStation = /* @__PURE__ */ objectOf({ "mode?": aMode, "faults?": someFaults });

/**
 * A connection that sends packets to a simulated decoder, without delay.
 * @param decoder The decoder.
 * @param faults What goes wrong; nothing unless given.
 * @example
 * import { CvSet } from "cvset";
 * import { readOut, simulatedConnection } from "cvset/connection";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 7: 1, 8: 13, 29: 6 }) });
 * const connection = simulatedConnection(decoder, { seed: 5, lostPackets: 0.1 });
 * (await readOut(connection, [29])).cvs.get(29); // 6
 */
export function simulatedConnection(
  decoder: SimulatedDecoder,
  faults: SimulatedFaults = {},
): PacketConnection {
  need(aSimulatedDecoder, decoder, "decoder");
  need(someFaults, faults, "faults");
  const track = new FaultyTrack(decoder, faults);
  return {
    repliesOnMain: true,
    send: async (sequence) => track.send(sequence),
    powerCycle: async () => track.powerCycle(),
  };
}

/**
 * A connection that reads and writes the CVs of a simulated decoder by itself, as most stations do: it reads
 * by questions, and fails where there is no acknowledgement.
 * @param decoder The decoder.
 * @param options `mode`: how the station reaches the decoder, `"direct"` unless given; `faults`: what goes wrong.
 * @example
 * import { CvSet } from "cvset";
 * import { simulatedStation } from "cvset/connection";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 29: 6 }) });
 * const station = simulatedStation(decoder);
 * await station.bit(29, 2, 0);
 * await station.read(29); // 2
 */
export function simulatedStation(
  decoder: SimulatedDecoder,
  options: { readonly mode?: AccessMode; readonly faults?: SimulatedFaults } = {},
): Required<CvConnection> {
  needIn(ofStation, options, "options");
  const { mode = "direct", faults = {} } = options;
  const access: Access = accessBy(
    simulatedConnection(decoder, faults),
    mode,
    new Calls(20_000, undefined),
    // One confirmation more than there are false answers in a row.
    { allow: new Set(), retries: 5, pause: 0, timeout: 20_000, confirmations: confirmationsFor(faults) },
  );
  let opened: Promise<void> | undefined;
  const prove = async (key: number, mask: number, value: number, to?: Address): Promise<boolean> =>
    (await access.prove({ key, mask, value }, to)).holds;
  const write = async (key: number, mask: number, value: number, to?: Address): Promise<void> => {
    await (opened ??= access.open());
    // On the main two packets are the least, and stations send more.
    await access.write({ key, mask, value }, to, mode === "main" ? 2 : 1);
  };
  return {
    write: (cv, value, to) => write(cv, 255, value, to),
    bit: (cv, bit, value, to) => write(cv, 1 << bit, value << bit, to),
    async read(cv, to) {
      await (opened ??= access.open());
      const value = await access.read(cv, [], to);
      if (!isByte(value)) throw new Error("no acknowledgement");
      return value;
    },
    async verify(cv, value, to) {
      await (opened ??= access.open());
      return prove(cv, 255, value, to);
    },
    async powerCycle() {
      opened = undefined;
      await access.powerCycle?.();
    },
  };
}

function confirmationsFor({ falseAcknowledgements, inARow = 2 }: SimulatedFaults): number {
  return falseAcknowledgements ? inARow + 1 : 1;
}

class FaultyTrack {
  readonly #decoder: SimulatedDecoder;
  readonly #faults: SimulatedFaults;
  readonly #random: () => number;
  /** The last packet that arrived, and how often in a row. */
  #last = "";
  #count = 0;
  #lost = 0;
  /** How many false answers in a row there were, by the packet that was asked. */
  readonly #false = new Map<string, number>();
  #sequences = 0;
  #off = false;

  constructor(decoder: SimulatedDecoder, faults: SimulatedFaults) {
    this.#decoder = decoder;
    this.#faults = faults;
    this.#random = randomFrom(faults.seed ?? 1);
    const { lockKey, pageRegister } = faults;
    if (lockKey !== undefined) {
      decoder.play(accessSequence("direct", { operation: "write", cv: 15, value: lockKey }));
    }
    // A CV of the page, verified in paged mode, leaves the register there.
    if (pageRegister !== undefined) {
      decoder.play(accessSequence("paged", { operation: "verify", cv: pageRegister * 4 - 3, value: 0 }));
    }
  }

  powerCycle(): void {
    if (this.#off) throw new Error("the power is off");
    this.#decoder.powerCycle();
  }

  send(sequence: Sequence): boolean {
    if (this.#off) throw new Error("the power is off");
    const { lostAcknowledgements = 0, falseAcknowledgements = 0, inARow = 2, powerCutAt } = this.#faults;
    let packets = Number.POSITIVE_INFINITY;
    if (this.#sequences++ === powerCutAt) {
      packets = Math.floor(this.#random() * sequence.parts.reduce((sum, { times }) => sum + times, 0));
      this.#off = true;
    }
    const heard = this.#play(sequence, packets);
    if (this.#off) {
      this.#decoder.powerCycle();
      throw new Error("the power failed");
    }
    if (heard) {
      const lost = this.#random() < lostAcknowledgements && this.#lost < inARow;
      this.#lost = lost ? this.#lost + 1 : 0;
      return !lost;
    }
    const asked = sequence.parts.find(({ answers }) => answers)?.packet;
    if (asked === undefined) return false;
    const before = this.#false.get(asked) ?? 0;
    const invented = this.#random() < falseAcknowledgements && before < inARow;
    this.#false.set(asked, invented ? before + 1 : 0);
    return invented;
  }

  #play({ parts }: Sequence, most: number): boolean {
    let left = most;
    let answered = false;
    let acknowledged = false;
    for (const { packet, times, untilAcknowledged, onlyAcknowledged, answers } of parts) {
      if (onlyAcknowledged && !acknowledged) continue;
      const bytes = packetFromText(packet);
      acknowledged = false;
      for (let i = 0; i < times && left > 0; i++, left--) {
        if (this.#receive(packet, bytes)) acknowledged = true;
        if (acknowledged && untilAcknowledged) break;
      }
      if (answers && acknowledged) answered = true;
    }
    return answered;
  }

  #receive(text: string, packet: Packet): boolean {
    const { lostPackets = 0, threeRepeats = false } = this.#faults;
    if (this.#random() < lostPackets) return false;
    this.#count = text === this.#last ? this.#count + 1 : 1;
    this.#last = text;
    const isReset = packet.length === 3 && packet[0] === 0;
    return threeRepeats && !isReset && this.#count === 1 ? false : this.#decoder.receive(packet);
  }
}

/** Random numbers from 0 to 1, the same for the same seed. */
function randomFrom(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
