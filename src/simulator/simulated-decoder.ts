import { CvSet } from "../cv/cvset.js";
import { CvError } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type AccessMode, cvOfRegister, cvOnPage } from "../packets/access-mode.js";
import { outputPair } from "../packets/address-bytes.js";
import { type DecoderFacts, type DecoderModel, decoderFacts } from "../packets/decoder-model.js";
import type { Instruction } from "../packets/instruction.js";
import { checkPacket, type Packet, packetFromText } from "../packets/packet.js";
import { type Sequence, serviceTimeoutMilliseconds } from "../packets/sequence.js";
import { looksLikeService, parseServicePacket, type ServiceInstruction } from "../packets/service-packet.js";
import { parseTrackPacket, type TrackPacket } from "../packets/track-packet.js";
import type { Address } from "../standard/address.js";
import { accessoryAddressInUse, addressInUse } from "../standard/address-in-use.js";
import { CvStore } from "./cv-store.js";
import { type Addressee, addresseeOf, drive, type RunningState, restingState } from "./running-state.js";

/** How long a factory reset takes unless the power is cut: chosen, since makers differ. */
const resetMilliseconds = 1000;

/**
 * A decoder without a locomotive, to test plans and programs that send packets: it does what the standards
 * say, and nothing else.
 *
 * It has service mode with entry, time-out, two identical packets, all four methods and the acknowledgement
 * (S-9.2.3, July 2012); operations mode with addresses, consist, speed, functions and access to CVs (S-9.2.1,
 * July 2012); index pages, the pair CV 17 and 18, the lock, read-only CVs, what writing CV 1 clears, and the
 * factory reset (S-9.2.2, S-9.2.3). Packets with a wrong error byte or a reserved pattern are ignored.
 *
 * Where the standards leave it open, it is chosen: a factory reset takes effect when power comes back, or
 * after a second, and until then the decoder ignores all packets. On the main a CV verify is acknowledged as
 * in service mode, in place of the bi-directional reply.
 * @example
 * import { CvSet } from "cvset";
 * import { accessSequence } from "cvset/packets";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3, 29: 6 }) });
 * const acknowledged = decoder.play(accessSequence("direct", { operation: "write", cv: 1, value: 9 }));
 * [acknowledged, decoder.cvs.get(1)]; // [true, 9]
 */
export class SimulatedDecoder {
  readonly #decoder: DecoderFacts;
  readonly #store: CvStore;
  #state: RunningState = restingState;
  #serviceMode = false;
  /** Whether the last packet was a reset, so that a service-mode packet may follow. */
  #armed = false;
  /** The last packet for this decoder, and how often in a row it came. */
  #last: Packet = [];
  #count = 0;
  #pageRegister = 1;
  /** Milliseconds of a factory reset that are left; 0 without one. */
  #resetting = 0;

  /**
   * @param decoder The description of the decoder, or a model of it.
   * @param contents What its CVs hold, where it is not the factory value. A factory value that is not known
   *   is 0.
   * @throws `CvError` when the contents have a CV that the decoder does not have.
   */
  constructor(decoder: AnyDecoder | DecoderModel, contents: CvSet = CvSet.empty) {
    this.#decoder = decoderFacts(decoder);
    this.#store = new CvStore(this.#decoder, contents);
  }

  /** What its CVs hold now. */
  get cvs(): CvSet {
    return this.#store.contents;
  }

  /** Speed, direction, functions and outputs. */
  get state(): RunningState {
    return this.#state;
  }

  /** Whether it is in service mode. */
  get inServiceMode(): boolean {
    return this.#serviceMode;
  }

