import { CvError, type CvSet } from "../cv/index.js";
import { levelLimits, Problems } from "./problems.js";
import { straight, tableSteps } from "./shape.js";

/** How many speed steps the command station sends: 14, 28 or 128 (S-9.2, S-9.2.1). */
export type StepMode = 14 | 28 | 128;

/** A direction of travel. */
export type Direction = "forward" | "reverse";

/** What a decoder is set to, as far as it decides the drive level of each speed step. */
export interface DriveSettings {
  /** The three-point curve of CV 2, 6 and 5, or the table of CV 67-94 (S-9.2.2, CV 29 bit 4). */
  readonly curve: "three-point" | "table";
  /** Vstart, CV 2, 0-255: the level of step 1. Default 0. Three-point curve only. */
  readonly start?: number;
  /** Vmid, CV 6, 0-255: the level of the middle step; 0, 1 or left out: no middle point. */
  readonly mid?: number;
  /** Vhigh, CV 5, 0-255: the level of the top step; 0, 1 or left out: all that there is, 255. */
  readonly top?: number;
  /**
   * CV 25, 0-255. 128-153: Vmid applies at 28-step position 1-26; 2-127: a factory speed table of the
   * maker's, of which only 2, straight, is known; else position 14.
   */
  readonly midRange?: number;
  /** CV 67-94: 28 levels, 0-255. Needed for `curve: "table"`. */
  readonly table?: readonly number[];
  /** CV 66, 0-255: forward levels are multiplied by n/128; 0 or left out: no trim. */
  readonly forwardTrim?: number;
  /** CV 95, 0-255: the same for reverse. */
  readonly reverseTrim?: number;
  /**
   * Whether the trims work on the three-point curve too. CV 29 bit 4 counts CV 66 and 95 to the
   * table, while their own text speaks of the drive level in general; default false.
   */
  readonly trimThreePoint?: boolean;
  /** CV 65, 0-255: levels added on the way from stop to step 1. */
  readonly kick?: number;
}

/** The level of every step, and what had to be said about it. */
export interface DriveLevels {
  /** The drive level of step 1 and up, 0-255 and not rounded: 14, 28 or 126 of them. */
  readonly levels: readonly number[];
  /** The steps whose level would have passed 255, and stays there. */
  readonly clamped: readonly number[];
  /** The level at step 1 for the moment of starting from stop, with the kick of CV 65. */
  readonly startingLevel: number;
  /** What is unusual or not settled by the standard here, one sentence each. */
  readonly notes: readonly string[];
}

const clause = "S-9.2.2 (July 2012)";

/**
 * How many speed steps there are above stop: 14, 28, or 126 in 128-step mode, where 0 and 1 are stop and
 * emergency stop (S-9.2.1).
 * @param mode 14, 28 or 128.
 * @throws `CvError` for any other mode.
 * @example
 * import { stepCount } from "cvset/motion";
 * stepCount(128); // 126
 */
/* @__NO_SIDE_EFFECTS__ */
export function stepCount(mode: StepMode): 14 | 28 | 126 {
  if (mode === 14 || mode === 28) return mode;
  if (mode === 128) return 126;
  throw new CvError([{ code: "option", path: "steps", expected: "14, 28 or 128", found: mode }]);
}

/**
 * Where a speed step lies on the scale of the 28 entries of CV 67-94, 1-28.
 *
 * The standard defines the entries for 28 steps and leaves it open how the other modes read them; this
 * is a reading, and a decoder may differ. 14 steps: step n uses entry 2n, as CV 25 halves its position
 * in that mode. 128 steps: step 1 is entry 1, step 126 is entry 28, and the steps between are spread
 * evenly, so step n lies at 1 + (n - 1) * 27 / 125; between two entries the level runs straight.
 * @param step The speed step: 1-14, 1-28 or 1-126; it need not be whole.
 * @param mode 14, 28 or 128.
 * @throws `CvError` for a step outside the mode.
 * @example
 * import { tablePosition } from "cvset/motion";
 * tablePosition(126, 128); // 28
 * tablePosition(7, 14); // 14
 */
