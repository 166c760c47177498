import {
  accessPackets,
  accessSequence,
  closingSequence,
  nextInReading,
  openingSequence,
  packetFromText,
  packetText,
  parseAccess,
  parseServicePacket,
  parseTrackPacket,
  servicePacket,
  trackPacket,
} from "cvset/packets";
import { expect, test } from "vitest";
import { saidBy } from "../support/said.js";

// What is no packet and no guess.

test("guesses that are no byte are passed over, and each is asked for once", () => {
  const asked = (guesses: readonly number[], answers: readonly boolean[] = []) => {
    const next = nextInReading({ mode: "register", cv: 1, guesses }, answers);
    return "ask" in next ? next.ask.value : next;
  };
  expect(asked([-1, 256, 1.5, 9])).toBe(9);
  expect(asked([255])).toBe(255);
  expect(asked([9, 9, 7], [false])).toBe(7);
  expect(asked([9, 9, 7], [false, true])).toEqual({ value: 7 });
  expect(asked([0], [true])).toEqual({ value: 0 });
});

test("an instruction of an unknown kind, or for an unknown group of functions, is refused", () => {
  for (const kind of ["", "dirct", "direct "]) {
    const [said] = saidBy(() => servicePacket({ kind } as never));
    expect(said).toContain(
      `${JSON.stringify(kind)} is not an option; the options are "reset", "direct", "register"`,
    );
  }
  for (const group of ["F1-F4", "toString", ""]) {
    const instruction = { kind: "functions", group, on: [1] } as never;
    const [said] = saidBy(() =>
      trackPacket({ to: { kind: "primary", number: 3 }, instructions: [instruction] }),
    );
    expect(said).toContain(
      `${JSON.stringify(group)} is not an option; the options are "F0-F4", "F5-F8", "F9-F12"`,
    );
  }
});

test("an argument of another type is refused by its name", () => {
  const modes = 'the options are "direct", "paged", "register", "address-only", "main"';
  const access = { operation: "write", cv: 1, value: 2 } as const;
  const rows: readonly (readonly [said: string, call: () => unknown])[] = [
    [`mode: "dirct" is not an option; ${modes}`, () => accessPackets("dirct" as never, access)],
    [`mode: undefined is not an option; ${modes}`, () => accessSequence(undefined as never, access)],
    [`mode: "x" is not an option; ${modes}`, () => openingSequence("x" as never)],
    [`mode: "x" is not an option; ${modes}`, () => closingSequence("x" as never)],
    [`mode: "x" is not an option; ${modes}`, () => parseAccess("x" as never, [])],
    [`reading.mode: "x" is not an option; ${modes}`, () => nextInReading({ mode: "x" as never, cv: 1 }, [])],
    [
      'access.operation: "wrte" is not an option; the options are "write", "verify"',
      () => accessPackets("direct", { ...access, operation: "wrte" as never }),
    ],
    ["access: expected an object, got null", () => accessPackets("direct", null as never)],
    ['access.cv: expected a number, got "1"', () => accessPackets("direct", { ...access, cv: "1" as never })],
    [
      'access.value: expected a number, got "1"',
      () => accessPackets("direct", { ...access, value: "1" as never }),
    ],
    [
      'access.bit: expected a number, got "1"',
      () => accessPackets("direct", { ...access, bit: "1" as never }),
    ],
    ["packets: expected a list, got {}", () => parseAccess("direct", {} as never)],
    ["reading: expected an object, got null", () => nextInReading(null as never, [])],
    ['reading.cv: expected a number, got "1"', () => nextInReading({ mode: "direct", cv: "1" as never }, [])],
    [
      'reading.guesses.0: expected a number, got "1"',
      () => nextInReading({ mode: "direct", cv: 1, guesses: ["1" as never] }, []),
    ],
    [
      "answers.0: expected true or false, got 0",
      () => nextInReading({ mode: "direct", cv: 1 }, [0 as never]),
    ],
    ["instruction: expected an object, got null", () => servicePacket(null as never)],
    ["instruction.kind: expected a text, got 3", () => servicePacket({ kind: 3 } as never)],
    [
      'instruction.operation: "wrte" is not an option; the options are "write", "verify"',
      () => servicePacket({ ...access, kind: "direct", operation: "wrte" as never }),
    ],
    ['packet: expected a list, got "00 00 00"', () => parseServicePacket("00 00 00" as never)],
    ['packet.1: expected a number, got "0"', () => parseServicePacket([0, "0" as never, 0])],
    ['packet: expected a list, got "00 00 00"', () => parseTrackPacket("00 00 00" as never)],
    [
      "steps: 128 is not an option; the options are 14, 28",
      () => parseTrackPacket([0, 0, 0], { steps: 128 as never }),
    ],
    ["options: expected an object, got null", () => parseTrackPacket([0, 0, 0], null as never)],
    ["packet: expected an object, got null", () => trackPacket(null as never)],
    ["packet.instructions: expected a list, got {}", () => trackPacket({ to: 3, instructions: {} as never })],
    [
      "packet.instructions.0: expected an object, got null",
      () => trackPacket({ to: 3, instructions: [null as never] }),
    ],
    [
      "packet.instructions.0.kind: expected a text, got 3",
      () => trackPacket({ to: 3, instructions: [{ kind: 3 } as never] }),
    ],
    [
      "packet.instructions.0.steps: 27 is not an option; the options are 14, 28, 128",
      () => trackPacket({ to: 3, instructions: [{ kind: "speed", steps: 27 } as never] }),
    ],
    [
      "packet.instructions.0.forward: expected true or false, got 1",
      () => trackPacket({ to: 3, instructions: [{ kind: "speed", steps: 28, forward: 1 } as never] }),
    ],
    [
      'address: expected a number, got "5"',
      () =>
        trackPacket({ to: 3, instructions: [{ kind: "consist", address: "5", reversed: false } as never] }),
    ],
    ['packet: expected a list, got "00"', () => packetText("00" as never)],
    ['packet.0: expected a number, got "00"', () => packetText(["00" as never])],
    [
      'packet: expected pairs of hexadecimal digits with one space between them, as in "7C 10 C4 A8", got 12',
      () => packetFromText(12 as never),
    ],
    [
      'packet: expected pairs of hexadecimal digits with one space between them, as in "7C 10 C4 A8", got ["7C"]',
      () => packetFromText(["7C"] as never),
    ],
  ];
  expect(rows.map(([, call]) => saidBy(call))).toEqual(rows.map(([said]) => [said]));
});
