import { CvSet } from "cvset";
import { type DriveSettings, driveLevels, driveSettings, stepCount, tablePosition } from "cvset/motion";
import { describe, expect, it } from "vitest";
import { issuesOf, pathsOf, steps } from "./helpers.js";

const three = { curve: "three-point", start: 10, mid: 80, top: 200 } as const;
const table = steps.map((step) => 9 * step);

describe("the three-point curve (S-9.2.2, CV 2, 5, 6)", () => {
  it.each([
    [14, 7],
    [28, 14],
  ] as const)("in %i steps has Vmid at step %i", (mode, middle) => {
    const { levels } = driveLevels(three, { steps: mode });
    expect(levels).toHaveLength(mode);
    expect([levels[0], levels[middle - 1], levels[mode - 1]]).toEqual([10, 80, 200]);
    levels.forEach((level, i) => {
      const step = i + 1;
      const wanted =
        step <= middle
          ? 10 + (70 * (step - 1)) / (middle - 1)
          : 80 + (120 * (step - middle)) / (mode - middle);
      expect(level).toBeCloseTo(wanted, 10);
    });
  });

  it("in 128 steps keeps the middle's place in proportion", () => {
    const { levels } = driveLevels(three, { steps: 128 });
    expect(levels).toHaveLength(126);
    expect([levels[0], levels[125]]).toEqual([10, 200]);
    // Position 14 of 28 is 13/27 of the way: between steps 61 and 62 of 126.
    expect(levels[60]).toBeLessThan(80);
    expect(levels[61]).toBeGreaterThan(80);
    levels.forEach((level, i) => {
      const place = 1 + (i * 27) / 125;
      const wanted = place <= 14 ? 10 + (70 * (place - 1)) / 13 : 80 + (120 * (place - 14)) / 14;
      expect(level).toBeCloseTo(wanted, 10);
    });
  });

  it.each([0, 1])("does not use CV 6 or CV 5 = %i", (unused) => {
    const withoutMid = driveLevels({ ...three, mid: unused }).levels;
    withoutMid.forEach((level, i) => {
      expect(level).toBeCloseTo(10 + (190 * i) / 27, 10);
    });
    expect(driveLevels({ ...three, top: unused }).levels[27]).toBe(255);
  });
  it("uses CV 5 and CV 6 = 2", () => {
    const { levels } = driveLevels({ curve: "three-point", start: 0, mid: 2, top: 2 });
    expect([levels[13], levels[20], levels[27]]).toEqual([2, 2, 2]);
  });

  it.each([
    [128, 1],
    [129, 2],
    [140, 13],
    [153, 26],
  ])("CV 25 = %i puts Vmid at step %i", (midRange, place) => {
    const { levels, notes } = driveLevels({ ...three, midRange });
    expect(notes).toEqual([]);
    // At step 1 itself Vstart holds; from there on the line comes from Vmid.
    levels.forEach((level, i) => {
      const step = i + 1;
      const before = 10 + (70 * (step - 1)) / (place - 1);
      const wanted = step === 1 ? 10 : step <= place ? before : 80 + (120 * (step - place)) / (28 - place);
      expect(level).toBeCloseTo(wanted, 10);
    });
  });
  it("halves the position in 14 steps", () => {
    const { levels } = driveLevels({ ...three, midRange: 127 + 8 }, { steps: 14 });
    expect(levels[3]).toBe(80);
    expect(driveLevels({ ...three, midRange: 128 }, { steps: 14 }).levels.slice(0, 2)).toEqual([
      10,
      80 + (120 * 1.5) / 13.5,
    ]);
  });
  it.each([0, 1, 154, 255])("CV 25 = %i leaves Vmid at step 14", (midRange) => {
    const { levels, notes } = driveLevels({ ...three, midRange });
    expect(levels).toEqual(driveLevels(three).levels);
    // 154 is printed in the standard's range, but is one more than its 26 positions.
    expect(notes).toHaveLength(midRange === 154 ? 1 : 0);
  });
  it("CV 25 = 2 is straight; another factory table is only its maker's to know", () => {
    expect(driveLevels({ ...three, midRange: 2 }).levels).toEqual(driveLevels({ ...three, mid: 0 }).levels);
    expect(driveLevels({ ...three, midRange: 2 }).notes[0]).toContain("straight");
    expect(driveLevels({ ...three, midRange: 127 }).notes[0]).toContain("maker");
  });
  it("says so when the curve falls", () => {
    expect(driveLevels({ ...three, top: 70 }).notes[0]).toContain("falls");
    expect(driveLevels({ ...three, start: 90 }).notes[0]).toContain("falls");
    expect(driveLevels({ ...three, start: 90, mid: 0 }).notes).toEqual([]);
    expect(driveLevels({ ...three, start: 200, mid: 200 }).notes).toEqual([]);
    expect(driveLevels({ ...three, start: 210, mid: 0 }).notes[0]).toContain("falls");
  });
});

