import { CvPatch, CvSet } from "cvset";
import { carryOut, simulatedConnection, simulatedStation } from "cvset/connection";
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
