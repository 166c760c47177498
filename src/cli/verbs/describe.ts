import type { AnyCodec, Json } from "../../codec/codec.js";
import { placesText } from "../../cv/issue.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { describe, settingsSchema } from "../../decoder/describe.js";
import { decoderFromJson } from "../../decoder/from-json.js";
import { builtIn, decoderFor } from "../decoders.js";
import { columns } from "../layout.js";
import { defineVerb, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "What a decoder can be set to",
  arguments: [{ name: "DECODER", what: "a decoder", kind: "decoder", optional: true }],
  about: `DECODER is a built-in name or a description in JSON; without it, the built-in ones are listed. --json
writes the description, which can be copied and changed for another decoder.`,
  options: {
    decoder: { ...shared.decoder, help: "the decoder, as without the option" },
    json: { kind: "flag", help: "write the description as JSON" },
    schema: {
      kind: "flag",
      help: "write the JSON Schema of the decoder's settings files, for editors",
    },
  },
  examples: ["cvset describe quillback-s8", "cvset describe dunlin-m6 --json > my-decoder.json"],
  async run(call) {
    const { arguments: given, options, io } = call;
    if (given.length && options.decoder !== undefined)
      throw new Unusable("expected one decoder, and 2 given");
    const asked = given[0] ?? options.decoder;
    if (options.json && options.schema)
      throw new Unusable("--json and --schema write different things; give one of them");
    if (asked === undefined) {
      const decoders = await Promise.all(Object.values(builtIn).map((load) => load()));
      if (options.json || options.schema) throw new Unusable("name a decoder to describe");
      io.line(
        ...columns(
          decoders.map(({ id, name, note }) => [id, name, note]),
          io.width,
        ),
      );
      return 0;
    }
    const decoder = await decoderFor(asked, undefined, io);
    if (options.schema) io.json(settingsSchema(decoder));
    else if (options.json) io.json(describe(decoder));
    else {
      io.line(`${decoder.name} (${decoder.id}), ${decoder.kind}`);
      if (decoder.note) io.line(decoder.note);
      io.line("", ...columns(rowsOf(decoder), io.width));
    }
    return 0;
  },
});

type Row = readonly [path: string, text: string, place: string];

/** A codec as a description in JSON writes it, as far as this page shows it. */
interface CodecJson {
  readonly label?: string;
  readonly unit?: string;
  readonly step?: number;
  readonly tag?: string;
  readonly fields?: Readonly<Record<string, CodecJson>>;
  readonly cases?: Readonly<Record<string, { readonly fields: Readonly<Record<string, CodecJson>> }>>;
  readonly item?: CodecJson;
  readonly pairs?: unknown;
}

function rowsOf(decoder: AnyDecoder): Row[] {
  return Object.entries(describe(decoder).features).flatMap(([name, json]) => rows(name, json as CodecJson));
}

function rows(path: string, json: CodecJson): Row[] {
  const { label = "", fields, cases, item, tag = "kind" } = json;
  const before = label ? `${label}: ` : "";
  const below = (all: Readonly<Record<string, CodecJson>>): Row[] =>
    Object.entries(all).flatMap(([name, field]) => rows(`${path}.${name}`, field));
  if (fields) return [[path, label, ""], ...below(fields)];
  if (cases) {
    const place = placeOf(json);
    return Object.entries(cases).flatMap(([name, { fields: ones }], i) => [
      [`${path}.${tag}`, `${i ? "or " : before}${name}`, i ? "" : place] as const,
      ...below(ones),
    ]);
  }
  if (item && !json.pairs)
    return [[path, `${before}off, or`, placeOf(json)], ...rows(path, item).slice(item.fields ? 1 : 0)];
  const codec = codecOf(json);
  const unit = json.unit ? ` ${json.unit}` : "";
  const step = json.step === undefined || Math.abs(json.step) === 1 ? "" : `, by ${Math.abs(json.step)}`;
  return [[path, `${before}${allowed(codec.schema() as Schema)}${unit}${step}`, placesText(codec.bits)]];
}

/** The place of what chooses or switches, without what is chosen. */
function placeOf(json: CodecJson): string {
  const { place } = json as { readonly place: Json };
  return placesText(codecOf({ codec: "level", place } as CodecJson).bits);
}

function codecOf(json: CodecJson): AnyCodec {
  const features = { one: json };
  return decoderFromJson({ id: "one", name: "one", kind: "multifunction", features }).features[
    "one"
  ] as AnyCodec;
}

interface Schema {
  readonly type?: string;
  readonly enum?: readonly Json[];
  readonly minimum?: number;
  readonly maximum?: number;
  readonly maxLength?: number;
  readonly minItems?: number;
  readonly items?: Schema;
  readonly anyOf?: readonly Schema[];
}

function allowed({
  anyOf,
  enum: names,
  type,
  items = {},
  minItems,
  minimum,
  maximum,
  maxLength,
}: Schema): string {
  if (anyOf) return anyOf.map(allowed).join(", or ");
  if (names) return names.join(", ");
  if (type === "array")
    return minItems ? `${minItems} numbers, ${allowed(items)}` : `any of ${allowed(items)}`;
  if (type === "string") return `a text of up to ${maxLength} characters`;
  if (type === "boolean") return "true, false";
  return `${minimum} to ${maximum}`;
}
