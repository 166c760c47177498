// Whole runs, line by line: tests/connection/golden. CVSET_UPDATE=1 writes them anew; read what changes: a journal is
// read by later versions too, and what goes over the track moves a locomotive.
import { CvPatch, CvSet } from "cvset";
import { takeUp } from "cvset/connection";
import { plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { describe, test } from "vitest";
import { GoldenPage, updates } from "../support/golden.js";
import { factory, RunLog } from "./run-log.js";

const model = { kind: "multifunction" as const, factory };
const address = { kind: "primary", number: 3 } as const;
const to = (more: object) => CvSet.from(more as never);
const bitsOf29 = CvPatch.from({
  cvs: { 3: 8 },
  bits: [
    { cv: "29", mask: 0b110010, value: 0b110010 },
    { cv: "60", mask: 0b1100001, value: 0b1000001 },
  ],
});
// Bit 5 changes the address in use at once.
const lastBit = CvPatch.from({ bits: [{ cv: "29", mask: 0b1100001, value: 0b100000 }] });

type Run = (log: RunLog, decoder: SimulatedDecoder) => Promise<unknown>;

const runs: Readonly<Record<string, readonly (readonly [title: string, run: Run])[]>> = {
  "carry-out": [
    [
      "direct mode, over packets: a long address, and bits",
      (t, d) => t.carriedOut(plan(factory, to({ 3: 8, 17: 196, 18: 210, 29: 34 })), t.packets(d)),
    ],
    [
      "direct mode, over packets: single bits",
      (t, d) => t.carriedOut(plan(CvSet.empty, bitsOf29), t.packets(d)),
    ],
    [
      "paged mode, over packets",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 60: 10 }), { mode: "paged" }),
          t.packets(d, { faults: { pageRegister: 5 } }),
        ),
    ],
    [
      "register mode, over packets",
      (t, d) => t.carriedOut(plan(factory, to({ 3: 8 }), { mode: "register" }), t.packets(d)),
    ],
    [
      "address-only mode, over packets",
      (t, d) => t.carriedOut(plan(factory, to({ 1: 8 }), { mode: "address-only" }), t.packets(d)),
    ],
    [
      "on the main, with replies: the address too",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 17: 196, 18: 210, 29: 38 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          t.packets(d),
          { allow: ["address-on-main"] },
        ),
    ],
    [
      "on the main, without replies",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 4: 6 }), { mode: "main", address }),
          t.packets(d, { repliesOnMain: false }),
        ),
    ],
    [
      "on the main, where the address in use is not known",
      (t, d) =>
        t.carriedOut(
          plan(to({ 1: 3, 17: 192, 18: 3 }), to({ 3: 8, 29: 38 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          t.packets(d),
          { allow: ["address-on-main"] },
        ),
    ],
    [
      "a station that can do everything",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 17: 196, 18: 210 })),
          t.station(d, ["write", "read", "verify", "bit"]),
        ),
    ],
    [
      "a station with bits: bit 5 of CV 29 last",
      (t, d) => t.carriedOut(plan(CvSet.empty, bitsOf29), t.station(d, ["write", "read", "verify", "bit"])),
    ],
    [
      "a station without bits",
      (t, d) => t.carriedOut(plan(CvSet.empty, bitsOf29), t.station(d, ["write", "read"])),
    ],
    [
      "a station with bits that cannot read",
      (t, d) => t.carriedOut(plan(CvSet.empty, bitsOf29), t.station(d, ["write", "verify", "bit"])),
    ],
    [
      "a station that only writes",
      (t, d) => t.carriedOut(plan(factory, to({ 3: 8 })), t.station(d, ["write"])),
    ],
    [
      "a station on the main",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { mode: "main", address }),
          t.station(d, ["write", "read"], { mode: "main" }),
        ),
    ],
    [
      "index pages",
      (t, d) => t.carriedOut(plan(factory, to({ "300@17.4": 9, "301@16.0": 8, 3: 6 })), t.packets(d)),
    ],
    [
      "a locked decoder",
      (t) => {
        const held = factory.with(15, 1).with(16, 2);
        return t.carriedOut(plan(held, to({ 3: 8 })), t.packets(new SimulatedDecoder(model, held)), {
          allow: ["unlock"],
        });
      },
    ],
    [
      "a factory reset, and then a value",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }), t.packets(d), {
          allow: ["factory-reset"],
        }),
    ],
    [
      "a factory reset over a station",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          t.station(d, ["write", "read", "powerCycle"]),
          {
            allow: ["factory-reset"],
          },
        ),
    ],
    [
      "a factory reset over a station that only writes",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          t.station(d, ["write", "powerCycle"]),
          {
            allow: ["factory-reset"],
          },
        ),
    ],
    [
      "a factory reset that the decoder does not know",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          t.packets(d, { answer: (heard, call) => heard && call !== 0 && call < 1 }),
          { allow: ["factory-reset"], retries: 1 },
        ),
    ],
    [
      "a factory reset that is done at once",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          t.packets(d, { answer: (heard, call) => (call === 1 ? true : call === 2 ? false : heard) }),
          { allow: ["factory-reset"], retries: 0 },
        ),
    ],
    [
      "an acknowledgement that is not heard: written again, more often",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 })),
          t.packets(d, { answer: (heard, call) => heard && call !== 2 }),
        ),
    ],
    [
      "two confirmations, of which one is not heard",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 })),
          t.packets(d, { answer: (heard, call) => heard && call !== 3 }),
          {
            confirmations: 2,
          },
        ),
    ],
    [
      "a page register that is not confirmed",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8 }), { mode: "paged" }), t.packets(d, { answer: () => false }), {
          retries: 1,
        }),
    ],
    [
      "CVs that cannot be written, over packets: the rest is done as far as it does not depend on them",
      (t) => {
        const decoder = new SimulatedDecoder({ ...model, readOnly: [3, 17] });
        return t.carriedOut(plan(factory, to({ 3: 8, 4: 6, 17: 196, 18: 210, 29: 38 })), t.packets(decoder), {
          goOn: true,
          retries: 1,
        });
      },
    ],
    [
      "CVs that cannot be written, over a station that reads: it stops at the first",
      (t) => {
        const decoder = new SimulatedDecoder({ ...model, readOnly: [3] });
        return t.carriedOut(plan(factory, to({ 3: 8, 4: 6 })), t.station(decoder, ["write", "read"]));
      },
    ],
    [
      "the power fails within a page",
      (t, d) =>
        t.carriedOut(plan(factory, to({ "300@17.4": 9, 3: 6 })), t.packets(d, { faults: { powerCutAt: 8 } })),
    ],
    [
      "the cable comes off between CV 17 and 18",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 17: 196, 18: 210 })),
          t.packets(d, {
            answer(heard, call) {
              if (call > 1) throw new Error("the cable is off");
              return heard;
            },
          }),
          { retries: 0 },
        ),
    ],
    [
      "writing CV 1 is not confirmed, which may have cleared CV 19 and 29",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 1: 9, 19: 4, 29: 38 })),
          t.packets(d, { answer: (heard, call) => heard && call < 2 }),
          { retries: 0 },
        ),
    ],
    [
      "on the main, where the address in use is one of two",
      (t, d) =>
        t.carriedOut(
          plan(to({ 3: 5, 17: 192, 18: 9 }), to({ 3: 8, 29: 6 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          t.packets(d),
          { allow: ["address-on-main"] },
        ),
    ],
    [
      "ended by its signal",
      (t, d) => t.carriedOut(plan(factory, to({ 3: 8 })), t.packets(d), { signal: AbortSignal.abort() }),
    ],
    [
      "a window that is closed",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8, 4: 6 })), t.packets(d), {
          onProgress() {
            throw new Error("no window");
          },
        }),
    ],
    [
      "a disk that is full",
      (t, d) => {
        let lines = 0;
        return t.carriedOut(plan(factory, to({ 3: 8 })), t.packets(d), {
          async journal(line) {
            if (lines++ === 3) throw new Error("disk full");
            t.journal(line);
          },
        });
      },
    ],
    [
      "a station that answers a comparison with a number",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8, 4: 6 })), {
          ...t.station(d, ["write"]),
          verify: async () => 1 as never,
        }),
    ],
    [
      "a station that never answers",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 4: 6 })),
          { ...t.station(d, ["write"]), read: () => new Promise(() => {}) },
          { timeout: 5, goOn: true },
        ),
    ],
    [
      "what the decoder holds is given",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8, 4: 6 })), t.station(d, ["write"]), {
          from: { 3: 5, 4: 6, 60: 9 },
        }),
    ],
    [
      "an accessory decoder",
      (t) => {
        const accessory = {
          kind: "accessory" as const,
          factory: CvSet.from({ 1: 1, 3: 5, 9: 0, 17: 1, 18: 2, 29: 128 }),
        };
        const decoder = new SimulatedDecoder(accessory);
        return t.carriedOut(
          plan(decoder.cvs, to({ 1: 5, 3: 6, 17: 8, 18: 9 }), { decoder: accessory }),
          t.packets(decoder),
        );
      },
    ],
    ["a plan without steps", (t, d) => t.carriedOut(plan(factory, to({ 3: 5 })), t.packets(d))],
    [
      "single bits, that of the address last",
      (t, d) => t.carriedOut(plan(CvSet.empty, lastBit), t.packets(d)),
    ],
    [
      "paged mode, and the cable comes off: the page register is left",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { mode: "paged" }),
          t.packets(d, {
            answer(heard, call) {
              if (call > 2) throw new Error("the cable is off");
              return heard;
            },
          }),
          { retries: 0 },
        ),
    ],
    [
      "a disk that is full between CV 17 and 18",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 17: 196, 18: 210 })), t.packets(d), {
          journal(line) {
            if (line.includes('"cv":"18"') && line.includes('"attempt"')) throw new Error("disk full");
            t.journal(line);
          },
        }),
    ],
    [
      "the power-on is refused at first",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 })),
          t.packets(d, {
            answer(heard, call) {
              if (call < 2) throw new Error("busy");
              return heard;
            },
          }),
        ),
    ],
    [
      "the power-on is refused always",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 })),
          t.packets(d, {
            answer() {
              throw new Error("busy");
            },
          }),
          { retries: 1 },
        ),
    ],
    [
      "on the main, a change of address that is not known to arrive",
      (t, d) =>
        t.carriedOut(
          plan(to({ 1: 3, 3: 5 }), to({ 1: 9 }), { mode: "main", address, changeAddress: true }),
          t.packets(d),
          { allow: ["address-on-main"] },
        ),
    ],
    [
      "on the main, another consist",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 19: 9 }), { mode: "main", address, changeAddress: true }),
          t.packets(d),
          {
            allow: ["address-on-main"],
          },
        ),
    ],
    ...[{}, { repliesOnMain: false }, { answer: (heard: boolean, call: number) => heard && call < 12 }].map(
      (connection, i): [string, Run] => [
        `on the main, an address that clears the one in use (${["with replies", "without", "lost"][i]})`,
        (t) => {
          const held = factory.with(17, 196).with(18, 210).with(19, 5).with(29, 34);
          const long = { kind: "extended", number: 1234 } as const;
          const made = plan(held, to({ 1: 4 }), { mode: "main", address: long, changeAddress: true });
          return t.carriedOut(made, t.packets(new SimulatedDecoder(model, held), connection), {
            allow: ["address-on-main"],
          });
        },
      ],
    ),
    [
      "a decoder that is silent after its reset",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          t.packets(d, { answer: (heard, call) => heard && call < 3 }),
          { allow: ["factory-reset"], retries: 0 },
        ),
    ],
    [
      "a decoder that still resets after the power was off",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }),
          { ...t.station(d, ["write", "powerCycle"]), read: async () => 255 },
          { allow: ["factory-reset"], retries: 0 },
        ),
    ],
    [
      "paged mode, and a disk that is full",
      (t, d) =>
        t.carriedOut(plan(factory, to({ 3: 8 }), { mode: "paged" }), t.packets(d), {
          journal(line) {
            if (line.includes('"verify"')) throw new Error("disk full");
            t.journal(line);
          },
        }),
    ],
    [
      "an accessory decoder whose CV 17 cannot be written",
      (t) => {
        const accessory = {
          kind: "accessory" as const,
          factory: CvSet.from({ 1: 1, 9: 0, 17: 1, 18: 2, 29: 128 }),
        };
        const decoder = new SimulatedDecoder({ ...accessory, readOnly: [17] });
        return t.carriedOut(
          plan(decoder.cvs, to({ 17: 8, 18: 9 }), { decoder: accessory }),
          t.packets(decoder),
          {
            retries: 0,
          },
        );
      },
    ],
    [
      "a CV without its page, and another page is selected when the power fails",
      (t) => {
        const held = factory.with(300, 1);
        return t.carriedOut(
          plan(held, to({ 300: 5, "300@17.4": 9 })),
          t.packets(new SimulatedDecoder(model), { answer: (heard, call) => heard && call < 4 }),
          { retries: 0 },
        );
      },
    ],
    ...(
      [
        ["the page", { "300@17.4": 9, 3: 6 }, {}, 31],
        ["the lock", { 3: 8 }, { 15: 1, 16: 2 }, 15],
      ] as const
    ).map(([what, change, more, broken]): [string, Run] => [
      `it goes on where it is told to, but not without ${what}`,
      (t) => {
        const held = CvSet.from({ ...factory.toJSON(), ...more });
        const decoder = new SimulatedDecoder({ ...model, readOnly: [broken] }, held);
        return t.carriedOut(plan(held, to(change)), t.packets(decoder), {
          goOn: true,
          retries: 0,
          allow: ["unlock"],
        });
      },
    ]),
    [
      "it goes on where it is told to, but not after a change of address",
      (t, d) =>
        t.carriedOut(
          plan(factory, to({ 3: 8, 17: 196, 18: 210, 29: 38 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          t.packets(d, { answer: (heard, _, sent) => heard && !sent.includes("E4 1C 26") }),
          { goOn: true, retries: 0, allow: ["address-on-main"] },
        ),
    ],
  ],
  "read-out": [
    [
      "direct mode: guesses that are right, and one that is wrong",
      (t, d) => t.readOut(t.packets(d), [3, 29, 900], { guesses: to({ 3: 5, 29: 7 }), retries: 1 }),
    ],
    ["a description, with index pages", (t, d) => t.readOut(t.packets(d), model)],
    ["paged mode", (t, d) => t.readOut(t.packets(d), [3, 60], { mode: "paged", guesses: factory })],
    ["register mode", (t, d) => t.readOut(t.packets(d), model, { mode: "register" })],
    ["address-only mode", (t, d) => t.readOut(t.packets(d), model, { mode: "address-only" })],
    ["on the main", (t, d) => t.readOut(t.packets(d), [3], { mode: "main", address, guesses: factory })],
    [
      "a station that reads",
      (t, d) => t.readOut(t.station(d, ["write", "read"]), [3, "300@17.4"], { confirmations: 2 }),
    ],
    [
      "a station that compares",
      (t, d) => t.readOut(t.station(d, ["write", "verify"]), [3], { guesses: to({ 7: 1, 8: 13, 3: 2 }) }),
    ],
    [
      "a locked decoder that may not be opened",
      (t) =>
        t.readOut(t.packets(new SimulatedDecoder(model, to({ 15: 7, 16: 2 }))), ["300@16.0"], {
          guesses: factory,
        }),
    ],
    [
      "a locked decoder that may be opened",
      (t) =>
        t.readOut(t.packets(new SimulatedDecoder(model, to({ 15: 7, 16: 2 }))), ["300@17.4"], {
          guesses: factory.with(15, 7).with(16, 2),
          allow: ["unlock"],
        }),
    ],
    [
      "an index that gives no answer",
      (t, d) =>
        t.readOut(
          t.packets(d, { answer: (heard, _, sent) => heard && !/ 7[48] 1[EF] /.test(sent) }),
          ["300@16.0", 3],
          { guesses: factory, retries: 0 },
        ),
    ],
    [
      "an index that cannot be written",
      (t) =>
        t.readOut(t.packets(new SimulatedDecoder({ ...model, readOnly: [32] })), ["300@17.4", "300@16.0"], {
          guesses: factory,
          retries: 1,
        }),
    ],
    [
      "a maker whose number is in CV 107 and 108, and is another one",
      (t) => {
        const expected = factory.with(8, 238).with(107, 1).with(108, 2);
        const decoder = new SimulatedDecoder({ ...model, factory: expected.with(108, 3) });
        return t.readOut(t.packets(decoder), { ...model, factory: expected });
      },
    ],
    [
      "nothing that answers",
      (t, d) => t.readOut(t.packets(d, { answer: () => false }), [29, 4, 3], { retries: 0 }),
    ],
    [
      "nothing that answers, of a single CV",
      (t, d) =>
        t.readOut({ ...t.station(d, ["write"]), read: () => Promise.reject("no answer") }, [1], {
          mode: "address-only",
        }),
    ],
    [
      "ended by its signal",
      (t, d) => t.readOut(t.packets(d), [3], { guesses: factory, signal: AbortSignal.abort() }),
    ],
    [
      "a window that is closed",
      (t, d) =>
        t.readOut(t.packets(d), [3], {
          guesses: factory,
          onProgress() {
            throw new Error("no window");
          },
        }),
    ],
    [
      "a station that reads no byte",
      (t, d) => t.readOut({ ...t.station(d, ["write"]), read: async () => 256 }, [3]),
    ],
    [
      "a station that never answers",
      (t, d) =>
        t.readOut({ ...t.station(d, ["write"]), read: () => new Promise(() => {}) }, [3], { timeout: 5 }),
    ],
    [
      "an answer that is heard late",
      (t, d) =>
        t.readOut(t.packets(d, { answer: (heard, call) => heard && call > 9 }), [1], {
          mode: "address-only",
          guesses: factory,
        }),
    ],
    [
      "a station that fails",
      (t, d) => {
        const station = t.station(d, ["write", "read"]);
        let call = 0;
        const read = (cv: number): Promise<number> =>
          call++ === 1
            ? Promise.reject(new Error("busy"))
            : (station.read as never as (cv: number) => Promise<number>)(cv);
        return t.readOut({ ...station, read }, [3], {});
      },
    ],
    [
      "the power fails while another page is selected",
      (t, d) =>
        t.readOut(t.packets(d, { faults: { powerCutAt: 12 } }), ["300@17.4"], {
          guesses: factory,
          retries: 0,
        }),
    ],
    [
      "two confirmations",
      (t, d) =>
        t.readOut(t.packets(d, { answer: (heard, call) => heard && call !== 4 }), [3], {
          guesses: factory,
          confirmations: 2,
        }),
    ],
    [
      "a maker whose number is in CV 107, and is another one",
      (t) => {
        const expected = CvSet.from({ 8: 238, 107: 1, 108: 2 });
        const decoder = new SimulatedDecoder({ ...model, factory: expected.with(107, 3) });
        return t.readOut(t.packets(decoder), { ...model, factory: expected });
      },
    ],
    [
      "CV 107 of another maker",
      (t) => {
        const expected = CvSet.from({ 8: 13, 107: 1 });
        const decoder = new SimulatedDecoder({ ...model, factory: expected.with(107, 3) });
        return t.readOut(t.packets(decoder), { ...model, factory: expected });
      },
    ],
    [
      "an accessory decoder, which has no lock",
      (t) => {
        const held = CvSet.from({ 8: 13, 15: 7, 16: 2, 31: 16, 32: 0, "300@16.1": 5 });
        const accessory = { kind: "accessory" as const, factory: held };
        return t.readOut(t.packets(new SimulatedDecoder(accessory)), accessory);
      },
    ],
    [
      "the power-on is refused at first",
      (t, d) =>
        t.readOut(
          t.packets(d, {
            answer(heard, call) {
              if (call < 2) throw new Error("busy");
              return heard;
            },
          }),
          [3],
          { guesses: factory },
        ),
    ],
    [
      "the power-on is refused always",
      (t, d) =>
        t.readOut(
          t.packets(d, {
            answer() {
              throw new Error("busy");
            },
          }),
          [3],
          { retries: 1 },
        ),
    ],
    [
      "paged mode, and the page register is not confirmed",
      (t, d) =>
        t.readOut(t.packets(d, { answer: () => false }), [3], {
          mode: "paged",
          guesses: factory,
          retries: 1,
        }),
    ],
    [
      "ended by its signal on another page",
      (t, d) => {
        const ended = new AbortController();
        return t.readOut(t.packets(d), ["300@17.4", "300@16.0"], {
          guesses: factory,
          signal: ended.signal,
          onProgress: ({ cv }) => void (cv === "300@16.0" && ended.abort()),
        });
      },
    ],
    [
      "CVs in any order, and some twice",
      (t, d) => t.readOut(t.station(d, ["write", "read"]), [60, 29, 3, 60, 8]),
    ],
    [
      "on the main, over a station",
      (t, d) => t.readOut(t.station(d, ["write", "read"], { mode: "main" }), [3], { mode: "main", address }),
    ],
  ],
  "take-up": [
    ["a run that was cut off", (t, d) => cutOff(t, d, plan(factory, to({ 3: 8, 4: 6, 29: 2 })), 4, {})],
    [
      "a change of address on the main",
      (t, d) =>
        cutOff(
          t,
          d,
          plan(factory, to({ 3: 8, 17: 196, 18: 210, 29: 38 }), {
            mode: "main",
            address,
            changeAddress: true,
          }),
          7,
          { allow: ["address-on-main"] },
        ),
    ],
    [
      "a decoder whose lock is open",
      (t) => {
        const held = factory.with(15, 1).with(16, 2);
        return cutOff(t, new SimulatedDecoder(model, held), plan(held, to({ 3: 8 })), 1, {
          allow: ["unlock"],
        });
      },
    ],
    [
      "a factory reset that was not done",
      (t, d) =>
        cutOff(t, d, plan(factory, to({ 3: 8 }), { decoder: model, factoryReset: true }), 1, {
          allow: ["factory-reset"],
          decoder: model,
        }),
    ],
    [
      "on the main without replies, where nothing can be asked",
      (t) => {
        const held = factory.with(15, 1).with(16, 2);
        const made = plan(held, to({ 3: 8 }), { mode: "main", address });
        return cutOff(
          t,
          new SimulatedDecoder(model, held),
          made,
          1,
          { allow: ["unlock"] },
          { repliesOnMain: false },
        );
      },
    ],
    [
      "a change of address, and the decoder answers at neither address",
      (t, d) =>
        cutOff(
          t,
          d,
          plan(factory, to({ 17: 196, 18: 210, 29: 38 }), { mode: "main", address, changeAddress: true }),
          5,
          { allow: ["address-on-main"], retries: 0 },
          { answer: () => false },
        ),
    ],
    [
      "a change of address, and the caller ends it",
      (t, d) =>
        cutOff(
          t,
          d,
          plan(factory, to({ 17: 196, 18: 210, 29: 38 }), { mode: "main", address, changeAddress: true }),
          5,
          { allow: ["address-on-main"] },
          {},
          { signal: AbortSignal.abort() },
        ),
    ],
    [
      "a change of address, and the caller knows it",
      (t, d) =>
        cutOff(
          t,
          d,
          plan(factory, to({ 17: 196, 18: 210, 29: 38 }), { mode: "main", address, changeAddress: true }),
          5,
          { allow: ["address-on-main"] },
          {},
          { address, retries: 1, timeout: 1000, confirmations: 2 },
        ),
    ],
    [
      "a lock that is asked for, over packets without replies on the main",
      (t) => {
        const held = factory.with(15, 1).with(16, 2);
        return cutOff(
          t,
          new SimulatedDecoder(model, held),
          plan(held, to({ 3: 8 })),
          1,
          { allow: ["unlock"] },
          { repliesOnMain: false },
        );
      },
    ],
  ],
};

async function cutOff(
  t: RunLog,
  decoder: SimulatedDecoder,
  made: ReturnType<typeof plan>,
  powerCutAt: number,
  options: Parameters<RunLog["carriedOut"]>[2],
  connection: Parameters<RunLog["packets"]>[1] = {},
  again: Parameters<typeof takeUp>[2] = {},
): Promise<void> {
  await t.carriedOut(made, t.packets(decoder, { faults: { powerCutAt } }), { ...options, retries: 0 });
  const lines = t.lines.filter((line) => line.startsWith("{"));
  t.lines.push("", "taken up:");
  t.carriedOutWith(
    await takeUp(lines, t.packets(decoder, connection), {
      ...options,
      pause: 0,
      journal: t.journal,
      ...again,
    }),
  );
}

describe.each(Object.keys(runs))("%s", (name) => {
  const page = new GoldenPage(new URL(`golden/${name}.txt`, import.meta.url));

  test.each(runs[name] ?? [])("%s", async (title, run) => {
    const log = new RunLog();
    try {
      await run(log, new SimulatedDecoder(model));
    } catch (error) {
      log.lines.push(`refused: ${(error as Error).message}`);
    }
    page.expectSection(title, `${log.text}\n`);
  });

  test.runIf(updates)("is written anew", () => page.write());
});
