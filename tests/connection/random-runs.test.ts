import { CvError } from "cvset";
import { carryOut, type SimulatedFaults, takeUp } from "cvset/connection";
import { accessModes } from "cvset/packets";
import fc from "fast-check";
import { describe, expect, test, vi } from "vitest";
import { cases } from "../plan/arbitrary.js";
import { allowAll, connect, type Kind, planOf, wrongWith } from "./harness.js";

// 10,000 runs in all with CVSET_RUNS=1000: five modes, two kinds of connection.
vi.setConfig({ testTimeout: 600_000 });
const runs = Number(process.env.CVSET_RUNS ?? 40);

const faults: fc.Arbitrary<SimulatedFaults> = fc.record(
  {
    seed: fc.integer(),
    lostAcknowledgements: fc.constantFrom(0, 0.1, 0.2),
    falseAcknowledgements: fc.constantFrom(0, 0.05, 0.2),
    lostPackets: fc.constantFrom(0, 0.05, 0.15),
    threeRepeats: fc.boolean(),
    pageRegister: fc.constantFrom(1, 2, 40),
  },
  { requiredKeys: ["seed"] },
);

const inARow = 2;

describe.each(accessModes)("%s mode", (mode) => {
  test.each(["packets", "station"] as const)(
    "over %s: the decoder holds what the result says",
    async (kind) => {
      let proved = 0;
      let planned = 0;
      await fc.assert(
        fc.asyncProperty(cases(mode), faults, fc.boolean(), async (each, given, goOn) => {
          const ready = planOf(each);
          if (!ready) return;
          const { made, decoder } = ready;
          const connection = connect(kind, mode, decoder, { ...given, inARow });
          const result = await carryOut(made, connection, {
            ...allowAll,
            goOn,
            retries: 9,
            confirmations: inARow + 1,
          });
          planned++;
          if (result.done === "proved") proved++;
          expect(wrongWith(result, each, made, decoder)).toBeUndefined();
        }),
        { numRuns: runs, endOnFailure: true },
      );
      // Many are proved in spite of the faults: of 300 runs two thirds at least.
      expect(proved / planned).toBeGreaterThan(1 / 3);
    },
  );

  test.each(["packets", "station"] as const)("over %s: all is proved where nothing fails", async (kind) => {
    let planned = 0;
    await fc.assert(
      fc.asyncProperty(cases(mode), async (each) => {
        const ready = planOf(each);
        if (!ready) return;
        const { made, decoder } = ready;
        const result = await carryOut(made, connect(kind, mode, decoder, {}), allowAll);
        planned++;
        expect([result.done, result.issues]).toEqual(["proved", []]);
        expect(wrongWith(result, each, made, decoder)).toBeUndefined();
      }),
      { numRuns: runs, endOnFailure: true },
    );
    expect(planned).toBeGreaterThan(runs / 4);
  });
});

// 200 plans with CVSET_RUNS=1000.
describe.each(accessModes)("%s mode, the power cut", (mode) => {
  test("at every step, and taken up again from the journal: the same end", async () => {
    let taken = 0;
    const some = cases(mode).filter((each) => (planOf(each)?.made.steps.length ?? 0) > 0);
    await fc.assert(
      fc.asyncProperty(some, fc.constantFrom<Kind>("packets", "station"), async (each, kind) => {
        for (let cut = 0; ; cut++) {
          const ready = planOf(each);
          if (!ready) return;
          const { made, decoder } = ready;
          const lines: string[] = [];
          const journal = (line: string): void => void lines.push(line);
          const broken = connect(kind, mode, decoder, { powerCutAt: cut, seed: cut });
          const first = await carryOut(made, broken, { ...allowAll, journal });
          expect(wrongWith(first, each, made, decoder)).toBeUndefined();
          if (first.done === "proved") return;
          let second: Awaited<ReturnType<typeof takeUp>>;
          try {
            second = await takeUp(lines.join("\n"), connect(kind, mode, decoder, {}), {
              ...allowAll,
              decoder: each.decoder,
            });
          } catch (error) {
            if (!(error instanceof CvError)) throw error;
            throw new Error(`cut at ${cut}: ${error.message}\n${lines.join("\n")}`);
          }
          taken++;
          expect([cut, second.done, second.issues]).toEqual([cut, "proved", []]);
          const wrong = wrongWith(second, each, made, decoder);
          expect(
            wrong && [cut, wrong, made.steps.map(({ cv, value }) => `${cv}=${value}`), lines],
          ).toBeUndefined();
        }
      }),
      { numRuns: Math.ceil(runs / 25), endOnFailure: true },
    );
    expect(taken).toBeGreaterThan(0);
  });
});
