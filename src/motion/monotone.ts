import { CvError, type Issue } from "../cv/index.js";

// The slopes are those of M. Steffen, "A simple method for monotonic interpolation in one dimension"
// (Astronomy and Astrophysics 239, 1990) [from memory]: never steeper than twice the flatter of the two
// neighbouring chords, and 0 where the data turn. So the curve never leaves the range of two neighbours.

/** A smooth curve through points, that rises where they rise and never overshoots. */
export interface MonotoneCurve {
  /** The value at `x`; before the first and after the last point, that point's own value. */
  at(x: number): number;
}

/**
 * The smooth curve (monotone cubic) through points, at chosen places. Between two points it stays
 * between their values: it never overshoots. Outside the points it keeps the value of the end.
 * @param xs Where the points are, rising.
 * @param ys Their values, as many.
 * @param at Where the curve is wanted, rising.
 * @returns One value for each entry of `at`.
 * @throws `CvError` for fewer than two points, numbers that are not finite, or an `xs` or `at`
 * that does not rise.
 * @example
 * import { monotoneCubic } from "cvset/motion";
 * monotoneCubic([0, 1, 2], [0, 1, 4], [0, 0.5, 1, 1.5, 2, 3]); // [0, 0.3125, 1, 2.3125, 4, 4]
 */
/* @__NO_SIDE_EFFECTS__ */
export function monotoneCubic(xs: readonly number[], ys: readonly number[], at: readonly number[]): number[] {
  const n = xs.length;
  const count = at.length;
  if (n < 2 || ys.length !== n) throw badPoints(xs, ys);
  // One walk along points and places together; each slope is worked out once, in local numbers.
  const out = new Array<number>(count);
  let k = 0;
  let before = -Infinity;
  let x0 = xs[0] as number;
  let y0 = ys[0] as number;
  let x1 = xs[1] as number;
  let y1 = ys[1] as number;
  let h = x1 - x0;
  let chord = (y1 - y0) / h;
  let slope0 = chord;
  if (!(h > 0 && h < Infinity) || chord - chord !== 0) throw badPoints(xs, ys);
  for (let i = 1; ; i++) {
    let nextX = 0;
    let nextY = 0;
    let nextH = 0;
    let nextChord = 0;
    let slope1 = chord;
    if (i < n - 1) {
      nextX = xs[i + 1] as number;
      nextY = ys[i + 1] as number;
      nextH = nextX - x1;
      nextChord = (nextY - y1) / nextH;
      if (!(nextH > 0 && nextH < Infinity) || nextChord - nextChord !== 0) throw badPoints(xs, ys);
      slope1 = innerSlope(h, chord, nextH, nextChord);
      if (i === 1) slope0 = (3 * chord - slope1) / 2;
    } else if (n > 2) slope1 = (3 * chord - slope0) / 2;
    const bend = 3 * chord - 2 * slope0 - slope1;
    const twist = slope0 + slope1 - 2 * chord;
    const low = Math.min(y0, y1);
    const high = Math.max(y0, y1);
    for (; k < count; k++) {
      const x = at[k] as number;
      if (x >= x1) break;
      if (!(x >= before)) throw badPlaces(at);
      before = x;
      const t = x - x0;
      const u = t / h;
      let y = t > 0 ? y0 + t * (slope0 + u * (bend + u * twist)) : y0;
      // Rounding in the last digit must not break the promise of staying between two neighbours.
      if (y < low) y = low;
      else if (y > high) y = high;
      out[k] = y;
    }
    if (i === n - 1) break;
    x0 = x1;
    y0 = y1;
    x1 = nextX;
    y1 = nextY;
    h = nextH;
    chord = nextChord;
    slope0 = slope1;
  }
  for (; k < count; k++) {
    const x = at[k] as number;
    if (!(x >= before)) throw badPlaces(at);
    before = x;
    out[k] = y1;
  }
  return out;
}

