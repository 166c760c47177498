import { fileMessage, writeCsv, writeCvSet, writeList } from "../../files/index.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { carried, cvSetFrom, nameOfInput, settingsFrom } from "../input.js";
import { defineVerb, formatOption, shared, Unusable } from "../verb.js";

const formats = ["json", "list", "csv"] as const;

export const verb = defineVerb({
  summary: "Settings in words to a CV set",
  arguments: [{ name: "SETTINGS", what: "a settings file", kind: "file" }],
  usage: "[--base CVS]",
  about: `SETTINGS is a settings file. What it does not name keeps the value of the base: the CVs that are in
the decoder now, or without --base the decoder's factory values.`,
  options: {
    decoder: shared.decoder,
    base: { kind: "file", short: "b", value: "CVS", help: "the CVs that are in the decoder now" },
    format: {
      kind: "words",
      short: "f",
      words: formats,
      help: "how to write the CV set; json without it",
    },
    nearest: shared.nearest,
    json: { kind: "flag", help: "write JSON, as without --format" },
  },
  examples: [
    "cvset encode no9.settings.json > no9.cvs.json",
    "cvset encode no9.settings.json --base read-back.txt --format list",
  ],
  async run(call) {
    const {
      arguments: [path = ""],
      options,
      io,
    } = call;
    const format = formatOption(options, "json");
    const basePath = options.base;
    const file = await settingsFrom(path, io);
    const asked = options.decoder;
    const decoder = await decoderFor(asked, { path, ...file }, io);
    const base = basePath === undefined ? undefined : await cvSetFrom(basePath, io);
    if (base && basePath !== undefined)
      refuseTwoDecoders(asked, { path, ...file }, { path: basePath, ...base });
    const result = decoder.tryEncode(file.settings, base?.cvs, { nearest: options.nearest });
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
    if (format === "csv") io.document(writeCsv(result.value), "text");
    else if (format === "list") io.document(writeList(content), "text");
    else io.document(writeCvSet(content), "json");
    return 0;
  },
});
