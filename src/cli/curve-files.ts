import type { CvPatch } from "../cv/cvpatch.js";
import { placesInWords } from "../cv/places-text.js";
import { visible } from "../cv/show.js";
import type { KnownCvs } from "../standard/address.js";
import { givenCvs } from "./given-cvs.js";
import { inputFrom } from "./input.js";
import type { Io } from "./verb.js";

/** What stands behind a CV in a list, by its name. */
export type Remarks = Readonly<Record<string, string>>;

/**
 * A patch as a list of CVs with remarks, which every verb reads: whole bytes, then single bits.
 * @param patch The CVs.
 * @param remarks What stands behind each.
 * @param head Remarks at the top, a line each.
 */
export function listOf(patch: CvPatch, remarks: Remarks, head: readonly string[] = []): string {
  const { cvs, bits } = patch.toJSON();
  const behind = (text: string, cv: string): string => {
    const remark = remarks[cv];
    return remark === undefined ? text : `${text.padEnd(14)} # ${visible(remark)}`;
  };
  return [
    ...head.map((text) => `# ${visible(text)}`),
    ...Object.entries(cvs).map(([cv, value]) => behind(`CV${cv} = ${value}`, cv)),
    ...bits.map(({ cv, mask, value }) => {
      const bit = Number((value & mask) !== 0);
      return behind(`CV${placesInWords([{ cv, mask }]).slice(3)} = ${bit}`, cv);
    }),
    "",
  ].join("\n");
}

/**
 * The CVs that a file holds, as far as they are known. Of a file with single bits, as `curve` and `match` write it,
 * the whole bytes count, and bit 4 of CV 29, which chooses the curve.
 * @param pick Which locomotive of a file that has several.
 */
export async function knownCvsFrom(
  path: string,
  io: Io,
  pick: string | undefined,
): Promise<{ known: KnownCvs; title: string }> {
  const input = await inputFrom(path, io, pick);
  const { title } = input;
  if (input.kind !== "patch") return { known: (await givenCvs(input, io)).cvs, title };
  const { cvs, bits } = input.patch.toJSON();
  const chooses = bits.find(({ cv, mask }) => cv === "29" && (mask & 16) !== 0);
  return { known: { get: (cv) => cvs[String(cv)] ?? (cv === 29 ? chooses?.value : undefined) }, title };
}
