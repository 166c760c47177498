import { CvError, CvPatch, CvSet, choice, cv, defineDecoder, flag, messageOf } from "cvset";
import { orderRules, outcome, type PlanOptions, plan, readSteps, tryPlanFromJson, verify } from "cvset/plan";
import { type Address, type AddressLike, addressText } from "cvset/standard";
import { describe, expect, test } from "vitest";

// Plans at the edges: what is hardly known, what is locked, addresses that are given, to the word.

type Cvs = Readonly<Record<string, number>>;

const planned = (from: Cvs, to: Cvs, options: PlanOptions) => plan(CvSet.from(from), CvSet.from(to), options);

/** The steps as `16=2 differs`, with the bits where it is not the whole byte. */
const stepsOf = (from: Cvs, to: Cvs, options: PlanOptions = {}): string[] =>
  planned(from, to, options).steps.map(
    ({ cv: name, value, mask, need }) => `${name}=${value}${mask === 255 ? "" : `/${mask}`} ${need}`,
  );

/** The notes as `warning 15,16: lock-unknown`. */
const notesOf = (from: Cvs, to: Cvs, options: PlanOptions = {}): string[] =>
  planned(from, to, options).notes.map(
    ({ severity, code, places = [] }) => `${severity} ${places.map((place) => place.cv).join()}: ${code}`,
  );

const issuesOf = (from: Cvs, to: Cvs, options: PlanOptions = {}): string[] => {
  try {
    planned(from, to, options);
  } catch (error) {
    if (error instanceof CvError) return error.issues.map((issue) => messageOf(issue));
    throw error;
  }
  return [];
};

describe("the decoder lock (S-9.2.2 (July 2012), CV 15 and 16)", () => {
  // [what the decoder holds, what is wanted, steps, notes]
  test.each<[Cvs, Cvs, string[], string[]]>([
    [{ 15: 1, 16: 1 }, { 15: 1, 16: 1 }, [], []],
    [{ 15: 1, 16: 1 }, { 16: 2 }, ["16=2 differs"], []],
    [{ 15: 1, 16: 1 }, { 15: 2, 16: 2 }, ["16=2 differs", "15=2 differs"], []],
    [{ 15: 1, 16: 1 }, { 15: 3, 16: 4 }, ["16=4 differs", "15=3 differs"], []],
    [{ 15: 1, 16: 1 }, { 3: 1 }, ["3=1 unknown"], []],
    [{ 15: 1, 16: 2 }, { 3: 1 }, ["15=2 unlock", "3=1 unknown", "15=1 differs"], []],
    [{ 15: 1, 16: 2 }, { 3: 1, 15: 2 }, ["15=2 differs", "3=1 unknown"], []],
    // CV 15 alone can always be written.
    [{ 15: 1, 16: 2 }, { 15: 5 }, ["15=5 differs"], []],
    [{ 15: 1, 16: 2 }, { 15: 2 }, ["15=2 differs"], []],
    [{ 15: 1, 16: 2 }, { 16: 1 }, ["15=2 unlock", "16=1 differs", "15=1 differs"], []],
    [{}, { 3: 1 }, ["3=1 unknown"], []],
    [{}, { 15: 3 }, ["15=3 unknown"], []],
    [{}, { 16: 3 }, ["16=3 unknown", "15=3 unlock"], ["warning 15,16: lock-unknown"]],
    [{ 16: 1 }, { 3: 1 }, ["3=1 unknown"], ["warning 15: lock-unknown"]],
    [{ 16: 1 }, {}, [], []],
    [{ 15: 1 }, { 3: 1 }, ["3=1 unknown"], ["warning 16: lock-unknown"]],
    [{ 16: 4 }, { 3: 1, 15: 4 }, ["15=4 unknown", "3=1 unknown"], ["warning 15: lock-unknown"]],
    [
      { 16: 4 },
      { 3: 1, 15: 5 },
      ["15=4 unlock", "3=1 unknown", "15=5 differs"],
      ["warning 15: lock-unknown"],
    ],
    [{ 15: 4 }, { 16: 4 }, ["16=4 unknown"], ["warning 16: lock-unknown"]],
  ])("from %j to %j", (from, to, steps, notes) => {
    expect(stepsOf(from, to)).toEqual(steps);
    expect(notesOf(from, to)).toEqual(notes);
  });

  test("a locked decoder is opened for CV 31 and 32 alone, too", () => {
    const locked = { 15: 1, 16: 2, 31: 16, 32: 0 };
    expect(stepsOf(locked, { 31: 17 })).toEqual(["15=2 unlock", "31=17 differs", "15=1 differs"]);
    expect(stepsOf(locked, { 32: 1 })).toEqual(["15=2 unlock", "32=1 differs", "15=1 differs"]);
    expect(stepsOf(locked, { 31: 16, 32: 0 })).toEqual([]);
  });

  test("everything is written: an open decoder stays open, a locked one stays locked", () => {
    const open = { 15: 1, 16: 1, 3: 2 };
    expect(stepsOf(open, open, { all: true })).toEqual(["16=1 asked", "15=1 asked", "3=2 asked"]);
    const locked = { 15: 1, 16: 2 };
    expect(stepsOf(locked, locked, { all: true })).toEqual(["16=2 asked", "15=1 asked"]);
  });

  test("an accessory decoder has no such lock: CV 15 and 16 are as any others", () => {
    expect(stepsOf({ 15: 1, 16: 2 }, { 3: 1, 16: 4 }, { kind: "accessory" })).toEqual([
      "3=1 unknown",
      "16=4 differs",
    ]);
  });
});

