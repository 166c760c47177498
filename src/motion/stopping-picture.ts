import { aNumber, anObject, listOf, need, needIn, objectOf } from "../cv/argument.js";
import { notAnObject } from "../cv/faults.js";
import { fault } from "../cv/issue.js";
import {
  type Axis,
  across,
  axes,
  classOf,
  coordinate,
  dressed,
  type KeyEntry,
  key,
  label,
  line,
  type Panel,
  type Point,
  picture,
  plain,
  ticks,
  up,
  width,
} from "./chart.js";
import { type Limits, Problems } from "./problems.js";
import { readScale } from "./scale.js";
import type { Profile, ProfilePoint } from "./stopping.js";
import { type SpeedUnit, speedUnits } from "./units.js";

const noPoints = /* @__PURE__ */ fault("profile-points", "expected a profile with points, got {found}");
const needsScale = /* @__PURE__ */ fault("picture-scale", "distances on the track need the scale");

const units = {
  m: { metres: 1, label: "Distance at full size (m)" },
  ft: { metres: 0.3048, label: "Distance at full size (ft)" },
  cm: { metres: 0.01, label: "Distance on the track (cm)" },
  in: { metres: 0.0254, label: "Distance on the track (in)" },
} as const;

/** What a picture of a stop shows. */
interface StoppingPicture {
  readonly title: string;
  readonly profile: Profile;
  readonly runOn?: number;
  readonly mark?: number;
  readonly unit?: "mph" | "km/h";
  readonly length?: "m" | "ft" | "cm" | "in";
  readonly scale?: string;
}

// The points of the profile are looked at with their range.
const aPicture = /* @__PURE__ */ objectOf({
  profile: /* @__PURE__ */ objectOf({
    seconds: aNumber,
    distance: aNumber,
    points: /* @__PURE__ */ listOf(/* @__PURE__ */ objectOf({ step: aNumber })),
  }),
});

/**
 * A picture of a stop (or any change of speed) as SVG text: the speed over the distance, with the time
 * marked along the way. It has a title and a text alternative, is dark where the reader's screen is, and can be read
 * from 320 px of width on.
 * @param content `title`: what it is a picture of. `profile`: the way to the stop, see {@link momentumProfile}, or the
 * `braking` of {@link brakeToMark}. `runOn`: how far it runs on before braking begins, m at full size, default 0. `mark`:
 * where the mark is, m at full size from the beginning. `unit`: of the speed axis, default `"mph"`. `length`: of the
 * distance axis, default `"m"`, full size; `"cm"` and `"in"` are on the model's track and need the `scale`.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { momentumProfile, stoppingPicture } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i / 2);
 * const profile = momentumProfile({ speeds, from: 28, momentum: 10 });
 * stoppingPicture({ title: "No. 9", profile, length: "cm", scale: "O" }).startsWith("<svg"); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function stoppingPicture(content: {
  readonly title: string;
  readonly profile: Profile;
  readonly runOn?: number;
  readonly mark?: number;
  readonly unit?: "mph" | "km/h";
  readonly length?: "m" | "ft" | "cm" | "in";
  readonly scale?: string;
}): string {
  need(anObject, content, "content");
  checkContent(content);
  needIn(aPicture, content, "content");
  const { title, profile, runOn = 0, mark, unit = "mph", length = "m", scale } = content;
  const convert = speedUnits[unit];
  const onTrack = length === "cm" || length === "in";
  const ratio = onTrack ? (readScale(scale) as number) : 1;
  const far = (metres: number): number => metres / ratio / units[length].metres;
  const end = runOn + profile.distance;
  const fastest = profile.points.reduce((most, { speed }) => Math.max(most, convert(speed)), 0);
  const xTicks = ticks(far(Math.max(end, mark ?? 0)), 5);
  const yTicks = ticks(fastest, 5);
  const x: Axis = { label: units[length].label, ticks: xTicks, from: 0, to: xTicks.at(-1) as number };
  const y: Axis = { label: `Scale speed (${unit})`, ticks: yTicks, from: 0, to: yTicks.at(-1) as number };
  const entries: KeyEntry[] = [{ line: 0, text: "speed on the way" }];
  if (mark !== undefined) entries.push({ line: "mark", text: "mark" });
  const { drawn, bottom } = key(entries);
  const panel: Panel = { left: 44, right: width - 16, top: bottom + 26, bottom: bottom + 196 };
  const first = profile.points[0] as ProfilePoint;
  const last = profile.points.at(-1) as ProfilePoint;
  const place = (distance: number, speed: number): Point => [
    across(panel, x, far(distance)),
    up(panel, y, convert(speed)),
  ];
  const way = curved(profile.points).map(({ distance, speed }) => place(runOn + distance, speed));
  const parts = [drawn, axes(panel, x, y), line([place(0, first.speed), ...way], 0)];
  if (mark !== undefined) {
    const at = across(panel, x, far(mark));
    parts.push(line([[at, panel.bottom], [at, panel.top]], "mark")); // biome-ignore format: one line
  }
  const [lastX, lastY] = place(end, last.speed);
  for (const { seconds, distance, speed } of timeMarks(profile)) {
    const [cx, cy] = place(runOn + distance, speed);
    const isLast = seconds === profile.seconds;
    if (!isLast && Math.hypot(cx - lastX, cy - lastY) < 30) continue;
    parts.push(
      `<circle ${dressed(`${classOf(0)}-fill`)} cx="${coordinate(cx)}" cy="${coordinate(cy)}" r="2.8"/>`,
    );
    // Inside the bend of the way, where nothing else is: left of it when braking, right when starting.
    const side = last.speed <= first.speed ? -1 : 1;
    // At the left edge there is room on the right only.
    const anchor = side < 0 && cx > panel.left + 34 ? "end" : "start";
    const drop = cy > panel.bottom - 16 ? -6 : 13;
    parts.push(
      label(cx + (anchor === "end" ? -6 : 6), cy + drop, `${plain(seconds)} s`, "cvset-soft", anchor),
    );
  }
  const text = (metres: number): string => `${plain(far(metres))} ${length}${onTrack ? " of track" : ""}`;
  const from = `From ${plain(convert(first.speed))} ${unit}`;
  const to = last.speed === 0 ? "to a stop" : `to ${plain(convert(last.speed))} ${unit}`;
  const description = [
    `${from} ${to} in ${plain(profile.seconds)} s over ${text(profile.distance)}.`,
    ...(runOn > 0 ? [`Before that it runs on for ${text(runOn)}.`] : []),
    ...(mark === undefined ? [] : [`The mark is at ${text(mark)}; the end of the way at ${text(end)}.`]),
  ].join(" ");
  return picture(title, description, panel.bottom + 40, parts);
}

/** The points with some between them: over the distance, even braking is not a straight line. */
function curved(points: readonly ProfilePoint[]): { distance: number; speed: number }[] {
  const parts = points.length > 60 ? 1 : 6;
  return points.flatMap((b, i) => {
    const a = points[i - 1];
    if (!a) return [b];
    const seconds = b.seconds - a.seconds;
    return Array.from({ length: parts }, (_, k) => {
      const part = (k + 1) / parts;
      const speed = a.speed + (b.speed - a.speed) * part;
      return { distance: a.distance + ((a.speed + speed) / 2) * seconds * part, speed };
    });
  });
}

