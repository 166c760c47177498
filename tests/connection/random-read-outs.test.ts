import type { CvSet } from "cvset";
import { type PacketConnection, readOut, simulatedConnection } from "cvset/connection";
import { accessModes } from "cvset/packets";
import { readSteps } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cases } from "../plan/arbitrary.js";
import { connect, type Kind } from "./harness.js";

const runs = Number(process.env.CVSET_RUNS ?? 20);
const inARow = 2;

/** The questions and writes that no read-out with right guesses can do without. */
function fewest(names: readonly string[], contents: CvSet, mode: (typeof accessModes)[number]): number {
  const index = { high: contents.get(31) ?? 0, low: contents.get(32) ?? 0 };
  const writes = readSteps(mode, names, { index }).filter((step) => "write" in step).length;
  return names.length + 2 * writes;
}

describe.each(accessModes)("%s mode", (mode) => {
  test("with right guesses: not a packet sequence more than is needed, and nothing is changed", async () => {
    await fc.assert(
      fc.asyncProperty(cases(mode), async ({ decoder: model, contents }) => {
        const decoder = new SimulatedDecoder(model, contents);
        const { address, cvs } = decoder;
        const inner = simulatedConnection(decoder);
        let sent = 0;
        const send: PacketConnection["send"] = (sequence) => {
          // The answers are what counts: the page register of paged mode belongs to the access after it. On the
          // main a packet may begin with 7D as well, to address 125.
          const ofPage = mode === "main" ? /^$/ : /^7D /;
          if (sequence.parts.some((part) => part.answers && !ofPage.test(part.packet))) sent++;
          return inner.send(sequence);
        };
        const result = await readOut({ ...inner, send }, model, {
          mode,
          guesses: contents,
          allow: ["unlock"],
          ...(mode === "main" && address ? { address } : {}),
        });
        expect([result.silent, result.complete]).toEqual([[], true]);
        expect(decoder.cvs.toJSON()).toEqual(cvs.toJSON());
        const names = [...result.cvs].map(([cv]) => cv);
        const paged = names.some((cv) => cv.includes("@"));
        const locked = paged && cvs.has(16) && cvs.get(15) !== cvs.get(16);
        expect(sent).toBe(fewest(names, cvs, mode) + (locked ? 4 : 0));
        for (const [cv, value] of result.cvs) expect([cv, value]).toEqual([cv, cvs.get(cv)]);
      }),
      { numRuns: runs, endOnFailure: true },
    );
  });

  test("with faults: what is read is what is there, and nothing is changed where nothing is told", async () => {
    let read = 0;
    await fc.assert(
      fc.asyncProperty(
        cases(mode),
        fc.constantFrom<Kind>("packets", "station"),
        fc.integer(),
        async ({ decoder: model, contents }, kind, seed) => {
          const decoder = new SimulatedDecoder(model, contents);
          const { address, cvs } = decoder;
          const faults = {
            seed,
            inARow,
            lostAcknowledgements: 0.1,
            falseAcknowledgements: 0.1,
            lostPackets: 0.1,
          };
          const result = await readOut(connect(kind, mode, decoder, faults), model, {
            mode,
            guesses: contents,
            allow: ["unlock"],
            retries: 9,
            pause: 0,
            confirmations: inARow + 1,
            ...(mode === "main" && address ? { address } : {}),
          });
          read += result.cvs.size;
          for (const [cv, value] of result.cvs) expect([cv, value]).toEqual([cv, cvs.get(cv)]);
          if (!result.issues.length) expect(decoder.cvs.toJSON()).toEqual(cvs.toJSON());
        },
      ),
      { numRuns: Math.ceil(runs / 4), endOnFailure: true },
    );
    expect(read).toBeGreaterThan(0);
  });
});
