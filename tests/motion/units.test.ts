import { kmh, mph, scaleRatio, toKmh, toMph } from "cvset/motion";
import { describe, expect, it } from "vitest";
import { metresPer, speedText } from "../../src/motion/units.js";
import { issuesOf } from "./helpers.js";

describe("units", () => {
  // The inch is 25.4 mm, the foot 12 inches, the mile 5,280 feet, all exactly (1959).
  it.each([
    [mph(1), (5280 * 12 * 0.0254) / 3600],
    [mph(60), 26.8224],
    [kmh(90), 25],
    [toMph(mph(37)), 37],
    [toKmh(25), 90],
    [12 * metresPer.inches, 0.3048],
    [metresPer.feet, 0.3048],
    [30.48 * metresPer.cm, 0.3048],
    [304.8 * metresPer.mm, 0.3048],
    [mph(100) / kmh(100), 1.609344],
    // N: 33 ft of track are a scale mile; in one minute, that is 60 mph.
    [toMph(((33 * metresPer.feet) / 60) * scaleRatio("N")), 60],
    // HO: 3.5 mm of track a second is one foot a second.
    [0.0035 * scaleRatio("HO"), 0.3048],
  ])("%d is %d", (found, wanted) => {
    expect(found).toBeCloseTo(wanted, 12);
  });
  it("in messages are both told", () => {
    expect(speedText(mph(12.3))).toBe("12.3 mph (19.8 km/h)");
  });
});

describe("scales", () => {
  it.each([
    ["Z", 220],
    ["N", 160],
    ["TT", 120],
    // NMRA S-1.2 (from memory): 3.5 mm to the foot.
    ["HO", 304.8 / 3.5],
    ["ho", 304.8 / 3.5],
    ["H0", 304.8 / 3.5],
    ["OO", 76.2],
    ["00", 76.2],
    ["S", 64],
    ["O", 48],
    ["I", 32],
    ["G", 22.5],
    ["HOn3", 304.8 / 3.5],
    ["HO n3", 304.8 / 3.5],
    ["H0e", 304.8 / 3.5],
    ["H0m", 304.8 / 3.5],
    ["HOn30", 304.8 / 3.5],
    ["On30", 48],
    ["On2½", 48],
    ["Sn3½", 64],
    ["Nn3", 160],
    ["Nm", 160],
    ["TTe", 120],
    ["OO9", 76.2],
    ["00-9", 76.2],
    ["IIm", 22.5],
    ["1:87", 87],
    ["1/87", 87],
    ["1 : 22.5", 22.5],
    ["1:22,5", 22.5],
  ])("%s is 1:%d", (name, ratio) => {
    expect(scaleRatio(name)).toBe(ratio);
  });
  it("knows HO to four decimals, as published", () => {
    expect(scaleRatio("HO").toFixed(4)).toBe("87.0857");
  });
  it.each<[unknown, string]>([
    ["", "model-scale"],
    ["H", "model-scale"],
    ["2:87", "model-scale"],
    ["1:87:2", "model-scale"],
    ["n3", "model-scale"],
    ["toString", "model-scale"],
    [undefined, "model-scale"],
    [{}, "model-scale"],
    ["1:0", "model-scale-ratio"],
    ["1:1001", "model-scale-ratio"],
    // A number could be a ratio, or the name of a scale.
    ["87", "model-scale-number"],
    ["1", "model-scale-number"],
    ["22,5", "model-scale-number"],
    [48, "model-scale-number"],
    ["0", "model-scale-zero"],
    ["0m", "model-scale-zero"],
  ])("%j is refused: %s", (scale, code) => {
    expect(issuesOf(() => scaleRatio(scale as string))[0]?.code).toBe(code);
  });
  it("suggests the nearest", () => {
    expect(issuesOf(() => scaleRatio("HOO"))[0]?.params["nearest"]).toContain("HO");
  });
});
