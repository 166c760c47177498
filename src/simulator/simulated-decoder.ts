import { aBoolean, aNumber, aText, listOf, made, need, needIn, objectOf } from "../cv/argument.js";
import { isInstance } from "../cv/brand.js";
import { CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { CvError, fault } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type AccessMode, cvOfRegister, cvOnPage } from "../packets/access-mode.js";
import { type DecoderFacts, type DecoderModel, decoderFacts } from "../packets/decoder-model.js";
import type { Instruction } from "../packets/instruction.js";
import { checkPacket, type Packet, packetFromText } from "../packets/packet.js";
import { type Sequence, serviceTimeoutMilliseconds } from "../packets/sequence.js";
import { looksLikeService, parseServicePacket, type ServiceInstruction } from "../packets/service-packet.js";
import { parseTrackPacket, type TrackPacket } from "../packets/track-packet.js";
import { outputsOfAddress } from "../standard/accessory-output.js";
import type { Address } from "../standard/address.js";
import { accessoryAddressInUse, addressInUse } from "../standard/address-in-use.js";
import { CvStore } from "./cv-store.js";
import { type Addressee, addresseeOf, drive, type RunningState, restingState } from "./running-state.js";

const notSimulated = /* @__PURE__ */ fault(
  "not-a-simulated-decoder",
  "expected a simulated decoder, as new SimulatedDecoder() makes it, got {found}",
);
/** A simulated decoder, of any copy of this library. */
export const aSimulatedDecoder = /* @__PURE__ */ made(["SimulatedDecoder"], notSimulated);
const ofSimulating = /* @__PURE__ */ objectOf({ "clearsOnMain?": aBoolean });
// A broken packet is ignored; what is no packet at all is a mistake of the program.
const aPacket = /* @__PURE__ */ listOf(aNumber);
const aSequence = /* @__PURE__ */ objectOf({
  parts: /* @__PURE__ */ listOf(/* @__PURE__ */ objectOf({ purpose: aText, packet: aText, times: aNumber })),
});

/**
 * A decoder without a locomotive, to test plans and programs that send packets: it does what the standards
 * say, and nothing else.
 *
 * It has service mode with entry, time-out, two identical packets, all four methods and the acknowledgement
 * (S-9.2.3, July 2012); operations mode with addresses, consist, speed, functions and access to CVs (S-9.2.1 (July 2012),
 * July 2012); index pages, the pair CV 17 and 18, the lock, read-only CVs, what writing CV 1 clears, and the
 * factory reset (S-9.2.2 (July 2012), S-9.2.3 (July 2012)). After a factory reset CV 8 holds 255 until the power
 * was off and on. Packets with a wrong error byte or a reserved pattern are ignored.
 *
 * Where the standards leave it open, it is chosen: whether writing CV 1 on the main clears CV 19 and bit 5 of
 * CV 29 is an option. Between a factory reset and the power cycle no write is obeyed. A locked decoder obeys a
 * factory reset. CV 17 is read as before until CV 18 is written. On the main a CV verify is acknowledged as in
 * service mode, in place of the bi-directional reply.
 * @example
 * import { CvSet } from "cvset";
 * import { accessSequence } from "cvset/packets";
 * import { SimulatedDecoder } from "cvset/simulator";
 * const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3, 29: 6 }) });
 * const acknowledged = decoder.play(accessSequence("direct", { operation: "write", cv: 1, value: 9 }));
 * [acknowledged, decoder.cvs.get(1)]; // [true, 9]
 */
export class SimulatedDecoder {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "SimulatedDecoder" {
    return "SimulatedDecoder";
  }

  /** @internal */
  static [Symbol.hasInstance](value: unknown): value is SimulatedDecoder {
    // biome-ignore lint/complexity/noThisInStatic: a class that extends this one inherits it.
    return isInstance(this, SimulatedDecoder, "SimulatedDecoder", value);
  }
  readonly #decoder: DecoderFacts;
  readonly #store: CvStore;
  #state: RunningState = restingState;
  readonly #clearsOnMain: boolean;
  /**
   * Undefined in operations mode. `"left"`: service mode has ended, and no packet of operations mode has come
   * (S-9.2.3 (July 2012), section C).
   */
  #mode: "service" | "left" | undefined;
  /** Milliseconds since the last reset or service-mode packet. */
  #quiet = 0;
  /** Whether the last packet was a reset, so that a service-mode packet may follow. */
  #armed = false;
  /** The last packet for this decoder, and how often in a row it came. */
  #last: Packet = [];
  #count = 0;
  #pageRegister = 1;
  /** Whether a factory reset waits for the power to go off and on. */
  #resetting = false;

