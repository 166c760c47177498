import { CvPatch } from "../../cv/cvpatch.js";
import { CvSet } from "../../cv/cvset.js";
import { messageOf } from "../../cv/issue.js";
import { readAny } from "../../files/index.js";
import { readJson } from "../../files/json.js";
import {
  beatFit,
  beatsPerTurn,
  brakeToMark,
  kmh,
  type MatchedLocomotive,
  type MeasuredLocomotive,
  type MeasurementDefaults,
  type MeasurementWarning,
  matchReport,
  matchSpeeds,
  measurementsFromCsv,
  measurementsFromJson,
  momentumForStop,
  momentumProfile,
  mph,
  type SpeedTarget,
  scaleRatio,
  speedPicture,
  speedRange,
  stoppingPicture,
  targetSpeeds,
  toKmh,
  toMph,
} from "../../motion/index.js";
import { adjustedMomentum, speed as speedCodec } from "../../standard/index.js";
import { knownCvsFrom, listOf, type Remarks } from "../curve-files.js";
import { nameOfInput, textFrom, wrongKind } from "../input.js";
import { FileStems } from "../results.js";
import {
  defineVerb,
  type Io,
  inOptions,
  type Options,
  shared,
  Unusable,
  uselessOptions,
  type ValuesOf,
} from "../verb.js";

const units = ["mph", "km/h"] as const;
type Unit = (typeof units)[number];
const shapes = ["linear", "power", "s-shaped"] as const;
const stepModes = ["14", "28", "128"] as const;

const matchOptions = {
  start: { kind: "number", value: "SPEED", help: "the scale speed that step 1 is to have" },
  top: { kind: "number", value: "SPEED", help: "the scale speed that step 28 is to have" },
  shape: { kind: "words", words: shapes, help: "how it runs between them; default linear" },
  as: {
    kind: "text",
    value: "slowest|NAME",
    help: "as the slowest of them at each step, from the lowest speed that all can run; or as one of them",
  },
  unit: { kind: "words", short: "u", words: units, help: "the unit of speeds; default mph" },
  scale: {
    kind: "text",
    value: "SCALE",
    help: "where the file does not name it: N, H0, HO, O, H0e, On30, 1:32, ...",
  },
  length: {
    kind: "number",
    value: "METRES",
    min: 0.001,
    help: "where the file does not name it: the measured length of track",
  },
  drive: {
    kind: "file",
    value: "CVS",
    help: "for runs given by step: what the decoder held while it was timed",
  },
  steps: { kind: "words", words: stepModes, help: "with --drive: the steps of the throttle; default 28" },
  pick: { ...shared.pick, help: `with --drive: ${shared.pick.help}` },
  tolerance: {
    kind: "number",
    value: "PERCENT",
    min: 0,
    max: 100,
    help: "how far beyond its range a speed may lie and still count as reached; default 2",
  },
  settings: { kind: "flag", help: "write a settings file for each, with its speed table" },
  svg: { kind: "file", value: "FILE", help: "draw it; several locomotives together" },
  report: { kind: "file", value: "FILE", help: "one page of HTML with pictures, tables, warnings and CVs" },
  step: {
    kind: "whole",
    value: "N",
    min: 1,
    max: 28,
    help: "for the options below: the speed step that is run; default 28",
  },
  deceleration: {
    kind: "whole",
    value: "N",
    min: 0,
    max: 255,
    help: "the value of CV 4: write how far each runs on to a stop",
  },
  acceleration: {
    kind: "whole",
    value: "N",
    min: 0,
    max: 255,
    help: "the value of CV 3: write how far each runs from a stop to the step",
  },
  "stop-in": {
    kind: "number",
    value: "CM",
    min: 0.1,
    help: "find CV 4 for a stop over this length of track; with --deceleration CV 24 instead, which adds to it",
  },
  "start-in": {
    kind: "number",
    value: "CM",
    min: 0.1,
    help: "find CV 3 for a start over this length of track; with --acceleration CV 23 instead, which adds to it",
  },
  mark: {
    kind: "number",
    value: "CM",
    min: 0.1,
    help: "with --deceleration or --stop-in: write where to close the throttle to stop at a mark so far ahead",
  },
  "stop-svg": {
    kind: "file",
    value: "FILE",
    help: "with --deceleration or --stop-in: draw the stop; several locomotives, one file each, numbered",
  },
  wheel: {
    kind: "text",
    value: "DIAMETER",
    help: "the driving wheels at full size, as 42in or 1.07m: write the exhaust beats",
  },
  cylinders: { kind: "whole", value: "N", min: 1, max: 8, help: "with --wheel: of one engine; default 2" },
  json: shared.json,
} as const satisfies Options;

