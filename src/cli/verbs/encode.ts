import { fileMessage, writeCsv, writeCvSet, writeList } from "../../files/index.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { carried, cvSetFrom, nameOfInput, settingsFrom } from "../input.js";
import { argumentsOf, formatOption, shared, textOption, Unusable, type Verb } from "../verb.js";

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
    const format = formatOption(options, formats, "json");
    const basePath = textOption(options, "base");
    const file = await settingsFrom(path, io);
    const asked = textOption(options, "decoder");
    const decoder = await decoderFor(asked, { path, ...file }, io);
    const base = basePath === undefined ? undefined : await cvSetFrom(basePath, io);
    if (base && basePath !== undefined)
      refuseTwoDecoders(asked, { path, ...file }, { path: basePath, ...base });
    const result = decoder.tryEncode(file.settings, base?.cvs, { nearest: options["nearest"] === true });
    if (!result.ok) {
      const issues = file.at(result.issues);
      // The library speaks of a base; here it is an option.
      throw new Unusable(
        ...issues.map((issue) =>
          fileMessage(nameOfInput(path), issue).replace(/ as the base$/, " with --base CVS"),
        ),
      );
    }
    const content = { decoder: decoder.id, ...carried(file), cvs: result.value };
    if (format !== "json" && (file.note !== undefined || file.silence !== undefined))
      io.say(`note: a ${format} has no place for "note" and "silence" of ${nameOfInput(path)}; JSON has`);
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
