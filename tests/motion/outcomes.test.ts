// What the functions of motion give for many inputs, whole, and with which words they refuse others: tests/motion/golden.
// CVSET_UPDATE=1 writes them anew; read what changes. Numbers are compared to six digits.
import { CvSet, messageOf } from "cvset";
import {
  beatFit,
  beatsPerTurn,
  brakeToMark,
  driveLevels,
  estimateResponse,
  matchReport,
  matchSpeeds,
  measurementsFromCsv,
  measurementsFromJson,
  momentumForStop,
  momentumProfile,
  mph,
  predictSpeeds,
  type SpeedResponse,
  scaledCurve,
  scaleRatio,
  speedCurve,
  speedPicture,
  speedRange,
  stoppingPicture,
  tablePatch,
  targetSpeeds,
  threePointsOf,
} from "cvset/motion";
import { describe, test } from "vitest";
import { expectFile, GoldenPage, updates } from "../support/golden.js";

type Call = () => unknown;
const any = (value: unknown) => value as never;
const straight = Array.from({ length: 28 }, (_, i) => 9 * (i + 1));
const run = (level: number, ...seconds: unknown[]) => ({
  level,
  seconds: seconds.length === 1 ? seconds[0] : seconds,
});

/** Runs of an invented motor over two metres at 1:48. */
const runsOf = (factor: number, direction = "forward") => [
  { ...run(20, "stands"), direction },
  ...[40, 70, 100, 140, 190, 240].map((level, i) => {
    const speed = factor * (0.0007 * (level - 30) ** 1.15 + 0.01);
    return {
      ...run(level, ...[0, 1, 2].map((k) => Number((2 / speed + 0.1 * ((i + k) % 3)).toFixed(1)))),
      direction,
    };
  }),
];
const shared = { scale: "O", m: 2 };
const measured = (...runs: object[][]) => {
  const result = measurementsFromJson({ ...shared, runs: runs.flat() });
  if (!result.ok) throw new Error("not read");
  return result.value.locomotives;
};
const named = (name: string, ...runs: object[][]) => measured(...runs).map((one) => ({ ...one, name }));
const nine = named("No. 9", runsOf(1), runsOf(0.93, "reverse"));
const ten = named("No. <10>", runsOf(1.4));
const slow = named("No. 11", runsOf(0.4));
const forward = nine[0]?.forward as SpeedResponse;
const speeds14 = Array.from({ length: 14 }, (_, i) => 0.05 * (i + 1) ** 2);
const speeds28 = straight.map((level) => level / 20);
const matchBoth = () =>
  matchSpeeds({ target: targetSpeeds({ start: mph(2), top: mph(45) }), locomotives: [...nine, ...ten] });

