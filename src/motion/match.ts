import { CvError, CvPatch } from "../cv/index.js";
import { tablePatch } from "./curve.js";
import type { Direction } from "./drive.js";
import { levelLimits, Problems, speedLimits } from "./problems.js";
import type { SpeedResponse } from "./response.js";
import { straight, tableSteps } from "./shape.js";
import { directionFit, type Fit, jointFit, type Target } from "./trim.js";

/** A locomotive with its measured response, in one direction or both. */
export interface MeasuredLocomotive {
  readonly name: string;
  readonly forward?: SpeedResponse;
  readonly reverse?: SpeedResponse;
  /**
   * The drive levels of its 28 steps as they are now, 0-255, when others are to run as it does. Left out: a
   * straight line from its first moving level to where it saturates.
   */
  readonly present?: readonly number[];
}

/**
 * The wished speed: 28 full-size speeds, m/s; `"slowest"`: at each step as the slowest of the locomotives;
 * or `{ as: name }`: as that one of them.
 */
export type SpeedWish = readonly number[] | "slowest" | { readonly as: string };

/** What one step will do in one direction. */
export interface PredictedStep {
  /** The drive level after the trim, 0-255, not rounded. */
  readonly level: number;
  /** The predicted full-size speed, m/s. */
  readonly speed: number;
  /** Predicted minus wished, m/s. */
  readonly error: number;
}

/** One step of a matched locomotive. */
export interface MatchedStep {
  /** 1-28. */
  readonly step: number;
  /** The wished full-size speed, m/s. */
  readonly wished: number;
  /** The table's drive level, 0-255. */
  readonly level: number;
  readonly forward?: PredictedStep;
  readonly reverse?: PredictedStep;
}

/** A wished speed that the locomotive will not run. */
export interface UnreachedStep {
  /** 1-28. */
  readonly step: number;
  readonly direction: Direction;
  /** m/s. */
  readonly wished: number;
  /** m/s. */
  readonly predicted: number;
  /**
   * - `"too-fast"`: faster than anything that was measured.
   * - `"too-slow"`: slower than the slowest that was measured.
   * - `"between-levels"`: two levels lie around it, neither near enough.
   * - `"compromise"`: within reach, but one table with two trims cannot serve both directions here.
   */
  readonly reason: "too-fast" | "too-slow" | "between-levels" | "compromise";
}

/** A locomotive's new table and trims. */
export interface MatchedLocomotive {
  readonly name: string;
  /** CV 67-94: 28 drive levels, 0-255. */
  readonly table: readonly number[];
  /** CV 66, 1-255: forward levels are the table's times n/128. */
  readonly forwardTrim: number;
  /** CV 95, 1-255: the same for reverse. */
  readonly reverseTrim: number;
  /** The prediction for each step. */
  readonly steps: readonly MatchedStep[];
  /** The largest error of any step and direction, m/s. */
  readonly worst: number;
  /** The root of the mean square of all errors, m/s: what was minimised. */
  readonly rms: number;
  /** The steps that no level reaches within the tolerance. */
  readonly unreached: readonly UnreachedStep[];
  /** CV 66-95, with bit 4 of CV 29 set, so that they are in use. */
  readonly patch: CvPatch;
}

/** What a match gives. */
export interface Match {
  /** The wished full-size speed of steps 1-28, m/s, however it was asked for. */
  readonly wished: readonly number[];
  readonly locomotives: readonly MatchedLocomotive[];
}

/**
 * Speed tables that make locomotives run at a wished speed at every step, and so alike.
 *
 * For each locomotive the table (CV 67-94) is the one of whole levels whose predicted speeds have the
 * least sum of squared errors, in m/s. With both directions measured, the trims (CV 66 and 95) are chosen
 * together with it, one of them 128 (times 1); with one direction both are 128. Only levels that were
 * measured, or lie between measured ones, are used; a wished speed above 0 never gets a level that
 * stands still.
 * @param request `wished`: the wish; `locomotives`: one or more; `tolerance`: how near a step has to come
 * to count as reached, as a part of its wished speed, default 0.02.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { estimateResponse, matchSpeeds, wishedSpeeds } from "cvset/motion";
 * const forward = estimateResponse([{ level: 15, speed: 1 }, { level: 255, speed: 25 }]);
 * const wished = wishedSpeeds({ start: 1, top: 14.5 });
 * const [mogul] = matchSpeeds({ wished, locomotives: [{ name: "Mogul", forward }] }).locomotives;
 * [mogul?.table[0], mogul?.table[27]]; // [15, 150]
 */
/* @__NO_SIDE_EFFECTS__ */
export function matchSpeeds(request: {
  readonly wished: SpeedWish;
  readonly locomotives: readonly MeasuredLocomotive[];
  readonly tolerance?: number;
}): Match {
  const { locomotives, tolerance = 0.02 } = request;
  checkLocomotives(locomotives, tolerance);
  const wished = resolveWish(request.wished, locomotives);
  return { wished, locomotives: locomotives.map((each) => matchOne(each, wished, tolerance)) };
}

