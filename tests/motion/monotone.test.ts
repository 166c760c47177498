import { curveMonotoneX } from "d3-shape";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { monotoneCubic } from "../../src/motion/monotone.js";
import { expectNear } from "../support/near.js";
import { real, steps } from "./helpers.js";

/** The Bezier pieces that d3-shape draws, as values at chosen places: x runs evenly within a piece. */
function d3Values(xs: readonly number[], ys: readonly number[], at: readonly number[]): number[] {
  const pieces: number[][] = [];
  let pen = [0, 0];
  const context: unknown = {
    moveTo: (x: number, y: number) => {
      pen = [x, y];
    },
    lineTo: (x: number, y: number) => {
      const [x0, y0] = pen as [number, number];
      pieces.push([x0, y0, y0 + (y - y0) / 3, y0 + ((y - y0) * 2) / 3, x, y]);
      pen = [x, y];
    },
    bezierCurveTo: (x1: number, y1: number, x2: number, y2: number, x: number, y: number) => {
      const [x0, y0] = pen as [number, number];
      expectNear(x1 - x0, (x - x0) / 3, { scale: x });
      expectNear(x - x2, (x - x0) / 3, { scale: x });
      pieces.push([x0, y0, y1, y2, x, y]);
      pen = [x, y];
    },
  };
  const curve = curveMonotoneX(context as Parameters<typeof curveMonotoneX>[0]);
  curve.lineStart();
  xs.forEach((x, i) => {
    curve.point(x, ys[i] as number);
  });
  curve.lineEnd();
  return at.map((x) => {
    const piece = pieces.find((p) => x <= (p[4] as number)) as number[];
    const [x0, y0, y1, y2, x3, y3] = piece as [number, number, number, number, number, number];
    const t = (x - x0) / (x3 - x0);
    const s = 1 - t;
    return s * s * s * y0 + 3 * s * s * t * y1 + 3 * s * t * t * y2 + t * t * t * y3;
  });
}

const points = fc
  .array(
    fc.record({
      gap: real(0.01, 20),
      y: real(-300, 300),
    }),
    { minLength: 2, maxLength: 12 },
  )
  .map((list) => {
    let x = 0;
    return { xs: list.map(({ gap }) => (x += gap)), ys: list.map(({ y }) => y) };
  });
const fractions = fc.array(real(0, 1), { minLength: 1, maxLength: 40 });

function spread(xs: readonly number[], parts: readonly number[]): number[] {
  const [first, last] = [xs[0] as number, xs.at(-1) as number];
  return parts.map((part) => Math.min(last, first + part * (last - first))).sort((a, b) => a - b);
}

describe("the monotone cubic", () => {
  it("equals d3-shape's monotone curve, to eleven digits", () => {
    fc.assert(
      fc.property(points, fractions, ({ xs, ys }, parts) => {
        const at = spread(xs, parts);
        const ours = monotoneCubic(xs, ys, at);
        const scale = Math.max(...ys.map(Math.abs));
        d3Values(xs, ys, at).forEach((value, i) => {
          expectNear(ours[i], value, { within: 1e-11, scale });
        });
      }),
      { numRuns: 2000 },
    );
  });

  it("goes through its points and stays between neighbours", () => {
    fc.assert(
      fc.property(points, fractions, ({ xs, ys }, parts) => {
        expect(monotoneCubic(xs, ys, xs)).toEqual(ys);
        const at = spread(xs, parts);
        monotoneCubic(xs, ys, at).forEach((value, k) => {
          const i = Math.max(
            0,
            xs.findIndex((x) => x >= (at[k] as number)),
          );
          const around = [ys[Math.max(0, i - 1)] as number, ys[i] as number];
          expect(value).toBeGreaterThanOrEqual(Math.min(...around));
          expect(value).toBeLessThanOrEqual(Math.max(...around));
        });
      }),
    );
  });

  it("never falls where the points rise", () => {
    fc.assert(
      fc.property(points, ({ xs, ys }) => {
        const rising = [...ys].sort((a, b) => a - b);
        const at = spread(
          xs,
          Array.from({ length: 200 }, (_, i) => i / 199),
        );
        const values = monotoneCubic(xs, rising, at);
        // The last digit may wobble where the curve is flat.
        const noise = 1e-13 * Math.max(...ys.map(Math.abs));
        expect(values.filter((value, i) => i > 0 && value < (values[i - 1] as number) - noise)).toEqual([]);
      }),
    );
  });

  it("keeps the value of its ends outside", () => {
    expect(monotoneCubic([2, 3, 5], [1, 4, 6], [-9, 2, 5, 80])).toEqual([1, 1, 6, 6]);
    expect(monotoneCubic([1, 28], [0, 27], steps)).toEqual(steps.map((step) => step - 1));
  });
});
