// What is refused before anything is sent, with its words.
import { CvPatch, CvSet } from "cvset";
import { carryOut, readOut, simulatedConnection, simulatedStation, takeUp } from "cvset/connection";
import { plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { describe, expect, test } from "vitest";
import { show } from "../../src/cv/show.js";

const factory = CvSet.from({ 1: 3, 3: 5, 15: 1, 16: 2, 17: 192, 18: 3, 29: 2 });
const model = { kind: "multifunction" as const, factory };
const address = { kind: "primary", number: 3 } as const;
const made = plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 }));
const any = (value: unknown) => value as never;

let sent = 0;
const packets = {
  send: async () => {
    sent++;
    return true;
  },
};

/** What is refused, in words, with nothing sent. */
async function refused(run: () => unknown): Promise<string> {
  sent = 0;
  try {
    await run();
  } catch (error) {
    expect(sent).toBe(0);
    return (error as Error).message;
  }
  return "";
}

describe("options of a run", () => {
  const options: readonly (readonly [options: object, says: string])[] = [
    [any(3), "options: expected an object, got 3"],
    [{ allow: "unlock" }, 'allow: expected a list, got "unlock"'],
    [{ allow: [3] }, "allow.0: expected a text, got 3"],
    [{ retries: "2" }, 'retries: expected a number, got "2"'],
    [{ pause: "2" }, 'pause: expected a number, got "2"'],
    [{ timeout: "2" }, 'timeout: expected a number, got "2"'],
    [{ confirmations: "2" }, 'confirmations: expected a number, got "2"'],
    [{ signal: {} }, "signal.addEventListener: expected a function, got undefined"],
    [{ journal: [] }, "journal: expected a function, got []"],
    [{ onProgress: {} }, "onProgress: expected a function, got {}"],
  ];
  test.each(options)("%j", async (given, says) => {
    const found = await Promise.all([
      refused(() => carryOut(made, packets, given)),
      refused(() => readOut(packets, [3], given)),
      refused(() => takeUp("", packets, given)),
    ]);
    expect(found).toEqual([says, says, says]);
  });

  test.each<[what: string, run: () => unknown, says: string]>([
    [
      "no plan",
      () => carryOut(any({}), packets),
      "plan: expected a plan as plan() or resume() makes it, and not its JSON form, which has no packets to send; got {}",
    ],
    [
      "no connection",
      () => carryOut(made, any({ read() {} })),
      'connection: expected a connection, an object with a function send or write, got {"read":function}',
    ],
    [
      "no connection for reading",
      () => readOut(any(null), [3]),
      "connection: expected a connection, an object with a function send or write, got null",
    ],
    [
      "no connection for taking up",
      () => takeUp("", any("send")),
      'connection: expected a connection, an object with a function send or write, got "send"',
    ],
    [
      "a list that is none",
      () => readOut(packets, any(3)),
      "what: expected the CVs to read in a list, or a decoder, got 3",
    ],
    [
      "a description that is none",
      () => readOut(packets, any({ kind: "x" })),
      'what: expected a decoder, as defineDecoder or decoderFromJson makes it, got {"kind":"x"}',
    ],
    [
      "a CV that is none",
      () => readOut(packets, [0, 2000]),
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got 0',
    ],
    [
      "CVs out of reach",
      () => readOut(packets, [1, 5, 300], { mode: "register" }),
      "CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)\nCV 300: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
    ],
    [
      "a mode that there is not",
      () => readOut(packets, [3], { mode: any("quick") }),
      'mode: "quick" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
    ],
    [
      "guesses that are none",
      () => readOut(packets, [3], { guesses: any(3) }),
      "guesses: expected an object with CV numbers as keys, got 3",
    ],
    [
      "guesses of a value that is none",
      () => readOut(packets, [3], { guesses: { 3: 256 } }),
      "guesses: CV 3: expected a whole number from 0 to 255, got 256",
    ],
    [
      "no address on the main",
      () => readOut({ ...packets, repliesOnMain: true }, [3], { mode: "main" }),
      "address: the decoder's address is needed on the main",
    ],
    [
      "no replies on the main",
      () => readOut(packets, [3], { mode: "main", address }),
      "the connection has no repliesOnMain, which is needed to read",
    ],
    [
      "a station that cannot read",
      () => readOut({ write: async () => {} }, [3]),
      "the connection has no read or verify, which is needed to read",
    ],
    [
      "a start that is none",
      () => carryOut(made, packets, { from: any(3) }),
      "from: expected an object with CV numbers as keys, got 3",
    ],
    [
      "a decoder that is none",
      () => carryOut(made, packets, { decoder: any({}) }),
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
    ],
    [
      "goOn that is not true or false",
      () => carryOut(made, packets, { goOn: any(1) }),
      "goOn: expected true or false, got 1",
    ],
    [
      "goOn for taking up",
      () => takeUp("", packets, { goOn: any(1) }),
      "goOn: expected true or false, got 1",
    ],
    [
      "a decoder for taking up",
      () => takeUp("", packets, { decoder: any({}) }),
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
    ],
    [
      "a journal that is none",
      () => takeUp(any(3), packets),
      "journal: expected what can be iterated over, got 3",
    ],
    [
      "a journal with something else in it",
      () => takeUp(any(["{}", 3]), packets),
      "journal.1: expected a text, got 3",
    ],
    [
      "an address for taking up",
      () => takeUp(begun({}), packets, { address: any("x") }),
      'address.kind: "x" is not an option; the options are "primary", "extended", "consist", "accessory", "accessory-output", "extended-accessory", "broadcast"',
    ],
    [
      "no simulated decoder",
      () => simulatedConnection(any({})),
      "decoder: expected a simulated decoder, as new SimulatedDecoder() makes it, got {}",
    ],
    [
      "no simulated decoder for a station",
      () => simulatedStation(any({})),
      "decoder: expected a simulated decoder, as new SimulatedDecoder() makes it, got {}",
    ],
    [
      "a mode of a station that there is not",
      () => simulatedStation(new SimulatedDecoder(model), { mode: any("quick") }),
      'mode: "quick" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
    ],
    [
      "faults of a station that are none",
      () => simulatedStation(new SimulatedDecoder(model), { faults: any({ seed: "x" }) }),
      'faults.seed: expected a number, got "x"',
    ],
    ...[
      "seed",
      "lostAcknowledgements",
      "falseAcknowledgements",
      "inARow",
      "lostPackets",
      "threeRepeats",
      "powerCutAt",
      "lockKey",
      "pageRegister",
    ].map((name): [string, () => unknown, string] => [
      `a ${name} that is none`,
      () => simulatedConnection(new SimulatedDecoder(model), { [name]: "x" }),
      `faults.${name}: expected ${name === "threeRepeats" ? "true or false" : "a number"}, got "x"`,
    ]),
  ])("%s", async (_, run, says) => {
    expect(await refused(run)).toBe(says);
  });
});

