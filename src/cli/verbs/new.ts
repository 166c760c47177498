import { stat } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { settingsSchema } from "../../decoder/schema.js";
import { writeSettings } from "../../files/index.js";
import { decoderFor } from "../decoders.js";
import { exists, textFrom } from "../input.js";
import { fileStem } from "../results.js";
import { startingSettings } from "../starting-settings.js";
import { defineVerb, type Io, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "A settings file to start with",
  arguments: [{ name: "DECODER", what: "a decoder", kind: "decoder" }],
  usage: "[--name NAME] [--output FILE]",
  about: `DECODER is a built-in name, or a description in JSON. Every setting is there, with the factory value or the
usual one. With --output, the JSON Schema of the settings is written beside it, and the file names it, so that an
editor completes names and options and underlines what is wrong.`,
  options: {
    name: { kind: "text", short: "n", value: "NAME", help: "the name of the locomotive" },
    json: { kind: "flag", help: "write JSON, as always" },
  },
  examples: ['cvset new quillback-s8 --name "No. 9" --output no9.json', "cvset new nmra"],
  async run({ arguments: [asked], options, io }) {
    const decoder = await decoderFor(asked, undefined, io);
    const { settings, missing } = startingSettings(decoder);
    const schemaName = `${decoder.id}.schema.json`;
    const { output } = io;
    // A starting file in the place of one that somebody has worked on would be a loss.
    if (output !== undefined && (await isTaken(output)))
      throw new Unusable(`${output}: there is such a file already; give another name, or remove it first`);
    const isFile = output !== undefined && !io.toFolder;
    const name = options.name ?? (isFile ? basename(output).replace(/(\.settings)?\.json$/i, "") : undefined);
    // Only a description of that name is found by it; another one has to be named with --decoder.
    const text = writeSettings({
      schema: `./${schemaName}`,
      decoder: decoder.id,
      ...(name ? { name } : {}),
      settings,
    });
    if (output === undefined) {
      io.document(text, "json");
      io.say(
        `note: "$schema" names ${schemaName}; "cvset describe ${asked} --schema --output ${schemaName}" writes it`,
      );
    } else {
      io.part(`${fileStem(name ?? decoder.id)}.json`, text, "json");
      const schema = `${JSON.stringify(settingsSchema(decoder), null, 2)}\n`;
      const path = join(io.toFolder ? output : dirname(output), schemaName);
      const old = await textOf(path, io);
      // A file of that name that is something else stays.
      if (old === undefined || old.includes(`"title": "Settings for `)) io.replace(path, schema);
      else
        io.say(
          `note: ${path} is no schema of this command and stays as it is; "$schema" names it all the same`,
        );
    }
    if (missing.length) io.say(`note: left out, for there is no usual value: ${missing.join(", ")}`);
    return 0;
  },
});

async function isTaken(path: string): Promise<boolean> {
  return (await stat(path).catch(() => undefined))?.isFile() === true;
}

async function textOf(path: string, io: Io): Promise<string | undefined> {
  return (await exists(path)) ? textFrom(path, io) : undefined;
}
