import { aList, listOf, needIn, objectOf } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
import {
  type Axis,
  across,
  axes,
  band,
  classOf,
  coordinate,
  dressed,
  type KeyEntry,
  key,
  line,
  type Panel,
  type Point,
  picture,
  plain,
  point,
  type Sign,
  sign,
  stepTicks,
  ticks,
  up,
} from "./chart.js";
import { type Direction, directions } from "./drive.js";
import { aMatched, type MatchedLocomotive, type MeasuredLocomotive } from "./match.js";
import { levelLimits, Problems, speedLimits } from "./problems.js";
import { aResponse, type SpeedResponse } from "./response.js";
import { tableSteps } from "./shape.js";
import { type SpeedUnit, speedUnits } from "./units.js";

const nothingToShow = /* @__PURE__ */ fault("empty-picture", "expected levels, locomotives, or both");

/** What a picture of a speed curve shows. */
interface SpeedPicture {
  readonly title: string;
  readonly levels?: readonly number[];
  readonly target?: readonly number[];
  readonly locomotives?: readonly {
    readonly matched: MatchedLocomotive;
    readonly measured?: MeasuredLocomotive;
  }[];
  readonly unit?: SpeedUnit;
}

/** A locomotive in a direction. */
interface Series {
  readonly name: string;
  readonly index: number;
  readonly direction: Direction;
  readonly matched: MatchedLocomotive;
  readonly response: SpeedResponse | undefined;
}

const left = 44;
/** 12 from the right edge of the picture. */
const right = 348;
const signOf = { "too-fast": "over", "too-slow": "under", compromise: "between" } as const;
const signText: Readonly<Record<Sign, string>> = {
  over: "out of reach: faster than it runs",
  under: "out of reach: slower than it runs",
  between: "out of reach: forward and reverse differ",
  out: "run left out",
};

const aPicture = /* @__PURE__ */ objectOf({
  "levels?": aList,
  "target?": aList,
  "locomotives?": /* @__PURE__ */ listOf(
    /* @__PURE__ */ objectOf({
      matched: aMatched,
      "measured?": /* @__PURE__ */ objectOf({
        "forward?": aResponse,
        "reverse?": aResponse,
        "present?": aList,
      }),
    }),
  ),
});

