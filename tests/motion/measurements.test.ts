import { CvSet, messageOf } from "cvset";
import {
  type MeasuredLocomotive,
  type MeasurementWarning,
  measurementsFromCsv,
  measurementsFromJson,
  mph,
} from "cvset/motion";
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { steps } from "./helpers.js";

type Read = ReturnType<typeof measurementsFromJson>;
const good = (result: Read): readonly MeasuredLocomotive[] => {
  if (!result.ok) throw new Error(result.issues.map((issue) => messageOf(issue)).join("\n"));
  return result.value.locomotives;
};
const bad = (result: Read): string[] => {
  expect(result.ok).toBe(false);
  return result.ok ? [] : result.issues.map(({ path }) => path);
};
/** The paths of what is wrong, if anything is. */
const paths = (result: Read): string[] => (result.ok ? [] : result.issues.map(({ path }) => path));
/** The same with the line: `line 2, mph`. */
const badLines = (result: Read): string[] => {
  expect(result.ok).toBe(false);
  return result.ok
    ? []
    : result.issues.map((issue) => {
        const { line } = issue as MeasurementWarning;
        return [...(line === undefined ? [] : [`line ${line}`]), ...(issue.path ? [issue.path] : [])].join(
          ", ",
        );
      });
};
/** The speeds of the single runs at each level. */
const runsOf = (locomotive: MeasuredLocomotive | undefined, direction: "forward" | "reverse" = "forward") =>
  (locomotive?.[direction]?.points ?? []).map(({ level, runs }) => [level, runs]);
/** A fast run, so that one more level moves. */
const more = { level: 250, mph: 90 };

