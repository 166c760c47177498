/**
 * A decoder as a slow, plain state machine, written from the texts of S-9.2 (July 2004), S-9.2.1 (July 2012),
 * S-9.2.2 (July 2012) and S-9.2.3 (July 2012) and not from the simulated decoder. It shares no code with the
 * package: bytes of packets and times go in, the acknowledgement comes out, and the CVs can be looked at. Where
 * the texts leave a choice, "Choice:" says which one is taken.
 */

export interface SlowOptions {
  readonly kind: "multifunction" | "accessory";
  /** The CVs that the decoder has, with the factory's values; 257 to 512 are "page:cv" with page = CV 31 * 256 + CV 32. */
  readonly factory: Readonly<Record<string, number>>;
  /** The values held at power-on, where they differ from the factory's. */
  readonly held?: Readonly<Record<string, number>>;
  /** The ways of service mode that the decoder obeys. */
  readonly service: readonly ("direct" | "paged" | "register" | "address-only")[];
  /** Whether a write of CV 1 on the main clears CV 19 and CV 29 bit 5 as one in service mode does. */
  readonly clearsOnMain: boolean;
}

const groupOne = ["F1", "F2", "F3", "F4"];

export class SlowDecoder {
  readonly cvs = new Map<string, number>();
  readonly on = new Set<string>();
  readonly states = new Set<number>();
  analog = new Map<number, number>();
  /** Speed as it was last commanded: in steps of its own scale, 0 for stop. */
  speed = { steps: 128, step: 0, forward: true, emergency: false };
  outputs = new Map<number, boolean>();
  aspect: number | undefined;
  resetPending = false;

  private mode: "operations" | "service" | "left" = "operations";
  private lastServiceAt = Number.NEGATIVE_INFINITY;
  private afterReset = false;
  private previous = "";
  private repeats = 0;
  private previousMain = "";
  private mainRepeats = 0;
  private pageRegister = 1;
  // CV 17 takes effect when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte).
  private waiting17: number | undefined;

  constructor(private readonly options: SlowOptions) {
    for (const [key, value] of Object.entries({ ...options.factory, ...options.held }))
      this.cvs.set(key, value);
  }

  /** Power off and on: memory of the track is lost, and CVs of a factory reset are back at their factory values. */
  powerCycle(): void {
    this.mode = "operations";
    this.afterReset = false;
    this.previous = "";
    this.repeats = 0;
    this.previousMain = "";
    this.mainRepeats = 0;
    this.pageRegister = 1;
    this.lastServiceAt = Number.NEGATIVE_INFINITY;
    this.forgetTheTrack();
    if (this.resetPending) {
      this.resetPending = false;
      this.cvs.clear();
      for (const [key, value] of Object.entries(this.options.factory)) this.cvs.set(key, value);
    }
    this.waiting17 = undefined;
  }

  /** One packet, error byte included, at a time in milliseconds. Returns whether the decoder acknowledges it. */
  packet(bytes: readonly number[], at: number): boolean {
    // S-9.2.3 (July 2012), section C: service mode ends 20 ms after the last reset or service-mode packet.
    if (this.mode === "service" && at - this.lastServiceAt >= 20) this.leaveService();
    // A reset packet opens service mode only for a packet that comes within the same time. (Choice.)
    if (this.afterReset && at - this.lastServiceAt >= 20) this.afterReset = false;
    if (bytes.length < 3 || bytes.length > 6 || bytes.reduce((all, byte) => all ^ byte, 0) !== 0)
      return false;
    const first = bytes[0]!;
    const reset = bytes.length === 3 && first === 0 && bytes[1] === 0;
    const service = first >= 112 && first <= 127 && (bytes.length === 3 || bytes.length === 4);
    if (this.mode === "service") {
      if (reset) {
        this.lastServiceAt = at;
        this.previous = "";
        this.repeats = 0;
        return false;
      }
      if (!service) {
        // "which is not obeyed: the decoder exits but does not enter operations mode"
        this.leaveService();
        return false;
      }
      this.lastServiceAt = at;
      return this.servicePacket(bytes);
    }
    if (service && this.afterReset) {
      this.mode = "service";
      this.previous = "";
      this.repeats = 0;
      this.lastServiceAt = at;
      return this.servicePacket(bytes);
    }
    if (this.mode === "left") {
      // Operations mode again only on a valid packet that is not identical to one of service mode (first byte 112-127).
      if (first >= 112 && first <= 127) return false;
      this.mode = "operations";
    }
    if (reset) {
      this.afterReset = true;
      this.lastServiceAt = at;
      this.previousMain = "";
      this.mainRepeats = 0;
      this.forgetTheTrack();
      return false;
    }
    this.afterReset = false;
    return this.operationsPacket(bytes);
  }