/**
 * A picture of a speed table, or of the tables of one or more locomotives, as SVG text. For locomotives: the speed
 * over the drive level with the measured points and their spread, beside it the speed over the speed step with its
 * target, below these the error of each step with its uncertainty, and for a single locomotive the table. It has a
 * title and a text alternative, is dark where the reader's screen is, and can be read from 320 px of width on.
 * @param content `title`: what it is a picture of. `levels`: the drive levels of a table, 0-255, one for each step.
 * `target`: the full-size speed that each of the 28 steps is to have, m/s. `locomotives`: the results of
 * {@link matchSpeeds}, each with what was measured, where that is to be shown. `unit`: of the speed axis, default
 * `"mph"`.
 * @throws `CvError` with everything that is wrong, such as lists of a wrong length.
 * @example
 * import { speedCurve, speedPicture } from "cvset/motion";
 * const { levels } = speedCurve({ start: 4, top: 255 });
 * speedPicture({ title: "No. 9", levels }).startsWith("<svg"); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function speedPicture(content: {
  readonly title: string;
  readonly levels?: readonly number[];
  readonly target?: readonly number[];
  readonly locomotives?: readonly {
    readonly matched: MatchedLocomotive;
    readonly measured?: MeasuredLocomotive;
  }[];
  readonly unit?: "mph" | "km/h";
}): string {
  needIn(aPicture, content, "content");
  checkContent(content);
  const { title, locomotives = [], target, unit = "mph" } = content;
  const alone = locomotives.length === 1 ? locomotives[0]?.matched.table : undefined;
  const levels = content.levels ?? alone;
  const all = seriesOf(locomotives);
  const { drawn, bottom } = key(keyOf(all, target, levels));
  const parts = [drawn];
  let at = bottom;
  if (all.length) {
    const speeds = { top: at + 26, bottom: at + 186 };
    parts.push(...speedPanels(speeds, all, target, unit));
    const errors = { left, right, top: speeds.bottom + 62, bottom: speeds.bottom + 142 };
    parts.push(errorPanel(errors, all, unit));
    at = errors.bottom + 34;
  } else if (target) {
    const panel = { left, right, top: at + 26, bottom: at + 186 };
    const y = speedAxis(target, unit);
    const x = stepAxis(target.length);
    const to = speedUnits[unit];
    const points = target.map((speed, i): Point => [across(panel, x, i + 1), up(panel, y, to(speed))]);
    parts.push(axes(panel, x, y), line(points, "target"));
    at = panel.bottom + 34;
  }
  if (levels) {
    const panel = { left, right, top: at + 28, bottom: at + 128 };
    const y: Axis = { label: "Drive level (0-255)", ticks: [0, 64, 128, 192, 255], from: 0, to: 255 };
    const x = stepAxis(levels.length);
    parts.push(axes(panel, x, y), bars(panel, x, y, levels));
    at = panel.bottom + 34;
  }
  return picture(title, describe(content, levels), at + 6, parts);
}

function seriesOf(locomotives: NonNullable<SpeedPicture["locomotives"]>): Series[] {
  const all: Series[] = [];
  for (const { matched, measured } of locomotives) {
    const both = directions.filter((direction) => matched.steps[0]?.[direction] !== undefined);
    for (const direction of both) {
      const name =
        locomotives.length === 1
          ? direction
          : both.length > 1 || direction === "reverse"
            ? `${matched.name}, ${direction}`
            : matched.name;
      all.push({ name, index: all.length, direction, matched, response: measured?.[direction] });
    }
  }
  return all;
}

function keyOf(
  all: readonly Series[],
  target: readonly number[] | undefined,
  levels: readonly number[] | undefined,
): KeyEntry[] {
  const entries: KeyEntry[] = all.map(({ name, index, response }) => ({
    text: name,
    line: index,
    marked: response !== undefined,
  }));
  if (target) entries.push({ text: "target", line: "target" });
  if (levels) entries.push({ text: "table", bar: "table" });
  const shown = new Set<Sign>();
  for (const { matched, response } of all) {
    for (const { reason } of matched.unreached) shown.add(signOf[reason]);
    if (response?.points.some(({ leftOut }) => leftOut.length)) shown.add("out");
  }
  for (const kind of shown) entries.push({ text: signText[kind], sign: kind });
  return entries;
}

/** Speed over level, and beside it speed over step, with one axis of speed. */
function speedPanels(
  { top, bottom }: Pick<Panel, "top" | "bottom">,
  all: readonly Series[],
  target: readonly number[] | undefined,
  unit: SpeedUnit,
): string[] {
  const to = speedUnits[unit];
  const measured = all.filter(({ response }) => response !== undefined);
  const shown = all.flatMap(({ matched, direction }) =>
    matched.steps.map((step) => step[direction]?.speed ?? 0),
  );
  const top1 = (target ?? []).reduce((most, speed) => Math.max(most, speed), 0);
  const most = shown.reduce((a, b) => Math.max(a, b), top1);
  // What was measured far above is of no use here.
  const y = speedAxis(
    [Math.min(1.25 * most, Math.max(most, ...measured.map(({ response }) => response?.fastest ?? 0)))],
    unit,
  );
  const parts: string[] = [];
  const middle = (left + right) / 2;
  const steps: Panel = measured.length
    ? { left: middle + 8, right, top, bottom }
    : { left, right, top, bottom };
  const x = stepAxis(tableSteps, measured.length > 0);
  if (measured.length) {
    const panel: Panel = { left, right: middle - 6, top, bottom };
    const levels: Axis = { label: "Drive level", ticks: [0, 100, 200], from: 0, to: 255 };
    parts.push(axes(panel, levels, y));
    for (const { response, index } of measured) if (response) parts.push(responseCurve(panel, levels, y, response, index, to, measured.length < 3)); // biome-ignore format: one line
  }
  parts.push(axes(steps, x, y, measured.length > 0));
  const place = (step: number, speed: number): Point => [across(steps, x, step), up(steps, y, to(speed))];
  for (const { matched, direction, index } of all) {
    const points = matched.steps.map((step): Point => place(step.step, step[direction]?.speed ?? 0));
    parts.push(line(points, index));
  }
  if (target) parts.push(line(target.map((speed, i) => place(i + 1, speed)), "target")); // biome-ignore format: one line
  for (const { matched, direction, index } of all) {
    for (const one of matched.unreached) {
      if (one.direction !== direction) continue;
      parts.push(sign(...place(one.step, one.target), signOf[one.reason], all.length > 1 ? index : "mark"));
    }
  }
  return parts;
}

