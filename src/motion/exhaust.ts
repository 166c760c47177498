import { CvError } from "../cv/index.js";
import { type Limits, levelLimits, Problems, speedLimits } from "./problems.js";

const cylinderLimits: Limits = { min: 1, max: 8, whole: true };
const wheelLimits: Limits = { min: 0.1, max: 5, unit: "m" };
const gearLimits: Limits = { min: 0, max: 20, above: true };
const beatLimits: Limits = { min: 0, max: 500, above: true };
/** More beats than this are refused: nobody looks at them, and they fill the memory. */
const mostBeats = 1e6;

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
  const { cylinders, together = 1, gear = 1 } = engine;
  const problems = new Problems();
  const counts = [
    problems.number("cylinders", cylinders, cylinderLimits),
    problems.number("together", together, cylinderLimits),
  ];
  if (!counts.includes(false) && cylinders % together !== 0) {
    problems.content("together", `must divide the number of cylinders, ${cylinders}`, together);
  }
  problems.number("gear", gear, gearLimits);
  problems.throwIfAny();
  return (2 * cylinders * gear) / together;
}

/** What the beats of one engine depend on. */
export interface BeatWheel {
  /** The diameter of the driving wheels at full size, 0.1-5 m. */
  readonly diameter: number;
  /** Beats for each turn of the wheels, above 0, see {@link beatsPerTurn}. Default 4. */
  readonly beats?: number;
}

/**
 * Exhaust beats a second: beats for each turn * speed / (pi * diameter) (common practice).
 * @param speed Full-size speed, m/s, 0 or more.
 * @param wheel The driving wheels.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { beatRate, inches, mph } from "cvset/motion";
 * Math.round(beatRate(mph(10), { diameter: inches(42) }) * 100) / 100; // 5.34
 */
/* @__NO_SIDE_EFFECTS__ */
export function beatRate(speed: number, wheel: BeatWheel): number {
  const problems = new Problems();
  problems.number("speed", speed, speedLimits);
  checkWheel("", wheel, problems);
  problems.throwIfAny();
  return ((wheel.beats ?? 4) * speed) / (Math.PI * wheel.diameter);
}

/** How a stored beat rate compares with the true one at one step. */
export interface BeatError {
  /** The speed step. */
  readonly step: number;
  /** The true beats a second. */
  readonly wanted: number;
  /** The beats a second that the decoder will play. */
  readonly played: number;
  /** Played / wanted - 1: 0.1 is one tenth too fast. 0 where both are 0; left out where only one is. */
  readonly error?: number;
}

/** How a stored beat rate fits over the speed range. */
export interface BeatFit {
  /** Beats a second for each drive level. */
  readonly perLevel: number;
  /** Each step. */
  readonly steps: readonly BeatError[];
  /** The largest error at a step where the locomotive moves, as a part of the true rate; 0 or more. */
  readonly worst: number;
}

/**
 * The error of a stored beat rate over the speed range. A decoder without a wheel sensor plays beats in
 * proportion to its drive level (common practice), while the true rate follows the speed; this tells how
 * far the two part, step by step.
 * @param locomotive `levels`: the drive level of step 1 and up, 0-255; `speeds`: the full-size speed
 * there, m/s; `wheel`: the driving wheels; `perLevel`: the stored rate, beats a second for each level; left
 * out, the one with the least worst error.
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
  readonly wheel: BeatWheel;
  readonly perLevel?: number;
}): BeatFit {
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
    throw new CvError([
      { code: "content", path: "speeds", expected: "need one step or more that moves and has a level" },
    ]);
  }
  const lowest = ratios.reduce((least, ratio) => Math.min(least, ratio));
  const highest = ratios.reduce((most, ratio) => Math.max(most, ratio));
  const perLevel = locomotive.perLevel ?? 2 / (lowest + highest);
  const steps = rates.map((wanted, i): BeatError => {
    const played = perLevel * (levels[i] as number);
    if (wanted > 0) return { step: i + 1, wanted, played, error: played / wanted - 1 };
    return played > 0 ? { step: i + 1, wanted, played } : { step: i + 1, wanted, played, error: 0 };
  });
  const worst = steps.reduce((most, { error = 0 }) => Math.max(most, Math.abs(error)), 0);
  return { perLevel, steps, worst };
}

/** One engine of a locomotive with several. */
export interface BeatEngine extends BeatWheel {
  /** How far into a beat it is at the beginning, 0-1. Default 0: a beat at once. */
  readonly phase?: number;
  /** How much its wheels slip, 0-0.5: 0.01 turns them 1 % faster than they roll. Default 0. */
  readonly slip?: number;
}

