import { fileMessage, writeCsv, writeCvSet, writeList } from "../../files/index.js";
import { decoderFor } from "../decoders.js";
import { cvSetFrom, nameOfInput, settingsFrom } from "../input.js";
import { argumentsOf, shared, textOption, Unusable, type Verb, wordOption } from "../verb.js";

const formats = ["json", "list", "csv"] as const;

export const verb: Verb = {
  summary: "Settings in words to a CV set",
  usage: "SETTINGS [--base CVS]",
  about: `SETTINGS is a settings file. What it does not name keeps the value of the base: the CVs that are in
the decoder now, or without --base the decoder's factory values.`,
  options: {
    decoder: shared.decoder,
    base: { type: "string", short: "b", value: "CVS", help: "the CVs that are in the decoder now" },
    format: {
      type: "string",
      short: "f",
      value: formats.join("|"),
      help: "how to write the CV set; json without it",
    },
    nearest: shared.nearest,
    json: { type: "boolean", help: "write JSON, as without --format" },
  },
  examples: [
    "cvset encode no9.settings.json > no9.cvs.json",
    "cvset encode no9.settings.json --base read-back.txt --format list",
  ],
  async run(call) {
    const { options, io } = call;
    const [path] = argumentsOf(call, ["a settings file"]) as [string];
    const format = wordOption(options, "format", formats) ?? "json";
    const basePath = textOption(options, "base");
    if (path === "-" && basePath === "-")
      throw new Unusable("standard input can be only one of the two files");

    const file = await settingsFrom(path, io);
    const decoder = await decoderFor(textOption(options, "decoder"), { path, ...file }, io);
    const base = basePath === undefined ? undefined : (await cvSetFrom(basePath, io)).cvs;
    const result = decoder.tryEncode(file.settings, base, { nearest: options["nearest"] === true });
    if (!result.ok) {
      throw new Unusable(...file.at(result.issues).map((issue) => fileMessage(nameOfInput(path), issue)));
    }
    const content = { decoder: decoder.id, ...(file.name && { name: file.name }), cvs: result.value };
    io.print(
      format === "csv"
        ? writeCsv(result.value)
        : format === "list"
          ? writeList(content)
          : writeCvSet(content),
    );
    return 0;
  },
};
