import { aList, aNumber, anObject, aText, fitting, listOf, need, needIn, objectOf } from "../cv/argument.js";
import { aPatch, CvPatch } from "../cv/cvpatch.js";
import { CvError, fault } from "../cv/issue.js";
import { tablePatch } from "./curve.js";
import type { Direction } from "./drive.js";
import { levelLimits, Problems, speedLimits } from "./problems.js";
import { aResponse, type SpeedResponse } from "./response.js";
import { type CurveShape, noSymbols, shapeValues, straight, tableSteps } from "./shape.js";
import { directionFit, type Fit, jointFit, type Target } from "./trim.js";

/** How many curves stand for what is not known of a response. */
const drawn = 400;
/** 19 times in 20. */
const sure = 0.95;

const noCommonTrim = /* @__PURE__ */ fault(
  "no-common-trim",
  "forward and reverse were measured over levels that no pair of trims brings together; measure both over the same range",
);
const noLocomotive = /* @__PURE__ */ fault("no-locomotive", "expected one locomotive or more");
const sameName = /* @__PURE__ */ fault("same-name", "{found} is the name of another locomotive too");
const noResponse = /* @__PURE__ */ fault(
  "no-response",
  "expected a measured response for forward, for reverse, or for both",
);

/** A locomotive with its measured response, in one direction or both. */
export interface MeasuredLocomotive {
  /** Its name; no two have the same. */
  readonly name: string;
  /** How it runs forward. */
  readonly forward?: SpeedResponse;
  /** How it runs in reverse. */
  readonly reverse?: SpeedResponse;
  /**
   * The drive levels of its 28 steps as they are now, 0-255, for others to run as it does. Default: a
   * straight line from its first moving level to where it saturates.
   */
  readonly present?: readonly number[];
}

/**
 * The speeds that the steps are to have: 28 full-size speeds, m/s; `"slowest"`: at each step as the slowest of the
 * locomotives, from the lowest speed that all of them can run; or `{ as: name }`: as that one of them.
 */
export type SpeedTarget = readonly number[] | "slowest" | { readonly as: string };

/** What one step will do in one direction. */
interface PredictedStep {
  /** The drive level after the trim, 0-255, not rounded. */
  readonly level: number;
  /** The expected full-size speed, m/s. */
  readonly speed: number;
  /** The standard deviation of that, m/s: what the measurements leave open. */
  readonly deviation: number;
  /** The expected speed minus the target, m/s. */
  readonly error: number;
}

/** A locomotive's new table and trims. */
export interface MatchedLocomotive {
  /** Its name. */
  readonly name: string;
  /** CV 67-94: 28 drive levels, 0-255. */
  readonly table: readonly number[];
  /** CV 66, 1-255: forward levels are the table's times n/128. */
  readonly forwardTrim: number;
  /** CV 95, 1-255: the same for reverse. */
  readonly reverseTrim: number;
  /**
   * For each step its target, m/s, the level of the table, and for each measured direction the level after the trim,
   * the expected speed, its standard deviation, and the expected speed minus the target, m/s.
   */
  readonly steps: readonly {
    readonly step: number;
    readonly target: number;
    readonly level: number;
    readonly forward?: Readonly<Record<"level" | "speed" | "deviation" | "error", number>>;
    readonly reverse?: Readonly<Record<"level" | "speed" | "deviation" | "error", number>>;
  }[];
  /** The error that no reached step exceeds, 19 times in 20, m/s; the uncertainty of the measurements is included. */
  readonly within: number;
  /** The usual error of a reached step (root of the mean square), m/s, with the uncertainty of the measurements. */
  readonly typical: number;
  /** The slowest and the fastest speed that it can run in every measured direction, m/s. */
  readonly range: { readonly slowest: number; readonly fastest: number };
  /**
   * The steps whose target is out of reach, with the expected speed, m/s, and why: `"too-fast"` and `"too-slow"` lie
   * outside of the measured range; with `"compromise"` one table with two trims cannot serve both directions there.
   */
  readonly unreached: readonly {
    readonly step: number;
    readonly direction: "forward" | "reverse";
    readonly target: number;
    readonly predicted: number;
    readonly reason: "too-fast" | "too-slow" | "compromise";
  }[];
  /** CV 66-95, with bit 4 of CV 29 set, so that they are in use (S-9.2.2 (July 2012), CV 29). */
  readonly patch: CvPatch;
}