/** The curve of a response with its uncertainty, the measured points, and their spread. */
function responseCurve(
  panel: Panel,
  x: Axis,
  y: Axis,
  response: SpeedResponse,
  index: number,
  to: (speed: number) => number,
  withBand: boolean,
): string {
  const { movesFrom, measuredTo, points } = response;
  const place = (level: number, speed: number): Point => [across(panel, x, level), up(panel, y, to(speed))];
  const count = 60;
  const levels = Array.from(
    { length: count + 1 },
    (_, i) => movesFrom + ((measuredTo - movesFrom) * i) / count,
  );
  const inside = levels.filter((level) => to(response.speedAt(level)) <= y.to);
  const edge = (sides: number) =>
    inside.map((level) => place(level, response.speedAt(level) + sides * 2 * response.deviationAt(level)));
  const parts = withBand && inside.length > 1 ? [band(edge(-1), edge(1), index)] : [];
  parts.push(line(inside.map((level) => place(level, response.speedAt(level))), index)); // biome-ignore format: one line
  for (const { level, speed, runs, leftOut } of points) {
    if (to(speed) > y.to) continue;
    const [low, high] = [-1, 1].map((side) => runs.reduce((a, b) => (side * b > side * a ? b : a), speed));
    const [at, bottom] = place(level, low as number);
    const [, top] = place(level, high as number);
    if (bottom - top > 1)
      parts.push(
        `<path ${dressed("cvset-sign", classOf(index))} d="M${coordinate(at)} ${coordinate(bottom)}V${coordinate(top)}"/>`,
      );
    parts.push(point(...place(level, speed), index));
    for (const out of leftOut) parts.push(sign(...place(level, out), "out", index));
  }
  return parts.join("\n");
}

/** The error of each step with its uncertainty, and the limits that it keeps 19 times in 20. */
function errorPanel(panel: Panel, all: readonly Series[], unit: SpeedUnit): string {
  const to = speedUnits[unit];
  const within = all.reduce((most, { matched }) => Math.max(most, matched.within), 0);
  const marks = ticks(Math.max(to(within) * 1.2, 0.1), 2);
  const last = marks.at(-1) as number;
  const y: Axis = {
    label: `Error of the speed (${unit}), with its uncertainty`,
    ticks: [
      ...marks
        .slice(1)
        .map((mark) => -mark)
        .reverse(),
      ...marks,
    ],
    from: -last,
    to: last,
  };
  const x = stepAxis(tableSteps);
  const parts = [axes(panel, x, y)];
  const zero = up(panel, y, 0);
  parts.push(`<path ${dressed("cvset-axis")} d="M${panel.left} ${coordinate(zero)}H${panel.right}"/>`);
  const tail = all.length;
  for (const { matched, direction, index } of all) {
    const out = new Set(
      matched.unreached.filter((one) => one.direction === direction).map(({ step }) => step),
    );
    // Side by side, so that none hides another.
    const shift = (index - (tail - 1) / 2) * Math.min(0.3, 0.8 / tail);
    for (const one of matched.steps) {
      const here = one[direction];
      if (!here || out.has(one.step)) continue;
      const at = across(panel, x, one.step + shift);
      const [low, high] = [here.error - 2 * here.deviation, here.error + 2 * here.deviation];
      parts.push(
        `<path ${dressed("cvset-sign", classOf(index))} d="M${coordinate(at)} ${coordinate(up(panel, y, to(low)))}V${coordinate(up(panel, y, to(high)))}"/>`,
        point(at, up(panel, y, to(here.error)), index),
      );
    }
  }
  return parts.join("\n");
}

