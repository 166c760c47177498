import { CvError } from "cvset";
import { packetFromText, packetText, parseTrackPacket, type TrackPacket, trackPacket } from "cvset/packets";
import { describe, expect, test } from "vitest";
import { saidBy } from "../support/said.js";

const sectionC = "(S-9.2.1 (July 2012), section C)";
const accessory = "(S-9.2.1 (July 2012), accessory packets)";
const addresses = "(S-9.2.2 (July 2012), CV 1, 9, 17 to 19 and 29)";
const speed = "(S-9.2 (July 2004), speed and direction; S-9.2.1 (July 2012), section C)";

const primary3 = { kind: "primary", number: 3 } as const;
const extended1234 = { kind: "extended", number: 1234 } as const;
const all = { kind: "broadcast" } as const;

// The layouts of S-9.2 (July 2004) and S-9.2.1 (July 2012), filled in by hand; the error byte is added below.
const vectors: readonly [bytes: string, packet: TrackPacket][] = [
  // CV access, long form: 1110CCVV VVVVVVVV DDDDDDDD. Long address 1234, CV 29 = 34.
  [
    "C4 D2 EC 1C 22",
    { to: extended1234, instructions: [{ kind: "cv", operation: "write", cv: 29, value: 34 }] },
  ],
  ["03 E4 00 03", { to: primary3, instructions: [{ kind: "cv", operation: "verify", cv: 1, value: 3 }] }],
  ["03 EF FF 80", { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 1024, value: 128 }] }],
  [
    "03 E8 1C FD",
    { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 29, value: 1, bit: 5 }] },
  ],
  [
    "03 E8 1C E5",
    { to: primary3, instructions: [{ kind: "cv", operation: "verify", cv: 29, value: 0, bit: 5 }] },
  ],
  // Short form: 1111CCCC DDDDDDDD.
  ["03 F2 10", { to: primary3, instructions: [{ kind: "cv-short", cv: 23, value: 16 }] }],
  ["C4 D2 F3 90", { to: extended1234, instructions: [{ kind: "cv-short", cv: 24, value: 144 }] }],
  // Reset and hard reset; decoder control 0000CCCF.
  ["00 00", { to: all, instructions: [{ kind: "reset" }] }],
  ["03 00", { to: primary3, instructions: [{ kind: "reset" }] }],
  ["03 01", { to: primary3, instructions: [{ kind: "hard-reset" }] }],
  ["03 0A", { to: primary3, instructions: [{ kind: "extended-addressing", on: false }] }],
  ["03 0B", { to: primary3, instructions: [{ kind: "extended-addressing", on: true }] }],
  ["03 0F", { to: primary3, instructions: [{ kind: "acknowledge", on: true }] }],
  ["03 0E", { to: primary3, instructions: [{ kind: "acknowledge", on: false }] }],
  // Consist: 0001CCCC 0AAAAAAA.
  ["03 12 20", { to: primary3, instructions: [{ kind: "consist", address: 32, reversed: false }] }],
  ["03 13 20", { to: primary3, instructions: [{ kind: "consist", address: 32, reversed: true }] }],
  // 128 steps: 00111111 DSSSSSSS.
  ["03 3F 80", { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: true, step: 0 }] }],
  [
    "03 3F 01",
    { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: false, step: "emergency-stop" }] },
  ],
  ["03 3F 82", { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: true, step: 1 }] }],
  ["03 3F 7F", { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: false, step: 126 }] }],
  // Restricted speed: 00111110, bit 7 = 0 enables.
  ["03 3E 12", { to: primary3, instructions: [{ kind: "restricted-speed", enabled: true, limit: 18 }] }],
  ["03 3E 80", { to: primary3, instructions: [{ kind: "restricted-speed", enabled: false, limit: 0 }] }],
  // Analog function group: 00111101, the output, its value.
  ["03 3D 01 80", { to: primary3, instructions: [{ kind: "analog-function", output: 1, value: 128 }] }],
  // Service-mode decoder lock, Appendix B (from memory): 11111001 0AAAAAAA, to all.
  ["00 F9 05", { to: all, instructions: [{ kind: "service-lock", address: 5 }] }],
  // A speed in 128 steps and the short form for CV 24 may be in one packet.
  [
    "30 3F 47 F3 E9",
    {
      to: { kind: "primary", number: 48 },
      instructions: [
        { kind: "speed", steps: 128, forward: false, step: 70 },
        { kind: "cv-short", cv: 24, value: 233 },
      ],
    },
  ],
  // 28 steps: 01DCSSSS, C the least significant: step 1 = 00010, 2 = 10010, 3 = 00011, 28 = 11111.
  ["03 62", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 1 }] }],
  ["03 72", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 2 }] }],
  ["03 63", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 3 }] }],
  ["03 5F", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: false, step: 28 }] }],
  ["03 60", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 0, code: 0 }] }],
  ["03 70", { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 0, code: 1 }] }],
  [
    "03 61",
    {
      to: primary3,
      instructions: [{ kind: "speed", steps: 28, forward: true, step: "emergency-stop", code: 0 }],
    },
  ],
  [
    "03 71",
    {
      to: primary3,
      instructions: [{ kind: "speed", steps: 28, forward: true, step: "emergency-stop", code: 1 }],
    },
  ],
  // Function groups.
  ["03 90", { to: primary3, instructions: [{ kind: "functions", group: "F0-F4", on: [0] }] }],
  ["03 89", { to: primary3, instructions: [{ kind: "functions", group: "F0-F4", on: [1, 4] }] }],
  ["03 B9", { to: primary3, instructions: [{ kind: "functions", group: "F5-F8", on: [5, 8] }] }],
  ["03 A9", { to: primary3, instructions: [{ kind: "functions", group: "F9-F12", on: [9, 12] }] }],
  ["03 DE 81", { to: primary3, instructions: [{ kind: "functions", group: "F13-F20", on: [13, 20] }] }],
  ["03 DF 81", { to: primary3, instructions: [{ kind: "functions", group: "F21-F28", on: [21, 28] }] }],
  // Binary states: 11011101 DLLLLLLL, and 11000000 DLLLLLLL HHHHHHHH.
  [
    "03 DD 85",
    { to: primary3, instructions: [{ kind: "binary-state", form: "short", number: 5, on: true }] },
  ],
  [
    "03 C0 82 03",
    { to: primary3, instructions: [{ kind: "binary-state", form: "long", number: 386, on: true }] },
  ],
  // Seven bits, all of them set.
  ["03 12 7F", { to: primary3, instructions: [{ kind: "consist", address: 127, reversed: false }] }],
  ["00 F9 7F", { to: all, instructions: [{ kind: "service-lock", address: 127 }] }],
  ["03 3E 3F", { to: primary3, instructions: [{ kind: "restricted-speed", enabled: true, limit: 63 }] }],
  ["03 3E BF", { to: primary3, instructions: [{ kind: "restricted-speed", enabled: false, limit: 63 }] }],
  [
    "03 DD 7F",
    { to: primary3, instructions: [{ kind: "binary-state", form: "short", number: 127, on: false }] },
  ],
  [
    "03 DD 80",
    { to: primary3, instructions: [{ kind: "binary-state", form: "short", number: 0, on: true }] },
  ],
  [
    "03 C0 7F FF",
    { to: primary3, instructions: [{ kind: "binary-state", form: "long", number: 32767, on: false }] },
  ],
  [
    "03 C0 FF 00",
    { to: primary3, instructions: [{ kind: "binary-state", form: "long", number: 127, on: true }] },
  ],
  ["03 3F FF", { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: true, step: 126 }] }],
  ["03 3D FF FF", { to: primary3, instructions: [{ kind: "analog-function", output: 255, value: 255 }] }],
  // Two instructions in one packet, 6 bytes in all.
  [
    "C4 D2 3F 82 90",
    {
      to: extended1234,
      instructions: [
        { kind: "speed", steps: 128, forward: true, step: 1 },
        { kind: "functions", group: "F0-F4", on: [0] },
      ],
    },
  ],
  // Addresses: 11AAAAAA AAAAAAAA, the same bytes as CV 17 and 18.
  ["E7 FF 00", { to: { kind: "extended", number: 10239 }, instructions: [{ kind: "reset" }] }],
  ["C0 00 00", { to: { kind: "extended", number: 0 }, instructions: [{ kind: "reset" }] }],
  ["7F 00", { to: { kind: "primary", number: 127 }, instructions: [{ kind: "reset" }] }],
  // Accessory, basic: 10AAAAAA 1AAACDDD, high address bits complemented.
  [
    "81 F9",
    { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "output", output: 1, on: true }] },
  ],
  [
    "BE 80",
    { to: { kind: "accessory", number: 510 }, instructions: [{ kind: "output", output: 0, on: false }] },
  ],
  // All accessory decoders: 10111111 1000CDDD, and 10111111 00000111 000XXXXX.
  [
    "BF 8F",
    { to: { kind: "broadcast", to: "accessory" }, instructions: [{ kind: "output", output: 7, on: true }] },
  ],
  [
    "BF 07 1F",
    { to: { kind: "broadcast", to: "accessory" }, instructions: [{ kind: "aspect", aspect: 31 }] },
  ],
  // CV write of older accessory decoders: 10AAAAAA 0AAA11VV VVVVVVVV DDDDDDDD (from memory).
  [
    "81 7E 1C 22",
    { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "cv-legacy", cv: 541, value: 34 }] },
  ],
  [
    "80 A7",
    { to: { kind: "accessory", number: 320 }, instructions: [{ kind: "output", output: 7, on: false }] },
  ],
  // Accessory CV access: CDDD = 0000 for the whole decoder, 1DDD for one output.
  [
    "81 F0 EC 02 05",
    {
      to: { kind: "accessory", number: 1 },
      instructions: [{ kind: "cv", operation: "write", cv: 3, value: 5 }],
    },
  ],
  [
    "81 FE EC 02 05",
    {
      to: { kind: "accessory", number: 1, output: 6 },
      instructions: [{ kind: "cv", operation: "write", cv: 3, value: 5 }],
    },
  ],
  // Accessory, extended: 10AAAAAA 0AAA0AA1 000XXXXX.
  [
    "80 73 05",
    { to: { kind: "extended-accessory", number: 1 }, instructions: [{ kind: "aspect", aspect: 5 }] },
  ],
  [
    "BF 05 1F",
    { to: { kind: "extended-accessory", number: 2046 }, instructions: [{ kind: "aspect", aspect: 31 }] },
  ],
  [
    "81 71 EC 02 05",
    {
      to: { kind: "extended-accessory", number: 4 },
      instructions: [{ kind: "cv", operation: "write", cv: 3, value: 5 }],
    },
  ],
];