  /** The address that it answers to on the main; undefined when its CVs hold no valid one. */
  get address(): Address | undefined {
    const store = this.#store;
    if (this.#decoder.kind === "accessory") return accessoryAddressInUse(store);
    // A decoder without CV 29 has its primary address only.
    return addressInUse({ get: (cv) => store.get(cv) ?? (cv === 29 ? 0 : undefined) });
  }

  /**
   * Receives one packet.
   * @param packet The bytes, error byte included. A broken packet is ignored.
   * @returns Whether the decoder acknowledges it.
   */
  receive(packet: Packet): boolean {
    if (this.#resetting > 0) return false;
    if (!isSound(packet)) return false;
    const reset = packet.length === 3 && packet[0] === 0 && packet[1] === 0;
    if (reset) {
      this.#armed = true;
      this.#note(packet);
      this.#state = restingState;
      return false;
    }
    if (looksLikeService(packet) && (this.#serviceMode || this.#armed)) {
      this.#serviceMode = true;
      this.#note(packet);
      // It acts on the second of two identical packets, and once.
      return this.#count === 2 && this.#serve(packet);
    }
    this.#serviceMode = false;
    this.#armed = false;
    return this.#operate(packet);
  }

  /**
   * Receives every packet of a sequence.
   * @param sequence The packets, as `accessSequence` and `planSequences` give them.
   * @returns Whether the decoder acknowledged one of them.
   * @throws `CvError` when a packet of the sequence is not a packet text.
   */
  play(sequence: Sequence): boolean {
    let acknowledged = false;
    for (const { packet, times, untilAcknowledged, onlyAcknowledged } of sequence.parts) {
      if (onlyAcknowledged && !acknowledged) continue;
      const bytes = packetFromText(packet);
      for (let i = 0; i < times; i++) {
        if (this.receive(bytes)) acknowledged = true;
        if (acknowledged && untilAcknowledged) break;
      }
    }
    return acknowledged;
  }

  /**
   * Lets time pass without a packet.
   * @param milliseconds How long.
   */
  wait(milliseconds: number): void {
    if (milliseconds >= serviceTimeoutMilliseconds) this.#leaveService();
    if (this.#resetting > 0) {
      this.#resetting -= milliseconds;
      if (this.#resetting <= 0) this.#finishReset();
    }
  }

  /** Switches the power off and on again. */
  powerCycle(): void {
    if (this.#resetting > 0) this.#finishReset();
    this.#leaveService();
    this.#store.losePower();
    this.#state = restingState;
    this.#pageRegister = 1;
  }

  #leaveService(): void {
    this.#serviceMode = false;
    this.#armed = false;
    this.#last = [];
    this.#count = 0;
  }

  #finishReset(): void {
    this.#resetting = 0;
    this.#store.toFactory();
    this.#leaveService();
  }

  #note(packet: Packet): void {
    const same = packet.length === this.#last.length && packet.every((byte, i) => byte === this.#last[i]);
    this.#count = same ? this.#count + 1 : 1;
    if (!same) this.#last = [...packet];
  }

  #serve(packet: Packet): boolean {
    let instruction: ServiceInstruction;
    try {
      instruction = parseServicePacket(packet);
    } catch (error) {
      if (error instanceof CvError) return false;
      throw error;
    }
    switch (instruction.kind) {
      case "reset":
        return false;
      case "direct": {
        const { operation, cv, value, bit } = instruction;
        if (!this.#supports("direct")) return false;
        const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
        return this.#access(operation, cv, mask, bits);
      }
      case "register":
        return this.#serveRegister(instruction);
    }
  }

  #serveRegister({ operation, register, value }: Extract<ServiceInstruction, { kind: "register" }>): boolean {
    if (register === 6) {
      if (!this.#supports("paged", "register")) return false;
      if (operation === "verify") return this.#pageRegister === value;
      this.#pageRegister = value;
      return true;
    }
    const cv = cvOfRegister(register);
    if (register > 4) {
      if (cv === undefined || !this.#supports("register")) return false;
      return this.#access(operation, cv, 255, value);
    }
    const supported =
      register === 1
        ? this.#supports("register", "paged", "address-only")
        : this.#supports("register", "paged");
    return supported && this.#access(operation, cvOnPage(this.#pageRegister, register), 255, value);
  }

  /** Whether the decoder supports any of some modes. */
  #supports(...modes: readonly AccessMode[]): boolean {
    return modes.some((mode) => this.#decoder.modes?.includes(mode) ?? true);
  }

  #access(operation: "write" | "verify", cv: number, mask: number, bits: number): boolean {
    return operation === "write" ? this.#write(cv, mask, bits) : this.#holds(cv, mask, bits);
  }

  #holds(cv: number, mask: number, bits: number): boolean {
    const value = this.#store.read(cv);
    return value !== undefined && (value & mask) === bits;
  }

  #write(cv: number, mask: number, bits: number): boolean {
    if (cv === 8 && mask === 255 && bits === 8 && this.#store.get(8) !== undefined) {
      this.#resetting = resetMilliseconds;
      return true;
    }
    if (!this.#store.write(cv, mask, bits)) return false;
    if (cv === 1 && this.#decoder.kind === "multifunction") {
      // By any service-mode method (S-9.2.3, July 2012, section E).
      this.#store.set(29, 32, 0);
      this.#store.set(19, 255, 0);
    }
    return true;
  }

  #operate(packet: Packet): boolean {
    let said: TrackPacket;
    try {
      said = parseTrackPacket(packet, { steps: (this.#store.get(29) ?? 2) & 2 ? 28 : 14 });
    } catch (error) {
      if (error instanceof CvError) return false;
      throw error;
    }
    const addressee =
      this.#decoder.kind === "accessory"
        ? this.#accessoryAddressee(said)
        : addresseeOf(said.to, this.address, this.#store);
    if (!addressee) return false;
    this.#note(packet);
    let acknowledged = false;
    for (const instruction of said.instructions) {
      if (this.#obey(instruction, addressee)) acknowledged = true;
    }
    return acknowledged;
  }

  #accessoryAddressee({ to, instructions }: TrackPacket): Addressee | undefined {
    const own = this.address;
    if (!own || (to.kind !== "accessory" && to.kind !== "extended-accessory")) return undefined;
    if (own.kind !== "accessory-output") {
      return own.kind === to.kind && own.number === to.number ? "own" : undefined;
    }
    // By the output address method it has one pair of outputs, and its CVs are reached through these.
    const pair = outputPair(own.number);
    if (to.kind !== "accessory" || to.number !== pair.decoder) return undefined;
    const [instruction] = instructions;
    const output = instruction?.kind === "output" ? instruction.output : to.output;
    return output === undefined || output >> 1 === pair.output >> 1 ? "own" : undefined;
  }

  #obey(instruction: Instruction, addressee: Addressee): boolean {
    const store = this.#store;
    switch (instruction.kind) {
      case "reset":
        this.#state = restingState;
        return false;
      case "hard-reset":
        store.toFactory([29, 31, 32]);
        store.set(19, 255, 0);
        this.#state = restingState;
        return false;
      case "extended-addressing":
        store.set(29, 32, instruction.on ? 32 : 0);
        return false;
      case "acknowledge":
        return instruction.on;
      case "consist":
        if (addressee === "own") store.set(19, 255, instruction.address | (instruction.reversed ? 128 : 0));
        return false;
      case "cv-short":
        // One packet is enough (S-9.2.1, July 2012, section C).
        return addressee === "own" && store.write(instruction.cv, 255, instruction.value);
      case "cv": {
        // Two identical packets, and not at the consist address (S-9.2.1, July 2012, section C).
        if (addressee !== "own" || this.#count !== 2) return false;
        const { operation, cv, value, bit } = instruction;
        const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
        return operation === "write" ? store.write(cv, mask, bits) : this.#holds(cv, mask, bits);
      }
      default:
        this.#state = drive(this.#state, instruction, addressee, store);
        return false;
    }
  }
}

function isSound(packet: Packet): boolean {
  try {
    checkPacket(packet, 3, 6);
    return true;
  } catch (error) {
    if (error instanceof CvError) return false;
    throw error;
  }
}
