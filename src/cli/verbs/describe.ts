import type { Json } from "../../codec/codec.js";
import { placesText } from "../../cv/issue.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { describe, settingsSchema } from "../../decoder/describe.js";
import { builtIn, decoderFor } from "../decoders.js";
import { columns } from "../layout.js";
import { argumentsOf, shared, textOption, Unusable, type Verb } from "../verb.js";

export const verb: Verb = {
  summary: "What a decoder can be set to",
  usage: "[DECODER]",
  about: `DECODER is a built-in name or a description in JSON; without it, the built-in ones are listed. --json
writes the description, which can be copied and changed for another decoder.`,
  options: {
    decoder: { ...shared.decoder, help: "the decoder, as without the option" },
    json: { type: "boolean", help: "write the description as JSON" },
    schema: {
      type: "boolean",
      short: "s",
      help: "write the JSON Schema of the decoder's settings files, for editors",
    },
  },
  examples: ["cvset describe quillback-s8", "cvset describe dunlin-m6 --json > my-decoder.json"],
  async run(call) {
    const { options, io } = call;
    const named = textOption(options, "decoder");
    if (named === undefined && call.positionals.length === 0) {
      const decoders = await Promise.all(Object.values(builtIn).map((load) => load()));
      if (options["json"] || options["schema"]) throw new Unusable("name a decoder to describe");
      io.print(
        columns(
          decoders.map(({ id, name, note }) => [id, name, note]),
          io.width,
        ),
      );
      return 0;
    }
    const [asked] = named === undefined ? argumentsOf(call, ["a decoder"]) : [named];
    const decoder = await decoderFor(asked, undefined, io);
    if (options["schema"]) io.print(`${JSON.stringify(settingsSchema(decoder), null, 2)}\n`);
    else if (options["json"]) io.print(`${JSON.stringify(describe(decoder), null, 2)}\n`);
    else {
      io.print(
        `${decoder.name} (${decoder.id}), ${decoder.kind}\n${decoder.note ? `${decoder.note}\n` : ""}\n`,
      );
      io.print(columns(rowsOf(decoder), io.width));
    }
    return 0;
  },
};

function rowsOf(decoder: AnyDecoder): [string, string, string][] {
  return Object.entries(decoder.features).flatMap(([name, codec]) => {
    const schema = codec.schema();
    return fieldRows(name, schema, placesText(codec.bits));
  });
}

interface Schema {
  readonly title?: string;
  readonly type?: string;
  readonly enum?: readonly Json[];
  readonly const?: Json;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly maxLength?: number;
  readonly minItems?: number;
  readonly items?: Schema;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
}

function fieldRows(path: string, json: Json, places: string): [string, string, string][] {
  const schema = json as Schema;
  const rows: [string, string, string][] = [];
  const visit = (at: string, one: Schema, where: string): void => {
    const title = one.title ? `${one.title}: ` : "";
    const inner = one.properties;
    if (inner) {
      rows.push([at, one.title ?? "", where]);
      for (const [name, field] of Object.entries(inner)) visit(`${at}.${name}`, field, "");
    } else if (one.oneOf) {
      rows.push([at, `${title}one of`, where]);
      for (const each of one.oneOf) visit(at, each, "");
    } else if (one.anyOf?.some((each) => each.properties)) {
      rows.push([at, `${title}"off", or`, where]);
      for (const each of one.anyOf) if (each.properties) visit(at, each, "");
    } else rows.push([at, title + allowed(one), where]);
  };
  visit(path, schema, places);
  return rows;
}

function allowed(schema: Schema): string {
  const { anyOf, items, minItems } = schema;
  if (anyOf) return anyOf.map(allowed).join(", or ");
  if (schema.const !== undefined) return String(schema.const);
  if (schema.enum) return schema.enum.join(", ");
  if (schema.type === "array")
    return minItems ? `${minItems} numbers, ${allowed(items ?? {})}` : `any of ${allowed(items ?? {})}`;
  if (schema.type === "string") return `a text of up to ${schema.maxLength} characters`;
  if (schema.type === "boolean") return "true, false";
  return `${schema.minimum} to ${schema.maximum}`;
}
