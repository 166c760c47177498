import { beatFit, beatPattern, beatRate, beatsPerTurn, inches, mph } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { pathsOf, real } from "./helpers.js";

const wheel = { diameter: inches(42) };

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
        expect(rate).toBeCloseTo((4 * speed) / (Math.PI * diameter), 9);
        // One turn carries the locomotive pi * D: four beats in that time.
        if (speed > 0.1) expect((rate * Math.PI * diameter) / speed).toBeCloseTo(4, 9);
        expect(beatRate(speed, { diameter, beats: 6 })).toBeCloseTo(rate * 1.5, 9);
      }),
    );
  });
  it("rejects wheels that are none", () => {
    expect(pathsOf(() => beatRate(-1, { diameter: 0, beats: 0 }))).toEqual(["speed", "diameter", "beats"]);
    expect(pathsOf(() => beatRate(Number.NaN, { diameter: Number.NaN }))).toEqual(["speed", "diameter"]);
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
        expect(another.worst).toBeGreaterThanOrEqual(best.worst - 1e-12);
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

describe("two engines", () => {
  it("alike beat together, and never drift", () => {
    const { beats, driftSeconds, rates } = beatPattern([wheel, wheel], { speed: 5, seconds: 3 });
    expect(driftSeconds).toBeUndefined();
    expect(rates[0]).toBe(rates[1]);
    const [first, second] = [0, 1].map((n) =>
      beats.filter(({ engine }) => engine === n).map((b) => b.seconds),
    );
    expect(first).toEqual(second);
    expect(first).toHaveLength(Math.ceil(3 * (rates[0] ?? 0)));
  });
  it("that are one do not drift", () => {
    expect("driftSeconds" in beatPattern([wheel], { speed: 5, seconds: 3 })).toBe(false);
  });
  it("drift apart and together again in 1 / (difference of their rates)", () => {
    fc.assert(
      fc.property(real(0.01, 0.2), (slip) => {
        const engines = [wheel, { ...wheel, slip }];
        const { driftSeconds = 0 } = beatPattern(engines, { speed: 10, seconds: 1 });
        const rate = beatRate(10, wheel);
        expect(driftSeconds).toBeCloseTo(1 / (rate * slip), 6);
        // By then the faster engine is one whole beat ahead.
        expect(driftSeconds * rate * (1 + slip) - driftSeconds * rate).toBeCloseTo(1, 6);
      }),
    );
  });
  it("beat in order of time, evenly, from their phases on", () => {
    const phase = real(0, 1);
    fc.assert(
      fc.property(phase, phase, (a, b) => {
        const engines = [
          { ...wheel, phase: a },
          { diameter: 1, beats: 6, phase: b },
        ];
        const { beats, rates } = beatPattern(engines, { speed: 4, seconds: 5 });
        const times = beats.map(({ seconds }) => seconds);
        expect(times).toEqual([...times].sort((x, y) => x - y));
        [a, b].forEach((part, n) => {
          const own = beats.filter(({ engine }) => engine === n);
          const rate = rates[n] as number;
          expect(own[0]?.seconds).toBeCloseTo((part === 0 ? 0 : 1 - part) / rate, 9);
          expect(Math.abs(own.length - 5 * rate)).toBeLessThanOrEqual(1);
          const gaps = own.slice(1).map(({ seconds }, i) => seconds - (own[i]?.seconds ?? 0));
          expect(gaps.filter((gap) => Math.abs(gap - 1 / rate) > 1e-9)).toEqual([]);
          expect(own.every(({ seconds }) => seconds >= 0 && seconds < 5)).toBe(true);
        });
      }),
    );
  });
  it("reject what cannot be, and what would fill the memory", () => {
    expect(pathsOf(() => beatPattern([], { speed: 0, seconds: 601 }))).toEqual([
      "speed",
      "seconds",
      "engines",
    ]);
    const bad = [{ diameter: 0, phase: 2, slip: -1 }];
    expect(pathsOf(() => beatPattern(bad, { speed: 1, seconds: 1 }))).toEqual([
      "engines.0.diameter",
      "engines.0.phase",
      "engines.0.slip",
    ]);
    const many = [{ diameter: 0.1, beats: 500 }];
    expect(pathsOf(() => beatPattern(many, { speed: 200, seconds: 600 }))).toEqual(["seconds"]);
  });
});
