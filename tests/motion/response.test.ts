import { estimateResponse, predictSpeeds, type SpeedSample } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { pathsOf, real } from "./helpers.js";

const samples = (...pairs: [level: number, speed: number][]): SpeedSample[] =>
  pairs.map(([level, speed]) => ({ level, speed }));

const noisy = fc
  .uniqueArray(fc.integer({ min: 1, max: 255 }), { minLength: 3, maxLength: 40 })
  .chain((levels) =>
    fc
      .array(real(0.8, 1.2), {
        minLength: levels.length,
        maxLength: levels.length,
      })
      .map((noise) => levels.map((level, i) => ({ level, speed: level * 0.1 * (noise[i] as number) }))),
  )
  .filter((list) => {
    const byLevel = [...list].sort((a, b) => a.level - b.level);
    return (byLevel[0] as SpeedSample).speed < (byLevel.at(-1) as SpeedSample).speed * 0.5;
  });

describe("a response", () => {
  it("goes through samples that rise, in any order", () => {
    const rising = samples([30, 1], [80, 4], [130, 9], [230, 21]);
    const response = estimateResponse([...rising].reverse());
    for (const { level, speed } of rising) expect(response.speedAt(level)).toBeCloseTo(speed, 12);
    expect(response.repairs).toEqual([]);
  });

  it("finds the dead zone: the last level that stands, the first that moves", () => {
    const response = estimateResponse(samples([10, 0], [24, 0], [25, 0.8], [100, 9], [200, 20]));
    expect([response.standsTo, response.movesFrom, response.slowest]).toEqual([24, 25, 0.8]);
    expect([0, 10, 24, 25].map((level) => response.speedAt(level))).toEqual([0, 0, 0, 0.8]);
    const wide = estimateResponse(samples([20, 2], [200, 20]));
    expect([wide.standsTo, wide.movesFrom]).toEqual([0, 20]);
    expect(wide.speedAt(10)).toBeCloseTo(1, 12);
    expect([0, 10, 20, 200, 201].map((level) => wide.knows(level))).toEqual([true, false, true, true, false]);
  });

  it("finds saturation: from where more level gives less than 1 % more", () => {
    const flat = estimateResponse(samples([50, 5], [100, 10], [150, 15], [200, 15.1], [250, 15.12]));
    expect(flat.saturatesFrom).toBe(150);
    expect(flat.fastest).toBe(15.12);
    const straight = estimateResponse(samples([50, 5], [100, 10], [150, 15]));
    expect("saturatesFrom" in straight).toBe(false);
    expect(straight.speedAt(255)).toBe(15);
  });

  it("takes the median of a level measured more than once, and says so", () => {
    const response = estimateResponse(samples([50, 5], [50, 5.5], [50, 9], [200, 20]));
    expect(response.slowest).toBe(5.5);
    expect(response.repairs).toEqual([{ kind: "repeated", level: 50, to: 50, change: 3.5 }]);
    const twice = estimateResponse(samples([50, 5], [50, 6], [200, 20]));
    expect(twice.repairs).toEqual([{ kind: "repeated", level: 50, to: 50, change: 0.5 }]);
  });

  it("pools speeds that fall, and says so", () => {
    const response = estimateResponse(samples([50, 5], [100, 11], [110, 9], [200, 20]));
    expect(response.repairs).toEqual([{ kind: "fell", level: 100, to: 110, change: 1 }]);
    expect(response.speedAt(105)).toBeCloseTo(10, 12);
    const weighted = estimateResponse(samples([50, 5], [100, 12], [100, 12], [110, 9], [200, 20]));
    expect(weighted.speedAt(310 / 3)).toBeCloseTo(11, 12);
  });

  it("never falls, never leaves what was measured, and is undone by levelFor", () => {
    fc.assert(
      fc.property(noisy, real(0, 1), (list, part) => {
        const response = estimateResponse(list);
        const speeds = Array.from({ length: 256 }, (_, level) => response.speedAt(level));
        expect(speeds.filter((speed, i) => speed < (speeds[i - 1] ?? 0) - 1e-12)).toEqual([]);
        expect(Math.max(...speeds)).toBe(response.fastest);
        const wished = response.slowest + part * (response.fastest - response.slowest);
        const level = response.levelFor(wished);
        expect(level).toBeDefined();
        expect(response.speedAt(level ?? -1)).toBeCloseTo(wished, 9);
      }),
    );
  });

  it("gives the middle of the levels that share a speed, and none for what it cannot run", () => {
    const response = estimateResponse(samples([50, 5], [100, 10], [140, 10], [200, 20]));
    expect(response.levelFor(10)).toBeCloseTo(120, 5);
    expect(response.levelFor(0)).toBe(0);
    expect(response.levelFor(4.9)).toBeUndefined();
    expect(response.levelFor(20.1)).toBeUndefined();
    expect(response.levelFor(20)).toBe(200);
    expect(pathsOf(() => response.levelFor(Number.NaN))).toEqual(["speed"]);
    expect(pathsOf(() => response.speedAt(256))).toEqual(["level"]);
    expect(pathsOf(() => response.speedAt(Number.NaN))).toEqual(["level"]);
  });

  it("has its data as JSON", () => {
    const response = estimateResponse(samples([50, 5], [200, 20]));
    const data = { standsTo: 0, movesFrom: 50, slowest: 5, fastest: 20, measuredTo: 200, repairs: [] };
    expect(JSON.parse(JSON.stringify(response))).toEqual(data);
  });

  it.each<[string, SpeedSample[], string[]]>([
    ["no sample", [], ["samples"]],
    ["one sample", samples([50, 5]), ["samples"]],
    ["one level that moves", samples([20, 0], [50, 5]), ["samples"]],
    ["one level twice", samples([50, 5], [50, 6]), ["samples"]],
    ["speeds that only fall", samples([50, 9], [100, 7], [150, 2]), ["samples"]],
    ["speeds that are all alike", samples([50, 9], [100, 9]), ["samples"]],
    ["a negative speed", samples([50, -1], [100, 9]), ["samples.0.speed"]],
    [
      "numbers that are none",
      samples([Number.NaN, 1], [100, Number.NaN]),
      ["samples.0.level", "samples.1.speed"],
    ],
    ["a level past 255", samples([50, 1], [256, 9]), ["samples.1.level"]],
    ["movement at level 0", samples([0, 1], [100, 9]), ["samples.0.speed"]],
  ])("rejects %s", (_, list, paths) => {
    expect(pathsOf(() => estimateResponse(list))).toEqual(paths);
  });
});

describe("predicted speeds", () => {
  it("name the steps that are a guess", () => {
    const response = estimateResponse(samples([20, 0], [30, 3], [130, 13]));
    expect(predictSpeeds([10, 25, 30, 80, 200], response)).toEqual({
      speeds: [0, 1.5, 3, expect.closeTo(8, 9), 13],
      guessed: [2, 5],
    });
    expect(pathsOf(() => predictSpeeds([1, 300], response))).toEqual(["levels.1"]);
    expect(pathsOf(() => predictSpeeds([300, 1], response))).toEqual(["levels.0"]);
  });
});
