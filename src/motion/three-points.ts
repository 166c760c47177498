import { aBoolean, needIn, objectOf } from "../cv/argument.js";
import { CvPatch } from "../cv/cvpatch.js";
import { midStepOf, threePointLevel } from "../standard/curve-in-use.js";
import { levelLimits, Problems } from "./problems.js";
import { tableSteps } from "./shape.js";

const ofThreePoints = /* @__PURE__ */ objectOf({ "moveMid?": aBoolean });

/**
 * The three points (CV 2, 6, 5) whose curve comes nearest to a speed table, in the sense of least
 * squares over the 28 steps, for decoders without a table. The result is the best of all whole numbers.
 * @param levels 28 drive levels, 0-255.
 * @param options `moveMid`: also try every middle position of CV 25, 1-26; default false, step 14.
 * @returns `start`: CV 2, 0-255; `mid`: CV 6, 2-255, or 0 when a straight line comes nearest; `top`: CV 5, 2-255;
 * `midRange`: CV 25, 128-153 for the middle at step 1-26, or 0 for step 14; `error`: the table minus the
 * three-point curve at steps 1-28, in levels; `worst`: the largest of these distances; `rms`: the root of their
 * mean square, which is the least possible; `patch`: the same as CVs, with bit 4 of CV 29 cleared, so that they
 * are in use (S-9.2.2 (July 2012), CV 29).
 * @throws `CvError` for a list that is not 28 bytes.
 * @example
 * import { speedCurve, threePointsOf } from "cvset/motion";
 * const table = speedCurve({ start: 10, mid: 80, top: 200 }).levels;
 * const { start, mid, top, worst } = threePointsOf(table);
 * [start, mid, top, worst < 1]; // [10, 80, 200, true]
 */
/* @__NO_SIDE_EFFECTS__ */
export function threePointsOf(
  levels: readonly number[],
  options: { readonly moveMid?: boolean } = {},
): {
  readonly start: number;
  readonly mid: number;
  readonly top: number;
  readonly midRange: number;
  readonly worst: number;
  readonly rms: number;
  readonly error: readonly number[];
  readonly patch: CvPatch;
} {
  needIn(ofThreePoints, options, "options");
  const problems = new Problems();
  problems.numbers("levels", levels, levelLimits, [tableSteps]);
  problems.throwIfAny();
  let best = straightFit(levels);
  const positions = options.moveMid ? Array.from({ length: 26 }, (_, i) => 128 + i) : [0];
  for (const midRange of positions) {
    const fit = bentFit(levels, midRange);
    if (fit.cost < best.cost - 1e-9) best = fit;
  }
  const { start, mid, top, midRange } = best;
  const curve = threePoints(start, mid, top, midRange);
  const error = levels.map((level, i) => level - (curve[i] as number));
  const worst = Math.max(...error.map(Math.abs));
  const rms = Math.sqrt(error.reduce((sum, e) => sum + e * e, 0) / tableSteps);
  const patch = CvPatch.from({
    cvs: { 2: start, 5: top, 6: mid, 25: midRange },
    bits: [{ cv: 29, mask: 16, value: 0 }],
  });
  return { start, mid, top, midRange, worst, rms, error, patch };
}

/** The levels of steps 1-28 for CV 2, 6, 5 and 25. */
function threePoints(start: number, mid: number, high: number, cv25: number): readonly number[] {
  const points = { start, mid, high, midStep: midStepOf(cv25), topStep: tableSteps };
  return Array.from({ length: tableSteps }, (_, i) => threePointLevel(i + 1, points));
}

interface Fit {
  readonly start: number;
  readonly mid: number;
  readonly top: number;
  readonly midRange: number;
  /** The sum of squares. */
  readonly cost: number;
}

// The curve is a sum of three fixed shapes, each times one CV. The shapes of Vstart and Vhigh do not
// overlap, so that for a given Vmid the best of each is found alone: 254 values of Vmid are all there is.
function bentFit(levels: readonly number[], midRange: number): Fit {
  const part = (start: number, mid: number, top: number): readonly number[] =>
    threePoints(start, mid, top, midRange);
  // Any three levels with mid and top in use will do to read the shapes off.
  const base = part(0, 100, 100);
  const ofStart = part(100, 100, 100).map((level, i) => (level - (base[i] as number)) / 100);
  const ofTop = part(0, 100, 200).map((level, i) => (level - (base[i] as number)) / 100);
  const ofMid = part(0, 200, 100).map((level, i) => (level - (base[i] as number)) / 100);
  let best: Fit = { start: 0, mid: 0, top: 0, midRange, cost: Number.POSITIVE_INFINITY };
  for (let mid = 2; mid <= 255; mid++) {
    const rest = levels.map((level, i) => level - mid * (ofMid[i] as number));
    const start = nearestByte(rest, ofStart, 0);
    const top = nearestByte(rest, ofTop, 2);
    const cost = rest.reduce(
      (sum, r, i) => sum + (r - start * (ofStart[i] as number) - top * (ofTop[i] as number)) ** 2,
      0,
    );
    if (cost < best.cost) best = { start, mid, top, midRange, cost };
  }
  return best;
}

function straightFit(levels: readonly number[]): Fit {
  const ofTop = levels.map((_, i) => i / (tableSteps - 1));
  let best: Fit = { start: 0, mid: 0, top: 0, midRange: 0, cost: Number.POSITIVE_INFINITY };
  for (let start = 0; start <= 255; start++) {
    const rest = levels.map((level, i) => level - start * (1 - (ofTop[i] as number)));
    const top = nearestByte(rest, ofTop, 2);
    const cost = rest.reduce((sum, r, i) => sum + (r - top * (ofTop[i] as number)) ** 2, 0);
    if (cost < best.cost) best = { start, mid: 0, top, midRange: 0, cost };
  }
  return best;
}

/** The byte, `min` or more, that times `shape` comes nearest to `rest`. */
function nearestByte(rest: readonly number[], shape: readonly number[], min: number): number {
  let dot = 0;
  let square = 0;
  for (let i = 0; i < rest.length; i++) {
    dot += (rest[i] as number) * (shape[i] as number);
    square += (shape[i] as number) ** 2;
  }
  return Math.min(255, Math.max(min, Math.round(dot / square)));
}
