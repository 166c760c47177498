import {
  type Axis,
  across,
  axes,
  type KeyEntry,
  key,
  label,
  line,
  type Panel,
  picture,
  up,
  width,
} from "./chart.js";
import { type Limits, Problems } from "./problems.js";
import { badScale, tryScaleRatio } from "./scale.js";
import type { Profile, ProfilePoint } from "./stopping.js";
import { plain, ticks } from "./svg.js";
import { feet, inches, toKmh, toMph } from "./units.js";

/** What a picture of a stop shows. */
export interface StoppingPicture {
  /** What it is a picture of, such as the name of the locomotive. */
  readonly title: string;
  /** The way to the stop, see {@link momentumProfile}; or that of a {@link BrakingPlan}. */
  readonly profile: Profile;
  /** How far it runs on before braking begins, m at full size. Default 0. */
  readonly runOn?: number;
  /** Where the mark is, m at full size from the beginning. */
  readonly mark?: number;
  /** The unit of the speed axis. Default `"mph"`. */
  readonly unit?: "mph" | "km/h";
  /** The unit of the distance axis; `"cm"` and `"in"` are on the model's track. Default `"m"`, full size. */
  readonly length?: "m" | "ft" | "cm" | "in";
  /** The scale, needed for distances on the model's track; see {@link scaleRatio}. */
  readonly scale?: string | number;
}

const units = {
  m: { metres: 1, label: "Distance at full size (m)" },
  ft: { metres: /* @__PURE__ */ feet(1), label: "Distance at full size (ft)" },
  cm: { metres: 0.01, label: "Distance on the track (cm)" },
  in: { metres: /* @__PURE__ */ inches(1), label: "Distance on the track (in)" },
};

/**
 * A picture of a stop (or any change of speed) as SVG text: the speed over the distance, with the time
 * marked along the way. It has a title and a text alternative, and turns dark where the reader's screen is.
 * @param content What to show.
 * @throws `CvError` with everything that is wrong.
 * @example
 * import { momentumProfile, stoppingPicture } from "cvset/motion";
 * const speeds = Array.from({ length: 28 }, (_, i) => i / 2);
 * const profile = momentumProfile({ speeds, from: 28, momentum: 10 });
 * stoppingPicture({ title: "No. 9", profile, length: "cm", scale: "O" }).startsWith("<svg"); // true
 */
/* @__NO_SIDE_EFFECTS__ */
export function stoppingPicture(content: StoppingPicture): string {
  checkContent(content);
  const { title, profile, runOn = 0, mark, unit = "mph", length = "m", scale } = content;
  const convert = unit === "mph" ? toMph : toKmh;
  const onTrack = length === "cm" || length === "in";
  const ratio = onTrack ? (tryScaleRatio(scale) as number) : 1;
  const far = (metres: number): number => metres / ratio / units[length].metres;
  const end = runOn + profile.distance;
  const xTicks = ticks(far(Math.max(end, mark ?? 0)), 7);
  const yTicks = ticks(Math.max(...profile.points.map(({ speed }) => convert(speed))), 5);
  const x: Axis = { label: units[length].label, ticks: xTicks, from: 0, to: xTicks.at(-1) as number };
  const y: Axis = { label: `Scale speed (${unit})`, ticks: yTicks, from: 0, to: yTicks.at(-1) as number };
  const panel: Panel = { left: 64, right: width - 24, top: 96, bottom: 316 };
  const first = profile.points[0] as ProfilePoint;
  const place = (distance: number, speed: number) =>
    [across(panel, x, far(distance)), up(panel, y, convert(speed))] as const;
  const way = curved(profile.points).map(({ distance, speed }) => place(runOn + distance, speed));
  const parts = [axes(panel, x, y), line([place(0, first.speed), ...way], "forward")];
  const entries: KeyEntry[] = [{ look: "forward", text: "speed on the way" }];
  if (mark !== undefined) {
    const at = across(panel, x, far(mark));
    const ends = [panel.bottom, panel.top].map((end) => [at, end] as const);
    parts.push(line(ends, "mark"));
    entries.push({ look: "mark", text: "mark" });
  }
  const last = profile.points.at(-1) as ProfilePoint;
  const [lastX, lastY] = place(runOn + profile.distance, last.speed);
  for (const { seconds, distance, speed } of timeMarks(profile)) {
    const [cx, cy] = place(runOn + distance, speed);
    const isLast = seconds === profile.seconds;
    if (!isLast && Math.hypot(cx - lastX, cy - lastY) < 40) continue;
    parts.push(`<circle class="cvset-forward-fill" cx="${cx.toFixed(2)}" cy="${cy.toFixed(2)}" r="3.5"/>`);
    // Inside the bend of the way, where nothing else is: left of it when braking, right when starting.
    const side = last.speed <= first.speed ? -1 : 1;
    const drop = cy > panel.bottom - 20 ? -6 : 15;
    parts.push(
      label(cx + 8 * side, cy + drop, `${plain(seconds)} s`, "cvset-soft", side < 0 ? "end" : "start"),
    );
  }
  parts.unshift(key(entries).drawn);
  const text = (metres: number): string => `${plain(far(metres))} ${length}${onTrack ? " of track" : ""}`;
  const from = `From ${plain(convert(first.speed))} ${unit}`;
  const to = last.speed === 0 ? "to a stop" : `to ${plain(convert(last.speed))} ${unit}`;
  const description = [
    `${from} ${to} in ${plain(profile.seconds)} s over ${text(profile.distance)}.`,
    ...(runOn > 0 ? [`Before that it runs on for ${text(runOn)}.`] : []),
    ...(mark === undefined ? [] : [`The mark is at ${text(mark)}; the end of the way at ${text(end)}.`]),
  ].join(" ");
  return picture(title, description, 368, parts);
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
  if (typeof title !== "string") {
    problems.issues.push({ code: "type", path: "title", expected: "a text", found: title });
  }
  if (!Array.isArray(profile?.points) || profile.points.length === 0) {
    problems.issues.push({
      code: "type",
      path: "profile",
      expected: "a profile with points",
      found: profile,
    });
  } else {
    const limits: Limits = { min: 0, max: 1e6 };
    profile.points.forEach((point, i) => {
      for (const name of ["seconds", "distance", "speed"] as const) {
        problems.number(`profile.points.${i}.${name}`, point[name], limits);
      }
    });
  }
  if (runOn !== undefined) problems.number("runOn", runOn, metres);
  if (mark !== undefined) problems.number("mark", mark, metres);
  if (unit !== undefined && unit !== "mph" && unit !== "km/h") {
    problems.option("unit", ["mph", "km/h"], unit);
  }
  if (length !== undefined && !Object.hasOwn(units, length)) {
    problems.option("length", Object.keys(units), length);
  }
  const onTrack = length === "cm" || length === "in";
  if ((onTrack || scale !== undefined) && tryScaleRatio(scale) === undefined) {
    problems.issues.push(badScale("scale", scale));
  }
  problems.throwIfAny();
}
