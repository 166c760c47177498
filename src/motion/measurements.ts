import { CvError, type Issue, nearestNames, type Result } from "../cv/index.js";
import { under } from "../cv/issue.js";
import { type Direction, type DriveSettings, driveLevels, type StepMode } from "./drive.js";
import type { MeasuredLocomotive } from "./match.js";
import {
  distanceLimits,
  type Limits,
  levelLimits,
  Problems,
  secondsLimits,
  speedLimits,
} from "./problems.js";
import { estimateResponse, type SpeedSample } from "./response.js";
import { badScale, tryScaleRatio } from "./scale.js";
import { tableSteps } from "./shape.js";
import { agreement } from "./timing.js";
import { centimetres, feet, inches, kmh, mph } from "./units.js";

/** What holds for every measurement that does not say otherwise. */
export interface MeasurementDefaults {
  /** The name of the locomotive. Default `"locomotive"`. */
  readonly locomotive?: string;
  /** The scale, see {@link scaleRatio}. */
  readonly scale?: string | number;
  /** The measured length of track, m. */
  readonly distance?: number;
  /** What the decoder was set to while timing; needed when runs are given by speed step. */
  readonly drive?: DriveSettings;
  /** The step mode of the throttle while timing. Default 28. */
  readonly steps?: StepMode;
}

/** Several timings of one locomotive at one level and direction. */
export interface RepeatedRun {
  readonly direction: Direction;
  /** The drive level, 0-255. */
  readonly level: number;
  /** How many timings there are. */
  readonly count: number;
  /** Their median, as a full-size speed in m/s. */
  readonly speed: number;
  /** Their median distance from it, as a part of it: 0.01 is 1 %. */
  readonly spread: number;
  /** How many lie far off; a slip of the thumb, perhaps. */
  readonly outliers: number;
}

/** The measurements of one locomotive. */
export interface TimedLocomotive {
  readonly name: string;
  readonly forward: readonly SpeedSample[];
  readonly reverse: readonly SpeedSample[];
  /** Where one level was timed more than once, how well the timings agree. */
  readonly repeated: readonly RepeatedRun[];
  /** The forward drive levels of its 28 steps while it was timed, when they are known. */
  readonly present?: readonly number[];
}

/** The units that a length of track may be given in, and how they become metres. */
const lengths = {
  mm: (value: number) => value / 1000,
  cm: centimetres,
  m: (value: number) => value,
  inches,
  feet,
};
const speeds = { mph, kmh };
const rowFields = ["locomotive", "direction", "level", "step", "seconds", "mph", "kmh"];
const sharedFields = ["scale", "mm", "cm", "m", "inches", "feet"];
/** Every field that a measurement may have. `note` is there for people, and is not read. */
export const measurementFields: readonly string[] = [...rowFields, ...sharedFields, "note"];
/** A time that says that the locomotive did not move at this level. */
const standing = "stands";

type Row = Readonly<Record<string, unknown>>;

/**
 * Timed runs from JSON data: a list of runs, or an object with the list as `runs` and, beside it, what
 * holds for all of them.
 *
 * A run has `level` (0-255) or `step`; and how fast: `seconds` (a number, a list of repeated timings, or
 * `"stands"` when it did not move) with a length of track (`mm`, `cm`, `m`, `inches` or `feet`) and a
 * `scale`; or a scale speed, `mph` or `kmh`. It may have `locomotive`, `direction` (`"forward"` unless it says
 * `"reverse"`) and `note`, which is not read. Beside `runs` may stand `locomotive`, `scale`, a length, `steps`
 * (14, 28 or 128) and `table` (28 drive levels), the speed table in use while timing.
 * @param json Anything; it is checked in full.
 * @param defaults What holds where the data say nothing.
 * @returns The locomotives in the order of their first run, or everything that is wrong.
 * @example
 * import { readMeasurements } from "cvset/motion";
 * const result = readMeasurements({
 *   scale: "O", cm: 200, locomotive: "No. 9",
 *   runs: [{ level: 20, seconds: "stands" }, { level: 60, seconds: [32, 31.5, 32.2] }],
 * });
 * result.ok && result.value[0]?.forward.map(({ level, speed }) => [level, Math.round(speed * 100) / 100]);
 * // [[20, 0], [60, 3], [60, 3.05], [60, 2.98]]
 */
