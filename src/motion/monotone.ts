// The slopes are those of M. Steffen, "A simple method for monotonic interpolation in one dimension"
// (Astronomy and Astrophysics 239, 1990) [from memory]: never steeper than twice the flatter of the two
// neighbouring chords, and 0 where the data turn. So the curve never leaves the range of two neighbours.

/**
 * The smooth curve (monotone cubic) through points, at chosen places. Between two points it stays
 * between their values: it never overshoots. Outside the points it keeps the value of the end.
 * @param xs Where the points are, rising; two or more.
 * @param ys Their values, as many.
 * @param at Where the values of the curve are needed, not falling.
 * @returns One value for each entry of `at`.
 */
export function monotoneCubic(xs: readonly number[], ys: readonly number[], at: readonly number[]): number[] {
  const n = xs.length;
  const count = at.length;
  // One walk along points and places together; each slope is worked out once, in local numbers.
  const out = new Array<number>(count);
  let k = 0;
  let x0 = xs[0] as number;
  let y0 = ys[0] as number;
  let x1 = xs[1] as number;
  let y1 = ys[1] as number;
  let h = x1 - x0;
  let chord = (y1 - y0) / h;
  let slope0 = chord;
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
  for (; k < count; k++) out[k] = y1;
  return out;
}

function innerSlope(h0: number, chord0: number, h1: number, chord1: number): number {
  if (chord0 * chord1 <= 0) return 0;
  const parabola = (chord0 * h1 + chord1 * h0) / (h0 + h1) / 2;
  if (chord0 > 0) return 2 * Math.min(chord0, chord1, parabola);
  return 2 * Math.max(chord0, chord1, parabola);
}
