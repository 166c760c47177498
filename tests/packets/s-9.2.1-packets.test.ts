import { CvError } from "cvset";
import { packetFromText, packetText, parseTrackPacket, type TrackPacket, trackPacket } from "cvset/packets";
import { describe, expect, test } from "vitest";

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
    ["E8 00", "E8 is a reserved first byte"],
    ["FE 00", "FE is a reserved first byte"],
    ["FF 01", "an idle packet is FF 00 FF"],
    ["03 02", "02 is a decoder control"],
    ["03 10 20", "10 is a reserved consist control"],
    ["03 14 20", "14 is a reserved consist control"],
    ["03 12 A0", "A0 is not a consist address"],
    ["03 3D 00", "a packet of 4 bytes is too short"],
    ["03 3C 00", "3C is a reserved advanced-operations instruction"],
    ["03 F9 80", "80 is not the address of a decoder lock"],
    ["03 12 20 12 20", "at most one consist control (S-9.2.1 (July 2012), section C)"],
    ["BF 8F EC 02 05", "the address of all accessory decoders"],
    ["BF 07 EC 02 05", "the address of all accessory decoders"],
    ["BF 0E 1C 22", "the address of all accessory decoders"],
    ["81 7E 1C", "the length of 4 bytes fits no accessory packet"],
    ["03 3E 40", "40 has bit 6 set"],
    ["03 C1 00", "C1 is a reserved feature-expansion instruction"],
    ["03 E0 00 00", "CC = 00, which is reserved"],
    ["03 E8 1C 1D", "1D is not a bit instruction"],
    ["03 F0 00", "F0 is a reserved short CV access"],
    ["03 EC 1C", "a packet of 4 bytes is too short"],
    ["03 3F", "a packet of 3 bytes is too short"],
    ["C4 D2", "no room for an instruction"],
    ["03 F2 01 F2 02", "at most one CV access"],
    ["03 3F 82 3F 83", "at most one advanced-operations instruction"],
    ["03 3F 82 3E 03", "at most one advanced-operations instruction"],
    ["80 0B", "0B fits no accessory packet"],
    ["80 70", "70 fits no accessory packet"],
    ["80 71 20", "20 is not an aspect"],
    ["81 F1 EC 02 05", "CDDD = 0DDD"],
    ["81 F0 EC", "the length of 4 bytes fits no accessory packet"],
    ["81 F0 3F 82 90", "3F is not a CV access"],
  ];
  test.each(rejected)("%s is rejected", (bytes, says) => {
    expect(() => parseTrackPacket(packetFromText(closed(bytes)))).toThrow(says);
  });

  test("length and error byte are checked first", () => {
    expect(() => parseTrackPacket([3, 3])).toThrow("expected 3 to 6 bytes, error byte included, got ");
    expect(() => parseTrackPacket([0, 0, 0, 0, 0, 0, 0])).toThrow(
      "expected 3 to 6 bytes, error byte included, got ",
    );
    expect(() => parseTrackPacket(packetFromText("C4 D2 EC 1C 22 C5"))).toThrow("the error byte must be C4");
  });

  const unmakeable: readonly [TrackPacket, string][] = [
    [{ to: { kind: "primary", number: 128 }, instructions: [{ kind: "reset" }] }, "1 to 127"],
    [{ to: { kind: "primary", number: 0 }, instructions: [{ kind: "reset" }] }, "1 to 127"],
    [{ to: { kind: "extended", number: 10240 }, instructions: [{ kind: "reset" }] }, "0 to 10239"],
    [{ to: { kind: "accessory", number: 512 }, instructions: [] }, "0 to 511"],
    [{ to: { kind: "accessory", number: 5, output: 8 }, instructions: [] }, "0 to 7"],
    [
      { to: { kind: "accessory", number: 511 }, instructions: [] },
      "511 is the address of all accessory decoders",
    ],
    [
      { to: { kind: "accessory-output", number: 2044 }, instructions: [] },
      "2044 is the address of all accessory decoders",
    ],
    [{ to: { kind: "extended-accessory", number: 2047 }, instructions: [] }, "2047 is the address of all"],
    [
      {
        to: { kind: "broadcast", to: "accessory" },
        instructions: [{ kind: "cv", operation: "write", cv: 1, value: 5 }],
      },
      "to: a CV access goes to one decoder",
    ],
    [
      { to: { kind: "broadcast", to: "accessory" }, instructions: [{ kind: "reset" }] },
      '"reset" is not a kind of instruction for all accessory decoders',
    ],
    [
      { to: primary3, instructions: [{ kind: "analog-function", output: 256, value: 0 }] },
      "output: 256 is out of range",
    ],
    [{ to: { kind: "extended-accessory", number: 2048 }, instructions: [] }, "0 to 2047"],
    [{ to: primary3, instructions: [] }, "at least one instruction"],
    [
      { to: primary3, instructions: [{ kind: "output", output: 1, on: true }] },
      '"output" is not a kind of instruction for a multi-function decoder',
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "reset" }] },
      '"reset" is not a kind of instruction for an accessory decoder address',
    ],
    [
      { to: { kind: "accessory", number: 1 }, instructions: [{ kind: "aspect", aspect: 1 }] },
      '"aspect" is not a kind of instruction for an accessory decoder address',
    ],
    [{ to: { kind: "accessory", number: 1 }, instructions: [] }, "one instruction"],
    [{ to: primary3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 29 }] }, "1 to 28"],
    [{ to: primary3, instructions: [{ kind: "speed", steps: 14, forward: true, step: 15 }] }, "1 to 14"],
    [{ to: primary3, instructions: [{ kind: "speed", steps: 128, forward: true, step: 127 }] }, "1 to 126"],
    [{ to: primary3, instructions: [{ kind: "functions", group: "F5-F8", on: [4] }] }, "5 to 8"],
    [{ to: primary3, instructions: [{ kind: "consist", address: 128, reversed: false }] }, "0 to 127"],
    [
      { to: primary3, instructions: [{ kind: "binary-state", form: "short", number: 128, on: true }] },
      "0 to 127",
    ],
    [
      {
        to: extended1234,
        instructions: [
          { kind: "cv", operation: "write", cv: 29, value: 34 },
          { kind: "functions", group: "F0-F4", on: [] },
        ],
      },
      "at most 6 bytes",
    ],
    [
      {
        to: primary3,
        instructions: [
          { kind: "cv-short", cv: 23, value: 1 },
          { kind: "cv-short", cv: 24, value: 1 },
        ],
      },
      "at most one CV access",
    ],
  ];
  test.each(unmakeable)("%o is not made", (packet, says) => {
    expect(() => trackPacket(packet)).toThrow(says);
    expect(() => trackPacket(packet)).toThrow(CvError);
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
