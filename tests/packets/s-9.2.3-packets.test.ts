import { CvError } from "cvset";
import {
  packetFromText,
  packetText,
  parseAccess,
  parseServicePacket,
  type ServiceInstruction,
  servicePacket,
} from "cvset/packets";
import { describe, expect, test } from "vitest";
import { factoryResetPacket, pagePresetPacket, resetPacket } from "../../src/packets/service-packet.js";

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
    ["7C 10 C4 A9", "the error byte must be A8"],
    ["7C 10", "expected 3 to 4 bytes, error byte included, got "],
    ["7C 10 C4 A8 00", "expected 3 to 4 bytes, error byte included, got "],
    ["70 10 C4 A4", "CC = 00, which is reserved"],
    ["78 1C 9D F9", "9D is not a bit instruction"],
    ["6C 10 C4 B8", "6C begins no service-mode packet"],
    ["00 01 01", "00 begins no service-mode packet"],
    ["FF 00 FF", "FF begins no service-mode packet"],
  ];
  test.each(rejected)("%s is rejected", (packet, says) => {
    expect(() => parseServicePacket(packetFromText(packet))).toThrow(CvError);
    expect(() => parseServicePacket(packetFromText(packet))).toThrow(says);
  });

  test("a byte that is no byte is rejected", () => {
    for (const bad of [-1, 256, 1.5, Number.NaN]) {
      expect(() => parseServicePacket([0x7c, bad, 0xc4, 0xa8])).toThrow("byte 2");
    }
  });

  test("text that is no packet is rejected", () => {
    for (const bad of ["", "7", "7C10", "7C  10", " 7C", "7C 1G", "7C 10 "]) {
      expect(() => packetFromText(bad)).toThrow("hexadecimal");
    }
    expect(packetFromText("7c 0a")).toEqual([0x7c, 0x0a]);
  });

  const outOfRange: readonly [ServiceInstruction, string][] = [
    [{ kind: "direct", operation: "write", cv: 0, value: 0 }, "cv"],
    [{ kind: "direct", operation: "write", cv: 1025, value: 0 }, "cv"],
    [{ kind: "direct", operation: "write", cv: 1.5, value: 0 }, "cv"],
    [{ kind: "direct", operation: "write", cv: 1, value: 256 }, "value"],
    [{ kind: "direct", operation: "write", cv: 1, value: 2, bit: 0 }, "value"],
    [{ kind: "direct", operation: "write", cv: 1, value: 1, bit: 8 }, "bit"],
    [{ kind: "register", operation: "write", register: 9, value: 0 }, "register"],
    [{ kind: "register", operation: "write", register: 1, value: -1 }, "value"],
  ];
  test.each(outOfRange)("%o is out of range", (instruction, path) => {
    expect(() => servicePacket(instruction)).toThrow(`${path}:`);
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
    expect(() => parseAccess("paged", [data])).toThrow("paged mode, which are 2, got 1");
    expect(() => parseAccess("paged", [data, data])).toThrow("page register");
    expect(() => parseAccess("paged", [packetFromText("7D 11 6C"), packetFromText("7D 11 6C")])).toThrow(
      "data register",
    );
  });
});
