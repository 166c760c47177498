import { fitting, objectOf } from "../cv/argument.js";
import { notAList, notANumber, notAnObject } from "../cv/faults.js";
import { fault } from "../cv/issue.js";
import { monotoneCubic } from "./monotone.js";
import type { Limits, Problems } from "./problems.js";

/** How many entries the speed table has (S-9.2.2 (July 2012), CV 67-94). */
export const tableSteps = 28;

/** The ends of a curve over the 28 speed steps, and how it runs between them. */
export interface CurveShape {
  /** The value at step 1: a drive level, 0-255, or a speed in m/s. */
  readonly start: number;
  /** The value at step 28; not below `start`. */
  readonly top: number;
  /** The value at the middle step; when it is left out, the shape alone decides. */
  readonly mid?: number;
  /** Which step is the middle one, above 1 and below 28. Default 14 (S-9.2.2 (July 2012), CV 25). */
  readonly midStep?: number;
  /**
   * - `"linear"` (default): straight from start to top, or from start to mid to top.
   * - `"power"`: the step's fraction raised to `gamma`; above 1, finer control when slow.
   * - `"s-shaped"`: gentle at both ends, steep in the middle.
   * - `"smooth"`: through start, `points`, mid and top, without corners and never overshooting
   *   (monotone cubic).
   */
  readonly shape?: "linear" | "power" | "s-shaped" | "smooth";
  /** For `"power"`, 0.2-5, default 1.5; not together with `mid`, which decides it. */
  readonly gamma?: number;
  /** For `"s-shaped"`, 1 (straight) to 5, default 2. */
  readonly steepness?: number;
  /** For `"smooth"`: more points to go through, in any order, steps above 1 and below 28, none twice. */
  readonly points?: readonly { readonly step: number; readonly value: number }[];
}

type CurvePoint = NonNullable<CurveShape["points"]>[number];

export const shapes = ["linear", "power", "s-shaped", "smooth"] as const;
const gammaLimits: Limits = { min: 0.2, max: 5 };
const steepnessLimits: Limits = { min: 1, max: 5 };
export const belowStart = /* @__PURE__ */ fault(
  "below-start",
  "expected a value that is not below the start, {start}, got {found}",
);
const lastMidStep = /* @__PURE__ */ fault("mid-step", "expected a step below {last}, got {found}");
const outsideEnds = /* @__PURE__ */ fault(
  "outside-ends",
  "expected a value from the start to the top, {start} to {top}, got {found}",
);
const notBetweenEnds = /* @__PURE__ */ fault(
  "not-between-ends",
  "expected a value above the start, {start}, and below the top, {top}, for this shape, got {found}",
);
const otherShape = /* @__PURE__ */ fault(
  "other-shape",
  "this option is for the shape {shape} only; leave it out, or choose that shape",
);
const gammaFromMid = /* @__PURE__ */ fault("gamma-and-mid", "mid decides the gamma; give one of the two");
const sameStep = /* @__PURE__ */ fault(
  "same-step",
  "expected another step than that of {other:text}, got {found}",
);
const belowEarlier = /* @__PURE__ */ fault(
  "below-earlier",
  "expected a value that is not below {value}, the value of {other:text}, an earlier step; got {found}",
);

const allSteps: readonly number[] = /* @__PURE__ */ Array.from({ length: tableSteps }, (_, i) => i + 1);

/** The 28 values of a shape, not rounded; notes what is wrong with it, and then gives nothing. */
export function shapeValues(given: CurveShape, limits: Limits, problems: Problems): number[] | undefined {
  const { start, top, mid, midStep = 14, shape = "linear" } = given;
  const ends = [problems.number("start", start, limits), problems.number("top", top, limits)];
  if (!ends.includes(false) && top < start) problems.add(belowStart({ found: top, start }, { path: "top" }));
  if (
    problems.number("midStep", midStep, { min: 1, max: tableSteps, above: true }) &&
    midStep === tableSteps
  ) {
    problems.add(lastMidStep({ found: midStep, last: tableSteps }, { path: "midStep" }));
  }
  if (mid !== undefined && problems.number("mid", mid, limits) && (mid < start || mid > top)) {
    problems.add(outsideEnds({ found: mid, start, top }, { path: "mid" }));
  }
  problems.option("shape", shapes, shape);
  const curved = shape === "power" || shape === "s-shaped";
  if (curved && mid !== undefined && top > start && (mid <= start || mid >= top)) {
    problems.add(notBetweenEnds({ found: mid, start, top }, { path: "mid" }));
  }
  checkOwn(given, shape, problems);
  const points = shape === "smooth" ? smoothPoints(given, midStep, limits, problems) : [];
  if (problems.some) return undefined;
  if (shape === "linear") {
    if (mid === undefined) return allSteps.map((step) => straight(step, 1, start, tableSteps, top));
    return allSteps.map((step) =>
      step <= midStep
        ? straight(step, 1, start, midStep, mid)
        : straight(step, midStep, mid, tableSteps, top),
    );
  }
  if (shape === "smooth") {
    return monotoneCubic(
      points.map((point) => point.step),
      points.map((point) => point.value),
      allSteps,
    );
  }
  const rise = top - start;
  const bend = mid === undefined || rise === 0 ? undefined : (mid - start) / rise;
  const midFraction = (midStep - 1) / (tableSteps - 1);
  const curve =
    shape === "power"
      ? power(bend === undefined ? (given.gamma ?? 1.5) : Math.log(bend) / Math.log(midFraction))
      : sigmoid(given.steepness ?? 2, bend, midFraction);
  return allSteps.map((step) => start + rise * curve((step - 1) / (tableSteps - 1)));
}

