import { CvSet } from "cvset";
import { readOut, type SimulatedFaults, simulatedConnection, simulatedStation } from "cvset/connection";
import { accessSequence } from "cvset/packets";
import { SimulatedDecoder } from "cvset/simulator";
import { describe, expect, test } from "vitest";

const factory = CvSet.from({ 3: 5, 15: 0, 16: 0, 29: 6 });
const right = accessSequence("direct", { operation: "verify", cv: 3, value: 5 });
const wrong = accessSequence("direct", { operation: "verify", cv: 3, value: 6 });
const write = accessSequence("direct", { operation: "write", cv: 3, value: 9 });

const connected = (faults: SimulatedFaults) => {
  const decoder = new SimulatedDecoder({ kind: "multifunction", factory });
  return { decoder, connection: simulatedConnection(decoder, faults) };
};

/** Whether each of some sequences was acknowledged, "off" where the power was. */
async function heard(faults: SimulatedFaults, sequences: readonly (typeof right)[]): Promise<string> {
  const { connection } = connected(faults);
  let marks = "";
  for (const sequence of sequences) {
    marks += await connection.send(sequence).then(
      (yes) => (yes ? "+" : "-"),
      (error: Error) => `(${error.message})`,
    );
  }
  return marks;
}

const times = (count: number, sequence: typeof right) => Array.from({ length: count }, () => sequence);

describe("what goes wrong on a simulated track", () => {
  test.each<[what: string, faults: SimulatedFaults, sequences: (typeof right)[], marks: string]>([
    ["nothing", {}, [right, wrong, write, right], "+-+-"],
    ["acknowledgements that are lost, two in a row", { lostAcknowledgements: 1 }, times(7, right), "--+--+-"],
    ["one in a row", { lostAcknowledgements: 1, inARow: 1 }, times(4, right), "-+-+"],
    ["false ones, two in a row for one packet", { falseAcknowledgements: 1 }, times(7, wrong), "++-++-+"],
    [
      "false ones, counted by packet",
      { falseAcknowledgements: 1, inARow: 1 },
      [wrong, right, wrong, wrong],
      "++-+",
    ],
    ["every packet lost", { lostPackets: 1 }, times(2, right), "--"],
    [
      "the power fails at the second",
      { powerCutAt: 1 },
      times(3, right),
      "+(the power failed)(the power is off)",
    ],
    [
      "the power fails at the first",
      { powerCutAt: 0 },
      times(2, right),
      "(the power failed)(the power is off)",
    ],
    ["the third of three packets counts", { threeRepeats: true }, times(2, right), "++"],
  ])("%s", async (_, faults, sequences, marks) => {
    expect(await heard(faults, sequences)).toBe(marks);
  });

  test("a share of them, the same for the same seed", async () => {
    const some = (seed?: number) =>
      heard({ lostAcknowledgements: 0.5, ...(seed && { seed }) }, times(12, right));
    expect(await some()).toBe(await some(1));
    expect(await some(7)).toBe(await some(7));
    expect(await some(7)).not.toBe(await some(8));
    const marks = await heard({ lostPackets: 0.5, seed: 3 }, times(40, right));
    expect(marks).toContain("+");
  });

  test("a decoder that acts on the third packet only takes nothing from two", async () => {
    const twice = {
      ...right,
      parts: right.parts.map((part) => (part.purpose === "command" ? { ...part, times: 2 } : part)),
    };
    const thrice = {
      ...right,
      parts: right.parts.map((part) => (part.purpose === "command" ? { ...part, times: 3 } : part)),
    };
    expect(await heard({}, [twice, thrice])).toBe("++");
    expect(await heard({ threeRepeats: true }, [twice, thrice])).toBe("-+");
  });

  test("a lock and a page register that somebody left", async () => {
    expect(connected({ lockKey: 7 }).decoder.cvs.get(15)).toBe(7);
    expect(connected({}).decoder.cvs.get(15)).toBe(0);
    const register = accessSequence("register", { operation: "verify", cv: 3, value: 5 });
    expect(await heard({}, [register])).toBe("+");
    expect(await heard({ pageRegister: 9 }, [register])).toBe("-");
  });

  test("the power can be switched off and on until it has failed", async () => {
    const { connection } = connected({ powerCutAt: 0 });
    await connection.powerCycle?.();
    await expect(connection.send(right)).rejects.toThrow("the power failed");
    await expect(connection.powerCycle?.()).rejects.toThrow("the power is off");
  });
});

test("a station writes, compares, reads and switches single bits, and fails where nothing answers", async () => {
  const decoder = new SimulatedDecoder({ kind: "multifunction", factory });
  const station = simulatedStation(decoder);
  await station.write(3, 9);
  await station.bit(29, 5, 1);
  await station.bit(29, 1, 0);
  expect([await station.read(3), await station.read(29)]).toEqual([9, 36]);
  expect([await station.verify(3, 9), await station.verify(3, 8)]).toEqual([true, false]);
  await expect(station.read(900)).rejects.toThrow("no acknowledgement");
  await station.powerCycle();
  expect(await station.read(3)).toBe(9);
});

test("a station asks again where the track answers falsely", async () => {
  for (const inARow of [1, 2, 3]) {
    const decoder = new SimulatedDecoder({ kind: "multifunction", factory });
    const station = simulatedStation(decoder, { faults: { falseAcknowledgements: 1, inARow } });
    expect(await station.verify(3, 5)).toBe(true);
    expect(await station.verify(3, 6)).toBe(false);
  }
});

test("a run leaves no timer behind", async () => {
  const timers = () => process.getActiveResourcesInfo().filter((name) => name === "Timeout").length;
  const before = timers();
  const { connection } = connected({});
  await readOut(connection, [3], { guesses: factory });
  expect(timers()).toBeLessThanOrEqual(before);
});
