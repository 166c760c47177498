import { Ajv2020 } from "ajv/dist/2020.js";
import type { AnyCodec } from "cvset";
import { CvSet } from "cvset";
import * as standard from "cvset/standard";
import { describe, expect, test } from "vitest";
import { groups } from "./vectors.js";

/** Checks values by the schemas of codecs. */
export const ajv = new Ajv2020({ strict: false });

/** A codec of "cvset/standard" by its name, such as `longAddress` or `accessory.packets`. */
export function codecNamed(name: string): AnyCodec {
  let found: unknown = standard;
  for (const part of name.split(".")) found = (found as Record<string, unknown>)[part];
  if (!isCodec(found)) throw new Error(`${name} is no codec of cvset/standard`);
  return found;
}

/** Whether something is a codec: it owns bits and goes both ways. */
export function isCodec(thing: unknown): thing is AnyCodec {
  return typeof thing === "object" && thing !== null && "tryDecode" in thing && "places" in thing;
}

/** Every codec that "cvset/standard" exports, alone or within a feature set, by name. */
export function everyCodec(): [name: string, codec: AnyCodec][] {
  const sets = { accessory: standard.accessory, accessoryAliases: standard.accessoryAliases };
  return [
    ...Object.entries<unknown>(standard as Record<string, unknown>),
    ...Object.entries(sets).flatMap(([set, codecs]) =>
      Object.entries(codecs).map(([name, codec]): [string, unknown] => [`${set}.${name}`, codec]),
    ),
  ].filter((entry): entry is [string, AnyCodec] => isCodec(entry[1]));
}

/** Runs the vectors of a group both ways, and its refusals. */
export function runVectors(name: string): void {
  const group = groups[name];
  if (!group) throw new Error(`no vectors are named ${name}`);
  describe(`${name}: ${group.clause}`, () => {
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
        // A schema knows ranges and names, but no steps, and no numbers that are to be written as names.
        if (!cvs && code !== "between" && code !== "content") {
          expect(ajv.validate(codec.schema() as object, value)).toBe(false);
        }
        expect(result.ok ? [] : result.issues.map((issue) => issue.code)).toEqual([code]);
      });
    }
  });
}
