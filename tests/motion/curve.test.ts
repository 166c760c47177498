import { type CurveShape, scaledCurve, speedCurve, tablePatch, targetSpeeds } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { monotoneCubic } from "../../src/motion/monotone.js";
import { expectNear } from "../support/near.js";
import { issuesOf, pathsOf, real, steps } from "./helpers.js";

const ends = fc
  .tuple(fc.integer({ min: 0, max: 255 }), fc.integer({ min: 0, max: 255 }))
  .map(([a, b]) => ({ start: Math.min(a, b), top: Math.max(a, b) }));
const shape = fc.oneof(
  fc.constant({ shape: "linear" as const }),
  fc.record({ shape: fc.constant("power" as const), gamma: real(0.2, 5) }),
  fc.record({
    shape: fc.constant("s-shaped" as const),
    steepness: real(1, 5),
  }),
  fc.constant({ shape: "smooth" as const }),
);

describe("a speed curve", () => {
  it("begins at start, ends at top, never falls, and holds bytes", () => {
    fc.assert(
      fc.property(ends, shape, (given, how) => {
        const { levels, exact, rounding } = speedCurve({ ...given, ...how });
        expect(levels).toHaveLength(28);
        expect([levels[0], levels[27]]).toEqual([given.start, given.top]);
        expect(levels.filter((level, i) => level < (levels[i - 1] ?? 0))).toEqual([]);
        const off = levels.map((level, i) => Math.abs(level - (exact[i] as number)));
        expect(Math.max(...off)).toBe(rounding);
        expect(rounding).toBeLessThanOrEqual(0.5);
        expect(levels.every((level) => Number.isInteger(level) && level >= 0 && level <= 255)).toBe(true);
      }),
    );
  });

  it("is straight unless it says otherwise: start + (top - start) * (step - 1) / 27", () => {
    const { exact } = speedCurve({ start: 4, top: 255 });
    steps.forEach((step, i) => {
      expect(exact[i]).toBeCloseTo(4 + (251 * (step - 1)) / 27, 10);
    });
    const bent = speedCurve({ start: 10, mid: 50, top: 190, midStep: 21 }).exact;
    steps.forEach((step, i) => {
      const wanted = step <= 21 ? 10 + 2 * (step - 1) : 50 + 20 * (step - 21);
      expect(bent[i]).toBeCloseTo(wanted, 10);
    });
  });

  it("as a power follows the fraction raised to gamma", () => {
    const { exact } = speedCurve({ start: 20, top: 220, shape: "power", gamma: 2 });
    steps.forEach((step, i) => {
      expect(exact[i]).toBeCloseTo(20 + 200 * ((step - 1) / 27) ** 2, 10);
    });
    expect(speedCurve({ start: 20, top: 220, shape: "power" }).exact[9]).toBeCloseTo(
      20 + 200 / 27 ** 0.5,
      10,
    );
  });

  it("as an S is symmetrical about its middle, straight at steepness 1", () => {
    const { exact } = speedCurve({ start: 10, top: 210, shape: "s-shaped", steepness: 3 });
    steps.forEach((_, i) => {
      expect((exact[i] as number) + (exact[27 - i] as number)).toBeCloseTo(220, 10);
    });
    const rise = exact.map((level, i) => level - (exact[i - 1] ?? level));
    expect(rise[1]).toBeLessThan(1);
    expect(rise[14]).toBeGreaterThan((3 * 200) / 27 - 1);
    const straight = speedCurve({ start: 10, top: 210, shape: "s-shaped", steepness: 1 }).exact;
    straight.forEach((level, i) => {
      expect(level).toBeCloseTo(10 + (200 * i) / 27, 10);
    });
  });

  it.each(["linear", "power", "s-shaped", "smooth"] as const)(
    "goes through the middle point, shape %s",
    (how) => {
      fc.assert(
        fc.property(
          fc.integer({ min: 0, max: 100 }),
          fc.integer({ min: 2, max: 27 }),
          fc.integer({ min: 1, max: 99 }),
          (start, midStep, above) => {
            const mid = start + above;
            const { exact } = speedCurve({ start, mid, midStep, top: start + 100, shape: how });
            expectNear(exact[midStep - 1], mid);
          },
        ),
      );
    },
  );

  it("when smooth goes through every point, as the monotone cubic does", () => {
    const points = [
      { step: 20, value: 90 },
      { step: 7, value: 30 },
    ];
    const { exact } = speedCurve({ start: 5, mid: 60, top: 200, shape: "smooth", points });
    expect(exact).toEqual(monotoneCubic([1, 7, 14, 20, 28], [5, 30, 60, 90, 200], steps));
  });

  const bad: [string, unknown, string[]][] = [
    ["a top below the start", { start: 9, top: 3 }, ["top"]],
    ["levels that are no bytes", { start: -1, top: 256 }, ["start", "top"]],
    ["no numbers at all", { start: "4", top: Number.NaN }, ["start", "top"]],
    ["a missing top", { start: 4 }, ["top"]],
    ["a middle outside", { start: 4, mid: 3, top: 9 }, ["mid"]],
    ["a middle step at the end", { start: 4, mid: 5, top: 9, midStep: 28 }, ["midStep"]],
    ["a middle step at the start", { start: 4, mid: 5, top: 9, midStep: 1 }, ["midStep"]],
    ["an unknown shape", { start: 4, top: 9, shape: "linaer" }, ["shape"]],
    ["gamma without power", { start: 4, top: 9, gamma: 2 }, ["gamma"]],
    ["gamma beside mid", { start: 4, mid: 6, top: 9, shape: "power", gamma: 2 }, ["gamma"]],
    ["gamma out of range", { start: 4, top: 9, shape: "power", gamma: 0 }, ["gamma"]],
    ["steepness out of range", { start: 4, top: 9, shape: "s-shaped", steepness: 0.5 }, ["steepness"]],
    ["a power with the middle at its start", { start: 4, mid: 4, top: 9, shape: "power" }, ["mid"]],
    ["points of another shape", { start: 4, top: 9, points: [] }, ["points"]],
    ["points that are no list", { start: 4, top: 9, shape: "smooth", points: 3 }, ["points"]],
    ["a point that is none", { start: 4, top: 9, shape: "smooth", points: [null] }, ["points.0"]],
    [
      "points that fall",
      { start: 4, top: 9, shape: "smooth", points: [{ step: 5, value: 8 }, { step: 9, value: 5 }] }, // biome-ignore format: one row
      ["points.1.value"],
    ],
    [
      "a step twice, and the ends again",
      { start: 4, top: 9, shape: "smooth", points: [5, 5, 1].map((step) => ({ step, value: 4 })) },
      ["points.2.step", "points.1.step"],
    ],
    ["several things at once", { start: 300, top: 9, shape: "x", midStep: 0 }, ["start", "midStep", "shape"]],
  ];
  it.each(bad)("rejects %s", (_, given, paths) => {
    expect(pathsOf(() => speedCurve(given as CurveShape))).toEqual(paths);
  });

  it("suggests the shape that was meant", () => {
    const given: unknown = { start: 4, top: 9, shape: "linaer" };
    expect(issuesOf(() => speedCurve(given as CurveShape))[0]?.params["nearest"]).toEqual(["linear"]);
  });

  it("works for speeds too", () => {
    const speeds = targetSpeeds({ start: 0.5, top: 14, shape: "power", gamma: 1.7 });
    speeds.forEach((speed, i) => {
      expect(speed).toBeCloseTo(0.5 + 13.5 * (i / 27) ** 1.7, 12);
    });
    expect(pathsOf(() => targetSpeeds({ start: 3, top: 2 }))).toEqual(["top"]);
  });
});

