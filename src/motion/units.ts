// Inside, everything is metres, seconds and metres a second. These convert at the edge. The factors
// are exact: the international inch is 25.4 mm, the foot 12 of them, the mile 5,280 feet.

const metresPerInch = 0.0254;
const metresPerSecondPerMph = 0.44704;

/**
 * Miles an hour, in metres a second.
 * @param speed Miles an hour.
 * @example
 * import { mph } from "cvset/motion";
 * mph(100); // 44.704
 */
/* @__NO_SIDE_EFFECTS__ */
export function mph(speed: number): number {
  return speed * metresPerSecondPerMph;
}

/**
 * Kilometres an hour, in metres a second.
 * @param speed Kilometres an hour.
 * @example
 * import { kmh } from "cvset/motion";
 * kmh(36); // 10
 */
/* @__NO_SIDE_EFFECTS__ */
export function kmh(speed: number): number {
  return speed / 3.6;
}

/**
 * Metres a second, in miles an hour.
 * @param speed Metres a second.
 * @example
 * import { toMph } from "cvset/motion";
 * toMph(44.704); // 100
 */
/* @__NO_SIDE_EFFECTS__ */
export function toMph(speed: number): number {
  return speed / metresPerSecondPerMph;
}

/**
 * Metres a second, in kilometres an hour.
 * @param speed Metres a second.
 * @example
 * import { toKmh } from "cvset/motion";
 * toKmh(10); // 36
 */
/* @__NO_SIDE_EFFECTS__ */
export function toKmh(speed: number): number {
  return speed * 3.6;
}

/**
 * Inches, in metres.
 * @param length Inches.
 * @example
 * import { inches } from "cvset/motion";
 * inches(100); // 2.54
 */
/* @__NO_SIDE_EFFECTS__ */
export function inches(length: number): number {
  return length * metresPerInch;
}

/**
 * Feet, in metres.
 * @param length Feet.
 * @example
 * import { feet } from "cvset/motion";
 * feet(10); // 3.048
 */
/* @__NO_SIDE_EFFECTS__ */
export function feet(length: number): number {
  return (length * 12 * 254) / 10000;
}

/**
 * Centimetres, in metres.
 * @param length Centimetres.
 * @example
 * import { centimetres } from "cvset/motion";
 * centimetres(150); // 1.5
 */
/* @__NO_SIDE_EFFECTS__ */
export function centimetres(length: number): number {
  return length / 100;
}