describe("what a connection lacks, and what is not allowed", () => {
  const bits = CvPatch.from({ bits: [{ cv: "29", mask: 6, value: 6 }] });
  const reset = plan(CvSet.empty, CvSet.from({ 3: 8 }), { factoryReset: true });
  const move = plan(factory.without(15, 16), CvSet.from({ 1: 9 }), {
    mode: "main",
    address,
    changeAddress: true,
  });
  test.each<[what: string, run: () => unknown, says: string]>([
    [
      "bits over a station that only writes",
      () => carryOut(plan(CvSet.empty, bits), { write: async () => {} }),
      "CV 29 bits 1-2: the connection has no bit or read, which is needed to write single bits",
    ],
    [
      "a factory reset",
      () => carryOut(reset, packets),
      'a factory reset is done only with allow: ["factory-reset"]\nthe connection has no powerCycle, which is needed for a factory reset',
    ],
    [
      "a factory reset without a way to switch the power",
      () => carryOut(reset, packets, { allow: ["factory-reset"] }),
      "the connection has no powerCycle, which is needed for a factory reset",
    ],
    [
      "the lock",
      () => carryOut(plan(factory, CvSet.from({ 3: 8 })), packets),
      'CV 15: opening the decoder lock is done only with allow: ["unlock"]',
    ],
    [
      "a change of an address that is not in use, on the main",
      () =>
        carryOut(
          plan(factory.without(15, 16), CvSet.from({ 17: 196, 18: 210 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          packets,
        ),
      'CV 17, CV 18: a change of address on the main, where other decoders may hear it, is done only with allow: ["address-on-main"]',
    ],
    [
      "another consist on the main",
      () =>
        carryOut(
          plan(factory.without(15, 16), CvSet.from({ 19: 9 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          packets,
        ),
      'CV 19: a change of address on the main, where other decoders may hear it, is done only with allow: ["address-on-main"]',
    ],
    [
      "a change of address on the main",
      () => carryOut(move, packets),
      'CV 1: a change of address on the main, where other decoders may hear it, is done only with allow: ["address-on-main"]',
    ],
    [
      "an accessory decoder's address on the main",
      () =>
        carryOut(
          plan(CvSet.from({ 1: 3, 9: 0, 29: 128 }), CvSet.from({ 9: 1 }), {
            mode: "main",
            kind: "accessory",
            address: { kind: "accessory", number: 3 },
            changeAddress: true,
          }),
          packets,
        ),
      'CV 9: a change of address on the main, where other decoders may hear it, is done only with allow: ["address-on-main"]',
    ],
  ])("%s", async (_, run, says) => {
    expect(await refused(run)).toBe(says);
  });
});

/** The line that begins a journal, with something else in it. */
function begun(more: object): string {
  const first = {
    begin: "carry-out",
    plan: { steps: [{ cv: "3", value: 8, mask: 255 }] },
    holds: { 3: 5 },
    reset: false,
  };
  return JSON.stringify({ ...first, ...more });
}

describe("a journal that cannot be read", () => {
  const cvExpected = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
  const step = { step: 0, attempt: 1, cv: "3", value: 8, mask: 255 };
  const lines: readonly (readonly [what: string, line: unknown])[] = [
    ["no JSON", "{"],
    ["a number", 3],
    ["null", null],
    ["a list", undefined],
    ["a beginning without CVs", { begin: "carry-out", plan: { steps: [] } }],
    ["a beginning with a value that is none", { begin: "carry-out", plan: { steps: [] }, holds: { 3: 256 } }],
    [
      "a beginning with an address that is none",
      { begin: "carry-out", plan: { steps: [] }, holds: {}, address: { kind: "x" } },
    ],
    ["CVs that are none", { holds: { 0: 1 } }],
    ["an answer without an address", { answers: null }],
    ["an answer with an address that is none", { answers: { kind: "primary", number: 0 } }],
    ["a step of no CV", { ...step, cv: "x" }],
    ["a step of no value", { ...step, value: 256 }],
    ["a step without mask", { ...step, mask: undefined }],
    ["a step to no address", { ...step, to: "x" }],
    ["a step that becomes no address", { ...step, becomes: "x" }],
  ];
  test.each(lines)("%s", async (_, line) => {
    const text = typeof line === "string" ? line : line === undefined ? "[" : JSON.stringify(line);
    expect(await refused(() => takeUp([begun({}), "", text, begun({})], packets))).toBe(
      `line 3 of the journal cannot be read: ${show(text)}`,
    );
    // At the end it was cut off.
    expect(
      await refused(() => takeUp([begun({ plan: { steps: [{ cv: "x", value: 8 }] } }), text], packets)),
    ).toBe(`steps.0.cv: ${cvExpected} "x"`);
  });

  test("one without a beginning", async () => {
    const says = "expected a journal of carryOut with a line that begins a run";
    for (const none of ["", "\n\n", '{"begin":"read-out","cvs":[]}', '{"end":"proved"}', "{"])
      expect(await refused(() => takeUp(none, packets))).toBe(says);
  });
});