/* @__NO_SIDE_EFFECTS__ */
export function readMeasurements(
  json: unknown,
  defaults: MeasurementDefaults = {},
): Result<readonly TimedLocomotive[]> {
  const problems = new Problems();
  let rows = json;
  let shared: Row = {};
  if (isObject(json) && !Array.isArray(json)) {
    const { runs, ...rest } = json;
    rows = runs;
    shared = rest;
    unknownFields(
      Object.keys(rest),
      ["locomotive", ...sharedFields, "steps", "table", "note"],
      (f) => f,
      problems,
    );
  }
  if (!Array.isArray(rows)) {
    const expected = 'a list of runs, or an object with such a list as "runs"';
    return { ok: false, issues: [{ code: "type", path: "", expected, found: json }] };
  }
  const prefix = Object.is(rows, json) ? "" : "runs.";
  const read = new Reader(defaults, shared, problems);
  rows.forEach((row: unknown, i) => {
    const at = (field: string): string => `${prefix}${i}${field && `.${field}`}`;
    if (!isObject(row) || Array.isArray(row)) {
      problems.issues.push({ code: "type", path: at(""), expected: "a run, an object", found: row });
      return;
    }
    unknownFields(Object.keys(row), measurementFields, at, problems);
    read.add(row, at);
  });
  return read.result();
}

/** Reads runs one by one into locomotives. */
export class Reader {
  readonly #problems: Problems;
  readonly #levels: Partial<Record<Direction, readonly number[]>> = {};
  readonly #present: readonly number[] | undefined;
  readonly #name: string;
  readonly #hasScale: boolean;
  /** Undefined also when the scale for all runs is bad, which is complained about once, not for each run. */
  readonly #sharedRatio: number | undefined;
  readonly #distance: number | undefined;
  readonly #locomotives = new Map<string, { forward: SpeedSample[]; reverse: SpeedSample[] }>();

  /**
   * @param shared Fields that stand beside the list of runs.
   */
  constructor(defaults: MeasurementDefaults, shared: Row, problems: Problems) {
    this.#problems = problems;
    this.#name = this.#text("locomotive", shared["locomotive"] ?? defaults.locomotive ?? "locomotive");
    const scale = shared["scale"] ?? defaults.scale;
    this.#hasScale = scale !== undefined;
    this.#sharedRatio = this.#ratio("scale", scale);
    const own = this.#length(shared, (field) => field);
    if (defaults.distance !== undefined) problems.number("distance", defaults.distance, distanceLimits);
    this.#distance = own ?? defaults.distance;
    const steps = shared["steps"] ?? defaults.steps ?? 28;
    const table = shared["table"];
    if (steps !== 14 && steps !== 28 && steps !== 128) {
      problems.issues.push({ code: "option", path: "steps", expected: "14, 28 or 128", found: steps });
      return;
    }
    if (table !== undefined && !problems.numbers("table", table, levelLimits, [tableSteps])) return;
    const drive: DriveSettings | undefined =
      table === undefined ? defaults.drive : { curve: "table", table: table as readonly number[] };
    if (!drive) return;
    try {
      for (const direction of ["forward", "reverse"] as const) {
        this.#levels[direction] = driveLevels(drive, { steps, direction }).levels;
      }
      this.#present = driveLevels(drive).levels;
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      problems.issues.push(...under("drive", error.issues));
    }
  }

