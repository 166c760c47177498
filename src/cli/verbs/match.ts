import { CvPatch } from "../../cv/cvpatch.js";
import { CvError, messageOf } from "../../cv/issue.js";
import {
  driveSettings,
  kmh,
  type MatchedLocomotive,
  type MeasurementDefaults,
  matchSpeeds,
  measuredLocomotives,
  measurementsFromCsv,
  momentumProfile,
  mph,
  readMeasurements,
  type SpeedWish,
  scaleRatio,
  speedPicture,
  stoppingPicture,
  tablePatch,
  toKmh,
  toMph,
  wishedSpeeds,
} from "../../motion/index.js";
import { cvSetFrom, inFile, jsonFrom, nameOfInput, textFrom } from "../input.js";
import {
  defineVerb,
  type Io,
  type Options,
  shared,
  Unusable,
  uselessOptions,
  type ValuesOf,
} from "../verb.js";

const units = ["mph", "km/h"] as const;
const shapes = ["linear", "power", "s-shaped"] as const;
const stepModes = ["14", "28", "128"] as const;

const matchOptions = {
  start: { kind: "number", value: "SPEED", help: "the wished scale speed of step 1" },
  top: { kind: "number", value: "SPEED", help: "the wished scale speed of step 28" },
  shape: { kind: "words", words: shapes, help: "how it runs between them; linear without it" },
  as: {
    kind: "text",
    value: "slowest|NAME",
    help: "as the slowest of them at each step, or as one of them",
  },
  unit: { kind: "words", short: "u", words: units, help: "the unit of speeds; mph without it" },
  scale: { kind: "text", value: "SCALE", help: "where the file does not say: N, HO, O, On30, 1:32, ..." },
  length: {
    kind: "number",
    value: "METRES",
    help: "where the file does not say: the measured length of track",
  },
  drive: {
    kind: "file",
    value: "CVS",
    help: "for runs given by step: what the decoder held while timing",
  },
  steps: {
    kind: "words",
    words: stepModes,
    help: "with --drive: the steps of the throttle; 28 without it",
  },
  tolerance: {
    kind: "number",
    short: "t",
    value: "PERCENT",
    help: "how near to its wished speed a step has to come to count as reached; 2 without it",
  },
  deceleration: {
    kind: "number",
    value: "N",
    help: "a value of CV 4: also tell how far each runs from step 28 to a stop",
  },
  "stop-svg": { kind: "file", value: "FILE", help: "with --deceleration and --scale: draw the stop" },
  svg: {
    kind: "file",
    value: "FILE",
    help: "draw it; with several locomotives, one file each, numbered",
  },
  json: shared.json,
} as const satisfies Options;

type Values = ValuesOf<typeof matchOptions>;

export const verb = defineVerb({
  summary: "Speed tables from timed runs, so that locomotives run at a wished speed and alike",
  arguments: [{ name: "MEASUREMENTS", what: "a file of measurements", kind: "file" }],
  usage: "(--start SPEED --top SPEED | --as slowest|NAME)",
  about: `MEASUREMENTS is CSV or JSON: level (or step), seconds over a length of track, scale; or a scale speed. Say
the wished scale speed of step 1 and step 28, or as which locomotive all are to run. docs/motion.md tells how to
measure. Exit status 1 when some wished speed is out of reach.`,
  options: matchOptions,
  examples: [
    "cvset match runs.csv --scale O --length 2 --start 1 --top 35",
    "cvset match two.csv --as slowest --json",
  ],
  async run(call) {
    const {
      arguments: [path = ""],
      options,
      io,
    } = call;
    const { unit = "mph", tolerance } = options;
    if (tolerance !== undefined && tolerance < 0)
      throw new Unusable(`--tolerance ${tolerance}: 0 percent or more is needed`);
    const stop = stopOf(options);
    const wished = wishOf(options, unit);
    const locomotives = measuredLocomotives(await timedFrom(path, options, io));
    const { as } = options;
    const names = locomotives.map(({ name }) => name);
    if (typeof as === "string" && as !== "slowest" && !names.includes(as))
      throw new Unusable(`--as ${as}: it is slowest, or one of ${names.join(", ")}`);
    const match = matchSpeeds({
      wished,
      locomotives,
      ...(tolerance !== undefined && { tolerance: tolerance / 100 }),
    });
    const to = unit === "mph" ? toMph : toKmh;
    const results = match.locomotives.map((one) => {
      const profile =
        stop && momentumProfile({ speeds: forwardSpeeds(one), from: 28, momentum: stop.momentum });
      return { ...one, cvs: cvsOf(one), ...(profile && { stop: profile }) };
    });
    writePictures(io, options.svg, results, (one) => drawn(one, match.wished, unit));
    writePictures(io, stop?.svg, results, ({ name: title, stop: profile }) =>
      profile ? stoppingPicture({ title, profile, unit, length: "cm", scale: stop?.scale ?? "" }) : "",
    );
    if (options.json) io.json({ wished: match.wished, locomotives: results });
    else {
      for (const one of results) {
        io.line(
          `${one.name}: within ${round(to(one.worst))} ${unit} at every step, ${round(to(one.rms))} ${unit} on average`,
        );
        if (one.stop) {
          const { seconds, distance } = one.stop;
          const track =
            stop?.scale === undefined
              ? ""
              : `, ${Math.round((distance / scaleRatio(stop.scale)) * 100)} cm of track`;
          io.line(`# from step 28 to a stop: ${round(seconds)} s, ${round(distance)} m at full size${track}`);
        }
        for (const [cv, value] of Object.entries(one.cvs)) io.line(`CV${cv} = ${value}`);
        for (const { step, direction, wished, predicted, reason } of one.unreached) {
          io.line(
            `# step ${step}, ${direction}: ${round(to(wished))} ${unit} is not reached (${reason.replaceAll("-", " ")}); ${round(to(predicted))} ${unit} is what it will run`,
          );
        }
      }
    }
    return results.some((one) => one.unreached.length > 0) ? 1 : 0;
  },
});

