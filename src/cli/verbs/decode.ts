import { messageOf, placesText } from "../../cv/issue.js";
import { pageOf, toKey } from "../../cv/name.js";
import { unownedBits } from "../../decoder/explain.js";
import { writeSettings } from "../../files/index.js";
import { describeCv } from "../../standard/index.js";
import { decoderFor } from "../decoders.js";
import { carried, cvSetFrom, nameOfInput } from "../input.js";
import { defineVerb, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "A CV set to settings in words",
  arguments: [{ name: "CVS", what: "a CV set", kind: "file" }],
  about: `CVS is a CV set: JSON, CSV, or a plain list such as "CV29 = 34", one a line. Every feature of the
decoder must be there; with --partial the settings that can be read are written, and the rest is said on
standard error with exit status 1.`,
  options: {
    decoder: shared.decoder,
    partial: {
      kind: "flag",
      short: "p",
      help: "write what can be read, though something is missing or wrong",
    },
    json: { kind: "flag", help: "write JSON, as always" },
  },
  examples: [
    "cvset decode no9.cvs.json > no9.settings.json",
    "cvset decode read-back.txt --decoder quillback-s8 --partial",
  ],
  async run(call) {
    const {
      arguments: [path = ""],
      options,
      io,
    } = call;
    const file = await cvSetFrom(path, io);
    const decoder = await decoderFor(options.decoder, { path, ...file }, io);
    const result = decoder.tryDecode(file.cvs);
    const complaints = result.ok
      ? []
      : result.issues.map((issue) => {
          const line = issue.places
            ?.map(({ cv }) => file.locate(cv)?.line)
            .find((found) => found !== undefined);
          return `${nameOfInput(path)}${line ? `:${line}` : ""}: ${messageOf(issue)}`;
        });
    if (complaints.length && !options.partial) {
      const some = result.value !== undefined && Object.keys(result.value).length > 0;
      if (some) complaints.push("with --partial, the settings that can be read are written all the same");
      throw new Unusable(...complaints);
    }
    for (const complaint of complaints) io.say(complaint);
    const others = unownedBits(decoder, file.cvs).filter(({ cv }) => !readOnly(cv, decoder.kind));
    if (others.length) {
      const cvs = placesText(others);
      io.say(
        `note: no feature of ${decoder.name} has ${cvs}; to keep them, give this CV set to encode as --base`,
      );
    }
    io.document(
      writeSettings({ decoder: decoder.id, ...carried(file), settings: result.value ?? {} }),
      "json",
    );
    return complaints.length ? 1 : 0;
  },
});

/** Whether nobody can write the CV anyway, so that it is no loss in the settings. */
function readOnly(cv: string, kind: "multifunction" | "accessory"): boolean {
  const key = toKey(cv);
  return pageOf(key) < 0 && describeCv(key, kind).readOnly;
}
