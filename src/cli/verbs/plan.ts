import { CvPatch } from "../../cv/cvpatch.js";
import { CvSet } from "../../cv/cvset.js";
import { type CvError, messageOf } from "../../cv/issue.js";
import { placesInWords } from "../../cv/places-text.js";
import { shortened } from "../../cv/show.js";
import { type AnyDecoder, rootOf } from "../../decoder/decoder.js";
import { explain, type Line } from "../../decoder/explain.js";
import { accessModes } from "../../packets/index.js";
import {
  type Plan,
  type PlanOptions,
  type PlanStep,
  plan,
  resume,
  tryPlanFromJson,
} from "../../plan/index.js";
import { decoderFor } from "../decoders.js";
import { type GivenCvs, givenCvs, refuseTwoDecoders } from "../given-cvs.js";
import { labelOf } from "../groups.js";
import { headOf, type Input, inputFrom, unusable, wrongKind } from "../input.js";
import { columns } from "../layout.js";
import { defineVerb, type Io, inOptions, type Options, shared, Unusable, type ValuesOf } from "../verb.js";
import { wording } from "../wording.js";

const planOptions = {
  mode: {
    kind: "words",
    short: "m",
    words: accessModes,
    help: "how the decoder is reached; direct without it",
  },
  address: { kind: "whole", short: "a", value: "N", help: "on the main: the address of the decoder" },
  all: { kind: "flag", help: "write everything that TO holds, not only what differs" },
  "change-address": { kind: "flag", help: "on the main: allow CV 1, 17, 18 and 19 to be written" },
  "factory-reset": { kind: "flag", help: "ask for a factory reset first" },
  undescribed: {
    kind: "words",
    words: ["refuse", "write", "leave"],
    help: "what to do with CVs that the decoder's description does not have; refuse without it",
  },
  resume: {
    kind: "file",
    value: "PLAN",
    help: "what is left of this plan; the one file is what was read back",
  },
  steps: {
    kind: "flag",
    short: "s",
    help: "a short list for typing in by hand: boxes to tick, number, value, what it sets",
  },
  packets: { kind: "flag", help: "show the bytes of each packet" },
  decoder: shared.decoder,
  pick: shared.pick,
  nearest: shared.nearest,
  json: shared.json,
} as const satisfies Options;

export const verb = defineVerb({
  summary: "The shortest safe list of writes from what is in a decoder to what is wanted",
  arguments: [
    { name: "FROM", what: "what is in the decoder", kind: "file", optional: true },
    { name: "TO", what: "what is wanted", kind: "file" },
  ],
  about: `FROM is what the decoder holds, as far as it was read; TO is what is wanted: CVs, single bits, or settings,
which are put on top of FROM. Without FROM, nothing is taken for known. Use an isolated, current-limited programming
track; switch smoke units, sound and lamps off; on the main, do not change an address with other locomotives on the
track.`,
  options: planOptions,
  examples: [
    "cvset plan read-back.txt no9.cvs.json",
    "cvset plan read-back.txt no9.settings.json --steps",
    "cvset plan now.json wanted.json --mode main --address 1234 --json --output plan.json",
  ],
  async run({ arguments: paths, options, io }) {
    const { plan: made, decoder, wanted } = await planOf(paths, options, io);
    if (options.json) io.json(made);
    else if (options.steps) tellSteps(made, decoder, wanted, io);
    else tellPlan(made, options.packets, io);
    return 0;
  },
});

function tellPlan(made: Plan, packets: boolean, io: Io): void {
  const wide = String(made.steps.length).length;
  const indent = " ".repeat(wide + 2);
  made.steps.forEach((step, i) => {
    const { was, reason, pause } = step;
    io.line(
      `${String(i + 1).padStart(wide)}  ${writeText(step).padEnd(20)}${was === undefined ? "" : `  (was ${was})`}`.trimEnd(),
      `${indent}${reason}`,
    );
    if (packets) io.line(...step.packets.map((packet) => `${indent}${packet}`));
    if (pause) io.line(`${indent}! ${pause.warning}`);
  });
  tellRest(made, io);
  const estimate = made.estimates[made.mode];
  if (estimate && made.steps.length) {
    io.line(
      `${estimate.packets} packets, about ${Math.ceil(estimate.seconds)} s on the track (${made.mode})`,
    );
  }
}

function writeText({ cv, mask, value }: PlanStep): string {
  return `${placesInWords([{ cv, mask }])} = ${numberIn(mask, value)}`;
}

