import { messageOf } from "cvset";
import {
  measuredLocomotives,
  measurementsFromCsv,
  mph,
  readMeasurements,
  scaleSpeed,
  type TimedLocomotive,
} from "cvset/motion";
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { issuesOf, steps } from "./helpers.js";

type Read = ReturnType<typeof readMeasurements>;
const good = (result: Read): readonly TimedLocomotive[] => {
  if (!result.ok) throw new Error(result.issues.map(messageOf).join("\n"));
  return result.value;
};
const bad = (result: Read): string[] => {
  expect(result.ok).toBe(false);
  return result.ok ? [] : result.issues.map(({ path }) => path);
};

describe("measurements from JSON", () => {
  it("become scale speeds, by locomotive and direction", () => {
    const [nine, ten] = good(
      readMeasurements({
        scale: "O",
        cm: 150,
        locomotive: "No. 9",
        runs: [
          { level: 20, seconds: "stands" },
          { level: 40, seconds: 12, note: "cold" },
          { level: 40, seconds: 11, direction: "reverse" },
          { level: 60, seconds: [8, 7.5], scale: "N", mm: 900 },
          { level: 60, mph: 15, locomotive: "No. 10" },
          { level: 90, kmh: 36, locomotive: "No. 10" },
        ],
      }),
    );
    expect(nine?.name).toBe("No. 9");
    expect(nine?.forward).toEqual([
      { level: 20, speed: 0 },
      { level: 40, speed: scaleSpeed({ distance: 1.5, seconds: 12, scale: "O" }) },
      { level: 60, speed: scaleSpeed({ distance: 0.9, seconds: 8, scale: "N" }) },
      { level: 60, speed: scaleSpeed({ distance: 0.9, seconds: 7.5, scale: "N" }) },
    ]);
    expect(nine?.reverse).toEqual([
      { level: 40, speed: scaleSpeed({ distance: 1.5, seconds: 11, scale: "O" }) },
    ]);
    expect(ten).toEqual({
      name: "No. 10",
      forward: [
        { level: 60, speed: mph(15) },
        { level: 90, speed: 10 },
      ],
      reverse: [],
      repeated: [],
    });
  });

  it.each([
    [{ mm: 1500 }, 1.5],
    [{ cm: 150 }, 1.5],
    [{ m: 1.5 }, 1.5],
    [{ inches: 60 }, 1.524],
    [{ feet: 5 }, 1.524],
  ])("read the length %j", (length, metres) => {
    const [one] = good(readMeasurements([{ level: 9, seconds: 3, scale: 48, ...length }]));
    expect(one?.forward[0]?.speed).toBeCloseTo((metres / 3) * 48, 12);
  });

  it("say how well repeated timings agree", () => {
    const runs = [
      { level: 40, mph: 10 },
      { level: 40, mph: 10.2 },
      { level: 40, mph: 9.9 },
      { level: 40, mph: 17 },
      { level: 50, mph: 12 },
      { level: 60, mph: 0 },
      { level: 60, mph: 1 },
    ];
    const [one] = good(readMeasurements(runs));
    expect(one?.repeated).toEqual([
      {
        direction: "forward",
        level: 40,
        count: 4,
        speed: expect.closeTo(mph(10.1), 9),
        spread: expect.any(Number),
        outliers: 1,
      },
    ]);
    expect(one?.repeated[0]?.spread).toBeCloseTo(0.15 / 10.1, 9);
  });

  it("may be of a crawl", () => {
    const runs = [1, 1].map((mm) => ({ level: 9, mm, seconds: 1e6, scale: 1 }));
    expect(good(readMeasurements(runs))[0]?.repeated[0]).toMatchObject({
      speed: 1e-9,
      spread: 0,
      outliers: 0,
    });
  });

  it("by step need the table in use, beside them or from the caller", () => {
    const table = steps.map((step) => 8 * step);
    const runs = [{ step: 5, mph: 4 }];
    expect(good(readMeasurements({ table, runs }))[0]?.forward[0]?.level).toBe(40);
    expect(good(readMeasurements({ table, runs }))[0]?.present).toEqual(table);
    const in128 = good(readMeasurements({ table, steps: 128, runs: [{ step: 126, mph: 4 }] }));
    expect(in128[0]?.forward[0]?.level).toBe(224);
    const drive = { curve: "table", table, reverseTrim: 64 } as const;
    const both = [...runs, { step: 5, mph: 4, direction: "reverse" }];
    const [one] = good(readMeasurements(both, { drive }));
    expect([one?.forward[0]?.level, one?.reverse[0]?.level]).toEqual([40, 20]);
    expect(bad(readMeasurements(runs))).toEqual(["0.step"]);
    expect(bad(readMeasurements([{ step: 29, mph: 4 }], { drive }))).toEqual(["0.step"]);
    expect(bad(readMeasurements([{ step: 1, mph: 4 }], { drive: { curve: "table" } }))).toEqual([
      "drive.table",
      "0.step",
    ]);
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
    ["a length twice", [{ level: 1, seconds: 3, cm: 9, mm: 90, scale: "N" }], ["0.cm"]],
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
    expect(bad(readMeasurements(json))).toEqual(paths);
  });

  it("never throw and never give a number that is none", () => {
    const cell = fc.oneof(fc.anything(), fc.integer(), fc.double(), fc.constant("stands"));
    const row = fc.record(
      Object.fromEntries(
        ["level", "step", "seconds", "mph", "cm", "scale", "direction"].map((name) => [name, cell]),
      ),
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(fc.oneof(fc.anything(), fc.array(row)), (json) => {
        const result = readMeasurements(json);
        if (!result.ok) expect(result.issues.map(messageOf).join("").length).toBeGreaterThan(0);
        for (const { forward, reverse } of result.ok ? result.value : []) {
          for (const { level, speed } of [...forward, ...reverse]) {
            expect(Number.isFinite(level) && Number.isFinite(speed)).toBe(true);
          }
        }
      }),
      { numRuns: 500 },
    );
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
      "",
      "No. 9,reverse,40,11,,",
      "",
    ].join("\r\n");
    const runs = [
      { level: 20, seconds: "stands" },
      { level: 40, seconds: [12, 11.5] },
      { level: 40, seconds: 11, direction: "reverse" },
    ];
    expect(measurementsFromCsv(text, defaults)).toEqual(
      readMeasurements({ locomotive: "No. 9", runs }, defaults),
    );
  });

  it.each([
    ["semicolons and decimal commas", "level;mph\n40;12,5\n"],
    ["tabs", "level\tmph\n40\t12.5"],
    ["old line ends", "level,mph\r40,12.5\r"],
    ["quotes around everything", '"level","mph"\n"40","12.5"'],
    ["spaces", " level , mph \n 40 , 12.5 "],
    ["a unit as people write it", "level,km/h\n40,20.1168"],
    ["an empty first cell", "locomotive,level,mph\n,40,12.5"],
    ["a missing last cell", "level,mph,note\n40,12.5"],
  ])("may have %s", (_, text) => {
    const [one] = good(measurementsFromCsv(text));
    expect(one?.forward).toEqual([{ level: 40, speed: expect.closeTo(mph(12.5), 12) }]);
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
  ])("reject %s", (_, text, paths) => {
    expect(bad(measurementsFromCsv(text, defaults))).toEqual(paths);
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
        const text = Papa.unparse([["locomotive", "level", "mph"], ...used.map((name) => [name, 40, 10])]);
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
          expect(result.ok ? result.value.length : result.issues.length).toBeGreaterThan(0);
        },
      ),
    );
  });
});

describe("measured locomotives", () => {
  it("have a response for each direction that was timed, and the present levels", () => {
    const table = steps.map((step) => 8 * step);
    const runs = [
      { level: 40, mph: 4 },
      { level: 200, mph: 40 },
    ];
    const [one] = measuredLocomotives(good(readMeasurements({ table, runs })));
    expect(one?.forward?.movesFrom).toBe(40);
    expect(one && "reverse" in one).toBe(false);
    expect(one?.present).toEqual(table);
  });
  it("say by name what is wrong with which", () => {
    const runs = ["A", "B"].map((locomotive) => ({ locomotive, level: 40, mph: 4, direction: "reverse" }));
    const found = issuesOf(() => measuredLocomotives(good(readMeasurements(runs))));
    expect(found.map(({ path }) => path)).toEqual(["A, reverse.samples", "B, reverse.samples"]);
  });
});
