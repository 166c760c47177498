import { CvError, CvSet } from "cvset";
import { type AccessMode, accessSequence, type CvAccess, nextInReading, type Reading } from "cvset/packets";
import { type Plan, planSequences, readSteps } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { toCvSet } from "../../src/cv/cvset.js";
import { type Arrangement, standardArrangement } from "../../src/plan/order-rules.js";
import { planWith } from "../../src/plan/plan.js";
import type { Case, Derived } from "./arbitrary.js";

/** What the decoder must hold in the end, worked out without the planner. */
export function expectedContents({ contents, from, to, decoder, factoryReset }: Case): CvSet {
  const expected = (factoryReset ? toCvSet(decoder.factory) : contents).toJSON();
  const [high, low] = [contents.get(31), contents.get(32)];
  for (const [cv, value] of to) {
    if (cv === "7" || cv === "8" || isVolatile(cv)) continue;
    const bare = Number(cv) >= 257 && Number(cv) <= 512;
    expected[bare ? `${cv}@${high}.${low}` : cv] = value;
  }
  // Where nobody knows the index, and nobody wants it anywhere, it may stay where it is.
  const known = factoryReset ? toCvSet(decoder.factory) : from;
  for (const cv of ["31", "32"]) if (!known.has(cv) && !to.has(cv)) delete expected[cv];
  return CvSet.from(expected);
}

/** CV 880-895 (S-9.2.2, July 2012, Table 1). */
function isVolatile(cv: string): boolean {
  return Number(cv) >= 880 && Number(cv) <= 895;
}

/** Plays a plan to a simulated decoder. */
export function play(plan: Plan, decoder: SimulatedDecoder): void {
  for (const sequence of planSequences(plan)) {
    decoder.play(sequence);
    if (sequence.pause) {
      decoder.wait(sequence.pause.seconds * 1000);
      if (sequence.pause.powerCycle) decoder.powerCycle();
    }
  }
}

/** Reads a CV by a function that sends packets and tells whether there was an acknowledgement. */
function readByte(reading: Reading, ask: (verify: CvAccess) => boolean): number | undefined {
  const answers: boolean[] = [];
  for (;;) {
    const next = nextInReading(reading, answers);
    if ("value" in next) return next.value;
    if ("failed" in next) return undefined;
    answers.push(ask(next.ask));
  }
}

/** Reads CVs by verifies, in the same mode where it can read at all. */
export function readBack(
  decoder: SimulatedDecoder,
  mode: AccessMode,
  cvs: readonly string[],
  guess: (cv: string) => number | undefined,
): CvSet {
  const { address } = decoder;
  const [high, low] = [decoder.cvs.get(31), decoder.cvs.get(32)];
  const guesses = (cv: string): number[] => {
    const value = guess(cv);
    return value === undefined ? [] : [value];
  };
  const found: [string, number][] = [];
  const index = high !== undefined && low !== undefined ? { index: { high, low } } : {};
  const steps = readSteps(mode, cvs, { guesses, ...index });
  for (const step of steps) {
    if ("read" in step) {
      const value = readByte(step.reading, (access) => decoder.play(accessSequence(mode, access, address)));
      if (value !== undefined) found.push([step.read, value]);
    } else decoder.play(accessSequence(mode, step.write, address));
  }
  return CvSet.from(found);
}

const addressCvs = ["1", "17", "18", "19", "29"];

/** A CV that is written before one that its value is worked out from, if there is one. */
function earlyDerived({ steps }: Plan, { decoder }: Case): string | undefined {
  return decoder.derived.find(({ cv, from }) => {
    const at = steps.findIndex((step) => step.cv === cv);
    // On a page, it is written before what makes the address.
    const sources = cv.includes("@")
      ? from.filter((one) => !addressCvs.includes(one) && !isLast(one, decoder.derived))
      : from;
    return at >= 0 && steps.slice(at + 1).some((step) => sources.includes(step.cv));
  })?.cv;
}

/** Whether a value is worked out from what makes the address, so that it is written after it. */
export function isLast(cv: string, derived: readonly Derived[]): boolean {
  const from = derived.find((one) => one.cv === cv)?.from ?? [];
  return !cv.includes("@") && from.some((one) => addressCvs.includes(one) || isLast(one, derived));
}

/**
 * Plans, sends, and reads back. `clearsOnMain`: whether the decoder clears CV 19 and bit 5 of CV 29 when CV 1 is
 * written on the main.
 * @returns What went wrong, or undefined.
 */
export function outcomeOf(
  each: Case,
  { rules, start }: Arrangement = standardArrangement,
  clearsOnMain = false,
): string | undefined {
  const { mode, decoder, contents, from, to, all, factoryReset } = each;
  const simulated = new SimulatedDecoder(decoder, contents, { clearsOnMain });
  const { address } = simulated;
  let plan: Plan;
  try {
    plan = planWith({ rules, start }, from, to, {
      mode,
      decoder,
      all,
      factoryReset: factoryReset && mode !== "main",
      changeAddress: true,
      ...(mode === "main" && address ? { address } : {}),
    });
  } catch (error) {
    if (error instanceof CvError) return `not planned: ${error.message}`;
    throw error;
  }
  const early = earlyDerived(plan, each);
  if (early) return `CV ${early} is written before what its value is worked out from`;
  play(plan, simulated);
  const expected = expectedContents(each);
  const after = simulated.cvs;
  for (const [cv, value] of expected) {
    if (after.get(cv) !== value) return `CV ${cv} should be ${value} and is ${after.get(cv)}`;
  }
  return readsBack(simulated, mode, expected);
}

function readsBack(simulated: SimulatedDecoder, mode: AccessMode, expected: CvSet): string | undefined {
  const after = simulated.cvs;
  const locked = after.has(16) && after.get(15) !== after.get(16);
  const reachable = (cv: string): boolean => {
    if (mode === "register") return ["1", "2", "3", "4", "7", "8", "29"].includes(cv);
    if (mode === "address-only") return cv === "1";
    // A locked decoder does not let anybody select a page.
    return !locked || !cv.includes("@");
  };
  const names = [...expected].map(([cv]) => cv).filter(reachable);
  // A wrong guess now and then, so that whole bytes are read too.
  const guess = (cv: string): number | undefined =>
    cv === "2" && (mode === "direct" || mode === "main") ? undefined : (expected.get(cv) as number);
  const read = readBack(simulated, mode, names, guess);
  for (const cv of names) {
    if (read.get(cv) !== expected.get(cv))
      return `CV ${cv} is read as ${read.get(cv)}, not ${expected.get(cv)}`;
  }
  return undefined;
}