type Values = ValuesOf<typeof matchOptions>;

/** What the library says, with the options of the command that help. */
const wording: Readonly<Record<string, string>> = {
  "step-without-drive":
    "a run by step needs what the decoder held while it was timed (--drive CVS), or levels instead of steps",
  "needs-length":
    "seconds need a length of track beside them (mm, cm, m, inches or feet, or --length METRES) to become a speed",
  "needs-scale": "seconds need a scale beside them (or --scale SCALE) to become a speed",
};

const whyText = {
  "too-fast": "faster than it runs",
  "too-slow": "slower than it runs",
  compromise: "forward and reverse differ too much there",
} as const;

export const verb = defineVerb({
  summary: "Speed tables from timed runs, so that locomotives run at a speed that you choose, and alike",
  arguments: [{ name: "MEASUREMENTS", what: "a file of measurements", kind: "file" }],
  usage: "[--start SPEED --top SPEED | --as slowest|NAME]",
  about: `MEASUREMENTS is CSV or JSON: level (or step), seconds over a length of track, scale; or a scale speed. Name the
scale speed of step 1 and step 28, or as which locomotive all are to run; without either, it writes the speeds that
they can run. docs/motion.md describes how to measure. The result is a list of CVs for each locomotive (--output FOLDER/ for a
file each), or with --json a CV set for each, which plan, diff and encode --base read as it is. Exit status 1 when a
speed that you asked for is out of the range of a locomotive.`,
  options: matchOptions,
  examples: [
    "cvset match runs.csv --scale O --length 2",
    "cvset match runs.csv --scale O --length 2 --start 2 --top 28 --report match.html",
    "cvset match runs.csv --scale O --length 2 --as slowest --json",
  ],
  async run({ arguments: [path], options, io }) {
    const { unit = "mph", tolerance } = options;
    checkOptions(options);
    const { locomotives, warnings } = await measurementsFrom(path, options, io);
    for (const { text } of warnings) io.say(text);
    const target = targetOf(options, unit, locomotives);
    if (target === undefined) {
      tellRange(locomotives, warnings, unit, options, io);
      return 0;
    }
    const match = matchSpeeds({
      target,
      locomotives,
      ...(tolerance !== undefined && { tolerance: tolerance / 100 }),
    });
    const results = match.locomotives.map((one, i) =>
      resultOf(one, locomotives[i] as MeasuredLocomotive, options),
    );
    writePictures(results, match.target, warnings, unit, path, options, io);
    const stems = new FileStems();
    if (options.settings)
      for (const one of results)
        io.part(`${stems.next(one.matched.name)}.settings.json`, jsonText(settingsOf(one)), "json");
    else if (options.json) tellJson(results, match.target, warnings, unit, io);
    else for (const one of results) io.part(`${stems.next(one.matched.name)}.txt`, textOf(one, unit), "text");
    return results.some(({ matched }) => matched.unreached.some(({ reason }) => reason !== "compromise"))
      ? 1
      : 0;
  },
});