  /** What the decoder does, as text: speed, functions, states, outputs. */
  running(): string {
    const { steps, step, forward, emergency } = this.speed;
    const functions = [...this.on]
      .map((name) => (name === "FL" ? 0 : Number(name.slice(1))))
      .sort((a, b) => a - b);
    const states = [...this.states].sort((a, b) => a - b);
    const analog = [...this.analog].sort(([a], [b]) => a - b).map((pair) => pair.join("="));
    const outputs = [...this.outputs].flatMap(([output, on]) => (on ? [output] : [])).sort((a, b) => a - b);
    return [
      step,
      steps,
      emergency,
      forward,
      `F${functions}`,
      `${states.length}:${states.slice(0, 9)}`,
      `A${analog}`,
      `O${outputs}`,
    ].join(" ");
  }

  private leaveService(): void {
    this.mode = "left";
    this.afterReset = false;
    this.previous = "";
    this.repeats = 0;
  }

  private forgetTheTrack(): void {
    // S-9.2 (July 2004), reset packet: volatile memory is erased.
    this.speed = { steps: 128, step: 0, forward: true, emergency: false };
    this.on.clear();
    this.states.clear();
    this.analog.clear();
    this.outputs.clear();
    this.aspect = undefined;
  }

  // ---- service mode ----

  private servicePacket(bytes: readonly number[]): boolean {
    const text = bytes.join(" ");
    this.repeats = text === this.previous ? this.repeats + 1 : 1;
    this.previous = text;
    // Two identical packets; further repetitions of the same packet do nothing more. (Choice: no second acknowledgement.)
    if (this.repeats !== 2) return false;
    const [first, second, third] = bytes as [number, number, number];
    if (bytes.length === 4) {
      if (!this.options.service.includes("direct")) return false;
      const code = (first >> 2) & 3;
      const cv = ((first & 3) << 8) + second + 1;
      if (code === 1) return this.verifies(cv, third, 0xff);
      if (code === 3) return this.writes(cv, third, 0xff, true);
      if (code === 2 && third >> 5 === 7) {
        const bit = 1 << (third & 7);
        const wanted = third & 8 ? bit : 0;
        return third & 16 ? this.writes(cv, wanted, bit, true) : this.verifies(cv, wanted, bit);
      }
      return false;
    }
    const register = (first & 7) + 1;
    const write = (first & 8) !== 0;
    // The factory reset is a sequence of its own in section E, beside the methods.
    if (register === 8 && write && second === 8) return this.writes(8, 8, 0xff, true);
    const { service } = this.options;
    const registers = service.includes("register") || service.includes("paged");
    if (!registers) {
      // Address-only: CV 1, seven bits.
      if (!service.includes("address-only") || register !== 1 || second > 127) return false;
      return write ? this.writes(1, second, 0xff, true) : this.verifies(1, second, 0xff);
    }
    if (register === 6) {
      if (!service.includes("paged")) return false;
      if (!write) return second === this.pageRegister;
      this.pageRegister = second;
      return true;
    }
    let cv: number;
    if (register <= 4) {
      const page = this.pageRegister === 0 ? 256 : this.pageRegister;
      cv = service.includes("paged") ? (page - 1) * 4 + register : register;
    } else if (service.includes("register")) cv = register === 5 ? 29 : register;
    else return false;
    return write ? this.writes(cv, second, 0xff, true) : this.verifies(cv, second, 0xff);
  }

  private keyOf(cv: number): string {
    if (cv < 257 || cv > 512) return String(cv);
    return `${(this.cvs.get("31") ?? 0) * 256 + (this.cvs.get("32") ?? 0)}:${cv}`;
  }

  private verifies(cv: number, value: number, mask: number): boolean {
    const held = this.cvs.get(this.keyOf(cv));
    // Choice: the lock of CV 15 and 16 holds writes back, not verifies ("a CV write is obeyed only where ...").
    return held !== undefined && (held & mask) === (value & mask);
  }

