import { CvError } from "cvset";
import {
  type Packet,
  packetFromText,
  packetText,
  parseAccess,
  parseServicePacket,
  type ServiceInstruction,
  servicePacket,
} from "cvset/packets";
import { describe, expect, test } from "vitest";
import {
  factoryResetPacket,
  looksLikeService,
  pagePresetPacket,
  resetPacket,
} from "../../src/packets/service-packet.js";
import { saidBy } from "../support/said.js";

const sectionE = "(S-9.2.3 (July 2012), section E)";

// The layouts of S-9.2.3 (July 2012), section E, filled in by hand, bit by bit.
const vectors: readonly [bits: string, instruction: ServiceInstruction][] = [
  // Direct mode: 0111CCAA AAAAAAAA DDDDDDDD EEEEEEEE, address = CV - 1.
  ["01111100 00010000 11000100 10101000", { kind: "direct", operation: "write", cv: 17, value: 196 }],
  ["01110100 00000000 00000011 01110111", { kind: "direct", operation: "verify", cv: 1, value: 3 }],
  ["01111111 11111111 11111111 01111111", { kind: "direct", operation: "write", cv: 1024, value: 255 }],
  ["01110101 00000000 00000000 01110101", { kind: "direct", operation: "verify", cv: 257, value: 0 }],
  // Bits: CC = 10, data 111KDBBB.
  ["01111000 00011100 11111101 10011001", { kind: "direct", operation: "write", cv: 29, value: 1, bit: 5 }],
  ["01111000 00011100 11100101 10000001", { kind: "direct", operation: "verify", cv: 29, value: 0, bit: 5 }],
  ["01111010 11111111 11101111 01101010", { kind: "direct", operation: "verify", cv: 768, value: 1, bit: 7 }],
  // Address-only: 0111C000 0DDDDDDD EEEEEEEE.
  ["01111000 00000011 01111011", { kind: "register", operation: "write", register: 1, value: 3 }],
  ["01110000 01111111 00001111", { kind: "register", operation: "verify", register: 1, value: 127 }],
  // Physical register: 0111CRRR DDDDDDDD EEEEEEEE.
  ["01111100 00100010 01011110", { kind: "register", operation: "write", register: 5, value: 34 }],
  ["01110111 00001101 01111010", { kind: "register", operation: "verify", register: 8, value: 13 }],
  // Page preset, factory reset, reset.
  ["01111101 00000001 01111100", { kind: "register", operation: "write", register: 6, value: 1 }],
  ["01111111 00001000 01110111", { kind: "register", operation: "write", register: 8, value: 8 }],
  ["00000000 00000000 00000000", { kind: "reset" }],
];

const bytesOf = (bits: string): number[] => bits.split(" ").map((byte) => Number.parseInt(byte, 2));