/* @__NO_SIDE_EFFECTS__ */
export function tablePosition(step: number, mode: StepMode): number {
  const problems = new Problems();
  problems.number("step", step, { min: 1, max: stepCount(mode) });
  problems.throwIfAny();
  return position(step, mode);
}

function position(step: number, mode: StepMode): number {
  return mode === 28 ? step : mode === 14 ? 2 * step : 1 + ((step - 1) * 27) / 125;
}

/**
 * The drive level that every speed step gives, n/255 of the available voltage (S-9.2.2: CV 2, 5, 6, 25,
 * 29 bit 4, 65-95).
 *
 * In 128-step mode the 28 entries of the table are interpolated in straight lines, and the middle point
 * of the three-point curve keeps its place in proportion; see {@link tablePosition} for what the
 * standard leaves open. In 14-step mode the middle position is halved (CV 25) and not rounded. The kick
 * of CV 65 is taken as a number of levels; the standard does not name its unit.
 * @param settings What the decoder is set to.
 * @param options `steps`: 14, 28 (default) or 128; `direction`: default `"forward"`.
 * @throws `CvError` with everything that is wrong in the settings.
 * @example
 * import { driveLevels } from "cvset/motion";
 * const { levels } = driveLevels({ curve: "three-point", start: 10, mid: 80, top: 200 });
 * [levels[0], levels[13], levels[27]]; // [10, 80, 200]
 */
/* @__NO_SIDE_EFFECTS__ */
export function driveLevels(
  settings: DriveSettings,
  options: { readonly steps?: StepMode; readonly direction?: Direction } = {},
): DriveLevels {
  const { steps: mode = 28, direction = "forward" } = options;
  const count = stepCount(mode);
  checkSettings(settings, direction);
  const notes: string[] = [];
  const raw =
    settings.curve === "table"
      ? tableLevels(settings.table as readonly number[], mode, count, notes)
      : threePointLevels(settings, mode, count, notes);
  const { forwardTrim = 0, reverseTrim = 0, kick = 0, trimThreePoint = false } = settings;
  let trim = direction === "forward" ? forwardTrim : reverseTrim;
  if (trim !== 0 && settings.curve === "three-point" && !trimThreePoint) {
    notes.push(
      `the ${direction} trim is left out: CV 29 bit 4 counts CV 66 and CV 95 to the speed table, which is off`,
    );
    trim = 0;
  }
  const clamped: number[] = [];
  const levels = raw.map((level, i) => {
    const trimmed = trim === 0 ? level : (level * trim) / 128;
    if (trimmed > 255) clamped.push(i + 1);
    return Math.min(trimmed, 255);
  });
  if (clamped.length) {
    notes.push(`the ${direction} trim takes ${clamped.length} of ${count} steps past 255, where they stay`);
  }
  return { levels, clamped, startingLevel: Math.min((levels[0] as number) + kick, 255), notes };
}

function tableLevels(table: readonly number[], mode: StepMode, count: number, notes: string[]): number[] {
  if (mode !== 28) notes.push(`the standard does not say how ${mode} steps read the 28 entries of CV 67-94`);
  return Array.from({ length: count }, (_, i) => {
    const place = position(i + 1, mode);
    const entry = Math.min(Math.floor(place), tableSteps - 1);
    return straight(place, entry, table[entry - 1] as number, entry + 1, table[entry] as number);
  });
}

function threePointLevels(
  { start = 0, mid = 0, top = 0, midRange = 0 }: DriveSettings,
  mode: StepMode,
  count: number,
  notes: string[],
): number[] {
  // CV 5 or CV 6 = 0 or 1: not used in the curve.
  const last = top < 2 ? 255 : top;
  const place = midPosition(midRange, notes);
  const straightTable = midRange === 2;
  const scaled = mode === 14 ? place / 2 : place;
  const axis = (step: number): number => (mode === 128 ? position(step, mode) : step);
  const end = mode === 14 ? 14 : tableSteps;
  if (last < start || (mid >= 2 && !straightTable && (mid < start || mid > last))) {
    notes.push("the curve falls somewhere: a faster step does not always get a higher level");
  }
  return Array.from({ length: count }, (_, i) => {
    const x = axis(i + 1);
    if (i === 0) return start;
    if (mid < 2 || straightTable) return straight(x, 1, start, end, last);
    // A middle at step 1 or below leaves Vstart for step 1 alone.
    return x <= scaled ? straight(x, 1, start, scaled, mid) : straight(x, scaled, mid, end, last);
  });
}