/**
 * The same curve, prepared once and then asked in any order.
 * @throws `CvError` for fewer than two points, numbers that are not finite, or `xs` that do not rise.
 */
export function monotoneCurve(xs: readonly number[], ys: readonly number[]): MonotoneCurve {
  const n = xs.length;
  if (n < 2 || ys.length !== n) throw badPoints(xs, ys);
  const x = Float64Array.from(xs);
  const y = Float64Array.from(ys);
  const chord = new Float64Array(n - 1);
  for (let i = 0; i < n - 1; i++) {
    const h = (x[i + 1] as number) - (x[i] as number);
    chord[i] = ((y[i + 1] as number) - (y[i] as number)) / h;
    if (!(h > 0 && h < Infinity) || !Number.isFinite(chord[i])) throw badPoints(xs, ys);
  }
  const slope = new Float64Array(n);
  for (let i = 1; i < n - 1; i++) {
    const [a, b, c] = [x[i - 1] as number, x[i] as number, x[i + 1] as number];
    slope[i] = innerSlope(b - a, chord[i - 1] as number, c - b, chord[i] as number);
  }
  const first = chord[0] as number;
  const last = chord[n - 2] as number;
  slope[0] = n > 2 ? (3 * first - (slope[1] as number)) / 2 : first;
  slope[n - 1] = n > 2 ? (3 * last - (slope[n - 2] as number)) / 2 : last;
  return {
    at(at) {
      let low = 0;
      let high = n - 1;
      if (at <= (x[0] as number)) return y[0] as number;
      if (at >= (x[high] as number)) return y[high] as number;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if ((x[middle] as number) <= at) low = middle;
        else high = middle;
      }
      const h = (x[high] as number) - (x[low] as number);
      const t = at - (x[low] as number);
      const [c, s0, s1] = [chord[low] as number, slope[low] as number, slope[high] as number];
      const u = t / h;
      const value = (y[low] as number) + t * (s0 + u * (3 * c - 2 * s0 - s1 + u * (s0 + s1 - 2 * c)));
      return between(y[low] as number, value, y[high] as number);
    },
  };
}

// As above: the last digit must not leave the range of two neighbours.
function between(a: number, value: number, b: number): number {
  return a <= b ? Math.min(Math.max(value, a), b) : Math.min(Math.max(value, b), a);
}

function innerSlope(h0: number, chord0: number, h1: number, chord1: number): number {
  if (chord0 * chord1 <= 0) return 0;
  const parabola = (chord0 * h1 + chord1 * h0) / (h0 + h1) / 2;
  if (chord0 > 0) return 2 * Math.min(chord0, chord1, parabola);
  return 2 * Math.max(chord0, chord1, parabola);
}

function badPoints(xs: readonly number[], ys: readonly number[]): CvError {
  const n = xs.length;
  if (n < 2 || ys.length !== n) {
    const expected = `two points or more, with as many values as places; here are ${n} places and ${ys.length} values`;
    return new CvError([{ code: "content", path: "points", expected }]);
  }
  const issues = xs.flatMap((x, i): Issue[] => {
    const path = `points.${i}`;
    if (!Number.isFinite(x) || !Number.isFinite(ys[i])) {
      const expected = "must have a finite place and value";
      return [{ code: "content", path, expected, found: `${x} and ${ys[i]}` }];
    }
    if (i === 0 || !(x <= (xs[i - 1] as number))) return [];
    return [{ code: "content", path, expected: `must be above the place before it, ${xs[i - 1]}`, found: x }];
  });
  if (issues.length) return new CvError(issues);
  return new CvError([{ code: "content", path: "points", expected: "must not be so far apart" }]);
}

function badPlaces(at: readonly number[]): CvError {
  const i = at.findIndex((x, k) => !(x >= (k === 0 ? -Infinity : (at[k - 1] as number))));
  const expected = "must be a number that is not below the one before it";
  return new CvError([{ code: "content", path: `at.${i}`, expected, found: at[i] }]);
}
