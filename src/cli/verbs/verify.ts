import type { CvSet } from "../../cv/cvset.js";
import { placesInWords } from "../../cv/places-text.js";
import { type AnyDecoder, rootOf } from "../../decoder/decoder.js";
import { tryPlanFromJson, verify } from "../../plan/index.js";
import { decoderFor } from "../decoders.js";
import { givenCvs, refuseTwoDecoders, withoutSelection } from "../given-cvs.js";
import { headOf, type Input, inputFrom, unusable } from "../input.js";
import { defineVerb, type Io, shared } from "../verb.js";

export const verb = defineVerb({
  summary: "Whether what was read back is what was meant",
  arguments: [
    { name: "MEANT", what: "a plan, a CV set or settings", kind: "file" },
    { name: "READ", what: "what was read back", kind: "file" },
  ],
  about: `MEANT is a plan, a CV set, or settings, of which only what they name is compared. Exit status 1 when anything
differs or was not read.`,
  options: { decoder: shared.decoder, pick: shared.pick, json: shared.json },
  examples: ["cvset verify plan.json read-back.txt", "cvset verify no9.cvs.json read-back.txt --json"],
  async run({ arguments: [meantPath, readPath], options, io }) {
    const asked = options.decoder;
    const meant = await inputFrom(meantPath, io, options.pick);
    const read = await inputFrom(readPath, io, options.pick);
    refuseTwoDecoders(asked, meant, read);
    const named = headOf(meant).decoder === undefined ? read : meant;
    const decoder = await decoderFor(asked, named, io);
    const readBack = await givenCvs(read, io, { asked, decoder });
    const result = verify(await wantedOf(meant, asked, decoder, readBack.cvs, io), readBack.cvs, { decoder });
    if (options.json) {
      io.json(result);
      return result.ok ? 0 : 1;
    }
    for (const { message } of result.mismatches) io.line(message);
    for (const { path, expected, found } of result.settings)
      io.line(`  ${path}: ${expected} was meant, ${found} is there`);
    if (result.unread.length)
      io.line(`Not read: ${placesInWords(result.unread.map((cv) => ({ cv, mask: 255 })))}`);
    if (result.ok) io.line("Everything is there as it was meant.");
    return result.ok ? 0 : 1;
  },
});

/**
 * What was meant: of settings, the bits of those that are named.
 * @param read What was read back, for values that are worked out from more than the settings.
 */
async function wantedOf(
  input: Input,
  asked: string | undefined,
  decoder: AnyDecoder,
  read: CvSet,
  io: Io,
): Promise<Parameters<typeof verify>[0]> {
  if (input.kind === "patch") return input.patch;
  if (input.kind === "plan") {
    const plan = tryPlanFromJson(input.value);
    if (!plan.ok) throw unusable(input, plan.issues);
    return withoutSelection(plan.value);
  }
  if (input.kind !== "settings") return (await givenCvs(input, io, { asked })).cvs;
  const patch = rootOf(decoder).tryEncode(input.settings, { base: read });
  if (!patch.ok) throw unusable(input, patch.issues);
  return patch.value;
}