function checkOptions(options: Values): void {
  const { start, top, as, scale } = options;
  if (as !== undefined) {
    if (start !== undefined || top !== undefined)
      throw new Unusable("expected --as, or --start and --top, not both");
    uselessOptions(options, ["shape"], "not with --as");
  } else if ((start === undefined) !== (top === undefined)) {
    throw new Unusable(
      `expected --${start === undefined ? "start" : "top"} SPEED too; without both, the range is written`,
    );
  } else if (start === undefined) {
    const rest = [
      "shape",
      "tolerance",
      "settings",
      "svg",
      "report",
      "step",
      "deceleration",
      "acceleration",
    ] as const;
    const stops = ["stop-in", "start-in", "mark", "stop-svg", "wheel"] as const;
    uselessOptions(options, [...rest, ...stops], "only with --start and --top, or with --as");
  }
  if (options.drive === undefined) uselessOptions(options, ["steps", "pick"], "only with --drive");
  if (options.settings && options.json)
    throw new Unusable("--settings writes JSON by itself; leave --json out");
  if (options.wheel === undefined) uselessOptions(options, ["cylinders"], "only with --wheel");
  const brakes = options.deceleration !== undefined || options["stop-in"] !== undefined;
  if (!brakes) uselessOptions(options, ["mark", "stop-svg"], "only with --deceleration or --stop-in");
  const runs = brakes || options.acceleration !== undefined || options["start-in"] !== undefined;
  if (!runs)
    uselessOptions(options, ["step"], "only with --deceleration, --acceleration, --stop-in or --start-in");
  if (scale === undefined)
    uselessOptions(
      options,
      ["stop-in", "start-in", "mark", "stop-svg"],
      "needs --scale, for lengths of track",
    );
}

/** A warning with its place, for people and for programs. */
interface Warning {
  readonly file: string;
  readonly line: number | null;
  readonly message: string;
  /** As a line for people. */
  readonly text: string;
}

