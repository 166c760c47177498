import { brakeToMark, momentumForStop, momentumProfile } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { expectNear } from "../support/near.js";
import { pathsOf, real } from "./helpers.js";

const evenly = (count: number, top: number): number[] =>
  Array.from({ length: count }, (_, i) => (top * (i + 1)) / count);

const speedsOf = (count: number) =>
  fc
    .array(real(0, 40), { minLength: count, maxLength: count })
    .map((list) => [...list].sort((a, b) => a - b));
const anySpeeds = fc.constantFrom(14, 28, 126).chain(speedsOf);

/** The distance by small slices of time: the step falls evenly, the speed lies between two steps' speeds. */
function sliced(speeds: readonly number[], from: number, to: number, momentum: number): number {
  const slices = 20_000;
  const total = (Math.abs(from - to) * momentum * 0.896) / speeds.length;
  let sum = 0;
  for (let k = 0; k < slices; k++) {
    const step = from + ((to - from) * (k + 0.5)) / slices;
    const below = Math.floor(step);
    const at = (i: number): number => (i === 0 ? 0 : (speeds[Math.min(i, speeds.length) - 1] as number));
    sum += at(below) + (at(below + 1) - at(below)) * (step - below);
  }
  return (sum * total) / slices;
}

describe("the way to a stop", () => {
  it.each([14, 28, 126])(
    "of a linear curve in %i steps is half the speed times the time, and so on",
    (count) => {
      fc.assert(
        fc.property(
          fc.integer({ min: 0, max: 255 }),
          fc.integer({ min: 1, max: count }),
          real(0.1, 40),
          (momentum, from, top) => {
            const { seconds, distance, points } = momentumProfile({
              speeds: evenly(count, top),
              from,
              momentum,
            });
            const full = momentum * 0.896;
            expectNear(seconds, (full * from) / count);
            expectNear(distance, ((top * full) / 2) * (from / count) ** 2);
            expect(points).toHaveLength(from + 1);
            // On the way, distance = v0 t - a t^2 / 2.
            for (const point of points) {
              const speed = (top * from) / count;
              const slowing = full === 0 ? 0 : top / full;
              const t = point.seconds;
              expectNear(point.distance, speed * t - (slowing * t * t) / 2, { scale: speed * t });
            }
          },
        ),
      );
    },
  );

  it("of any curve equals a fine numerical integration", () => {
    fc.assert(
      fc.property(
        anySpeeds,
        fc.nat(),
        fc.nat(),
        fc.integer({ min: 1, max: 255 }),
        (speeds, a, b, momentum) => {
          const [from, to] = [a % (speeds.length + 1), b % (speeds.length + 1)];
          const { distance, seconds, points } = momentumProfile({ speeds, from, to, momentum });
          const wanted = sliced(speeds, from, to, momentum);
          expectNear(distance, wanted, { within: 1e-5 });
          expectNear(seconds, (Math.abs(from - to) * momentum * 0.896) / speeds.length);
          expect(points.at(-1)).toEqual({
            step: to,
            seconds,
            distance,
            speed: to === 0 ? 0 : speeds[to - 1],
          });
        },
      ),
      { numRuns: 100 },
    );
  });

  it("is as long as the way back up", () => {
    fc.assert(
      fc.property(anySpeeds, fc.integer({ min: 0, max: 255 }), (speeds, momentum) => {
        const down = momentumProfile({ speeds, from: speeds.length, momentum });
        const up = momentumProfile({ speeds, from: 0, to: speeds.length, momentum });
        expectNear(up.distance, down.distance);
        expect(up.seconds).toBe(down.seconds);
      }),
    );
  });

  it("without momentum is no way at all", () => {
    const { seconds, distance } = momentumProfile({ speeds: evenly(28, 10), from: 28, momentum: 0 });
    expect([seconds, distance]).toEqual([0, 0]);
  });

  it("from full speed takes exactly CV * 0.896 s", () => {
    for (let momentum = 0; momentum < 256; momentum++) {
      const { seconds } = momentumProfile({ speeds: evenly(28, 10), from: 28, momentum });
      // In decimals, without the noise of binary fractions.
      expect(seconds).toBe((momentum * 896) / 1000);
    }
  });
});

