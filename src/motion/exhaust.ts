import { anObject, need, objectOf } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import { type Limits, levelLimits, Problems, speedLimits } from "./problems.js";

const cylinderLimits: Limits = { min: 1, max: 8, whole: true };
const wheelLimits: Limits = { min: 0.1, max: 5, unit: "m" };
const gearLimits: Limits = { min: 0, max: 20, above: true };
const beatLimits: Limits = { min: 0, max: 500, above: true };
const notDivided = /* @__PURE__ */ fault(
  "cylinders-together",
  "expected a divisor of the number of cylinders, {cylinders}, got {found}",
);
const noMovingStep = /* @__PURE__ */ fault(
  "no-moving-step",
  "expected one step or more at which the locomotive moves and has a drive level",
);

/**
 * How many exhaust beats (chuffs) one engine gives for each turn of its wheels: one for each end of each
 * cylinder, so four for the simple two-cylinder engine and six for three cylinders (common practice).
 * @param engine `cylinders`: 1-8, of one engine; `together`: how many cylinders exhaust at the same
 * moment, default 1, such as 2 for four cylinders that beat in pairs; `gear`: turns of the engine for
 * one turn of the wheels, default 1, for geared locomotives.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { beatsPerTurn } from "cvset/motion";
 * beatsPerTurn({ cylinders: 2 }); // 4
 * beatsPerTurn({ cylinders: 3, gear: 2 }); // 12
 */
/* @__NO_SIDE_EFFECTS__ */
export function beatsPerTurn(engine: {
  readonly cylinders: number;
  readonly together?: number;
  readonly gear?: number;
}): number {
  need(anObject, engine, "engine");
  const { cylinders, together = 1, gear = 1 } = engine;
  const problems = new Problems();
  const counts = [
    problems.number("cylinders", cylinders, cylinderLimits),
    problems.number("together", together, cylinderLimits),
  ];
  if (!counts.includes(false) && cylinders % together !== 0) {
    problems.add(notDivided({ found: together, cylinders }, { path: "together" }));
  }
  problems.number("gear", gear, gearLimits);
  problems.throwIfAny();
  return (2 * cylinders * gear) / together;
}

interface BeatWheel {
  readonly diameter: number;
  readonly beats?: number;
}

/** Exhaust beats a second: beats for each turn * speed / (pi * diameter) (common practice). */
function beatRate(speed: number, wheel: BeatWheel): number {
  return ((wheel.beats ?? 4) * speed) / (Math.PI * wheel.diameter);
}

const aWheeled = /* @__PURE__ */ objectOf({ wheel: anObject });

/**
 * The error of a stored beat rate over the speed range. A decoder without a wheel sensor plays beats in
 * proportion to its drive level (common practice), while the true rate follows the speed; this gives the
 * difference at each step.
 * @param locomotive `levels`: the drive level of step 1 and up, 0-255; `speeds`: the full-size speed
 * there, m/s; `wheel`: the `diameter` of the driving wheels at full size, 0.1-5 m, and the
 * `beats` for each turn of them, see {@link beatsPerTurn}, default 4; `perLevel`: the stored rate, beats a second for each level; when it is
 * left out, the rate with the least worst error.
 * @returns `perLevel`: beats a second for each level. `steps`: for each step the true beats a second (`wanted`), those
 * that the decoder plays (`played`), and `error`, played / wanted - 1: 0.1 is one tenth too fast, 0 where both are 0, absent
 * where only one is. `worst`: the largest error at a step where the locomotive moves, 0 or more.
 * @throws `CvError` with everything that is wrong; also when no step both moves and has a level.
 * @example
 * import { beatFit } from "cvset/motion";
 * const wheel = { diameter: 1 / Math.PI };
 * const fit = beatFit({ levels: [10, 20, 30], speeds: [1, 2, 2], wheel });
 * fit.worst.toFixed(3); // "0.200"
 */
/* @__NO_SIDE_EFFECTS__ */
export function beatFit(locomotive: {
  readonly levels: readonly number[];
  readonly speeds: readonly number[];
  readonly wheel: { readonly diameter: number; readonly beats?: number };
  readonly perLevel?: number;
}): {
  readonly perLevel: number;
  readonly steps: readonly {
    readonly step: number;
    readonly wanted: number;
    readonly played: number;
    readonly error?: number;
  }[];
  readonly worst: number;
} {
  need(aWheeled, locomotive, "locomotive");
  const { levels, speeds, wheel } = locomotive;
  const problems = new Problems();
  const lengths = [Array.isArray(levels) ? levels.length : 0];
  problems.numbers("levels", levels, { ...levelLimits, whole: false }, lengths);
  problems.numbers("speeds", speeds, speedLimits, lengths);
  checkWheel("wheel.", wheel, problems);
  if (locomotive.perLevel !== undefined) problems.number("perLevel", locomotive.perLevel, beatLimits);
  problems.throwIfAny();
  const rates = speeds.map((speed) => beatRate(speed, wheel));
  // The ratio of level to true rate, where there are both: the best stored rate puts its extremes at
  // equal distances from 1.
  const ratios = rates.flatMap((rate, i) => {
    const level = levels[i] as number;
    return rate > 0 && level > 0 ? [level / rate] : [];
  });
  if (ratios.length === 0) {
    problems.add(noMovingStep({}, { path: "speeds" }));
    problems.throwIfAny();
  }
  const lowest = ratios.reduce((least, ratio) => Math.min(least, ratio));
  const highest = ratios.reduce((most, ratio) => Math.max(most, ratio));
  const perLevel = locomotive.perLevel ?? 2 / (lowest + highest);
  const steps = rates.map((wanted, i): { step: number; wanted: number; played: number; error?: number } => {
    const played = perLevel * (levels[i] as number);
    if (wanted > 0) return { step: i + 1, wanted, played, error: played / wanted - 1 };
    return played > 0 ? { step: i + 1, wanted, played } : { step: i + 1, wanted, played, error: 0 };
  });
  const worst = steps.reduce((most, { error = 0 }) => Math.max(most, Math.abs(error)), 0);
  return { perLevel, steps, worst };
}

function checkWheel(path: string, { diameter, beats = 4 }: BeatWheel, problems: Problems): void {
  problems.number(`${path}diameter`, diameter, wheelLimits);
  problems.number(`${path}beats`, beats, beatLimits);
}