describe("writes that other writes make necessary", () => {
  test("CV 18 after CV 17 (S-9.2.1 (July 2012), note to Write Byte)", () => {
    expect(stepsOf({ 18: 3 }, { 17: 196 })).toEqual(["17=196 unknown", "18=3 again"]);
    expect(stepsOf({ 17: 192 }, { 18: 3 })).toEqual(["18=3 unknown"]);
    expect(issuesOf({}, { 17: 196 })).toEqual([
      "CV 18: not known, but to be written: CV 17 takes effect only when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte)",
    ]);
  });

  test("CV 19 and 29 after CV 1 (S-9.2.3 (July 2012), section E)", () => {
    const cleared = "warning 29,19: cleared-by-cv-1";
    expect(stepsOf({ 1: 3, 19: 5, 29: 34 }, { 1: 9 })).toEqual(["1=9 differs", "19=5 again", "29=34 again"]);
    expect(stepsOf({ 1: 3, 19: 5 }, { 1: 9, 29: 6 })).toEqual(["1=9 differs", "19=5 again", "29=6 unknown"]);
    // What is clear already cannot be cleared.
    expect(stepsOf({ 1: 3, 19: 0, 29: 2 }, { 1: 9 })).toEqual(["1=9 differs"]);
    expect(notesOf({ 1: 3, 19: 0, 29: 2 }, { 1: 9 })).toEqual([]);
    expect(stepsOf({ 1: 3 }, { 1: 9 })).toEqual(["1=9 differs"]);
    expect(notesOf({ 1: 3 }, { 1: 9 })).toEqual([cleared]);
    // A decoder without consists loses none.
    const decoder = { kind: "multifunction", factory: CvSet.from({ 1: 3, 29: 2 }) } as const;
    expect(notesOf({ 1: 3 }, { 1: 9 }, { decoder })).toEqual(["warning 29: cleared-by-cv-1"]);
    // In an accessory decoder CV 1 is a part of the address and clears nothing.
    expect(stepsOf({ 1: 3, 19: 5, 29: 34 }, { 1: 9 }, { kind: "accessory" })).toEqual(["1=9 differs"]);
  });

  test("on the main, with the extended address in use: bit 5 of CV 29 again, at both addresses", () => {
    const { steps, notes } = planned(
      { 1: 3 },
      { 1: 9 },
      { mode: "main", changeAddress: true, address: { kind: "extended", number: 1234 } },
    );
    expect(
      steps.map(({ cv: name, value, mask, need, address }) => [name, value, mask, need, address?.kind]),
    ).toEqual([
      ["1", 9, 255, "differs", "extended"],
      ["29", 32, 32, "again", "extended"],
      ["29", 32, 32, "either", "primary"],
    ]);
    expect(steps[0]?.answersTo).toBe("unknown");
    expect(notes.map(({ code }) => code)).toEqual(["cleared-by-cv-1", "address-changes", "either-address"]);
  });
});

describe("on the main: the address that packets go to, and the one that the decoder has after each write", () => {
  const text = (address: Address | "unknown" | undefined): string =>
    address === undefined ? "" : address === "unknown" ? "?" : addressText(address);
  const onMain = { mode: "main", changeAddress: true } as const;
  const trace = (from: Cvs, to: Cvs, options: PlanOptions): string[] =>
    planned(from, to, { ...onMain, ...options }).steps.map(
      ({ cv: name, value, address, answersTo }) =>
        `${name}=${value} to ${text(address)}${answersTo ? `, then ${text(answersTo)}` : ""}`,
    );
  const accessory = (address: AddressLike): PlanOptions => ({ kind: "accessory", address });

  test.each<[Cvs, Cvs, PlanOptions, string[]]>([
    // Accessory decoders: CV 1 has the low six bits, CV 9 the high three; of an output address eight and three.
    [
      {},
      { 1: 6 },
      accessory(133),
      ["1=6 to accessory decoder address 133, then accessory decoder address 134"],
    ],
    [
      {},
      { 9: 3 },
      accessory(133),
      ["9=3 to accessory decoder address 133, then accessory decoder address 197"],
    ],
    [
      {},
      { 1: 45 },
      accessory({ kind: "accessory-output", number: 300 }),
      ["1=45 to accessory output address 300, then accessory output address 301"],
    ],
    [
      {},
      { 9: 2 },
      accessory({ kind: "accessory-output", number: 300 }),
      ["9=2 to accessory output address 300, then accessory output address 556"],
    ],
    [
      {},
      { 1: 6 },
      accessory({ kind: "accessory", number: 133, output: 2 }),
      ["1=6 to accessory decoder address 133, output 2, then accessory decoder address 134, output 2"],
    ],
    // CV 17 takes effect when CV 18 is written.
    [
      { 1: 3, 17: 192, 18: 100, 29: 34 },
      { 17: 196, 18: 210 },
      {},
      ["17=196 to extended address 100", "18=210 to extended address 100, then extended address 1234"],
    ],
    [
      { 1: 3, 29: 34 },
      { 17: 196, 18: 210 },
      { address: { kind: "extended", number: 100 } },
      ["17=196 to extended address 100", "18=210 to extended address 100, then extended address 1234"],
    ],
    [{}, { 1: 9 }, { address: 3 }, ["1=9 to primary address 3, then primary address 9"]],
    [
      { 17: 196, 18: 210 },
      { 1: 9, 29: 34 },
      { address: 3 },
      [
        "1=9 to primary address 3, then primary address 9",
        "29=34 to primary address 9, then extended address 1234",
      ],
    ],
    [{ 1: 3, 17: 196, 18: 210, 29: 2 }, { 18: 211 }, {}, ["18=211 to primary address 3"]],
    [{ 1: 3, 29: 2 }, { 9: 3 }, {}, ["9=3 to primary address 3"]],
  ])("from %j to %j", (from, to, options, expected) => {
    expect(trace(from, to, options)).toEqual(expected);
  });

  test.each<[Cvs, PlanOptions, string]>([
    [{}, {}, "address: the decoder's address is needed on the main, and CV 1, 17, 18, 29 do not give it"],
    [
      {},
      { kind: "accessory" },
      "address: the decoder's address is needed on the main, and CV 1, 9, 29 do not give it",
    ],
    [
      {},
      accessory({ kind: "primary", number: 3 }),
      "address: primary address 3 is not an address of an accessory decoder",
    ],
    [
      {},
      { kind: "multifunction", address: { kind: "accessory", number: 3 } },
      "address: accessory decoder address 3 is not an address of a multi-function decoder",
    ],
    [
      { 1: 3, 19: 32, 29: 2 },
      { address: 32 },
      "address: 32 is the address of the decoder's consist, where it obeys no CV access; give its own address (S-9.2.1 (July 2012), section C)",
    ],
    // Bit 7 of CV 19 is the direction, and no part of the address.
    [
      { 1: 3, 19: 160, 29: 2 },
      { address: 32 },
      "address: 32 is the address of the decoder's consist, where it obeys no CV access; give its own address (S-9.2.1 (July 2012), section C)",
    ],
    [{}, accessory(511), "address: accessory decoder address 511 cannot be the address of one decoder"],
    [
      { 1: 63, 9: 7, 29: 128 },
      { kind: "accessory" },
      "address: accessory decoder address 511 cannot be the address of one decoder",
    ],
  ])("CVs %j, %j: refused", (from, options, issue) => {
    expect(issuesOf(from, { 3: 9 }, { ...onMain, ...options })).toEqual([issue]);
  });

  test("an address other than that of the CVs is used, with a warning; the same one without", () => {
    const notes = (from: Cvs, options: PlanOptions) =>
      planned(from, { 3: 9 }, { ...onMain, ...options }).notes.map(({ severity, ...note }) => [
        severity,
        messageOf(note),
      ]);
    expect(notes({ 1: 3, 29: 2 }, { address: 4 })).toEqual([
      [
        "warning",
        "CV 1, CV 17, CV 18, CV 29: give primary address 3, but the packets go to primary address 4",
      ],
    ]);
    expect(notes({ 1: 5, 9: 2, 29: 128 }, accessory(4))).toEqual([
      [
        "warning",
        "CV 1, CV 9, CV 29: give accessory decoder address 133, but the packets go to accessory decoder address 4",
      ],
    ]);
    expect(notes({ 1: 3, 29: 2 }, { address: 3 })).toEqual([]);
    expect(notes({ 1: 5, 9: 2, 29: 128 }, accessory(133))).toEqual([]);
    // CV 19 of an accessory decoder is no consist.
    expect(notes({ 19: 32 }, accessory(32))).toEqual([]);
  });
});