const notATarget = /* @__PURE__ */ fault(
  "expected-target",
  'expected a list of 28 speeds, "slowest", or an object with as, got {found}',
);
/** Locomotives that were measured; their names and numbers are looked at where they are used. */
export const someMeasured = /* @__PURE__ */ listOf(
  /* @__PURE__ */ objectOf({ name: aText, "forward?": aResponse, "reverse?": aResponse, "present?": aList }),
);
const aRequest = /* @__PURE__ */ objectOf({
  target: /* @__PURE__ */ fitting(
    (value) => value === "slowest" || (typeof value === "object" && value !== null),
    notATarget,
  ),
  locomotives: someMeasured,
});
const notAllSteps = /* @__PURE__ */ fault("expected-28-numbers", "expected 28 numbers, got {found}");
const allSteps = /* @__PURE__ */ fitting(
  (value) => Array.isArray(value) && value.length === 28 && value.every((one) => typeof one === "number"),
  notAllSteps,
);
const prediction = /* @__PURE__ */ objectOf({
  level: aNumber,
  speed: aNumber,
  deviation: aNumber,
  error: aNumber,
});
/** The result of a match for one locomotive. */
export const aMatched = /* @__PURE__ */ objectOf({
  name: aText,
  table: allSteps,
  forwardTrim: aNumber,
  reverseTrim: aNumber,
  steps: /* @__PURE__ */ listOf(
    /* @__PURE__ */ objectOf({
      step: aNumber,
      target: aNumber,
      level: aNumber,
      "forward?": prediction,
      "reverse?": prediction,
    }),
  ),
  within: aNumber,
  typical: aNumber,
  range: /* @__PURE__ */ objectOf({ slowest: aNumber, fastest: aNumber }),
  unreached: /* @__PURE__ */ listOf(anObject),
  patch: aPatch,
});

/**
 * Speed tables that make locomotives run at the speeds that are asked for, and so alike.
 *
 * For each locomotive the table (CV 67-94) is the one of whole levels whose errors have the least expected squares.
 * With both directions measured, the trims (CV 66 and 95) are chosen together with it, one of them 128 (times 1);
 * with one direction both are 128. Only levels between the lowest and the highest measured one are used; a speed
 * above 0 never gets a level that stands still.
 * @param request `target`: the speeds; `locomotives`: one or more; `tolerance`: how near to its target, as a part of
 * it, a step has to come to count as reached where the range of the locomotive ends, default 0.02.
 * @returns `target`: the full-size speed of steps 1-28, m/s, however it was asked for; `locomotives`: in the same order.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { estimateResponse, matchSpeeds, targetSpeeds } from "cvset/motion";
 * const forward = estimateResponse([{ level: 15, speed: 1 }, { level: 135, speed: 13 }, { level: 255, speed: 25 }]);
 * const target = targetSpeeds({ start: 1, top: 14.5 });
 * const [mogul] = matchSpeeds({ target, locomotives: [{ name: "Mogul", forward }] }).locomotives;
 * [mogul?.table[0], mogul?.table[27]]; // [15, 150]
 */
/* @__NO_SIDE_EFFECTS__ */
export function matchSpeeds(request: {
  readonly target: SpeedTarget;
  readonly locomotives: readonly MeasuredLocomotive[];
  readonly tolerance?: number;
}): { readonly target: readonly number[]; readonly locomotives: readonly MatchedLocomotive[] } {
  needIn(aRequest, request, "request");
  const { locomotives, tolerance = 0.02 } = request;
  checkLocomotives(locomotives, tolerance);
  const target = resolved(request.target, locomotives);
  return { target, locomotives: locomotives.map((each) => matchOne(each, target, tolerance)) };
}