describe("a scaled curve", () => {
  it("keeps its form: every level its place between the ends", () => {
    const { levels } = speedCurve({ start: 10, top: 250, shape: "s-shaped" });
    const { exact } = scaledCurve(levels, { top: 130 });
    levels.forEach((level, i) => {
      expect(((exact[i] as number) - 10) / 120).toBeCloseTo((level - 10) / 240, 12);
    });
    expect(scaledCurve(levels, { start: 20, top: 130 }).levels[0]).toBe(20);
    expect(scaledCurve(levels, { top: 250 }).levels).toEqual(levels);
  });
  it("rejects what cannot be scaled", () => {
    const flat = steps.map(() => 7);
    expect(pathsOf(() => scaledCurve(flat, { top: 9 }))).toEqual(["levels"]);
    expect(pathsOf(() => scaledCurve([...steps].reverse(), { top: 9 }))).toHaveLength(27);
    expect(pathsOf(() => scaledCurve(steps, { top: 0 }))).toEqual(["top"]);
    expect(pathsOf(() => scaledCurve([1, 2], { top: 9 }))).toEqual(["levels"]);
  });
});

describe("a table as CVs", () => {
  it("is CV 67-94 (S-9.2.2 (July 2012)), and bit 4 of CV 29 on request", () => {
    const levels = steps.map((step) => 3 * step);
    const patch = tablePatch(levels);
    expect(patch.toJSON().bits).toEqual([]);
    expect(Object.entries(patch.toJSON().cvs)).toEqual(steps.map((step) => [String(66 + step), 3 * step]));
    expect(tablePatch(levels, { select: true }).toJSON().bits).toEqual([{ cv: "29", mask: 16, value: 16 }]);
    expect(pathsOf(() => tablePatch(steps.map((step) => (step === 9 ? 8.5 : step))))).toEqual(["levels.8"]);
  });
});
