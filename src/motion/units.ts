import { aNumber, need } from "../cv/argument.js";

// The library computes in metres, seconds, and metres a second at full size. The mile has 1,609.344 m by
// definition, so one mile an hour is 0.44704 m/s exactly.
const metresPerSecondPerMph = 0.44704;

/**
 * Converts miles an hour to metres a second.
 * @param speed Miles an hour.
 * @example
 * import { mph } from "cvset/motion";
 * mph(100); // 44.704
 */
/* @__NO_SIDE_EFFECTS__ */
export function mph(speed: number): number {
  need(aNumber, speed, "speed");
  return speed * metresPerSecondPerMph;
}

/**
 * Converts kilometres an hour to metres a second.
 * @param speed Kilometres an hour.
 * @example
 * import { kmh } from "cvset/motion";
 * kmh(36); // 10
 */
/* @__NO_SIDE_EFFECTS__ */
export function kmh(speed: number): number {
  need(aNumber, speed, "speed");
  return speed / 3.6;
}

/**
 * Converts metres a second to miles an hour.
 * @param speed Metres a second.
 * @example
 * import { toMph } from "cvset/motion";
 * toMph(44.704); // 100
 */
/* @__NO_SIDE_EFFECTS__ */
export function toMph(speed: number): number {
  need(aNumber, speed, "speed");
  return speed / metresPerSecondPerMph;
}

/**
 * Converts metres a second to kilometres an hour.
 * @param speed Metres a second.
 * @example
 * import { toKmh } from "cvset/motion";
 * toKmh(10); // 36
 */
/* @__NO_SIDE_EFFECTS__ */
export function toKmh(speed: number): number {
  need(aNumber, speed, "speed");
  return speed * 3.6;
}

/** The units of length that files and options may use, in metres. The international inch is 25.4 mm. */
export const metresPer = { mm: 0.001, cm: 0.01, m: 1, inches: 0.0254, feet: 0.3048 } as const;

/** The units of speed that are shown, and how metres a second become them. */
export const speedUnits = { mph: toMph, "km/h": toKmh } as const;
export type SpeedUnit = keyof typeof speedUnits;

/** A full-size speed in both units, for messages: `12.3 mph (19.8 km/h)`. */
export function speedText(speed: number): string {
  return `${rounded(toMph(speed))} mph (${rounded(toKmh(speed))} km/h)`;
}

function rounded(value: number): number {
  return Number(value.toPrecision(3));
}
