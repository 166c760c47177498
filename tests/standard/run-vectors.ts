import { Ajv2020 } from "ajv/dist/2020.js";
import type { AnyCodec } from "cvset";
import { CvSet, partsOf, schemaOf } from "cvset";
import * as standard from "cvset/standard";
import { describe, expect, test } from "vitest";
import { groups } from "./vectors.js";

// A schema has ranges and names, but no steps, and no numbers that must be written as names.
const withoutSchema = ["between", "between-periods", "has-a-name"];

/** Checks values by the schemas of codecs. */
export const ajv = new Ajv2020({ strict: false });

/** Whether something is a codec. */
function isCodec(thing: unknown): thing is AnyCodec {
  return typeof thing === "object" && thing !== null && "tryDecode" in thing && "places" in thing;
}

/** The codecs within something, by name: the parts of a codec, the features of a decoder or a feature set. */
function codecsIn(thing: unknown): [name: string, codec: AnyCodec][] {
  if (isCodec(thing))
    return Object.entries(partsOf(thing)).map(([name, [codec]]) => [name, codec as AnyCodec]);
  if (typeof thing !== "object" || thing === null) return [];
  const all = "features" in thing ? thing.features : thing;
  return Object.entries(all as object).filter((entry): entry is [string, AnyCodec] => isCodec(entry[1]));
}

/** A codec of "cvset/standard" by its name, such as `extendedAddress`, `accessory.packets` or `speed.vmid`. */
export function codecNamed(name: string): AnyCodec {
  const [first = "", ...parts] = name.split(".");
  let found: unknown = (standard as Record<string, unknown>)[first];
  for (const part of parts) found = codecsIn(found).find(([other]) => other === part)?.[1];
  if (!isCodec(found)) throw new Error(`${name} is no codec of cvset/standard`);
  return found;
}

/** Every codec that "cvset/standard" exports, alone or as a feature, by name and each once. */
export function everyCodec(): [name: string, codec: AnyCodec][] {
  const found = new Map<AnyCodec, string>();
  const add = (name: string, codec: AnyCodec): void => {
    if (!found.has(codec)) found.set(codec, name);
  };
  const all = Object.entries<unknown>(standard);
  for (const [name, thing] of all) if (isCodec(thing)) add(name, thing);
  // Feature sets before decoders, which are made of them.
  for (const isDecoder of [false, true]) {
    for (const [set, thing] of all) {
      if (isCodec(thing) || (typeof thing === "object" && "features" in (thing ?? {})) !== isDecoder)
        continue;
      for (const [name, codec] of codecsIn(thing)) add(`${set}.${name}`, codec);
    }
  }
  return [...found].map(([codec, name]) => [name, codec]);
}

/** The codecs of {@link everyCodec} with their parts, and the parts of those. */
export function everyPart(): [name: string, codec: AnyCodec][] {
  const found = new Map<AnyCodec, string>();
  const add = ([name, codec]: [string, AnyCodec]): void => {
    if (found.has(codec)) return;
    found.set(codec, name);
    for (const [part, inner] of codecsIn(codec)) add([`${name}.${part}`, inner]);
  };
  const all = everyCodec();
  for (const [name, codec] of all) found.set(codec, name);
  for (const [name, codec] of all)
    for (const [part, inner] of codecsIn(codec)) add([`${name}.${part}`, inner]);
  return [...found].map(([codec, name]) => [name, codec]);
}

/** Runs the vectors of a group both ways, and its refusals. */
export function runVectors(name: string): void {
  const group = groups[name];
  if (!group) throw new Error(`no vectors are named ${name}`);
  describe(`${name}: ${group.source}`, () => {
    test.each(group.vectors)("$codec: $cvs is $value", ({ codec: codecName, cvs, value }) => {
      const codec = codecNamed(codecName);
      const set = CvSet.from(cvs);
      expect(codec.decode(set)).toEqual(value);
      // Every bit of the codec is the other way round before: what it does not write, stays wrong.
      const masks = new Map(codec.bits.map(({ cv, mask }) => [cv, mask]));
      const base = CvSet.from(Array.from(set, ([cv, byte]) => [cv, byte ^ (masks.get(cv) ?? 0)] as const));
      const patch = codec.encode(value);
      expect(base.apply(patch).toJSON()).toEqual(set.toJSON());
    });
    for (const { codec: codecName, cvs, value, code } of group.refusals ?? []) {
      const codec = codecNamed(codecName);
      test(`${codecName} refuses ${JSON.stringify(cvs ?? value)}`, () => {
        const result = cvs ? codec.tryDecode(CvSet.from(cvs)) : codec.tryEncode(value);
        if (!cvs && !withoutSchema.includes(code)) {
          expect(ajv.validate(schemaOf(codec) as object, value)).toBe(false);
        }
        expect(result.ok ? [] : result.issues.map((issue) => issue.code)).toEqual([code]);
      });
    }
  });
}
