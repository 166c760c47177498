import { messageOf } from "../../cv/issue.js";
import { nearestNames } from "../../cv/nearest.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { diff } from "../../decoder/diff.js";
import { codecsAt } from "../../decoder/path.js";
import { readSettings, writeCvSet } from "../../files/index.js";
import { changeLines, editedText } from "../changed-settings.js";
import { decoderFor } from "../decoders.js";
import { editableFrom, headOf, type Input, nameOfInput, wrongKind } from "../input.js";
import { typedValue } from "../typed-value.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";
import { wording } from "../wording.js";

export const verb = defineVerb({
  summary: "Changes settings in a file, in place",
  arguments: [
    { name: "FILE", what: "a settings file", kind: "file" },
    { name: "SETTING=VALUE", what: "settings with values", kind: "text", many: true },
  ],
  about: `FILE is a settings file, whose order and layout stay, or a CV set in JSON. A setting is written as "describe"
and "explain" show it: drains.seconds=12; "drains=off" turns it off, and "drains=" takes it out of the file. The CVs
and bits that change are told on standard error. With --output the file stays, and the result goes there.`,
  options: {
    decoder: shared.decoder,
    nearest: shared.nearest,
    json: { kind: "flag", help: "write what changes as JSON for programs" },
  },
  examples: [
    "cvset set no9.settings.json fuel=oil drains.seconds=8",
    "cvset set no9.settings.json address=1235",
  ],
  async run({ arguments: [path, ...given], options, io }) {
    const { input, text } = await editableFrom(path, io);
    if (input.kind !== "settings" && input.kind !== "cvs") throw wrongKind(input, "a settings file");
    const decoder = await decoderFor(options.decoder, input, io);
    const changes = changesIn(given, decoder);
    const edited = edit(input, text, changes, decoder, options.nearest, io);
    if (edited.text === text) io.say(`note: ${nameOfInput(path)} is as it should be; nothing changes`);
    if (path === "-" || io.hasOutput) io.document(edited.text, "json");
    else if (edited.text !== text) io.replace(path, edited.text);
    const { before, after } = edited;
    if (before && after) {
      for (const line of changeLines(decoder, before, after)) io.say(line);
      if (options.json && !io.hasOutput && path !== "-")
        io.json({
          changes: diff(decoder, before, after).map((one) => ({
            ...one,
            from: one.from ?? null,
            to: one.to ?? null,
          })),
        });
    }
    return 0;
  },
});

/** The changes of a command line, by path. */
function changesIn(given: readonly string[], decoder: AnyDecoder): Record<string, unknown> {
  const changes: Record<string, unknown> = {};
  const complaints: string[] = [];
  for (const one of given) {
    const [, path = "", text = ""] = /^([^=]*)=([\s\S]*)$/.exec(one) ?? [];
    const { codecs, names, path: known } = codecsAt(decoder.features, path);
    const codec = codecs[0];
    if (!one.includes("=")) complaints.push(`"${one}": write a setting and its value, as in fuel=oil`);
    else if (Object.hasOwn(changes, path)) complaints.push(`"${one}": ${path} is given twice`);
    else if (codec) changes[path] = text === "" ? undefined : typedValue(codec, text, /\.\d+$/.test(path));
    else {
      const [near] = nearestNames(known.replace(/^.*\./, ""), names);
      complaints.push(
        `"${one}": ${decoder.name} has no setting "${known}"${near ? `; did you mean "${near}"?` : `; "cvset describe ${decoder.id}" lists them`}`,
      );
    }
  }
  if (complaints.length) throw new Unusable(...complaints);
  return changes;
}

function edit(
  input: Input & { readonly kind: "settings" | "cvs" },
  text: string,
  changes: Readonly<Record<string, unknown>>,
  decoder: AnyDecoder,
  nearest: boolean,
  io: Io,
) {
  const refused = (issues: readonly { readonly path: string }[]): boolean =>
    issues.some(({ path }) =>
      Object.keys(changes).some(
        (one) => `${path}.`.startsWith(`${one}.`) || `${one}.`.startsWith(`${path}.`),
      ),
    );
  if (input.kind === "cvs") {
    if (input.format !== "json" && !io.hasOutput && input.path !== "-")
      throw new Unusable(
        `${input.title}: remarks in a ${input.format} file would be lost; write the result to another file with --output`,
      );
    const settings = readSettings(editedText('{"settings":{}}', changes, ""));
    const result = settings.ok
      ? decoder.tryEncode(settings.value.settings, input.cvs, { nearest })
      : settings;
    if (!result.ok) throw new Unusable(...result.issues.map((issue) => messageOf(issue, wording)));
    const head = headOf(input);
    return { text: writeCvSet({ ...head, cvs: result.value }), before: input.cvs, after: result.value };
  }
  const edited = editedText(text, changes, input.title);
  const now = readSettings(edited);
  const before = decoder.tryEncode(input.settings, undefined, { nearest });
  const after = now.ok ? decoder.tryEncode(now.value.settings, undefined, { nearest }) : now;
  if (!after.ok && (before.ok || refused(after.issues)))
    throw new Unusable(...after.issues.map((issue) => messageOf(issue, wording)));
  // Something else in the file may be wrong; it is not made worse.
  if (!after.ok) for (const issue of after.issues) io.say(`note: ${messageOf(issue, wording)}`);
  return {
    text: edited,
    before: before.ok ? before.value : undefined,
    after: after.ok ? after.value : undefined,
  };
}