/** The 28-step position that CV 25 gives to Vmid. */
function midPosition(midRange: number, notes: string[]): number {
  if (midRange === 2) notes.push("CV 25 = 2 asks for the straight curve: CV 6 is left out");
  else if (midRange > 2 && midRange < 128) {
    notes.push(`CV 25 = ${midRange} asks for a factory speed table, which only its maker knows`);
  }
  // The standard prints 128-154 for the positions 1-26: one value more than positions. As 154 - 127
  // is 27, beyond the last position that it names, 154 is out of range here.
  if (midRange === 154) notes.push("CV 25 = 154 stands for no position from 1 to 26; step 14 is used");
  return midRange >= 128 && midRange <= 153 ? midRange - 127 : 14;
}

function checkSettings(settings: DriveSettings, direction: Direction): void {
  const problems = new Problems();
  const { curve, table } = settings;
  if (curve !== "three-point" && curve !== "table") {
    problems.option("curve", ["three-point", "table"], curve);
  }
  if (direction !== "forward" && direction !== "reverse") {
    problems.option("direction", ["forward", "reverse"], direction);
  }
  for (const name of ["start", "mid", "top", "midRange", "forwardTrim", "reverseTrim", "kick"] as const) {
    const value = settings[name];
    if (value !== undefined) problems.number(name, value, levelLimits, clause);
  }
  if (table !== undefined || curve === "table") {
    problems.numbers("table", table, levelLimits, [tableSteps]);
  }
  problems.throwIfAny();
}

/**
 * The drive settings that a CV set holds: CV 2, 5, 6, 25, 29 and 65-95.
 * @param cvs A CV set. CV 29 must be there, and the CVs of the curve that it chooses: CV 2, or CV 67-94.
 * The optional ones that the set does not hold are left out.
 * @throws `CvError` naming the CVs that are missing.
 * @example
 * import { CvSet } from "cvset";
 * import { driveSettings } from "cvset/motion";
 * driveSettings(CvSet.from({ 2: 5, 5: 200, 29: 2 })); // { curve: "three-point", start: 5, top: 200 }
 */
/* @__NO_SIDE_EFFECTS__ */
export function driveSettings(cvs: CvSet): DriveSettings {
  const choice = cvs.get(29);
  const inTable = choice !== undefined && (choice & 16) !== 0;
  const needed = [29, ...(inTable ? tableCvs : choice === undefined ? [] : [2])];
  const missing = needed.filter((cv) => !cvs.has(cv));
  if (missing.length) {
    throw new CvError(
      missing.map((cv) => ({
        code: "missing",
        path: "",
        places: [{ cv: String(cv), mask: 255 }],
        expected: "a byte",
        clause: `${clause}, CV ${cv}`,
      })),
    );
  }
  const pick = (name: string, cv: number) => (cvs.has(cv) ? { [name]: cvs.get(cv) as number } : {});
  const whole = tableCvs.every((cv) => cvs.has(cv));
  return {
    curve: inTable ? "table" : "three-point",
    ...pick("start", 2),
    ...pick("mid", 6),
    ...pick("top", 5),
    ...pick("midRange", 25),
    ...(whole ? { table: tableCvs.map((cv) => cvs.get(cv) as number) } : {}),
    ...pick("forwardTrim", 66),
    ...pick("reverseTrim", 95),
    ...pick("kick", 65),
  };
}

const tableCvs: readonly number[] = /* @__PURE__ */ Array.from({ length: tableSteps }, (_, i) => 67 + i);
