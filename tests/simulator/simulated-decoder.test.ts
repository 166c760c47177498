import { CvSet } from "cvset";
import {
  type AccessMode,
  accessSequence,
  type CvAccess,
  directModeTest,
  factoryResetSequence,
  type Instruction,
  type Packet,
  packetText,
  type SequencePart,
  servicePacket,
  type TrackPacket,
  trackPacket,
} from "cvset/packets";
import { type DecoderModel, SimulatedDecoder } from "cvset/simulator";
import { describe, expect, test } from "vitest";
import { need } from "../../src/cv/argument.js";
import { aSimulatedDecoder } from "../../src/simulator/simulated-decoder.js";
import { saidBy } from "../support/said.js";

const resetPacket = servicePacket({ kind: "reset" });
const idlePacket = trackPacket({ to: { kind: "idle" }, instructions: [] });
const factoryResetPacket = servicePacket({ kind: "register", operation: "write", register: 8, value: 8 });

const factory = CvSet.from({
  1: 3,
  2: 10,
  3: 5,
  4: 5,
  7: 1,
  8: 13,
  15: 0,
  16: 0,
  17: 192,
  18: 0,
  19: 0,
  21: 0,
  22: 0,
  23: 0,
  29: 6,
  31: 16,
  32: 0,
  50: 7,
  894: 255,
  1024: 9,
  "257@16.0": 1,
  "257@16.1": 2,
});
const model: DecoderModel = { kind: "multifunction", factory };
const make = (contents: Record<string, number> = {}): SimulatedDecoder =>
  new SimulatedDecoder(model, CvSet.from(contents));

function send(decoder: SimulatedDecoder, ...packets: Packet[]): boolean[] {
  return packets.map((packet) => decoder.receive(packet));
}
const write = (cv: number, value: number): Packet =>
  servicePacket({ kind: "direct", operation: "write", cv, value });
const cv = (number: number, value: number): Instruction => ({
  kind: "cv",
  operation: "write",
  cv: number,
  value,
});
const verify = (cv: number, value: number): Packet =>
  servicePacket({ kind: "direct", operation: "verify", cv, value });

describe("S-9.2.3 (July 2012): entry, exit, acknowledgement", () => {
  test("nothing happens without a reset packet first", () => {
    const decoder = make();
    expect(send(decoder, write(50, 1), write(50, 1), write(50, 1))).toEqual([false, false, false]);
    expect([decoder.cvs.get(50), decoder.inServiceMode]).toEqual([7, false]);
  });

  test("it acts on the second of two identical packets, once", () => {
    const decoder = make();
    const packets = [resetPacket, write(50, 1), write(50, 1), write(50, 1)];
    expect(send(decoder, ...packets)).toEqual([false, false, true, false]);
    expect([decoder.cvs.get(50), decoder.inServiceMode]).toEqual([1, true]);
  });

  test("two packets that differ, or with another between them, are not two identical ones", () => {
    const decoder = make();
    send(decoder, resetPacket, write(50, 1), write(50, 2), write(50, 1), resetPacket, write(50, 1));
    expect(decoder.cvs.get(50)).toBe(7);
    send(decoder, write(50, 1));
    expect(decoder.cvs.get(50)).toBe(1);
  });

  test("a broken packet is not heard", () => {
    const decoder = make();
    const [a, b, c, d] = write(50, 1) as [number, number, number, number];
    send(decoder, resetPacket, write(50, 1), [a, b, c, d ^ 1], [a, b], [a, b, c, 256]);
    expect(decoder.cvs.get(50)).toBe(7);
  });

  test("service mode ends 20 ms after the last packet, and with any other packet", () => {
    for (const leave of [
      (decoder: SimulatedDecoder) => decoder.wait(20),
      (decoder: SimulatedDecoder) => decoder.powerCycle(),
      (decoder: SimulatedDecoder) => void decoder.receive(idlePacket),
    ]) {
      const decoder = make();
      send(decoder, resetPacket, verify(50, 7), verify(50, 7));
      expect(decoder.inServiceMode).toBe(true);
      leave(decoder);
      expect(decoder.inServiceMode).toBe(false);
      send(decoder, write(50, 1), write(50, 1));
      expect(decoder.cvs.get(50)).toBe(7);
    }
    const decoder = make();
    send(decoder, resetPacket, verify(50, 7));
    decoder.wait(19);
    expect(decoder.inServiceMode).toBe(true);
  });

  test("section C: the packet that ends service mode is not obeyed, nor a late service-mode packet after it", () => {
    const decoder = make({ 1: 114 });
    const to = { kind: "primary", number: 114 } as const;
    const drive = (step: number) =>
      trackPacket({ to, instructions: [{ kind: "speed", steps: 28, forward: true, step }] });
    send(
      decoder,
      resetPacket,
      verify(50, 7),
      verify(50, 7),
      trackPacket({ to: 3, instructions: [speed(9)] }),
    );
    expect([decoder.inServiceMode, decoder.state.step]).toEqual([false, 0]);
    // Register 3 verified with 62h, or step 1 to address 114: operations mode has not begun.
    send(decoder, drive(1), drive(1));
    expect(decoder.state.step).toBe(0);
    // A packet of operations mode ends the wait.
    send(decoder, idlePacket, drive(1));
    expect(decoder.state.step).toBe(1);
    // After 20 ms of silence it is the same.
    send(decoder, resetPacket, verify(50, 7));
    decoder.wait(20);
    send(decoder, drive(1), drive(1));
    expect(decoder.state.step).toBe(0);
  });

  test("section C: the time is counted from the last reset or service-mode packet, in pieces too", () => {
    const decoder = make();
    send(decoder, resetPacket, write(50, 1));
    decoder.wait(12);
    expect(decoder.inServiceMode).toBe(true);
    decoder.wait(8);
    expect(decoder.inServiceMode).toBe(false);
  });

  test("section E: the answer in paged mode is the acknowledgement of the data, for every value", () => {
    for (let value = 0; value < 256; value++) {
      const decoder = make({ 3: value });
      const play = (access: CvAccess) => decoder.play(accessSequence("paged", access));
      const wrong = { operation: "verify", cv: 3, value: value ^ 1 } as const;
      expect([play({ ...wrong, value }), play(wrong)]).toEqual([true, false]);
    }
    const locked = make({ 15: 1, 16: 2 });
    const writes = (decoder: SimulatedDecoder, cv: number) =>
      decoder.play(accessSequence("paged", { operation: "write", cv, value: 1 }));
    // Absent, read-only, locked: the page register was written, and the CV was not.
    expect([writes(make(), 60), writes(make(), 7), writes(locked, 50), writes(make(), 50)]).toEqual([
      false,
      false,
      false,
      true,
    ]);
  });

  test("section E: a decoder has direct mode when it acknowledges one of two bit verifies of CV 8", () => {
    const answers = (modes: readonly AccessMode[]) => {
      const decoder = new SimulatedDecoder({ ...model, modes });
      return directModeTest.map((access) => decoder.play(accessSequence("direct", access)));
    };
    expect(answers(["direct"])).toEqual([true, false]);
    expect(answers(["paged", "register"])).toEqual([false, false]);
  });

  test("a verify is acknowledged when it is right", () => {
    const decoder = make();
    expect(send(decoder, resetPacket, verify(50, 7), verify(50, 7))).toEqual([false, false, true]);
    expect(send(decoder, resetPacket, verify(50, 6), verify(50, 6))).toEqual([false, false, false]);
    expect(send(decoder, resetPacket, verify(51, 0), verify(51, 0))).toEqual([false, false, false]);
    expect(decoder.cvs.equals(make().cvs)).toBe(true);
  });

  test("bits are verified and written alone", () => {
    const decoder = make();
    const play = (operation: "write" | "verify", bit: number, value: number) =>
      decoder.play(accessSequence("direct", { operation, cv: 50, value, bit }));
    // CV 50 holds 7: bits 0-2.
    expect([2, 3].map((bit) => play("verify", bit, 1))).toEqual([true, false]);
    expect([2, 3].map((bit) => play("verify", bit, 0))).toEqual([false, true]);
    expect([play("write", 7, 1), play("write", 0, 0)]).toEqual([true, true]);
    expect(decoder.cvs.get(50)).toBe(134);
  });

  test("a short address from 112 on, right after a reset, is taken for service mode", () => {
    const decoder = make();
    const fast = trackPacket({
      to: { kind: "primary", number: 124 },
      instructions: [{ kind: "speed", steps: 128, forward: true, step: 9 }],
    });
    send(decoder, resetPacket, fast);
    expect(decoder.inServiceMode).toBe(true);
  });
});

