import { CvPatch, CvSet } from "cvset";
import { carryOut, readOut, simulatedConnection, simulatedStation } from "cvset/connection";
import { plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { expect, test } from "vitest";

const model = {
  kind: "multifunction" as const,
  factory: CvSet.from({ 1: 3, 3: 5, 4: 5, 8: 13, 17: 192, 18: 3, 29: 2 }),
};
const wanted = CvSet.from({ 3: 8, 17: 196, 18: 210, 29: 34 });

test("a plan is carried out over packets, each write proved by one verify", async () => {
  const decoder = new SimulatedDecoder(model);
  let calls = 0;
  const inner = simulatedConnection(decoder);
  const result = await carryOut(plan(decoder.cvs, wanted), {
    ...inner,
    send: (sequence) => {
      calls++;
      return inner.send(sequence);
    },
  });
  expect(result.done).toBe("proved");
  expect(result.rest).toBeUndefined();
  expect(decoder.cvs.toJSON()).toEqual({ ...model.factory.toJSON(), ...wanted.toJSON() });
  expect(calls).toBe(1 + 2 * 4);
});

test("and over a station", async () => {
  const decoder = new SimulatedDecoder(model);
  const result = await carryOut(plan(decoder.cvs, wanted), simulatedStation(decoder));
  expect(result.done).toBe("proved");
  expect(result.holds.toJSON()).toEqual(wanted.toJSON());
});

test("a station that only writes proves nothing, and says so", async () => {
  const decoder = new SimulatedDecoder(model);
  const { write } = simulatedStation(decoder);
  const result = await carryOut(plan(decoder.cvs, wanted), { write });
  expect(result.done).toBe("written");
  expect(result.holds.toJSON()).toEqual({});
  expect(decoder.cvs.toJSON()).toEqual({ ...model.factory.toJSON(), ...wanted.toJSON() });
  const bits = CvPatch.from({ bits: [{ cv: "29", mask: 4, value: 4 }] });
  await expect(carryOut(plan(CvSet.empty, bits), { write })).rejects.toThrow(
    "CV 29 bit 2: the connection has no bit or read",
  );
});

test("how long the rest will take is told from what the calls took so far", async () => {
  const clock = performance.now;
  let now = 0;
  try {
    performance.now = () => now;
    const inner = simulatedConnection(new SimulatedDecoder(model));
    // Every call takes a second; one is there before the first step.
    const send: typeof inner.send = (sequence) => {
      now += 1000;
      return inner.send(sequence);
    };
    const left: number[] = [];
    const onProgress = ({ secondsLeft }: { readonly secondsLeft: number }) => void left.push(secondsLeft);
    await carryOut(plan(model.factory, CvSet.from({ 3: 8, 4: 9, 29: 6 })), { send }, { onProgress });
    // Two calls a step.
    expect(left.splice(0)).toEqual([6, 2.5, 0]);
    await readOut({ send }, [3, 4], { guesses: CvSet.from({ 3: 8, 4: 9, 7: 0, 8: 13 }), onProgress });
    expect(left[0]).toBe(6);
    expect(left.at(-1)).toBe(0);
  } finally {
    performance.now = clock;
  }
});
