import { defineCodec, typeError } from "../codec/codec.js";
import { level } from "../codec/level.js";
import { CvError } from "../cv/issue.js";
import { cv } from "../cv/place.js";

/** The highest byte. */
const top = 255;

/** The period in microseconds that a byte in CV 9 stands for; it grows with the byte, all 256 of them. */
function periodOf(byte: number): number {
  return (131 + 4 * (byte & 31)) * 2 ** (byte >> 5);
}

/**
 * The value of CV 9 whose pulse width modulation period is nearest to a wanted one, and that period. Of
 * two that are equally near, the shorter.
 *
 * S-9.2.2 (July 2012), CV 9.
 * @param microseconds The wanted period, 131-32640 microseconds.
 * @throws `CvError` when it is not a number or out of range.
 * @example
 * import { nearestPwmPeriod } from "cvset/standard";
 * nearestPwmPeriod(1000); // { value: 94, microseconds: 1004 }
 */
export function nearestPwmPeriod(microseconds: number): { value: number; microseconds: number } {
  const range = `${periodOf(0)} to ${periodOf(top)} us`;
  if (typeof microseconds !== "number" || Number.isNaN(microseconds)) {
    throw typeError(`a number, ${range}`, microseconds);
  }
  if (microseconds < periodOf(0) || microseconds > periodOf(top)) {
    throw new CvError([{ code: "range", path: "", expected: range, found: microseconds }]);
  }
  const below = lastNotAbove(microseconds);
  const above = Math.min(below + 1, top);
  const value = microseconds - periodOf(below) <= periodOf(above) - microseconds ? below : above;
  return { value, microseconds: periodOf(value) };
}

/** The highest byte whose period is not above a period. */
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

/**
 * The total pulse width modulation period of the motor drive, CV 9, in microseconds: (131 + 4m) * 2^e,
 * with m in bits 0-4 and e in bits 5-7, so 131-32640 in 256 steps. Another period is an error that names
 * its neighbours, unless the nearest is asked for.
 *
 * Printed copies of the standard lose the superscript and read "2e". It is taken as a power: only then
 * does 0 give the 131 microseconds that the standard states for it.
 *
 * S-9.2.2 (July 2012), CV 9.
 * @example
 * import { CvSet } from "cvset";
 * import { pwmPeriod } from "cvset/standard";
 * pwmPeriod.decode(CvSet.from({ 9: 0 })); // 131
 * pwmPeriod.encode(1000, { nearest: true }).toJSON().cvs; // { "9": 94 }
 */
export const pwmPeriod = /* @__PURE__ */ definePwmPeriod();

/* @__NO_SIDE_EFFECTS__ */
function definePwmPeriod() {
  const place = cv(9);
  const about = {
    label: "Total PWM period",
    clause: "S-9.2.2 (July 2012), CV 9",
  };
  return defineCodec<number>({
    kind: "pwm-period",
    places: [place],
    about,
    read: (cvs) => periodOf(place.read(cvs)),
    write(cvs, microseconds) {
      const { value, microseconds: stored } = nearestPwmPeriod(microseconds);
      if (stored !== microseconds && !cvs.nearest) {
        const below = lastNotAbove(microseconds);
        const expected = `${periodOf(below)} us and ${periodOf(below + 1)} us`;
        throw new CvError([{ code: "between", path: "", expected, found: microseconds }]);
      }
      place.write(cvs, value);
    },
    text: (microseconds) => `${microseconds} us`,
    schema: () => ({ type: "integer", minimum: periodOf(0), maximum: periodOf(top) }),
    // In JSON it is the same list of values, pair by pair; only the search for the nearest is lost.
    describe: () => ({
      codec: "converted",
      item: level(place).describe(),
      pairs: Array.from({ length: top + 1 }, (_, byte) => [byte, periodOf(byte)]),
    }),
  });
}

/**
 * The speed step above which back-EMF control cuts off, CV 10: 1-128. The standard gives 0 no meaning;
 * `"not-used"` for it is common practice.
 *
 * S-9.2.2 (July 2012), CV 10.
 * @example
 * import { feedbackCutout } from "cvset/standard";
 * feedbackCutout.encode(64).toJSON().cvs; // { "10": 64 }
 */
export const feedbackCutout = /* @__PURE__ */ level(/* @__PURE__ */ cv(10), {
  min: 1,
  max: 128,
  names: { "not-used": 0 },
  label: "EMF feedback cutout",
  note: "Speed step above which back-EMF control cuts off.",
  clause: "S-9.2.2 (July 2012), CV 10",
});