describe("the table (S-9.2.2, CV 67-94)", () => {
  it("gives the level of each of 28 steps", () => {
    expect(driveLevels({ curve: "table", table })).toEqual({
      levels: table,
      clamped: [],
      startingLevel: 9,
      notes: [],
    });
  });
  it("in 14 steps gives every second entry, and says that this is a reading", () => {
    const { levels, notes } = driveLevels({ curve: "table", table }, { steps: 14 });
    expect(levels).toEqual(table.filter((_, i) => i % 2 === 1));
    expect(notes[0]).toContain("14 steps");
  });
  it("in 128 steps runs straight between entries, ends included", () => {
    const { levels, notes } = driveLevels({ curve: "table", table }, { steps: 128 });
    expect(levels).toHaveLength(126);
    levels.forEach((level, i) => {
      expect(level).toBeCloseTo(9 * (1 + (i * 27) / 125), 10);
    });
    expect(notes[0]).toContain("128 steps");
    const kinked = steps.map((step) => (step < 15 ? 0 : 100));
    const bend = driveLevels({ curve: "table", table: kinked }, { steps: 128 }).levels;
    expect(bend[60]).toBe(0);
    expect(bend[61]).toBeCloseTo(100 * (1 + (61 * 27) / 125 - 14), 10);
    expect(bend[65]).toBe(100);
  });
});

describe("trims and kick (S-9.2.2, CV 66, 95, 65)", () => {
  it("multiply by n/128, each its own direction", () => {
    const settings: DriveSettings = { curve: "table", table, forwardTrim: 64, reverseTrim: 160 };
    expect(driveLevels(settings).levels[9]).toBe(45);
    expect(driveLevels(settings, { direction: "reverse" }).levels[9]).toBe(112.5);
  });
  it("0 is no trim, and 128 changes nothing", () => {
    for (const forwardTrim of [0, 128]) {
      expect(driveLevels({ curve: "table", table, forwardTrim }).levels).toEqual(table);
    }
  });
  it("past 255 stays at 255, and names the steps", () => {
    const { levels, clamped, notes } = driveLevels({ curve: "table", table, forwardTrim: 140 });
    expect(clamped).toEqual([26, 27, 28]);
    expect(levels.slice(24)).toEqual([(225 * 140) / 128, 255, 255, 255]);
    expect(notes[0]).toContain("past 255");
  });
  it("belong to the table; on the three-point curve only when asked for", () => {
    const settings: DriveSettings = { ...three, forwardTrim: 64 };
    expect(driveLevels(settings).levels).toEqual(driveLevels(three).levels);
    expect(driveLevels(settings).notes[0]).toContain("trim");
    expect(driveLevels({ ...settings, trimThreePoint: true }).levels[27]).toBe(100);
  });
  it("the kick is added from stop to step 1, up to 255", () => {
    expect(driveLevels({ ...three, kick: 30 }).startingLevel).toBe(40);
    expect(driveLevels({ ...three, kick: 30 }).levels[0]).toBe(10);
    expect(driveLevels({ ...three, kick: 255 }).startingLevel).toBe(255);
    expect(driveLevels({ curve: "table", table, forwardTrim: 64, kick: 7 }).startingLevel).toBe(11.5);
  });
});

describe("step modes", () => {
  it("128 steps are 126 speeds (S-9.2.1)", () => {
    expect([14, 28, 128].map((mode) => stepCount(mode as 14))).toEqual([14, 28, 126]);
    expect(pathsOf(() => stepCount(126 as 128))).toEqual(["steps"]);
  });
  it("map onto the 28 entries", () => {
    expect([1, 14].map((step) => tablePosition(step, 14))).toEqual([2, 28]);
    expect([1, 28].map((step) => tablePosition(step, 28))).toEqual([1, 28]);
    expect([1, 63.5, 126].map((step) => tablePosition(step, 128))).toEqual([1, 14.5, 28]);
    expect(pathsOf(() => tablePosition(29, 28))).toEqual(["step"]);
    expect(pathsOf(() => tablePosition(0.5, 128))).toEqual(["step"]);
  });
});

describe("drive settings", () => {
  it("come from a CV set", () => {
    const cvs = { 2: 5, 5: 200, 6: 90, 25: 140, 29: 18, 65: 12, 66: 120, 95: 130 };
    const settings = driveSettings(
      CvSet.from({ ...cvs, ...Object.fromEntries(table.map((l, i) => [67 + i, l])) }),
    );
    expect(settings).toEqual({
      curve: "table",
      start: 5,
      mid: 90,
      top: 200,
      midRange: 140,
      table,
      forwardTrim: 120,
      reverseTrim: 130,
      kick: 12,
    });
  });
  it("name every CV that is missing", () => {
    const found = (cvs: Record<string, number>) =>
      issuesOf(() => driveSettings(CvSet.from(cvs))).map(({ places }) => places?.[0]?.cv);
    expect(found({})).toEqual(["29"]);
    expect(found({ 29: 2 })).toEqual(["2"]);
    expect(found({ 29: 16, 67: 1 })).toEqual(steps.slice(1).map((step) => String(66 + step)));
  });
  const bad: [unknown, string[]][] = [
    [{ curve: "table" }, ["table"]],
    [{ curve: "bent" }, ["curve"]],
    [{ curve: "table", table: table.slice(1) }, ["table"]],
    [{ curve: "table", table: table.map((l, i) => (i === 3 ? 256 : l)) }, ["table.3"]],
    [{ curve: "three-point", start: -1, mid: 256, kick: 0.5 }, ["start", "mid", "kick"]],
  ];
  it.each(bad)("are checked: %j", (settings, paths) => {
    expect(pathsOf(() => driveLevels(settings as DriveSettings))).toEqual(paths);
  });
  it("know two directions", () => {
    expect(pathsOf(() => driveLevels(three, { direction: "back" as "reverse" }))).toEqual(["direction"]);
  });
});
