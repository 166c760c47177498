import { defineCodec } from "../codec/define-codec.js";
import { notANumber, outOfRange } from "../cv/faults.js";
import { CvError, fault } from "../cv/issue.js";
import { cv } from "../cv/place.js";

const betweenPeriods = /* @__PURE__ */ fault(
  "between-periods",
  "{found} us cannot be stored exactly; the nearest are {low} us and {high} us",
);

/** The highest byte. */
const top = 255;

/** The period in microseconds that a byte in CV 9 gives; a higher byte gives a longer period. */
function periodOf(byte: number): number {
  return (131 + 4 * (byte & 31)) * 2 ** (byte >> 5);
}

/** The highest byte whose period is not longer than a period; the period is within the range. */
function lastNotAbove(microseconds: number): number {
  let low = 0;
  let high = top;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (periodOf(middle) <= microseconds) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The byte of a period; with `nearest`, of the period nearest to it, and of two equally near the shorter. */
function byteOf(found: unknown, nearest: boolean): number {
  if (typeof found !== "number" || Number.isNaN(found)) throw new CvError([notANumber({ found })]);
  const [min, max] = [periodOf(0), periodOf(top)];
  if (found < min || found > max) throw new CvError([outOfRange({ found, min, max, unit: " us" })]);
  const below = lastNotAbove(found);
  const low = periodOf(below);
  if (low === found) return below;
  const high = periodOf(below + 1);
  if (!nearest) throw new CvError([betweenPeriods({ found, low, high })]);
  return found - low <= high - found ? below : below + 1;
}

/** The codec of CV 9; see `motor`. */
/* @__NO_SIDE_EFFECTS__ */
export function pwmPeriodCodec() {
  const place = cv(9);
  return defineCodec<number>({
    kind: "pwm-period",
    places: [place],
    about: { label: "Total PWM period", source: "S-9.2.2 (July 2012), CV 9" },
    read: (cvs) => periodOf(place.read(cvs)),
    write: (cvs, microseconds) => place.write(cvs, byteOf(microseconds, cvs.nearest)),
    text: (microseconds) => `${microseconds} us`,
    schema: () => ({ type: "integer", minimum: periodOf(0), maximum: periodOf(top) }),
    // In JSON the 256 periods are a list of pairs; only the nearest period cannot be asked for.
    json: () => ({
      codec: "converted",
      item: { codec: "level", place: place.toJSON() },
      pairs: Array.from({ length: top + 1 }, (_, byte) => [byte, periodOf(byte)]),
    }),
  });
}
