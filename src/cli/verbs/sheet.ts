import { basename } from "node:path";
import { Fleet } from "../../check/fleet.js";
import { standardRules } from "../../check/standard-rules.js";
import { kmh, mph, scaleRatio } from "../../motion/index.js";
import {
  roster,
  type Sheet,
  type SheetLocomotive,
  type SheetOptions,
  setUpSheet,
  sheetCsv,
  sheetHtml,
  sheetMarkdown,
} from "../../sheet/index.js";
import { decoderFor } from "../decoders.js";
import { givenCvs } from "../given-cvs.js";
import { headOf, type Input, inputFrom, inputsFrom } from "../input.js";
import { FileStems, withoutEnding } from "../results.js";
import { defineVerb, type Io, inOptions, shared, Unusable } from "../verb.js";

const formats = ["markdown", "html", "csv"] as const;
type Format = (typeof formats)[number];
const units = ["mph", "km/h"] as const;

const writers = { markdown: sheetMarkdown, html: sheetHtml, csv: sheetCsv } as const;
const endings = { markdown: ".md", html: ".html", csv: ".csv" } as const;
const kinds = { markdown: "markup", html: "markup", csv: "text" } as const;

export const verb = defineVerb({
  summary: "The set-up sheet of a locomotive, or of several, for the owner",
  arguments: [{ name: "CVS", what: "CV sets or settings", kind: "file", many: true }],
  usage: "[--format html|markdown|csv] [--output FILE|FOLDER]",
  about: `What the locomotive is, what each key and each wire does, its sounds in words, its speed curve and momentum,
every CV with what it means, and what check has to say. HTML is one page that needs nothing else, and prints on one or
two pages a locomotive. With --roster, a list of all of them comes first. To a folder, each goes into a file of its own.`,
  options: {
    decoder: shared.decoder,
    format: {
      kind: "words",
      short: "f",
      words: formats,
      help: "how to write it; markdown without it, or as FILE ends",
    },
    roster: { kind: "flag", short: "r", help: "begin with a roster: name, address, decoder, keys, findings" },
    date: { kind: "text", value: "DATE", help: "the date to put on it; a line to write it on without it" },
    "full-speed": {
      kind: "number",
      value: "SPEED",
      min: 0.1,
      help: "the scale speed at the top step; with it momentum is given in metres too",
    },
    unit: { kind: "words", short: "u", words: units, help: "with --full-speed: its unit; default mph" },
    scale: {
      kind: "text",
      value: "SCALE",
      help: "with --full-speed: give distances on the track too: N, HO, O, 1:32",
    },
    pick: shared.pick,
    nearest: shared.nearest,
  },
  examples: [
    "cvset sheet no9.cvs.json",
    'cvset sheet no9.cvs.json --date "14 March 2026" --full-speed 25 --scale O --output no9.html',
    "cvset sheet no9.cvs.json no9.settings.json --roster --format html --output fleet.html",
  ],
  async run({ arguments: paths, options, io }) {
    const { decoder: asked, pick, nearest, date } = options;
    const format = options.format ?? formatOf(io.output);
    const speed = fullSpeedOf(options["full-speed"], options.unit, options.scale);
    const how: SheetOptions = {
      ...(date !== undefined && { date }),
      ...(speed.ratio !== undefined && { ratio: speed.ratio }),
      terms: io.plugIns.terms,
    };
    const fleet = new Fleet({ rules: [...standardRules, ...io.plugIns.rules] });
    const found: { readonly title: string; readonly locomotive: SheetLocomotive }[] = [];
    const findings = new Map<string, NonNullable<SheetLocomotive["findings"]>[number][]>();
    for (const path of paths) {
      const inputs = pick === undefined ? await inputsFrom(path, io) : [await inputFrom(path, io, pick)];
      for (const input of inputs) {
        const given = await givenCvs(input, io, { asked, nearest });
        const decoder = given.decoder ?? (await decoderFor(asked, input, io));
        const { name = stemOf(input), note, silence } = headOf(input);
        // Two locomotives of one file, or one file named twice, are told apart by their number.
        const title = `${input.title}#${found.length}`;
        findings.set(title, [...fleet.add({ file: title, cvs: given.cvs, decoder, silence, name })]);
        const locomotive = {
          cvs: given.cvs,
          decoder,
          name,
          ...(note !== undefined && { note }),
          ...(speed.metres !== undefined && { fullSpeed: speed.metres }),
        };
        found.push({ title, locomotive });
      }
    }
    for (const { file, ...finding } of fleet.finish()) findings.get(file)?.push(finding);
    const locomotives = found.map(({ title, locomotive }) => ({
      ...locomotive,
      findings: (findings.get(title) ?? []).map((finding) => ({
        ...finding,
        message: untitled(finding.message, found),
      })),
    }));
    const sheets = locomotives.map((locomotive) => setUpSheet(locomotive, how));
    write(options.roster ? [roster(locomotives, how), ...sheets] : sheets, format, io);
    return 0;
  },
});

/** The format that the name of the file asks for. */
function formatOf(output: string | undefined): Format {
  return formats.find((format) => output?.toLowerCase().endsWith(endings[format])) ?? "markdown";
}

function fullSpeedOf(
  speed: number | undefined,
  unit: (typeof units)[number] | undefined,
  scale: string | undefined,
): { readonly metres?: number; readonly ratio?: number } {
  if (speed === undefined) {
    const given = [unit !== undefined && "--unit", scale !== undefined && "--scale"].filter(Boolean);
    if (given.length)
      throw new Unusable(`${given.join(", ")}: this is about --full-speed, which is not given`);
    return {};
  }
  const metres = unit === "km/h" ? kmh(speed) : mph(speed);
  if (scale === undefined) return { metres };
  try {
    return { metres, ratio: scaleRatio(scale) };
  } catch (error) {
    throw inOptions(error, { "": "scale" });
  }
}

/** A locomotive without a name goes by its file's. */
function stemOf({ path, title }: Input): string {
  if (path === "-") return title;
  return withoutEnding(basename(path));
}

/** A message of the fleet that names files, with the names of locomotives in their place. */
function untitled(
  message: string,
  found: readonly { readonly title: string; readonly locomotive: SheetLocomotive }[],
): string {
  // A title ends with its number: the numbers in a message are looked up, and not every title searched for.
  const names = new Map<string, string>();
  for (const [, number] of message.matchAll(/#(\d+)/g)) {
    const { title, locomotive } = found[Number(number)] ?? {};
    if (title !== undefined) names.set(title, locomotive?.name ?? title);
  }
  const titles = [...names.keys()].sort((a, b) => b.length - a.length);
  const any = titles.map((title) => title.replace(/[\\^$.*+?()[\]{}|]/g, "\\$&")).join("|");
  return any ? message.replace(new RegExp(any, "g"), (title) => names.get(title) ?? title) : message;
}

function write(sheets: readonly Sheet[], format: Format, io: Io): void {
  const writer = writers[format];
  if (!io.toFolder) {
    io.document(writer(sheets), kinds[format]);
    return;
  }
  const stems = new FileStems();
  for (const sheet of sheets)
    io.part(`${stems.next(sheet.title)}${endings[format]}`, writer([sheet]), kinds[format]);
}
