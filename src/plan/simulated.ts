import { CvError, CvSet } from "../cv/index.js";
import { cvOfRegister, cvOnPage } from "./access.js";
import { accessoryAddress, type DecoderAddress, ownAddress } from "./address.js";
import { type DecoderLike, type KnownDecoder, look } from "./model.js";
import { checkPacket, type Packet, packetFromText } from "./packet.js";
import { drive, type Hearing, hearing, type RunningState, restingState } from "./running.js";
import { type Sequence, serviceTimeoutMilliseconds } from "./sequence.js";
import { looksLikeService, parseServicePacket, type ServiceInstruction } from "./service.js";
import { CvStore } from "./store.js";
import { parseTrackPacket, type TrackPacket } from "./track.js";

/** How long a simulated decoder is busy with a factory reset unless its power is cut: a guess, as makers differ. */
const resetMilliseconds = 1000;

/**
 * A decoder without a locomotive, for trying out plans, and for the tests of every program that sends
 * packets: it obeys what the standards say, and nothing else. Give it packets, and see what it does.
 *
 * It knows service mode with entry, time-out, two identical packets, all four methods and the
 * acknowledgement (S-9.2.3, July 2012); operations mode with addresses, consist, speed, functions and
 * access to CVs (S-9.2.1, July 2012); index pages, the pair CV 17 and 18, the lock, read-only CVs, what
 * writing CV 1 clears, and the factory reset (S-9.2.2, S-9.2.3). Packets with a wrong error byte, or with
 * a pattern that is reserved, are ignored, as on the track.
 *
 * What no standard fixes is chosen: a factory reset takes effect when power comes back, or after a second;
 * until then the decoder is deaf. On the main a CV verify is acknowledged as in service mode, which stands
 * for the bi-directional reply.
 * @example
 * import { CvSet } from "cvset";
 * import { accessSequence, SimulatedDecoder } from "cvset/plan";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3, 29: 6 }) });
 * const acknowledged = decoder.play(accessSequence("direct", { operation: "write", cv: 1, value: 9 }));
 * [acknowledged, decoder.cvs.get(1)]; // [true, 9]
 */
export class SimulatedDecoder {
  readonly #decoder: KnownDecoder;
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
   * @param decoder What decoder it is.
   * @param contents What its CVs hold; else the factory values. A factory value that is not known is 0.
   * @throws `CvError` when the contents have a CV that the decoder does not.
   */
  constructor(decoder: DecoderLike, contents: CvSet = CvSet.empty) {
    this.#decoder = look(decoder);
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
  get address(): DecoderAddress | undefined {
    if (this.#decoder.kind === "accessory") return accessoryAddress(this.#store);
    // Without CV 29 there is no extended address to switch to.
    return ownAddress({
      peek: (key) => (key === 29 ? Math.max(0, this.#store.peek(29)) : this.#store.peek(key)),
    });
  }

  /**
   * One packet arrives.
   * @param packet The bytes, error byte included.
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
   * Every packet of a sequence arrives.
   * @param sequence The packets, as {@link accessSequence} and {@link planSequences} give them.
   * @returns Whether the decoder acknowledged any.
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
   * Time goes by without a packet.
   * @param milliseconds How long.
   */
  wait(milliseconds: number): void {
    if (milliseconds >= serviceTimeoutMilliseconds) this.#leaveService();
    if (this.#resetting > 0) {
      this.#resetting -= milliseconds;
      if (this.#resetting <= 0) this.#finishReset();
    }
  }

  /** Power goes off and on again. */
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
    const { modes } = this.#decoder;
    switch (instruction.type) {
      case "reset":
        return false;
      case "direct": {
        const { operation, cv, value, bit } = instruction;
        if (modes && !modes.includes("direct")) return false;
        const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
        return operation === "write" ? this.#write(cv, mask, bits) : this.#holds(cv, mask, bits);
      }
      case "register":
        return this.#serveRegister(instruction);
    }
  }

  #serveRegister({ operation, register, value }: Extract<ServiceInstruction, { type: "register" }>): boolean {
    const { modes } = this.#decoder;
    const understands = (...names: readonly ("register" | "paged" | "address-only")[]): boolean =>
      !modes || names.some((name) => modes.includes(name));
    if (register === 6) {
      if (!understands("paged", "register")) return false;
      if (operation === "verify") return this.#pageRegister === value;
      this.#pageRegister = value;
      return true;
    }
    if (register > 4 ? !understands("register") : register > 1 && !understands("register", "paged"))
      return false;
    if (register === 1 && !understands("register", "paged", "address-only")) return false;
    const cv = register > 4 ? cvOfRegister(register) : cvOnPage(this.#pageRegister, register);
    return operation === "write" ? this.#write(cv, 255, value) : this.#holds(cv, 255, value);
  }

  #holds(cv: number, mask: number, bits: number): boolean {
    const value = this.#store.read(cv);
    return value >= 0 && (value & mask) === bits;
  }

  #write(cv: number, mask: number, bits: number): boolean {
    if (cv === 8 && mask === 255 && bits === 8 && this.#store.peek(8) >= 0) {
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
      said = parseTrackPacket(packet, { steps: this.#store.peek(29) & 2 ? 28 : 14 });
    } catch (error) {
      if (error instanceof CvError) return false;
      throw error;
    }
    const heard =
      this.#decoder.kind === "accessory"
        ? this.#accessoryHears(said)
        : hearing(said.to, this.address, this.#store.peek(19));
    if (!heard) return false;
    this.#note(packet);
    let acknowledged = false;
    for (const instruction of said.instructions) {
      if (this.#obey(instruction, heard)) acknowledged = true;
    }
    return acknowledged;
  }

  #accessoryHears({ to, instructions }: TrackPacket): Hearing | undefined {
    const own = this.address;
    if (!own || own.type !== to.type || own.number !== ("number" in to ? to.number : -1)) return undefined;
    if (own.type !== "accessory" || own.output === undefined) return "own";
    // By the output address method it has one pair of outputs, and CVs are reached through these.
    const [instruction] = instructions;
    const output =
      instruction?.type === "output" ? instruction.output : "output" in to ? to.output : undefined;
    return output === undefined || output >> 1 === own.output >> 1 ? "own" : undefined;
  }

  #obey(instruction: TrackPacket["instructions"][number], heard: Hearing): boolean {
    const store = this.#store;
    switch (instruction.type) {
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
        if (heard === "own") store.set(19, 255, instruction.address | (instruction.reversed ? 128 : 0));
        return false;
      case "cv-short":
        // One packet is enough (S-9.2.1, July 2012, section C).
        return heard === "own" && store.write(instruction.cv, 255, instruction.value);
      case "cv": {
        // Two identical packets, and not at the consist address (S-9.2.1, July 2012, section C).
        if (heard !== "own" || this.#count !== 2) return false;
        const { operation, cv, value, bit } = instruction;
        const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
        return operation === "write" ? store.write(cv, mask, bits) : this.#holds(cv, mask, bits);
      }
      default:
        this.#state = drive(this.#state, instruction, heard, store);
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
