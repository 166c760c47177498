import { need, oneOf } from "../cv/argument.js";
import type { CvsLike } from "../cv/cvset.js";
import { type KnownCvs, knownOf } from "./address.js";

/** The CVs of the speed table, steps 1-28 (S-9.2.2 (July 2012), CV 67-94). */
export const speedTableCvs: readonly number[] = /* @__PURE__ */ Array.from({ length: 28 }, (_, i) => 67 + i);

/** The CVs that a speed curve is made of, in CV order (S-9.2.2 (July 2012), CV 2, 5, 6, 25, 66-95). */
export const curveCvs: readonly number[] = /* @__PURE__ */ [2, 5, 6, 25, 66].concat(speedTableCvs, 95);

/** The largest drive level: all of the available voltage. */
const fullLevel = 255;

/**
 * The step of 28 at which Vmid applies: 1-27 for CV 25 = 128-154; else 14. With 2 the curve is a straight
 * line without Vmid, and 3-127 pick a table of the decoder's own: undefined.
 *
 * The standard prints 128-154 for the positions 1-26, one value more than positions: value - 127 is the
 * reading taken here, so that 154 is step 27. See `motor.speedTableOrMidStep`.
 *
 * S-9.2.2 (July 2012), CV 25.
 */
export function midStepOf(cv25: number): number | undefined {
  if (cv25 >= 2 && cv25 <= 127) return undefined;
  return cv25 >= 128 && cv25 <= 154 ? cv25 - 127 : 14;
}

/** A curve through three points, on an axis of speed steps that starts at 1. */
export interface ThreePointCurve {
  /** The level at step 1, CV 2. */
  readonly start: number;
  /** The level at the middle step, CV 6; 0 and 1 are not used in the curve. */
  readonly mid: number;
  /** The level at the top step, CV 5; 0 and 1 are not used in the curve: 255. */
  readonly high: number;
  /** The middle step on the axis, such as 14 of 28; undefined for a straight line. */
  readonly midStep: number | undefined;
  /** The top step on the axis, such as 28. */
  readonly topStep: number;
}

/**
 * The drive level of a three-point curve at a speed step, 0-255, not rounded. Between two points the level
 * runs straight; the standard leaves that open. A middle at step 1 or below leaves Vstart at step 1.
 *
 * S-9.2.2 (July 2012), CV 2, 5 and 6.
 */
export function threePointLevel(
  step: number,
  { start, mid, high, midStep, topStep }: ThreePointCurve,
): number {
  const top = isUsed(high) ? high : fullLevel;
  if (step <= 1) return start;
  if (midStep === undefined || !isUsed(mid)) return between(step, 1, start, topStep, top);
  return step <= midStep ? between(step, 1, start, midStep, mid) : between(step, midStep, mid, topStep, top);
}

/** Whether CV 5 or CV 6 is used in the curve: 2-255 (S-9.2.2 (July 2012), CV 5 and 6). */
export function isUsed(level: number): boolean {
  return level >= 2;
}

/** The line through two points, at x. */
function between(x: number, x0: number, y0: number, x1: number, y1: number): number {
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/**
 * A drive level with the trim of CV 66 or 95: times trim/128; 0 is no trim. More than 255 is possible; the
 * decoder gives 255 then.
 *
 * S-9.2.2 (July 2012), CV 66 and 95.
 */
export function trimmedLevel(level: number, trim: number): number {
  return trim === 0 ? level : (level * trim) / 128;
}

/** The kind of speed curve: CV 29 bit 4 (S-9.2.2 (July 2012), CV 29); undefined when CV 29 is not known. */
export function curveKindOf(cvs: KnownCvs): "three-point" | "table" | undefined {
  const configuration = cvs.get(29);
  return configuration === undefined ? undefined : configuration & 16 ? "table" : "three-point";
}

const aDirection = /* @__PURE__ */ oneOf("forward", "reverse");

/**
 * The drive levels of speed steps 1-28: CV 29 bit 4 chooses the speed table with its trim (CV 66-95) or the
 * three points (CV 2, 6, 5, 25). The trims are taken to belong to the table, and a level above 255 to be cut off: the standard
 * leaves both open.
 *
 * S-9.2.2 (July 2012), CV 2, 5, 6, 25, 29 bit 4, 66-95.
 * @param cvs The CVs, as far as they are known. CV 5, 6, 25, 66 and 95 that are not known count as not
 * used.
 * @param direction The direction of travel: CV 66 is the trim for forward, CV 95 for reverse.
 * @returns 28 levels, 0-255, not rounded; undefined when CV 29, CV 2 or a CV of the table is not known, or
 * CV 25 picks a table of the decoder's own.
 * @example
 * import { CvSet } from "cvset";
 * import { curveInUse } from "cvset/standard";
 * const levels = curveInUse(CvSet.from({ 2: 10, 5: 200, 6: 80, 29: 2 }));
 * [levels?.[0], levels?.[13], levels?.[27]]; // [10, 80, 200]
 */
export function curveInUse(
  cvs: KnownCvs | CvsLike,
  direction: "forward" | "reverse" = "forward",
): readonly number[] | undefined {
  const known = knownOf(cvs);
  need(aDirection, direction, "direction");
  const kind = curveKindOf(known);
  if (kind === undefined) return undefined;
  if (kind === "table") {
    const trim = known.get(direction === "forward" ? 66 : 95) ?? 0;
    return speedTableOf(known)?.map((level) => Math.min(fullLevel, trimmedLevel(level, trim)));
  }
  const start = known.get(2);
  const cv25 = known.get(25) ?? 0;
  if (start === undefined || (cv25 > 2 && cv25 < 128)) return undefined;
  const points = {
    start,
    mid: known.get(6) ?? 0,
    high: known.get(5) ?? 0,
    midStep: midStepOf(cv25),
    topStep: 28,
  };
  return speedTableCvs.map((_, i) => threePointLevel(i + 1, points));
}

/** The 28 levels of the speed table, CV 67-94, in use or not; undefined when one of them is not known. */
export function speedTableOf(cvs: KnownCvs): readonly number[] | undefined {
  const levels: number[] = [];
  for (const cv of speedTableCvs) {
    const level = cvs.get(cv);
    if (level === undefined) return undefined;
    levels.push(level);
  }
  return levels;
}
