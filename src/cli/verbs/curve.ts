import { messageOf } from "../../cv/issue.js";
import {
  type CurvePoint,
  type CurveShape,
  scaledCurve,
  speedCurve,
  speedPicture,
  tablePatch,
} from "../../motion/index.js";
import { speedTable } from "../../standard/speed.js";
import { cvSetFrom, nameOfInput } from "../input.js";
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

const shapes = ["linear", "power", "s-shaped", "smooth"] as const;

const curveOptions = {
  start: { kind: "whole", value: "N", help: "the level of step 1, 0-255" },
  top: { kind: "whole", value: "N", help: "the level of step 28, 0-255" },
  mid: { kind: "whole", value: "N", help: "the level of the middle step" },
  "mid-step": { kind: "number", value: "N", help: "which step is the middle one; 14 without it" },
  shape: { kind: "words", words: shapes, help: "how it runs between them; linear without it" },
  gamma: { kind: "number", value: "N", help: "for power: 0.2-5, above 1 is finer when slow" },
  steepness: { kind: "number", value: "N", help: "for s-shaped: 1-5" },
  points: { kind: "text", value: "STEP:LEVEL,...", help: "for smooth: more points to go through" },
  scale: { kind: "file", value: "CVS", help: "move the table of this CV set to --top (and --start)" },
  svg: { kind: "file", value: "FILE", help: "draw it" },
  json: shared.json,
} as const satisfies Options;

export const verb = defineVerb({
  summary: "A speed table, CV 67-94, from a start, a top and a shape",
  arguments: [],
  usage: "--start N --top N [--mid N] [--shape SHAPE]",
  about: `Levels are n/255 of the available voltage (S-9.2.2, CV 67-94). With --scale, the table of a CV set is moved
to another top instead. The decoder uses the table when CV 29 bit 4 is set.`,
  options: curveOptions,
  examples: [
    "cvset curve --start 4 --top 255 --mid 90",
    "cvset curve --start 6 --top 200 --shape power --gamma 1.4 --svg curve.svg",
  ],
  async run(call) {
    const { options, io } = call;
    if (options.scale !== undefined)
      uselessOptions(
        options,
        ["mid", "mid-step", "shape", "gamma", "steepness", "points"],
        "not with --scale",
      );
    else if (options.mid === undefined) uselessOptions(options, ["mid-step"], "only with --mid");
    const levels = await levelsOf(options, io);
    if (options.svg !== undefined) io.file(options.svg, speedPicture({ title: "Speed table", levels }));
    const { cvs } = tablePatch(levels).toJSON();
    if (options.json) io.json({ cvs });
    else for (const [cv, level] of Object.entries(cvs)) io.line(`CV${cv} = ${level}`);
    return 0;
  },
});

async function levelsOf(options: ValuesOf<typeof curveOptions>, io: Io) {
  const { start, top, scale: from } = options;
  if (top === undefined) throw new Unusable("--top N is needed: the level of step 28");
  try {
    if (from !== undefined) {
      const { cvs } = await cvSetFrom(from, io);
      const table = speedTable.tryDecode(cvs);
      if (!table.ok)
        throw new Unusable(...table.issues.map((one) => `${nameOfInput(from)}: ${messageOf(one)}`));
      return scaledCurve(table.value, { top, ...(start !== undefined && { start }) }).levels;
    }
    if (start === undefined) throw new Unusable("--start N is needed: the level of step 1");
    const optional = {
      mid: options.mid,
      midStep: options["mid-step"],
      shape: options.shape,
      gamma: options.gamma,
      steepness: options.steepness,
      points: pointsOf(options.points),
    };
    const given = Object.fromEntries(Object.entries(optional).filter(([, value]) => value !== undefined));
    return speedCurve({ start, top, ...given } as CurveShape).levels;
  } catch (error) {
    throw inOptions(error, {
      start: "start",
      top: "top",
      mid: "mid",
      midStep: "mid-step",
      shape: "shape",
      gamma: "gamma",
      steepness: "steepness",
      points: "points",
    });
  }
}

function pointsOf(text: string | undefined): CurvePoint[] | undefined {
  return text?.split(",").map((point) => {
    const match = /^\s*(\d+)\s*:\s*(\d+(?:\.\d+)?)\s*$/.exec(point);
    if (!match) throw new Unusable(`--points ${text}: write step:level, as in 8:40,20:180`);
    return { step: Number(match[1]), value: Number(match[2]) };
  });
}
