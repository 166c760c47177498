import { CvError } from "cvset";
import { estimateResponse, predictSpeeds, type SpeedSample } from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { expectNear } from "../support/near.js";
import { pathsOf, real } from "./helpers.js";

const samples = (...pairs: [level: number, speed: number][]): SpeedSample[] =>
  pairs.map(([level, speed]) => ({ level, speed }));
const codes = (list: readonly SpeedSample[]): string[] =>
  estimateResponse(list).warnings.map(({ code }) => code);

const noisy = fc
  .uniqueArray(fc.integer({ min: 1, max: 255 }), { minLength: 3, maxLength: 20 })
  .chain((levels) =>
    fc
      .array(real(0.8, 1.2), { minLength: levels.length, maxLength: levels.length })
      .map((noise) => levels.map((level, i) => ({ level, speed: level * 0.1 * (noise[i] as number) }))),
  )
  .filter((list) => {
    const byLevel = [...list].sort((a, b) => a.level - b.level);
    return (byLevel[0] as SpeedSample).speed < (byLevel.at(-1) as SpeedSample).speed * 0.5;
  });

describe("a response", () => {
  it("goes near samples that rise, as near as runs agree, in any order", () => {
    const rising = samples([30, 1], [80, 6], [130, 11], [180, 16], [230, 21]);
    const response = estimateResponse([...rising].reverse());
    for (const { level, speed } of rising) {
      expect(Math.abs(response.speedAt(level) / speed - 1)).toBeLessThan(0.01);
      expect(response.deviationAt(level) / speed).toBeLessThan(0.03);
    }
    expect(response.warnings).toEqual([]);
    expect(response.points.map(({ level, speed, runs, leftOut }) => [level, speed, runs, leftOut])).toEqual(
      rising.map(({ level, speed }) => [level, expect.closeTo(speed, 9), [speed], []]),
    );
  });

  it("finds the dead zone: the last level that stands, the first that moves", () => {
    const response = estimateResponse(samples([10, 0], [24, 0], [25, 0.8], [100, 9], [200, 20]));
    expect([response.standsTo, response.movesFrom]).toEqual([24, 25]);
    expect(response.slowest).toBeCloseTo(0.8, 2);
    expect([0, 10, 24].map((level) => response.speedAt(level))).toEqual([0, 0, 0]);
    const wide = estimateResponse(samples([20, 2], [200, 20]));
    expect([wide.standsTo, wide.movesFrom]).toEqual([0, 20]);
    expect(wide.speedAt(10)).toBeCloseTo(wide.slowest / 2, 12);
    expect([0, 10, 20, 200, 201].map((level) => wide.knows(level))).toEqual([true, false, true, true, false]);
    expect([10, 201].map((level) => wide.deviationAt(level))).toEqual([0, 0]);
  });

  it("finds saturation: from where more level gives less than 1 % more", () => {
    const flat = estimateResponse(
      samples([20, 2], [50, 5], [100, 10], [150, 15], [200, 15.05], [225, 15], [250, 15.1]),
    );
    expect(flat.saturatesFrom).toBe(150);
    expect(flat.fastest).toBeCloseTo(15.05, 1);
    // The corner is known: between the last rising and the first flat level there is little doubt.
    expect(flat.speedAt(175)).toBeGreaterThan(14.5);
    const straight = estimateResponse(samples([50, 5], [100, 10], [150, 15]));
    expect(straight.saturatesFrom).toBeUndefined();
    expect(straight.speedAt(255)).toBe(straight.fastest);
  });

  it("counts a run by its time: of two that differ, the longer one is nearer", () => {
    const long = { level: 100, speed: 10, seconds: 40 };
    const short = { level: 150, speed: 15, seconds: 1.5 };
    const rest = [30, 60, 200].map((level) => ({ level, speed: level / 10, seconds: 20 }));
    const off = (one: SpeedSample): number => {
      const changed = estimateResponse([...rest, { ...one, speed: one.speed * 1.06 }]);
      return changed.speedAt(one.level) / one.speed - 1;
    };
    expect(off(long)).toBeGreaterThan(2 * off(short));
    const response = estimateResponse([...rest, long, short]);
    const [a, b] = [100, 150].map((level) => response.points.find((point) => point.level === level));
    expect((b?.deviation ?? 0) / 15).toBeGreaterThan((4 * (a?.deviation ?? 1)) / 10);
  });

  it("is surer with more runs, and with more levels", () => {
    const of = (levels: readonly number[], times: number) =>
      estimateResponse(
        levels.flatMap((level) =>
          Array.from({ length: times }, (_, i) => ({
            level,
            speed: (level / 10) * (1 + 0.01 * (i - (times - 1) / 2)),
            seconds: 10,
          })),
        ),
      ).deviationAt(120);
    expect(of([20, 80, 160, 240], 6)).toBeLessThan(of([20, 80, 160, 240], 2));
    expect(of([20, 50, 80, 120, 160, 200, 240], 2)).toBeLessThan(of([20, 80, 160, 240], 2));
  });

  it("shares the mean where a higher level measured slower, and says so", () => {
    const list = samples([30, 3], [50, 5], [100, 11], [110, 9], [150, 15], [200, 20], [250, 25]);
    const response = estimateResponse(list);
    expect(response.warnings.map(({ code, params }) => [code, params["level"], params["lower"]])).toEqual([
      ["level-falls", 110, 100],
    ]);
    for (let level = 31; level <= 250; level++)
      expect(response.speedAt(level)).toBeGreaterThanOrEqual(response.speedAt(level - 1));
    expect(response.speedAt(105)).toBeCloseTo(10.2, 0);
  });

  it("never falls, knows its ends, and is undone by levelFor", () => {
    let made = 0;
    fc.assert(
      fc.property(noisy, real(0, 1), (list, part) => {
        let response: ReturnType<typeof estimateResponse>;
        try {
          response = estimateResponse(list);
        } catch (error) {
          // With three levels one of which is left out, the rest may not rise.
          if (!(error instanceof CvError)) throw error;
          return;
        }
        made++;
        const speeds = Array.from({ length: 256 }, (_, level) => response.speedAt(level));
        const noise = 1e-13 * response.fastest;
        expect(speeds.filter((speed, i) => speed < (speeds[i - 1] ?? 0) - noise)).toEqual([]);
        expect(speeds.every((speed) => Number.isFinite(speed) && speed >= 0)).toBe(true);
        expect(speeds[255]).toBe(response.fastest);
        const asked = response.slowest + part * (response.fastest - response.slowest);
        const level = response.levelFor(asked);
        expect(level).toBeDefined();
        expectNear(response.speedAt(level ?? -1), asked, { scale: response.fastest });
      }),
      { numRuns: 60 },
    );
    expect(made).toBeGreaterThan(40);
  });

  it("gives the middle of the levels that share a speed, and none for what it cannot run", () => {
    const response = estimateResponse(samples([50, 5], [100, 10], [200, 20], [225, 20], [250, 20]));
    const { slowest, fastest } = response;
    expect(response.levelFor(0)).toBe(0);
    expect(response.levelFor(slowest * 0.98)).toBeUndefined();
    expect(response.levelFor(fastest * 1.01)).toBeUndefined();
    expect(response.levelFor(slowest)).toBe(50);
    expect(response.levelFor(fastest)).toBeGreaterThan(200);
    expect(response.levelFor(fastest)).toBeLessThan(250);
    expect(pathsOf(() => response.levelFor(Number.NaN))).toEqual(["speed"]);
    expect(pathsOf(() => response.speedAt(256))).toEqual(["level"]);
    expect(pathsOf(() => response.deviationAt(Number.NaN))).toEqual(["level"]);
  });

  it.each<[string, SpeedSample[], string[]]>([
    ["no sample", [], ["samples"]],
    ["one sample", samples([50, 5]), ["samples"]],
    ["one level that moves", samples([20, 0], [50, 5]), ["samples"]],
    ["one level twice", samples([50, 5], [50, 6]), ["samples"]],
    ["speeds that only fall", samples([50, 9], [100, 7], [150, 6]), ["samples"]],
    ["speeds that are all alike", samples([50, 9], [100, 9]), ["samples"]],
    ["a negative speed", samples([50, -1], [100, 9]), ["samples.0.speed"]],
    [
      "numbers that are none",
      samples([Number.NaN, 1], [100, Number.NaN]),
      ["samples.0.level", "samples.1.speed"],
    ],
    ["a level past 255", samples([50, 1], [256, 9]), ["samples.1.level"]],
    ["movement at level 0", samples([0, 1], [100, 9]), ["samples.0.speed"]],
    ["a time below 0", [{ level: 9, speed: 1, seconds: -1, deviation: -1 }], ["samples.0.seconds", "samples.0.deviation"]], // biome-ignore format: one row
  ])("rejects %s", (_, list, paths) => {
    expect(pathsOf(() => estimateResponse(list))).toEqual(paths);
  });
});

