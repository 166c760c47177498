import { anObject, need } from "../cv/argument.js";
import type { CvsLike } from "../cv/cvset.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { type KnownCvs, knownOf } from "../standard/address.js";
import {
  isUsed,
  midStepOf,
  speedTableCvs,
  speedTableOf,
  threePointLevel,
  trimmedLevel,
} from "../standard/curve-in-use.js";
import { Problems } from "./problems.js";
import { straight, tableSteps } from "./shape.js";

const source = "S-9.2.2 (July 2012), CV 2, 5, 6, 25, 29, 66-95";

const missing = /* @__PURE__ */ fault("curve-missing", "the speed curve depends on it, and it is not known");
const factoryTable = /* @__PURE__ */ fault(
  "curve-factory-table",
  "{found} chooses a speed table of the decoder's own, whose levels only its maker knows",
);
const fallingCurve = /* @__PURE__ */ fault(
  "curve-falls",
  "the curve falls somewhere: a faster step does not always get a higher level",
);
const pastFull = /* @__PURE__ */ fault(
  "trim-past-full",
  "the {direction:text} trim takes {count} of {steps} steps past level 255, where they stay",
);
const openSteps = /* @__PURE__ */ fault(
  "steps-open",
  "the standard does not define how {steps} steps read the 28 entries of CV 67-94; they are spread evenly here",
);
const assumed = /* @__PURE__ */ fault(
  "curve-assumed",
  "CV 29 is not known; {curve:text} is taken to be in use",
);

/**
 * The drive level of every speed step, n/255 of the available voltage: the speed table with its trim (CV 66-95)
 * or the three points of CV 2, 6, 5 and 25, as CV 29 bit 4 chooses. Where CV 29 is not known, the curve that the
 * CVs hold is taken to be in use.
 *
 * The standard defines the 28 entries of CV 67-94 for 28 steps. Here 128 steps are spread evenly over them, step 1
 * at entry 1 and step 126 at entry 28, in straight lines between entries; 14 steps use every second entry, as CV 25
 * halves its position in that mode.
 * @param cvs The CVs that the decoder holds, such as a `CvSet`.
 * @param options `steps`: the step mode of the throttle, 14, 28 (default) or 128. `direction`: `"forward"`
 * (default) uses the trim of CV 66, `"reverse"` that of CV 95.
 * @returns `levels`: the level of step 1 and up, 0-255, not rounded; 14, 28 or 126 of them. `notes`: what is unusual,
 * and what the standard leaves open.
 * @throws `CvError` that names the CVs that are missing, or when CV 25 chooses a table of the decoder's own.
 * @example
 * import { CvSet } from "cvset";
 * import { driveLevels } from "cvset/motion";
 * const { levels } = driveLevels(CvSet.from({ 2: 10, 6: 80, 5: 200, 29: 2 }));
 * [levels[0], levels[13], levels[27]]; // [10, 80, 200]
 */
/* @__NO_SIDE_EFFECTS__ */
export function driveLevels(
  cvs: KnownCvs | CvsLike,
  options: { readonly steps?: 14 | 28 | 128; readonly direction?: "forward" | "reverse" } = {},
): { readonly levels: readonly number[]; readonly notes: readonly Issue[] } {
  const known = knownOf(cvs);
  need(anObject, options, "options");
  const { steps = 28, direction = "forward" } = options;
  const problems = new Problems();
  problems.option("steps", stepModes, steps);
  problems.option("direction", directions, direction);
  problems.throwIfAny();
  const notes: Issue[] = [];
  const count = steps === 128 ? 126 : steps;
  const table = chosenTable(known, notes);
  if (!table) return { levels: threePointLevels(known, steps, count, notes), notes };
  if (steps !== 28) notes.push(openSteps({ steps }, { source }));
  const trim = known.get(direction === "forward" ? 66 : 95) ?? 0;
  let past = 0;
  const levels = Array.from({ length: count }, (_, i) => {
    const place = position(i + 1, steps);
    const entry = Math.min(Math.floor(place), tableSteps - 1);
    const raw = straight(place, entry, table[entry - 1] as number, entry + 1, table[entry] as number);
    const level = trimmedLevel(raw, trim);
    if (level > 255) past++;
    return Math.min(level, 255);
  });
  if (past) notes.push(pastFull({ direction, count: past, steps: count }, { source }));
  return { levels, notes };
}

/**
 * The step modes of a command station (S-9.2 (July 2004), baseline packets; S-9.2.1 (July 2012), 128 speed step
 * control).
 */
export const stepModes = [14, 28, 128] as const;
export const directions = ["forward", "reverse"] as const;
/** A direction of travel. */
export type Direction = (typeof directions)[number];

/** Where a step lies on the axis of the 28 entries. */
function position(step: number, mode: 14 | 28 | 128): number {
  return mode === 28 ? step : mode === 14 ? 2 * step : 1 + ((step - 1) * 27) / 125;
}

/** The table, when it is in use; undefined when the three points are. */
function chosenTable(cvs: KnownCvs, notes: Issue[]): readonly number[] | undefined {
  const configuration = cvs.get(29);
  const table = speedTableOf(cvs);
  const hasPoints = cvs.get(2) !== undefined;
  if (configuration === undefined) {
    if (hasPoints === (table !== undefined)) throw missingCvs([29]);
    notes.push(assumed({ curve: table ? "the table of CV 67-94" : "the curve of CV 2, 6 and 5" }));
    return table;
  }
  if (!(configuration & 16)) {
    if (!hasPoints) throw missingCvs([2]);
    return undefined;
  }
  if (!table) throw missingCvs(speedTableCvs.filter((cv) => cvs.get(cv) === undefined));
  return table;
}

function missingCvs(cvs: readonly number[]): CvError {
  return new CvError(cvs.map((cv) => missing({}, { places: [{ cv: String(cv), mask: 255 }], source })));
}

function threePointLevels(
  cvs: KnownCvs,
  mode: 14 | 28 | 128,
  count: number,
  notes: Issue[],
): readonly number[] {
  const start = cvs.get(2) ?? 0;
  const mid = cvs.get(6) ?? 0;
  const high = cvs.get(5) ?? 0;
  const cv25 = cvs.get(25) ?? 0;
  if (cv25 > 2 && cv25 < 128)
    throw new CvError([factoryTable({ found: cv25 }, { places: [{ cv: "25", mask: 255 }], source })]);
  const midStep = midStepOf(cv25);
  const half = mode === 14 ? 2 : 1;
  const points = {
    start,
    mid,
    high,
    midStep: midStep === undefined ? undefined : midStep / half,
    topStep: tableSteps / half,
  };
  const levels = Array.from({ length: count }, (_, i) =>
    threePointLevel(mode === 128 ? position(i + 1, mode) : i + 1, points),
  );
  const top = isUsed(high) ? high : 255;
  const bent = isUsed(mid) && midStep !== undefined;
  if (top < start || (bent && (mid < start || mid > top))) notes.push(fallingCurve({}, { source }));
  return levels;
}