test("a CV access to such an address is too long for service mode, so it is obeyed after a reset too", () => {
  const decoder = make({ 1: 124 });
  const packet = trackPacket({ to: { kind: "primary", number: 124 }, instructions: [cv(50, 1)] });
  expect(send(decoder, resetPacket, packet, packet)).toEqual([false, false, true]);
  expect([decoder.cvs.get(50), decoder.inServiceMode]).toEqual([1, false]);
});

describe("the four methods (S-9.2.3, July 2012, section E)", () => {
  test.each(["direct", "paged"] as const)("%s reaches CVs from 2 to 1024", (mode) => {
    const decoder = make();
    for (const cv of [2, 50, 1024]) {
      expect(decoder.play(accessSequence(mode, { operation: "write", cv, value: 99 }))).toBe(true);
      expect(decoder.play(accessSequence(mode, { operation: "verify", cv, value: 99 }))).toBe(true);
      expect(decoder.cvs.get(cv)).toBe(99);
    }
  });

  test("registers: 5 is CV 29, 7 and 8 are read-only, 6 is the page", () => {
    const decoder = make();
    const register = (operation: "write" | "verify", number: number, value: number) => {
      const packet = servicePacket({ kind: "register", operation, register: number, value });
      return send(decoder, resetPacket, packet, packet)[2];
    };
    expect(register("write", 5, 4)).toBe(true);
    expect(register("verify", 8, 13)).toBe(true);
    expect(register("write", 8, 14)).toBe(false);
    expect(register("write", 7, 14)).toBe(false);
    expect(register("verify", 6, 1)).toBe(true);
    expect(register("write", 6, 13)).toBe(true);
    // Page 13, data register 1 (the second) is CV 50.
    expect(register("write", 2, 44)).toBe(true);
    expect([29, 7, 8, 2, 50].map((cv) => decoder.cvs.get(cv))).toEqual([4, 1, 13, 10, 44]);
    decoder.powerCycle();
    expect(register("verify", 6, 1)).toBe(true);
  });

  test("a decoder obeys only the methods that it knows", () => {
    const access = { operation: "write", cv: 1, value: 9 } as const;
    const old = new SimulatedDecoder({ ...model, modes: ["address-only"] });
    expect(old.play(accessSequence("direct", access))).toBe(false);
    expect(old.play(accessSequence("register", { ...access, cv: 2 }))).toBe(false);
    expect(old.play(accessSequence("paged", { ...access, cv: 50 }))).toBe(false);
    expect(old.cvs.equals(factory)).toBe(true);
    expect(old.play(accessSequence("address-only", access))).toBe(true);
    // A decoder without paged mode has no page register.
    const registers = new SimulatedDecoder({ ...model, modes: ["register"] });
    expect(registers.play(accessSequence("paged", { ...access, cv: 50 }))).toBe(true);
    expect([2, 50].map((cv) => registers.cvs.get(cv))).toEqual([9, 7]);
    // Address-only mode has seven bits of data.
    expect(send(old, resetPacket, [0x78, 0x80, 0xf8], [0x78, 0x80, 0xf8])).toEqual([false, false, false]);
    const paged = new SimulatedDecoder({ ...model, modes: ["paged"] });
    expect(paged.play(accessSequence("paged", { ...access, cv: 50 }))).toBe(true);
    expect(paged.play(accessSequence("register", { ...access, cv: 29 }))).toBe(false);
  });

  test.each(["direct", "address-only", "register", "paged"] as const)(
    "writing CV 1 in %s mode clears CV 19 and bit 5 of CV 29",
    (mode) => {
      const decoder = make({ 19: 32, 29: 38 });
      decoder.play(accessSequence(mode, { operation: "write", cv: 1, value: 9 }));
      expect([1, 19, 29].map((cv) => decoder.cvs.get(cv))).toEqual([9, 0, 6]);
    },
  );
});