/** The number in the bits that are written. */
function numberIn(mask: number, value: number): number {
  return (value & mask) / (mask & -mask);
}

function tellRest(made: Plan, io: Io): void {
  if (made.steps.length === 0) io.line("Nothing to write.");
  for (const note of made.notes) io.line(`${note.severity}: ${messageOf(note)}`);
}

/** What a write is for that sets nothing by itself. */
const whys: Partial<Readonly<Record<PlanStep["need"], string>>> = {
  select: "selects the page of the next ones",
  unlock: "opens the lock",
  reset: "asks for a factory reset",
};

/** The writes as a list to be typed in at a throttle or command station, and ticked. */
function tellSteps(made: Plan, decoder: AnyDecoder | undefined, wanted: CvSet, io: Io): void {
  const lines = decoder ? explain(decoder, wanted).lines : [];
  const rows: string[][] = [];
  for (const step of made.steps) {
    const { cv, mask, value, need, pause } = step;
    // A page is selected by CV 31 and 32 before; at the throttle the CV has its bare number.
    const number = cv.split("@")[0] as string;
    const what = mask === 255 ? `CV ${number}` : placesInWords([{ cv: number, mask }]);
    const why = whys[need] ?? (decoder ? wordsFor(step, lines, decoder) : "");
    rows.push(["[ ]", `${what} = ${numberIn(mask, value)}`, why]);
    if (pause) {
      rows.push(["", "wait", `${pause.seconds} s${pause.powerCycle ? ", then power off and on" : ""}`]);
      rows.push(["", "!", pause.warning]);
    }
  }
  io.line(...columns(rows, io.width, 2));
  tellRest(made, io);
}

/** What a write changes, in words. */
function wordsFor({ cv, mask, value, was }: PlanStep, lines: readonly Line[], decoder: AnyDecoder): string {
  // Where it is known what was there, only what changes is told.
  const changes = was === undefined ? mask : (was ^ value) & mask || mask;
  const texts = lines
    .filter(({ places }) => places.some((place) => place.cv === cv && place.mask & changes))
    // A speed table would have all of its levels at each of its CVs.
    .map((line) =>
      line.places.length > 3 ? labelOf(decoder, line) : `${labelOf(decoder, line)}: ${line.text}`,
    );
  return shortened([...new Set(texts)]);
}

interface Made {
  readonly plan: Plan;
  readonly decoder: AnyDecoder | undefined;
  /** What the decoder holds in the end, as far as it is known. */
  readonly wanted: CvSet;
}

async function planOf(
  paths: readonly string[],
  options: ValuesOf<typeof planOptions>,
  io: Io,
): Promise<Made> {
  const { mode, decoder: asked, pick, nearest } = options;
  if (mode !== "main") {
    for (const name of ["address", "change-address"] as const)
      if (options[name] !== undefined && options[name] !== false)
        io.say(`note: --${name} is for --mode main, and changes nothing here`);
  }
  const inputs = [];
  for (const path of paths) inputs.push(await inputFrom(path, io, pick));
  // One or two were given, as the arguments of the verb say.
  const [first, last] = [inputs[0] as Input, inputs.at(-1) as Input];
  const isLone = first === last;
  refuseTwoDecoders(asked, first, last);
  const named = headOf(last).decoder === undefined ? first : last;
  const isNamed = asked !== undefined || headOf(named).decoder !== undefined;
  const decoder = isNamed ? await decoderFor(asked, named, io) : undefined;
  const given = { asked, decoder, nearest };
  const from = isLone ? undefined : await givenCvs(first, io, given);
  if (options.resume !== undefined) {
    if (!isLone) throw new Unusable("--resume PLAN takes one file: what was read back");
    return resumed(options.resume, await givenCvs(last, io, given), decoder, options, io);
  }
  // Single bits stay single bits, where nothing is known of the others.
  if (last.kind === "patch") {
    const held = from?.cvs ?? CvSet.empty;
    const made = inWords(() => plan(held, last.patch, howOf(decoder, options, last.patch)));
    return { plan: made, decoder, wanted: known(held, last.patch) };
  }
  if (last.kind === "settings" && from) {
    // Only what they name is written, whatever the rest of the decoder holds.
    const its = decoder ?? (await decoderFor(undefined, undefined, io));
    const patch = rootOf(its).tryEncode(last.settings, { nearest, base: from.cvs });
    if (!patch.ok) throw unusable(last, patch.issues);
    const made = inWords(() => plan(from.cvs, patch.value, howOf(its, options, patch.value)));
    return { plan: made, decoder: its, wanted: known(from.cvs, patch.value) };
  }
  const to = await givenCvs(last, io, given);
  const wanted = leftOut(to.cvs, decoder ?? to.decoder, options, io);
  const how = howOf(decoder ?? to.decoder, options, wanted);
  return {
    plan: inWords(() => plan(from?.cvs ?? CvSet.empty, wanted, how)),
    decoder: decoder ?? to.decoder,
    wanted,
  };
}