describe("single bits", () => {
  const bits = (name: string, mask: number, value: number) =>
    CvPatch.from({ bits: [{ cv: name, mask, value }] });
  const accepts = (options: PlanOptions, mask: number, value: number): boolean => {
    try {
      return plan(CvSet.empty, bits("29", mask, value), { mode: "main", ...options }).steps.length === 1;
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      expect(error.issues[0] && messageOf(error.issues[0])).toContain("chooses the address in use");
      return false;
    }
  };
  // [the address of the decoder, CV 29 bit 5 = 0, = 1, bit 6 = 0, = 1 (S-9.2.2 (July 2012), CV 29; Table 3)]
  test.each<[Address, boolean, boolean, boolean, boolean]>([
    [{ kind: "primary", number: 3 }, true, false, true, true],
    [{ kind: "extended", number: 300 }, false, true, true, true],
    [{ kind: "accessory", number: 133 }, true, false, true, false],
    [{ kind: "accessory-output", number: 300 }, true, false, false, true],
  ])("of CV 29, that would change which address is in use, need leave to: %j", (address, ...expected) => {
    const options: PlanOptions = {
      address,
      kind: address.kind.startsWith("accessory") ? "accessory" : "multifunction",
    };
    expect([
      accepts(options, 32, 0),
      accepts(options, 32, 32),
      accepts(options, 64, 0),
      accepts(options, 64, 64),
    ]).toEqual(expected);
    expect(accepts(options, 1, 1)).toBe(true);
  });

  const wholeOnly = (name: number, mask: number, options: PlanOptions): boolean => {
    try {
      return (
        plan(CvSet.empty, bits(`${name}`, mask, 0), { changeAddress: true, ...options }).steps.length === 0
      );
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      expect(error.issues.map(({ code }) => code)).toContain("unknown-bits");
      return true;
    }
  };
  // [CV, mask, whether it must be a whole byte: of a multi-function decoder on the main and in direct mode, of an
  //  accessory decoder on the main and in direct mode]
  test.each([
    [1, 1, true, false, true, false],
    [9, 1, false, false, true, false],
    [15, 1, true, true, true, true],
    [16, 1, true, true, true, true],
    [17, 1, true, true, true, true],
    [18, 1, true, true, true, true],
    [19, 1, false, false, false, false],
    [29, 32, false, false, false, false],
    [29, 64, false, false, false, false],
    [29, 96, false, false, true, false],
    [29, 97, false, false, true, false],
    [31, 1, true, true, true, true],
    [32, 1, true, true, true, true],
    [33, 1, false, false, false, false],
    [60, 1, false, false, false, false],
  ])("of CV %i, mask %i, can be written alone or not", (name, mask, ...expected) => {
    const main = { mode: "main", address: 3 } as const;
    expect([
      wholeOnly(name, mask, { ...main, kind: "multifunction" }),
      wholeOnly(name, mask, { mode: "direct", kind: "multifunction" }),
      wholeOnly(name, mask, { ...main, kind: "accessory" }),
      wholeOnly(name, mask, { mode: "direct", kind: "accessory" }),
    ]).toEqual(expected);
    // Paged mode writes whole bytes alone.
    expect(wholeOnly(name, mask, { mode: "paged" })).toBe(true);
  });

  test("of CV 15, 16, 31 and 32 become whole bytes where the rest is known; all others stay as they are", () => {
    const steps = (from: Cvs, patch: CvPatch) =>
      plan(CvSet.from(from), patch).steps.map(
        ({ cv: name, value, mask }) => `${name}=${value}${mask === 255 ? "" : `/${mask}`}`,
      );
    const of31 = { cv: "31", mask: 1, value: 1 };
    const index = { 31: 16, 32: 0 };
    expect(steps(index, CvPatch.from({ cvs: { 3: 4, "300@17.0": 5 }, bits: [of31] }))).toEqual([
      "3=4",
      "31=17",
      "300@17.0=5",
    ]);
    const others = [
      { cv: "29", mask: 1, value: 1 },
      { cv: "60", mask: 2, value: 2 },
    ];
    expect(steps(index, CvPatch.from({ bits: [of31, ...others] }))).toEqual(["60=2/2", "31=17", "29=1/1"]);
    expect(
      steps({ 15: 3, 16: 3 }, CvPatch.from({ cvs: { 3: 1 }, bits: [{ cv: "16", mask: 1, value: 0 }] })),
    ).toEqual(["3=1", "16=2"]);
  });

  test("are sent from bit 0 up; of CV 29 bit 5 comes last", () => {
    const sent = (name: string) =>
      plan(CvSet.empty, bits(name, 0b1110_0001, 0b1110_0001), {
        mode: "main",
        changeAddress: true,
        address: 3,
      }).steps.flatMap(({ packets }) =>
        packets.map((packet) => Number.parseInt(packet.split(" ")[3] ?? "", 16) & 7),
      );
    expect(sent("3")).toEqual([0, 5, 6, 7]);
    expect(sent("29")).toEqual([0, 7, 6, 5]);
  });
});