  /**
   * Reads one run.
   * @param at The path of a field of the run, for messages.
   */
  add(row: Row, at: (field: string) => string): void {
    const name = this.#text(at("locomotive"), row["locomotive"] ?? this.#name);
    const direction = row["direction"] ?? "forward";
    const known = direction === "forward" || direction === "reverse";
    if (!known) this.#problems.option(at("direction"), ["forward", "reverse"], direction);
    const level = this.#level(row, known ? direction : "forward", at);
    const found = this.#speeds(row, at);
    if (!known || level === undefined || !found) return;
    let locomotive = this.#locomotives.get(name);
    if (!locomotive) {
      locomotive = { forward: [], reverse: [] };
      this.#locomotives.set(name, locomotive);
    }
    for (const speed of found) locomotive[direction].push({ level, speed });
  }

  /** The locomotives, or everything that is wrong. */
  result(): Result<readonly TimedLocomotive[]> {
    const { issues } = this.#problems;
    if (!issues.length && this.#locomotives.size === 0) {
      issues.push({ code: "content", path: "", expected: "needs one run or more; there is none" });
    }
    if (issues.length) return { ok: false, issues };
    const present = this.#present && { present: this.#present };
    const value = [...this.#locomotives].map(([name, { forward, reverse }]) => ({
      name,
      forward,
      reverse,
      repeated: [...repeatedRuns("forward", forward), ...repeatedRuns("reverse", reverse)],
      ...present,
    }));
    return { ok: true, value };
  }

  #text(path: string, value: unknown): string {
    if (typeof value === "string" && value.trim() !== "") return value;
    this.#problems.issues.push({ code: "type", path, expected: "a name", found: value });
    return "";
  }

  #level(row: Row, direction: Direction, at: (field: string) => string): number | undefined {
    const { level, step } = row;
    if ((level === undefined) === (step === undefined)) {
      this.#problems.content(at(""), `needs a level or a step${level === undefined ? "" : ", not both"}`);
      return undefined;
    }
    if (level !== undefined) {
      return this.#problems.number(at("level"), level, levelLimits) ? level : undefined;
    }
    const levels = this.#levels[direction];
    if (!levels) {
      const text =
        "needs the speed table that was in use while timing; give that, or levels instead of steps";
      this.#problems.content(at("step"), text);
      return undefined;
    }
    const limits: Limits = { min: 1, max: levels.length, whole: true };
    return this.#problems.number(at("step"), step, limits) ? levels[step - 1] : undefined;
  }

  #speeds(row: Row, at: (field: string) => string): number[] | undefined {
    const given = ["seconds", "mph", "kmh"].filter((field) => row[field] !== undefined);
    if (given.length !== 1) {
      const text = given.length ? `not ${given.join(" and ")} together` : "one of the three";
      this.#problems.content(at(""), `needs seconds, mph or kmh, ${text}`);
      return undefined;
    }
    const field = given[0] as "seconds" | keyof typeof speeds;
    const value = row[field];
    if (field !== "seconds") {
      const speed = typeof value === "number" ? speeds[field](value) : Number.NaN;
      const unit = { ...speedLimits, max: 1000, unit: field };
      return this.#problems.number(at(field), value, unit) ? [speed] : undefined;
    }
    const times = Array.isArray(value) ? (value as readonly unknown[]) : [value];
    if (times.length === 0) {
      this.#problems.content(at(field), "needs one timing or more; there is none");
      return undefined;
    }
    const before = this.#problems.issues.length;
    const stands = times.map((time) => time === standing);
    times.forEach((time, i) => {
      const path = Array.isArray(value) ? `${at(field)}.${i}` : at(field);
      if (typeof time !== "number" && time !== standing) {
        const expected = `a number of seconds, or "${standing}"`;
        this.#problems.issues.push({ code: "type", path, expected, found: time });
      } else if (time !== standing) this.#problems.number(path, time, secondsLimits);
    });
    if (stands.includes(true) && this.#problems.issues.length === before && stands.every(Boolean)) {
      return times.map(() => 0);
    }
    const distance = this.#length(row, at) ?? this.#distance;
    const { scale } = row;
    const ratio = scale === undefined ? this.#sharedRatio : this.#ratio(at("scale"), scale);
    const missing = [
      ...(distance === undefined ? ["a length of track (mm, cm, m, inches or feet)"] : []),
      ...(scale === undefined && !this.#hasScale ? ["a scale"] : []),
    ];
    if (missing.length && this.#problems.issues.length === before) {
      this.#problems.content(at(field), `needs ${missing.join(" and ")} beside it, to become a speed`);
    }
    if (this.#problems.issues.length > before || distance === undefined || ratio === undefined) {
      return undefined;
    }
    return times.map((time) => (time === standing ? 0 : (distance / (time as number)) * ratio));
  }

  /** The length of track, m, from whichever unit is given. */
  #length(row: Row, at: (field: string) => string): number | undefined {
    const given = Object.keys(lengths).filter((unit) => row[unit] !== undefined);
    const [unit, another] = given as (keyof typeof lengths)[];
    if (unit === undefined) return undefined;
    if (another !== undefined) {
      this.#problems.content(at(another), `gives the length once more, beside ${unit}; give it once`);
      return undefined;
    }
    const value = row[unit];
    const good = this.#problems.number(at(unit), value, { ...distanceLimits, unit });
    return good ? lengths[unit](value) : undefined;
  }

  #ratio(path: string, scale: unknown): number | undefined {
    if (scale === undefined) return undefined;
    const ratio = tryScaleRatio(scale);
    if (ratio === undefined) this.#problems.issues.push(badScale(path, scale));
    return ratio;
  }
}

