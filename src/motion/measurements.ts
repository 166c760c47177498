import { aNumber, aText, need, needIn, objectOf } from "../cv/argument.js";
import type { CvsLike } from "../cv/cvset.js";
import { notAnObject, notAText, unknownName, unreadable } from "../cv/faults.js";
import { CvError, fault, type Result } from "../cv/issue.js";
import { nearestNames } from "../cv/nearest.js";
import { reasonOf } from "../cv/show.js";
import { csvRows, type Delimiter } from "../cv/text/csv.js";
import { type KnownCvs, someKnownCvs } from "../standard/address.js";
import { type Direction, directions, driveLevels, stepModes } from "./drive.js";
import type { MeasuredLocomotive } from "./match.js";
import {
  distanceLimits,
  type Limits,
  levelLimits,
  Problems,
  secondsLimits,
  speedLimits,
} from "./problems.js";
import { decimalsOf, estimateResponse, type MeasurementWarning, type SpeedSample } from "./response.js";
import { readScale } from "./scale.js";
import { tableSteps } from "./shape.js";
import { kmh, metresPer, mph } from "./units.js";

const source = "common practice";

const levelOrStep = /* @__PURE__ */ fault("level-or-step", "expected either a level or a step");
const needsTable = /* @__PURE__ */ fault(
  "step-without-drive",
  "a run by step needs what the decoder held while it was timed: give the CVs of its speed curve, or levels instead of steps",
);
const oneSpeed = /* @__PURE__ */ fault("one-speed", "expected one of seconds, mph and kmh, got {given:list}");
const noSpeed = /* @__PURE__ */ fault("no-speed", "expected seconds, mph or kmh");
const noTiming = /* @__PURE__ */ fault("no-timing", "expected one timing or more");
const notATime = /* @__PURE__ */ fault("timing", 'expected a number of seconds, or "stands", got {found}');
const needsLength = /* @__PURE__ */ fault(
  "needs-length",
  "seconds need a length of track beside them (mm, cm, m, inches or feet) to become a speed",
);
const needsScale = /* @__PURE__ */ fault("needs-scale", "seconds need a scale beside them to become a speed");
const lengthTwice = /* @__PURE__ */ fault("length-twice", "the length is given once already, in {unit:text}");
const noRuns = /* @__PURE__ */ fault("no-runs", "there is no run in it");
const notRuns = /* @__PURE__ */ fault(
  "measurements",
  'expected a list of runs, or an object with such a list as "runs", got {found}',
);
const strangeLength = /* @__PURE__ */ fault(
  "track-length",
  "a measured piece of {length} m is unusual for a model; lengths are in metres unless another unit is named",
);
const noHeader = /* @__PURE__ */ fault(
  "no-header",
  "expected a line with column names, then one run a line; there is nothing",
);
const columnTwice = /* @__PURE__ */ fault(
  "run-column-twice",
  "there is a column {found} already; only seconds may be repeated",
);
const tooManyColumns = /* @__PURE__ */ fault(
  "too-many-columns",
  "expected at most {most} columns, got {found}",
);
const tooManyCells = /* @__PURE__ */ fault(
  "too-many-cells",
  "expected at most {columns} cells, one a column, got {found}",
);
const openQuote = /* @__PURE__ */ fault("open-quote", "a double quote is not closed");
const behindQuote = /* @__PURE__ */ fault("behind-quote", "a separator must follow a closed double quote");
const notANumberCell = /* @__PURE__ */ fault("number-cell", "expected a number, got {found}");

/** What holds for every run that does not say otherwise. */
export interface MeasurementDefaults {
  /** The name of the locomotive. Default `"locomotive"`. */
  readonly locomotive?: string;
  /** The scale, see {@link scaleRatio}. */
  readonly scale?: string;
  /** The measured length of track, m. */
  readonly distance?: number;
  /** The CVs that the decoder held while timing, such as a `CvSet`; needed when runs are given by speed step. */
  readonly drive?: KnownCvs | CvsLike;
  /** The step mode of the throttle while timing. Default 28. */
  readonly steps?: 14 | 28 | 128;
}

interface Measurements {
  readonly locomotives: readonly MeasuredLocomotive[];
  readonly warnings: readonly MeasurementWarning[];
}

