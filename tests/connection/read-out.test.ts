import { CvSet } from "cvset";
import { type PacketConnection, readOut, simulatedConnection, simulatedStation } from "cvset/connection";
import { SimulatedDecoder } from "cvset/simulator";
import { expect, test } from "vitest";

const factory = CvSet.from({
  1: 3,
  3: 5,
  7: 1,
  8: 13,
  15: 0,
  16: 0,
  29: 6,
  31: 16,
  32: 0,
  "300@16.0": 1,
  "301@16.0": 2,
  "300@17.4": 3,
});
const model = { kind: "multifunction" as const, factory };

/** The connection, and the operations that go over it. */
function counted(connection: PacketConnection): { connection: PacketConnection; count: () => number } {
  let count = 0;
  const send: PacketConnection["send"] = (sequence) => {
    count++;
    return connection.send(sequence);
  };
  return { connection: { ...connection, send }, count: () => count };
}

test("with right guesses it takes one question a CV, and two for each write of the index", async () => {
  const decoder = new SimulatedDecoder(model);
  const { connection, count } = counted(simulatedConnection(decoder));
  const result = await readOut(connection, model);
  expect(result).toMatchObject({ silent: [], fits: true, complete: true, issues: [] });
  expect(result.cvs.toJSON()).toEqual(factory.toJSON());
  // Power-on; each CV; CV 31 and 32 to page 17.4 and back.
  expect(count()).toBe(1 + factory.size + 4 * 2);
});

test("without a guess it takes eight or nine questions", async () => {
  const decoder = new SimulatedDecoder(model, CvSet.from({ 3: 200, 29: 7 }));
  const { connection, count } = counted(simulatedConnection(decoder));
  const { cvs } = await readOut(connection, [3, 29], { guesses: CvSet.from({ 7: 1, 8: 13 }) });
  expect(cvs.toJSON()).toEqual({ 3: 200, 7: 1, 8: 13, 29: 7 });
  expect(count()).toBe(1 + 2 + 8 + 9);
});

test("a CV without an answer is reported, and nothing at all ends the run", async () => {
  const decoder = new SimulatedDecoder(model);
  const result = await readOut(simulatedConnection(decoder), [3, 900], { pause: 0 });
  expect(result.silent).toEqual(["900"]);
  expect(result.complete).toBe(true);
  const dead = await readOut({ send: async () => false }, [3, 4, 5, 6], { pause: 0 });
  expect(dead.complete).toBe(false);
  expect(dead.issues.map(({ code }) => code)).toEqual(["no-decoder"]);
});

test("a description that does not fit is reported with the first CV that shows it", async () => {
  const decoder = new SimulatedDecoder(model);
  const other = { kind: "multifunction" as const, factory: factory.with(8, 99) };
  const ended = new AbortController();
  const result = await readOut(simulatedConnection(decoder), other, {
    signal: ended.signal,
    onProgress: ({ fits }) => void (fits === false && ended.abort()),
  });
  expect(result.fits).toBe(false);
  expect(result.issues.map(({ code }) => code)).toEqual(["other-decoder", "aborted"]);
  expect(result.cvs.toJSON()).toEqual({ 8: 13 });
});

test("a locked decoder is opened only when that is allowed, and locked again", async () => {
  const held = CvSet.from({ 15: 7, 16: 2 });
  for (const connect of [simulatedConnection, simulatedStation]) {
    const decoder = new SimulatedDecoder(model, held);
    const refused = await readOut(connect(decoder), model);
    expect(refused.silent).toEqual(["300@16.0", "301@16.0", "300@17.4"]);
    expect(refused.issues.map(({ code }) => code)).toEqual(["locked-pages"]);
    const before = decoder.cvs.toJSON();
    const allowed = await readOut(connect(decoder), model, { allow: ["unlock"] });
    expect(allowed.cvs.toJSON()).toEqual(before);
    expect(decoder.cvs.toJSON()).toEqual(before);
  }
});

test("a page of which only one CV could be selected is not read", async () => {
  // The decoder is locked, and keeps page 17.4; CV 15 and 16 cannot be read, so that nothing tells of the lock.
  const decoder = new SimulatedDecoder(
    { kind: "multifunction", factory: CvSet.from({ ...factory.toJSON(), "300@16.4": 9, "300@255.0": 8 }) },
    CvSet.from({ 15: 7, 16: 2, 31: 17, 32: 4 }),
  );
  const station = simulatedStation(decoder);
  const before = decoder.cvs.toJSON();
  const result = await readOut(
    {
      ...station,
      read: async (cv, to) => {
        if (cv === 15 || cv === 16) throw new Error("no answer");
        return station.read(cv, to);
      },
    },
    ["300@17.4", "300@255.0", "300@16.4"],
    { pause: 0 },
  );
  expect(result.cvs.toJSON()).toEqual({ 7: 1, 8: 13, 31: 17, 32: 4, "300@17.4": 3 });
  expect(result.silent).toEqual(["300@16.4", "300@255.0"]);
  expect(result.issues.map(({ code }) => code)).toEqual(Array(3).fill("not-proved"));
  expect(decoder.cvs.toJSON()).toEqual(before);
});

test("an abort on a page puts the index back", async () => {
  const decoder = new SimulatedDecoder(model);
  const ended = new AbortController();
  const result = await readOut(simulatedConnection(decoder), model, {
    signal: ended.signal,
    onProgress: ({ cv }) => void (cv === "300@17.4" && ended.abort()),
  });
  expect(result.issues.map(({ code }) => code)).toEqual([]);
  const early = new AbortController();
  const cut = await readOut(simulatedConnection(decoder), model, {
    signal: early.signal,
    onProgress: ({ cv }) => void (cv === "300@16.0" && early.abort()),
  });
  expect([cut.issues.map(({ code }) => code), cut.cvs.has("300@17.4")]).toEqual([["aborted"], false]);
  expect(decoder.cvs.toJSON()).toEqual(factory.toJSON());
});

test("a station that can only compare is asked byte by byte", async () => {
  const decoder = new SimulatedDecoder(model);
  const { write, verify } = simulatedStation(decoder);
  expect((await readOut({ write, verify }, [29])).cvs.get(29)).toBe(6);
  await expect(readOut({ write }, [29])).rejects.toThrow("the connection has no read or verify");
  await expect(readOut({ write, verify }, [29], { mode: "main" })).rejects.toThrow("address");
});