const groups: Readonly<Record<string, Readonly<Record<string, Call>>>> = {
  scales: Object.fromEntries(
    [
      "Z",
      "N",
      "TT",
      "HO",
      "OO",
      "S",
      "O",
      "I",
      "G",
      "II",
      "ho",
      "H0",
      "00",
      "HOn3",
      "HOn30",
      "Nn3",
      "On2½",
      "OO9",
      "00-9",
      "H0e",
      "TTm",
      "h 0 f",
      "Oi",
      "Op",
      "0",
      "0m",
      "1:87",
      "1/87",
      "1:87.1",
      "1:22,5",
      "1:0",
      "1:1",
      "1:1000",
      "1:1001",
      "1:",
      "87",
      "22,5",
      "O1",
      "X",
      "HOO",
      "HOx",
      "",
      "1 : 48",
    ].map((text) => [JSON.stringify(text), () => scaleRatio(text)]),
  ),
  "runs as JSON": Object.fromEntries(
    [
      null,
      {},
      [],
      { runs: 3 },
      [3],
      [undefined, {}],
      [[]],
      [{ level: 40 }],
      [{ seconds: 3 }],
      [{ level: 40, step: 2, mph: 3 }],
      [{ level: 40, mph: 3, kmh: 4 }],
      [{ level: 40, mph: 3, kmh: 4, seconds: 5 }],
      [
        { level: -1, mph: 3 },
        { level: 256, mph: 3 },
        { level: 1.5, mph: 3 },
        { level: "4", mph: 3 },
      ],
      [
        { level: 40, mph: -1 },
        { level: 40, kmh: 1001 },
        { level: 40, mph: "3" },
        { level: 40, mph: null },
      ],
      [{ step: 3, mph: 3 }],
      { steps: 27, runs: [{ level: 40, mph: 3 }] },
      { table: [1, 2], runs: [{ level: 40, mph: 3 }] },
      { table: straight.with(3, 300), runs: [{ step: 3, mph: 3 }] },
      {
        table: straight,
        runs: [
          { step: 0, mph: 3 },
          { step: 29, mph: 3 },
          { step: 2.5, mph: 3 },
        ],
      },
      {
        table: straight,
        runs: [
          { step: 3, mph: 3 },
          { step: 28, mph: 30 },
        ],
      },
      {
        table: straight,
        steps: 14,
        runs: [
          { step: 3, mph: 3 },
          { step: 14, mph: 30 },
        ],
      },
      [{ level: 40, seconds: [] }],
      [{ level: 40, seconds: "fast" }],
      [{ level: 40, seconds: [3, "x", null], m: 2, scale: "N" }],
      [{ level: 40, seconds: [0, 0.001, 1e7], m: 2, scale: "N" }],
      [{ level: 40, seconds: 3 }],
      [{ level: 40, seconds: 3, m: 2 }],
      [{ level: 40, seconds: 3, scale: "N" }],
      [{ level: 40, seconds: 3, scale: "N", m: 2, cm: 200 }],
      [
        { level: 40, seconds: 3, scale: "N", m: 0 },
        { level: 40, seconds: 3, scale: "N", feet: 2e6 },
        { level: 40, seconds: 3, scale: "N", mm: "x" },
      ],
      [
        { level: 40, seconds: 3, scale: "XX", inches: 60 },
        { level: 40, seconds: 3, scale: 87, inches: 60 },
      ],
      [
        { level: 40, mph: 3, direction: "back" },
        { level: 40, mph: 3, direction: "revers" },
      ],
      [
        { level: 40, mph: 3, locomotive: "" },
        { level: 40, mph: 3, locomotive: 9 },
      ],
      [{ level: 40, mph: 3, levl: 3 }],
      { name: "x", scle: "O", runs: [{ level: 40, mph: 3 }] },
      [{ level: 40, mph: 3 }],
      [
        { level: 40, mph: 3 },
        { level: 80, mph: 9 },
      ],
      [
        { level: 40, mph: 3.25 },
        { level: 80, mph: 9 },
        { level: 120, kmh: 30 },
        { level: 10, mph: 0 },
      ],
      {
        ...shared,
        note: "x",
        locomotive: "A",
        runs: [
          run(20, "stands"),
          run(60, 30, 31),
          { ...run(200, 8), locomotive: "B" },
          { ...run(100, 9), locomotive: "B", note: "y" },
        ],
      },
      { ...shared, runs: [run(20, "stands", 40), run(60, 30), run(200, 8)] },
      { ...shared, runs: runsOf(1) },
      { ...shared, runs: [...runsOf(1), ...runsOf(0.9, "reverse")] },
      { scale: "O", m: 0.1, runs: [run(20, 30), run(60, 8), { ...run(80, 6), m: 12 }] },
      { scale: "O", m: 2, runs: [run(60, 32, 3.2, 31.5), run(130, 13.6, 13.5), run(200, 8.0, 81)] },
      { scale: "O", m: 2, runs: [run(60, 32), run(130, 33), run(200, 8.0)] },
      { scale: "1:1", m: 100, runs: [run(60, 1), run(130, 0.5)] },
    ].map((json) => [JSON.stringify(json), () => measurementsFromJson(json)]),
  ),
  "defaults of runs": {
    name: () =>
      measurementsFromJson(
        [
          { level: 40, mph: 3 },
          { level: 80, mph: 9 },
        ],
        { locomotive: "C" },
      ),
    length: () => measurementsFromJson([run(40, 30), run(80, 9)], { scale: "N", distance: 1 }),
    "length that is none": () => measurementsFromJson([run(40, 30)], { scale: "N", distance: -1 }),
    "length that is strange": () =>
      measurementsFromJson([run(40, 30), run(80, 9)], { scale: "N", distance: 0.1 }),
    "scale that is none": () => measurementsFromJson([run(40, 30)], { scale: "X", distance: 1 }),
    drive: () =>
      measurementsFromJson(
        [
          { step: 2, mph: 3 },
          { step: 28, mph: 30, direction: "reverse" },
          { step: 3, mph: 5 },
          { step: 3, mph: 5, direction: "reverse" },
        ],
        { drive: CvSet.from({ 2: 10, 5: 200, 6: 90, 29: 0 }) },
      ),
    "drive that is not known": () =>
      measurementsFromJson([{ step: 2, mph: 3 }], { drive: CvSet.from({ 29: 0 }) }),
    steps: () =>
      measurementsFromJson(
        [
          { step: 63, mph: 3 },
          { step: 126, mph: 9 },
        ],
        { steps: 128, drive: CvSet.from(table({ 29: 16 }) as never) },
      ),
    ...Object.fromEntries(
      [3, { locomotive: 3 }, { scale: 3 }, { distance: "x" }, { drive: 3 }, { steps: "x" }].map(
        (defaults) => [JSON.stringify(defaults), () => measurementsFromJson([], any(defaults))],
      ),
    ),
  },
  "runs as CSV": Object.fromEntries(
    [
      "",
      "# nothing\n\n",
      "level,mph",
      "level,mph\n40,3\n80,9",
      "\ufeffLevel;km/h\r\n40;3,5\r\n80;9\r\n",
      "level\tmph\n40\t3\n80\t9,5",
      "# x;y;z\nlevel,mph\n40,3\n\n80,9\n",
      "level,mph\n40,3,,\n80,9",
      "level,mph\n40,3,4\n80,9",
      "level,mph\n40\n,3\n",
      "level,mph,mph\n40,3,4",
      "level,speed\n40,3",
      "level,seconds,seconds\n40,30,31\n80,9,\n20,stands,",
      "level,seconds\n40,fast\n80,1e2",
      "level,mph\nx,3\n40,+3.\n80,.5\n90,-1\n100,1234567890123456\n120,1,5",
      'level,mph\n"40","3"\n"80","9"x\n',
      'level,mph\n"40',
      'level,mph,note,direction,locomotive\n40,3,"a\nb",forward,A\n80,9,,reverse,A\n90,9,,reverse,\n80,8,,,A\n99,9,,sideways,A',
      "level,mph\r40,3\r80,x\r",
      `${Array.from({ length: 201 }, (_, i) => `a${i}`).join(",")}\n1`,
      "step,mph\n3,3",
      "level,seconds,m,scale\n40,30,2,N\n80,9,2,N\n90,8,0.1,N",
      "level,seconds,seconds\n20,stands,\n60,32.0,31.5\n130,13.6,1.35\n200,8.0,8.1\n",
    ].map((text) => [
      JSON.stringify(text).slice(0, 160),
      () => measurementsFromCsv(text, { scale: "O", distance: 2 }),
    ]),
  ),
  responses: {
    none: () => estimateResponse([]),
    one: () => estimateResponse([{ level: 40, speed: 2 }]),
    two: () =>
      estimateResponse([
        { level: 40, speed: 2 },
        { level: 80, speed: 5 },
      ]),
    "with a crawl": () =>
      estimateResponse([
        { level: 10, speed: 0 },
        { level: 40.5, speed: 0.1 },
        { level: 80, speed: 5, deviation: 0.1 },
        { level: 200, speed: 5.01, seconds: 8 },
      ]),
    "that is no list": () => estimateResponse(any(3)),
    "of wrong samples": () =>
      estimateResponse([
        any({}),
        any({ level: 256, speed: -1, seconds: 0, deviation: -1 }),
        any({ level: 3, speed: 1, line: "x" }),
      ]),
    "of wrong amounts": () =>
      estimateResponse([any({}), any({ level: 256, speed: -1, seconds: 0, deviation: -1 })]),
    "that stands above a level at which it moved": () =>
      estimateResponse([
        { level: 40, speed: 2 },
        { level: 60, speed: 0 },
        { level: 80, speed: 5 },
        { level: 90, speed: 6 },
      ]),
    "that falls": () =>
      estimateResponse([
        { level: 40, speed: 2 },
        { level: 60, speed: 4 },
        { level: 80, speed: 3 },
        { level: 90, speed: 6 },
      ]),
    "with a slip": () =>
      estimateResponse(
        [40, 60, 80, 100, 120]
          .flatMap((level) =>
            [1, 1.01, 0.99].map((part) => ({
              level,
              speed: (level / 20) * part,
              seconds: (300 / level) * part,
            })),
          )
          .concat([{ level: 80, speed: 40, seconds: 0.4 }]),
      ),
    "that nothing is at": () => [
      forward.speedAt(0),
      forward.deviationAt(0),
      forward.levelFor(0),
      forward.knows(0),
      forward.knows(30),
      forward.knows(40),
      forward.knows(241),
    ],
    "at no level": () => forward.speedAt(256),
    "at less than no level": () => forward.deviationAt(-1),
    "at no speed": () => forward.levelFor(-1),
    "at no number": () => forward.knows(any("x")),
  },
  "curves by hand": Object.fromEntries(
    [
      { start: 4, top: 200 },
      { start: 4, top: 200, mid: 60 },
      { start: 4, top: 200, mid: 60, midStep: 20 },
      { start: 4, top: 200, shape: "power" },
      { start: 4, top: 200, shape: "power", gamma: 2.5 },
      { start: 4, top: 200, shape: "power", mid: 60 },
      { start: 4, top: 200, shape: "s-shaped" },
      { start: 4, top: 200, shape: "s-shaped", steepness: 4, midStep: 10, mid: 80 },
      {
        start: 4,
        top: 200,
        shape: "smooth",
        mid: 60,
        points: [
          { step: 20, value: 150 },
          { step: 5, value: 10 },
        ],
      },
      { start: 4, top: 4 },
      { start: 4, top: 3 },
      { start: -1, top: 256 },
      { start: "x", top: null },
      { start: 4, top: 200, midStep: 1 },
      { start: 4, top: 200, midStep: 28 },
      { start: 4, top: 200, mid: 201 },
      { start: 4, top: 200, mid: 4, shape: "power" },
      { start: 4, top: 200, mid: 200, shape: "s-shaped" },
      { start: 4, top: 200, gamma: 2 },
      { start: 4, top: 200, steepness: 2 },
      { start: 4, top: 200, points: [] },
      { start: 4, top: 200, shape: "power", gamma: 2, mid: 50 },
      { start: 4, top: 200, shape: "power", gamma: 0.1 },
      { start: 4, top: 200, shape: "s-shaped", steepness: 6 },
      { start: 4, top: 200, shape: "round" },
      { start: 4, top: 200, shape: "smooth", points: 3 },
      {
        start: 4,
        top: 200,
        shape: "smooth",
        points: [
          3,
          { step: 1, value: 5 },
          { step: 28, value: 5 },
          { step: 3, value: 300 },
          { step: "x", value: 4 },
        ],
      },
      {
        start: 4,
        top: 200,
        shape: "smooth",
        mid: 60,
        points: [
          { step: 14, value: 60 },
          { step: 5, value: 10 },
          { step: 5, value: 11 },
        ],
      },
      {
        start: 4,
        top: 200,
        shape: "smooth",
        mid: 60,
        points: [
          { step: 5, value: 70 },
          { step: 20, value: 50 },
        ],
      },
      3,
    ].map((shape) => [JSON.stringify(shape), () => speedCurve(any(shape))]),
  ),
  "curves scaled, as CVs, as three points": {
    scaled: () => scaledCurve(straight, { top: 128 }),
    "scaled from another start": () => scaledCurve(straight, { top: 128, start: 20 }),
    "scaled to nothing": () => scaledCurve(straight, any({})),
    "scaled below its start": () => scaledCurve(straight, { top: 5, start: 20 }),
    "scaled, of one level": () =>
      scaledCurve(
        straight.map(() => 9),
        { top: 128 },
      ),
    "scaled, falling": () => scaledCurve(straight.with(5, 10), { top: 128 }),
    "scaled, of too few": () => scaledCurve([1], { top: 128 }),
    "scaled, of no list": () => scaledCurve(any(3), { top: 300, start: 1.5 }),
    "as CVs": () => tablePatch(straight),
    "as CVs, selected": () => tablePatch(straight, { select: true }),
    "as CVs, wrong": () => tablePatch([256]),
    "as CVs, options": () => tablePatch(straight, any({ select: 1 })),
    "three points": () => threePointsOf(straight),
    "three points of a bent one": () =>
      threePointsOf(straight.map((level) => Math.round((level * level) / 252))),
    "three points, mid moved": () =>
      threePointsOf(
        straight.map((level) => Math.round((level * level) / 252)),
        { moveMid: true },
      ),
    "three points of a falling one": () => threePointsOf(straight.with(5, 10)),
    "three points of too few": () => threePointsOf([1, 2]),
    "three points, options": () => threePointsOf(straight, any({ moveMid: 1 })),
    "a speed shape": () => targetSpeeds({ start: 1, top: 20, shape: "power" }),
    "a speed shape, wrong": () => targetSpeeds({ start: -1, top: 2000 }),
  },
  "drive levels": Object.fromEntries(
    (
      [
        [{ 2: 10, 29: 0 }],
        [{ 2: 10, 5: 200, 6: 90, 29: 0 }],
        [{ 2: 10, 5: 200, 6: 90, 25: 2, 29: 0 }],
        [{ 2: 10, 5: 200, 6: 90, 25: 140, 29: 0 }, { steps: 14 }],
        [{ 2: 10, 5: 200, 6: 90, 25: 140, 29: 0 }, { steps: 128 }],
        [{ 2: 10, 5: 200, 6: 90, 25: 3, 29: 0 }],
        [{ 2: 10, 5: 5, 29: 0 }],
        [{ 2: 10, 5: 200, 6: 5, 29: 0 }],
        [{ 2: 10, 5: 100, 6: 150, 29: 0 }],
        [{ 2: 10 }],
        [{}],
        [{ 29: 0 }],
        [{ 29: 16 }],
        [table({ 29: 16 })],
        [table({ 29: 16, 66: 200, 95: 64 })],
        [table({ 29: 16, 66: 200, 95: 64 }), { direction: "reverse" }],
        [table({ 29: 16 }), { steps: 14 }],
        [table({ 29: 16 }), { steps: 128 }],
        [table({})],
        [table({ 2: 10 })],
        [{ 2: 10, 29: 0 }, { steps: 27 }],
        [{ 2: 10, 29: 0 }, { direction: "back" }],
        [{ 2: 10, 29: 0 }, 3],
      ] as [object, object?][]
    ).map(([cvs, options]) => [
      JSON.stringify([cvs, options]),
      () => driveLevels(cvs as never, any(options ?? {})),
    ]),
  ),
  "speeds that are matched": {
    "the range": () => speedRange([...nine, ...ten, ...slow]),
    "the range of none": () => speedRange([]),
    "the range of nothing common": () => speedRange([...named("A", runsOf(0.1)), ...named("B", runsOf(9))]),
    "one locomotive": () => matchSpeeds({ target: speeds28.map((speed) => speed / 2), locomotives: ten }),
    both: matchBoth,
    "to the slowest": () => matchSpeeds({ target: "slowest", locomotives: [...nine, ...slow] }),
    "to another": () => matchSpeeds({ target: { as: "No. 9" }, locomotives: [...nine, ...slow] }),
    "to one that is not there": () => matchSpeeds({ target: { as: "No. 8" }, locomotives: nine }),
    "to a word": () => matchSpeeds({ target: any("fastest"), locomotives: nine }),
    "to a falling list": () => matchSpeeds({ target: speeds28.with(5, 1), locomotives: nine }),
    "to a short list": () => matchSpeeds({ target: [1, 2], locomotives: nine }),
    "with a tolerance that is none": () =>
      matchSpeeds({ target: speeds28, locomotives: nine, tolerance: -1 }),
    "with a wide tolerance": () =>
      matchSpeeds({ target: speeds28.map((speed) => speed / 2), locomotives: nine, tolerance: 0.5 })
        .locomotives[0]?.unreached,
    "without locomotives": () => matchSpeeds({ target: speeds28, locomotives: [] }),
    "of one name": () => matchSpeeds({ target: speeds28, locomotives: [...nine, ...nine] }),
    "of nothing measured": () => matchSpeeds({ target: speeds28, locomotives: [{ name: "A" }] }),
    "of none": () => matchSpeeds({ target: speeds28, locomotives: any(3) }),
    "of a request that is none": () => matchSpeeds(any(3)),
    predicted: () => predictSpeeds([0, 20, 30, 40, 100.5, 255], forward),
    "predicted, wrong": () => predictSpeeds([-1, 256, any("x")], forward),
    "predicted, of none": () => predictSpeeds([1], any({})),
  },
  "stops and beats": {
    stop: () => momentumProfile({ speeds: speeds14, from: 3, momentum: 10 }),
    start: () => momentumProfile({ speeds: speeds14, from: 0, to: 4, momentum: 10 }),
    "stop at once": () => momentumProfile({ speeds: speeds14, from: 3, momentum: 0 }),
    "no change": () => momentumProfile({ speeds: speeds14, from: 2, to: 2, momentum: 5 }),
    "a stop that is none": () => momentumProfile(any({ speeds: "x", from: 2, momentum: 5 })),
    "a stop out of range": () => momentumProfile({ speeds: speeds14, from: 15, to: -1, momentum: 256 }),
    "a stop of wrong speeds": () =>
      momentumProfile({ speeds: speeds14.with(3, 0.1).with(5, -1), from: 1.5, momentum: 1.5 }),
    "a stop of no steps": () => momentumProfile({ speeds: [], from: 0, momentum: 1 }),
    "by distance": () => momentumForStop({ speeds: speeds14, from: 4, distance: 30 }),
    "by time": () => momentumForStop({ speeds: speeds14, from: 2, seconds: 10 }),
    "by too much": () => momentumForStop({ speeds: speeds14, from: 4, distance: 1e6 }),
    "by nothing": () => momentumForStop({ speeds: speeds14, from: 4, distance: 0 }),
    "by both": () => momentumForStop({ speeds: speeds14, from: 4, distance: 3, seconds: 4 }),
    "by neither": () => momentumForStop({ speeds: speeds14, from: 4 }),
    "from standing": () => momentumForStop({ speeds: speeds14, from: 0, distance: 3 }),
    "by what is none": () => momentumForStop({ speeds: speeds14, from: 5, seconds: any("x") }),
    "to a mark": () => brakeToMark({ speeds: speeds14, from: 4, momentum: 10, distance: 60 }),
    "past a mark": () => brakeToMark({ speeds: speeds14, from: 4, momentum: 40, distance: 30 }),
    "to a mark that is none": () =>
      brakeToMark({ speeds: speeds14.with(0, 0), from: 1, momentum: 300, distance: -1 }),
    "to a mark from standing": () =>
      brakeToMark({ speeds: speeds14.with(0, 0), from: 1, momentum: 30, distance: 5 }),
    beats: () => [
      beatsPerTurn({ cylinders: 2 }),
      beatsPerTurn({ cylinders: 3 }),
      beatsPerTurn({ cylinders: 4, together: 2 }),
      beatsPerTurn({ cylinders: 2, gear: 2.5 }),
    ],
    "beats of none": () => beatsPerTurn(any({ cylinders: 0, together: "x", gear: 0 })),
    "beats that do not divide": () => beatsPerTurn({ cylinders: 3, together: 2 }),
    "beats of a stored rate": () =>
      beatFit({
        levels: [0, 10, 20, 30],
        speeds: [0, 0, 2, 4],
        wheel: { diameter: 1.2, beats: 6 },
        perLevel: 0.1,
      }),
    "the best stored rate": () =>
      beatFit({ levels: [10, 20, 30, 0], speeds: [1, 2, 4, 1], wheel: { diameter: 1.2 } }),
    "beats of nothing that moves": () =>
      beatFit({ levels: [0, 1], speeds: [1, 0], wheel: { diameter: 1.2 } }),
    "beats, wrong": () =>
      beatFit({ levels: [256, -1], speeds: [1], wheel: { diameter: 9, beats: 0 }, perLevel: 0 }),
    "beats without wheel": () => beatFit(any({ levels: 3, speeds: 4 })),
  },
  "pictures refused": {
    "a picture of nothing": () => speedPicture({ title: "A" }),
    "a picture of no object": () => speedPicture(any(3)),
    "a picture of wrong things": () =>
      speedPicture(any({ title: 3, levels: [1], target: [1], unit: "knots", locomotives: 3 })),
    "a picture of wrong locomotives": () =>
      speedPicture(any({ title: "A", target: speeds28, locomotives: [{ matched: 3 }] })),
    "a stop of nothing": () =>
      stoppingPicture(any({ title: 3, profile: 3, unit: "x", length: "x", scale: "x", mark: -1, runOn: -1 })),
    "a stop of amounts": () =>
      stoppingPicture(
        any({
          title: "A",
          profile: momentumProfile({ speeds: speeds14, from: 2, momentum: 5 }),
          unit: "x",
          length: "x",
          scale: "x",
          mark: -1,
          runOn: -1,
        }),
      ),
    "a report of nothing": () => matchReport(any({ title: 3, unit: "x", target: 3 })),
    "a report of wrong things": () =>
      matchReport(any({ title: "A", target: ["x"], locomotives: [{}], warnings: [3] })),
  },
};

