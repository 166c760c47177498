import {
  centimetres,
  combineTimings,
  feet,
  inches,
  kmh,
  mph,
  scaleRatio,
  scaleSpeed,
  scales,
  toKmh,
  toMph,
} from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { issuesOf, pathsOf, real } from "./helpers.js";

describe("units", () => {
  // The inch is 25.4 mm, the foot 12 inches, the mile 5,280 feet, all exactly (1959).
  it.each([
    [mph(1), (5280 * 12 * 0.0254) / 3600],
    [mph(60), 26.8224],
    [kmh(90), 25],
    [toMph(mph(37)), 37],
    [toKmh(25), 90],
    [inches(12), 0.3048],
    [feet(1), 0.3048],
    [centimetres(30.48), 0.3048],
    [mph(100) / kmh(100), 1.609344],
  ])("%d is %d", (found, wanted) => {
    expect(found).toBeCloseTo(wanted, 12);
  });
});

describe("scales", () => {
  it.each([
    ["Z", 220],
    ["N", 160],
    ["TT", 120],
    // NMRA S-1.2: 3.5 mm to the foot.
    ["HO", 304.8 / 3.5],
    ["ho", 304.8 / 3.5],
    ["OO", 76.2],
    ["S", 64],
    ["O", 48],
    ["G", 22.5],
    ["HOn3", 304.8 / 3.5],
    ["On30", 48],
    ["Sn3½", 64],
    ["Nn3", 160],
    ["1:87", 87],
    ["1 : 22.5", 22.5],
    ["45", 45],
    [32, 32],
  ])("%s is 1:%d", (name, ratio) => {
    expect(scaleRatio(name)).toBe(ratio);
  });
  it("knows HO to four decimals, as published", () => {
    expect(scales.HO.toFixed(4)).toBe("87.0857");
  });
  it.each([
    "",
    "H",
    "2:87",
    "1:0",
    "1:87:2",
    "n3",
    "toString",
    0,
    -3,
    1001,
    Number.NaN,
    Number.POSITIVE_INFINITY,
  ])("%j is none", (scale) => {
    expect(issuesOf(() => scaleRatio(scale))[0]?.code).toBe("option");
  });
  it("suggests the nearest", () => {
    expect(issuesOf(() => scaleRatio("H0"))[0]?.nearest).toContain("HO");
  });
});

describe("scale speed", () => {
  it("is the model's speed times the ratio", () => {
    // A scale mile in N: 5,280 ft / 160 = 33 ft of track; in one minute, that is 60 mph.
    expect(toMph(scaleSpeed({ distance: feet(33), seconds: 60, scale: "N" }))).toBeCloseTo(60, 10);
    // HO: 3.5 mm of track a second is one foot a second.
    expect(scaleSpeed({ distance: 0.0035, seconds: 1, scale: "HO" })).toBeCloseTo(0.3048, 12);
  });
  it.each([
    [{ distance: 0, seconds: 8, scale: "N" }, ["distance"]],
    [{ distance: 1, seconds: 0, scale: "N" }, ["seconds"]],
    [{ distance: 1, seconds: -8, scale: "N" }, ["seconds"]],
    [
      { distance: Number.NaN, seconds: Number.POSITIVE_INFINITY, scale: "X" },
      ["distance", "seconds", "scale"],
    ],
  ])("rejects %j", (run, paths) => {
    expect(pathsOf(() => scaleSpeed(run))).toEqual(paths);
  });
});

describe("repeated timings", () => {
  it("are combined by their median, with the spread beside it", () => {
    expect(combineTimings([10, 11, 9, 30])).toEqual({
      seconds: 10.5,
      spread: 1,
      shortest: 9,
      longest: 30,
      count: 4,
      outliers: [30],
    });
    expect(combineTimings([8])).toEqual({
      seconds: 8,
      spread: 0,
      shortest: 8,
      longest: 8,
      count: 1,
      outliers: [],
    });
  });
  it("do not call 2 % an outlier where all others agree", () => {
    expect(combineTimings([10, 10, 10, 10.2]).outliers).toEqual([]);
    expect(combineTimings([10, 10, 10, 10.21]).outliers).toEqual([10.21]);
  });
  it("are not led astray by one slip, however large", () => {
    const time = real(5, 6);
    fc.assert(
      fc.property(fc.array(time, { minLength: 2, maxLength: 9 }), real(0.01, 1e5), (all, slip) => {
        const { seconds } = combineTimings([...all, slip]);
        expect(seconds).toBeGreaterThanOrEqual(5);
        expect(seconds).toBeLessThanOrEqual(6);
      }),
    );
  });
  it("do not depend on their order, and leave their input alone", () => {
    fc.assert(
      fc.property(fc.array(real(1, 9), { minLength: 1 }), (all) => {
        const before = [...all];
        expect(combineTimings([...all].reverse()).seconds).toBe(combineTimings(all).seconds);
        expect(all).toEqual(before);
      }),
    );
  });
  it("need one, and each above 0", () => {
    expect(pathsOf(() => combineTimings([]))).toEqual(["seconds"]);
    expect(pathsOf(() => combineTimings([1, 0, -2, Number.NaN]))).toEqual([
      "seconds.1",
      "seconds.2",
      "seconds.3",
    ]);
  });
});
