import { CvPatch, CvSet } from "cvset";
import {
  type CvConnection,
  carryOut,
  type Permission,
  readOut,
  simulatedConnection,
  simulatedStation,
  takeUp,
} from "cvset/connection";
import { type Plan, plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { describe, expect, test } from "vitest";

const factory = CvSet.from({ 1: 3, 3: 5, 4: 5, 8: 13, 17: 192, 18: 3, 29: 2, 31: 16, 32: 0, "300@16.1": 1 });
const model = { kind: "multifunction" as const, factory };
const wanted = CvSet.from({ 3: 8, 4: 6 });
const fast = { pause: 0, timeout: 20 };
const codes = (result: { readonly issues: readonly { readonly code: string }[] }) =>
  result.issues.map(({ code }) => code);

describe("a connection that cannot be trusted ends the run at once, with the state known", () => {
  test.each<[string, Partial<CvConnection>, string]>([
    ["never answers", { verify: () => new Promise(() => {}) }, "connection-timeout"],
    ["answers with 300", { verify: async () => 300 as unknown as boolean }, "connection-answer"],
    ["answers with nothing", { verify: async () => undefined as unknown as boolean }, "connection-answer"],
    ["reads 300", { read: async () => 300 }, "connection-answer"],
    ["reads nothing", { read: async () => undefined as unknown as number }, "connection-answer"],
  ])("%s", async (_, part, code) => {
    const decoder = new SimulatedDecoder(model);
    const { write } = simulatedStation(decoder);
    let writes = 0;
    const connection: CvConnection = {
      write: (cv, value) => {
        writes++;
        return write(cv, value);
      },
      ...part,
    };
    const result = await carryOut(plan(factory, wanted), connection, { ...fast, from: factory });
    expect([result.done, codes(result), writes]).toEqual(["stopped", [code], 1]);
    expect(result.holds.toJSON()).toEqual(factory.without(3).toJSON());
    expect(result.steps.map(({ state }) => state)).toEqual(["failed", "left"]);
    expect(result.rest?.steps.map(({ cv }) => cv)).toEqual(["3", "4"]);
  });

  test("throws, now and for ever: tried as often as said", async () => {
    let calls = 0;
    const connection: CvConnection = {
      write: () => {
        calls++;
        throw new Error("short circuit");
      },
    };
    const result = await carryOut(plan(factory, wanted), connection, { ...fast, retries: 4 });
    expect([result.done, codes(result), calls]).toEqual(["stopped", ["connection-failed"], 5]);
  });

  test("throws once: tried again", async () => {
    const station = simulatedStation(new SimulatedDecoder(model));
    let calls = 0;
    const write: CvConnection["write"] = (cv, value) =>
      calls++ ? station.write(cv, value) : Promise.reject("busy");
    const result = await carryOut(plan(factory, wanted), { ...station, write }, fast);
    expect([result.done, result.steps.map(({ attempts }) => attempts)]).toEqual(["proved", [2, 1]]);
  });

  test("answers twice: the first answer counts, and a late failure is no unhandled one", async () => {
    const station = simulatedStation(new SimulatedDecoder(model));
    const verify = (cv: number, value: number): Promise<boolean> =>
      new Promise((resolve, reject) => {
        void station.verify(cv, value).then((answer) => {
          resolve(answer);
          resolve(!answer);
          reject(new Error("late"));
        });
      });
    expect((await carryOut(plan(factory, wanted), { write: station.write, verify }, fast)).done).toBe(
      "proved",
    );
  });

  test("a journal or a progress callback that throws ends the run", async () => {
    const station = simulatedStation(new SimulatedDecoder(model));
    let lines = 0;
    const journal = (): void => {
      if (lines++ === 3) throw new Error("disk full");
    };
    const full = await carryOut(plan(factory, wanted), station, { ...fast, journal });
    expect([full.done, codes(full)]).toEqual(["stopped", ["callback-failed"]]);
    const onProgress = (): never => {
      throw new Error("no window");
    };
    const blind = await carryOut(plan(factory, wanted), station, { ...fast, onProgress });
    expect([blind.done, codes(blind)]).toEqual(["stopped", ["callback-failed"]]);
  });
});

describe("what is done only when it is asked for by name", () => {
  const locked = { kind: "multifunction" as const, factory: CvSet.from({ 3: 5, 15: 1, 16: 2, 29: 2 }) };
  test.each<[string, typeof model, Plan, CvSet, Permission]>([
    ["factory reset", model, plan(factory, wanted, { factoryReset: true }), wanted, "factory-reset"],
    [
      "address on the main",
      model,
      plan(factory, CvSet.from({ 1: 9 }), { mode: "main", changeAddress: true }),
      CvSet.from({ 1: 9 }),
      "address-on-main",
    ],
    ["unlock", locked, plan(locked.factory, CvSet.from({ 3: 8 })), CvSet.from({ 3: 8 }), "unlock"],
  ])("%s", async (_, one, made, to, permission) => {
    const decoder = new SimulatedDecoder(one);
    const connection = simulatedConnection(decoder);
    await expect(carryOut(made, connection, fast)).rejects.toThrow(
      `is done only with allow: ["${permission}"]`,
    );
    expect(decoder.cvs.toJSON()).toEqual(one.factory.toJSON());
    expect((await carryOut(made, connection, { ...fast, allow: [permission] })).done).toBe("proved");
    expect(decoder.cvs.toJSON()).toMatchObject(to.toJSON());
  });
});

test("ended by its signal between two steps, never inside CV 17 and 18, and what is half done is named", async () => {
  const to = CvSet.from({ 3: 8, 17: 196, 18: 210, "300@16.1": 9 });
  const made = plan(factory, to);
  for (let after = 1; after <= made.steps.length; after++) {
    const decoder = new SimulatedDecoder(model);
    const ended = new AbortController();
    const result = await carryOut(made, simulatedConnection(decoder), {
      from: factory,
      signal: ended.signal,
      onProgress: ({ ended: count }) => void (count === after && ended.abort()),
    });
    const begun = result.steps.filter(({ attempts }) => attempts > 0).map(({ cv }) => cv);
    expect(begun.includes("17")).toBe(begun.includes("18"));
    const selected = decoder.cvs.get(32) !== 0;
    expect(codes(result).includes("half-done")).toBe(selected);
    expect(result.holds.toJSON()).toEqual(decoder.cvs.toJSON());
    if (result.rest) {
      expect((await carryOut(result.rest, simulatedConnection(decoder))).done).toBe("proved");
    }
    expect(decoder.cvs.toJSON()).toEqual({ ...factory.toJSON(), ...to.toJSON() });
  }
});

test("goes on where it is told to, and not where a later step depends on what failed", async () => {
  const decoder = new SimulatedDecoder({ ...model, readOnly: [3, 66] }, CvSet.empty);
  const from = CvSet.from({ 3: 5, 4: 5, 29: 2 });
  const made = plan(from, CvSet.from({ 3: 8, 4: 6, 66: 128, 29: 18 }));
  const result = await carryOut(made, simulatedConnection(decoder), { ...fast, goOn: true });
  expect(Object.fromEntries(result.steps.map(({ cv, state }) => [cv, state]))).toEqual({
    3: "failed",
    4: "proved",
    66: "failed",
    29: "left",
  });
  expect(codes(result)).toContain("depends-on-failed");
});

test("bits are written over a station that reads but has no bit access", async () => {
  const decoder = new SimulatedDecoder(model);
  const { read, write } = simulatedStation(decoder);
  const bits = CvPatch.from({ bits: [{ cv: "29", mask: 4, value: 4 }] });
  const result = await carryOut(plan(CvSet.empty, bits), { read, write });
  expect([result.done, result.holds.get(29)]).toEqual(["proved", 6]);
});

test("a read-out ends at a time-out, and puts nothing back over a dead connection", async () => {
  const result = await readOut({ send: () => new Promise(() => {}) }, [3], fast);
  expect([codes(result), result.complete]).toEqual([["connection-timeout"], false]);
});

test.each([
  ["the short address", { 1: 45, 17: 196, 18: 210, 29: 34 }, { 29: 2 }, { kind: "primary", number: 45 }],
  ["the long address", { 1: 45, 17: 196, 18: 210, 29: 2 }, { 29: 34 }, { kind: "extended", number: 1234 }],
] as const)(
  "a broken-off change on the main to %s, which is not written, is taken up and proved",
  async (_, held, change, becomes) => {
    const cvs = CvSet.from({ ...held, 3: 5 });
    const decoder = new SimulatedDecoder({ kind: "multifunction", factory: cvs });
    const made = plan(cvs, CvSet.from({ 3: 8, ...change }), { mode: "main", changeAddress: true });
    const lines: string[] = [];
    const cut = simulatedConnection(decoder, { powerCutAt: 0 });
    const all = { allow: ["address-on-main"], pause: 0 } as const;
    expect((await carryOut(made, cut, { ...all, journal: (line) => void lines.push(line) })).done).toBe(
      "stopped",
    );
    // The journal alone tells which address CV 29 puts to use.
    const { done, steps, holds } = await takeUp(lines, simulatedConnection(decoder), all);
    expect([done, steps.map(({ cv, state }) => [cv, state])]).toEqual([
      "proved",
      [
        ["3", "proved"],
        ["29", "proved"],
      ],
    ]);
    expect(decoder.address).toEqual(becomes);
    for (const [cv, value] of holds) expect([cv, value]).toEqual([cv, decoder.cvs.get(cv)]);
  },
);