function matchOne(locomotive: MeasuredLocomotive, wished: readonly number[], tolerance: number) {
  const { name, forward, reverse } = locomotive;
  const targets: Target[] = [];
  if (forward) targets.push({ direction: "forward", response: forward });
  if (reverse) targets.push({ direction: "reverse", response: reverse });
  const [first, second] = targets;
  const fit = first && (second ? jointFit(first, second, wished) : directionFit(first, wished));
  if (!fit) {
    const text = "forward and reverse were measured over levels that no pair of trims brings together";
    throw new CvError([
      { code: "content", path: name, expected: `${text}; measure both over the same range` },
    ]);
  }
  return describeFit(name, targets, fit, wished, tolerance);
}

function describeFit(
  name: string,
  targets: readonly Target[],
  fit: Fit,
  wished: readonly number[],
  tolerance: number,
): MatchedLocomotive {
  const unreached: UnreachedStep[] = [];
  let worst = 0;
  let squares = 0;
  const steps = fit.table.map((level, i): MatchedStep => {
    const speed = wished[i] as number;
    const predicted: { forward?: PredictedStep; reverse?: PredictedStep } = {};
    for (const { direction, response } of targets) {
      const trimmed = Math.min(255, (level * fit[direction]) / 128);
      const found = response.speedAt(trimmed);
      const error = found - speed;
      predicted[direction] = { level: trimmed, speed: found, error };
      worst = Math.max(worst, Math.abs(error));
      squares += error * error;
      if (Math.abs(error) > tolerance * speed) {
        const reason = reasonFor(response, speed, tolerance);
        unreached.push({ step: i + 1, direction, wished: speed, predicted: found, reason });
      }
    }
    return { step: i + 1, wished: speed, level, ...predicted };
  });
  const trims = CvPatch.from({ cvs: { 66: fit.forward, 95: fit.reverse } });
  return {
    name,
    table: fit.table,
    forwardTrim: fit.forward,
    reverseTrim: fit.reverse,
    steps,
    worst,
    rms: Math.sqrt(squares / (tableSteps * targets.length)),
    unreached,
    patch: tablePatch(fit.table, { select: true }).followedBy(trims),
  };
}

function reasonFor(response: SpeedResponse, wished: number, tolerance: number): UnreachedStep["reason"] {
  if (wished > response.fastest) return "too-fast";
  if (wished < response.slowest) return "too-slow";
  const exact = response.levelFor(wished) ?? 0;
  const near = [Math.floor(exact), Math.ceil(exact)].some(
    (level) =>
      level >= response.movesFrom &&
      level <= response.measuredTo &&
      Math.abs(response.speedAt(level) - wished) <= tolerance * wished,
  );
  return near ? "compromise" : "between-levels";
}

function resolveWish(wish: SpeedWish, locomotives: readonly MeasuredLocomotive[]): readonly number[] {
  if (wish === "slowest") {
    const all = locomotives.map(presentSpeeds);
    return Array.from({ length: tableSteps }, (_, i) => Math.min(...all.map((each) => each[i] as number)));
  }
  if (typeof wish === "object" && wish !== null && "as" in wish) {
    const model = locomotives.find(({ name }) => name === wish.as);
    if (model) return presentSpeeds(model);
    const problems = new Problems();
    const names = locomotives.map(({ name }) => name);
    problems.option("wished.as", names, wish.as);
    throw new CvError(problems.issues);
  }
  const problems = new Problems();
  if (problems.numbers("wished", wish, speedLimits, [tableSteps])) problems.rising("wished", wish);
  problems.throwIfAny();
  return [...wish];
}

/** How fast a locomotive runs at each step as it is now; with both directions, the slower of the two. */
function presentSpeeds({ forward, reverse, present }: MeasuredLocomotive): number[] {
  const responses = [forward, reverse].filter((response) => response !== undefined);
  const from = Math.max(...responses.map((response) => response.movesFrom));
  const to = Math.min(...responses.map((response) => response.saturatesFrom ?? response.measuredTo));
  return Array.from({ length: tableSteps }, (_, i) => {
    const level = present?.[i] ?? straight(i + 1, 1, Math.min(from, to), tableSteps, to);
    return Math.min(...responses.map((response) => response.speedAt(level)));
  });
}

function checkLocomotives(locomotives: readonly MeasuredLocomotive[], tolerance: number): void {
  const problems = new Problems();
  problems.number("tolerance", tolerance, { min: 0, max: 1 });
  if (locomotives.length === 0)
    problems.content("locomotives", "needs one locomotive or more; there is none");
  const seen = new Set<string>();
  locomotives.forEach(({ name, forward, reverse, present }, i) => {
    const path = `locomotives.${i}`;
    if (seen.has(name))
      problems.content(`${path}.name`, "must not be the name of another locomotive too", name);
    seen.add(name);
    if (!forward && !reverse) problems.content(path, "needs a measured response, forward, reverse or both");
    if (present === undefined) return;
    const list = `${path}.present`;
    if (problems.numbers(list, present, { ...levelLimits, whole: false }, [tableSteps]))
      problems.rising(list, present);
  });
  problems.throwIfAny();
}