describe("CVs (S-9.2.2, July 2012)", () => {
  const direct = (decoder: SimulatedDecoder, cv: number, value: number) =>
    decoder.play(accessSequence("direct", { operation: "write", cv, value }));

  test("CV 1: bit 7 must be 0, so that 128 and above are not stored", () => {
    const decoder = make();
    expect([direct(decoder, 1, 128), direct(decoder, 1, 127)]).toEqual([false, true]);
    expect(decoder.cvs.get(1)).toBe(127);
  });

  test("a decoder with index pages has CV 31 and 32, named or not", () => {
    const decoder = new SimulatedDecoder({
      kind: "multifunction",
      factory: CvSet.from({ 1: 3, "300@16.0": 7 }),
    });
    direct(decoder, 31, 16);
    expect(direct(decoder, 300, 9)).toBe(true);
    expect(decoder.cvs.get("300@16.0")).toBe(9);
  });

  test("CV 31 and 32 choose the page", () => {
    const decoder = make();
    expect(direct(decoder, 257, 100)).toBe(true);
    direct(decoder, 32, 1);
    direct(decoder, 257, 200);
    expect(decoder.cvs.get("257@16.0")).toBe(100);
    expect(decoder.cvs.get("257@16.1")).toBe(200);
    direct(decoder, 32, 2);
    expect(direct(decoder, 257, 1)).toBe(false);
  });

  test("CV 17 waits for CV 18, and is forgotten when the power fails", () => {
    const decoder = make();
    direct(decoder, 17, 196);
    expect(decoder.cvs.get(17)).toBe(192);
    direct(decoder, 18, 210);
    expect([17, 18].map((cv) => decoder.cvs.get(cv))).toEqual([196, 210]);
    direct(decoder, 17, 200);
    decoder.powerCycle();
    direct(decoder, 18, 1);
    expect([17, 18].map((cv) => decoder.cvs.get(cv))).toEqual([196, 1]);
  });

  test("a locked decoder obeys only writes to CV 15", () => {
    const decoder = make({ 15: 1, 16: 2 });
    expect([direct(decoder, 50, 1), direct(decoder, 16, 1), direct(decoder, 31, 1)]).toEqual([
      false,
      false,
      false,
    ]);
    expect(direct(decoder, 15, 2)).toBe(true);
    expect([direct(decoder, 50, 1), direct(decoder, 16, 3), direct(decoder, 50, 2)]).toEqual([
      true,
      true,
      false,
    ]);
    expect([15, 16, 50].map((cv) => decoder.cvs.get(cv))).toEqual([2, 3, 1]);
  });

  test("volatile CVs start anew with the power", () => {
    const decoder = make({ 894: 100, 50: 8 });
    decoder.powerCycle();
    expect([894, 50].map((cv) => decoder.cvs.get(cv))).toEqual([255, 8]);
  });

  test("CVs of the description's own are read-only", () => {
    const decoder = new SimulatedDecoder({ ...model, readOnly: [50, "257@16.1"] });
    expect([direct(decoder, 50, 1), direct(decoder, 32, 1), direct(decoder, 257, 9)]).toEqual([
      false,
      true,
      false,
    ]);
  });

  test("pages have CV 257 to 512, and a page that the decoder does not have leaves the CV without one", () => {
    const decoder = new SimulatedDecoder({
      kind: "multifunction",
      factory: CvSet.from({ 31: 16, 32: 0, 256: 1, 257: 2, 512: 3, 513: 4, "257@16.0": 12, "512@16.0": 13 }),
    });
    const reads = () =>
      [256, 257, 512, 513].map((cv) =>
        Array.from({ length: 16 }, (_, value) => value).filter((value) =>
          decoder.play(accessSequence("direct", { operation: "verify", cv, value })),
        ),
      );
    expect(reads()).toEqual([[1], [12], [13], [4]]);
    direct(decoder, 31, 17);
    expect(reads()).toEqual([[1], [2], [3], [4]]);
    direct(decoder, 31, 16);
    direct(decoder, 512, 15);
    expect([decoder.cvs.get("512@16.0"), decoder.cvs.get(512)]).toEqual([15, 3]);
  });

  test("CV 17 is written at once by a decoder without CV 18", () => {
    const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3, 17: 192 }) });
    expect(direct(decoder, 17, 200)).toBe(true);
    expect(decoder.cvs.get(17)).toBe(200);
  });

  test("contents that the decoder cannot have are refused by name", () => {
    expect(() => make({ 60: 1, "300@16.0": 2 })).toThrow(
      "CV 60: this decoder does not have this CV\nCV 300@16.0: this decoder does not have this CV",
    );
  });

  test("CVs that the description knows without a factory value begin at 0", () => {
    const decoder = new SimulatedDecoder({ ...model, cvs: [60] });
    expect(decoder.cvs.get(60)).toBe(0);
  });
});

