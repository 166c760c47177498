import type { CvSet } from "../../cv/cvset.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { writeCvSet } from "../../files/index.js";
import { decoderFor } from "../decoders.js";
import { type GivenCvs, givenCvs, patched, refuseTwoDecoders } from "../given-cvs.js";
import { headOf, type Input, inputFrom, inputsFrom } from "../input.js";
import { giveResults } from "../results.js";
import { defineVerb, formatOption, type Io, shared } from "../verb.js";

const formats = ["json", "list", "csv", "lines"] as const;
const endings = { json: ".cvs.json", list: ".txt", csv: ".csv", lines: ".jsonl" } as const;

/** What each format has no place for. */
const lostIn = {
  json: [],
  lines: [],
  list: ["note", "silence"],
  csv: ["decoder", "name", "note", "silence"],
} as const;
const words = { json: "CV set", lines: "line", list: "list", csv: "table" } as const;

export const verb = defineVerb({
  summary: "Settings in words to a CV set; any list of CVs to another format",
  arguments: [{ name: "FILE", what: "a settings file or other files", kind: "file", many: true }],
  usage: "[--base CVS] [--output FILE|FOLDER]",
  about: `FILE is a settings file, or anything else that has CVs: a list, a table, a plan. What it does not name keeps
the value of the base: the CVs that are in the decoder now, or without --base the decoder's factory values. Several
files, or a file with several locomotives, go to a folder, or with --format lines into one file.`,
  options: {
    decoder: shared.decoder,
    base: { kind: "file", short: "b", value: "CVS", help: "the CVs that are in the decoder now" },
    format: {
      kind: "words",
      short: "f",
      words: formats,
      help: "how to write the CV set; json without it; lines: each on one line of JSON",
    },
    pick: shared.pick,
    nearest: shared.nearest,
    json: { kind: "flag", help: "write JSON, as without --format" },
  },
  examples: [
    "cvset encode no9.settings.json --output no9.cvs.json",
    "cvset encode no9.settings.json --base read-back.txt --format list",
    "cvset encode read-back.txt --format csv",
  ],
  async run({ arguments: paths, options, io }) {
    const { decoder: asked, pick, nearest } = options;
    const format = formatOption(options, "json");
    const base = options.base === undefined ? undefined : await inputFrom(options.base, io, pick);
    const results = [];
    for (const path of paths) {
      const inputs = pick === undefined ? await inputsFrom(path, io) : [await inputFrom(path, io, pick)];
      for (const input of inputs) {
        if (base) refuseTwoDecoders(asked, input, base);
        const under = base && (await baseFrom(base, input, io, asked));
        const given = await givenCvs(input, io, { asked, ...under, nearest });
        results.push({ input, text: written(given, base, format, asked !== undefined) });
        const head = headOf(input);
        const lost = lostIn[format].filter((key) => head[key] !== undefined);
        if (lost.length)
          io.say(
            `note: ${input.title}: ${lost.join(", ")}: a ${words[format]} has no place for this; JSON has`,
          );
      }
    }
    const kind = format === "json" || format === "lines" ? "json" : "text";
    giveResults(io, results, { ending: endings[format], joins: format === "lines", kind });
    return 0;
  },
});

/** The CVs of a base; single bits, as `match` and `curve` give them, are put into the factory values. */
async function baseFrom(
  base: Input,
  input: Input,
  io: Io,
  asked: string | undefined,
): Promise<{ readonly base: CvSet; readonly decoder: AnyDecoder | undefined }> {
  if (base.kind !== "patch") {
    const { cvs, decoder } = await givenCvs(base, io, { asked });
    return { base: cvs, decoder };
  }
  const named = headOf(input).decoder === undefined ? base : input;
  const decoder = await decoderFor(asked, named, io);
  return { base: patched(base, base.patch, decoder.defaults()), decoder };
}

function written(
  { input, cvs, decoder }: GivenCvs,
  base: Input | undefined,
  format: (typeof formats)[number],
  isAsked: boolean,
): string {
  // What is said of the locomotive before is not said of it with other values.
  const { note: _, silence: __, ...ofBase } = base ? headOf(base) : {};
  const head = { ...ofBase, ...headOf(input) };
  // A file goes on naming its decoder as it did, since that is how its description is found.
  const id = isAsked ? decoder?.id : (head.decoder ?? decoder?.id);
  const file = { ...head, ...(id !== undefined && { decoder: id }), cvs };
  return writeCvSet(file, format === "lines" ? "line" : format);
}
