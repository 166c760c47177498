import { Problems } from "./problems.js";
import type { SpeedResponse } from "./response.js";
import { type CurveShape, shapeValues } from "./shape.js";

/** The speed at each step, and where it is a guess. */
export interface PredictedSpeeds {
  /** The full-size speed at step 1 and up, m/s. */
  readonly speeds: readonly number[];
  /** The steps whose level was not measured, so that the speed is a guess. */
  readonly guessed: readonly number[];
}

/**
 * How fast a locomotive will run at each speed step.
 * @param levels The drive level of step 1 and up, 0-255, such as the `levels` of a curve, or those of
 * {@link driveLevels} for 14, 28 or 128 steps.
 * @param response Its measured response.
 * @throws `CvError` for a level outside 0-255.
 * @example
 * import { estimateResponse, predictSpeeds } from "cvset/motion";
 * const response = estimateResponse([{ level: 55, speed: 5 }, { level: 255, speed: 25 }]);
 * const { speeds, guessed } = predictSpeeds([20, 55, 255], response);
 * [speeds[1], speeds[2], guessed]; // [5, 25, [1]]
 */
/* @__NO_SIDE_EFFECTS__ */
export function predictSpeeds(levels: readonly number[], response: SpeedResponse): PredictedSpeeds {
  const problems = new Problems();
  for (let i = 0; i < levels.length; i++) problems.number(`levels.${i}`, levels[i], { min: 0, max: 255 });
  problems.throwIfAny();
  return {
    speeds: levels.map((level) => response.speedAt(level)),
    guessed: levels.flatMap((level, i) => (response.knows(level) ? [] : [i + 1])),
  };
}

/**
 * A wished speed for each of the 28 steps, from the slowest, the fastest and a shape; the shapes are those of
 * {@link speedCurve}, with speeds instead of levels.
 * @param wish Full-size speeds, m/s.
 * @throws `CvError` with everything that is wrong, such as a curve that falls.
 * @example
 * import { mph, wishedSpeeds } from "cvset/motion";
 * wishedSpeeds({ start: mph(1), top: mph(28) })[8] === mph(9); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function wishedSpeeds(wish: CurveShape): readonly number[] {
  const problems = new Problems();
  const speeds = shapeValues(wish, { min: 0, max: 1000, unit: "m/s" }, problems);
  problems.throwIfAny();
  return speeds ?? [];
}