describe("a sequence", () => {
  const bytes = (cv: number, value: number) => packetText(write(cv, value));
  const part = (packet: string, times: number, more: Partial<SequencePart> = {}): SequencePart => ({
    purpose: "command",
    packet,
    times,
    ...more,
  });
  const reset = part("00 00 00", 1);
  const played = (...parts: SequencePart[]) => {
    const decoder = make();
    const answered = decoder.play({ preambleBits: 20, parts });
    return [answered, decoder.cvs.get(50), decoder.cvs.get(2)];
  };

  test("is sent as often as it says: of one packet nothing is written, of two it is", () => {
    expect(played(reset, part(bytes(50, 1), 1, { answers: true }))).toEqual([false, 7, 10]);
    expect(played(reset, part(bytes(50, 1), 2, { answers: true }))).toEqual([true, 1, 10]);
    expect(played(part(bytes(50, 1), 2, { answers: true }))).toEqual([false, 7, 10]);
  });

  test("is answered by the parts that are marked, and by no other", () => {
    expect(played(reset, part(bytes(50, 1), 2))).toEqual([false, 1, 10]);
    expect(played(reset, part(bytes(50, 1), 2, { answers: true }), part(bytes(2, 1), 1))).toEqual([
      true,
      1,
      10,
    ]);
    expect(played(reset, part(bytes(50, 1), 2), part(bytes(2, 1), 1, { answers: true }))).toEqual([
      false,
      1,
      10,
    ]);
  });

  test("leaves out what is only for an acknowledgement of the part before", () => {
    const only = part(bytes(2, 1), 2, { onlyAcknowledged: true });
    expect(played(reset, only)).toEqual([false, 7, 10]);
    expect(played(reset, part(bytes(50, 1), 1), only)).toEqual([false, 7, 10]);
    expect(played(reset, part(bytes(50, 1), 2), only)).toEqual([false, 1, 1]);
    expect(played(reset, part(bytes(50, 1), 2), reset, only)).toEqual([false, 1, 10]);
  });

  test("goes on to the next part at an acknowledgement where it says so", () => {
    const twice = { ...part(bytes(50, 1), 4, { answers: true }) };
    const heard = (until: boolean) => {
      const decoder = make();
      let packets = 0;
      decoder.receive = (packet) => {
        packets++;
        return SimulatedDecoder.prototype.receive.call(decoder, packet);
      };
      decoder.play({
        preambleBits: 20,
        parts: [reset, until ? { ...twice, untilAcknowledged: true } : twice],
      });
      return packets;
    };
    expect([heard(false), heard(true)]).toEqual([5, 3]);
  });
});

test("an argument of another type is refused by its name", () => {
  const decoder = make();
  const sequence = { preambleBits: 14, parts: [] };
  const bad = 5 as never;
  const rows: readonly (readonly [said: string, call: () => unknown])[] = [
    [
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got null",
      () => new SimulatedDecoder(null as never),
    ],
    ["contents: expected an object with CV numbers as keys, got 5", () => new SimulatedDecoder(model, bad)],
    [
      "contents: CV 1: expected a whole number from 0 to 255, got 256",
      () => new SimulatedDecoder(model, { 1: 256 }),
    ],
    ["options: expected an object, got null", () => new SimulatedDecoder(model, {}, null as never)],
    [
      "clearsOnMain: expected true or false, got 5",
      () => new SimulatedDecoder(model, {}, { clearsOnMain: bad }),
    ],
    ['packet: expected a list, got "00 00 00"', () => decoder.receive("00 00 00" as never)],
    ['packet.2: expected a number, got "0"', () => decoder.receive([0, 0, "0" as never])],
    ["packet.2: expected a number, got NaN", () => decoder.receive([0, 0, Number.NaN])],
    ["sequence: expected an object, got null", () => decoder.play(null as never)],
    ["sequence.parts: expected a list, got 5", () => decoder.play({ ...sequence, parts: bad })],
    [
      "sequence.parts.0: expected an object, got null",
      () => decoder.play({ ...sequence, parts: [null as never] }),
    ],
    [
      "sequence.parts.0.purpose: expected a text, got undefined",
      () => decoder.play({ ...sequence, parts: [{ packet: "00 00 00", times: 1 } as never] }),
    ],
    [
      "sequence.parts.0.packet: expected a text, got 5",
      () => decoder.play({ ...sequence, parts: [{ purpose: "reset", packet: bad, times: 1 }] }),
    ],
    [
      'packet: expected pairs of hexadecimal digits with one space between them, as in "7C 10 C4 A8", got "0"',
      () => decoder.play({ ...sequence, parts: [{ purpose: "reset", packet: "0", times: 1 }] }),
    ],
    [
      'sequence.parts.0.times: expected a number, got "1"',
      () => decoder.play({ ...sequence, parts: [{ purpose: "reset", packet: "00", times: "1" as never }] }),
    ],
    ['milliseconds: expected a number, got "5"', () => decoder.wait("5" as never)],
    ["milliseconds: expected a number, got NaN", () => decoder.wait(Number.NaN)],
    [
      "decoder: expected a simulated decoder, as new SimulatedDecoder() makes it, got {}",
      () => need(aSimulatedDecoder, { ...decoder }, "decoder"),
    ],
    [
      "decoder: expected a simulated decoder, as new SimulatedDecoder() makes it, got undefined",
      () => need(aSimulatedDecoder, undefined, "decoder"),
    ],
  ];
  expect(rows.map(([, call]) => saidBy(call))).toEqual(rows.map(([said]) => [said]));
  expect(saidBy(() => need(aSimulatedDecoder, decoder, "decoder"))).toEqual([]);
});