function bars(panel: Panel, x: Axis, y: Axis, levels: readonly number[]): string {
  const path = levels.map((level, i) => {
    const from = across(panel, x, i + 0.62);
    const wide = across(panel, x, i + 1.38) - from;
    const high = panel.bottom - up(panel, y, level);
    return `M${coordinate(from)} ${panel.bottom}h${coordinate(wide)}v${coordinate(-high)}h${coordinate(-wide)}z`;
  });
  return `<path ${dressed("cvset-table-fill")} d="${path.join("")}"/>`;
}

function speedAxis(speeds: readonly number[], unit: SpeedUnit): Axis {
  const to = speedUnits[unit];
  const marks = ticks(to(speeds.reduce((most, speed) => Math.max(most, speed), 0)), 5);
  return { label: `Scale speed (${unit})`, ticks: marks, from: 0, to: marks.at(-1) as number };
}

function stepAxis(count: number, few = false): Axis {
  return { label: "Speed step", ticks: stepTicks(count, few), from: 0.5, to: count + 0.5 };
}

/** The text alternative: what somebody who does not see the picture needs of it. */
function describe(
  { target, locomotives = [], unit = "mph" }: SpeedPicture,
  levels: readonly number[] | undefined,
): string {
  const to = speedUnits[unit];
  const speed = (value: number): string => `${plain(to(value))} ${unit}`;
  const level = (value: number): string => plain(value);
  const at = (
    name: string,
    list: readonly number[] | undefined,
    text: (value: number) => string,
  ): string[] => {
    if (!list) return [];
    const steps = [1, Math.round(list.length / 2), list.length];
    return [
      `${name}: ${steps.map((step) => `${text(list[step - 1] as number)} at step ${step}`).join(", ")}.`,
    ];
  };
  return [
    ...at("Target", target, speed),
    ...locomotives.flatMap(({ matched }) => {
      const missed = matched.unreached.map(({ step, reason }) => `${step} (${reason.replace("-", " ")})`);
      return [
        ...directions.flatMap((direction) => {
          const list = matched.steps.flatMap((step) => step[direction]?.speed ?? []);
          return at(`${matched.name}, ${direction}`, list.length ? list : undefined, speed);
        }),
        `${matched.name}: within ${speed(matched.within)} at every step that it reaches, 19 times in 20.`,
        ...(missed.length ? [`Out of reach: step ${[...new Set(missed)].join(", ")}.`] : []),
      ];
    }),
    ...at("Drive level of the table, 0 to 255", levels, level),
  ].join(" ");
}

function checkContent({ title, levels, target, locomotives, unit }: SpeedPicture): void {
  const problems = new Problems();
  problems.text("title", title);
  if (unit !== undefined) problems.option("unit", Object.keys(speedUnits) as SpeedUnit[], unit);
  if (levels !== undefined)
    problems.numbers("levels", levels, { ...levelLimits, whole: false }, [14, tableSteps, 126]);
  if (target !== undefined) problems.numbers("target", target, speedLimits, [tableSteps]);
  if (levels === undefined && !locomotives?.length && target === undefined)
    problems.add(nothingToShow({}, { path: "levels" }));
  problems.throwIfAny();
}