function table(more: object): object {
  return { ...Object.fromEntries(straight.map((level, i) => [67 + i, level])), ...more };
}

/** A value with numbers of six digits; a response with what it says at some levels. */
function shown(value: unknown): string {
  return JSON.stringify(value, (_, one: unknown) => {
    if (typeof one === "number") return Number.isFinite(one) ? Number(one.toPrecision(6)) : String(one);
    if (typeof one === "object" && one !== null && "speedAt" in one && "points" in one) {
      const response = one as SpeedResponse;
      const { points, warnings, standsTo, movesFrom, measuredTo, saturatesFrom, noise } = response;
      const at = [0, standsTo, (standsTo + movesFrom) / 2, movesFrom, 55, 150.5, measuredTo, 255].map(
        (level) => [
          level,
          response.speedAt(level),
          response.deviationAt(level),
          response.levelFor(response.speedAt(level)),
        ],
      );
      return { standsTo, movesFrom, measuredTo, saturatesFrom, noise, points, warnings, at };
    }
    return one;
  });
}

function outcome(call: Call): string {
  try {
    const value = call() as { ok?: boolean; issues?: never[]; value?: { warnings: never[] } };
    if (value?.ok === false) return refused(value.issues ?? []);
    const warnings = value?.value?.warnings ?? [];
    return `  ${shown(value)}\n${warnings.map((one) => `  warning: ${messageOf(one)}\n`).join("")}`;
  } catch (error) {
    return refused((error as { issues: never[] }).issues);
  }
}