describe("factory reset (S-9.2.3, July 2012, section E)", () => {
  test("asked for, CV 8 holds 255 and no write is obeyed, done when the power comes back", () => {
    const decoder = make({ 1: 9, 50: 1, 19: 5 });
    const isBusy = () => decoder.play(accessSequence("direct", { operation: "verify", cv: 8, value: 255 }));
    expect(isBusy()).toBe(false);
    expect(decoder.play(factoryResetSequence())).toBe(true);
    expect(decoder.cvs.get(50)).toBe(1);
    decoder.wait(60_000);
    expect([isBusy(), decoder.cvs.get(8), decoder.cvs.get(50)]).toEqual([true, 255, 1]);
    expect(decoder.play(accessSequence("direct", { operation: "write", cv: 50, value: 2 }))).toBe(false);
    decoder.powerCycle();
    expect(isBusy()).toBe(false);
    expect(decoder.cvs.equals(factory)).toBe(true);
    expect(decoder.play(accessSequence("direct", { operation: "write", cv: 50, value: 2 }))).toBe(true);
  });

  test("its packet belongs to no method: a decoder with direct mode alone obeys it", () => {
    const decoder = new SimulatedDecoder({ ...model, modes: ["direct"] }, CvSet.from({ 50: 1 }));
    expect(decoder.play(factoryResetSequence())).toBe(true);
    decoder.powerCycle();
    expect(decoder.cvs.get(50)).toBe(7);
  });

  test.each(["direct", "register", "paged"] as const)(
    "in %s mode, 8 in CV 8 asks for it, and no other value",
    (mode) => {
      for (const value of [0, 1, 7, 9, 24, 72, 255]) {
        const decoder = make({ 50: 1 });
        expect([value, decoder.play(accessSequence(mode, { operation: "write", cv: 8, value }))]).toEqual([
          value,
          false,
        ]);
        expect(decoder.cvs.get(8)).toBe(13);
        decoder.powerCycle();
        expect([value, decoder.cvs.get(50)]).toEqual([value, 1]);
      }
      const decoder = make({ 50: 1 });
      expect(decoder.play(accessSequence(mode, { operation: "write", cv: 8, value: 8 }))).toBe(true);
      decoder.powerCycle();
      expect(decoder.cvs.get(50)).toBe(7);
    },
  );

  test("one packet is not enough", () => {
    const decoder = make({ 50: 1 });
    send(decoder, resetPacket, factoryResetPacket);
    decoder.powerCycle();
    expect(decoder.cvs.get(50)).toBe(1);
  });
});

type Heard = [TrackPacket["to"], ...Instruction[]];
const say = (decoder: SimulatedDecoder, ...[to, ...instructions]: Heard): boolean =>
  decoder.receive(trackPacket({ to, instructions }));
const primary = (number: number) => ({ kind: "primary", number }) as const;
const extended = (number: number) => ({ kind: "extended", number }) as const;
const speed = (step: number, forward = true): Instruction => ({ kind: "speed", steps: 128, forward, step });
const on = (group: "F0-F4" | "F5-F8" | "F9-F12", ...functions: number[]): Instruction => ({
  kind: "functions",
  group,
  on: functions,
});