  private writes(cv: number, value: number, mask: number, service: boolean): boolean {
    const key = this.keyOf(cv);
    const held = cv === 17 && this.waiting17 !== undefined ? this.waiting17 : this.cvs.get(key);
    if (held === undefined) return false;
    if (cv === 8) {
      // S-9.2.3 (July 2012): a write of 8 to CV 8 asks for the factory's values; CV 8 holds 255 until all are back.
      // Choice: it is a request and not a write, so that the lock does not hold it back.
      if (!service || mask !== 0xff || value !== 8) return false;
      this.resetPending = true;
      this.cvs.set("8", 255);
      return true;
    }
    // Choice: until the CVs are rewritten, no write is obeyed.
    if (this.resetPending) return false;
    const next = (held & ~mask) | (value & mask);
    const locked = this.cvs.has("15") && this.cvs.has("16") && this.cvs.get("15") !== this.cvs.get("16");
    // CV 15 itself stays writable: it is the key.
    if (locked && cv !== 15) return false;
    if (cv === 7) return false;
    const multifunction = this.options.kind === "multifunction";
    if (multifunction && cv === 1 && next > 127) return false;
    // CV 17 takes effect when CV 18 is written. Choice: until then it is read as before, and forgotten without power.
    if (multifunction && cv === 17 && this.cvs.has("18")) {
      this.waiting17 = next;
      return true;
    }
    if (multifunction && cv === 18 && this.waiting17 !== undefined) {
      this.cvs.set("17", this.waiting17);
      this.waiting17 = undefined;
    }
    this.cvs.set(key, next);
    if (multifunction && cv === 1 && (service || this.options.clearsOnMain)) {
      // S-9.2.3 (July 2012), section E.
      if (this.cvs.has("19")) this.cvs.set("19", 0);
      const cv29 = this.cvs.get("29");
      if (cv29 !== undefined) this.cvs.set("29", cv29 & ~32);
    }
    return true;
  }

  private longAddress(): number {
    const high = this.cvs.get("17") ?? 0;
    return high >= 192 && high <= 231 ? (high - 192) * 256 + (this.cvs.get("18") ?? 0) : -1;
  }

  // ---- operations mode ----

  private operationsPacket(bytes: readonly number[]): boolean {
    const first = bytes[0]!;
    if (first === 255 || (first >= 232 && first <= 254)) return false;
    if (this.options.kind === "accessory") {
      return first >= 128 && first <= 191 ? this.accessoryPacket(bytes) : false;
    }
    if (first >= 128 && first <= 191) return false;
    const long = first >= 192;
    const rest = bytes.slice(long ? 2 : 1, -1);
    if (rest.length === 0) return false;
    const usesLong = ((this.cvs.get("29") ?? 0) & 32) !== 0;
    const number = long ? (first - 192) * 256 + bytes[1]! : first;
    const own = long
      ? usesLong && number === this.longAddress()
      : !usesLong && number === this.cvs.get("1") && number > 0;
    const consistNumber = (this.cvs.get("19") ?? 0) & 127;
    const consist = !long && number > 0 && number === consistNumber;
    const broadcast = !long && number === 0;
    if (!own && !consist && !broadcast) return false;
    const parts = this.split(rest);
    if (parts === undefined) return false;
    let answered = false;
    // Two identical packets, with no other packet to this decoder between them.
    const text = bytes.join(" ");
    if (text !== this.previousMain) {
      this.previousMain = text;
      this.mainRepeats = 0;
    }
    this.mainRepeats += 1;
    for (const part of parts) answered = this.instruction(part, own, consist, broadcast) || answered;
    return answered;
  }

  /** The instructions of a packet, or undefined where one is unknown, cut off, or not allowed beside another. */
  private split(rest: readonly number[]): number[][] | undefined {
    const parts: number[][] = [];
    let at = 0;
    let advanced = 0;
    let consists = 0;
    let accesses = 0;
    while (at < rest.length) {
      const byte = rest[at]!;
      let length = 0;
      if (byte < 0x10) length = [0x00, 0x01, 0x0a, 0x0b, 0x0e, 0x0f].includes(byte) ? 1 : 0;
      else if (byte === 0x12 || byte === 0x13) length = 2;
      else if (byte === 0x3f || byte === 0x3e) length = 2;
      else if (byte === 0x3d) length = 3;
      else if (byte >= 0x40 && byte <= 0xbf) length = 1;
      else if (byte === 0xc0) length = 3;
      else if (byte >= 0xdd && byte <= 0xdf) length = 2;
      else if (byte >= 0xe0 && byte <= 0xef && (byte & 0x0c) !== 0) length = 3;
      else if (byte === 0xf2 || byte === 0xf3 || byte === 0xf9) length = 2;
      if (length === 0 || at + length > rest.length) return undefined;
      const second = rest[at + 1]!;
      // Choice: a packet whose layout is broken in one instruction is ignored as a whole.
      if ((byte === 0x12 || byte === 0x13 || byte === 0xf9) && second > 127) return undefined;
      if (byte === 0x3e && (second & 64) !== 0) return undefined;
      if (byte >= 0xe8 && byte <= 0xeb && rest[at + 2]! >> 5 !== 7) return undefined;
      if (byte >> 4 === 3) advanced += 1;
      if (byte >> 4 === 1) consists += 1;
      if (byte >= 0xe0) accesses += 1;
      parts.push(rest.slice(at, at + length));
      at += length;
    }
    // "Only one CV access or one advanced-operations instruction to a packet"; a speed in 128 steps beside the short form is allowed.
    if (advanced > 1 || consists > 1 || accesses > 1) return undefined;
    const access = parts.find((part) => part[0]! >= 0xe0);
    if (advanced === 1 && access !== undefined && access[0]! < 0xf0) return undefined;
    return parts;
  }

