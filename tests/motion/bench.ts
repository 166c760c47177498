import { mph, type SpeedSample } from "cvset/motion";
import { normal, seeded } from "./helpers.js";

// A simulated bench: invented motors, a track of 2 m, a stopwatch in the hand. The laws are stated here alone; the
// library knows none of them.

/** How a motor is driven. */
export type Drive = "open-loop" | "pulses" | "back-emf";

/** A motor with its gears. */
export interface Motor {
  readonly drive: Drive;
  /** The lowest level at which it turns. */
  readonly startsAt: number;
  /** The full-size speed at a level, m/s, without noise. */
  speedAt(level: number): number;
}

/** What somebody does at the bench. */
export interface Habit {
  /** Levels that are timed above the one at which the locomotive just runs; 5 to 8 by chance when left out. */
  readonly levels?: number;
  /** Timings at each level. Default 3. */
  readonly timings?: number;
  /** How the levels are spread: 1 evenly, above 1 closer together at the slow end. Default 1.4. */
  readonly spread?: number;
  /** The length of track, m; a second one for runs that take longer than 30 s on the first. Default 2. */
  readonly lengths?: readonly [number, number?];
  /** Only motors of this kind. */
  readonly drive?: Drive;
}

/** One locomotive at the bench. */
export interface Bench {
  readonly motor: Motor;
  readonly ratio: number;
  /** What was timed, level by level. */
  readonly rows: readonly { level: number; length: number; seconds: number[] }[];
  /** A level at which it was seen to stand. */
  readonly stands: number;
}

/** A motor by number. */
export function motorOf(seed: number, only?: Drive): Motor {
  const random = seeded(seed * 7919 + 17);
  const within = (low: number, high: number): number => low + random() * (high - low);
  const kinds = ["open-loop", "pulses", "back-emf"] as const;
  const drive = only ?? (kinds[Math.floor(random() * 3)] as Drive);
  const top = mph(within(30, 80));
  const { startsAt, share } = { "open-loop": openLoop, pulses, "back-emf": backEmf }[drive](within);
  return { drive, startsAt, speedAt: (level) => (level < startsAt ? 0 : top * share(level)) };
}

type Within = (low: number, high: number) => number;
interface Law {
  readonly startsAt: number;
  /** The share of the top speed at a level. */
  share(level: number): number;
}

/** A smooth direct current against friction, which is more at rest than in motion: it breaks loose and jumps. */
function openLoop(within: Within): Law {
  const friction = within(0.03, 0.16);
  const stiction = within(0.005, 0.05);
  const fades = within(0.05, 0.25);
  const bend = within(-0.12, 0.12);
  const full = within(0.85, 1.15);
  const needed = (v: number): number =>
    friction + stiction * Math.exp(-v / fades) + (1 - friction) * (v + bend * v * (1 - v));
  let slowest = 0;
  for (let v = 0; v < 0.5; v += 0.002) if (needed(v) < needed(slowest)) slowest = v;
  return {
    startsAt: Math.ceil((255 * (friction + stiction)) / full),
    share(level) {
      const given = (level / 255) * full;
      let [low, high] = [slowest, 2];
      if (given <= needed(low)) return low;
      for (let i = 0; i < 50; i++) {
        const middle = (low + high) / 2;
        if (needed(middle) < given) low = middle;
        else high = middle;
      }
      return low;
    },
  };
}

/** Pulses of low frequency: a light load runs up early, and then gains little. */
function pulses(within: Within): Law {
  const dead = within(0.02, 0.2);
  const early = within(0.2, 1.6);
  return {
    startsAt: Math.ceil(255 * dead + within(1, 4)),
    share(level) {
      const part = Math.max(0, (level / 255 - dead) / (1 - dead));
      return (part * (1 + early)) / (1 + early * part);
    },
  };
}

/** A decoder that measures the motor's voltage and regulates it: nearly straight, up to what the supply can give. */
function backEmf(within: Within): Law {
  const bend = within(0.92, 1.15);
  const dead = within(0, 0.02);
  const limit = within(0.55, 1.6);
  const corner = within(15, 80);
  const soft = (v: number): number => -Math.log(Math.exp(-corner * v) + Math.exp(-corner * limit)) / corner;
  const at = (level: number): number => soft(Math.max(0, level / 255 - dead) ** bend) - soft(0);
  const full = at(255);
  return {
    startsAt: Math.ceil(255 * dead) + 2 + Math.floor(within(0, 4)),
    share: (level) => at(level) / full,
  };
}

/** A locomotive by number, timed by somebody with some habit. */
export function benchOf(seed: number, habit: Habit = {}): Bench {
  const motor = motorOf(seed, habit.drive);
  const random = seeded(seed * 104729 + 5);
  const within = (low: number, high: number): number => low + random() * (high - low);
  const count = habit.levels ?? 5 + Math.floor(random() * 4);
  const ratio = [160, 304.8 / 3.5, 48][Math.floor(random() * 3)] as number;
  const thumb = within(0.1, 0.3);
  const differs = within(0.005, 0.02);
  const top = Math.round(within(230, 255));
  const { timings = 3, spread = 1.4, lengths = [2] } = habit;
  const levels = [motor.startsAt];
  for (let i = 1; i <= count; i++)
    levels.push(Math.round(motor.startsAt + (top - motor.startsAt) * (i / count) ** spread));
  const rows = levels.map((level) => {
    const pace = ratio / motor.speedAt(level);
    const [long, short = long] = lengths;
    const length = long * pace > 30 ? short : long;
    const seconds = Array.from({ length: timings }, () => {
      const time = length * pace * (1 + differs * normal(random)) + thumb * normal(random);
      return Math.max(0.3, Math.round(time * 100) / 100);
    });
    return { level, length, seconds };
  });
  return { motor, ratio, rows, stands: motor.startsAt - 1 };
}

/** The samples of a bench. */
export function samplesOf({ rows, ratio, stands }: Bench): SpeedSample[] {
  const timed = rows.flatMap(({ level, length, seconds }) =>
    seconds.map((time) => ({ level, speed: (length * ratio) / time, seconds: time })),
  );
  return [{ level: stands, speed: 0 }, ...timed];
}

/** The speeds that somebody asks for: from what it just runs, or 1.5 mph, to 40 mph or nearly all that it has. */
export function askedOf(bench: Bench): { start: number; top: number } {
  const speeds = bench.rows.map(({ length, seconds }) => {
    const sorted = [...seconds].sort((a, b) => a - b);
    return (length * bench.ratio) / (sorted[sorted.length >> 1] as number);
  });
  const fastest = speeds.reduce((most, speed) => Math.max(most, speed), 0);
  return { start: Math.max(speeds[0] as number, mph(1.5)), top: Math.min(0.95 * fastest, mph(40)) };
}

/** The value below which a part of some values lies. */
export function quantile(values: readonly number[], part: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] as number;
}
