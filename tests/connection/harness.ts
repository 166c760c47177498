import type { CvSet } from "cvset";
import {
  type CarryOutOptions,
  type CarryOutResult,
  type Connection,
  type SimulatedFaults,
  simulatedConnection,
  simulatedStation,
} from "cvset/connection";
import type { AccessMode } from "cvset/packets";
import { type Plan, plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { toCvSet } from "../../src/cv/cvset.js";
import type { Case } from "../plan/arbitrary.js";
import { expectedContents } from "../plan/harness.js";

export type Kind = "packets" | "station";

export const allowAll: CarryOutOptions = {
  allow: ["factory-reset", "address-on-main", "unlock"],
  pause: 0,
};

export function connect(
  kind: Kind,
  mode: AccessMode,
  decoder: SimulatedDecoder,
  faults: SimulatedFaults,
): Connection {
  return kind === "packets"
    ? simulatedConnection(decoder, faults)
    : simulatedStation(decoder, { mode, faults });
}

/** The plan of a case, and the decoder that it is for; undefined where no plan is possible. */
export function planOf(each: Case): { readonly made: Plan; readonly decoder: SimulatedDecoder } | undefined {
  const { mode, decoder: model, contents, from, to, all, factoryReset } = each;
  const decoder = new SimulatedDecoder(model, contents);
  const { address } = decoder;
  if (mode === "main" && !address) return undefined;
  // CV 8 = 255 says that a factory reset is still going on.
  if (factoryReset && toCvSet(model.factory).get(8) === 255) return undefined;
  const made = plan(from, to, {
    mode,
    decoder: model,
    all,
    factoryReset: factoryReset && mode !== "main",
    changeAddress: true,
    ...(mode === "main" && address ? { address } : {}),
  });
  return { made, decoder };
}

/** What is wrong with a result, beside the decoder itself. */
export function wrongWith(
  result: CarryOutResult,
  each: Case,
  made: Plan,
  decoder: SimulatedDecoder,
): string | undefined {
  const after = decoder.cvs;
  for (const [cv, value] of result.holds) {
    if (cvOf(after, cv) !== value) return `said to hold CV ${cv} = ${value}, and holds ${cvOf(after, cv)}`;
  }
  if (result.done === "proved") {
    for (const [cv, value] of expectedContents(each)) {
      if (!volatile.includes(cv) && after.get(cv) !== value)
        return `proved, and CV ${cv} is ${after.get(cv)}, not ${value}`;
    }
    if (result.rest) return "proved, and there is a rest";
  } else if (!result.steps.some(({ state }) => state !== "proved")) return "nothing names what is not done";
  for (const step of result.steps) {
    if (step.state === "proved" && !holdsIt(step, result, after, each.contents)) {
      return `step CV ${step.cv} = ${step.value} is proved, and it is not there`;
    }
  }
  return strayWrite(each, made, after);
}

/** CV 880-895 (S-9.2.2, July 2012, Table 1). */
const volatile = Array.from({ length: 16 }, (_, i) => String(880 + i));

/** A CV that the decoder may have without its page. */
function cvOf(cvs: CvSet, cv: string, index = cvs): number | undefined {
  const [high, low] = [index.get(31), index.get(32)];
  return (
    cvs.get(cv) ?? (Number(cv) >= 257 && Number(cv) <= 512 ? cvs.get(`${cv}@${high}.${low}`) : undefined)
  );
}

function holdsIt(
  { cv, value, mask }: { readonly cv: string; readonly value: number; readonly mask: number },
  { steps }: CarryOutResult,
  after: CvSet,
  before: CvSet,
): boolean {
  // Of a CV that is written more than once, the last write counts; CV 8 is the reset.
  const begun = steps.filter((step) => step.cv === cv && step.attempts > 0);
  if (cv === "8" || begun.length > 1) return true;
  // A CV without its page is on the page that was selected in the beginning.
  return ((cvOf(after, cv, before) ?? -1) & mask) === (value & mask);
}

/** A CV that changed, though the plan does not name it. */
function strayWrite({ contents, decoder, factoryReset }: Case, made: Plan, after: CvSet): string | undefined {
  if (factoryReset) return undefined;
  const named = new Set(made.steps.map(({ cv }) => cv));
  // CV 1 clears these; the lock; the page; what a loss of power sets back.
  const aside = ["15", "31", "32", ...volatile, ...(named.has("1") ? ["19", "29"] : [])];
  const [high, low] = [contents.get(31), contents.get(32)];
  for (const [cv] of toCvSet(decoder.factory)) {
    const bare = cv.endsWith(`@${high}.${low}`) ? cv.split("@")[0] : undefined;
    if (named.has(cv) || aside.includes(cv) || (bare && named.has(bare))) continue;
    if (after.get(cv) !== contents.get(cv)) return `CV ${cv} was changed, and the plan does not name it`;
  }
  return undefined;
}