/** The value at `x` of the straight line through two points. */
export function straight(x: number, x0: number, y0: number, x1: number, y1: number): number {
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

function power(gamma: number): (fraction: number) => number {
  return (fraction) => fraction ** gamma;
}

// t^k / (t^k + (1-t)^k): 0 to 1, and for k above 1 flat at both ends. To bend it through a given point,
// t is first raised to the power that takes the middle step to where the curve has that value.
function sigmoid(k: number, bend: number | undefined, midFraction: number): (fraction: number) => number {
  let warp = 1;
  if (bend !== undefined) {
    const place = bend ** (1 / k) / (bend ** (1 / k) + (1 - bend) ** (1 / k));
    warp = Math.log(place) / Math.log(midFraction);
  }
  return (fraction) => {
    const t = fraction ** warp;
    return t ** k / (t ** k + (1 - t) ** k);
  };
}

function checkOwn(given: CurveShape, shape: CurveShape["shape"] & string, problems: Problems): void {
  const { gamma, steepness, points, mid } = given;
  const own = { gamma: "power", steepness: "s-shaped", points: "smooth" };
  for (const [option, owner] of Object.entries(own)) {
    if (given[option as keyof typeof own] !== undefined && shape !== owner && shapes.includes(shape)) {
      problems.add(otherShape({ shape: owner }, { path: option }));
    }
  }
  if (gamma !== undefined) problems.number("gamma", gamma, gammaLimits);
  if (gamma !== undefined && mid !== undefined && shape === "power") {
    problems.add(gammaFromMid({}, { path: "gamma" }));
  }
  if (steepness !== undefined) problems.number("steepness", steepness, steepnessLimits);
  if (points !== undefined && !Array.isArray(points)) {
    problems.add(notAList({ found: points }, { path: "points" }));
  }
}

/** The points of a smooth curve with its ends and its middle, in order of steps. */
function smoothPoints(given: CurveShape, midStep: number, limits: Limits, problems: Problems): CurvePoint[] {
  const { start, top, mid } = given;
  const points = Array.isArray(given.points) ? (given.points as readonly CurvePoint[]) : [];
  const inner: { point: CurvePoint; path: string }[] = points.map((point, i) => ({
    point,
    path: `points.${i}`,
  }));
  if (mid !== undefined) inner.push({ point: { step: midStep, value: mid }, path: "mid" });
  const good = inner.filter(({ point, path }) => {
    if (typeof point !== "object" || point === null) {
      problems.add(notAnObject({ found: point }, { path }));
      return false;
    }
    const step = problems.number(`${path}.step`, point.step, { min: 1, max: tableSteps });
    return problems.number(`${path}.value`, point.value, limits) && step;
  });
  const ends = { first: { step: 1, value: start }, last: { step: tableSteps, value: top } };
  const sorted = [
    { point: ends.first, path: "start" },
    ...good.sort((a, b) => a.point.step - b.point.step),
    { point: ends.last, path: "top" },
  ];
  for (let i = 1; i < sorted.length; i++) {
    const { point: a, path: pathA } = sorted[i - 1] as (typeof sorted)[number];
    const { point: b, path } = sorted[i] as (typeof sorted)[number];
    if (a.step === b.step) {
      problems.add(sameStep({ found: b.step, other: pathA }, { path: `${path}.step` }));
    } else if (b.value < a.value && path !== "mid" && pathA !== "mid" && inner.length) {
      problems.add(belowEarlier({ found: b.value, value: a.value, other: pathA }, { path: `${path}.value` }));
    }
  }
  return sorted.map(({ point }) => point);
}

// They cannot be compared with numbers, as everything else can.
const noSymbol = /* @__PURE__ */ fitting((value) => typeof value !== "symbol", notANumber);
/** A shape without symbols for numbers. */
export const noSymbols = /* @__PURE__ */ objectOf({ start: noSymbol, top: noSymbol });