const closed = (bytes: string): string => {
  const packet = packetFromText(bytes);
  return packetText([...packet, packet.reduce((xor, byte) => xor ^ byte, 0)]);
};

describe("S-9.2 (July 2004), S-9.2.1 (July 2012)", () => {
  test.each(vectors)("%s", (bytes, packet) => {
    expect(packetText(trackPacket(packet))).toBe(closed(bytes));
    expect(parseTrackPacket(packetFromText(closed(bytes)))).toEqual(packet);
  });

  test("the whole packet of the CV 29 example, its error byte by hand", () => {
    expect(packetText(trackPacket((vectors[0] as (typeof vectors)[0])[1]))).toBe("C4 D2 EC 1C 22 C4");
  });

  test("idle", () => {
    expect(packetText(trackPacket({ to: { kind: "idle" }, instructions: [] }))).toBe("FF 00 FF");
    expect(parseTrackPacket([255, 0, 255])).toEqual({ to: { kind: "idle" }, instructions: [] });
    expect(() => trackPacket({ to: { kind: "idle" }, instructions: [{ kind: "reset" }] })).toThrow("idle");
  });

  test("a receiver can be a number, a consist or an accessory output; anything else is refused by a CvError", () => {
    const reset = [{ kind: "reset" }] as const;
    expect(packetText(trackPacket({ to: 3, instructions: reset }))).toBe("03 00 03");
    expect(packetText(trackPacket({ to: { kind: "consist", number: 32 }, instructions: reset }))).toBe(
      "20 00 20",
    );
    const instructions = [{ kind: "cv", operation: "write", cv: 3, value: 5 }] as const;
    // Output address 4: decoder 1, outputs 6 and 7, as S-9.2.2 (July 2012), CV 1 is read here.
    expect(packetText(trackPacket({ to: { kind: "accessory-output", number: 4 }, instructions }))).toBe(
      packetText(trackPacket({ to: { kind: "accessory", number: 1, output: 6 }, instructions })),
    );
    for (const to of [
      undefined,
      null,
      "3",
      {},
      { kind: "long", number: 3 },
      { kind: "broadcast", to: "accessory" },
    ]) {
      expect(() => trackPacket({ to, instructions } as unknown as TrackPacket)).toThrow(CvError);
    }
    const unknown = { to: 3, instructions: [{ kind: "whistle" }] } as unknown as TrackPacket;
    expect(() => trackPacket(unknown)).toThrow('"whistle" is not a kind of instruction');
  });

  test("all 14-step speeds", () => {
    const wrong: number[] = [];
    for (let byte = 0x40; byte < 0x80; byte++) {
      const packet = [3, byte, 3 ^ byte];
      const parsed = parseTrackPacket(packet, { steps: 14 });
      if (packetText(trackPacket(parsed)) !== packetText(packet)) wrong.push(byte);
    }
    expect(wrong).toEqual([]);
    // S-9.2 (July 2004): bit 5 forward, bit 4 FL, 0010 the first of 14 steps.
    expect(parseTrackPacket([3, 0x72, 0x71], { steps: 14 }).instructions).toEqual([
      { kind: "speed", steps: 14, forward: true, step: 1, code: 1 },
    ]);
    expect(parseTrackPacket([3, 0x4f, 0x4c], { steps: 14 }).instructions).toEqual([
      { kind: "speed", steps: 14, forward: false, step: 14, code: 0 },
    ]);
  });

  test("the 28 steps in order of their bytes, as S-9.2 (July 2004) lists them", () => {
    const bits = Array.from({ length: 28 }, (_, i) => {
      const packet = trackPacket({
        to: primary3,
        instructions: [{ kind: "speed", steps: 28, forward: true, step: i + 1 }],
      });
      return ((packet[1] as number) & 31).toString(2).padStart(5, "0");
    });
    const listed: string[] = [];
    for (let s = 2; s < 16; s++) for (const c of [0, 1]) listed.push(`${c}${s.toString(2).padStart(4, "0")}`);
    expect(bits).toEqual(listed);
  });

  const rejected: readonly [bytes: string, says: string][] = [
    ["E8 00", "packet: E8 is a reserved first byte (E8 to FE) (S-9.2.1 (July 2012), section A)"],
    ["FE 00", "packet: FE is a reserved first byte (E8 to FE) (S-9.2.1 (July 2012), section A)"],
    ["FF 01", "packet: an idle packet is FF 00 FF (S-9.2 (July 2004), idle packet)"],
    ["03 02", `packet: 02 is a decoder control that is reserved or not supported ${sectionC}`],
    ["03 10 20", `packet: 10 is a reserved consist control ${sectionC}`],
    ["03 14 20", `packet: 14 is a reserved consist control ${sectionC}`],
    ["03 12 A0", `packet: A0 is not a consist address: bit 7 must be 0 ${sectionC}`],
    ["03 3D 00", "packet: a packet of 4 bytes is too short for this instruction"],
    ["03 3C 00", `packet: 3C is a reserved advanced-operations instruction ${sectionC}`],
    ["03 F9 80", `packet: 80 is not the address of a decoder lock: bit 7 must be 0 ${sectionC}`],
    ["03 12 20 12 20", `packet: a packet has at most one consist control ${sectionC}`],
    [
      "BF 8F EC 02 05",
      `packet: a CV access goes to one decoder, and this is the address of all accessory decoders ${accessory}`,
    ],
    [
      "BF 07 EC 02 05",
      `packet: a CV access goes to one decoder, and this is the address of all accessory decoders ${accessory}`,
    ],
    [
      "BF 0E 1C 22",
      `packet: a CV access goes to one decoder, and this is the address of all accessory decoders ${accessory}`,
    ],
    ["81 7E 1C", `packet: the length of 4 bytes fits no accessory packet ${accessory}`],
    ["03 3E 40", `packet: 40 has bit 6 set, which must be 0 in restricted speed ${sectionC}`],
    ["03 C1 00", `packet: C1 is a reserved feature-expansion instruction ${sectionC}`],
    ["03 E0 00 00", `packet: E0 has the instruction code CC = 00, which is reserved ${sectionC}`],
    ["03 E8 1C 1D", `packet: 1D is not a bit instruction: bits 5-7 must be 1 ${sectionC}`],
    ["03 F0 00", `packet: F0 is a reserved short CV access ${sectionC}`],
    ["03 EC 1C", "packet: a packet of 4 bytes is too short for this instruction"],
    ["03 3F", "packet: a packet of 3 bytes is too short for this instruction"],
    [
      "C4 D2",
      "packet: a packet of 3 bytes has no room for an instruction behind this address (S-9.2.1 (July 2012), section B)",
    ],
    ["03 F2 01 F2 02", `packet: a packet has at most one CV access ${sectionC}`],
    ["03 3F 82 3F 83", `packet: a packet has at most one advanced-operations instruction ${sectionC}`],
    ["03 3F 82 3E 03", `packet: a packet has at most one advanced-operations instruction ${sectionC}`],
    [
      "80 0B",
      `packet: 0B fits no accessory packet: the second byte of a basic one is 1AAACDDD, of an extended one 0AAA0AA1 ${accessory}`,
    ],
    [
      "80 70",
      `packet: 70 fits no accessory packet: the second byte of a basic one is 1AAACDDD, of an extended one 0AAA0AA1 ${accessory}`,
    ],
    ["80 71 20", `packet: 20 is not an aspect: bits 5-7 must be 0 ${accessory}`],
    [
      "81 F1 EC 02 05",
      `packet: F1 has CDDD = 0DDD, which no CV access has: 0000 is the whole decoder, 1DDD one output ${accessory}`,
    ],
    ["81 F0 EC", `packet: the length of 4 bytes fits no accessory packet ${accessory}`],
    [
      "81 F0 3F 82 90",
      `packet: 3F is not a CV access, and a long accessory packet has no other instruction ${accessory}`,
    ],
    ["03 0C", `packet: 0C is a decoder control that is reserved or not supported ${sectionC}`],
    ["03 3E", "packet: a packet of 3 bytes is too short for this instruction"],
    ["03 DD", "packet: a packet of 3 bytes is too short for this instruction"],
    ["03 C0 82", "packet: a packet of 4 bytes is too short for this instruction"],
    ["03 F4 00", `packet: F4 is a reserved short CV access ${sectionC}`],
    ["03 E0", "packet: a packet of 3 bytes is too short for this instruction"],
    ["81 7E 1C 22 05", `packet: the length of 6 bytes fits no accessory packet ${accessory}`],
    ["80 71", `packet: the length of 3 bytes fits no accessory packet ${accessory}`],
    [
      "80 71 3F 82 90",
      `packet: 3F is not a CV access, and a long accessory packet has no other instruction ${accessory}`,
    ],
    ["BF 8F 00", `packet: the length of 4 bytes fits no accessory packet ${accessory}`],
  ];
  test.each(rejected)("%s is rejected with the reason and its source", (bytes, says) => {
    expect(saidBy(() => parseTrackPacket(packetFromText(closed(bytes))))).toEqual([says]);
  });

  test("length and error byte are checked first", () => {
    expect(() => parseTrackPacket([3, 3])).toThrow("expected 3 to 6 bytes, error byte included, got ");
    expect(() => parseTrackPacket([0, 0, 0, 0, 0, 0, 0])).toThrow(
      "expected 3 to 6 bytes, error byte included, got ",
    );
    expect(() => parseTrackPacket(packetFromText("C4 D2 EC 1C 22 C5"))).toThrow("the error byte must be C4");
  });

  const unmakeable: readonly [TrackPacket, string][] = [
    [
      { to: { kind: "primary", number: 128 }, instructions: [{ kind: "reset" }] },
      `to.number: 128 is out of range; allowed is 1 to 127 ${addresses}`,
    ],
    [
      { to: { kind: "primary", number: 0 }, instructions: [{ kind: "reset" }] },
      `to.number: 0 is out of range; allowed is 1 to 127 ${addresses}`,
    ],
    [
      { to: { kind: "extended", number: 10240 }, instructions: [{ kind: "reset" }] },
      `to.number: 10240 is out of range; allowed is 0 to 10239 ${addresses}`,
    ],
    [
      { to: { kind: "accessory", number: 512 }, instructions: [] },
      `to.number: 512 is out of range; allowed is 0 to 511 ${addresses}`,
    ],
    [
      { to: { kind: "accessory", number: 5, output: 8 }, instructions: [] },
      `to.output: 8 is out of range; allowed is 0 to 7 ${addresses}`,
    ],
    [
      { to: { kind: "accessory", number: 511 }, instructions: [] },
      `to: 511 is the address of all accessory decoders; give the kind "broadcast" with to: "accessory" ${accessory}`,
    ],
    [
      { to: { kind: "accessory-output", number: 2044 }, instructions: [] },
      `to: 2044 is the address of all accessory decoders; give the kind "broadcast" with to: "accessory" ${accessory}`,
    ],
    [
      { to: { kind: "extended-accessory", number: 2047 }, instructions: [] },
      `to: 2047 is the address of all accessory decoders; give the kind "broadcast" with to: "accessory" ${accessory}`,
    ],
    [
      {
        to: { kind: "broadcast", to: "accessory" },
        instructions: [{ kind: "cv", operation: "write", cv: 1, value: 5 }],
      },
      `to: a CV access goes to one decoder, and this is the address of all accessory decoders ${accessory}`,
    ],
    [
      { to: { kind: "broadcast", to: "accessory" }, instructions: [{ kind: "reset" }] },
      `instructions: "reset" is not a kind of instruction for all accessory decoders ${accessory}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "analog-function", output: 256, value: 0 }] },
      `output: 256 is out of range; allowed is 0 to 255 ${sectionC}`,
    ],
    [
      { to: { kind: "extended-accessory", number: 2048 }, instructions: [] },
      `to.number: 2048 is out of range; allowed is 0 to 2047 ${addresses}`,
    ],
    [{ to: primary3, instructions: [] }, "packet: a packet has at least one instruction"],
    [
      { to: primary3, instructions: [{ kind: "output", output: 1, on: true }] },
      `instructions: "output" is not a kind of instruction for a multi-function decoder ${sectionC}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "reset" }] },
      `instructions: "reset" is not a kind of instruction for an accessory decoder address ${accessory}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "aspect", aspect: 1 }] },
      `instructions: "aspect" is not a kind of instruction for an accessory decoder address ${accessory}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [] },
      `packet: a packet to an accessory decoder has one instruction, got 0 ${accessory}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 29 }] },
      `step: 29 is out of range; allowed is 1 to 28 ${speed}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "speed", steps: 14, forward: true, step: 15 }] },
      `step: 15 is out of range; allowed is 1 to 14 ${speed}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "speed", steps: 128, forward: true, step: 127 }] },
      `step: 127 is out of range; allowed is 1 to 126 ${speed}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "functions", group: "F5-F8", on: [4] }] },
      `on: 4 is out of range; allowed is 5 to 8 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "consist", address: 128, reversed: false }] },
      `address: 128 is out of range; allowed is 0 to 127 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "binary-state", form: "short", number: 128, on: true }] },
      `number: 128 is out of range; allowed is 0 to 127 ${sectionC}`,
    ],
    [
      {
        to: extended1234,
        instructions: [
          { kind: "cv", operation: "write", cv: 29, value: 34 },
          { kind: "functions", group: "F0-F4", on: [] },
        ],
      },
      "packet: a packet has at most 6 bytes, error byte included; this one would have 7 (S-9.2.1 (July 2012), section B)",
    ],
    [
      {
        to: primary3,
        instructions: [
          { kind: "cv-short", cv: 23, value: 1 },
          { kind: "cv-short", cv: 24, value: 1 },
        ],
      },
      `packet: a packet has at most one CV access ${sectionC}`,
    ],
    [
      { to: { kind: "idle" }, instructions: [{ kind: "reset" }] },
      "packet: an idle packet has no instruction",
    ],
    [
      { to: primary3, instructions: [{ kind: "restricted-speed", enabled: true, limit: 64 }] },
      `limit: 64 is out of range; allowed is 0 to 63 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "analog-function", output: 0, value: 256 }] },
      `value: 256 is out of range; allowed is 0 to 255 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "binary-state", form: "long", number: 32768, on: true }] },
      `number: 32768 is out of range; allowed is 0 to 32767 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv-short", cv: 22 as 23, value: 1 }] },
      `cv: 22 is out of range; allowed is 23 to 24 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv-short", cv: 25 as 23, value: 1 }] },
      `cv: 25 is out of range; allowed is 23 to 24 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv-short", cv: 23, value: 256 }] },
      `value: 256 is out of range; allowed is 0 to 255 ${sectionC}`,
    ],
    [
      { to: all, instructions: [{ kind: "service-lock", address: 128 }] },
      `address: 128 is out of range; allowed is 0 to 127 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "functions", group: "F13-F20", on: [21] }] },
      `on: 21 is out of range; allowed is 13 to 20 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 0, value: 1 }] },
      `cv: 0 is out of range; allowed is 1 to 1024 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 1025, value: 1 }] },
      `cv: 1025 is out of range; allowed is 1 to 1024 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 1.5, value: 1 }] },
      `cv: expected a whole number from 1 to 1024, got 1.5 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "verify", cv: 1, value: 256 }] },
      `value: 256 is out of range; allowed is 0 to 255 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 1, value: 2, bit: 0 }] },
      `value: 2 is out of range; allowed is 0 to 1 ${sectionC}`,
    ],
    [
      { to: primary3, instructions: [{ kind: "cv", operation: "write", cv: 1, value: 1, bit: 8 }] },
      `bit: 8 is out of range; allowed is 0 to 7 ${sectionC}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "output", output: 8, on: true }] },
      `output: 8 is out of range; allowed is 0 to 7 ${accessory}`,
    ],
    [
      { to: { kind: "extended-accessory", number: 1 }, instructions: [{ kind: "aspect", aspect: 32 }] },
      `aspect: 32 is out of range; allowed is 0 to 31 ${accessory}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "cv-legacy", cv: 1025, value: 1 }] },
      `cv: 1025 is out of range; allowed is 1 to 1024 ${accessory}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "cv-legacy", cv: 0, value: 1 }] },
      `cv: 0 is out of range; allowed is 1 to 1024 ${accessory}`,
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "cv-legacy", cv: 1, value: 256 }] },
      `value: 256 is out of range; allowed is 0 to 255 ${accessory}`,
    ],
    [
      { to: { kind: "broadcast", to: "accessory" }, instructions: [{ kind: "cv-legacy", cv: 1, value: 5 }] },
      `to: a CV access goes to one decoder, and this is the address of all accessory decoders ${accessory}`,
    ],
    [
      {
        to: { kind: "accessory", number: 1, output: 3 },
        instructions: [{ kind: "cv-legacy", cv: 1, value: 5 }],
      },
      `instructions: "cv-legacy" is not a kind of instruction for one output of an accessory decoder ${accessory}`,
    ],
    [
      {
        to: { kind: "accessory", number: 1, output: 3 },
        instructions: [{ kind: "output", output: 1, on: true }],
      },
      `instructions: "output" is not a kind of instruction for one output of an accessory decoder ${accessory}`,
    ],
    [
      {
        to: { kind: "accessory-output", number: 5 },
        instructions: [{ kind: "output", output: 1, on: true }],
      },
      `instructions: "output" is not a kind of instruction for one output of an accessory decoder ${accessory}`,
    ],
    [
      {
        to: { kind: "extended-accessory", number: 5 },
        instructions: [{ kind: "output", output: 1, on: true }],
      },
      `instructions: "output" is not a kind of instruction for an extended accessory address ${accessory}`,
    ],
    [
      {
        to: { kind: "extended-accessory", number: 5 },
        instructions: [{ kind: "cv-legacy", cv: 1, value: 1 }],
      },
      `instructions: "cv-legacy" is not a kind of instruction for an extended accessory address ${accessory}`,
    ],
    [
      {
        to: { kind: "accessory", number: 1 },
        instructions: [
          { kind: "output", output: 1, on: true },
          { kind: "output", output: 2, on: true },
        ],
      },
      `packet: a packet to an accessory decoder has one instruction, got 2 ${accessory}`,
    ],
    [
      {
        to: primary3,
        instructions: [
          { kind: "consist", address: 1, reversed: false },
          { kind: "consist", address: 2, reversed: false },
        ],
      },
      `packet: a packet has at most one consist control ${sectionC}`,
    ],
    [
      {
        to: primary3,
        instructions: [
          { kind: "restricted-speed", enabled: true, limit: 6 },
          { kind: "restricted-speed", enabled: true, limit: 7 },
        ],
      },
      `packet: a packet has at most one advanced-operations instruction ${sectionC}`,
    ],
    [
      {
        to: all,
        instructions: [
          { kind: "service-lock", address: 1 },
          { kind: "cv-short", cv: 23, value: 1 },
        ],
      },
      `packet: a packet has at most one CV access ${sectionC}`,
    ],
  ];
  test.each(unmakeable)("%o is not made, with the reason and its source", (packet, says) => {
    expect(saidBy(() => trackPacket(packet))).toEqual([says]);
  });

  test("whatever byte stands first behind an address, the packet is parsed into what makes it again, or rejected", () => {
    const wrong: string[] = [];
    let made = 0;
    const heads = [[3], [0xc4, 0xd2], [0x81], [0xbf]];
    for (const head of heads) {
      for (let first = 0; first < 256; first++) {
        for (const tail of [[], [0], [0x55], [0xff], [0x12, 0xe7], [0xff, 0x02], [0x80, 0xff]]) {
          const bytes = [...head, first, ...tail];
          const packet = [...bytes, bytes.reduce((xor, byte) => xor ^ byte, 0)];
          try {
            const parsed = parseTrackPacket(packet);
            made++;
            if (packetText(trackPacket(parsed)) !== packetText(packet)) wrong.push(packetText(packet));
          } catch (error) {
            if (!(error instanceof CvError)) throw error;
          }
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(made).toBeGreaterThan(500);
  });
});
