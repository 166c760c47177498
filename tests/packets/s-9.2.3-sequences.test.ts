import {
  type AccessMode,
  accessSequence,
  closingSequence,
  directModeTest,
  factoryResetSequence,
  openingSequence,
  type Sequence,
  type SequencePart,
} from "cvset/packets";
import { describe, expect, test } from "vitest";

const text = ({ parts }: Sequence) => parts.map(({ times, packet }) => `${times} x ${packet}`);
const write = (mode: AccessMode, cv: number) => accessSequence(mode, { operation: "write", cv, value: 5 });
const verify = (mode: AccessMode, cv: number) => accessSequence(mode, { operation: "verify", cv, value: 5 });

describe("S-9.2.3 (July 2012), section E: the least numbers of packets", () => {
  test("direct: 3 resets, 5 writes, 6 recovery", () => {
    expect(text(write("direct", 2))).toEqual(["3 x 00 00 00", "5 x 7C 01 05 78", "6 x 00 00 00"]);
  });
  test("direct verify: 3 resets, 5 verifies, 1 reset when acknowledged", () => {
    const sequence = verify("direct", 2);
    expect(text(sequence)).toEqual(["3 x 00 00 00", "5 x 74 01 05 70", "1 x 00 00 00"]);
    expect(
      sequence.parts.map((part) => [part.untilAcknowledged ?? false, part.onlyAcknowledged ?? false]),
    ).toEqual([
      [false, false],
      [true, false],
      [false, true],
    ]);
  });
  test("address-only and register 1: 10 recovery packets", () => {
    expect(text(write("address-only", 1))).toEqual(["3 x 00 00 00", "5 x 78 05 7D", "10 x 00 00 00"]);
    expect(text(write("register", 1))).toEqual(["3 x 00 00 00", "5 x 78 05 7D", "10 x 00 00 00"]);
    expect(text(write("register", 2))).toEqual(["3 x 00 00 00", "5 x 79 05 7C", "6 x 00 00 00"]);
  });
  test("register verify: 7 verifies", () => {
    expect(text(verify("register", 29))).toEqual(["3 x 00 00 00", "7 x 74 05 71", "1 x 00 00 00"]);
  });
  test("paged: the page first, each with its own repeats", () => {
    expect(text(write("paged", 65))).toEqual([
      "3 x 00 00 00",
      "5 x 7D 11 6C",
      "6 x 00 00 00",
      "3 x 00 00 00",
      "5 x 78 05 7D",
      "10 x 00 00 00",
    ]);
    expect(text(verify("paged", 66)).slice(3)).toEqual(["3 x 00 00 00", "7 x 71 05 74", "1 x 00 00 00"]);
  });
  test("20 packets after power-on; the register modes set page 1", () => {
    expect(text(openingSequence("direct"))).toEqual(["20 x 00 00 00"]);
    expect(text(openingSequence("register"))).toEqual([
      "20 x 00 00 00",
      "3 x 00 00 00",
      "5 x 7D 01 7C",
      "6 x 00 00 00",
    ]);
    expect(openingSequence("main").parts).toEqual([]);
  });
  test("preambles: 20 bits in service mode; 14 on the main (S-9.2 (July 2004))", () => {
    for (const mode of ["direct", "paged", "register", "address-only"] as const) {
      expect([write(mode, 1).preambleBits, openingSequence(mode).preambleBits]).toEqual([20, 20]);
    }
    const main = accessSequence(
      "main",
      { operation: "write", cv: 2, value: 5 },
      { kind: "primary", number: 3 },
    );
    expect(main.preambleBits).toBe(14);
  });
  test("factory reset", () => {
    const preset = ["3 x 00 00 00", "5 x 7D 01 7C", "6 x 00 00 00"];
    expect(text(factoryResetSequence())).toEqual([...preset, "3 x 00 00 00", "5 x 7F 08 77", "6 x 00 00 00"]);
  });
});

test("S-9.2.1 (July 2012), section C: two identical packets on the main", () => {
  const main = accessSequence(
    "main",
    { operation: "write", cv: 29, value: 34 },
    { kind: "extended", number: 1234 },
  );
  expect(text(main)).toEqual(["2 x C4 D2 EC 1C 22 C4"]);
});

