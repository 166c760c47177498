export { measurementsFromCsv } from "./csv.js";
export { fallingSteps, type SpeedCurve, scaledCurve, speedCurve, tablePatch } from "./curve.js";
export {
  type Direction,
  type DriveLevels,
  type DriveSettings,
  driveLevels,
  driveSettings,
  type StepMode,
  stepCount,
  tablePosition,
} from "./drive.js";
export {
  type Beat,
  type BeatEngine,
  type BeatError,
  type BeatFit,
  type BeatPattern,
  type BeatWheel,
  beatFit,
  beatPattern,
  beatRate,
  beatsPerTurn,
} from "./exhaust.js";
export { isotonic } from "./isotonic.js";
export {
  type Match,
  type MatchedLocomotive,
  type MatchedStep,
  type MeasuredLocomotive,
  matchSpeeds,
  type PredictedStep,
  type SpeedWish,
  type UnreachedStep,
} from "./match.js";
export {
  type MeasurementDefaults,
  measuredLocomotives,
  type RepeatedRun,
  readMeasurements,
  type TimedLocomotive,
} from "./measurements.js";
export {
  type AdjustedMomentum,
  adjustedMomentum,
  adjustmentFor,
  type MomentumRate,
  type MomentumSetting,
  momentumFor,
  momentumSetting,
  secondsPerStep,
} from "./momentum.js";
export { monotoneCubic } from "./monotone.js";
export { type PredictedSpeeds, predictSpeeds, wishedSpeeds } from "./predict.js";
export {
  estimateResponse,
  type Repair,
  type ResponseData,
  SpeedResponse,
  type SpeedSample,
} from "./response.js";
export { scaleRatio, scales } from "./scale.js";
export type { CurvePoint, CurveShape } from "./shape.js";
export { type SpeedPicture, speedPicture } from "./speedpicture.js";
export {
  type BrakingPlan,
  brakeToMark,
  momentumForStop,
  momentumProfile,
  type Profile,
  type ProfilePoint,
  type SpeedChange,
  type StopRate,
} from "./stopping.js";
export { type StoppingPicture, stoppingPicture } from "./stoppingpicture.js";
export { type ThreePoints, tableOfThreePoints, threePointsOf } from "./threepoint.js";
export { combineTimings, scaleSpeed, type Timing } from "./timing.js";
export { centimetres, feet, inches, kmh, mph, toKmh, toMph } from "./units.js";