describe("CVs 257-512 and pages (S-9.2.2 (July 2012), CV 31 and 32)", () => {
  test.each<[Cvs, Cvs, string[], string[]]>([
    [{}, { 300: 1 }, ["300=1 unknown"], ["warning 300: page-unknown"]],
    [{ 31: 16, 32: 0 }, { 300: 1 }, ["300@16.0=1 unknown"], ["note 300: on-selected-page"]],
    [
      { 31: 16, 32: 0 },
      { 300: 1, 256: 1, 513: 1 },
      ["256=1 unknown", "513=1 unknown", "300@16.0=1 unknown"],
      ["note 300: on-selected-page"],
    ],
    [
      { 31: 16, 32: 0 },
      { 257: 1, 512: 1 },
      ["257@16.0=1 unknown", "512@16.0=1 unknown"],
      ["note 257,512: on-selected-page"],
    ],
    [
      { 31: 16, 32: 0 },
      { 31: 17, 32: 0, 300: 1 },
      ["31=17 select", "300@17.0=1 unknown"],
      ["note 300: on-selected-page"],
    ],
    [
      {},
      { 31: 16, 32: 0, 300: 3 },
      ["31=16 select", "32=0 select", "300@16.0=3 unknown"],
      ["note 300: on-selected-page"],
    ],
    [
      {},
      { "300@16.0": 1 },
      ["31=16 select", "32=0 select", "300@16.0=1 unknown"],
      ["note 31,32: index-left"],
    ],
    [{ 31: 16, 32: 0 }, { "300@16.0": 1 }, ["300@16.0=1 unknown"], []],
    [{ 31: 16 }, { 31: 16, "300@16.0": 1 }, ["32=0 select", "300@16.0=1 unknown"], ["note 32: index-left"]],
    [{ 31: 1, 32: 0 }, { "300@16.0": 1 }, ["31=16 select", "300@16.0=1 unknown", "31=1 differs"], []],
  ])("from %j to %j", (from, to, steps, notes) => {
    expect([stepsOf(from, to), notesOf(from, to)]).toEqual([steps, notes]);
  });

  test("with and without its page, with two values", () => {
    expect(issuesOf({ 31: 16, 32: 0 }, { 300: 2, "300@16.0": 1 })).toEqual([
      "CV 300@16.0: given with and without its page, with two values: 2 and 1",
    ]);
  });
});

test("a note in JSON: its code, how bad it is, its sentence, its CVs, and the source where it has one", () => {
  const notes = (from: Cvs, to: Cvs, options: PlanOptions = {}) => planned(from, to, options).toJSON().notes;
  expect(notes({ 7: 3 }, { 7: 9 })).toEqual([
    {
      rule: "read-only-left-out",
      severity: "note",
      message: "CV 7: read-only, and not written (S-9.2.2 (July 2012), CV 7 and 8)",
      cvs: ["7"],
      source: "S-9.2.2 (July 2012), CV 7 and 8",
    },
  ]);
  expect(notes({}, { 1: 63, 9: 7, 29: 128 }, { kind: "accessory" })).toEqual([
    {
      rule: "broadcast-address",
      severity: "warning",
      message:
        "CV 1, CV 9, CV 29: give accessory decoder address 511, to which all accessory decoders answer: no packet on the main reaches this decoder alone (S-9.2.1 (July 2012), accessory packets)",
      cvs: ["1", "9", "29"],
      source: "S-9.2.1 (July 2012), accessory packets",
    },
  ]);
  expect(notes({ 1: 3 }, { 1: 9 })).toMatchObject([{ source: "S-9.2.3 (July 2012), section E" }]);
  expect(notes({ 15: 1, 16: 2 }, { 3: 1 }, { factoryReset: true })).toMatchObject([
    { cvs: ["15", "16"], source: "S-9.2.2 (July 2012), CV 15 and 16" },
  ]);
  const [other] = notes({ 1: 3, 29: 2 }, { 3: 9 }, { mode: "main", address: 4 });
  expect(Object.keys(other ?? {})).toEqual(["rule", "severity", "message", "cvs"]);
});