const speedUnits = { mph, kmh };
const rowFields = ["locomotive", "direction", "level", "step", "seconds", "mph", "kmh"];
const sharedFields: readonly string[] = ["scale", "mm", "cm", "m", "inches", "feet"] satisfies (
  | "scale"
  | keyof typeof metresPer
)[];
/** Every field that a run may have. `note` is for people, and is not read. */
const runFields: readonly string[] = /* @__PURE__ */ rowFields.concat(sharedFields, "note");
/** Columns whose cells stay text. */
const textColumns = /* @__PURE__ */ new Set(["locomotive", "direction", "scale", "note"]);
/** A time that says that the locomotive did not move at this level. */
const standing = "stands";
/** More columns than any bench fills. */
const mostColumns = 200;
/** Pieces of track that people measure, m. */
const usualLength = { min: 0.15, max: 10 };

type Row = Readonly<Record<string, unknown>>;
/** Where a run stands: its line in a CSV file, or its path in JSON data. */
interface RunPlace {
  readonly line?: number;
  readonly at?: string;
}

// The rest is looked at where it is used.
const someDefaults = /* @__PURE__ */ objectOf({
  "locomotive?": aText,
  "scale?": aText,
  "distance?": aNumber,
  "drive?": someKnownCvs,
  "steps?": aNumber,
});

/**
 * Timed runs from JSON data: a list of runs, or an object with the list as `runs` and, beside it, what holds for all
 * of them.
 *
 * A run has `level` (0-255) or `step`; and how fast: `seconds` (a number, a list of repeated timings, or
 * `"stands"` when it did not move) with a length of track (`mm`, `cm`, `m`, `inches` or `feet`) and a
 * `scale`; or a scale speed, `mph` or `kmh`. It may have `locomotive`, `direction` (`"forward"`, the default, or
 * `"reverse"`) and `note`, which is not read. Beside `runs` may be `locomotive`, `scale`, a length, `steps`
 * (14, 28 or 128) and `table` (28 drive levels), the speed table in use while timing.
 * @param json Data of any kind; it is checked in full.
 * @param defaults What holds where the data do not say.
 * @returns `locomotives`: with their responses, in the order of their first run; `warnings`: what is doubtful, `at` the
 * path of the run where it is about one. Or everything that is wrong.
 * @example
 * import { measurementsFromJson } from "cvset/motion";
 * const result = measurementsFromJson({
 *   scale: "O", cm: 200, locomotive: "No. 9",
 *   runs: [{ level: 20, seconds: "stands" }, { level: 60, seconds: [32, 31.5] }, { level: 200, seconds: [8, 8.2] }],
 * });
 * const [nine] = result.ok ? result.value.locomotives : [];
 * [nine?.name, nine?.forward?.standsTo, nine?.forward?.movesFrom]; // ["No. 9", 20, 60]
 */
/* @__NO_SIDE_EFFECTS__ */
export function measurementsFromJson(
  json: unknown,
  defaults: MeasurementDefaults = {},
): Result<{
  readonly locomotives: readonly MeasuredLocomotive[];
  readonly warnings: readonly MeasurementWarning[];
}> {
  needIn(someDefaults, defaults, "defaults");
  try {
    return measurementsFrom(json, defaults);
  } catch (error) {
    // A getter or a proxy of the caller that throws; wrong defaults are the caller's own fault.
    if (error instanceof CvError) throw error;
    return { ok: false, issues: [unreadable({ reason: reasonOf(error) })] };
  }
}

function measurementsFrom(
  json: unknown,
  defaults: MeasurementDefaults,
): ReturnType<typeof measurementsFromJson> {
  const problems = new Problems();
  let rows = json;
  let shared: Row = {};
  if (isObject(json) && !Array.isArray(json)) {
    const { runs, ...rest } = json;
    rows = runs;
    shared = rest;
    const allowed = ["locomotive", ...sharedFields, "steps", "table", "note"];
    unknownFields(Object.keys(rest), allowed, (path) => ({ path }), problems);
  }
  if (!Array.isArray(rows)) return { ok: false, issues: [notRuns({ found: json })] };
  const prefix = rows === json ? "" : "runs.";
  const reader = new Reader(defaults, shared, problems);
  for (let i = 0; i < rows.length; i++) {
    const row: unknown = rows[i];
    const where = (field: string): { path: string } => ({ path: `${prefix}${i}${field && `.${field}`}` });
    if (!isObject(row) || Array.isArray(row)) {
      problems.add(notAnObject({ found: row }, where("")));
      // A list with holes may be of any length, and JSON has none.
      if (row === undefined) break;
      continue;
    }
    unknownFields(Object.keys(row), runFields, where, problems);
    reader.add(row, where, (timing) => ({ at: where(timing).path }));
  }
  return reader.result();
}