describe("on the main (S-9.2.1, July 2012)", () => {
  test("a CV needs two identical packets, with no other to this decoder between them", () => {
    const decoder = make();
    say(decoder, primary(3), cv(50, 1));
    say(decoder, primary(3), speed(5));
    say(decoder, primary(3), cv(50, 1));
    expect(decoder.cvs.get(50)).toBe(7);
    say(decoder, primary(4), speed(5));
    expect(say(decoder, primary(3), cv(50, 1))).toBe(true);
    expect(decoder.cvs.get(50)).toBe(1);
  });

  test("bits, and the short form, which needs one packet", () => {
    const decoder = make();
    const bit: Instruction = { kind: "cv", operation: "write", cv: 50, value: 1, bit: 7 };
    say(decoder, primary(3), bit);
    say(decoder, primary(3), bit);
    say(decoder, primary(3), { kind: "cv-short", cv: 23, value: 130 });
    expect([50, 23].map((number) => decoder.cvs.get(number))).toEqual([135, 130]);
  });

  test("it hears its own address only: short, or long when CV 29 bit 5 is set", () => {
    const decoder = make({ 17: 196, 18: 210 });
    const twice = (...heard: Heard) => [say(decoder, ...heard), say(decoder, ...heard)];
    expect(twice(extended(1234), cv(50, 1))).toEqual([false, false]);
    expect(twice(primary(3), cv(29, 38))).toEqual([false, true]);
    expect(decoder.address).toEqual(extended(1234));
    expect(twice(primary(3), cv(50, 1))).toEqual([false, false]);
    expect(twice(extended(1234), cv(50, 2))).toEqual([false, true]);
    expect(decoder.cvs.get(50)).toBe(2);
  });

  test("a long address and a short one of the same number are two", () => {
    const twice = (decoder: SimulatedDecoder, ...heard: Heard) => [
      say(decoder, ...heard),
      say(decoder, ...heard),
    ];
    const long = make({ 1: 3, 17: 192, 18: 100, 29: 38 });
    expect(long.address).toEqual(extended(100));
    expect(twice(long, primary(100), cv(50, 1))).toEqual([false, false]);
    expect(twice(long, extended(100), cv(50, 2))).toEqual([false, true]);
    const short = make({ 1: 100, 17: 192, 18: 100, 29: 6 });
    expect(twice(short, extended(100), cv(50, 1))).toEqual([false, false]);
    expect(twice(short, primary(100), cv(50, 2))).toEqual([false, true]);
    // Speed too.
    say(long, primary(100), speed(20));
    say(short, extended(100), speed(20));
    expect([long.state.step, short.state.step]).toEqual([0, 0]);
    // The consist has a short one.
    const led = make({ 17: 192, 18: 100, 19: 100, 29: 38 });
    say(led, primary(100), speed(20));
    expect(led.state.step).toBe(20);
  });

  test("writing CV 1 here clears CV 19 and CV 29 bit 5 or not: the texts leave it open (S-9.2.3 (July 2012), section E)", () => {
    for (const [clearsOnMain, left] of [
      [false, [9, 5, 38]],
      [true, [9, 0, 6]],
    ] as const) {
      const contents = CvSet.from({ 19: 5, 17: 196, 18: 210, 29: 38 });
      const decoder = new SimulatedDecoder(model, contents, { clearsOnMain });
      say(decoder, extended(1234), cv(1, 9));
      say(decoder, extended(1234), cv(1, 9));
      expect([1, 19, 29].map((number) => decoder.cvs.get(number))).toEqual(left);
    }
  });

  test("a verify needs one packet, byte or bit", () => {
    const decoder = make();
    expect(say(decoder, primary(3), { kind: "cv", operation: "verify", cv: 50, value: 7 })).toBe(true);
    expect(say(decoder, primary(3), { kind: "cv", operation: "verify", cv: 50, value: 1, bit: 3 })).toBe(
      false,
    );
    expect(say(decoder, primary(3), { kind: "cv", operation: "verify", cv: 50, value: 1, bit: 2 })).toBe(
      true,
    );
  });

  test("the short form is obeyed at the consist address, the long form is not", () => {
    const decoder = make({ 19: 32 });
    expect(say(decoder, primary(32), { kind: "cv-short", cv: 23, value: 130 })).toBe(true);
    expect(say(decoder, { kind: "broadcast" }, { kind: "cv-short", cv: 23, value: 1 })).toBe(false);
    expect(decoder.cvs.get(23)).toBe(130);
  });

  test("binary state 0 sets or clears all", () => {
    const decoder = make();
    const state = (form: "short" | "long", number: number, on: boolean) =>
      say(decoder, primary(3), { kind: "binary-state", form, number, on });
    state("short", 0, true);
    state("long", 300, true);
    expect([decoder.state.binaryStates.length, decoder.state.binaryStates.at(-1)]).toEqual([128, 300]);
    state("short", 0, false);
    expect(decoder.state.binaryStates).toEqual([300]);
    state("long", 0, true);
    expect(decoder.state.binaryStates.length).toBe(32767);
    state("long", 0, false);
    expect(decoder.state.binaryStates).toEqual([]);
  });

  test("analog functions", () => {
    const decoder = make();
    decoder.receive([0x03, 0x3d, 0x01, 0x80, 0xbf]);
    expect(decoder.state.analogOutputs).toEqual({ 1: 128 });
  });

  test("a consist works no decoder control, binary state or analog function", () => {
    const decoder = make({ 19: 32, 29: 7 });
    for (const each of [
      { kind: "hard-reset" },
      { kind: "extended-addressing", on: true },
      { kind: "binary-state", form: "short", number: 5, on: true },
      { kind: "analog-function", output: 1, value: 5 },
    ] as const) {
      say(decoder, primary(32), each);
    }
    expect([19, 29].map((number) => decoder.cvs.get(number))).toEqual([32, 7]);
    expect([decoder.state.binaryStates, decoder.state.analogOutputs]).toEqual([[], {}]);
  });

  test("a CV is not written at the consist address, nor by a packet to all", () => {
    const decoder = make({ 19: 32 });
    for (const to of [primary(32), { kind: "broadcast" } as const]) {
      say(decoder, to, cv(50, 1));
      say(decoder, to, cv(50, 1));
    }
    expect(decoder.cvs.get(50)).toBe(7);
  });

  test("in a consist: its speed counts, the own address's does not; a reversed unit turns round", () => {
    const decoder = make();
    say(decoder, primary(3), { kind: "consist", address: 32, reversed: true });
    expect(decoder.cvs.get(19)).toBe(160);
    say(decoder, primary(3), speed(20));
    expect(decoder.state.step).toBe(0);
    say(decoder, primary(32), speed(50));
    expect([decoder.state.step, decoder.state.steps, decoder.state.forward]).toEqual([50, 128, false]);
    say(decoder, primary(3), { kind: "consist", address: 0, reversed: false });
    say(decoder, primary(3), speed(20));
    expect([decoder.state.step, decoder.state.forward]).toEqual([20, true]);
  });

  test("a consist address that is the own address: speed and direction are obeyed", () => {
    const decoder = make({ 19: 3 });
    say(decoder, primary(3), speed(20));
    expect(decoder.state.step).toBe(20);
    const plain = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3, 19: 3 }) });
    say(plain, primary(3), speed(20));
    expect(plain.state.step).toBe(20);
  });

  test("a consist is joined and left at the own address only", () => {
    const decoder = make({ 19: 32 });
    say(decoder, primary(32), { kind: "consist", address: 40, reversed: false });
    say(decoder, { kind: "broadcast" }, { kind: "consist", address: 40, reversed: false });
    expect(decoder.cvs.get(19)).toBe(32);
  });

  test("CV 21 and 22 say which functions the consist works", () => {
    const decoder = make({ 19: 32, 21: 1, 22: 1 | 4 });
    say(decoder, primary(32), on("F0-F4", 0, 1, 2), speed(5));
    say(decoder, primary(32), on("F5-F8", 5));
    say(decoder, primary(32), on("F9-F12", 9, 10));
    // Going forward, FL is worked by CV 22 bit 0; F1 by CV 21 bit 0; F9 by CV 22 bit 2.
    expect(decoder.state.functions).toEqual([0, 1, 9]);
    say(decoder, primary(3), on("F5-F8", 5));
    expect(decoder.state.functions).toEqual([0, 1, 5, 9]);
    const whole = make({ 19: 32, 21: 255, 22: 255 });
    say(whole, primary(32), { kind: "functions", group: "F13-F20", on: [13, 20] });
    expect(whole.state.functions).toEqual([]);
    const backward = make({ 19: 32, 21: 0, 22: 1 });
    say(backward, primary(32), speed(5, false));
    say(backward, primary(32), on("F0-F4", 0));
    expect(backward.state.functions).toEqual([]);
  });

  test("14 steps carry FL with the speed, 28 do not (CV 29 bit 1)", () => {
    const old = make({ 29: 4 });
    old.receive([3, 0x72, 0x71]);
    expect([old.state.step, old.state.steps, old.state.functions]).toEqual([1, 14, [0]]);
    say(old, primary(3), on("F0-F4", 0, 1));
    old.receive([3, 0x62, 0x61]);
    expect(old.state.functions).toEqual([1]);
    // At the consist address FL in the speed instruction is a function of CV 22.
    const pair = make({ 19: 32, 22: 2, 29: 4 });
    pair.receive([32, 0x72, 32 ^ 0x72]);
    expect([pair.state.step, pair.state.functions]).toEqual([1, []]);
    pair.receive([32, 0x52, 32 ^ 0x52]);
    expect(pair.state.functions).toEqual([0]);
    // Ignoring its own speed, a decoder in a consist obeys its own FL.
    pair.receive([3, 0x42, 3 ^ 0x42]);
    expect([pair.state.step, pair.state.forward, pair.state.functions]).toEqual([1, false, []]);
    const now = make();
    now.receive([3, 0x72, 0x71]);
    expect([now.state.step, now.state.steps, now.state.functions]).toEqual([2, 28, []]);
  });

  test("CV 29 bit 0 turns the direction", () => {
    const decoder = make({ 29: 7 });
    say(decoder, primary(3), speed(5, true));
    expect(decoder.state.forward).toBe(false);
  });

  test("stops, limits, states", () => {
    const decoder = make();
    say(decoder, primary(3), speed(5));
    say(decoder, primary(3), { kind: "speed", steps: 128, forward: true, step: "emergency-stop" });
    expect([decoder.state.step, decoder.state.emergency]).toEqual([0, true]);
    say(decoder, primary(3), { kind: "restricted-speed", enabled: true, limit: 0b010010 });
    expect(decoder.state.speedLimit).toBe(2);
    say(decoder, primary(3), { kind: "restricted-speed", enabled: false, limit: 0 });
    expect(decoder.state.speedLimit).toBeUndefined();
    say(decoder, primary(3), { kind: "binary-state", form: "long", number: 300, on: true });
    say(decoder, primary(3), { kind: "binary-state", form: "short", number: 5, on: true });
    expect(decoder.state.binaryStates).toEqual([5, 300]);
    say(decoder, { kind: "broadcast" }, { kind: "speed", steps: 28, forward: true, step: 0, code: 0 });
    expect([decoder.state.step, decoder.state.emergency]).toEqual([0, false]);
    say(decoder, primary(3), { kind: "reset" });
    expect(decoder.state.binaryStates).toEqual([]);
  });

  test("hard reset, extended addressing, acknowledgement request", () => {
    const decoder = make({ 19: 5, 29: 15, 31: 0, 32: 7, 50: 1 });
    expect(say(decoder, primary(3), { kind: "acknowledge", on: true })).toBe(true);
    expect(say(decoder, primary(3), { kind: "acknowledge", on: false })).toBe(false);
    say(decoder, primary(3), { kind: "hard-reset" });
    expect([19, 29, 31, 32, 50].map((number) => decoder.cvs.get(number))).toEqual([0, 6, 16, 0, 1]);
    say(decoder, primary(3), { kind: "extended-addressing", on: true });
    expect(decoder.cvs.get(29)).toBe(38);
    expect(decoder.address).toEqual(extended(0));
  });

  test("packets to all accessory decoders, or to one, are not for it", () => {
    const decoder = make();
    const before = decoder.state;
    decoder.receive([0xbf, 0x8f, 0x30]);
    decoder.receive([0xbf, 0x07, 0x05, 0xbd]);
    decoder.receive(
      trackPacket({
        to: { kind: "accessory", number: 3 },
        instructions: [{ kind: "output", output: 1, on: true }],
      }),
    );
    expect(decoder.state).toEqual(before);
  });

  test("without CV 29 it has its primary address, 28 steps and FL among F0-F4", () => {
    const plain = new SimulatedDecoder({
      kind: "multifunction",
      factory: CvSet.from({ 1: 3, 17: 196, 18: 210 }),
    });
    expect(plain.address).toEqual(primary(3));
    plain.receive([3, 0x72, 0x71]);
    say(plain, primary(3), on("F0-F4", 0));
    expect([plain.state.step, plain.state.steps, plain.state.functions]).toEqual([2, 28, [0]]);
    expect(new SimulatedDecoder({ kind: "multifunction", factory: { 2: 1 } }).address).toBe(undefined);
  });

  test("no valid address, no packets", () => {
    for (const contents of [{ 29: 38, 17: 0 }, { 1: 0 }]) {
      const decoder = make(contents);
      expect(decoder.address).toBeUndefined();
      const heard = [primary(3), primary(3), extended(0), extended(0)].map((to) =>
        say(decoder, to, cv(50, 1)),
      );
      expect(heard).toEqual([false, false, false, false]);
      expect(decoder.cvs.get(50)).toBe(7);
    }
  });
});

