// Units: speeds inside are metres a second at full size, lengths metres

// Speed tables by hand: CV 67-94, and the three points of CV 2, 6 and 5
export { scaledCurve, speedCurve, tablePatch } from "./curve.js";
// The drive level of each step, as a decoder's CVs give it
export { driveLevels } from "./drive.js";
// Exhaust beats
export { beatFit, beatsPerTurn } from "./exhaust.js";
// Tables that make locomotives run at a speed, and alike
export {
  type MatchedLocomotive,
  type MeasuredLocomotive,
  matchSpeeds,
  predictSpeeds,
  type SpeedTarget,
  speedRange,
  targetSpeeds,
} from "./match.js";
// Measured runs, and what they tell of a locomotive
export {
  type MeasurementDefaults,
  measurementsFromCsv,
  measurementsFromJson,
} from "./measurements.js";
// Pictures and the report
export { matchReport } from "./report.js";
export {
  estimateResponse,
  type MeasurementWarning,
  SpeedResponse,
  type SpeedSample,
} from "./response.js";
export { scaleRatio } from "./scale.js";
export type { CurveShape } from "./shape.js";
export { speedPicture } from "./speed-picture.js";
// Momentum and stopping: CV 3, 4, 23 and 24
export { brakeToMark, momentumForStop, momentumProfile, type Profile } from "./stopping.js";
export { stoppingPicture } from "./stopping-picture.js";
export { threePointsOf } from "./three-points.js";
export { kmh, mph, toKmh, toMph } from "./units.js";