describe("S-9.2.3 (July 2012), section E: whose acknowledgement is the answer", () => {
  const answering = ({ parts }: Sequence) =>
    parts.flatMap(({ packet, answers }) => (answers ? [packet] : []));
  test("paged: the data part, and not the write to the page register", () => {
    expect(answering(verify("paged", 3))).toEqual(["72 05 77"]);
    expect(answering(write("paged", 3))).toEqual(["7A 05 7F"]);
  });
  test("the only command of the other modes; none before and after", () => {
    expect(answering(write("direct", 3))).toEqual(["7C 02 05 7B"]);
    expect(answering(verify("register", 3))).toEqual(["72 05 77"]);
    expect(answering(accessSequence("main", { operation: "verify", cv: 3, value: 5 }, 3))).toEqual([
      "03 E4 02 05 E0",
    ]);
    expect([openingSequence("register"), closingSequence("paged")].flatMap(answering)).toEqual([]);
  });
});

test("S-9.2.3 (July 2012), section E: the page register is put back to 1 after paged mode", () => {
  expect(text(closingSequence("paged"))).toEqual(["3 x 00 00 00", "5 x 7D 01 7C", "6 x 00 00 00"]);
  for (const mode of ["direct", "register", "address-only", "main"] as const) {
    expect(closingSequence(mode).parts).toEqual([]);
  }
});

test("S-9.2.3 (July 2012), section E: direct mode is tested by two bit verifies of CV 8", () => {
  expect(directModeTest.map((access) => accessSequence("direct", access).parts[1]?.packet)).toEqual([
    "78 07 E7 98",
    "78 07 EF 90",
  ]);
});

describe("S-9.2.3 (July 2012), section E: what each part is for, and when it is sent", () => {
  const resets = (purpose: SequencePart["purpose"], times: number) => ({
    purpose,
    packet: "00 00 00",
    times,
  });
  const preset: SequencePart[] = [
    resets("reset", 3),
    { purpose: "command", packet: "7D 01 7C", times: 5 },
    resets("recovery", 6),
  ];
  const all: readonly [string, Sequence, Sequence][] = [
    [
      "a write",
      write("direct", 2),
      {
        preambleBits: 20,
        parts: [
          resets("reset", 3),
          { purpose: "command", packet: "7C 01 05 78", times: 5, answers: true },
          resets("recovery", 6),
        ],
      },
    ],
    [
      "a verify: the command ends with the acknowledgement, and only then a reset confirms it",
      verify("direct", 2),
      {
        preambleBits: 20,
        parts: [
          resets("reset", 3),
          { purpose: "command", packet: "74 01 05 70", times: 5, untilAcknowledged: true, answers: true },
          { ...resets("confirm", 1), onlyAcknowledged: true },
        ],
      },
    ],
    [
      "a verify in paged mode: the write of the page is no answer",
      verify("paged", 66),
      {
        preambleBits: 20,
        parts: [
          resets("reset", 3),
          { purpose: "command", packet: "7D 11 6C", times: 5 },
          resets("recovery", 6),
          resets("reset", 3),
          { purpose: "command", packet: "71 05 74", times: 7, untilAcknowledged: true, answers: true },
          { ...resets("confirm", 1), onlyAcknowledged: true },
        ],
      },
    ],
    [
      "a write on the main",
      accessSequence("main", { operation: "write", cv: 29, value: 34 }, 3),
      {
        preambleBits: 14,
        parts: [{ purpose: "command", packet: "03 EC 1C 22 D1", times: 2, answers: true }],
      },
    ],
    [
      "the opening of direct mode",
      openingSequence("direct"),
      { preambleBits: 20, parts: [resets("power-on", 20)] },
    ],
    [
      "the opening of paged mode",
      openingSequence("paged"),
      { preambleBits: 20, parts: [resets("power-on", 20)] },
    ],
    [
      "the opening of register mode",
      openingSequence("register"),
      { preambleBits: 20, parts: [resets("power-on", 20), ...preset] },
    ],
    [
      "the opening of address-only mode",
      openingSequence("address-only"),
      { preambleBits: 20, parts: [resets("power-on", 20), ...preset] },
    ],
    ["the opening on the main", openingSequence("main"), { preambleBits: 14, parts: [] }],
    ["the end of paged mode", closingSequence("paged"), { preambleBits: 20, parts: preset }],
    ["the end of direct mode", closingSequence("direct"), { preambleBits: 20, parts: [] }],
    ["the end on the main", closingSequence("main"), { preambleBits: 14, parts: [] }],
    [
      "the factory reset",
      factoryResetSequence(),
      {
        preambleBits: 20,
        parts: [
          ...preset,
          resets("reset", 3),
          { purpose: "command", packet: "7F 08 77", times: 5, answers: true },
          resets("recovery", 6),
        ],
      },
    ],
  ] as const;
  test.each(all)("%s", (_, sequence, expected) => {
    expect(sequence).toStrictEqual(expected);
  });
});