/** What is known of a decoder that holds some CVs after a change. */
function known(held: CvSet, patch: CvPatch): CvSet {
  let cvs = held;
  for (const { cv, mask, value } of patch) {
    const was = held.get(cv);
    if (mask === 255 || was !== undefined) cvs = cvs.with(cv, ((was ?? 0) & ~mask) | value);
  }
  return cvs;
}

async function resumed(
  path: string,
  { cvs }: GivenCvs,
  decoder: AnyDecoder | undefined,
  options: ValuesOf<typeof planOptions>,
  io: Io,
): Promise<Made> {
  const input = await inputFrom(path, io);
  if (input.kind !== "plan") throw wrongKind(input, "a plan");
  const interrupted = tryPlanFromJson(input.value);
  if (!interrupted.ok) throw unusable(input, interrupted.issues);
  const how = howOf(decoder, options, CvSet.empty);
  return { plan: inWords(() => resume(interrupted.value, cvs, how)), decoder, wanted: cvs };
}

/** The plan's options. */
function howOf(
  decoder: AnyDecoder | undefined,
  options: ValuesOf<typeof planOptions>,
  wanted: CvSet | CvPatch,
): PlanOptions {
  const { mode, address, undescribed } = options;
  return {
    ...(mode && { mode }),
    ...(address !== undefined && { address }),
    ...(decoder && modelOf(decoder, undescribed === "write" ? wanted : undefined)),
    all: options.all,
    changeAddress: options["change-address"],
    factoryReset: options["factory-reset"],
  };
}

/** What the plan needs to know of the decoder; with further CVs, where they are to be written all the same. */
function modelOf(
  decoder: AnyDecoder,
  more: CvSet | CvPatch | undefined,
): Pick<PlanOptions, "kind" | "decoder"> {
  // The plain standard does not know which of the makers' CVs there are, so it must not refuse any.
  if (decoder.id.startsWith("nmra")) return { kind: decoder.kind };
  if (!more) return { decoder };
  const own = decoder.bits.map(({ cv }) => cv);
  const further = more instanceof CvPatch ? [...more].map(({ cv }) => cv) : [...more].map(([cv]) => cv);
  return { decoder: { kind: decoder.kind, factory: decoder.defaults(), cvs: [...own, ...further] } };
}

/** What is wanted, without the CVs that the decoder's description does not have, where these are left. */
function leftOut(
  wanted: CvSet,
  decoder: AnyDecoder | undefined,
  { undescribed }: ValuesOf<typeof planOptions>,
  io: Io,
): CvSet {
  if (undescribed !== "leave" || !decoder || decoder.id.startsWith("nmra")) return wanted;
  const own = new Set([...decoder.bits.map(({ cv }) => cv), ...[...decoder.defaults()].map(([cv]) => cv)]);
  const others = [...wanted].map(([cv]) => cv).filter((cv) => !own.has(cv));
  if (others.length === 0) return wanted;
  io.say(`note: left as they are: ${placesInWords(others.map((cv) => ({ cv, mask: 255 })))}`);
  return wanted.without(...others);
}

const planWording: Readonly<Record<string, string>> = {
  ...wording,
  "unknown-bits": "not known, and the other bits of the CV are to be written: read this CV too, into FROM",
};

/** The library's issues, in the words of the command line. */
function inWords<Value>(what: () => Value): Value {
  try {
    return what();
  } catch (error) {
    const names = { address: "address", factoryReset: "factory-reset", mode: "mode" };
    const said = inOptions(error, names, planWording);
    if (!(said instanceof Unusable)) throw said;
    const isLacking = (error as CvError).issues.some(({ code }) => code === "not-in-decoder");
    const hint = "with --undescribed write or leave, a plan is made with or without these CVs";
    throw new Unusable(...said.lines, ...(isLacking ? [hint] : []));
  }
}
