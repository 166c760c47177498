import { CvSet, messageOf } from "cvset";
import { driveLevels } from "cvset/motion";
import { describe, expect, it } from "vitest";
import { issuesOf, pathsOf, steps } from "./helpers.js";

const three = { 2: 10, 6: 80, 5: 200, 29: 2 };
const table = steps.map((step) => 9 * step);
const inTable = { 29: 16, ...Object.fromEntries(table.map((level, i) => [67 + i, level])) };
const levelsOf = (cvs: Record<string, number>, options?: Parameters<typeof driveLevels>[1]) =>
  driveLevels(CvSet.from(cvs), options);
const codes = ({ notes }: ReturnType<typeof driveLevels>): string[] => notes.map(({ code }) => code);

describe("the three-point curve (S-9.2.2 (July 2012), CV 2, 5, 6)", () => {
  it.each([
    [14, 7],
    [28, 14],
  ] as const)("in %i steps has Vmid at step %i", (mode, middle) => {
    const { levels } = levelsOf(three, { steps: mode });
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
    const { levels } = levelsOf(three, { steps: 128 });
    // 128 steps are 126 speeds (S-9.2.1 (July 2012)).
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
    const withoutMid = levelsOf({ ...three, 6: unused }).levels;
    withoutMid.forEach((level, i) => {
      expect(level).toBeCloseTo(10 + (190 * i) / 27, 10);
    });
    expect(levelsOf({ ...three, 5: unused }).levels[27]).toBe(255);
  });
  it("uses CV 5 and CV 6 = 2", () => {
    const { levels } = levelsOf({ 2: 0, 6: 2, 5: 2, 29: 2 });
    expect([levels[13], levels[20], levels[27]]).toEqual([2, 2, 2]);
  });

  it.each([
    [128, 1],
    [129, 2],
    [140, 13],
    [153, 26],
  ])("CV 25 = %i puts Vmid at step %i", (midRange, place) => {
    const found = levelsOf({ ...three, 25: midRange });
    expect(found.notes).toEqual([]);
    // At step 1 itself Vstart holds; from there on the line comes from Vmid.
    found.levels.forEach((level, i) => {
      const step = i + 1;
      const before = 10 + (70 * (step - 1)) / (place - 1);
      const wanted = step === 1 ? 10 : step <= place ? before : 80 + (120 * (step - place)) / (28 - place);
      expect(level).toBeCloseTo(wanted, 10);
    });
  });
  it("halves the position in 14 steps", () => {
    const { levels } = levelsOf({ ...three, 25: 127 + 8 }, { steps: 14 });
    expect(levels[3]).toBe(80);
    expect(levelsOf({ ...three, 25: 128 }, { steps: 14 }).levels.slice(0, 2)).toEqual([
      10,
      80 + (120 * 1.5) / 13.5,
    ]);
  });
  it.each([0, 1, 255])("CV 25 = %i leaves Vmid at step 14", (midRange) => {
    expect(levelsOf({ ...three, 25: midRange }).levels).toEqual(levelsOf(three).levels);
  });
  it("CV 25 = 2 is straight; another factory table is only its maker's to know", () => {
    expect(levelsOf({ ...three, 25: 2 }).levels).toEqual(levelsOf({ ...three, 6: 0 }).levels);
    const [issue] = issuesOf(() => levelsOf({ ...three, 25: 127 }));
    expect(issue?.code).toBe("curve-factory-table");
    expect(issue && messageOf(issue)).toContain("maker");
  });
  it("says so when the curve falls", () => {
    expect(codes(levelsOf({ ...three, 5: 70 }))).toEqual(["curve-falls"]);
    expect(codes(levelsOf({ ...three, 2: 90 }))).toEqual(["curve-falls"]);
    expect(codes(levelsOf({ ...three, 2: 90, 6: 0 }))).toEqual([]);
    expect(codes(levelsOf({ ...three, 2: 200, 6: 200 }))).toEqual([]);
    expect(codes(levelsOf({ ...three, 2: 210, 6: 0 }))).toEqual(["curve-falls"]);
  });
});