/**
 * A speed for each of the 28 steps, from the slowest, the fastest and a shape; the shapes are those of
 * {@link speedCurve}, with speeds instead of levels.
 * @param shape Full-size speeds, m/s.
 * @throws `CvError` with everything that is wrong, such as a curve that falls.
 * @example
 * import { mph, targetSpeeds } from "cvset/motion";
 * targetSpeeds({ start: mph(1), top: mph(28) })[8] === mph(9); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function targetSpeeds(shape: CurveShape): readonly number[] {
  need(anObject, shape, "shape");
  need(noSymbols, shape, "");
  const problems = new Problems();
  const speeds = shapeValues(shape, speedLimits, problems);
  problems.throwIfAny();
  return speeds ?? [];
}

/**
 * The speeds that locomotives can run, each and all together, from what was measured, in every direction that was.
 * @param locomotives One or more.
 * @returns `each`: the slowest and the fastest speed by name, m/s; `common`: what all of them can run, absent where the
 * slowest speed of one is above the fastest of another.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { estimateResponse, speedRange } from "cvset/motion";
 * const line = (slowest: number, fastest: number) =>
 *   estimateResponse([{ level: 20, speed: slowest }, { level: 220, speed: fastest }]);
 * const both = [{ name: "A", forward: line(1, 20) }, { name: "B", forward: line(2, 30) }];
 * const { common } = speedRange(both);
 * common && [Math.round(common.slowest), Math.round(common.fastest)]; // [2, 20]
 */
/* @__NO_SIDE_EFFECTS__ */
export function speedRange(locomotives: readonly MeasuredLocomotive[]): {
  readonly each: readonly { readonly name: string; readonly slowest: number; readonly fastest: number }[];
  readonly common?: { readonly slowest: number; readonly fastest: number };
} {
  need(someMeasured, locomotives, "locomotives");
  checkLocomotives(locomotives, 0);
  const each = locomotives.map((one) => ({ name: one.name, ...rangeOf(responsesOf(one)) }));
  const slowest = each.reduce((most, one) => Math.max(most, one.slowest), 0);
  const fastest = each.reduce((least, one) => Math.min(least, one.fastest), Number.POSITIVE_INFINITY);
  return slowest < fastest ? { each, common: { slowest, fastest } } : { each };
}

/**
 * How fast a locomotive will run at each speed step.
 * @param levels The drive level of step 1 and up, 0-255, such as the `levels` of a curve, or those of
 * {@link driveLevels} for 14, 28 or 128 steps.
 * @param response Its measured response.
 * @returns `speeds`: the full-size speed at step 1 and up, m/s; `deviations`: the standard deviation of each, m/s;
 * `guessed`: the steps whose level was not measured, so that the speed is a guess.
 * @throws `CvError` for a level outside 0-255.
 * @example
 * import { estimateResponse, predictSpeeds } from "cvset/motion";
 * const response = estimateResponse([{ level: 55, speed: 5 }, { level: 155, speed: 15 }, { level: 255, speed: 25 }]);
 * const { speeds, guessed } = predictSpeeds([20, 55, 255], response);
 * [Math.round(speeds[1] ?? 0), Math.round(speeds[2] ?? 0), ...guessed]; // [5, 25, 1]
 */
/* @__NO_SIDE_EFFECTS__ */
export function predictSpeeds(
  levels: readonly number[],
  response: SpeedResponse,
): {
  readonly speeds: readonly number[];
  readonly deviations: readonly number[];
  readonly guessed: readonly number[];
} {
  need(aList, levels, "levels");
  need(aResponse, response, "response");
  const problems = new Problems();
  for (let i = 0; i < levels.length; i++) problems.number(`levels.${i}`, levels[i], { min: 0, max: 255 });
  problems.throwIfAny();
  return {
    speeds: levels.map((level) => response.speedAt(level)),
    deviations: levels.map((level) => response.deviationAt(level)),
    guessed: levels.flatMap((level, i) => (response.knows(level) ? [] : [i + 1])),
  };
}