describe("S-9.2.3 (July 2012), section E", () => {
  test.each(vectors)("%s", (bits, instruction) => {
    expect(servicePacket(instruction)).toEqual(bytesOf(bits));
    expect(parseServicePacket(bytesOf(bits))).toEqual(instruction);
  });

  test("named packets: reset, page preset, factory reset", () => {
    expect(packetText(servicePacket({ kind: "reset" }))).toBe("00 00 00");
    const register = (number: number, value: number) =>
      packetText(servicePacket({ kind: "register", operation: "write", register: number, value }));
    expect([register(6, 1), register(8, 8)]).toEqual(["7D 01 7C", "7F 08 77"]);
    expect([pagePresetPacket, factoryResetPacket].map(packetText)).toEqual(["7D 01 7C", "7F 08 77"]);
    expect(resetPacket).toEqual([0, 0, 0]);
  });

  const rejected: readonly [packet: string, says: string][] = [
    ["7C 10 C4 A9", "packet: the error byte must be A8, the XOR of the bytes before it, and is A9"],
    ["7C 10", "packet: expected 3 to 4 bytes, error byte included, got 2"],
    ["7C 10 C4 A8 00", "packet: expected 3 to 4 bytes, error byte included, got 5"],
    ["70 10 C4 A4", `packet: 70 has the instruction code CC = 00, which is reserved ${sectionE}`],
    ["78 1C 9D F9", `packet: 9D is not a bit instruction: bits 5-7 must be 1 ${sectionE}`],
    [
      "6C 10 C4 B8",
      `packet: 6C begins no service-mode packet; they begin with 70 to 7F, and the reset packet is 00 00 00 ${sectionE}`,
    ],
    [
      "00 01 01",
      `packet: 00 begins no service-mode packet; they begin with 70 to 7F, and the reset packet is 00 00 00 ${sectionE}`,
    ],
    [
      "FF 00 FF",
      `packet: FF begins no service-mode packet; they begin with 70 to 7F, and the reset packet is 00 00 00 ${sectionE}`,
    ],
  ];
  test.each(rejected)("%s is rejected with the reason and its source", (packet, says) => {
    expect(saidBy(() => parseServicePacket(packetFromText(packet)))).toEqual([says]);
  });

  test("a byte that is no byte is rejected", () => {
    for (const bad of [-1, 256, 1.5, Number.NaN]) {
      expect(saidBy(() => parseServicePacket([0x7c, bad, 0xc4, 0xa8]))).toEqual([
        `packet: byte 2: expected a whole number from 0 to 255, got ${bad}`,
      ]);
    }
  });

  test("text that is no packet is rejected", () => {
    for (const bad of ["", "7", "7C10", "7C  10", " 7C", "7C 1G", "7C 10 "]) {
      expect(saidBy(() => packetFromText(bad))).toEqual([
        `packet: expected pairs of hexadecimal digits with one space between them, as in "7C 10 C4 A8", got ${JSON.stringify(bad)}`,
      ]);
    }
    expect(packetFromText("7c 0a")).toEqual([0x7c, 0x0a]);
  });

  const outOfRange: readonly [ServiceInstruction, string][] = [
    [
      { kind: "direct", operation: "write", cv: 0, value: 0 },
      `cv: 0 is out of range; allowed is 1 to 1024 ${sectionE}`,
    ],
    [
      { kind: "direct", operation: "write", cv: 1025, value: 0 },
      `cv: 1025 is out of range; allowed is 1 to 1024 ${sectionE}`,
    ],
    [
      { kind: "direct", operation: "write", cv: 1.5, value: 0 },
      `cv: expected a whole number from 1 to 1024, got 1.5 ${sectionE}`,
    ],
    [
      { kind: "direct", operation: "write", cv: 1, value: 256 },
      `value: 256 is out of range; allowed is 0 to 255 ${sectionE}`,
    ],
    [
      { kind: "direct", operation: "write", cv: 1, value: 2, bit: 0 },
      `value: 2 is out of range; allowed is 0 to 1 ${sectionE}`,
    ],
    [
      { kind: "direct", operation: "write", cv: 1, value: 1, bit: 8 },
      `bit: 8 is out of range; allowed is 0 to 7 ${sectionE}`,
    ],
    [
      { kind: "register", operation: "write", register: 9, value: 0 },
      `register: 9 is out of range; allowed is 1 to 8 ${sectionE}`,
    ],
    [
      { kind: "register", operation: "write", register: 1, value: -1 },
      `value: -1 is out of range; allowed is 0 to 255 ${sectionE}`,
    ],
  ];
  test.each(outOfRange)("%o is not made, with the reason and its source", (instruction, says) => {
    expect(saidBy(() => servicePacket(instruction))).toEqual([says]);
  });

  test("a packet of three or four bytes, with any first one, is one instruction or is rejected", () => {
    const wrong: string[] = [];
    for (let first = 0; first < 256; first++) {
      for (const second of [0, 1, 127, 128, 255]) {
        for (const data of [[], [0], [31], [0xe0], [0xff]]) {
          const bytes = [first, second, ...data];
          const packet = [...bytes, bytes.reduce((xor, byte) => xor ^ byte, 0)];
          let again: string | undefined;
          try {
            again = packetText(servicePacket(parseServicePacket(packet)));
          } catch (error) {
            if (!(error instanceof CvError)) throw error;
          }
          const valid =
            (packet.length === 3 && first === 0 && second === 0) ||
            (first >> 4 === 7 &&
              (packet.length === 3 ||
                ((first & 12) !== 0 && ((first & 12) !== 8 || (data[0] as number) >= 0xe0))));
          if (again !== (valid ? packetText(packet) : undefined)) wrong.push(packetText(packet));
        }
      }
    }
    expect(wrong).toEqual([]);
  });
});

test("a packet looks like one of service mode by 0111 in front and three or four bytes", () => {
  const looks = (...packet: number[]) => looksLikeService(packet);
  expect([looks(0x70, 0, 0x70), looks(0x7f, 8, 0x77), looks(0x7c, 0x10, 0xc4, 0xa8)]).toEqual([
    true,
    true,
    true,
  ]);
  expect([looks(0x6f, 0, 0x6f), looks(0x80, 0, 0x80), looks(0, 0, 0), looks(0xf0, 0, 0xf0)]).toEqual([
    false,
    false,
    false,
    false,
  ]);
  expect([looks(0x7c, 0x7c), looks(0x7c, 0xec, 0x1c, 0x22, 0xae)]).toEqual([false, false]);
});

describe("paged mode", () => {
  // The worked example of S-9.2.3 (July 2012), section E: CV 65 is register 0 of page 17.
  test("CV 65", () => {
    expect(parseAccess("paged", [packetFromText("7D 11 6C"), packetFromText("78 07 7F")])).toEqual({
      operation: "write",
      cv: 65,
      value: 7,
    });
  });

  test("the two packets must be a page write and a data register", () => {
    const data = packetFromText("78 07 7F");
    const page = packetFromText("7D 11 6C");
    const said = (...packets: Packet[]) => saidBy(() => parseAccess("paged", packets));
    expect(said(data)).toEqual([
      "packet: expected the packets of one access in paged mode, which are 2, got 1",
    ]);
    expect(said(page, data, data)).toEqual([
      "packet: expected the packets of one access in paged mode, which are 2, got 3",
    ]);
    const noPage = [`packet: the first packet must write the page register (register 6) ${sectionE}`];
    expect(said(data, data)).toEqual(noPage);
    // A verify of the page register, and a write of register 7.
    expect(said(packetFromText("75 11 64"), data)).toEqual(noPage);
    expect(said(packetFromText("7E 11 6F"), data)).toEqual(noPage);
    const noData = [`packet: the second packet must use a data register, 1 to 4 ${sectionE}`];
    expect(said(page, page)).toEqual(noData);
    // Register 5 is no data register, register 4 the last one; and a packet of direct mode is none.
    expect(said(page, packetFromText("7C 07 7B"))).toEqual(noData);
    expect(said(page, packetFromText("7C 10 C4 A8"))).toEqual(noData);
    expect(parseAccess("paged", [page, packetFromText("7B 07 7C")])).toEqual({
      operation: "write",
      cv: 68,
      value: 7,
    });
  });
});