describe("the table (S-9.2.2 (July 2012), CV 67-94)", () => {
  it("gives the level of each of 28 steps", () => {
    expect(levelsOf(inTable)).toEqual({ levels: table, notes: [] });
  });
  it("in 14 steps gives every second entry, and says that this is a reading", () => {
    const found = levelsOf(inTable, { steps: 14 });
    expect(found.levels).toEqual(table.filter((_, i) => i % 2 === 1));
    expect(found.notes[0] && messageOf(found.notes[0])).toContain("14 steps");
  });
  it("in 128 steps runs straight between entries, ends included", () => {
    const { levels, notes } = levelsOf(inTable, { steps: 128 });
    expect(levels).toHaveLength(126);
    levels.forEach((level, i) => {
      expect(level).toBeCloseTo(9 * (1 + (i * 27) / 125), 10);
    });
    expect(notes[0] && messageOf(notes[0])).toContain("128 steps");
    const kinked = Object.fromEntries(steps.map((step) => [66 + step, step < 15 ? 0 : 100]));
    const bend = levelsOf({ ...kinked, 29: 16 }, { steps: 128 }).levels;
    expect(bend[60]).toBe(0);
    expect(bend[61]).toBeCloseTo(100 * (1 + (61 * 27) / 125 - 14), 10);
    expect(bend[65]).toBe(100);
  });
});

describe("trims (S-9.2.2 (July 2012), CV 66, 95)", () => {
  it("multiply by n/128, each its own direction", () => {
    const cvs = { ...inTable, 66: 64, 95: 160 };
    expect(levelsOf(cvs).levels[9]).toBe(45);
    expect(levelsOf(cvs, { direction: "reverse" }).levels[9]).toBe(112.5);
  });
  it("0 is no trim, and 128 changes nothing", () => {
    for (const trim of [0, 128]) expect(levelsOf({ ...inTable, 66: trim }).levels).toEqual(table);
  });
  it("past 255 stays at 255, and says how many steps", () => {
    const found = levelsOf({ ...inTable, 66: 140 });
    expect(found.levels.slice(24)).toEqual([(225 * 140) / 128, 255, 255, 255]);
    expect(found.notes.map(({ params }) => params["count"])).toEqual([3]);
  });
  it("belong to the table (CV 29 bit 4)", () => {
    expect(levelsOf({ ...three, 66: 64 }).levels).toEqual(levelsOf(three).levels);
  });
});

describe("the curve in use", () => {
  it("without CV 29 is the one that the set holds, with a note", () => {
    const { 29: _, ...tableOnly } = inTable;
    const { 29: __, ...pointsOnly } = three;
    expect(levelsOf(tableOnly).levels).toEqual(table);
    expect(levelsOf(pointsOnly).levels).toEqual(levelsOf(three).levels);
    expect(codes(levelsOf(tableOnly))).toEqual(["curve-assumed"]);
    expect(issuesOf(() => levelsOf({ ...tableOnly, ...pointsOnly }))[0]?.places?.[0]?.cv).toBe("29");
  });
  it("names every CV that is missing", () => {
    const found = (cvs: Record<string, number>) =>
      issuesOf(() => levelsOf(cvs)).map(({ places }) => places?.[0]?.cv);
    expect(found({})).toEqual(["29"]);
    expect(found({ 29: 2 })).toEqual(["2"]);
    expect(found({ 29: 16, 67: 1 })).toEqual(steps.slice(1).map((step) => String(66 + step)));
  });
  it("is asked for in one of three step modes and two directions", () => {
    expect(pathsOf(() => levelsOf(three, { steps: 126 as 128, direction: "back" as "reverse" }))).toEqual([
      "steps",
      "direction",
    ]);
  });
});