describe("the reasons of steps", () => {
  const reasonsOf = (from: Cvs, to: Cvs, options: PlanOptions = {}) =>
    planned(from, to, options).steps.map(({ cv: name, reason }) => `CV ${name}: ${reason}`);
  const lock = "a decoder obeys writes only while CV 15 equals CV 16 (S-9.2.2 (July 2012), CV 15 and 16)";
  const locks =
    "a write to CV 15 or 16 can lock the decoder, which then ignores every write but to CV 15 (S-9.2.2 (July 2012), CV 15 and 16)";

  test("of up to three CVs each is named; of more the first three and how many there are", () => {
    const [first] = reasonsOf({ 15: 1, 16: 2 }, { 3: 1 });
    expect(first).toBe(`CV 15: opens the decoder lock for the other steps; before all other steps: ${lock}`);
    const last = (to: Cvs) => reasonsOf({ 15: 1, 16: 2, 31: 0, 32: 0 }, to).at(-1) ?? "";
    expect(last({ 3: 1 })).toContain(`; after CV 3: ${locks}`);
    expect(last({ 3: 1, 4: 1 })).toContain(`; after CV 3 and CV 4: ${locks}`);
    expect(last({ 3: 1, 4: 1, 10: 1 })).toContain(`; after CV 3, CV 4 and CV 10: ${locks}`);
    expect(last({ 3: 1, 4: 1, 10: 1, 11: 1 })).toContain(`; after CV 3, CV 4, CV 10 and 1 more: ${locks}`);
    expect(last({ 3: 1, 4: 1, 10: 1, 11: 1, 12: 1 })).toContain(
      `; after CV 3, CV 4, CV 10 and 2 more: ${locks}`,
    );
  });

  test("how many CVs a page is selected for", () => {
    const select = (to: Cvs) => reasonsOf({ 31: 16, 32: 1 }, to)[0];
    expect(select({ "300@16.0": 1 })).toMatch(/^CV 32: selects index page 16\.0 for 1 CV; /);
    expect(select({ "300@16.0": 1, "301@16.0": 1 })).toMatch(/^CV 32: selects index page 16\.0 for 2 CVs; /);
  });

  test("two steps of one group name each other, the first the second", () => {
    expect(reasonsOf({ 15: 1, 16: 1 }, { 15: 3, 16: 4 })).toEqual([
      `CV 16: its value changes; before CV 15: ${locks}`,
      `CV 15: its value changes; after CV 16: ${locks}`,
    ]);
    expect(reasonsOf({ 15: 1, 16: 1 }, { 15: 2, 16: 2 })).toEqual([
      `CV 16: its value changes; before CV 15: ${lock}`,
      `CV 15: its value changes; after CV 16: ${lock}`,
    ]);
  });

  test("the need, one by one", () => {
    expect(reasonsOf({ 3: 2 }, { 3: 1, 4: 1 })).toEqual([
      "CV 3: its value changes; no rule of order applies to it",
      "CV 4: its present value is not known; no rule of order applies to it",
    ]);
    expect(reasonsOf({ 3: 1 }, { 3: 1 }, { all: true })).toEqual([
      "CV 3: everything is to be written; no rule of order applies to it",
    ]);
  });
});

describe("verify", () => {
  const decoder = defineDecoder({
    id: "example-x1",
    name: "Example X1",
    kind: "multifunction",
    features: { whistle: choice(cv(218), { low: 2, high: 5 }), lamp: flag(cv(216).bit(7)) },
  });

  test("one bit differs, several differ", () => {
    const message = (wanted: number, found: number) =>
      verify(CvSet.from({ 3: wanted }), CvSet.from({ 3: found })).mismatches.map((one) => one.message);
    expect(message(0, 0)).toEqual([]);
    expect(message(0, 128)).toEqual(["CV 3 should hold 0 and holds 128 (bit 7 differs)"]);
    expect(message(1, 0)).toEqual(["CV 3 should hold 1 and holds 0 (bit 0 differs)"]);
    expect(message(255, 0)).toEqual([
      "CV 3 should hold 255 and holds 0 (bits 0, 1, 2, 3, 4, 5, 6, 7 differ)",
    ]);
  });

  test("in words, where one of the two has no valid setting", () => {
    const words = (wanted: Cvs, found: Cvs) =>
      verify(CvSet.from(wanted), CvSet.from(found), { decoder }).settings;
    expect(words({ 218: 2 }, { 218: 5, 216: 0 })).toEqual([
      { path: "whistle", expected: "low", found: "high" },
    ]);
    expect(words({ 218: 2 }, { 218: 9 })).toEqual([
      { path: "whistle", expected: "low", found: "no valid setting" },
    ]);
    expect(words({ 218: 9 }, { 218: 2 })).toEqual([
      { path: "whistle", expected: "no valid setting", found: "low" },
    ]);
    // Nothing differs, or no setting does.
    expect(words({ 218: 2 }, { 218: 2 })).toEqual([]);
    expect(words({ 216: 1 }, { 216: 0 })).toEqual([]);
    expect(verify(CvSet.from({ 218: 2 }), CvSet.from({ 218: 5 })).settings).toEqual([]);
  });

  test("a CV with and without its page, with two values, is refused", () => {
    const twice = CvSet.from({ 31: 16, 32: 0, 300: 1, "300@16.0": 2 });
    expect(() => verify(twice, CvSet.empty)).toThrow(CvError);
    expect(
      verify(CvSet.from({ 31: 16, 32: 0, 300: 1, "300@16.0": 1 }), twice.with("300@16.0", 1).with(300, 1)).ok,
    ).toBe(true);
  });

  test("a plan's JSON without masks means whole bytes; CV 8 is no part of it", () => {
    const steps = [
      { cv: "3", value: 1 },
      { cv: "8", value: 8 },
      { cv: "29", value: 32, mask: 32 },
    ];
    expect(outcome({ steps }).toJSON()).toEqual({
      cvs: { 3: 1 },
      bits: [{ cv: "29", mask: 32, value: 32 }],
    });
    expect(verify({ steps }, CvSet.from({ 3: 1, 29: 38 })).ok).toBe(true);
    expect(
      verify(CvPatch.from({ bits: [{ cv: "29", mask: 32, value: 0 }] }), CvSet.from({ 29: 38 })).mismatches,
    ).toEqual([
      {
        cv: "29",
        expected: 6,
        found: 38,
        bits: 32,
        message: "CV 29 should hold 6 and holds 38 (bit 5 differs)",
      },
    ]);
  });
});

