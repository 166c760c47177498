import { beatFit, beatsPerTurn, mph } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { expectNear } from "../support/near.js";
import { pathsOf, real } from "./helpers.js";

const inches = (length: number): number => 0.0254 * length;
const wheel = { diameter: inches(42) };
/** The true beats a second at a speed. */
const beatRate = (speed: number, of: { diameter: number; beats?: number }): number =>
  beatFit({ levels: [1, 1], speeds: [speed, 1], wheel: of }).steps[0]?.wanted ?? -1;

describe("beats for each turn", () => {
  // Common practice: one beat for each end of each cylinder.
  it.each([
    [{ cylinders: 2 }, 4],
    [{ cylinders: 3 }, 6],
    [{ cylinders: 4 }, 8],
    [{ cylinders: 4, together: 2 }, 4],
    [{ cylinders: 2, gear: 2.5 }, 10],
  ])("of %j are %d", (engine, beats) => {
    expect(beatsPerTurn(engine)).toBe(beats);
  });
  it.each([
    [{ cylinders: 0 }, ["cylinders"]],
    [{ cylinders: 2.5 }, ["cylinders"]],
    [{ cylinders: 3, together: 2 }, ["together"]],
    [{ cylinders: 9, together: 0, gear: 0 }, ["cylinders", "together", "gear"]],
  ])("reject %j", (engine, paths) => {
    expect(pathsOf(() => beatsPerTurn(engine))).toEqual(paths);
  });
});

describe("the beat rate", () => {
  it("is beats * v / (pi * D)", () => {
    // A mile is 63,360 in; at 60 mph, 63360 / (pi * 63) turns a minute, four beats each.
    expect(beatRate(mph(60), { diameter: inches(63) })).toBeCloseTo((4 * 63360) / (Math.PI * 63) / 60, 9);
    fc.assert(
      fc.property(real(0, 60), real(0.2, 3), (speed, diameter) => {
        const rate = beatRate(speed, { diameter });
        expectNear(rate, (4 * speed) / (Math.PI * diameter));
        // One turn carries the locomotive pi * D: four beats in that time.
        if (speed > 1e-300) expectNear((rate * Math.PI * diameter) / speed, 4);
        expectNear(beatRate(speed, { diameter, beats: 6 }), rate * 1.5);
      }),
    );
  });
  it("rejects wheels that are none", () => {
    expect(pathsOf(() => beatRate(-1, { diameter: 0, beats: 0 }))).toEqual([
      "speeds.0",
      "wheel.diameter",
      "wheel.beats",
    ]);
    expect(pathsOf(() => beatRate(Number.NaN, { diameter: Number.NaN }))).toEqual([
      "speeds.0",
      "wheel.diameter",
    ]);
  });
});

describe("a stored beat rate", () => {
  it("fits a straight response exactly, whatever its slope", () => {
    const levels = [20, 100, 200];
    const speeds = levels.map((level) => level / 12);
    const fit = beatFit({ levels, speeds, wheel });
    expect(fit.worst).toBeCloseTo(0, 12);
    expect(fit.perLevel).toBeCloseTo(4 / 12 / (Math.PI * inches(42)), 12);
  });
  it("tells the error of each step", () => {
    const { steps, worst } = beatFit({
      levels: [0, 10, 20, 40],
      speeds: [0, 0, 2, 5],
      wheel: { diameter: 1 / Math.PI, beats: 1 },
      perLevel: 0.11,
    });
    expect(steps).toEqual([
      { step: 1, wanted: 0, played: 0, error: 0 },
      { step: 2, wanted: 0, played: expect.closeTo(1.1, 12) },
      {
        step: 3,
        wanted: expect.closeTo(2, 12),
        played: expect.closeTo(2.2, 12),
        error: expect.closeTo(0.1, 12),
      },
      {
        step: 4,
        wanted: expect.closeTo(5, 12),
        played: expect.closeTo(4.4, 12),
        error: expect.closeTo(-0.12, 12),
      },
    ]);
    expect(worst).toBeCloseTo(0.12, 12);
  });
  it("by default has the least worst error of all", () => {
    const speed = real(0.1, 30);
    const list = fc.array(fc.tuple(fc.integer({ min: 1, max: 255 }), speed), { minLength: 1, maxLength: 28 });
    fc.assert(
      fc.property(list, real(0.5, 2), (pairs, other) => {
        const levels = pairs.map(([level]) => level);
        const speeds = pairs.map(([, value]) => value);
        const best = beatFit({ levels, speeds, wheel });
        const another = beatFit({ levels, speeds, wheel, perLevel: best.perLevel * other });
        expect(another.worst).toBeGreaterThanOrEqual(best.worst * (1 - 1e-9));
      }),
    );
  });
  it("rejects what does not fit together", () => {
    expect(pathsOf(() => beatFit({ levels: [1, 2], speeds: [1], wheel }))).toEqual(["speeds"]);
    expect(pathsOf(() => beatFit({ levels: [0, 2], speeds: [1, 0], wheel }))).toEqual(["speeds"]);
    expect(pathsOf(() => beatFit({ levels: [], speeds: [], wheel }))).toEqual(["speeds"]);
    const bad = { levels: [256], speeds: [-1], wheel: { diameter: 99 }, perLevel: 0 };
    expect(pathsOf(() => beatFit(bad))).toEqual(["levels.0", "speeds.0", "wheel.diameter", "perLevel"]);
  });
});