describe("measurements from JSON", () => {
  it("become scale speeds, by locomotive and direction", () => {
    const [nine, ten] = good(
      measurementsFromJson({
        scale: "O",
        cm: 150,
        locomotive: "No. 9",
        runs: [
          { level: 20, seconds: "stands" },
          { level: 40, seconds: 12, note: "cold" },
          { level: 40, seconds: 11, direction: "reverse" },
          { level: 60, seconds: 8, direction: "reverse" },
          { level: 60, seconds: [4, 3.9], scale: "N", mm: 900 },
          { level: 60, mph: 15, locomotive: "No. 10" },
          { level: 90, kmh: 36, locomotive: "No. 10" },
        ],
      }),
    );
    expect(nine?.name).toBe("No. 9");
    expect(nine?.forward?.standsTo).toBe(20);
    // Length / time * ratio.
    expect(runsOf(nine)).toEqual([
      [40, [(1.5 / 12) * 48]],
      [60, [(0.9 / 4) * 160, (0.9 / 3.9) * 160]],
    ]);
    expect(runsOf(nine, "reverse")).toEqual([
      [40, [(1.5 / 11) * 48]],
      [60, [(1.5 / 8) * 48]],
    ]);
    expect(ten?.name).toBe("No. 10");
    expect(runsOf(ten)).toEqual([
      [60, [mph(15)]],
      [90, [10]],
    ]);
    expect(ten && "reverse" in ten).toBe(false);
  });

  it.each([
    [{ mm: 1500 }, 1.5],
    [{ cm: 150 }, 1.5],
    [{ m: 1.5 }, 1.5],
    [{ inches: 60 }, 1.524],
    [{ feet: 5 }, 1.524],
  ])("read the length %j", (length, metres) => {
    const [one] = good(measurementsFromJson([{ level: 9, seconds: 3, scale: "1:48", ...length }, more]));
    expect(one?.forward?.points[0]?.speed).toBeCloseTo((metres / 3) * 48, 12);
  });

  it("may be of a crawl", () => {
    const runs = [1, 1].map((mm) => ({ level: 9, mm, seconds: 1e6, scale: "1:1" }));
    expect(good(measurementsFromJson([...runs, more]))[0]?.forward?.points[0]?.speed).toBeCloseTo(1e-9, 20);
  });

  it("are as exact as their last digit", () => {
    // 0.29 of the last digit, which all rows of a display share.
    const deviations = (list: readonly number[]) =>
      good(
        measurementsFromJson(list.map((speed, i) => ({ level: 50 * (i + 1), mph: speed }))),
      )[0]?.forward?.points.map(({ deviation }) => deviation) ?? [];
    const [coarse = 0] = deviations([10, 20, 30]);
    const [fine = 0] = deviations([10, 20.5, 30]);
    expect(coarse).toBeGreaterThan(mph(1) / Math.sqrt(12));
    expect(fine).toBeLessThan(coarse);
    // Whole seconds are less exact than tenths.
    const timed = (seconds: readonly number[]) =>
      good(
        measurementsFromJson({
          scale: "HO",
          m: 2,
          runs: seconds.map((time, i) => ({ level: 50 * (i + 1), seconds: time })),
        }),
      )[0]?.forward?.points[2]?.deviation ?? 0;
    expect(timed([40, 20, 10])).toBeGreaterThan(timed([40, 20.5, 10]));
  });

  it("by step need the curve in use, beside them or from the caller", () => {
    const table = steps.map((step) => 8 * step);
    const fast = { step: 28, mph: 40 };
    const runs = [{ step: 5, mph: 4 }, fast];
    const levels = (result: Read, direction: "forward" | "reverse" = "forward") =>
      good(result)[0]?.[direction]?.points.map(({ level }) => level);
    expect(levels(measurementsFromJson({ table, runs }))).toEqual([40, 224]);
    expect(good(measurementsFromJson({ table, runs }))[0]?.present).toEqual(table);
    const in128 = [{ step: 63, mph: 4 }, { step: 126, mph: 8 }]; // biome-ignore format: one line
    expect(levels(measurementsFromJson({ table, steps: 128, runs: in128 }))?.[1]).toBe(224);
    const cvs = Object.fromEntries(table.map((level, i) => [67 + i, level]));
    const drive = CvSet.from({ ...cvs, 29: 16, 95: 64 });
    const both = [...runs, ...runs.map((run) => ({ ...run, direction: "reverse" }))];
    expect(levels(measurementsFromJson(both, { drive }), "reverse")).toEqual([20, 112]);
    // CV 67-94 alone, as the command `curve` writes them, will do.
    expect(levels(measurementsFromJson(runs, { drive: CvSet.from(cvs) }))).toEqual([40, 224]);
    expect(bad(measurementsFromJson(runs))).toEqual(["0.step", "1.step"]);
    expect(bad(measurementsFromJson([{ step: 29, mph: 4 }], { drive }))).toEqual(["0.step"]);
    const lacking = { drive: CvSet.from({ 29: 16, ...Object.fromEntries(Object.entries(cvs).slice(2)) }) };
    expect(bad(measurementsFromJson([{ step: 1, mph: 4 }], lacking))).toEqual(["drive", "drive", "0.step"]);
  });

  const rows: [string, unknown, string[]][] = [
    ["nothing", null, [""]],
    ["a text", "level 9", [""]],
    ["an object without runs", { scale: "O" }, [""]],
    ["an empty list", [], [""]],
    ["runs that are none", { runs: [7, null, []] }, ["runs.0", "runs.1", "runs.2"]],
    ["a run without anything", [{}], ["0", "0"]],
    ["level and step together", [{ level: 1, step: 1, mph: 3 }], ["0"]],
    ["two speeds", [{ level: 1, kmh: 3, mph: 3 }], ["0"]],
    ["an unknown field", [{ level: 1, mph: 3, lenght: 3 }], ["0.lenght"]],
    ["an unknown field for all", { speed: 3, runs: [{ level: 1, mph: 3 }] }, ["speed"]],
    ["a time without a length", [{ level: 1, seconds: 3, scale: "N" }], ["0.seconds"]],
    ["a time without a scale", [{ level: 1, seconds: 3, cm: 9 }], ["0.seconds"]],
    ["a length twice", [{ level: 1, seconds: 3, cm: 90, mm: 900, scale: "N" }], ["0.cm"]],
    ["times that are none", [{ level: 1, seconds: [0, -1, "3", null], cm: 9, scale: "N" }], [0, 1, 2, 3].map((i) => `0.seconds.${i}`)], // biome-ignore format: one row
    ["no timing in a list", [{ level: 1, seconds: [], cm: 9, scale: "N" }], ["0.seconds"]],
    ["numbers as text", [{ level: "1", mph: "3" }], ["0.level", "0.mph"]],
    ["numbers out of range", [{ level: 256, mph: -3 }], ["0.level", "0.mph"]],
    ["a level between two", [{ level: 1.5, mph: 3 }], ["0.level"]],
    ["a direction that is none", [{ level: 1, mph: 3, direction: { toString: 3 } }], ["0.direction"]],
    ["an unknown direction", [{ level: 1, mph: 3, direction: "back" }], ["0.direction"]],
    ["a name that is none", [{ level: 1, mph: 3, locomotive: 9 }], ["0.locomotive"]],
    ["an unknown scale for all, once", { scale: "Q", cm: 9, runs: [1, 2].map((level) => ({ level, seconds: 3 })) }, ["scale"]], // biome-ignore format: one row
    ["an unknown scale for one", [{ level: 1, seconds: 3, cm: 9, scale: "Q" }], ["0.scale"]],
    ["an unknown step mode", { steps: 27, runs: [{ level: 1, mph: 3 }] }, ["steps"]],
    ["a table that is none", { table: [1], runs: [{ level: 1, mph: 3 }] }, ["table"]],
    [
      "everything at once",
      [{ level: -1, mph: "x", direction: 3, x: 1 }],
      ["0.x", "0.direction", "0.level", "0.mph"],
    ],
  ];
  it.each(rows)("reject %s", (_, json, paths) => {
    expect(bad(measurementsFromJson(json))).toEqual(paths);
  });

  // A length is above 0 and at most a million, in its own unit; no length is a guess at what was meant.
  it.each(["mm", "cm", "m", "inches", "feet"])("reject lengths beyond the limits, in %s", (unit) => {
    const own = (length: unknown) =>
      measurementsFromJson([{ level: 9, seconds: 3, scale: "N", [unit]: length }, more]);
    const shared = (length: unknown) =>
      measurementsFromJson({ scale: "N", [unit]: length, runs: [{ level: 9, seconds: 3 }, more] });
    for (const length of [0, -0, -1, 1e6 + 1, Number.POSITIVE_INFINITY, Number.NaN, "9", null]) {
      expect(bad(own(length))).toEqual([`0.${unit}`]);
      expect(bad(shared(length))).toEqual([unit]);
    }
    // The speed may be wrong, but not the length.
    for (const length of [0.001, 1e6]) {
      expect(paths(own(length))).not.toContain(`0.${unit}`);
      expect(paths(shared(length))).not.toContain(unit);
    }
    const result = own(0);
    expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual([
      `0.${unit}: expected a number above 0 to 1000000 ${unit}, got 0`,
    ]);
  });

  it("reject a length of the caller beyond the limits", () => {
    const runs = [{ level: 9, seconds: 3, scale: "N" }, more];
    for (const distance of [0, -1, 1e6 + 1])
      expect(bad(measurementsFromJson(runs, { distance }))).toEqual(["distance"]);
    for (const distance of [Number.NaN, "9" as never])
      expect(() => measurementsFromJson(runs, { distance })).toThrow(/^distance: expected a number, got/);
    expect(paths(measurementsFromJson(runs, { distance: 1.5 }))).not.toContain("distance");
    // It is not looked at where the file has its own.
    expect(paths(measurementsFromJson({ m: 2, runs }, { distance: 0 }))).not.toContain("distance");
  });

  it("never throw and never give a number that is none", () => {
    const cell = fc.oneof(fc.anything(), fc.integer(), fc.double(), fc.constant("stands"));
    const level = fc.integer({ min: 1, max: 255 });
    const speed = fc.double({ min: 1, max: 99, noNaN: true });
    const rising = fc
      .array(fc.tuple(level, speed), { minLength: 3, maxLength: 9 })
      .map((pairs) => pairs.map(([level, mph], i) => ({ level, mph: mph + 20 * i })))
      .map((runs) => {
        const levels = runs.map(({ level }) => level).sort((a, b) => a - b);
        return runs.sort((a, b) => a.mph - b.mph).map((run, i) => ({ ...run, level: levels[i] }));
      });
    let taken = 0;
    const row = fc.record(
      Object.fromEntries(
        ["level", "step", "seconds", "mph", "cm", "scale", "direction"].map((name) => [name, cell]),
      ),
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(fc.oneof(fc.anything(), fc.array(row), rising), (json) => {
        const result = measurementsFromJson(json);
        if (!result.ok)
          expect(result.issues.map((issue) => messageOf(issue)).join("").length).toBeGreaterThan(0);
        else taken++;
        for (const { forward, reverse } of result.ok ? result.value.locomotives : []) {
          for (const { level, speed } of [...(forward?.points ?? []), ...(reverse?.points ?? [])]) {
            expect(Number.isFinite(level) && Number.isFinite(speed)).toBe(true);
          }
        }
      }),
      { numRuns: 300 },
    );
    expect(taken).toBeGreaterThan(20);
  });
});

