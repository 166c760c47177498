import { CvSet } from "../../cv/cvset.js";
import { placesText } from "../../cv/issue.js";
import { type Plan, type PlanOptions, plan, resume, tryPlanFromJson } from "../../plan/index.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { cvSetFrom, inFile, jsonFrom } from "../input.js";
import {
  argumentsOf,
  type Call,
  inOptions,
  numberOption,
  shared,
  textOption,
  Unusable,
  type Verb,
  wordOption,
} from "../verb.js";

const modes = ["direct", "paged", "register", "address-only", "main"] as const;

export const verb: Verb = {
  summary: "The shortest safe list of writes from what is in a decoder to what is wanted",
  usage: "[FROM] TO",
  about: `FROM is what the decoder holds, as far as it was read; TO is what is wanted. Without FROM, nothing is taken
for known. Use an isolated, current-limited programming track; switch smoke units, sound and lamps off; on the main,
do not change an address with other locomotives on the track.`,
  options: {
    mode: {
      type: "string",
      short: "m",
      value: modes.join("|"),
      help: "how the decoder is reached; direct without it",
    },
    address: { type: "string", short: "a", value: "N", help: "on the main: whom to talk to" },
    all: { type: "boolean", help: "write everything that TO holds, not only what differs" },
    "change-address": { type: "boolean", help: "on the main: allow CV 1, 17, 18 and 19 to be written" },
    "factory-reset": { type: "boolean", help: "ask for a factory reset first" },
    resume: {
      type: "string",
      value: "PLAN",
      help: "what is left of this plan; the one CV set is what was read back",
    },
    packets: { type: "boolean", short: "p", help: "show the bytes of each packet" },
    decoder: shared.decoder,
    json: shared.json,
  },
  examples: [
    "cvset plan read-back.txt no9.cvs.json",
    "cvset plan now.json wanted.json --mode main --address 1234 --json > plan.json",
  ],
  async run(call) {
    const { options, io } = call;
    const made = await planOf(call).catch((error: unknown) => {
      const said = inOptions(error, { address: "address", factoryReset: "factory-reset", mode: "mode" });
      if (!(said instanceof Unusable)) throw said;
      // The library names its option; here it is one of the command line.
      throw new Unusable(
        ...said.lines.map((line) => line.replaceAll("(changeAddress)", "(--change-address)")),
      );
    });
    if (options["json"]) {
      io.print(`${JSON.stringify(made, null, 2)}\n`);
      return 0;
    }
    const wide = String(made.steps.length).length;
    made.steps.forEach(({ cv, value, mask, was, reason, pause, packets }, i) => {
      const bit = mask === 255 ? value : Number((value & mask) !== 0);
      const what =
        mask === 255 || !(mask & (mask - 1))
          ? `${placesText([{ cv, mask }])} = ${bit}`
          : `${placesText([{ cv, mask }])} of ${value}`;
      io.print(
        `${String(i + 1).padStart(wide)}  ${what.padEnd(20)}${was === undefined ? "" : `  (was ${was})`}`.trimEnd(),
      );
      io.print("\n");
      io.print(`${" ".repeat(wide + 2)}${reason}\n`);
      if (options["packets"]) for (const packet of packets) io.print(`${" ".repeat(wide + 2)}${packet}\n`);
      if (pause) io.print(`${" ".repeat(wide + 2)}! ${pause.warning}\n`);
    });
    if (made.steps.length === 0) io.print("Nothing to write.\n");
    for (const { severity, message } of made.notes) io.print(`${severity}: ${message}\n`);
    const estimate = made.estimates[made.mode];
    if (estimate && made.steps.length) {
      io.print(
        `${estimate.packets} packets, about ${Math.ceil(estimate.seconds)} s on the track (${made.mode})\n`,
      );
    }
    return 0;
  },
};

async function planOf(call: Call): Promise<Plan> {
  const { options, io } = call;
  const mode = wordOption(options, "mode", modes);
  const address = numberOption(options, "address");
  const interrupted = textOption(options, "resume");
  const lone = call.positionals.length === 1;
  const paths = argumentsOf(call, lone ? ["one CV set"] : ["what is in the decoder", "what is wanted"]);
  if (mode !== "main") {
    for (const name of ["address", "change-address"])
      if (options[name] !== undefined) io.say(`note: --${name} is for --mode main, and changes nothing here`);
  }
  const read = await Promise.all(paths.map(async (path) => ({ ...(await cvSetFrom(path, io)), path })));
  const [first, last] = [read[0], read.at(-1)] as [(typeof read)[0], (typeof read)[0]];
  const asked = textOption(options, "decoder");
  refuseTwoDecoders(asked, first, last);
  const named = last.decoder === undefined ? first : last;
  const decoder =
    asked === undefined && named.decoder === undefined ? undefined : await decoderFor(asked, named, io);
  const how: PlanOptions = {
    ...(mode && { mode }),
    ...(address !== undefined && { address }),
    // The plain standard does not know which of the makers' CVs there are, so it must not refuse any.
    ...(decoder && (decoder.id.startsWith("nmra") ? { kind: decoder.kind } : { decoder })),
    all: options["all"] === true,
    changeAddress: options["change-address"] === true,
    factoryReset: options["factory-reset"] === true,
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