  private instruction(part: readonly number[], own: boolean, consist: boolean, broadcast: boolean): boolean {
    const [byte, second, third] = part as [number, number, number];
    const consistNumber = (this.cvs.get("19") ?? 0) & 127;
    const usesLong = ((this.cvs.get("29") ?? 0) & 32) !== 0;
    // A decoder whose consist address equals its own goes on obeying speed and direction.
    const inConsist = consistNumber !== 0 && (usesLong || consistNumber !== this.cvs.get("1"));
    const atConsist = consist;
    const takesSpeed = broadcast || atConsist || (own && !inConsist);
    const steps28 = ((this.cvs.get("29") ?? 0) & 2) !== 0;
    if (byte < 0x10) return this.control(byte, own, broadcast);
    if (byte === 0x12 || byte === 0x13) {
      // Choice: consist control is obeyed at the own address.
      if (own && this.cvs.has("19")) this.cvs.set("19", second | (byte === 0x13 ? 128 : 0));
      return false;
    }
    if (byte === 0x3f) {
      if (takesSpeed) {
        const value = second & 127;
        this.speed = {
          steps: 128,
          step: Math.max(0, value - 1),
          forward: this.turned(second > 127, own, consist),
          emergency: value === 1,
        };
      }
      return false;
    }
    if (byte === 0x3e) return false;
    if (byte === 0x3d) {
      if (own || broadcast) this.analog.set(second, third);
      return false;
    }
    if (byte >= 0x40 && byte <= 0x7f) {
      const forward = this.turned((byte & 32) !== 0, own, consist);
      if (steps28) {
        if (!takesSpeed) return false;
        const code = ((byte & 15) << 1) | ((byte >> 4) & 1);
        this.speed = { steps: 28, step: Math.max(0, code - 3), forward, emergency: code === 2 || code === 3 };
        return false;
      }
      const value = byte & 15;
      if (takesSpeed)
        this.speed = { steps: 14, step: Math.max(0, value - 1), forward, emergency: value === 1 };
      this.setFunction("FL", (byte & 16) !== 0, own || broadcast, atConsist, forward);
      return false;
    }
    if (byte >= 0x80 && byte <= 0x9f) {
      groupOne.forEach((name, bit) => {
        this.setFunction(name, (byte & (1 << bit)) !== 0, own || broadcast, atConsist);
      });
      if (steps28) this.setFunction("FL", (byte & 16) !== 0, own || broadcast, atConsist);
      return false;
    }
    if (byte >= 0xa0 && byte <= 0xbf) {
      const start = byte & 16 ? 5 : 9;
      for (let bit = 0; bit < 4; bit++) {
        this.setFunction(`F${start + bit}`, (byte & (1 << bit)) !== 0, own || broadcast, atConsist);
      }
      return false;
    }
    if (byte === 0xc0 || byte === 0xdd) {
      // Choice: no CV says that binary states are obeyed at the consist address.
      if (!own && !broadcast) return false;
      const state = (second & 127) + (byte === 0xc0 ? third * 128 : 0);
      const top = byte === 0xc0 ? 32767 : 127;
      for (let each = state || 1; each <= (state || top); each++) {
        if (second & 128) this.states.add(each);
        else this.states.delete(each);
      }
      return false;
    }
    if (byte === 0xde || byte === 0xdf) {
      // Choice: CV 21 and 22 name F0 to F12 only.
      const start = byte === 0xde ? 13 : 21;
      for (let bit = 0; bit < 8; bit++) {
        this.setFunction(`F${start + bit}`, (second & (1 << bit)) !== 0, own || broadcast, false);
      }
      return false;
    }
    if (byte === 0xf9) return false; // for command stations (Appendix B)
    if (byte === 0xf2 || byte === 0xf3) {
      // The short form: one packet is enough, and the consist address is not excepted.
      if (!own && !consist) return false;
      return this.writes(byte === 0xf2 ? 23 : 24, second, 0xff, false);
    }
    // The long form: at the own address alone.
    return own ? this.longForm(byte, second, third) : false;
  }