function responsesOf({ forward, reverse }: MeasuredLocomotive): SpeedResponse[] {
  return [forward, reverse].filter((response) => response !== undefined);
}

function rangeOf(responses: readonly SpeedResponse[]): { slowest: number; fastest: number } {
  return {
    slowest: responses.reduce((most, { slowest }) => Math.max(most, slowest), 0),
    fastest: responses.reduce((least, { fastest }) => Math.min(least, fastest), Number.POSITIVE_INFINITY),
  };
}

function matchOne(
  locomotive: MeasuredLocomotive,
  target: readonly number[],
  tolerance: number,
): MatchedLocomotive {
  const { name, forward, reverse } = locomotive;
  const targets: Target[] = [];
  if (forward) targets.push({ direction: "forward", response: forward });
  if (reverse) targets.push({ direction: "reverse", response: reverse });
  const [first, second] = targets;
  const fit = first && (second ? jointFit(first, second, target) : directionFit(first, target));
  if (!fit) throw new CvError([noCommonTrim({}, { path: name })]);
  return described(name, targets, fit, target, tolerance);
}

function described(
  name: string,
  targets: readonly Target[],
  fit: Fit,
  target: readonly number[],
  tolerance: number,
): MatchedLocomotive {
  const unreached: MatchedLocomotive["unreached"][number][] = [];
  const steps = fit.table.map((level, i) => ({
    step: i + 1,
    target: target[i] as number,
    level,
    ...Object.fromEntries(
      targets.map(({ direction, response }): [Direction, PredictedStep] => {
        const trimmed = Math.min(255, (level * fit[direction]) / 128);
        const speed = response.speedAt(trimmed);
        const deviation = response.deviationAt(trimmed);
        return [direction, { level: trimmed, speed, deviation, error: speed - (target[i] as number) }];
      }),
    ),
  })) as MatchedLocomotive["steps"][number][];
  let squares = 0;
  let reached = 0;
  const errors: { response: SpeedResponse; levels: number[]; targets: number[]; seed: number }[] = [];
  for (const { direction, response } of targets) {
    const here = { response, levels: [] as number[], targets: [] as number[], seed: errors.length + 1 };
    errors.push(here);
    for (const step of steps) {
      const predicted = step[direction] as PredictedStep;
      const reason = whyUnreached(response, predicted, step.target, tolerance);
      if (reason) {
        unreached.push({
          step: step.step,
          direction,
          target: step.target,
          predicted: predicted.speed,
          reason,
        });
        continue;
      }
      reached++;
      squares += predicted.error ** 2 + predicted.deviation ** 2;
      here.levels.push(predicted.level);
      here.targets.push(step.target);
    }
  }
  unreached.sort((a, b) => a.step - b.step);
  const trims = CvPatch.from({ cvs: { 66: fit.forward, 95: fit.reverse } });
  return {
    name,
    table: fit.table,
    forwardTrim: fit.forward,
    reverseTrim: fit.reverse,
    steps,
    within: largestError(errors),
    typical: reached ? Math.sqrt(squares / reached) : 0,
    range: rangeOf(targets.map(({ response }) => response)),
    unreached,
    patch: tablePatch(fit.table, { select: true }).followedBy(trims),
  };
}

/** The largest error of any step that 19 of 20 of the curves stay below that agree with the measurements. */
function largestError(
  parts: readonly { response: SpeedResponse; levels: number[]; targets: number[]; seed: number }[],
): number {
  const worst = new Float64Array(drawn);
  for (const { response, levels, targets, seed } of parts) {
    response.draws(levels, drawn, seed).forEach((speeds, draw) => {
      for (let i = 0; i < speeds.length; i++) {
        const error = Math.abs((speeds[i] as number) - (targets[i] as number));
        if (error > (worst[draw] as number)) worst[draw] = error;
      }
    });
  }
  return worst.sort()[Math.ceil(sure * drawn)] as number;
}

/**
 * Why a step does not have its speed; undefined when it has it, as far as whole levels allow and the measurements
 * tell.
 */