/** Notes every field that is not one of the allowed ones. */
export function unknownFields(
  fields: readonly string[],
  allowed: readonly string[],
  at: (field: string) => string,
  problems: Problems,
): void {
  for (const field of fields) {
    if (allowed.includes(field)) continue;
    const issue: Issue = { code: "name", path: at(field), expected: allowed.join(", ") };
    problems.issues.push({ ...issue, nearest: nearestNames(field, allowed) });
  }
}

function isObject(value: unknown): value is Row {
  return typeof value === "object" && value !== null;
}

function repeatedRuns(direction: Direction, samples: readonly SpeedSample[]): RepeatedRun[] {
  const byLevel = new Map<number, number[]>();
  for (const { level, speed } of samples) byLevel.set(level, [...(byLevel.get(level) ?? []), speed]);
  return [...byLevel].flatMap(([level, all]) => {
    const moving = all.filter((speed) => speed > 0);
    if (all.length < 2 || moving.length < all.length) return [];
    const { middle: speed, spread, outliers } = agreement(moving);
    return [
      { direction, level, count: all.length, speed, spread: spread / speed, outliers: outliers.length },
    ];
  });
}

/**
 * The responses of timed locomotives, ready for {@link matchSpeeds}.
 * @param timed What {@link readMeasurements} gave.
 * @throws `CvError` with everything that is wrong, by locomotive and direction.
 * @example
 * import { measuredLocomotives, readMeasurements } from "cvset/motion";
 * const read = readMeasurements([{ level: 30, mph: 2 }, { level: 230, mph: 42 }]);
 * const [one] = read.ok ? measuredLocomotives(read.value) : [];
 * one?.forward?.movesFrom; // 30
 */
/* @__NO_SIDE_EFFECTS__ */
export function measuredLocomotives(timed: readonly TimedLocomotive[]): readonly MeasuredLocomotive[] {
  const issues: Issue[] = [];
  const all = timed.map((locomotive): MeasuredLocomotive => {
    const { name, present } = locomotive;
    const responses: Pick<{ -readonly [K in keyof MeasuredLocomotive]: MeasuredLocomotive[K] }, Direction> =
      {};
    for (const direction of ["forward", "reverse"] as const) {
      if (locomotive[direction].length === 0) continue;
      try {
        responses[direction] = estimateResponse(locomotive[direction]);
      } catch (error) {
        if (!(error instanceof CvError)) throw error;
        issues.push(...under(`${name}, ${direction}`, error.issues));
      }
    }
    return { name, ...responses, ...(present && { present }) };
  });
  if (issues.length) throw new CvError(issues);
  return all;
}