describe("standing runs", () => {
  const moving = samples([30, 3], [80, 8], [130, 13], [200, 20]);
  it("above levels that move are slips", () => {
    const response = estimateResponse([...moving, { level: 150, speed: 0 }, { level: 20, speed: 0 }]);
    expect([response.standsTo, response.movesFrom]).toEqual([20, 30]);
    expect(response.warnings.map(({ code }) => code)).toEqual(["stands-above-moving"]);
  });
  it("above a single one that moves are believed", () => {
    const response = estimateResponse([...moving, { level: 12, speed: 1 }, { level: 20, speed: 0 }]);
    expect([response.standsTo, response.movesFrom]).toEqual([20, 30]);
    expect(response.warnings.map(({ code }) => code)).toEqual(["moves-below-standing"]);
  });
  it("at a level that also moved count by their number", () => {
    const once = [...moving, { level: 30, speed: 3 }, { level: 30, speed: 0 }];
    expect(estimateResponse(once).movesFrom).toBe(30);
    expect(codes(once)).toContain("stands-sometimes");
    const often = [...once, { level: 30, speed: 0 }];
    expect([estimateResponse(often).standsTo, estimateResponse(often).movesFrom]).toEqual([30, 80]);
  });
});

describe("warnings", () => {
  it("say how little two or three levels tell", () => {
    expect(codes(samples([30, 3], [200, 20]))).toEqual(["few-levels"]);
    expect(codes(samples([30, 3], [100, 10], [200, 20]))).toEqual(["few-levels"]);
    const two = estimateResponse(samples([30, 3], [200, 20]));
    const four = estimateResponse(samples([30, 3], [80, 8], [130, 13], [200, 20]));
    expect(two.deviationAt(100)).toBeGreaterThan(3 * four.deviationAt(100));
  });
  it("name a gap between levels, and a level to measure in it", () => {
    const gap = samples([20, 1], [26, 2.2], [32, 2.6], [150, 20], [200, 22], [250, 23]);
    const [warning] = estimateResponse(gap).warnings;
    expect(warning?.code).toBe("level-gap");
    expect([warning?.params["lower"], warning?.params["level"]]).toEqual([32, 150]);
    expect(warning?.params["between"]).toBeGreaterThan(32);
    expect(warning?.params["between"]).toBeLessThan(150);
  });
  it("name speeds that models do not run", () => {
    const fast = samples([30, 10], [80, 30], [130, 50], [200, 90]);
    const [warning] = estimateResponse(fast).warnings;
    expect(warning?.params).toMatchObject({ level: 200, speed: "201 mph (324 km/h)" });
  });
});

describe("predicted speeds", () => {
  it("name the steps that are a guess", () => {
    const response = estimateResponse(samples([20, 0], [30, 3], [80, 8], [130, 13]));
    const { speeds, deviations, guessed } = predictSpeeds([10, 25, 30, 80, 200], response);
    expect(guessed).toEqual([2, 5]);
    expect(speeds).toEqual([0, 25, 30, 80, 130].map((level) => response.speedAt(level)));
    expect(deviations[3]).toBe(response.deviationAt(80));
    expect(pathsOf(() => predictSpeeds([1, 300], response))).toEqual(["levels.1"]);
    expect(pathsOf(() => predictSpeeds([300, 1], response))).toEqual(["levels.0"]);
  });
});
