import type { CvPatch } from "../../cv/cvpatch.js";
import { CvError, messageOf } from "../../cv/issue.js";
import {
  type CurveShape,
  driveLevels,
  scaledCurve,
  speedCurve,
  speedPicture,
  tablePatch,
  threePointsOf,
} from "../../motion/index.js";
import { knownCvsFrom, listOf, type Remarks } from "../curve-files.js";
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
  "mid-step": { kind: "number", value: "N", help: "which step is the middle one; default 14" },
  shape: { kind: "words", words: shapes, help: "how it runs between them; default linear" },
  gamma: { kind: "number", value: "N", help: "for power: 0.2-5, above 1 is finer when slow" },
  steepness: { kind: "number", value: "N", help: "for s-shaped: 1-5" },
  points: { kind: "text", value: "STEP:LEVEL,...", help: "for smooth: more points to go through" },
  from: {
    kind: "file",
    value: "CVS",
    help: "take the curve in use of this CV set, table or three points; moved to --top (and --start) where these are given",
  },
  "three-points": {
    kind: "flag",
    help: "write the three points (CV 2, 6, 5) that come nearest, for a decoder without a table",
  },
  "move-mid": { kind: "flag", help: "with --three-points: also choose the middle step, CV 25" },
  svg: { kind: "file", value: "FILE", help: "draw it" },
  pick: shared.pick,
  json: shared.json,
} as const satisfies Options;

type Values = ValuesOf<typeof curveOptions>;

export const verb = defineVerb({
  summary: "A speed table, CV 67-94, from a start, a top and a shape; or three points, and back",
  arguments: [],
  usage: "(--start N --top N [--mid N] [--shape SHAPE] | --from CVS)",
  about: `Levels are n/255 of the available voltage (S-9.2.2, July 2012, CV 67-94). The result is a list of CVs, or with
--json a CV set, which plan, diff and encode --base read as it is; bit 4 of CV 29 chooses between table and points.`,
  options: curveOptions,
  examples: [
    "cvset curve --start 4 --top 255 --mid 90",
    "cvset curve --start 6 --top 200 --shape power --gamma 1.4 --svg curve.svg",
    "cvset curve --from no9.cvs.json --three-points",
  ],
  async run({ options, io }) {
    if (options.from !== undefined)
      uselessOptions(
        options,
        ["mid", "mid-step", "shape", "gamma", "steepness", "points"],
        "not with --from",
      );
    else {
      if (options.mid === undefined) uselessOptions(options, ["mid-step"], "only with --mid");
      uselessOptions(options, ["pick"], "only with --from");
    }
    if (!options["three-points"]) uselessOptions(options, ["move-mid"], "only with --three-points");
    const levels = await levelsOf(options, io);
    if (options.svg !== undefined) io.file(options.svg, speedPicture({ title: "Speed table", levels }));
    const { patch, head, remarks } = options["three-points"]
      ? points(levels, options["move-mid"])
      : { patch: tablePatch(levels, { select: true }), head: [], remarks: tableRemarks };
    if (options.json) io.json(patch.toJSON());
    else io.document(listOf(patch, remarks, head), "text");
    return 0;
  },
});

const tableRemarks: Remarks = {
  "67": "step 1",
  "94": "step 28",
  "29": "the decoder uses the table",
};

function points(
  levels: readonly number[],
  moveMid: boolean,
): { patch: CvPatch; head: string[]; remarks: Remarks } {
  const { patch, worst, rms } = threePointsOf(levels, { moveMid });
  return {
    patch,
    head: [`the nearest three points: up to ${round(worst)} levels off, ${round(rms)} on average`],
    remarks: {
      "2": "step 1",
      "5": "the top step",
      "6": "the middle step; 0: a straight line",
      "25": "which step is the middle one; 0: step 14",
      "29": "the decoder uses the three points",
    },
  };
}

async function levelsOf(options: Values, io: Io): Promise<readonly number[]> {
  const { start, top, from } = options;
  try {
    if (from !== undefined) {
      const levels = await curveOf(from, io, options.pick);
      if (top === undefined && start === undefined) return levels;
      if (top === undefined) throw new Unusable("--start N needs --top N: the level of step 28");
      return scaledCurve(levels, { top, ...(start !== undefined && { start }) }).levels;
    }
    if (top === undefined) throw new Unusable("expected --top N, the level of step 28");
    if (start === undefined) throw new Unusable("expected --start N, the level of step 1");
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
      levels: "from",
    });
  }
}

/** The levels of the curve in use of a CV set, rounded. */
async function curveOf(path: string, io: Io, pick: string | undefined): Promise<readonly number[]> {
  const { known, title } = await knownCvsFrom(path, io, pick);
  try {
    const { levels, notes } = driveLevels(known);
    for (const note of notes) io.say(`${title}: note: ${messageOf(note)}`);
    return levels.map((level) => Math.round(level));
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    throw new Unusable(...error.issues.map((issue) => `${title}: ${messageOf(issue)}`));
  }
}

function pointsOf(text: string | undefined): CurveShape["points"] {
  return text?.split(",").map((point) => {
    const match = /^\s*(\d+)\s*:\s*(\d+(?:\.\d+)?)\s*$/.exec(point);
    if (!match) throw new Unusable(`--points ${text}: expected step:level, as in 8:40,20:180`);
    return { step: Number(match[1]), value: Number(match[2]) };
  });
}

function round(value: number): number {
  return Number(value.toFixed(1));
}
