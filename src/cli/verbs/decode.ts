import { pageOf, toKey } from "../../cv/name.js";
import { placesInWords } from "../../cv/places-text.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { unownedBits } from "../../decoder/explain.js";
import { writeSettings } from "../../files/index.js";
import { describeCv } from "../../standard/catalogue.js";
import { changeLines, changesOf, editedText } from "../changed-settings.js";
import { complaintsOf } from "../complaints.js";
import { decoderFor } from "../decoders.js";
import { encoded, type GivenCvs, givenCvs, refuseTwoDecoders } from "../given-cvs.js";
import { editableFrom, headOf, type Input, inputFrom, inputsFrom, wrongKind } from "../input.js";
import { mismatch } from "../mismatch.js";
import { giveResults } from "../results.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "A CV set to settings in words",
  arguments: [{ name: "FILE", what: "a CV set or other files", kind: "file", many: true }],
  usage: "[--into SETTINGS] [--output FILE|FOLDER]",
  about: `FILE is a CV set: JSON, CSV, or a plain list such as "CV29 = 34", one a line; settings and plans are taken
too. Every feature of the decoder must be there; with --partial the settings that can be read are written, and the
rest is told on standard error with exit status 1. With --into, they are put into a settings file, whose order and
layout stay.`,
  options: {
    decoder: shared.decoder,
    into: {
      kind: "file",
      short: "i",
      value: "SETTINGS",
      help: "change this settings file to what was read, in place or to --output",
    },
    partial: {
      kind: "flag",
      short: "p",
      help: "write what can be read, though something is missing or wrong",
    },
    pick: shared.pick,
    json: { kind: "flag", help: "write JSON, as always" },
  },
  examples: [
    "cvset decode no9.cvs.json --output no9.settings.json",
    "cvset decode read-back.txt --decoder quillback-s8 --partial",
  ],
  async run({ arguments: paths, options, io }) {
    const { decoder: asked, pick, partial, into } = options;
    if (into !== undefined) {
      if (paths.length > 1) throw new Unusable("--into takes one file");
      return merge(await inputFrom(paths[0], io, pick), into, { asked, partial }, io);
    }
    let failed = false;
    const results = [];
    for (const path of paths) {
      const inputs = pick === undefined ? await inputsFrom(path, io) : [await inputFrom(path, io, pick)];
      for (const input of inputs) {
        const given = await givenCvs(input, io, { asked });
        const decoder = given.decoder ?? (await assumed(input, io));
        const { settings, complaints } = settingsOf(given, decoder, partial, io);
        failed ||= complaints.length > 0;
        const head = headOf(input);
        const id = asked === undefined ? (head.decoder ?? decoder.id) : decoder.id;
        results.push({ input, text: writeSettings({ ...head, decoder: id, settings }) });
      }
    }
    giveResults(io, results, { ending: ".settings.json", joins: false, kind: "json" });
    return failed ? 1 : 0;
  },
});

async function assumed(input: Input, io: Io): Promise<AnyDecoder> {
  const decoder = await decoderFor(undefined, undefined, io);
  io.say(`note: ${input.title} names no decoder; it is read as ${decoder.id}, the plain standard`);
  return decoder;
}

/** The settings that a CV set holds; what cannot be read is refused, or told where a part is enough. */
function settingsOf(
  { input, cvs, locate }: GivenCvs,
  decoder: AnyDecoder,
  partial: boolean,
  io: Io,
): { readonly settings: Readonly<Record<string, unknown>>; readonly complaints: readonly string[] } {
  const result = decoder.tryDecode(cvs);
  const complaints: string[] = [];
  if (!result.ok) {
    const other = mismatch(decoder, cvs, result.issues);
    if (other === undefined) complaints.push(...complaintsOf(input, result.issues, locate));
    else complaints.push(`${input.title}: ${other}`);
  }
  const settings = withoutEmpty((result.value ?? {}) as Readonly<Record<string, unknown>>);
  if (complaints.length && !partial) {
    if (Object.keys(settings).length)
      complaints.push("with --partial, the settings that can be read are written all the same");
    throw new Unusable(...complaints);
  }
  for (const complaint of complaints) io.say(complaint);
  const others = unownedBits(decoder, cvs).filter(({ cv }) => !isReadOnly(cv, decoder.kind));
  if (others.length)
    io.say(
      `note: ${input.title}: no feature of ${decoder.name} has ${placesInWords(others)}; to keep them, give this CV set to encode as --base`,
    );
  return { settings, complaints };
}

/** Settings without the groups of which nothing could be read. */
function withoutEmpty(settings: Readonly<Record<string, unknown>>): Readonly<Record<string, unknown>> {
  const entries = Object.entries(settings).flatMap(([name, value]) => {
    if (typeof value !== "object" || value === null || Array.isArray(value)) return [[name, value] as const];
    const inner = withoutEmpty(value as Readonly<Record<string, unknown>>);
    return Object.keys(inner).length ? [[name, inner] as const] : [];
  });
  return Object.fromEntries(entries);
}

/** A read-out put into a settings file. */
async function merge(
  input: Input,
  into: string,
  how: { readonly asked: string | undefined; readonly partial: boolean },
  io: Io,
): Promise<0 | 1> {
  const { asked, partial } = how;
  const { input: file, text } = await editableFrom(into, io);
  if (file.kind !== "settings") throw wrongKind(file, "a settings file");
  refuseTwoDecoders(asked, input, file);
  const named = headOf(file).decoder === undefined ? input : file;
  const decoder = await decoderFor(asked, named, io);
  const given = await givenCvs(input, io, { asked, decoder });
  const { settings, complaints } = settingsOf(given, decoder, partial, io);
  const before = encoded(file, decoder, {});
  const changes = changesOf(decoder, file.settings, settings, before);
  const edited = editedText(text, changes, into);
  for (const line of changeLines(
    decoder,
    before,
    before.apply(decoder.patch(settings as never, { base: before })),
  ))
    io.say(line);
  if (!io.hasOutput) io.replace(into, edited);
  else io.document(edited, "json");
  return complaints.length ? 1 : 0;
}

/** Whether nothing can write the CV, so that its absence from the settings loses nothing. */
function isReadOnly(cv: string, kind: AnyDecoder["kind"]): boolean {
  const key = toKey(cv);
  return pageOf(key) < 0 && describeCv(key, kind).readOnly;
}
