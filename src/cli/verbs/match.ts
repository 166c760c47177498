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
import { cvSetFrom, inFile, jsonFrom, nameOfInput, textFrom, writeTo } from "../input.js";
import {
  argumentsOf,
  type Io,
  numberOption,
  type OptionValues,
  shared,
  textOption,
  Unusable,
  uselessOptions,
  type Verb,
  wordOption,
} from "../verb.js";

const units = ["mph", "km/h"] as const;
const shapes = ["linear", "power", "s-shaped"] as const;
const stepModes = ["14", "28", "128"] as const;

export const verb: Verb = {
  summary: "Speed tables from timed runs, so that locomotives run at a wished speed and alike",
  usage: "MEASUREMENTS (--start SPEED --top SPEED | --as slowest|NAME)",
  about: `MEASUREMENTS is CSV or JSON: level (or step), seconds over a length of track, scale; or a scale speed. Say
the wished scale speed of step 1 and step 28, or as which locomotive all are to run. docs/motion.md tells how to
measure. Exit status 1 when some wished speed is out of reach.`,
  options: {
    start: { type: "string", value: "SPEED", help: "the wished scale speed of step 1" },
    top: { type: "string", value: "SPEED", help: "the wished scale speed of step 28" },
    shape: { type: "string", value: shapes.join("|"), help: "how it runs between them; linear without it" },
    as: {
      type: "string",
      value: "slowest|NAME",
      help: "as the slowest of them at each step, or as one of them",
    },
    unit: { type: "string", short: "u", value: units.join("|"), help: "the unit of speeds; mph without it" },
    scale: { type: "string", value: "SCALE", help: "where the file does not say: N, HO, O, On30, 1:32, ..." },
    length: {
      type: "string",
      value: "METRES",
      help: "where the file does not say: the measured length of track",
    },
    drive: {
      type: "string",
      value: "CVS",
      help: "for runs given by step: what the decoder held while timing",
    },
    steps: {
      type: "string",
      value: stepModes.join("|"),
      help: "with --drive: the steps of the throttle; 28 without it",
    },
    tolerance: {
      type: "string",
      short: "t",
      value: "PERCENT",
      help: "how near to its wished speed a step has to come to count as reached; 2 without it",
    },
    deceleration: {
      type: "string",
      value: "N",
      help: "a value of CV 4: also tell how far each runs from step 28 to a stop",
    },
    "stop-svg": { type: "string", value: "FILE", help: "with --deceleration and --scale: draw the stop" },
    svg: {
      type: "string",
      value: "FILE",
      help: "draw it; with several locomotives, one file each, numbered",
    },
    json: shared.json,
  },
  examples: [
    "cvset match runs.csv --scale O --length 2 --start 1 --top 35",
    "cvset match two.csv --as slowest --json",
  ],
  async run(call) {
    const { options, io } = call;
    const [path] = argumentsOf(call, ["a file of measurements"]) as [string];
    const unit = wordOption(options, "unit", units) ?? "mph";
    const tolerance = numberOption(options, "tolerance");
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
    await writePictures(textOption(options, "svg"), results, (one) => drawn(one, match.wished, unit));
    await writePictures(stop?.svg, results, ({ name: title, stop: profile }) =>
      profile ? stoppingPicture({ title, profile, unit, length: "cm", scale: stop?.scale ?? "" }) : "",
    );
    if (options["json"])
      io.print(`${JSON.stringify({ wished: match.wished, locomotives: results }, null, 2)}\n`);
    else {
      for (const one of results) {
        io.print(
          `${one.name}: within ${round(to(one.worst))} ${unit} at every step, ${round(to(one.rms))} ${unit} on average\n`,
        );
        if (one.stop) {
          const { seconds, distance } = one.stop;
          const track =
            stop?.scale === undefined
              ? ""
              : `, ${Math.round((distance / scaleRatio(stop.scale)) * 100)} cm of track`;
          io.print(
            `# from step 28 to a stop: ${round(seconds)} s, ${round(distance)} m at full size${track}\n`,
          );
        }
        for (const [cv, value] of Object.entries(one.cvs)) io.print(`CV${cv} = ${value}\n`);
        for (const { step, direction, wished, predicted, reason } of one.unreached) {
          io.print(
            `# step ${step}, ${direction}: ${round(to(wished))} ${unit} is not reached (${reason.replaceAll("-", " ")}); ${round(to(predicted))} ${unit} is what it will run\n`,
          );
        }
      }
    }
    return results.some((one) => one.unreached.length > 0) ? 1 : 0;
  },
};

/** Does something with an option, whose name stands before what is wrong with it. */
function inOption<Value>(name: string, what: () => Value): Value {
  try {
    return what();
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    throw new Unusable(...error.issues.map((issue) => `--${name}: ${messageOf({ ...issue, path: "" })}`));
  }
}

async function timedFrom(path: string, options: OptionValues, io: Io) {
  const scale = textOption(options, "scale");
  const distance = numberOption(options, "length");
  if (scale !== undefined) inOption("scale", () => scaleRatio(scale));
  const drive = textOption(options, "drive");
  if (drive === undefined) uselessOptions(options, ["steps"], "only with --drive");
  if (distance !== undefined && !(distance > 0))
    throw new Unusable(`--length ${distance}: more than 0 m is needed`);
  const steps = wordOption(options, "steps", stepModes);
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

function wishOf(options: OptionValues, unit: (typeof units)[number]): SpeedWish {
  const as = textOption(options, "as");
  const start = numberOption(options, "start");
  const top = numberOption(options, "top");
  const shape = wordOption(options, "shape", shapes);
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

function stopOf(options: OptionValues): Stop | undefined {
  const momentum = numberOption(options, "deceleration");
  const svg = textOption(options, "stop-svg");
  const scale = textOption(options, "scale");
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
async function writePictures<One>(
  path: string | undefined,
  all: readonly One[],
  draw: (one: One) => string,
): Promise<void> {
  if (path === undefined) return;
  const name = (i: number): string => (all.length > 1 ? path.replace(/(\.\w+)?$/, `-${i + 1}$1`) : path);
  await Promise.all(all.map((one, i) => writeTo(name(i), draw(one))));
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