  private longForm(byte: number, second: number, third: number): boolean {
    const cv = ((byte & 3) << 8) + second + 1;
    const code = (byte >> 2) & 3;
    const bits = code === 2;
    if (bits && third >> 5 !== 7) return false;
    const mask = bits ? 1 << (third & 7) : 0xff;
    const value = bits ? (third & 8 ? mask : 0) : third;
    const verify = code === 1 || (bits && (third & 16) === 0);
    if (verify) return this.verifies(cv, value, mask); // one packet is enough
    return this.mainRepeats === 2 ? this.writes(cv, value, mask, false) : false;
  }

  private control(byte: number, own: boolean, broadcast: boolean): boolean {
    if (!own && !broadcast) return false;
    const code = byte >> 1;
    const flag = byte & 1;
    if (code === 0) {
      if (flag) {
        for (const key of ["29", "31", "32"]) {
          const factory = this.options.factory[key];
          if (factory !== undefined) this.cvs.set(key, factory);
        }
        if (this.cvs.has("19")) this.cvs.set("19", 0);
      }
      this.forgetTheTrack();
      return false;
    }
    const cv29 = this.cvs.get("29");
    if (code === 5 && cv29 !== undefined) this.cvs.set("29", (cv29 & ~32) | (flag ? 32 : 0));
    return code === 7 && flag === 1;
  }

  /** The direction of the locomotive: CV 29 bit 0 turns it, and bit 7 of CV 19 what comes to the consist. */
  private turned(forward: boolean, own: boolean, consist: boolean): boolean {
    const reversed = ((this.cvs.get("29") ?? 0) & 1) !== 0;
    const turned = consist && !own && (this.cvs.get("19") ?? 0) > 127;
    return forward !== (reversed !== turned);
  }

  private setFunction(
    name: string,
    on: boolean,
    own: boolean,
    consist: boolean,
    forward = this.speed.forward,
  ): void {
    if (own || (consist && this.consistWorks(name, forward))) {
      if (on) this.on.add(name);
      else this.on.delete(name);
    }
  }

  private consistWorks(name: string, forward: boolean): boolean {
    const cv21 = this.cvs.get("21") ?? 0;
    const cv22 = this.cvs.get("22") ?? 0;
    if (name === "FL") return (cv22 & (forward ? 1 : 2)) !== 0;
    const number = Number(name.slice(1));
    if (number <= 8) return (cv21 & (1 << (number - 1))) !== 0;
    return number <= 12 && (cv22 & (1 << (number - 7))) !== 0;
  }

  // ---- accessory decoders ----

  private accessoryPacket(bytes: readonly number[]): boolean {
    const [first, second] = bytes as [number, number];
    const cv29 = this.cvs.get("29") ?? 0;
    const extended = (cv29 & 32) !== 0;
    const outputMethod = (cv29 & 64) !== 0;
    const cv1 = this.cvs.get("1") ?? 0;
    const cv9 = this.cvs.get("9") ?? 0;
    const rest = bytes.slice(2, -1);
    if (second >> 7 === 1) {
      if (extended) return false;
      const decoder = (first & 63) + ((~(second >> 4) & 7) << 6);
      const broadcast = decoder === 511;
      let own = false;
      if (outputMethod) {
        // Choice: the formula gives CV 1 and 9, and output address 1 is the first pair of decoder address 1.
        const output = cv9 * 256 + cv1;
        const bits = (output + 3) % 2048;
        const named = rest.length === 0 || (second & 8) !== 0;
        own = named && output <= 2047 && bits >> 2 === decoder && (bits & 3) === (second & 7) >> 1;
      } else own = cv1 <= 63 && cv9 <= 7 && cv9 * 64 + cv1 === decoder;
      if (!own && !broadcast) return false;
      if (rest.length === 0) {
        const output = second & 7;
        this.outputs.set(output, (second & 8) !== 0);
        this.noteMain(bytes);
        return false;
      }
      const whole = (second & 15) === 0;
      if (rest.length !== 3 || (rest[0]! & 0xf0) !== 0xe0 || (rest[0]! & 12) === 0 || broadcast) return false;
      if (!whole && (second & 8) === 0) return false;
      this.noteMain(bytes);
      return this.longForm(rest[0]!, rest[1]!, rest[2]!);
    }
    return false;
  }

  private noteMain(bytes: readonly number[]): void {
    const text = bytes.join(" ");
    if (text !== this.previousMain) {
      this.previousMain = text;
      this.mainRepeats = 0;
    }
    this.mainRepeats += 1;
  }
}
