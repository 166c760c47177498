// Units and scales: speeds are metres a second at full size, lengths metres

export { scaleRatio } from "./scale.js";
export { kmh, mph, toKmh, toMph } from "./units.js";

// Speed curves by hand: the table of CV 67-94, the three points of CV 2, 6 and 5, and the level that each step gets

export { scaledCurve, speedCurve, tablePatch } from "./curve.js";
export { driveLevels } from "./drive.js";
export type { CurveShape } from "./shape.js";
export { threePointsOf } from "./three-points.js";

// Measured runs, and the response of a locomotive that follows from them

export { type MeasurementDefaults, measurementsFromCsv, measurementsFromJson } from "./measurements.js";
export { estimateResponse, type MeasurementWarning, SpeedResponse, type SpeedSample } from "./response.js";

// Tables that make locomotives run at chosen speeds, and alike

export {
  type MatchedLocomotive,
  type MeasuredLocomotive,
  matchSpeeds,
  predictSpeeds,
  type SpeedTarget,
  speedRange,
  targetSpeeds,
} from "./match.js";

// Momentum and stopping (CV 3, 4, 23 and 24), and exhaust beats

export { beatFit, beatsPerTurn } from "./exhaust.js";
export { brakeToMark, momentumForStop, momentumProfile, type Profile } from "./stopping.js";

// Pictures and the report

export { matchReport } from "./report.js";
export { speedPicture } from "./speed-picture.js";
export { stoppingPicture } from "./stopping-picture.js";
