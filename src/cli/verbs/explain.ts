import { messageOf, placesText } from "../../cv/issue.js";
import { pageOf, toKey } from "../../cv/name.js";
import { explain } from "../../decoder/explain.js";
import { type CvSetFile, fileMessage, readCvSet } from "../../files/index.js";
import { describeCv, longAddress } from "../../standard/index.js";
import { decoderFor } from "../decoders.js";
import { cvSetFrom, exists } from "../input.js";
import { columns, wrap } from "../layout.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "What CVs mean, in words",
  arguments: [{ name: 'CVS|"CV29=34"', what: "a CV set, or CVs", kind: "file", many: true }],
  about: `CVS is a CV set, whole or in part; or the CVs themselves stand on the command line, as in "CV29=34" or
"CV29=34, CV17=196, CV18=210". Exit status 1 when a value stands for nothing.`,
  options: { decoder: shared.decoder, json: shared.json },
  examples: [
    'cvset explain "CV29=34"',
    "cvset explain no9.cvs.json",
    "cvset explain read-back.txt --decoder quillback-s8 --json",
  ],
  async run(call) {
    const { arguments: given, options, io } = call;
    const argument = oneArgument(given);
    const typed = await typedCvs(argument);
    const file = typed ?? (await cvSetFrom(argument, io));
    const decoder = await decoderFor(options.decoder, { path: typed ? "." : argument, ...file }, io);
    const told = explain(decoder, file.cvs);
    const wrong = told.issues.filter((issue) => issue.code !== "missing");
    if (options.json) {
      const lines = told.lines.map(({ path, text, places }) => ({
        path,
        text,
        cvs: places.map(({ cv }) => cv),
      }));
      const issues = told.issues.map((issue) => ({ ...issue, message: messageOf(issue) }));
      io.json({ decoder: decoder.id, ...told, lines, issues });
      return wrong.length ? 1 : 0;
    }
    io.line(`${decoder.name}${file.name ? `: ${file.name}` : ""}`);
    // A few CVs are a question about those; for a whole locomotive the standard's names would be noise.
    if (file.cvs.size <= 4) headings(file, decoder.kind, io);
    io.line(
      ...columns(
        told.lines.map(({ path, text, places }) => [path, text, placesText(places)]),
        io.width,
      ),
    );
    section(io, "Not right", wrong.map(messageOf));
    section(
      io,
      "Not in the set",
      told.issues
        .filter((issue) => issue.code === "missing")
        .map(({ path, places = [] }) => `${path}: ${placesText(places)}`),
    );
    section(
      io,
      `Of no feature of ${decoder.name}`,
      told.unowned.map(({ cv, mask, value }) =>
        mask === 255
          ? `CV ${cv} = ${value}${nameInStandard(cv, decoder.kind)}`
          : `${placesText([{ cv, mask }])} (CV ${cv} = ${file.cvs.get(cv)})`,
      ),
    );
    return wrong.length ? 1 : 0;
  },
});

/** A file, or CVs; a shell gives CVs that nobody quoted as several arguments. */
function oneArgument(given: readonly string[]): string {
  if (given.length > 1 && !given.every((one) => one.includes("=")))
    throw new Unusable(`expected one file, or CVs, and ${given.length} given`);
  return given.join(", ");
}

async function typedCvs(argument: string): Promise<CvSetFile | undefined> {
  if (argument === "" || argument === "-" || (await exists(argument))) return undefined;
  if (/^cv\b|^cv ?#? ?\d|^\d+(@|$)/i.test(argument) && !/[=:,\s]/.test(argument.trim()))
    throw new Unusable(`${argument}: there is no such file; of a CV, write the value too, as in "CV29=34"`);
  if (!/[=:,\s]/.test(argument)) return undefined;
  const text = argument.replace(/[,;]\s*(?=CV)/gi, "\n");
  const result = readCvSet(text);
  if (result.ok) return result.value;
  // With a sign that no file name has, it was meant as CVs.
  if (!argument.includes("=") && !/^cv/i.test(argument)) return undefined;
  throw new Unusable(...result.issues.map((issue) => fileMessage("the command line", issue)));
}

/** What the standard says of each CV: its name, what it is for, what each bit means, where that is laid down. */
function headings(file: CvSetFile, kind: "multifunction" | "accessory", io: Io): void {
  for (const [cv, value] of file.cvs) {
    const { name, text, bits, note, clause } = describeCv(cv, kind);
    const binary = `0b${value.toString(2).padStart(8, "0")}`;
    const hex = value.toString(16).toUpperCase().padStart(2, "0");
    io.line("", `CV ${cv} = ${value} (0x${hex}, ${binary}): ${name}`);
    const about = `${[text, note].filter((one) => one !== "").join("; ")} (${clause})`;
    io.line(...wrap(about, io.width - 4).map((line) => `    ${line}`));
    for (const {
      bits: [low, high],
      text: meaning,
      reserved,
    } of bits) {
      const is = (value >> low) & ((1 << (high - low + 1)) - 1);
      const place = low === high ? `bit ${low}` : `bits ${low}-${high}`;
      io.line(`    ${place} = ${is}  ${meaning}${reserved && is ? ", and set all the same" : ""}`);
    }
  }
  const long = longAddress.tryDecode(file.cvs);
  if (kind === "multifunction" && long.ok)
    io.line("", `CV 17 and 18 together: long address ${long.value}, in use while CV 29 bit 5 is 1`);
  io.line("");
}

function section(io: Io, title: string, lines: readonly string[]): void {
  if (lines.length) io.line("", `${title}:`, ...lines.map((line) => `  ${line}`));
}

function nameInStandard(cv: string, kind: "multifunction" | "accessory"): string {
  const key = toKey(cv);
  if (pageOf(key) >= 0) return "";
  if (key >= 257 && key <= 512)
    return `: an indexed CV; which page it is on is not said; write it with its page, as in "${cv}@16.0"`;
  const { name } = describeCv(key, kind);
  return name ? ` (${name})` : "";
}