/** Does something with an option, whose name stands before what is wrong with it. */
function inOption<Value>(name: string, what: () => Value): Value {
  try {
    return what();
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    throw new Unusable(...error.issues.map((issue) => `--${name}: ${messageOf({ ...issue, path: "" })}`));
  }
}

async function timedFrom(path: string, options: Values, io: Io) {
  const { scale, length: distance, drive, steps } = options;
  if (scale !== undefined) inOption("scale", () => scaleRatio(scale));
  if (drive === undefined) uselessOptions(options, ["steps"], "only with --drive");
  if (distance !== undefined && !(distance > 0))
    throw new Unusable(`--length ${distance}: more than 0 m is needed`);
  const defaults: MeasurementDefaults = {
    ...(scale !== undefined && { scale }),
    ...(distance !== undefined && { distance }),
    ...(drive !== undefined && { drive: driveSettings((await cvSetFrom(drive, io)).cvs) }),
    ...(steps !== undefined && { steps: Number(steps) as 14 | 28 | 128 }),
  };
  if (path.endsWith(".json")) {
    const json = await jsonFrom(path, io);
    const result = readMeasurements(json.value, defaults);
    if (!result.ok) {
      const { lines } = inFile(path, json, result.issues);
      throw new Unusable(...lines.map((line) => inCommand(`: ${line}`).slice(2)));
    }
    return result.value;
  }
  const result = measurementsFromCsv(await textFrom(path, io), defaults);
  if (!result.ok)
    throw new Unusable(...result.issues.map((issue) => `${nameOfInput(path)}${inCommand(messageOf(issue))}`));
  return result.value;
}

/** What the library says of a run, as the command says it: `:4: ...` for line 4, and the options that would help. */
function inCommand(text: string): string {
  return text
    .replace(/^line (\d+)(, |: )/, ":$1: ")
    .replace(/^(?!:)/, ": ")
    .replace("give that", "give that (--drive CVS)")
    .replace("a scale beside it", "a scale beside it (or --length and --scale)");
}

function wishOf(options: Values, unit: (typeof units)[number]): SpeedWish {
  const { as, start, top, shape } = options;
  if (as !== undefined) {
    if (start !== undefined || top !== undefined)
      throw new Unusable("give --as, or --start and --top, not both");
    uselessOptions(options, ["shape"], "not with --as");
    return as === "slowest" ? as : { as };
  }
  if (start === undefined || top === undefined) {
    throw new Unusable("say the wish: --start and --top in scale speed, or --as slowest, or --as NAME");
  }
  if (top < start) throw new Unusable(`--top ${top}: it is below --start, ${start} ${unit}`);
  const from = unit === "mph" ? mph : kmh;
  return wishedSpeeds({ start: from(start), top: from(top), ...(shape && { shape }) });
}

interface Stop {
  readonly momentum: number;
  readonly scale: string | undefined;
  readonly svg: string | undefined;
}

function stopOf(options: Values): Stop | undefined {
  const { deceleration: momentum, "stop-svg": svg, scale } = options;
  if (momentum === undefined) {
    if (svg !== undefined) throw new Unusable("--stop-svg needs --deceleration N, a value of CV 4");
    return undefined;
  }
  if (!(Number.isInteger(momentum) && momentum >= 0 && momentum <= 255))
    throw new Unusable(`--deceleration ${momentum}: a whole number from 0 to 255 is needed, a value of CV 4`);
  if (svg !== undefined && scale === undefined)
    throw new Unusable("--stop-svg needs --scale, for the distance on the track");
  return { momentum, scale, svg };
}

/** The predicted speeds forward, or in reverse where only that was measured. */
function forwardSpeeds({ steps }: MatchedLocomotive): number[] {
  return steps.map(({ forward, reverse }) => forward?.speed ?? reverse?.speed ?? 0);
}

/** Writes a picture for each locomotive; several are numbered. */
function writePictures<One>(
  io: Io,
  path: string | undefined,
  all: readonly One[],
  draw: (one: One) => string,
): void {
  if (path === undefined) return;
  const name = (i: number): string => (all.length > 1 ? path.replace(/(\.\w+)?$/, `-${i + 1}$1`) : path);
  all.forEach((one, i) => {
    io.file(name(i), draw(one));
  });
}

/** CV 66-95: both trims and the table. */
function cvsOf({ table, forwardTrim, reverseTrim }: MatchedLocomotive): Readonly<Record<string, number>> {
  return tablePatch(table)
    .followedBy(CvPatch.from({ cvs: { 66: forwardTrim, 95: reverseTrim } }))
    .toJSON().cvs;
}

function drawn(
  { name, table, steps, unreached }: MatchedLocomotive,
  wished: readonly number[],
  unit: "mph" | "km/h",
): string {
  const speeds = (direction: "forward" | "reverse"): number[] | undefined => {
    const list = steps.flatMap((step) => step[direction]?.speed ?? []);
    return list.length === steps.length ? list : undefined;
  };
  const forward = speeds("forward");
  const reverse = speeds("reverse");
  return speedPicture({
    title: name,
    wished,
    ...(forward && { forward }),
    ...(reverse && { reverse }),
    levels: table,
    unreached: unreached.map(({ step }) => step),
    unit,
  });
}

function round(speed: number): number {
  return Number(speed.toFixed(2));
}
