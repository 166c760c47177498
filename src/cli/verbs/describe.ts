import { nearestNames } from "../../cv/nearest.js";
import { placesInWords } from "../../cv/places-text.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { descriptionSchema } from "../../decoder/description-schema.js";
import { linesOf } from "../../decoder/explain.js";
import { describe } from "../../decoder/json.js";
import { codecsAt } from "../../decoder/path.js";
import { settingsSchema } from "../../decoder/schema.js";
import { type Allowed, allowedBy, weight } from "../allowed.js";
import { builtIn, decoderOf } from "../decoders.js";
import { columns } from "../layout.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "What a decoder can be set to",
  arguments: [
    { name: "DECODER", what: "a decoder", kind: "decoder", optional: true },
    { name: "SETTING", what: "settings", kind: "text", optional: true, many: true },
  ],
  about: `DECODER is a built-in name, a description in JSON, or a file that names its decoder; without it, the built-in ones are listed. With a SETTING,
such as "whistle" or "front.effect", only that is shown, each option on a line. --json writes the description, which
can be copied and changed for another decoder.`,
  options: {
    decoder: { ...shared.decoder, help: "the decoder, as without the option" },
    numbers: {
      kind: "flag",
      help: "show the numbers of the options, as they add up in a CV, and the factory values",
    },
    json: { kind: "flag", help: "write the description as JSON" },
    schema: {
      kind: "flag",
      help: "write the JSON Schema of the decoder's settings files, for editors; without a decoder, that of descriptions",
    },
  },
  examples: [
    "cvset describe quillback-s8",
    "cvset describe quillback-s8 whistle --numbers",
    "cvset describe dunlin-m6 --json --output my-decoder.json",
  ],
  async run({ arguments: given, options, io }) {
    if (options.json && options.schema)
      throw new Unusable("--json and --schema write different things; give one of them");
    const [first, ...rest] = given;
    const asked = options.decoder ?? first;
    const settings = options.decoder === undefined ? rest : given;
    if (asked === undefined) {
      if (options.schema) {
        const { default: schema } = await import("../../decoder/decoder.schema.json", {
          with: { type: "json" },
        });
        io.json(descriptionSchema(schema, io.plugIns));
        return 0;
      }
      if (options.json) throw new Unusable("name a decoder to describe");
      const decoders = await Promise.all([...builtIn.values()].map((load) => load()));
      io.line(
        ...columns(
          decoders.map(({ id, name, note }) => [id, name, note]),
          io.width,
          2,
        ),
      );
      return 0;
    }
    const decoder = await decoderOf(asked, io);
    if (options.schema) io.json(settingsSchema(decoder));
    else if (options.json) io.json(describe(decoder));
    else if (settings.length) for (const path of settings) tellSetting(decoder, path, io);
    else tellDecoder(decoder, options.numbers, io);
    return 0;
  },
});

function tellDecoder(decoder: AnyDecoder, numbers: boolean, io: Io): void {
  io.line(`${decoder.name} (${decoder.id}), ${decoder.kind}`);
  if (decoder.note) io.line(decoder.note);
  const rows = Object.entries(decoder.features).flatMap(([name, codec]) => allowedBy(name, codec, numbers));
  const factory = numbers ? factoryTexts(decoder) : undefined;
  io.line(
    "",
    ...columns(
      rows.map((row) => cellsOf(row, factory)),
      io.width,
      1,
    ),
  );
}

function cellsOf(
  { path, label, text, place }: Allowed,
  factory: ReadonlyMap<string, string> | undefined,
): string[] {
  const about = [label, text].filter(Boolean).join(": ");
  const value = factory?.get(`${path} ${place}`);
  return [path, factory && value !== undefined ? `${about}; factory: ${value}` : about, place];
}

/** The factory values in words, by path and place: cases of a variant may have settings of one name. */
function factoryTexts(decoder: AnyDecoder): Map<string, string> {
  const cvs = decoder.defaults();
  return new Map(
    Object.entries(decoder.features).flatMap(([name, codec]) =>
      linesOf(codec, cvs, name).map(
        ({ path, text, places }) => [`${path} ${placesInWords(places)}`, text] as const,
      ),
    ),
  );
}

/** One setting: each option with its number and label. */
function tellSetting(decoder: AnyDecoder, asked: string, io: Io): void {
  const { codecs, names, path } = codecsAt(decoder.features, asked);
  if (codecs.length === 0) {
    const [near] = nearestNames(path.replace(/^.*\./, ""), names);
    throw new Unusable(`${decoder.name} has no setting "${path}"${near ? `; did you mean "${near}"?` : ""}`);
  }
  for (const codec of codecs) {
    const { label, note, source } = codec.about;
    io.line(`${asked}${label ? `: ${label}` : ""} (${placesInWords(codec.bits)})`);
    if (note) io.line(`  ${note}`);
    const { data } = codec;
    if (data.kind === "choice") {
      const rows = Object.entries(data.options).map(
        ([name, { value, label: says = "", note: remark = "" }]) => [
          String(weight(data.place, value)),
          name,
          [says, remark].filter(Boolean).join("; "),
        ],
      );
      io.line(...columns(rows, io.width, 2));
    } else
      io.line(
        ...columns(
          allowedBy(asked, codec, true).map((row) => cellsOf(row, undefined)),
          io.width,
          1,
        ),
      );
    const factory = linesOf(codec, decoder.defaults(), asked).map(({ path: own, text }) =>
      own === asked ? text : `${own} ${text}`,
    );
    if (factory.length) io.line(`  The factory value is: ${factory.join("; ")}`);
    if (source) io.line(`  (${source})`);
  }
}