  /**
   * @param decoder The description of the decoder, or a model of it.
   * @param contents What its CVs hold, where it is not the factory value. A factory value that is not known
   *   is 0.
   * @param options `clearsOnMain`: whether a write of CV 1 on the main clears CV 19 and bit 5 of CV 29, as one
   *   in service mode does. S-9.2.3 (July 2012), section E says "using any method"; it is a document about
   *   service mode, so decoders of both kinds are to be expected. Not unless given.
   * @throws `CvError` when the contents have a CV that the decoder does not have.
   */
  constructor(
    decoder: AnyDecoder | DecoderModel,
    contents: CvsLike = CvSet.empty,
    options: { readonly clearsOnMain?: boolean } = {},
  ) {
    needIn(ofSimulating, options, "options");
    this.#decoder = decoderFacts(decoder);
    this.#clearsOnMain = options.clearsOnMain ?? false;
    this.#store = new CvStore(this.#decoder, toCvSet(contents, "contents"));
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
    return this.#mode === "service";
  }

  /** The address that it answers to on the main; undefined when its CVs hold no valid one. */
  get address(): Address | undefined {
    const store = this.#store;
    if (this.#decoder.kind === "accessory") return accessoryAddressInUse(store);
    // A decoder without CV 29 has its primary address only.
    return addressInUse({ get: (cv: number) => store.get(cv) ?? (cv === 29 ? 0 : undefined) });
  }

  /**
   * Receives one packet.
   * @param packet The bytes, error byte included. A broken packet is ignored.
   * @returns Whether the decoder acknowledges it.
   */
  receive(packet: Packet): boolean {
    need(aPacket, packet, "packet");
    if (!isSound(packet)) return false;
    const reset = packet.length === 3 && packet[0] === 0 && packet[1] === 0;
    if (reset) {
      if (this.#mode === "left") this.#mode = undefined;
      this.#armed = true;
      this.#quiet = 0;
      this.#note(packet);
      this.#state = restingState;
      return false;
    }
    if (looksLikeService(packet) && (this.#mode === "service" || this.#armed)) {
      this.#mode = "service";
      this.#quiet = 0;
      this.#note(packet);
      // It acts on the second of two identical packets, and once.
      return this.#count === 2 && this.#serve(packet);
    }
    if (this.#mode === "service") {
      // The packet that ends service mode is not obeyed (S-9.2.3, July 2012, section C).
      this.#leaveService();
      return false;
    }
    if (this.#mode === "left") {
      // A late service-mode packet is none of operations mode (S-9.2.3, July 2012, section C).
      if ((packet[0] as number) >> 4 === 7) return false;
      this.#mode = undefined;
    }
    this.#armed = false;
    return this.#operate(packet);
  }

  /**
   * Receives every packet of a sequence.
   * @param sequence The packets, as `accessSequence` and `planSequences` give them.
   * @returns Whether the decoder acknowledged a packet of a part with `answers`: it obeyed, or holds the value.
   * @throws `CvError` when a packet of the sequence is not a packet text.
   */
  play(sequence: Sequence): boolean {
    need(aSequence, sequence, "sequence");
    let answered = false;
    let acknowledged = false;
    for (const { packet, times, untilAcknowledged, onlyAcknowledged, answers } of sequence.parts) {
      if (onlyAcknowledged && !acknowledged) continue;
      const bytes = packetFromText(packet);
      acknowledged = false;
      for (let i = 0; i < times; i++) {
        if (this.receive(bytes)) acknowledged = true;
        if (acknowledged && untilAcknowledged) break;
      }
      if (answers && acknowledged) answered = true;
    }
    return answered;
  }

  /**
   * Lets time pass without a packet.
   * @param milliseconds How long.
   */
  wait(milliseconds: number): void {
    need(aNumber, milliseconds, "milliseconds");
    this.#quiet += milliseconds;
    if (this.#quiet < serviceTimeoutMilliseconds) return;
    this.#armed = false;
    if (this.#mode === "service") this.#leaveService();
  }

  /** Switches the power off and on again. */
  powerCycle(): void {
    this.#leaveService();
    this.#mode = undefined;
    if (this.#resetting) this.#store.toFactory();
    this.#resetting = false;
    this.#store.losePower();
    this.#state = restingState;
    this.#pageRegister = 1;
  }

  #leaveService(): void {
    this.#mode = "left";
    this.#armed = false;
    this.#last = [];
    this.#count = 0;
  }

  #note(packet: Packet): void {
    const same = packet.length === this.#last.length && packet.every((byte, i) => byte === this.#last[i]);
    this.#count = same ? this.#count + 1 : 1;
    if (!same) this.#last = [...packet];
  }

  #serve(packet: Packet): boolean {
    const instruction = read(() => parseServicePacket(packet));
    if (!instruction) return false;
    if (instruction.kind === "register") return this.#serveRegister(instruction);
    // What looks like a packet of service mode is no reset.
    const { operation, cv, value, bit } = instruction as Extract<ServiceInstruction, { kind: "direct" }>;
    if (!this.#supports("direct")) return false;
    const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
    return this.#access(operation, cv, mask, bits);
  }

  #serveRegister({ operation, register, value }: Extract<ServiceInstruction, { kind: "register" }>): boolean {
    if (register === 6) {
      if (!this.#supports("paged")) return false;
      if (operation === "verify") return this.#pageRegister === value;
      this.#pageRegister = value;
      return true;
    }
    const cv = cvOfRegister(register);
    // The factory reset has a packet of its own, which belongs to no method.
    if (register === 8 && operation === "write" && value === 8) return this.#write(8, 255, 8);
    if (register > 4) {
      if (cv === undefined || !this.#supports("register")) return false;
      return this.#access(operation, cv, 255, value);
    }
    // Address-only mode has register 1 alone, and seven bits of data: 0DDDDDDD.
    const supported =
      this.#supports("register", "paged") ||
      (this.#supports("address-only") && register === 1 && value < 128);
    // Without paged mode there is no page register, and registers 1-4 are CV 1-4.
    const page = this.#supports("paged") ? this.#pageRegister : 1;
    return supported && this.#access(operation, cvOnPage(page, register), 255, value);
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
      this.#resetting = true;
      this.#store.set(8, 255, 255);
      return true;
    }
    return this.#obeyWrite(cv, mask, bits, true);
  }

  /** Writes a CV, and clears what a write of CV 1 "using any method" clears (S-9.2.3, July 2012, section E). */
  #obeyWrite(cv: number, mask: number, bits: number, clears: boolean): boolean {
    if (this.#resetting || !this.#store.write(cv, mask, bits)) return false;
    if (cv === 1 && clears && this.#decoder.kind === "multifunction") {
      this.#store.set(29, 32, 0);
      this.#store.set(19, 255, 0);
    }
    return true;
  }

  #operate(packet: Packet): boolean {
    const steps = (this.#store.get(29) ?? 2) & 2 ? 28 : 14;
    const said = read(() => parseTrackPacket(packet, { steps }));
    if (!said) return false;
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
    if (to.kind === "broadcast" && to.to === "accessory") {
      // Outputs are of basic decoders, aspects of extended ones.
      const basic = own?.kind !== "extended-accessory";
      return (instructions[0]?.kind === "output") === basic ? "broadcast" : undefined;
    }
    if (!own || (to.kind !== "accessory" && to.kind !== "extended-accessory")) return undefined;
    if (own.kind !== "accessory-output") {
      return own.kind === to.kind && own.number === to.number ? "own" : undefined;
    }
    // By the output address method it has one pair of outputs, and its CVs are reached through these.
    const pair = outputsOfAddress(own.number);
    if (to.kind !== "accessory" || to.number !== pair.decoder) return undefined;
    const [instruction] = instructions;
    const output = instruction?.kind === "output" ? instruction.output : to.output;
    return output === undefined || output >> 1 === pair.output >> 1 ? "own" : undefined;
  }

  #obey(instruction: Instruction, addressee: Addressee): boolean {
    const store = this.#store;
    switch (instruction.kind) {
      case "reset":
        if (addressee !== "consist") this.#state = restingState;
        return false;
      case "hard-reset":
        if (addressee === "consist") return false;
        store.toFactory([29, 31, 32]);
        store.set(19, 255, 0);
        this.#state = restingState;
        return false;
      case "extended-addressing":
        if (addressee !== "consist") store.set(29, 32, instruction.on ? 32 : 0);
        return false;
      case "acknowledge":
        return addressee !== "consist" && instruction.on;
      case "consist":
        if (addressee === "own") store.set(19, 255, instruction.address | (instruction.reversed ? 128 : 0));
        return false;
      case "cv-short":
        // One packet is enough, at the consist address too (S-9.2.1, July 2012, section C).
        return (
          addressee !== "broadcast" &&
          this.#obeyWrite(instruction.cv, 255, instruction.value, this.#clearsOnMain)
        );
      case "cv": {
        // Not at the consist address; a write needs two identical packets, a verify one (S-9.2.1 (July 2012),
        // section C).
        if (addressee !== "own") return false;
        const { operation, cv, value, bit } = instruction;
        const [mask, bits] = bit === undefined ? [255, value] : [1 << bit, value << bit];
        if (operation === "verify") return this.#holds(cv, mask, bits);
        return this.#count === 2 && this.#obeyWrite(cv, mask, bits, this.#clearsOnMain);
      }
      case "cv-legacy":
        return (
          addressee === "own" &&
          this.#count === 2 &&
          this.#obeyWrite(instruction.cv, 255, instruction.value, this.#clearsOnMain)
        );
      default:
        this.#state = drive(this.#state, instruction, addressee, store);
        return false;
    }
  }
}

/** What a packet is read as; undefined for a broken one, and for a reserved pattern. */
function read<Read>(parse: () => Read): Read | undefined {
  try {
    return parse();
  } catch (error) {
    if (error instanceof CvError) return undefined;
    throw error;
  }
}

function isSound(packet: Packet): boolean {
  return (
    read(() => {
      checkPacket(packet, 3, 6);
      return true;
    }) ?? false
  );
}
