import { CvSet } from "../../cv/cvset.js";
import { placesText } from "../../cv/issue.js";
import { type Plan, type PlanOptions, plan, resume, tryPlanFromJson } from "../../plan/index.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { cvSetFrom, inFile, jsonFrom } from "../input.js";
import { defineVerb, type Io, inOptions, type Options, shared, Unusable, type ValuesOf } from "../verb.js";

const modes = ["direct", "paged", "register", "address-only", "main"] as const;

const planOptions = {
  mode: {
    kind: "words",
    short: "m",
    words: modes,
    help: "how the decoder is reached; direct without it",
  },
  address: { kind: "number", short: "a", value: "N", help: "on the main: whom to talk to" },
  all: { kind: "flag", help: "write everything that TO holds, not only what differs" },
  "change-address": { kind: "flag", help: "on the main: allow CV 1, 17, 18 and 19 to be written" },
  "factory-reset": { kind: "flag", help: "ask for a factory reset first" },
  resume: {
    kind: "file",
    value: "PLAN",
    help: "what is left of this plan; the one CV set is what was read back",
  },
  packets: { kind: "flag", short: "p", help: "show the bytes of each packet" },
  decoder: shared.decoder,
  json: shared.json,
} as const satisfies Options;

export const verb = defineVerb({
  summary: "The shortest safe list of writes from what is in a decoder to what is wanted",
  arguments: [
    { name: "FROM", what: "what is in the decoder", kind: "file", optional: true },
    { name: "TO", what: "what is wanted", kind: "file" },
  ],
  about: `FROM is what the decoder holds, as far as it was read; TO is what is wanted. Without FROM, nothing is taken
for known. Use an isolated, current-limited programming track; switch smoke units, sound and lamps off; on the main,
do not change an address with other locomotives on the track.`,
  options: planOptions,
  examples: [
    "cvset plan read-back.txt no9.cvs.json",
    "cvset plan now.json wanted.json --mode main --address 1234 --json > plan.json",
  ],
  async run(call) {
    const { options, io } = call;
    const made = await planOf(call.arguments, options, io).catch((error: unknown) => {
      const said = inOptions(error, { address: "address", factoryReset: "factory-reset", mode: "mode" });
      if (!(said instanceof Unusable)) throw said;
      // The library names its option; here it is one of the command line.
      throw new Unusable(
        ...said.lines.map((line) => line.replaceAll("(changeAddress)", "(--change-address)")),
      );
    });
    if (options.json) {
      io.json(made);
      return 0;
    }
    const wide = String(made.steps.length).length;
    made.steps.forEach(({ cv, value, mask, was, reason, pause, packets }, i) => {
      const bit = mask === 255 ? value : Number((value & mask) !== 0);
      const what =
        mask === 255 || !(mask & (mask - 1))
          ? `${placesText([{ cv, mask }])} = ${bit}`
          : `${placesText([{ cv, mask }])} of ${value}`;
      const indent = " ".repeat(wide + 2);
      io.line(
        `${String(i + 1).padStart(wide)}  ${what.padEnd(20)}${was === undefined ? "" : `  (was ${was})`}`.trimEnd(),
        `${indent}${reason}`,
      );
      if (options.packets) io.line(...packets.map((packet) => `${indent}${packet}`));
      if (pause) io.line(`${indent}! ${pause.warning}`);
    });
    if (made.steps.length === 0) io.line("Nothing to write.");
    for (const { severity, message } of made.notes) io.line(`${severity}: ${message}`);
    const estimate = made.estimates[made.mode];
    if (estimate && made.steps.length) {
      io.line(
        `${estimate.packets} packets, about ${Math.ceil(estimate.seconds)} s on the track (${made.mode})`,
      );
    }
    return 0;
  },
});

async function planOf(
  paths: readonly string[],
  options: ValuesOf<typeof planOptions>,
  io: Io,
): Promise<Plan> {
  const { mode, address, resume: interrupted } = options;
  const lone = paths.length === 1;
  if (mode !== "main") {
    for (const name of ["address", "change-address"] as const)
      if (options[name] !== undefined && options[name] !== false)
        io.say(`note: --${name} is for --mode main, and changes nothing here`);
  }
  const read = await Promise.all(paths.map(async (path) => ({ ...(await cvSetFrom(path, io)), path })));
  const [first, last] = [read[0], read.at(-1)] as [(typeof read)[0], (typeof read)[0]];
  const asked = options.decoder;
  refuseTwoDecoders(asked, first, last);
  const named = last.decoder === undefined ? first : last;
  const decoder =
    asked === undefined && named.decoder === undefined ? undefined : await decoderFor(asked, named, io);
  const how: PlanOptions = {
    ...(mode && { mode }),
    ...(address !== undefined && { address }),
    // The plain standard does not know which of the makers' CVs there are, so it must not refuse any.
    ...(decoder && (decoder.id.startsWith("nmra") ? { kind: decoder.kind } : { decoder })),
    all: options.all,
    changeAddress: options["change-address"],
    factoryReset: options["factory-reset"],
  };
  if (interrupted === undefined) {
    return plan(lone ? CvSet.empty : first.cvs, last.cvs, how);
  }
  if (!lone) throw new Unusable("--resume PLAN takes one CV set: what was read back");
  const json = await jsonFrom(interrupted, io);
  const result = tryPlanFromJson(json.value);
  if (!result.ok) throw inFile(interrupted, json, result.issues);
  return resume(result.value, last.cvs, how);
}