/**
 * Timed runs from the text of a CSV file: a line of column names, then one run a line. The columns are the
 * fields of {@link measurementsFromJson}: `level` or `step`; `seconds` (as often as there are repeated timings;
 * `stands` where it did not move), `mph` or `kmh`; a length of track, `scale`, `locomotive`, `direction`,
 * `note`. Empty cells are left out.
 *
 * Commas, semicolons or tabs separate the cells; where it is not the comma, numbers may have a decimal
 * comma. Cells may be in double quotes. Empty lines, and lines that begin with `#`, are left out.
 * @param text The text, with or without a byte-order mark, lines ending in LF, CR LF or CR.
 * @param defaults What holds where the text does not say.
 * @returns As {@link measurementsFromJson}; issues and warnings have their line as `line`.
 * @example
 * import { measurementsFromCsv } from "cvset/motion";
 * const text = "level,seconds,seconds\n20,stands,\n60,32.0,31.5\n130,13.6,1.35\n200,8.0,8.1\n";
 * const result = measurementsFromCsv(text, { scale: "O", distance: 2 });
 * result.ok && result.value.warnings.map(({ code, line }) => [code, line]); // [["slip", 4], ["few-levels", undefined]]
 * const bad = measurementsFromCsv("level,mph\n60,fast\n");
 * bad.ok || [bad.issues[0]?.path, bad.issues[0]]; // ["mph", { code: "number-cell", path: "mph", line: 2, text: "expected a number, got {found}", params: { found: "fast" } }]
 */
/* @__NO_SIDE_EFFECTS__ */
export function measurementsFromCsv(
  text: string,
  defaults: MeasurementDefaults = {},
): Result<{
  readonly locomotives: readonly MeasuredLocomotive[];
  readonly warnings: readonly MeasurementWarning[];
}> {
  need(aText, text, "text");
  needIn(someDefaults, defaults, "defaults");
  const problems = new Problems();
  const reader = new Reader(defaults, {}, problems);
  const start = text.startsWith("\uFEFF") ? 1 : 0;
  const lines = new LineCounter(text);
  const separator = separatorOf(text, start);
  let columns: string[] | undefined;
  const rows = csvRows(text, separator, {
    start,
    remarks: "#",
    onFault(offset, kind) {
      const line = lines.at(offset);
      problems.add({ ...(kind === "unclosed" ? openQuote({}) : behindQuote({})), ...{ line } });
    },
  });
  for (const cells of rows) {
    if (cells.every((cell) => cell.text.trim() === "")) continue;
    const line = lines.at(cells[0]?.offset ?? 0);
    const where = (field: string): { path: string; line: number } => ({ path: field, line });
    const texts = cells.map((cell) => cell.text.trim());
    if (!columns) {
      columns = columnsOf(texts, where, problems);
      if (!columns) break;
    } else if (texts.length > columns.length && texts.slice(columns.length).some(Boolean)) {
      problems.add(tooManyCells({ found: texts.length, columns: columns.length }, where("")));
    } else {
      const row = rowOf(columns, texts, separator, where, problems);
      if (row) reader.add(row, where, () => ({ line }));
    }
  }
  if (!columns && !problems.some) problems.add(noHeader({}));
  return reader.result();
}

/** Counts lines up to offsets that do not fall. */
class LineCounter {
  readonly #text: string;
  #offset = 0;
  #line = 1;

  constructor(text: string) {
    this.#text = text;
  }