describe("accessory decoders (S-9.2.2, July 2012, Table 3; S-9.2.1 (July 2012))", () => {
  const cvs = CvSet.from({ 1: 5, 3: 0, 8: 13, 9: 2, 29: 128 });
  const basic: DecoderModel = { kind: "accessory", factory: cvs };

  test("decoder address: CV 1 low six bits, CV 9 high three", () => {
    const decoder = new SimulatedDecoder(basic);
    expect(decoder.address).toEqual({ kind: "accessory", number: 133 });
    const to = { kind: "accessory", number: 133 } as const;
    decoder.receive(trackPacket({ to, instructions: [{ kind: "output", output: 3, on: true }] }));
    decoder.receive(trackPacket({ to, instructions: [{ kind: "output", output: 1, on: true }] }));
    expect(decoder.state.outputs).toEqual([1, 3]);
    decoder.receive(trackPacket({ to, instructions: [{ kind: "output", output: 3, on: false }] }));
    const other = { kind: "accessory", number: 5 } as const;
    decoder.receive(trackPacket({ to: other, instructions: [{ kind: "output", output: 0, on: true }] }));
    expect(decoder.state.outputs).toEqual([1]);
    const access = trackPacket({ to, instructions: [cv(3, 9)] });
    expect(send(decoder, access, access)).toEqual([false, true]);
    expect(decoder.cvs.get(3)).toBe(9);
  });

  test("decoders of either method answer the same packet at CV 1 = 1, CV 9 = 0", () => {
    for (const configuration of [128, 192]) {
      const decoder = new SimulatedDecoder(basic, CvSet.from({ 1: 1, 9: 0, 29: configuration }));
      decoder.receive([0x81, 0xf8, 0x79]);
      expect(decoder.state.outputs).toEqual([0]);
    }
  });

  test("output address: CV 1 + 256 * CV 9", () => {
    // Output address 514 is the second pair of decoder 129.
    const decoder = new SimulatedDecoder(basic, CvSet.from({ 1: 2, 9: 2, 29: 192 }));
    expect(decoder.address).toEqual({ kind: "accessory-output", number: 514 });
    const to = { kind: "accessory", number: 129 } as const;
    for (const output of [0, 2, 3, 4]) {
      decoder.receive(trackPacket({ to, instructions: [{ kind: "output", output, on: true }] }));
    }
    expect(decoder.state.outputs).toEqual([2, 3]);
    const access = trackPacket({ to: { ...to, output: 2 }, instructions: [cv(3, 9)] });
    const elsewhere = trackPacket({ to: { ...to, output: 4 }, instructions: [cv(3, 8)] });
    expect(send(decoder, elsewhere, elsewhere, access, access)).toEqual([false, false, false, true]);
    expect(decoder.cvs.get(3)).toBe(9);
  });

  test("packets to all: outputs of basic decoders, aspects of extended ones; no CV access", () => {
    const decoder = new SimulatedDecoder(basic);
    decoder.receive([0xbf, 0x8f, 0x30]);
    decoder.receive([0xbf, 0x07, 0x05, 0xbd]);
    expect([decoder.state.outputs, decoder.state.aspect]).toEqual([[7], undefined]);
    const access = [0xbf, 0x80, 0xec, 0x02, 0x09, 0xd8];
    expect(send(decoder, access, access)).toEqual([false, false]);
    const signal = new SimulatedDecoder(basic, CvSet.from({ 29: 160 }));
    signal.receive([0xbf, 0x8f, 0x30]);
    signal.receive([0xbf, 0x07, 0x05, 0xbd]);
    expect([signal.state.outputs, signal.state.aspect]).toEqual([[], 5]);
  });

  test("packets to an extended decoder are not for a basic one of the same number, and the other way round", () => {
    const [one, other] = [
      { kind: "accessory", number: 133 },
      { kind: "extended-accessory", number: 133 },
    ] as const;
    const twice = (decoder: SimulatedDecoder, to: TrackPacket["to"]) => {
      const access = trackPacket({ to, instructions: [cv(3, 9)] });
      return send(decoder, access, access);
    };
    const simple = new SimulatedDecoder(basic);
    expect(simple.address).toEqual(one);
    expect(twice(simple, other)).toEqual([false, false]);
    simple.receive(trackPacket({ to: other, instructions: [{ kind: "aspect", aspect: 3 }] }));
    expect([simple.cvs.get(3), simple.state.aspect]).toEqual([0, undefined]);
    // S-9.2.2 (July 2012), accessory CV 29: bit 5 makes it an extended decoder.
    const signal = new SimulatedDecoder(basic, CvSet.from({ 1: 33, 9: 0, 29: 160 }));
    const { number } = signal.address as { number: number };
    expect(signal.address).toEqual({ kind: "extended-accessory", number });
    expect(twice(signal, { kind: "accessory", number })).toEqual([false, false]);
    expect(twice(signal, { kind: "extended-accessory", number: number + 1 })).toEqual([false, false]);
    expect(twice(signal, { kind: "extended-accessory", number })).toEqual([false, true]);
  });

  test("the CV write of older decoders, twice", () => {
    const decoder = new SimulatedDecoder(basic);
    const to = { kind: "accessory", number: 133 } as const;
    const packet = trackPacket({ to, instructions: [{ kind: "cv-legacy", cv: 3, value: 9 }] });
    expect(send(decoder, packet, packet)).toEqual([false, true]);
    expect(decoder.cvs.get(3)).toBe(9);
  });

  test("extended: the aspect", () => {
    // Output address 514, by the output method: the eleven address bits are 517.
    const decoder = new SimulatedDecoder(basic, CvSet.from({ 1: 2, 9: 2, 29: 224 }));
    const to = { kind: "extended-accessory", number: 517 } as const;
    decoder.receive(trackPacket({ to, instructions: [{ kind: "aspect", aspect: 12 }] }));
    expect(decoder.state.aspect).toBe(12);
  });

  test("CV 1 clears nothing here", () => {
    const decoder = new SimulatedDecoder(basic, CvSet.from({ 29: 160 }));
    decoder.play(accessSequence("direct", { operation: "write", cv: 1, value: 9 }));
    expect([1, 29].map((number) => decoder.cvs.get(number))).toEqual([9, 160]);
  });
});