const refused = (issues: readonly Parameters<typeof messageOf>[0][]): string =>
  issues.map((issue) => `  ${messageOf(issue)}\n    ${shown({ ...issue, text: undefined })}\n`).join("");

describe("what the functions give", () => {
  const page = new GoldenPage(new URL("golden/outcomes.txt", import.meta.url));
  test.each(Object.entries(groups))("%s", (title, calls) => {
    const text = Object.entries(calls)
      .map(([name, call]) => `${name}\n${outcome(call)}`)
      .join("");
    page.expectSection(title, text);
  });
  test.runIf(updates)("is written anew", () => page.write());
});

describe("pictures and the report", () => {
  const matched = () => {
    const { target, locomotives } = matchBoth();
    return {
      target,
      locomotives: locomotives.map((one, i) => ({ matched: one, measured: [...nine, ...ten][i] as never })),
    };
  };
  const profile = momentumProfile({ speeds: speeds28, from: 20, momentum: 20 });
  test.each<[name: string, write: () => string]>([
    ["levels.svg", () => speedPicture({ title: "Drive <levels>", levels: straight })],
    ["target.svg", () => speedPicture({ title: "Target", target: speeds28, unit: "km/h" })],
    ["match.svg", () => speedPicture({ title: "Match", ...matched() })],
    [
      "one.svg",
      () =>
        speedPicture({
          title: "One",
          target: speeds28,
          locomotives: matched().locomotives.slice(1),
          unit: "km/h",
        }),
    ],
    [
      "unmeasured.svg",
      () =>
        speedPicture({
          title: "Unmeasured",
          locomotives: matched().locomotives.map(({ matched: one }) => ({ matched: one })),
        }),
    ],
    ["stop.svg", () => stoppingPicture({ title: "A stop", profile })],
    [
      "mark.svg",
      () => stoppingPicture({ title: "A mark", profile, runOn: 40, mark: 150, unit: "km/h", length: "ft" }),
    ],
    ["model.svg", () => stoppingPicture({ title: "A model", profile, mark: 90, length: "cm", scale: "HO" })],
    [
      "report.html",
      () => {
        const { target, locomotives } = matchBoth();
        return matchReport({
          title: "Match & report",
          target,
          locomotives,
          measured: nine,
          warnings: ["line 3: <slip>"],
        });
      },
    ],
    [
      "report-of-one.html",
      () => {
        const { target, locomotives } = matchSpeeds({ target: "slowest", locomotives: nine });
        return matchReport({ title: "One", target, locomotives, unit: "km/h" });
      },
    ],
  ])("%s", (name, write) => {
    expectFile(new URL(`golden/${name}`, import.meta.url), write());
  });
});