/** One beat of one engine. */
export interface Beat {
  /** Since the beginning, s. */
  readonly seconds: number;
  /** Which engine, from 0. */
  readonly engine: number;
}

/** The beats of engines that work side by side. */
export interface BeatPattern {
  /** Every beat, in order of time. */
  readonly beats: readonly Beat[];
  /** The beats a second of each engine. */
  readonly rates: readonly number[];
  /**
   * How long the first two engines take to drift from together through apart to together again, s; left
   * out when they never drift.
   */
  readonly driftSeconds?: number;
}

/**
 * The beats of two engines (or more) of one locomotive that drift in and out of step, since wheels differ a
 * little or slip (common practice).
 * @param engines Each engine's wheels.
 * @param run `speed`: full-size speed, m/s, above 0; `seconds`: how long, up to 600 s.
 * @throws `CvError` with everything that is wrong; also for more than a million beats.
 * @example
 * import { beatPattern } from "cvset/motion";
 * const engines = [{ diameter: 1.27 }, { diameter: 1.27, slip: 0.02 }];
 * const pattern = beatPattern(engines, { speed: 5, seconds: 2 });
 * pattern.beats.length; // 22
 * Math.round(pattern.driftSeconds ?? 0); // 10
 */
/* @__NO_SIDE_EFFECTS__ */
export function beatPattern(
  engines: readonly BeatEngine[],
  run: { readonly speed: number; readonly seconds: number },
): BeatPattern {
  const problems = new Problems();
  problems.number("speed", run.speed, { ...speedLimits, max: 200, above: true });
  problems.number("seconds", run.seconds, { min: 0, max: 600, above: true, unit: "s" });
  if (engines.length === 0) problems.content("engines", "needs one engine or more; there is none");
  engines.forEach((engine, i) => {
    checkWheel(`engines.${i}.`, engine, problems);
    problems.number(`engines.${i}.phase`, engine.phase ?? 0, { min: 0, max: 1 });
    problems.number(`engines.${i}.slip`, engine.slip ?? 0, { min: 0, max: 0.5 });
  });
  problems.throwIfAny();
  const rates = engines.map((engine) => beatRate(run.speed, engine) * (1 + (engine.slip ?? 0)));
  const total = rates.reduce((sum, rate) => sum + rate * run.seconds, 0);
  if (total > mostBeats) {
    const expected = `must be shorter: the pattern would have ${Math.round(total)} beats, allowed are ${mostBeats}`;
    problems.content("seconds", expected, run.seconds);
    problems.throwIfAny();
  }
  const beats: Beat[] = [];
  engines.forEach(({ phase = 0 }, engine) => {
    const rate = rates[engine] as number;
    for (let n = Math.ceil(phase); (n - phase) / rate < run.seconds; n++) {
      beats.push({ seconds: (n - phase) / rate, engine });
    }
  });
  beats.sort((a, b) => a.seconds - b.seconds || a.engine - b.engine);
  const [first, second] = rates;
  const drift = first === undefined || second === undefined ? 0 : Math.abs(first - second);
  return { beats, rates, ...(drift > 0 ? { driftSeconds: 1 / drift } : {}) };
}

function checkWheel(path: string, { diameter, beats = 4 }: BeatWheel, problems: Problems): void {
  problems.number(`${path}diameter`, diameter, wheelLimits);
  problems.number(`${path}beats`, beats, beatLimits);
}