async function measurementsFrom(
  path: string,
  options: Values,
  io: Io,
): Promise<{ locomotives: readonly MeasuredLocomotive[]; warnings: readonly Warning[] }> {
  const { scale, length: distance, drive, steps } = options;
  if (scale !== undefined) {
    try {
      scaleRatio(scale);
    } catch (error) {
      throw inOptions(error, { "": "scale" });
    }
  }
  const defaults: MeasurementDefaults = {
    ...(scale !== undefined && { scale }),
    ...(distance !== undefined && { distance }),
    ...(drive !== undefined && { drive: (await knownCvsFrom(drive, io, options.pick)).known }),
    ...(steps !== undefined && { steps: Number(steps) as 14 | 28 | 128 }),
  };
  const file = nameOfInput(path);
  const text = await textFrom(path, io);
  refuseOthers(text, path);
  // JSON begins with a bracket, and no line of column names does.
  if (!/^\uFEFF?\s*[[{]/.test(text)) {
    const result = measurementsFromCsv(text, defaults);
    if (result.ok) return withPlaces(result.value, file, ({ line }) => line);
    throw new Unusable(
      ...result.issues.map((issue) => {
        const { line } = issue as MeasurementWarning;
        return `${file}${line === undefined ? "" : `:${line}`}: ${messageOf(issue, wording)}`;
      }),
    );
  }
  const read = readJson(text);
  if (!read.ok)
    throw new Unusable(...read.issues.map((issue) => `${file}:${issue.line}: ${messageOf(issue)}`));
  const json = read.value;
  const result = measurementsFromJson(json.value, defaults);
  if (result.ok) {
    return withPlaces(result.value, file, ({ at }) => (at === undefined ? undefined : json.locate(at).line));
  }
  throw new Unusable(
    ...result.issues.map((issue) => `${file}:${json.locate(issue.path).line}: ${messageOf(issue, wording)}`),
  );
}

/** Refuses a file of another kind by what it is, and not by all that a file of runs has and it has not. */
function refuseOthers(text: string, path: string): void {
  const title = nameOfInput(path);
  const { ok, value } = readAny(text, { file: title });
  const isOther = ok && value.kind !== "measurements" && !(value.kind === "cvs" && value.cvs.size === 0);
  if (isOther) throw wrongKind(Object.assign(value, { path, title }), "a file of timed runs");
}

function withPlaces(
  value: {
    readonly locomotives: readonly MeasuredLocomotive[];
    readonly warnings: readonly MeasurementWarning[];
  },
  file: string,
  lineOf: (warning: MeasurementWarning) => number | undefined,
) {
  const warnings = value.warnings.map((warning): Warning => {
    const line = lineOf(warning);
    const message = messageOf(warning, wording);
    const where = line === undefined ? file : `${file}:${line}`;
    return { file, line: line ?? null, message, text: `${where}: warning: ${message}` };
  });
  return { locomotives: value.locomotives, warnings };
}

/** The speeds that are asked for; undefined when none are. */
function targetOf(
  options: Values,
  unit: Unit,
  locomotives: readonly MeasuredLocomotive[],
): SpeedTarget | undefined {
  const { as, start, top, shape } = options;
  if (as === "slowest") return as;
  if (as !== undefined) {
    const names = locomotives.map(({ name }) => name);
    if (!names.includes(as))
      throw new Unusable(`--as ${as}: expected slowest, or one of ${names.join(", ")}`);
    return { as };
  }
  if (start === undefined || top === undefined) return undefined;
  if (top < start) throw new Unusable(`--top ${top}: expected not less than --start, ${start} ${unit}`);
  const from = unit === "mph" ? mph : kmh;
  try {
    return targetSpeeds({ start: from(start), top: from(top), ...(shape && { shape }) });
  } catch (error) {
    throw inOptions(error, { start: "start", top: "top", shape: "shape" });
  }
}

/** What the locomotives can run, when nothing was asked for. */
function tellRange(
  locomotives: readonly MeasuredLocomotive[],
  warnings: readonly Warning[],
  unit: Unit,
  options: Values,
  io: Io,
): void {
  const to = converter(unit);
  const { each, common } = speedRange(locomotives);
  const proposal = common && proposalIn({ slowest: to(common.slowest), fastest: to(common.fastest) });
  if (options.json) {
    const range = (one: { slowest: number; fastest: number }) => ({
      slowest: round(to(one.slowest), 3),
      fastest: round(to(one.fastest), 3),
    });
    io.json({
      unit,
      locomotives: each.map((one) => ({ name: one.name, range: range(one) })),
      common: common ? range(common) : null,
      proposal: proposal ?? null,
      warnings: warnings.map(({ file, line, message }) => ({ file, line, message })),
    });
    return;
  }
  const range = (one: { slowest: number; fastest: number }): string =>
    `${round(to(one.slowest))} to ${round(to(one.fastest))} ${unit}`;
  for (const one of each) io.line(`${one.name}: ${range(one)}`);
  if (each.length > 1)
    io.line(common ? `all together: ${range(common)}` : "all together: no speed that every one of them runs");
  if (proposal) {
    const units = unit === "mph" ? "" : ` --unit ${unit}`;
    io.line(`for a speed at each step: --start ${proposal.start} --top ${proposal.top}${units}`);
  }
}

/** Whole numbers inside of the range, and a little room at the top: motors age, and batteries too. */
function proposalIn(range: { readonly slowest: number; readonly fastest: number }) {
  const start = Math.ceil(range.slowest * 2) / 2;
  const top = Math.floor(range.fastest * 0.97);
  return top > start ? { start, top } : undefined;
}

/** One locomotive with all of its results. */
interface OneResult {
  readonly matched: MatchedLocomotive;
  readonly measured: MeasuredLocomotive;
  readonly patch: CvPatch;
  readonly remarks: Remarks;
  /** Sentences about momentum and beats. */
  readonly more: readonly string[];
  /** The same as data. */
  readonly data: Readonly<Record<string, unknown>>;
  readonly stopping?: { readonly speeds: readonly number[]; readonly momentum: number };
}

function resultOf(matched: MatchedLocomotive, measured: MeasuredLocomotive, options: Values): OneResult {
  const speeds = matched.steps.map(({ forward, reverse }) => forward?.speed ?? reverse?.speed ?? 0);
  const momenta = [
    momentumOf(speeds, options, {
      value: options.deceleration,
      over: options["stop-in"],
      cv: 4,
      adjustment: 24,
      what: (step) => `from step ${step} to a stop`,
      key: "stop",
    }),
    momentumOf(speeds, options, {
      value: options.acceleration,
      over: options["start-in"],
      cv: 3,
      adjustment: 23,
      what: (step) => `from a stop to step ${step}`,
      key: "start",
    }),
  ];
  const [stop] = momenta;
  const mark = stop && options.mark !== undefined ? markOf(speeds, options, stop.momentum) : undefined;
  const beats = options.wheel === undefined ? undefined : beatsOf(matched, speeds, options);
  const cvs = Object.assign({}, ...momenta.map((one) => one?.cvs ?? {})) as Record<string, number>;
  return {
    matched,
    measured,
    patch: matched.patch.followedBy(CvPatch.from({ cvs })),
    remarks: Object.assign({}, ...momenta.map((one) => one?.remarks ?? {})) as Remarks,
    more: [...momenta, mark, beats].flatMap((one) => one?.sentences ?? []),
    data: Object.assign({}, ...[...momenta, mark, beats].map((one) => one?.data ?? {})) as OneResult["data"],
    ...(stop && { stopping: { speeds, momentum: stop.momentum } }),
  };
}

/** How far a locomotive runs under a momentum, or the momentum for a length of track. */
function momentumOf(
  speeds: readonly number[],
  { step = 28, scale }: Values,
  asked: {
    readonly value: number | undefined;
    readonly over: number | undefined;
    readonly cv: number;
    readonly adjustment: number;
    readonly what: (step: number) => string;
    readonly key: string;
  },
) {
  const { value, over, cv, adjustment } = asked;
  if (value === undefined && over === undefined) return undefined;
  const cvs: Record<string, number> = {};
  const remarks: Record<string, string> = {};
  const sentences: string[] = [];
  let momentum = value ?? 0;
  if (over !== undefined) {
    const ratio = scaleRatio(scale as string);
    const found = momentumForStop({ speeds, from: step, distance: (over / 100) * ratio });
    momentum = found.value;
    // What is out of reach must not be promised behind the CV.
    const near = (isShort: boolean): string =>
      isShort ? `as near to ${over} cm as it gets` : `in about ${over} cm`;
    if (found.limited) sentences.push(`CV ${cv}: ${over} cm of track is more than 255 gives`);
    if (value === undefined) {
      cvs[cv] = momentum;
      remarks[cv] = `${asked.what(step)} ${near(found.limited)}`;
    } else {
      // 7 bits with a sign: S-9.2.2 (July 2012), CV 23 and 24.
      const change = Math.min(127, Math.max(-127, momentum - value));
      const isShort = change !== momentum - value;
      if (isShort)
        sentences.push(`CV ${adjustment}: a change by ${momentum - value} is more than its 7 bits hold`);
      cvs[adjustment] = change < 0 ? 128 - change : change;
      remarks[adjustment] =
        `added to CV ${cv} = ${value}: ${asked.what(step)} ${near(isShort || found.limited)}`;
      momentum = adjustedMomentum(value, cvs[adjustment] as number).value;
    }
  }
  const { seconds, distance } = momentumProfile({ speeds, from: step, momentum });
  const track = scale === undefined ? undefined : distance / scaleRatio(scale);
  const onTrack = track === undefined ? "" : `, ${Math.round(track * 100)} cm of track`;
  sentences.push(`${asked.what(step)}: ${round(seconds)} s, ${round(distance)} m at full size${onTrack}`);
  const data = {
    [asked.key]: {
      step,
      momentum,
      seconds: round(seconds, 3),
      metres: round(distance, 3),
      ...(track !== undefined && { trackCm: round(track * 100, 1) }),
    },
  };
  return { cvs, remarks, sentences, data, momentum };
}

/** Where to close the throttle for a mark. */
function markOf(speeds: readonly number[], { step = 28, mark = 0, scale }: Values, momentum: number) {
  const ratio = scaleRatio(scale as string);
  const plan = brakeToMark({ speeds, from: step, momentum, distance: (mark / 100) * ratio });
  const cm = (metres: number): number => Math.round((metres / ratio) * 100);
  const sentence =
    plan.overshoot > 0
      ? `the mark at ${mark} cm is too near for step ${step}: it stops ${cm(plan.overshoot)} cm behind it`
      : `for the mark at ${mark} cm: run on for ${cm(plan.runOn)} cm (${round(plan.runOnSeconds)} s), then close the throttle`;
  const data = {
    mark: { runOnCm: cm(plan.runOn), overshootCm: cm(plan.overshoot), seconds: round(plan.seconds, 3) },
  };
  return { sentences: [sentence], data };
}

/** The exhaust beats of a steam locomotive. */
function beatsOf(
  matched: MatchedLocomotive,
  speeds: readonly number[],
  { wheel = "", cylinders = 2 }: Values,
) {
  const match = /^(\d+(?:[.,]\d+)?)\s*(in|"|m|cm|mm)$/.exec(wheel.trim());
  const per: Readonly<Record<string, number>> = { in: 0.0254, '"': 0.0254, m: 1, cm: 0.01, mm: 0.001 };
  if (!match)
    throw new Unusable(`--wheel ${wheel}: expected a diameter with its unit, as in 42in, 1.07m or 107cm`);
  const diameter = Number((match[1] as string).replace(",", ".")) * (per[match[2] as string] as number);
  try {
    const levels = matched.steps.map(
      ({ level, forward, reverse }) => forward?.level ?? reverse?.level ?? level,
    );
    const { perLevel, steps, worst } = beatFit({ levels, speeds, wheel: { diameter, beats: beatsPerTurn({ cylinders }) } }); // biome-ignore format: one line
    const at = (step: number): string => `${round(steps[step - 1]?.wanted ?? 0, 1)} at step ${step}`;
    return {
      sentences: [
        `exhaust beats a second: ${at(1)}, ${at(14)}, ${at(28)}`,
        `without a sensor on the wheels: ${round(perLevel, 4)} beats a second for each drive level come nearest, up to ${Math.round(worst * 100)} % off`,
      ],
      data: {
        beats: { perLevel, worst: round(worst, 3), perSecond: steps.map(({ wanted }) => round(wanted, 3)) },
      },
    };
  } catch (error) {
    throw inOptions(error, { wheel: "wheel", cylinders: "cylinders" });
  }
}

/** The list of CVs of one locomotive, with what it will do in remarks. */
function textOf({ matched, patch, remarks, more }: OneResult, unit: Unit): string {
  const to = converter(unit);
  const speed = (value: number): string => `${round(to(value))} ${unit}`;
  const both = matched.steps[0]?.forward && matched.steps[0].reverse;
  const ofSteps = Object.fromEntries(
    matched.steps.map(({ step, target, forward, reverse }) => {
      const seen = [forward, reverse]
        .flatMap((one) => (one ? [`${round(to(one.speed))} \u00b1 ${round(to(2 * one.deviation))}`] : []))
        .join(" and ");
      return [String(66 + step), `step ${step}: ${speed(target)}; expected ${seen}`];
    }),
  );
  const head = [
    `${matched.name}: within about ${speed(matched.within)} at every step that it reaches, 19 times in 20; usually within ${speed(matched.typical)}`,
    `measured from ${speed(matched.range.slowest)} to ${speed(matched.range.fastest)}${both ? ", forward and reverse" : ""}`,
    ...matched.unreached.map(
      ({ step, direction, target, predicted, reason }) =>
        `step ${step}, ${direction}: ${speed(target)} is out of reach, ${whyText[reason]}; ${speed(predicted)} is expected`,
    ),
    ...more,
  ];
  const trims = { "66": "forward trim, 128 changes nothing", "95": "reverse trim, 128 changes nothing" };
  return listOf(patch, { ...trims, ...ofSteps, "29": "the decoder uses the table", ...remarks }, head);
}

function tellJson(
  results: readonly OneResult[],
  target: readonly number[],
  warnings: readonly Warning[],
  unit: Unit,
  io: Io,
): void {
  const to = converter(unit);
  const speed = (value: number): number => round(to(value), 3);
  // Each is a CV set file as it is; what else there is to say stands apart.
  const locomotives = results.map(({ matched, patch }) => ({
    name: matched.name,
    ...patch.toJSON(),
    within: speed(matched.within),
    unit,
    unreached: matched.unreached.map((one) => ({
      ...one,
      target: speed(one.target),
      predicted: speed(one.predicted),
    })),
  }));
  // One file a locomotive, where they go to a folder.
  if (io.toFolder) {
    const stems = new FileStems();
    for (const one of locomotives) io.part(`${stems.next(one.name)}.json`, jsonText(one), "json");
    return;
  }
  const predictions = results.map(({ matched, data }) => ({
    name: matched.name,
    typical: speed(matched.typical),
    range: { slowest: speed(matched.range.slowest), fastest: speed(matched.range.fastest) },
    steps: matched.steps.map(({ step, target: aim, level, forward, reverse }) => {
      const predicted = (one: NonNullable<typeof forward>) => ({
        speed: speed(one.speed),
        deviation: speed(one.deviation),
      });
      return {
        step,
        target: speed(aim),
        level,
        ...(forward && { forward: predicted(forward) }),
        ...(reverse && { reverse: predicted(reverse) }),
      };
    }),
    ...data,
  }));
  io.json({
    unit,
    target: target.map(speed),
    locomotives,
    predictions,
    warnings: warnings.map(({ file, line, message }) => ({ file, line, message })),
  });
}

/** A settings file with the speed table, as the plain standard has it (`nmra`). */
function settingsOf({ matched }: OneResult) {
  // Bit 4 of CV 29: the table is in use.
  const speed = speedCodec.decode(CvSet.from({ ...matched.patch.toJSON().cvs, 29: 16 }));
  return { name: matched.name, settings: { speed } };
}

function writePictures(
  results: readonly OneResult[],
  target: readonly number[],
  warnings: readonly Warning[],
  unit: Unit,
  path: string,
  options: Values,
  io: Io,
): void {
  const locomotives = results.map(({ matched, measured }) => ({ matched, measured }));
  const title =
    results.length === 1
      ? (results[0]?.matched.name ?? "")
      : results.map(({ matched }) => matched.name).join(", ");
  if (options.svg !== undefined) io.file(options.svg, speedPicture({ title, target, locomotives, unit }));
  if (options.report !== undefined) {
    const page = matchReport({
      title: `Speed match: ${nameOfInput(path)}`,
      target,
      locomotives: results.map(({ matched }) => matched),
      measured: results.map(({ measured }) => measured),
      warnings: warnings.map(({ text }) => text),
      unit,
    });
    io.file(options.report, page);
  }
  const { "stop-svg": svg, step = 28, mark, scale = "" } = options;
  if (svg === undefined) return;
  results.forEach(({ matched, stopping }, i) => {
    if (!stopping) return;
    const { speeds, momentum } = stopping;
    const shared = { title: matched.name, unit, length: "cm", scale } as const;
    const name = results.length > 1 ? svg.replace(/(\.\w+)?$/, `-${i + 1}$1`) : svg;
    if (mark === undefined) {
      const profile = momentumProfile({ speeds, from: step, momentum });
      io.file(name, stoppingPicture({ ...shared, profile }));
      return;
    }
    const distance = (mark / 100) * scaleRatio(scale);
    const { braking, runOn } = brakeToMark({ speeds, from: step, momentum, distance });
    io.file(name, stoppingPicture({ ...shared, profile: braking, runOn, mark: distance }));
  });
}

function jsonText(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}

function converter(unit: Unit): (speed: number) => number {
  return unit === "mph" ? toMph : toKmh;
}

function round(value: number, decimals = 2): number {
  return Number(value.toFixed(decimals));
}