describe("values that a CV cannot have", () => {
  const accessory = { kind: "accessory", mode: "address-only" } as const;
  test.each<[Cvs, PlanOptions, string[]]>([
    [{ 1: 0 }, {}, []],
    [{ 1: 127 }, {}, []],
    [{ 1: 128 }, {}, ["CV 1: 128 is out of range; allowed is 0 to 127 (S-9.2.2 (July 2012), CV 1)"]],
    [{ 3: 255 }, {}, []],
    [{ 1: 255 }, { kind: "accessory" }, []],
    [{ 1: 127 }, accessory, []],
    [
      { 1: 128 },
      accessory,
      ["CV 1: 128 is out of range; allowed is 0 to 127 (S-9.2.3 (July 2012), section E)"],
    ],
    [
      { 3: 200 },
      accessory,
      [
        "CV 3: address-only mode does not reach this CV, only CV 1; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      ],
    ],
    [
      { 17: 191, 18: 0 },
      {},
      ["CV 17: 191 is out of range; allowed is 192 to 231 (S-9.2.2 (July 2012), CV 17 and 18)"],
    ],
    [{ 17: 192, 18: 0 }, {}, []],
    [{ 17: 231, 18: 0 }, {}, []],
    [
      { 17: 232, 18: 0 },
      {},
      ["CV 17: 232 is out of range; allowed is 192 to 231 (S-9.2.2 (July 2012), CV 17 and 18)"],
    ],
    [{ 17: 232 }, { kind: "accessory" }, []],
  ])("%j, %j", (to, options, issues) => {
    expect(issuesOf({}, to, options)).toEqual(issues);
  });

  test("the highest value can be sent in every mode that sends whole bytes", () => {
    expect(Object.keys(planned({}, { 3: 255 }, {}).estimates)).toEqual([
      "direct",
      "paged",
      "register",
      "main",
    ]);
    expect(Object.keys(planned({}, { 1: 127 }, { kind: "accessory" }).estimates)).toContain("address-only");
    expect(Object.keys(planned({}, { 1: 128 }, { kind: "accessory" }).estimates)).not.toContain(
      "address-only",
    );
  });
});

describe("a plan from JSON", () => {
  const aCv = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
  const aPlan = 'expected a plan, an object with a list "steps", got';
  test.each<[unknown, string[]]>([
    [null, [`${aPlan} null`]],
    [3, [`${aPlan} 3`]],
    [{}, [`${aPlan} {}`]],
    [{ steps: 3 }, [`${aPlan} {"steps":3}`]],
    [{ steps: [3] }, ["steps.0: expected an object, got 3"]],
    [
      { steps: [{}] },
      [`steps.0.cv: ${aCv} undefined`, "steps.0.value: expected a whole number from 0 to 255, got undefined"],
    ],
    [{ steps: [{ cv: 3, value: 1 }] }, [`steps.0.cv: ${aCv} 3`]],
    [{ steps: [{ cv: "3" }] }, ["steps.0.value: expected a whole number from 0 to 255, got undefined"]],
    [
      { steps: [{ cv: "3", value: 3, mask: 1 }] },
      ["steps.0.mask: expected a whole number from 1 to 255 with every bit of the value 3, got 1"],
    ],
    [
      { steps: [{ cv: "3", value: 0, mask: 0 }] },
      ["steps.0.mask: expected a whole number from 1 to 255 with every bit of the value 0, got 0"],
    ],
    [
      { steps: [], mode: "x" },
      ['mode: "x" is not an option; the options are "direct", "paged", "register", "address-only", "main"'],
    ],
    [{ steps: [], kind: 3 }, ['kind: 3 is not an option; the options are "multifunction", "accessory"']],
  ])("%j is none", (json, issues) => {
    const result = tryPlanFromJson(json);
    expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual(issues);
  });

  test("what may be left out is left out", () => {
    const steps = [{ cv: "3", value: 1, mask: 255 }];
    expect(tryPlanFromJson({ steps: [{ cv: "3", value: 1 }] })).toEqual({ ok: true, value: { steps } });
    expect(tryPlanFromJson({ steps, mode: "main" })).toEqual({ ok: true, value: { steps, mode: "main" } });
    expect(tryPlanFromJson({ steps, kind: "accessory" })).toEqual({
      ok: true,
      value: { steps, kind: "accessory" },
    });
  });
});

test("CVs that are given without a page stand with those of that page, in their order", () => {
  expect(stepsOf({ 31: 16, 32: 0 }, { "300@1.0": 5, "298@16.0": 4, 300: 1, 4: 2, 299: 3 })).toEqual([
    "4=2 unknown",
    "298@16.0=4 unknown",
    "299@16.0=3 unknown",
    "300@16.0=1 unknown",
    "31=1 select",
    "300@1.0=5 unknown",
    "31=16 differs",
  ]);
});

describe("each step names every rule of order that applies to it, and the steps on either side", () => {
  /** `17=196: pair <18`: by the rule `pair`, before the step of CV 18; `>`: after it. */
  const rulesOf = (from: Cvs, to: Cvs, options: PlanOptions = {}): string[] =>
    planned(from, to, options).steps.map(({ cv: name, value, reason }) => {
      const parts = reason.split("; ");
      const applied = orderRules.flatMap(({ id, why, source }) => {
        const part = parts.find((each) => each.endsWith(`: ${why} (${source})`));
        const steps = part?.slice(0, -`: ${why} (${source})`.length).replaceAll("CV ", "");
        return steps ? [`${id} ${steps.replaceAll("after ", ">").replaceAll("before ", "<")}`] : [];
      });
      return [`${name}=${value}`, ...applied].join(" | ");
    });
  const from = { 1: 3, 2: 0, 3: 0, 15: 1, 16: 2, 17: 192, 18: 0, 19: 0, 29: 2, 31: 0, 32: 0 };
  const to = { 1: 9, 2: 5, 3: 5, 17: 196, 18: 210, 19: 32, 29: 34, "300@16.0": 7, "301@17.0": 7 };

  test("in service mode", () => {
    expect(rulesOf(from, to)).toEqual([
      "15=2 | unlock <all other steps",
      "1=9 | unlock >15 | lock <15 | primary <19 and 29",
      "2=5 | unlock >15 | lock <15 | configuration <29",
      "3=5 | unlock >15 | lock <15",
      "17=196 | unlock >15 | lock <15 | pair <18 | configuration <29",
      "18=210 | unlock >15 | lock <15 | pair >17 | configuration <29",
      "19=32 | unlock >15 | lock <15 | primary >1",
      "31=17 | unlock >15 | lock <15 | select <301@17.0",
      "301@17.0=7 | unlock >15 | lock <15 | select >31, <31 | index <31",
      "31=16 | unlock >15 | lock <15 | select >301@17.0, <300@16.0",
      "300@16.0=7 | unlock >15 | lock <15 | select >31 | index <31",
      "31=0 | unlock >15 | lock <15 | index >301@17.0 and 300@16.0",
      "29=34 | unlock >15 | lock <15 | primary >1 | configuration >2, 17 and 18",
      "15=1 | unlock >15 | lock >1, 2, 3 and 7 more",
    ]);
  });

  test("on the main, where addresses come last", () => {
    const before = "address <1, 17, 18 and 1 more";
    const after = "address >2, 3, 31 and 2 more";
    expect(rulesOf(from, to, { mode: "main", changeAddress: true })).toEqual([
      "15=2 | unlock <all other steps",
      `2=5 | unlock >15 | lock <15 | ${before} | configuration <29`,
      `3=5 | unlock >15 | lock <15 | ${before}`,
      `31=17 | unlock >15 | lock <15 | select <301@17.0 | ${before}`,
      `301@17.0=7 | unlock >15 | lock <15 | select >31, <31 | index <31 | ${before}`,
      `31=16 | unlock >15 | lock <15 | select >301@17.0, <300@16.0 | ${before}`,
      `300@16.0=7 | unlock >15 | lock <15 | select >31 | index <31 | ${before}`,
      `31=0 | unlock >15 | lock <15 | index >301@17.0 and 300@16.0 | ${before}`,
      `1=9 | unlock >15 | lock <15 | primary <19 and 29 | ${after}`,
      `17=196 | unlock >15 | lock <15 | pair <18 | ${after} | configuration <29`,
      `18=210 | unlock >15 | lock <15 | pair >17 | ${after} | configuration <29`,
      "19=32 | unlock >15 | lock <15 | primary >1",
      `29=34 | unlock >15 | lock <15 | primary >1 | ${after} | configuration >2, 17 and 18`,
      "15=1 | unlock >15 | lock >2, 3, 31 and 7 more",
    ]);
    expect(
      rulesOf(
        { 1: 5, 9: 2, 29: 128 },
        { 1: 6, 3: 5, 9: 1, 29: 136 },
        { kind: "accessory", mode: "main", changeAddress: true },
      ),
    ).toEqual([
      "3=5 | address <all other steps",
      "1=6 | address >3",
      "9=1 | address >3",
      "29=136 | address >3",
    ]);
  });

  test("with a CV whose page is not known, and with a factory reset", () => {
    expect(rulesOf({}, { 3: 5, 300: 1, "301@17.0": 7 })).toEqual([
      "3=5",
      "300=1 | unpaged <31, 32 and 301@17.0",
      "31=17 | unpaged >300 | select <301@17.0",
      "32=0 | unpaged >300 | select <301@17.0",
      "301@17.0=7 | unpaged >300 | select >31 and 32",
    ]);
    expect(rulesOf({}, { 3: 5 }, { factoryReset: true })).toEqual(["8=8 | reset <3", "3=5 | reset >8"]);
  });
});

test("the rules of order, each with where it is laid down", () => {
  expect(orderRules.map(({ id, on, pageByPage, source }) => [id, source, on, pageByPage])).toEqual([
    ["reset", "S-9.2.3 (July 2012), section E", undefined, undefined],
    ["unlock", "S-9.2.2 (July 2012), CV 15 and 16", undefined, undefined],
    ["lock", "S-9.2.2 (July 2012), CV 15 and 16", undefined, undefined],
    ["unpaged", "S-9.2.2 (July 2012), CV 31 and 32", undefined, undefined],
    ["select", "S-9.2.2 (July 2012), CV 31 and 32", undefined, true],
    ["index", "S-9.2.2 (July 2012), CV 31 and 32", undefined, undefined],
    ["primary", "S-9.2.3 (July 2012), section E", undefined, undefined],
    ["pair", "S-9.2.1 (July 2012), note to Write Byte", undefined, undefined],
    ["address", "S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29", "main", undefined],
    ["configuration", "S-9.2.2 (July 2012), CV 29", undefined, undefined],
    ["derived", "common practice", undefined, undefined],
    ["derived-last", "common practice", undefined, undefined],
  ]);
});

describe("CVs that the description does not have", () => {
  const decoder = { kind: "multifunction", factory: CvSet.from({ 3: 0, "300@16.0": 1 }) } as const;
  const refused = (name: string) => [`CV ${name}: this decoder does not have this CV`];
  test.each(["4", "299", "299@16.0"])("CV %s is refused, left out, or written with a warning", (name) => {
    expect(issuesOf({}, { [name]: 1 }, { decoder })).toEqual(refused(name));
    expect(issuesOf({}, { [name]: 1 }, { decoder, undescribed: "refuse" })).toEqual(refused(name));
    expect(stepsOf({}, { [name]: 1 }, { decoder, undescribed: "leave-out" })).toEqual([]);
    expect(notesOf({}, { [name]: 1 }, { decoder, undescribed: "leave-out" })).toEqual([
      `note ${name}: undescribed-left-out`,
    ]);
    expect(stepsOf({}, { [name]: 1 }, { decoder, undescribed: "write" }).at(-1)).toBe(`${name}=1 unknown`);
    expect(notesOf({}, { [name]: 1 }, { decoder, undescribed: "write" })).toContain(
      `warning ${name}: undescribed-written`,
    );
  });

  test("a CV without its page is there when some page has it", () => {
    for (const undescribed of ["refuse", "leave-out", "write"] as const) {
      expect(stepsOf({}, { 300: 1 }, { decoder, undescribed })).toEqual(["300=1 unknown"]);
      expect(notesOf({}, { 300: 1 }, { decoder, undescribed })).toEqual(["warning 300: page-unknown"]);
    }
  });
});

test("bit 5 of CV 29 after CV 1, where CV 29 is not known: as wanted, else as the address in use shows it", () => {
  const steps = (address: Address, bits: { cv: number; mask: number; value: number }[]) =>
    plan(CvSet.empty, CvPatch.from({ cvs: { 1: 9 }, bits }), {
      mode: "main",
      changeAddress: true,
      address,
    }).steps.map(({ cv: name, value, mask, need }) => `${name}=${value}/${mask} ${need}`);
  const extended = { kind: "extended", number: 1234 } as const;
  const primary = { kind: "primary", number: 3 } as const;
  expect(steps(extended, [])).toEqual(["1=9/255 unknown", "29=32/32 again", "29=32/32 either"]);
  expect(steps(extended, [{ cv: 29, mask: 1, value: 1 }])).toEqual([
    "1=9/255 unknown",
    "29=33/33 unknown",
    "29=33/33 either",
  ]);
  for (const value of [0, 32]) {
    expect(steps(extended, [{ cv: 29, mask: 32, value }])).toEqual([
      "1=9/255 unknown",
      `29=${value}/32 unknown`,
      `29=${value}/32 either`,
    ]);
    expect(steps(primary, [{ cv: 29, mask: 32, value }])).toEqual([
      "1=9/255 unknown",
      `29=${value}/32 unknown`,
    ]);
  }
  expect(steps(primary, [])).toEqual(["1=9/255 unknown"]);
  expect(steps(primary, [{ cv: 29, mask: 1, value: 1 }])).toEqual(["1=9/255 unknown", "29=1/1 unknown"]);
});

test("the address of all accessory decoders is a warning for an accessory decoder alone", () => {
  const to = { 1: 63, 9: 7, 29: 128 };
  expect(notesOf({}, to, { kind: "accessory" })).toEqual(["warning 1,9,29: broadcast-address"]);
  expect(notesOf({}, to, { kind: "multifunction" })).toEqual(["warning 19: cleared-by-cv-1"]);
});

test("options that do not fit are refused, with the path of the option", () => {
  const to = { 3: 5 };
  expect(issuesOf({}, to, { mode: "main", factoryReset: true, address: 3 })).toEqual([
    "factoryReset: a factory reset is possible in service mode only, not in main mode (S-9.2.3 (July 2012), section E)",
  ]);
  expect(issuesOf({}, to, { mode: "x" as never })).toEqual([
    'mode: "x" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
  ]);
  expect(issuesOf({}, to, { undescribed: "x" as never })).toEqual([
    'undescribed: "x" is not an option; the options are "refuse", "leave-out", "write"',
  ]);
});

test("steps that read: what each write is for, and the guesses of each reading", () => {
  const write = (at: number, value: number, why: string) => ({
    write: { operation: "write", cv: at, value },
    why,
  });
  const read = (name: string, guesses: number[] = []) => ({
    read: name,
    reading: { mode: "direct", cv: Number.parseInt(name, 10), guesses },
  });
  const index = { high: 16, low: 1 };
  const guesses = (name: string) => (name === "29" ? [6, 34] : []);
  expect(readSteps("direct", ["300@16.1", 29, "300@16.0"], { index, guesses })).toEqual([
    read("29", [6, 34]),
    read("300@16.1"),
    write(32, 0, "select-page"),
    read("300@16.0"),
    write(32, 1, "restore-index"),
  ]);
  expect(readSteps("direct", ["300@17.1"], { index })).toEqual([
    write(31, 17, "select-page"),
    read("300@17.1"),
    write(31, 16, "restore-index"),
  ]);
  expect(readSteps("direct", ["300@17.2"])).toEqual([
    write(31, 17, "select-page"),
    write(32, 2, "select-page"),
    read("300@17.2"),
  ]);
  expect(readSteps("direct", [])).toEqual([]);
});