describe("measurements from CSV text", () => {
  const defaults = { scale: "O", distance: 1.5 };

  it("are the same as from JSON", () => {
    const text = [
      "\uFEFF# timed on the club's line",
      "Locomotive,direction,level,seconds,seconds,note",
      "No. 9,forward,20,stands,,",
      'No. 9,forward,40,12,11.5,"cold, ""really"""',
      "No. 9,forward,90,4,3.9,",
      "",
      "No. 9,reverse,40,11,,",
      "No. 9,reverse,90,3.5,,",
      "",
    ].join("\r\n");
    const runs = [
      { level: 20, seconds: "stands" },
      { level: 40, seconds: [12, 11.5] },
      { level: 90, seconds: [4, 3.9] },
      { level: 40, seconds: 11, direction: "reverse" },
      { level: 90, seconds: 3.5, direction: "reverse" },
    ];
    const [found] = good(measurementsFromCsv(text, defaults));
    const [wanted] = good(measurementsFromJson({ locomotive: "No. 9", runs }, defaults));
    expect(found?.name).toBe("No. 9");
    for (const direction of ["forward", "reverse"] as const) {
      expect(found?.[direction]?.points).toEqual(wanted?.[direction]?.points);
      expect(found?.[direction]?.standsTo).toBe(direction === "forward" ? 20 : 0);
    }
  });

  it.each([
    ["semicolons and decimal commas", "level;mph\n40;12,5\n90;30\n"],
    ["tabs", "level\tmph\n40\t12.5\n90\t30"],
    ["old line ends", "level,mph\r40,12.5\r90,30\r"],
    ["quotes around everything", '"level","mph"\n"40","12.5"\n"90","30"'],
    ["spaces", " level , mph \n 40 , 12.5 \n90,30"],
    ["a unit as people write it", "level,km/h\n40,20.1168\n90,50"],
    ["an empty first cell", "locomotive,level,mph\n,40,12.5\n,90,30"],
    ["a missing last cell", "level,mph,note\n40,12.5\n90,30"],
  ])("may have %s", (_, text) => {
    const [one] = good(measurementsFromCsv(text));
    expect(one?.forward?.points[0]).toMatchObject({ level: 40, speed: expect.closeTo(mph(12.5), 12) });
  });

  it.each([
    ["nothing", "", [""]],
    ["no runs", "level,mph\n", [""]],
    ["unknown columns", "level,mph,lenght,x\n1,2,3,4", ["line 1, lenght", "line 1, x"]],
    ["a column twice", "level,mph,mph\n1,2,3", ["line 1, mph"]],
    ["cells that are no numbers", "level,mph\nx,2\n3,y", ["line 2, level", "line 3, mph"]],
    ["too many cells", "level,mph\n1,2\n\n1,2,3", ["line 4"]],
    ["an open quote", 'level,mph,note\n1,2,"cold', ["line 2"]],
    ["text behind a quote", 'level,mph,note\n1,2,"cold"er', ["line 2"]],
    ["a time that is a word", "level,seconds\n1,fast", ["line 2, seconds"]],
    ["a time that is a word, among others", "level,seconds,seconds\n1,fast,8", ["line 2, seconds.0"]],
    ["a time below 0", "level,seconds\n1,-8", ["line 2, seconds"]],
    ["a decimal comma between commas", "level,mph\n40,12,5", ["line 2"]],
    ["neither level nor step", "mph\n12", ["line 2"]],
    ["a hexadecimal number", "level,mph\n0x20,12", ["line 2, level"]],
    ["a huge number", "level,mph\n40,1e999", ["line 2, mph"]],
    ["one level only", "locomotive,level,mph\nA,40,4\nB,40,4", ["A, forward", "B, forward"]],
    ["more columns than any bench fills", `${"seconds,".repeat(300)}level\n1`, ["line 1"]],
  ])("reject %s", (_, text, paths) => {
    expect(badLines(measurementsFromCsv(text, defaults))).toEqual(paths);
  });

  it("cut lines into cells as papaparse does", () => {
    const cell = fc.oneof(
      fc.string({ unit: fc.constantFrom("a", ",", '"', " ", ";", "é") }),
      fc.constant("b"),
    );
    fc.assert(
      fc.property(fc.array(cell, { minLength: 1, maxLength: 5 }), (names) => {
        // The notes of one run each; what comes back as the name of the locomotive is the cell.
        const used = names.map((name) => `x${name.trim()}`);
        const rows = used.flatMap((name) => [[name, 40, 10], [name, 90, 30]]); // biome-ignore format: one line
        const text = Papa.unparse([["locomotive", "level", "mph"], ...rows]);
        const found = good(measurementsFromCsv(text)).map(({ name }) => name);
        const parsed = Papa.parse<string[]>(text, { delimiter: "," })
          .data.slice(1)
          .map(([name]) => name);
        expect(found).toEqual([...new Set(parsed)]);
      }),
    );
  });

  it("never throw", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom("level", "mph", ",", "\n", '"', "1", ";", "#", "x") }),
        (text) => {
          const result = measurementsFromCsv(text);
          expect(result.ok ? result.value.locomotives.length : result.issues.length).toBeGreaterThan(0);
        },
      ),
    );
  });
});

