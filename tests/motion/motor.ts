import { mph, type SpeedSample } from "cvset/motion";
import { normal, seeded } from "./helpers.js";

/** A motor with its gears: an invented law, with what real ones have. */
export interface Motor {
  /** The lowest level at which it turns. */
  readonly startsAt: number;
  /** The full-size speed at a level, m/s, without noise. */
  speedAt(level: number): number;
}

/** A motor with a dead zone, stiction, a bent response and saturation. */
export function randomMotor(seed: number): Motor {
  const random = seeded(seed);
  const within = (low: number, high: number): number => low + random() * (high - low);
  const deadZone = within(0, 50);
  // Stiction: it needs this much more than the dead zone to break loose, and then jumps to its speed.
  const startsAt = Math.ceil(deadZone + within(1, 8));
  const saturation = within(170, 300);
  const top = mph(within(35, 110));
  const bend = within(0.75, 1.4);
  return {
    startsAt,
    speedAt(level) {
      if (level < startsAt) return 0;
      return top * Math.min(1, (level - deadZone) / (saturation - deadZone)) ** bend;
    },
  };
}

/** What an installer times: where it stands, where it starts, and some levels above, five times each. */
export function measured(motor: Motor, seed: number): SpeedSample[] {
  const random = seeded(seed + 1_000_000);
  const first = motor.startsAt;
  const levels = [0, 1, 2, 4, 6, 9, 12, 16, 21, 27, 34, 42].map((above) => first + above);
  for (let level = first + 52; level < 255; level += 10) levels.push(level);
  levels.push(255);
  const samples: SpeedSample[] = [{ level: first - 1, speed: 0 }];
  for (const level of levels) {
    // A thumb on a stopwatch: 0.1 s (standard deviation) over some 30 s.
    for (let i = 0; i < 5; i++) {
      samples.push({ level, speed: motor.speedAt(level) * (1 + 0.0033 * normal(random)) });
    }
  }
  return samples;
}