/** The way at round times, its beginning and end. */
function timeMarks({ points, seconds: total }: Profile): ProfilePoint[] {
  const last = points.at(-1) as ProfilePoint;
  if (total === 0) return [last];
  const inner = ticks(total, 5).filter((seconds) => seconds < total);
  const at = inner.map((seconds): ProfilePoint => {
    const i = Math.max(
      1,
      points.findIndex((point) => point.seconds >= seconds),
    );
    const [a, b] = [points[i - 1] as ProfilePoint, points[i] as ProfilePoint];
    const part = (seconds - a.seconds) / (b.seconds - a.seconds);
    const speed = a.speed + (b.speed - a.speed) * part;
    const distance = a.distance + ((a.speed + speed) / 2) * (seconds - a.seconds);
    return { step: a.step, seconds, distance, speed };
  });
  return [...at, last];
}

function checkContent({ title, profile, runOn, mark, unit, length, scale }: StoppingPicture): void {
  const problems = new Problems();
  const metres: Limits = { min: 0, max: 1e6, unit: "m" };
  problems.text("title", title);
  if (typeof profile !== "object" || profile === null) {
    problems.add(notAnObject({ found: profile }, { path: "profile" }));
  } else if (!Array.isArray(profile.points) || profile.points.length === 0) {
    problems.add(noPoints({ found: profile.points }, { path: "profile" }));
  } else {
    const limits: Limits = { min: 0, max: 1e6 };
    profile.points.forEach((point, i) => {
      for (const name of ["seconds", "distance", "speed"] as const) {
        problems.number(`profile.points.${i}.${name}`, point?.[name], limits);
      }
    });
  }
  if (runOn !== undefined) problems.number("runOn", runOn, metres);
  if (mark !== undefined) problems.number("mark", mark, metres);
  if (unit !== undefined) problems.option("unit", Object.keys(speedUnits) as SpeedUnit[], unit);
  if (length !== undefined) problems.option("length", Object.keys(units), length);
  if (scale !== undefined) {
    const read = readScale(scale, "scale");
    if (typeof read !== "number") problems.add(read);
  } else if (length === "cm" || length === "in") problems.add(needsScale({}, { path: "scale" }));
  problems.throwIfAny();
}