describe("what is doubtful about measurements", () => {
  const warningsOf = (result: Read) => (result.ok ? result.value.warnings : []);
  const text = [
    "locomotive,level,seconds,seconds",
    "A,16,stands,",
    "A,17,161.0,158.2",
    "A,40,31.0,30.7",
    "A,80,10.6,1.06",
    "A,130,5.6,5.5",
    "A,190,3.5,3.5",
    "A,250,2.9,2.8",
  ].join("\n");

  it("is told with the line, the value, and the locomotive", () => {
    const slip = warningsOf(measurementsFromCsv(text, { scale: "HO", distance: 2 })).find(
      ({ code }) => code === "slip",
    );
    expect(slip).toMatchObject({ line: 5, params: { level: 80, found: "1.06 s", likely: "10.6 s" } });
    expect(slip && messageOf(slip)).toBe(
      "A, forward: level 80: 1.06 s contradicts the other runs, which make about 10.6 s likely; it is left out",
    );
  });
  it("is told with the path in JSON", () => {
    const runs = [
      { level: 17, seconds: [161, 158.2] },
      { level: 40, seconds: [31, 30.7] },
      { level: 80, seconds: [10.6, 1.06] },
      { level: 130, seconds: [5.6, 5.5] },
      { level: 190, seconds: [3.5, 3.5] },
    ];
    const found = warningsOf(measurementsFromJson({ scale: "HO", m: 2, runs }));
    expect(found.find(({ code }) => code === "slip")?.at).toBe("runs.2.seconds.1");
  });
  it.each([
    ["20 m for 2 m", { scale: "HO", distance: 20 }, ["track-length", "speed-beyond-models"]],
    ["2 cm for 2 m", { scale: "HO", distance: 0.02 }, ["track-length"]],
    ["N for O", { scale: "N", distance: 2 }, ["speed-beyond-models"]],
    ["nothing", { scale: "HO", distance: 2 }, []],
  ] as const)("such as %s", (_, defaults, codes) => {
    const clean = text.replace("1.06", "10.7").replace("A,40", "A,28,62,62.5\nA,40");
    const found = warningsOf(measurementsFromCsv(clean, defaults)).map(({ code }) => code);
    expect(found).toEqual(codes);
  });
  it("is told once for a length that every run names", () => {
    const runs = [40, 80, 120].map((level) => ({ level, m: 20, seconds: 800 / level }));
    const found = warningsOf(measurementsFromJson({ scale: "HO", runs }));
    expect(found.filter(({ code }) => code === "track-length")).toHaveLength(1);
  });
});

describe("long files", () => {
  it("of 70,000 rows are read to their end, good or wrong, without filling the stack", () => {
    const rows = Array.from({ length: 70_000 }, (_, i) => `${20 + (i % 220)},${((i % 220) + 1) / 4}`);
    const [one] = good(measurementsFromCsv(`level,mph\n${rows.join("\n")}`));
    expect(one?.forward?.points).toHaveLength(220);
    const same = Array.from({ length: 40_000 }, (_, i) => ({
      level: i === 0 ? 200 : 40,
      mph: i === 0 ? 50 : 10,
    }));
    expect(good(measurementsFromJson(same))[0]?.forward?.points[0]?.runs).toHaveLength(39_999);
    const wrong = rows.map((row) => `x${row}`);
    expect(bad(measurementsFromCsv(`level,mph\n${wrong.join("\n")}`))).toHaveLength(1001);
  });
});
