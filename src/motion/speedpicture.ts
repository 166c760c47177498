import {
  type Axis,
  across,
  axes,
  cross,
  type KeyEntry,
  key,
  line,
  type Panel,
  picture,
  up,
  width,
} from "./chart.js";
import { type Limits, levelLimits, Problems, speedLimits } from "./problems.js";
import { plain, stepTicks, ticks } from "./svg.js";
import { toKmh, toMph } from "./units.js";

/** What a picture of a speed curve shows. Each list has one entry for each step: 14, 28 or 126. */
export interface SpeedPicture {
  /** What it is a picture of, such as the name of the locomotive. */
  readonly title: string;
  /** The wished full-size speeds, m/s. */
  readonly wished?: readonly number[];
  /** The predicted full-size speeds forward, m/s. */
  readonly forward?: readonly number[];
  /** The predicted full-size speeds in reverse, m/s. */
  readonly reverse?: readonly number[];
  /** The drive levels of the table, 0-255. */
  readonly levels?: readonly number[];
  /** The steps whose wished speed is not reached; they get a cross. */
  readonly unreached?: readonly number[];
  /** The unit of the speed axis. Default `"mph"`. */
  readonly unit?: "mph" | "km/h";
}

/**
 * A picture of a speed curve as SVG text: above, the wished and the predicted speeds; below, the drive
 * levels of the table; over the speed steps. It has a title and a text alternative, and turns dark where
 * the reader's screen is.
 * @param content What to show; speeds, levels or both.
 * @throws `CvError` with everything that is wrong, such as lists of different lengths.
 * @example
 * import { speedCurve, speedPicture } from "cvset/motion";
 * const { levels } = speedCurve({ start: 4, top: 255 });
 * speedPicture({ title: "No. 9", levels }).startsWith("<svg"); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function speedPicture(content: SpeedPicture): string {
  const count = checkContent(content);
  const { title, wished, forward, reverse, levels, unreached = [], unit = "mph" } = content;
  const convert = unit === "mph" ? toMph : toKmh;
  const x: Axis = { label: "Speed step", ticks: stepTicks(count), from: 0.5, to: count + 0.5 };
  const speeds = [wished, forward, reverse].filter((list) => list !== undefined);
  const missed = wished ? [...new Set(unreached)] : [];
  const entries: KeyEntry[] = [];
  if (forward) entries.push({ look: "forward", text: "predicted, forward" });
  if (reverse) entries.push({ look: "reverse", text: "predicted, reverse" });
  if (wished) entries.push({ look: "wished", text: "wished" });
  if (missed.length) entries.push({ look: "reverse", text: "not reached", sign: "cross" });
  if (levels) entries.push({ look: "table", text: "table", sign: "bar" });
  const { drawn, more } = key(entries);
  const parts = [drawn];
  let bottom = 60 + more;
  if (speeds.length) {
    const fastest = Math.max(...speeds.flat().map(convert));
    const marks = ticks(fastest, 5);
    const y: Axis = { label: `Scale speed (${unit})`, ticks: marks, from: 0, to: marks.at(-1) as number };
    const panel: Panel = { left: 64, right: width - 24, top: bottom + 36, bottom: bottom + 256 };
    const at = (speed: number, i: number) => [across(panel, x, i + 1), up(panel, y, convert(speed))] as const;
    parts.push(axes(panel, x, y));
    if (forward) parts.push(line(forward.map(at), "forward"));
    if (reverse) parts.push(line(reverse.map(at), "reverse"));
    if (wished) parts.push(line(wished.map(at), "wished"));
    for (const step of missed) parts.push(cross(...at(wished?.[step - 1] ?? 0, step - 1)));
    bottom = panel.bottom + 44;
  }
  if (levels) {
    const y: Axis = { label: "Drive level (0-255)", ticks: [0, 64, 128, 192, 255], from: 0, to: 255 };
    const panel: Panel = { left: 64, right: width - 24, top: bottom + 36, bottom: bottom + 176 };
    parts.push(axes(panel, x, y), bars(panel, x, y, levels));
    bottom = panel.bottom + 44;
  }
  return picture(title, describe(content, convert, unit), bottom + 8, parts);
}

function bars(panel: Panel, x: Axis, y: Axis, levels: readonly number[]): string {
  const path = levels.map((level, i) => {
    const left = across(panel, x, i + 0.62);
    const wide = across(panel, x, i + 1.38) - left;
    const high = panel.bottom - up(panel, y, level);
    return `M${left.toFixed(2)} ${panel.bottom}h${wide.toFixed(2)}v${(-high).toFixed(2)}h${(-wide).toFixed(2)}z`;
  });
  return `<path class="cvset-table-fill" d="${path.join("")}"/>`;
}

/** The text alternative: what somebody who does not see the picture needs of it. */
function describe(content: SpeedPicture, convert: (speed: number) => number, unit: string): string {
  const { wished, forward, reverse, levels, unreached = [] } = content;
  const middle = (list: readonly number[]): number => Math.round(list.length / 2);
  const told = (name: string, list: readonly number[] | undefined, text: (value: number) => string) => {
    if (!list) return [];
    const at = [1, middle(list), list.length].map(
      (step) => `${text(list[step - 1] as number)} at step ${step}`,
    );
    return [`${name}: ${at.join(", ")}.`];
  };
  const speed = (value: number): string => `${plain(convert(value))} ${unit}`;
  const level = (value: number): string => plain(value);
  return [
    ...told("Wished scale speed", wished, speed),
    ...told("Predicted scale speed forward", forward, speed),
    ...told("Predicted scale speed in reverse", reverse, speed),
    ...told("Drive level of the table, 0 to 255", levels, level),
    ...(wished && unreached.length ? [`Not reached: step ${[...new Set(unreached)].join(", ")}.`] : []),
  ].join(" ");
}

function checkContent(content: SpeedPicture): number {
  const problems = new Problems();
  const { title, wished, forward, reverse, levels, unreached, unit } = content;
  if (typeof title !== "string") {
    problems.issues.push({ code: "type", path: "title", expected: "a text", found: title });
  }
  if (unit !== undefined && unit !== "mph" && unit !== "km/h") {
    problems.option("unit", ["mph", "km/h"], unit);
  }
  const lists: [string, readonly number[] | undefined, Limits][] = [
    ["wished", wished, speedLimits],
    ["forward", forward, speedLimits],
    ["reverse", reverse, speedLimits],
    ["levels", levels, { ...levelLimits, whole: false }],
  ];
  let lengths = [14, 28, 126];
  for (const [name, list, limits] of lists) {
    if (list === undefined || !problems.numbers(name, list, limits, lengths)) continue;
    lengths = [list.length];
  }
  if (lists.every(([, list]) => list === undefined)) {
    problems.content("levels", "or wished, forward or reverse: give one list or more");
  }
  const count = lengths[0] as number;
  (unreached ?? []).forEach((step, i) => {
    problems.number(`unreached.${i}`, step, { min: 1, max: count, whole: true });
  });
  problems.throwIfAny();
  return count;
}