  at(offset: number): number {
    for (; this.#offset < offset; this.#offset++) {
      const code = this.#text.charCodeAt(this.#offset);
      if (code === 10 || (code === 13 && this.#text.charCodeAt(this.#offset + 1) !== 10)) this.#line++;
    }
    return this.#line;
  }
}

function columnsOf(
  cells: readonly string[],
  where: (field: string) => { path: string },
  problems: Problems,
): string[] | undefined {
  if (cells.length > mostColumns) {
    problems.add(tooManyColumns({ found: cells.length, most: mostColumns }, where("")));
    return undefined;
  }
  const columns = cells.map((cell) => cell.toLowerCase().replace("km/h", "kmh"));
  const seen = new Set<string>();
  for (const column of columns) {
    if (seen.has(column) && column !== "seconds") problems.add(columnTwice({ found: column }, where(column)));
    seen.add(column);
  }
  unknownFields([...seen], runFields, where, problems);
  return columns;
}

/** One run; undefined when a cell is not what its column needs. */
function rowOf(
  columns: readonly string[],
  cells: readonly string[],
  separator: Delimiter,
  where: (field: string) => { path: string },
  problems: Problems,
): Row | undefined {
  const row: Record<string, unknown> = {};
  const seconds: (number | string)[] = [];
  let good = true;
  columns.forEach((column, i) => {
    const cell = cells[i] ?? "";
    if (cell === "" || !runFields.includes(column)) return;
    if (textColumns.has(column)) row[column] = cell;
    else {
      const value = numberOf(cell, separator);
      if (column === "seconds") seconds.push(value ?? cell);
      else if (value !== undefined) row[column] = value;
      else {
        problems.add(notANumberCell({ found: cell }, where(column)));
        good = false;
      }
    }
  });
  if (seconds.length) row["seconds"] = seconds.length === 1 ? seconds[0] : seconds;
  return good ? row : undefined;
}

function numberOf(cell: string, separator: Delimiter): number | undefined {
  const plain = separator === "," ? cell : cell.replace(",", ".");
  return /^[+-]?(\d{1,15}(\.\d{0,15})?|\.\d{1,15})$/.test(plain) ? Number(plain) : undefined;
}

/** The separator that the line of column names has most of. */
function separatorOf(text: string, start: number): Delimiter {
  const header =
    /^(?!\s*(?:#|$)).*$/m.exec(text.slice(start, start + 10_000).replace(/\r\n?/g, "\n"))?.[0] ?? "";
  const count = (mark: string): number => header.split(mark).length;
  return ([",", ";", "\t"] as const).reduce((best, mark) => (count(mark) > count(best) ? mark : best));
}

/** A sample, and for a display the number that it showed. */
interface Taken {
  sample: SpeedSample;
  readonly shown?: number;
  readonly unit?: "mph" | "kmh";
}

/** Reads runs one by one into locomotives. */
class Reader {
  readonly #problems: Problems;
  readonly #levels: Partial<Record<Direction, readonly number[]>> = {};
  readonly #present: readonly number[] | undefined;
  readonly #name: string;
  readonly #scale: { readonly ratio?: number; readonly given: boolean };
  readonly #distance: { readonly metres?: number; readonly given: boolean };
  readonly #locomotives = new Map<string, Record<Direction, Taken[]>>();
  readonly #warnings: MeasurementWarning[] = [];

  /**
   * @param shared Fields that stand beside the list of runs.
   */
  constructor(defaults: MeasurementDefaults, shared: Row, problems: Problems) {
    this.#problems = problems;
    this.#name = this.#text(
      { path: "locomotive" },
      shared["locomotive"] ?? defaults.locomotive ?? "locomotive",
    );
    const scale = shared["scale"] ?? defaults.scale;
    const ratio = scale === undefined ? undefined : this.#ratio(scale, { path: "scale" });
    this.#scale = { given: scale !== undefined, ...(ratio !== undefined && { ratio }) };
    const own = this.#length(shared, (path) => ({ path }), {});
    const { distance } = defaults;
    if (own.given || distance === undefined) this.#distance = own;
    else {
      const good = problems.number("distance", distance, distanceLimits);
      this.#distance = { given: true, ...(good && { metres: distance }) };
      if (good) this.#checkLength(distance, {});
    }
    const steps = shared["steps"] ?? defaults.steps ?? 28;
    if (!problems.option("steps", stepModes, steps)) return;
    const table = shared["table"];
    if (table !== undefined && !problems.numbers("table", table, levelLimits, [tableSteps])) return;
    const drive = table === undefined ? defaults.drive : tableOnly(table as readonly number[]);
    if (!drive) return;
    try {
      for (const direction of directions) {
        this.#levels[direction] = driveLevels(drive, { steps, direction }).levels;
      }
      this.#present = driveLevels(drive).levels;
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      problems.addAll(error.issues, "drive");
    }
  }

  /**
   * Reads one run.
   * @param where The path of a field of the run, and its line.
   * @param place Where a timing of the run is, for warnings.
   */
  add(row: Row, where: (field: string) => { path: string }, place: (timing: string) => RunPlace): void {
    const name = this.#text(where("locomotive"), row["locomotive"] ?? this.#name);
    const direction = row["direction"] ?? "forward";
    const known = direction === "forward" || direction === "reverse";
    if (!known) this.#check((problems) => problems.option("direction", directions, direction), where);
    const level = this.#level(row, known ? direction : "forward", where);
    const found = this.#taken(row, level ?? 0, where, place);
    if (!known || level === undefined || !found) return;
    let locomotive = this.#locomotives.get(name);
    if (!locomotive) {
      locomotive = { forward: [], reverse: [] };
      this.#locomotives.set(name, locomotive);
    }
    for (const one of found) locomotive[direction].push(one);
  }

  /** The locomotives, or everything that is wrong. */
  result(): Result<Measurements> {
    const problems = this.#problems;
    if (!problems.some && this.#locomotives.size === 0) problems.add(noRuns({}));
    if (problems.some) return { ok: false, issues: problems.issues };
    const locomotives: MeasuredLocomotive[] = [];
    for (const [name, taken] of this.#locomotives) {
      const responses: { -readonly [K in Direction]?: MeasuredLocomotive[K] } = {};
      for (const direction of directions) {
        if (taken[direction].length === 0) continue;
        const path = `${name}, ${direction}`;
        try {
          const response = estimateResponse(withDisplay(taken[direction]));
          responses[direction] = response;
          for (const warning of response.warnings) this.#warnings.push({ ...warning, path });
        } catch (error) {
          if (!(error instanceof CvError)) throw error;
          problems.addAll(error.issues.map((issue) => ({ ...issue, path })));
        }
      }
      locomotives.push({ name, ...responses, ...(this.#present && { present: this.#present }) });
    }
    if (problems.some) return { ok: false, issues: problems.issues };
    return { ok: true, value: { locomotives, warnings: this.#warnings } };
  }

  /** Checks something whose path is that of a field of a run. */
  #check<Good>(check: (problems: Problems) => Good, where: (field: string) => { path: string }): Good {
    const inner = new Problems();
    const good = check(inner);
    for (const issue of inner.issues) this.#problems.add({ ...issue, ...where(issue.path) });
    return good;
  }

  #text(where: { path: string }, value: unknown): string {
    if (typeof value === "string" && value.trim() !== "") return value;
    this.#problems.add(notAText({ found: value }, where));
    return "";
  }

  #level(row: Row, direction: Direction, where: (field: string) => { path: string }): number | undefined {
    const { level, step } = row;
    if ((level === undefined) === (step === undefined)) {
      this.#problems.add(levelOrStep({}, where("")));
      return undefined;
    }
    if (level !== undefined) {
      const good = this.#check((problems) => problems.number("level", level, levelLimits), where);
      return good ? (level as number) : undefined;
    }
    const levels = this.#levels[direction];
    if (!levels) {
      this.#problems.add(needsTable({}, where("step")));
      return undefined;
    }
    const limits: Limits = { min: 1, max: levels.length, whole: true };
    const good = this.#check((problems) => problems.number("step", step, limits), where);
    return good ? levels[(step as number) - 1] : undefined;
  }

  #taken(
    row: Row,
    level: number,
    where: (field: string) => { path: string },
    place: (timing: string) => RunPlace,
  ): Taken[] | undefined {
    const given = ["seconds", "mph", "kmh"].filter((field) => row[field] !== undefined);
    if (given.length !== 1) {
      this.#problems.add(given.length ? oneSpeed({ given }, where("")) : noSpeed({}, where("")));
      return undefined;
    }
    const field = given[0] as "seconds" | keyof typeof speedUnits;
    const value = row[field];
    if (field !== "seconds") {
      const limits: Limits = { ...speedLimits, unit: field };
      if (!this.#check((problems) => problems.number(field, value, limits), where)) return undefined;
      const shown = value as number;
      return [{ sample: { level, speed: speedUnits[field](shown), ...place(field) }, shown, unit: field }];
    }
    const times = Array.isArray(value) ? (value as readonly unknown[]) : [value];
    if (times.length === 0) {
      this.#problems.add(noTiming({}, where(field)));
      return undefined;
    }
    let good = true;
    const pathOf = (i: number): string => (Array.isArray(value) ? `${field}.${i}` : field);
    times.forEach((time, i) => {
      if (time === standing) return;
      if (typeof time !== "number") {
        this.#problems.add(notATime({ found: time }, where(pathOf(i))));
        good = false;
      } else {
        const fine = this.#check((problems) => problems.number(pathOf(i), time, secondsLimits), where);
        good &&= fine;
      }
    });
    const own = this.#length(row, where, place(""));
    const distance = own.given ? own : this.#distance;
    const { scale } = row;
    const ratio = scale === undefined ? this.#scale.ratio : this.#ratio(scale, where("scale"));
    const moves = times.some((time) => time !== standing);
    if (good && moves && !distance.given) this.#problems.add(needsLength({}, where(field)));
    if (good && moves && scale === undefined && !this.#scale.given)
      this.#problems.add(needsScale({}, where(field)));
    const { metres } = distance;
    if (!good || (moves && (metres === undefined || ratio === undefined))) return undefined;
    return times.map((time, i): Taken => {
      const at = place(pathOf(i));
      if (time === standing) return { sample: { level, speed: 0, ...at } };
      const seconds = time as number;
      return { sample: { level, speed: ((metres as number) / seconds) * (ratio as number), seconds, ...at } };
    });
  }

  /** The length of track, m, from whichever unit is given. */
  #length(
    row: Row,
    where: (field: string) => { path: string },
    place: RunPlace,
  ): { readonly metres?: number; readonly given: boolean } {
    const given = (Object.keys(metresPer) as (keyof typeof metresPer)[]).filter(
      (unit) => row[unit] !== undefined,
    );
    const [unit, another] = given;
    if (unit === undefined) return { given: false };
    if (another !== undefined) {
      this.#problems.add(lengthTwice({ unit }, where(another)));
      return { given: true };
    }
    const value = row[unit];
    const limits: Limits = { ...distanceLimits, unit };
    if (!this.#check((problems) => problems.number(unit, value, limits), where)) return { given: true };
    const metres = (value as number) * metresPer[unit];
    this.#checkLength(metres, place);
    return { given: true, metres };
  }

  #checkLength(metres: number, place: RunPlace): void {
    if (metres >= usualLength.min && metres <= usualLength.max) return;
    const known = this.#warnings.some(
      ({ code, params }) => code === "track-length" && params["length"] === metres,
    );
    if (!known) this.#warnings.push({ ...strangeLength({ length: metres }, { source }), ...place });
  }

  #ratio(scale: unknown, where: { path: string }): number | undefined {
    const read = readScale(scale);
    if (typeof read === "number") return read;
    this.#problems.add({ ...read, ...where });
    return undefined;
  }
}

/** The samples, those from a display with how exact its last digit is. */
function withDisplay(taken: readonly Taken[]): SpeedSample[] {
  const digits = { mph: 0, kmh: 0 };
  for (const { shown, unit } of taken)
    if (unit) digits[unit] = Math.max(digits[unit], decimalsOf(shown as number));
  return taken.map(({ sample, unit }) =>
    unit && sample.speed > 0
      ? { ...sample, deviation: speedUnits[unit](10 ** -digits[unit]) / Math.sqrt(12) }
      : sample,
  );
}

/** A decoder that holds a speed table, which is in use, and nothing else. */
function tableOnly(table: readonly number[]): KnownCvs {
  return { get: (cv) => (cv === 29 ? 16 : table[cv - 67]) };
}

/** Reports every field that is not one of the allowed ones. */
function unknownFields(
  fields: readonly string[],
  allowed: readonly string[],
  where: (field: string) => { path: string },
  problems: Problems,
): void {
  for (const field of fields) {
    if (allowed.includes(field)) continue;
    problems.add(unknownName({ allowed, nearest: nearestNames(field, allowed) }, where(field)));
  }
}

function isObject(value: unknown): value is Row {
  return typeof value === "object" && value !== null;
}