describe("momentum for a stop", () => {
  it("is the nearest of all values, for a distance and for a time", () => {
    fc.assert(
      fc.property(real(0.01, 900), fc.integer({ min: 1, max: 28 }), (asked, from) => {
        const speeds = evenly(28, 12).map((speed) => speed ** 1.3);
        const all = Array.from({ length: 256 }, (_, momentum) => momentumProfile({ speeds, from, momentum }));
        for (const kind of ["distance", "seconds"] as const) {
          const found = momentumForStop({ speeds, from, [kind]: asked });
          const errors = all.map((profile) => Math.abs(profile[kind] - asked));
          expectNear(Math.abs(found.error), Math.min(...errors), { scale: asked });
          expectNear(found.distance, all[found.value]?.distance ?? -1);
          expectNear(found.seconds, all[found.value]?.seconds ?? -1);
          const per = all[1]?.[kind] ?? 0;
          expect(found.limited).toBe(asked / per > 255.5);
        }
      }),
    );
  });
  it("needs a distance or a time, at a step that moves", () => {
    const speeds = [0, ...evenly(27, 12)];
    expect(pathsOf(() => momentumForStop({ speeds, from: 28 }))).toEqual(["distance"]);
    expect(pathsOf(() => momentumForStop({ speeds, from: 28, distance: 1, seconds: 1 }))).toEqual([
      "distance",
    ]);
    expect(pathsOf(() => momentumForStop({ speeds, from: 1, distance: 1 }))).toEqual(["from"]);
    expect(pathsOf(() => momentumForStop({ speeds, from: 28, distance: 0 }))).toEqual(["distance"]);
    expect(pathsOf(() => momentumForStop({ speeds, from: 28, seconds: -1 }))).toEqual(["seconds"]);
  });
});

describe("braking to a mark", () => {
  it("runs on, then stops at the mark", () => {
    // 10 m/s for 5 s, then 10 s of even braking over 50 m.
    const speeds = evenly(28, 10);
    const momentum = 100;
    const plan = brakeToMark({ speeds, from: 28, momentum, distance: 448 + 50 });
    expect(plan.runOn).toBeCloseTo(50, 9);
    expect(plan.runOnSeconds).toBeCloseTo(5, 9);
    expect(plan.seconds).toBeCloseTo(5 + 89.6, 9);
    expect([plan.overshoot, plan.speedAtMark]).toEqual([0, 0]);
    expect(plan.braking.distance).toBeCloseTo(448, 9);
  });
  it("tells how far it runs past a mark that is too near, and how fast it passes it", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 255 }), real(0.01, 0.99), (momentum, part) => {
        const speeds = evenly(28, 10);
        const full = (10 * momentum * 0.896) / 2;
        const plan = brakeToMark({ speeds, from: 28, momentum, distance: full * part });
        expect(plan.runOn).toBe(0);
        expectNear(plan.overshoot, full * (1 - part), { scale: full });
        // v^2 = v0^2 - 2 a s.
        expectNear(plan.speedAtMark, Math.sqrt(100 * (1 - part)));
      }),
    );
  });
  it("at a mark too near on any curve passes at a speed of the steps around", () => {
    fc.assert(
      fc.property(anySpeeds, real(0.01, 0.99), (speeds, part) => {
        const from = speeds.length;
        if (speeds[from - 1] === 0) return;
        const { distance, points } = momentumProfile({ speeds, from, momentum: 50 });
        const mark = distance * part;
        if (mark === 0) return;
        const { speedAtMark } = brakeToMark({ speeds, from, momentum: 50, distance: mark });
        const next = points.findIndex((point) => point.distance >= mark);
        expect(speedAtMark).toBeLessThanOrEqual((points[next - 1]?.speed ?? 0) * (1 + 1e-9));
        expect(speedAtMark).toBeGreaterThanOrEqual((points[next]?.speed ?? 0) * (1 - 1e-9));
      }),
    );
  });
  it("stops dead without momentum, at the mark", () => {
    const plan = brakeToMark({ speeds: evenly(14, 10), from: 14, momentum: 0, distance: 30 });
    expect([plan.runOn, plan.runOnSeconds, plan.seconds, plan.overshoot]).toEqual([30, 3, 3, 0]);
  });
  it("rejects what cannot be", () => {
    const speeds = evenly(28, 10);
    expect(pathsOf(() => brakeToMark({ speeds, from: 0, momentum: 1, distance: 1 }))).toEqual(["from"]);
    expect(pathsOf(() => brakeToMark({ speeds, from: 1, momentum: 1, distance: Number.NaN }))).toEqual([
      "distance",
    ]);
    expect(pathsOf(() => momentumProfile({ speeds: [1, 2], from: 1, momentum: 1 }))).toEqual(["speeds"]);
    expect(pathsOf(() => momentumProfile({ speeds, from: 29, to: -1, momentum: 256 }))).toEqual([
      "from",
      "to",
      "momentum",
    ]);
    const broken = speeds.map((speed, i) => (i === 4 ? Number.NaN : speed));
    expect(pathsOf(() => momentumProfile({ speeds: broken, from: 28, momentum: 1 }))).toEqual(["speeds.4"]);
  });
});