function whyUnreached(
  response: SpeedResponse,
  { deviation, error }: PredictedStep,
  target: number,
  tolerance: number,
): "too-fast" | "too-slow" | "compromise" | undefined {
  const allowed = tolerance * target;
  if (Math.abs(error) <= Math.max(allowed, 2 * deviation)) return undefined;
  if (target > response.fastest) return target - response.fastest > allowed ? "too-fast" : undefined;
  if (target < response.slowest) return response.slowest - target > allowed ? "too-slow" : undefined;
  // Within its range: whole levels leave a gap that nothing can be done about, or the other direction decided.
  const exact = response.levelFor(target) ?? 0;
  const below = response.speedAt(Math.max(exact - 0.5, response.movesFrom));
  const above = response.speedAt(Math.min(exact + 0.5, response.measuredTo));
  return Math.abs(error) > above - below + allowed ? "compromise" : undefined;
}

function resolved(target: SpeedTarget, locomotives: readonly MeasuredLocomotive[]): readonly number[] {
  if (target === "slowest") return slowestOf(locomotives);
  const problems = new Problems();
  if (typeof target === "object" && target !== null && "as" in target) {
    const model = locomotives.find(({ name }) => name === target.as);
    if (model) return presentSpeeds(model);
    problems.option("target.as", locomotives.map(({ name }) => name), target.as); // biome-ignore format: one line
  } else if (problems.numbers("target", target, speedLimits, [tableSteps])) problems.rising("target", target);
  problems.throwIfAny();
  return [...(target as readonly number[])];
}

/** At each step the speed of the slowest, the whole moved so that it begins with a speed that all can run. */
function slowestOf(locomotives: readonly MeasuredLocomotive[]): number[] {
  const all = locomotives.map(presentSpeeds);
  const speeds = Array.from({ length: tableSteps }, (_, i) =>
    all.reduce((least, each) => Math.min(least, each[i] as number), Number.POSITIVE_INFINITY),
  );
  const first = speeds[0] as number;
  const top = speeds[tableSteps - 1] as number;
  const start = Math.min(top, rangeOf(locomotives.flatMap(responsesOf)).slowest);
  if (start <= first) return speeds;
  if (first === top) return speeds.map(() => start);
  return speeds.map((speed) => straight(speed, first, start, top, top));
}

/** How fast a locomotive runs at each step as it is now; with both directions, the slower of the two. */
function presentSpeeds(locomotive: MeasuredLocomotive): number[] {
  const responses = responsesOf(locomotive);
  const from = responses.reduce((most, { movesFrom }) => Math.max(most, movesFrom), 0);
  const to = responses.reduce(
    (least, { saturatesFrom, measuredTo }) => Math.min(least, saturatesFrom ?? measuredTo),
    255,
  );
  return Array.from({ length: tableSteps }, (_, i) => {
    const level = locomotive.present?.[i] ?? straight(i + 1, 1, Math.min(from, to), tableSteps, to);
    return responses.reduce(
      (least, response) => Math.min(least, response.speedAt(level)),
      Number.POSITIVE_INFINITY,
    );
  });
}

function checkLocomotives(locomotives: readonly MeasuredLocomotive[], tolerance: number): void {
  const problems = new Problems();
  problems.number("tolerance", tolerance, { min: 0, max: 1 });
  if (locomotives.length === 0) problems.add(noLocomotive({}, { path: "locomotives" }));
  const seen = new Set<string>();
  locomotives.forEach(({ name, forward, reverse, present }, i) => {
    const path = `locomotives.${i}`;
    if (seen.has(name)) problems.add(sameName({ found: name }, { path: `${path}.name` }));
    seen.add(name);
    if (!forward && !reverse) problems.add(noResponse({}, { path }));
    if (present === undefined) return;
    const list = `${path}.present`;
    if (problems.numbers(list, present, { ...levelLimits, whole: false }, [tableSteps]))
      problems.rising(list, present);
  });
  problems.throwIfAny();
}
