import { aBoolean, anObject, need, needIn, objectOf } from "../cv/argument.js";
import { CvPatch } from "../cv/cvpatch.js";
import { CvError, fault } from "../cv/issue.js";
import { levelLimits, Problems } from "./problems.js";
import { belowStart, type CurveShape, noSymbols, shapeValues, tableSteps } from "./shape.js";

const flat = /* @__PURE__ */ fault(
  "flat-table",
  "expected a table that rises; all of its levels are {found}",
);

interface SpeedCurve {
  readonly levels: readonly number[];
  readonly exact: readonly number[];
  readonly rounding: number;
}

/**
 * A speed table from a start level, a top level and a shape: straight, power (gamma), S-shaped, or
 * smooth through points. Levels are rounded to the nearest whole number; the result says by how much.
 * @param shape Drive levels, 0-255 (n/255 of the available voltage, S-9.2.2 (July 2012), CV 67-94).
 * @returns `levels`: 28 whole levels for CV 67-94; `exact`: the curve before it was rounded; `rounding`: the largest
 * distance that a level was rounded by, 0-0.5.
 * @throws `CvError` with everything that is wrong, such as a curve that falls.
 * @example
 * import { speedCurve } from "cvset/motion";
 * const { levels } = speedCurve({ start: 4, top: 255 });
 * [levels[0], levels[13], levels[27]]; // [4, 125, 255]
 */
/* @__NO_SIDE_EFFECTS__ */
export function speedCurve(shape: CurveShape): {
  readonly levels: readonly number[];
  readonly exact: readonly number[];
  readonly rounding: number;
} {
  need(anObject, shape, "shape");
  need(noSymbols, shape, "");
  const problems = new Problems();
  const exact = shapeValues(shape, { min: 0, max: 255 }, problems);
  if (!exact) throw new CvError(problems.issues);
  return rounded(exact);
}

/**
 * A speed table moved to another top, in proportion: every level keeps its place between the first and
 * the last.
 * @param levels 28 drive levels, 0-255.
 * @param to `top`: the new level of step 28; `start`: the new level of step 1, by default the old one,
 * because that is what the motor needs to move at all. Both 0-255.
 * @returns As {@link speedCurve}.
 * @throws `CvError` for a table that falls or is flat, or a top below the start.
 * @example
 * import { scaledCurve, speedCurve } from "cvset/motion";
 * const full = speedCurve({ start: 10, top: 255 });
 * scaledCurve(full.levels, { top: 140 }).levels[27]; // 140
 */
/* @__NO_SIDE_EFFECTS__ */
export function scaledCurve(
  levels: readonly number[],
  to: { readonly top: number; readonly start?: number },
): { readonly levels: readonly number[]; readonly exact: readonly number[]; readonly rounding: number } {
  need(anObject, to, "to");
  const problems = new Problems();
  if (problems.numbers("levels", levels, levelLimits, [tableSteps])) problems.rising("levels", levels);
  problems.throwIfAny();
  const first = levels[0] as number;
  const last = levels[tableSteps - 1] as number;
  const { top, start = first } = to;
  if (first === last) problems.add(flat({ found: first }, { path: "levels" }));
  const ends = [problems.number("top", top, levelLimits), problems.number("start", start, levelLimits)];
  if (!ends.includes(false) && top < start) problems.add(belowStart({ found: top, start }, { path: "top" }));
  problems.throwIfAny();
  return rounded(levels.map((level) => start + ((level - first) * (top - start)) / (last - first)));
}

const ofPatch = /* @__PURE__ */ objectOf({ "select?": aBoolean });

/**
 * A speed table as CV 67-94.
 * @param levels 28 drive levels, 0-255, for steps 1-28.
 * @param options `select`: also set bit 4 of CV 29, so that the decoder uses the table (S-9.2.2 (July 2012), CV 29).
 * @throws `CvError` for a list that is not 28 bytes.
 * @example
 * import { speedCurve, tablePatch } from "cvset/motion";
 * const patch = tablePatch(speedCurve({ start: 4, top: 255 }).levels, { select: true });
 * patch.toJSON().cvs["94"]; // 255
 * patch.toJSON().bits; // [{ cv: "29", mask: 16, value: 16 }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function tablePatch(levels: readonly number[], options: { readonly select?: boolean } = {}): CvPatch {
  needIn(ofPatch, options, "options");
  const problems = new Problems();
  problems.numbers("levels", levels, levelLimits, [tableSteps]);
  problems.throwIfAny();
  const cvs = Object.fromEntries(levels.map((level, i) => [String(67 + i), level]));
  return CvPatch.from({ cvs, bits: options.select ? [{ cv: 29, mask: 16, value: 16 }] : [] });
}

function rounded(exact: readonly number[]): SpeedCurve {
  const levels = exact.map((level) => Math.round(level));
  const rounding = Math.max(...exact.map((level, i) => Math.abs(level - (levels[i] as number))));
  return { levels, exact, rounding };
}
